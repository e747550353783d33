"""The compressor study: which compressor, on which pulley, over every chosen day.

Found without belt slip; judged on the ledger's own lines.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from engine_model.compressor.map_data import CompressorMap
from engine_model.errors import InputError
from engine_model.inputs import Build, Day
from engine_model.matching import default_engine_speeds
from engine_model.studies.compressor_answer import row_of
from engine_model.studies.compressor_numbers import COARSE
from engine_model.studies.compressor_records import (
    TARGET_HEADROOM,
    CompressorAim,
    CompressorRanking,
    CompressorRow,
    ranked,
)
from engine_model.studies.compressor_sizes import check_drive, combinations
from engine_model.studies.span_cases import go_on
from engine_model.studies.spread import Workers, chunks_of, spread

LEAST_CHUNK = 0.3
"""Seconds that a chunk should take at least: less is not worth sending; chosen here."""

_POINT, _MAP = 3e-6, 0.04
"""Seconds about that a point and the fit of a compressor map take."""


@dataclass(frozen=True, slots=True)
class _Asked:
    """A study before it is run."""

    build: Build
    maps: tuple[CompressorMap, ...]
    days: tuple[Day, ...]
    question: CompressorAim

    def seconds(self) -> float:
        """About how long one candidate takes [s]."""
        size = COARSE * len(self.days) * default_engine_speeds(self.build).size
        return _MAP + _POINT * size * len(combinations(self.build, self.question))


def _asked(
    build: Build,
    maps: Sequence[CompressorMap],
    days: Sequence[Day] | None,
    question: CompressorAim | None,
) -> _Asked:
    """Return the study, or an :class:`InputError` for what cannot be asked."""
    wanted = CompressorAim() if question is None else question
    chosen = tuple(build.known_days().values() if days is None else days)
    check_drive(build)
    if not maps:
        raise InputError("maps", 0, "one compressor map or more")
    if not chosen:
        raise InputError("days", 0, "one day or more")
    names = [day.name for day in chosen]
    if len(set(names)) != len(names):
        raise InputError("days", names, "days of different names")
    target = build.target
    if wanted.aim == TARGET_HEADROOM and target.power is None:
        raise InputError("target.power", None, f"a target, for the aim {TARGET_HEADROOM}")
    if target.power is not None and target.day is not None and target.day not in names:
        raise InputError("days", names, f"the target's day, {target.day}, among them")
    if wanted.sizes(build.drive.kind == "free_shaft").size == 0:
        raise InputError("pulley_step", wanted.pulley_step, "a multiple within the range")
    combinations(build, wanted)  # its own refusal of a crank pulley or a rib count
    return _Asked(build, tuple(maps), chosen, wanted)


def _rows_of_chunk(
    asked: _Asked, places: tuple[int, ...], on_step: Callable[[], None] = go_on
) -> tuple[CompressorRow, ...]:
    """Rows of a chunk of candidates, in their order."""
    return tuple(
        row_of(asked.build, asked.maps[k], asked.days, asked.question, place, on_step)
        for k, place in enumerate(places)
    )


def compressor_rows(
    build: Build,
    maps: Sequence[CompressorMap],
    days: Sequence[Day] | None = None,
    question: CompressorAim | None = None,
    *,
    executor: Workers | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Iterator[CompressorRow]:
    """Yield each candidate's row as it is finished.

    Parameters
    ----------
    build : Build
        A build with a belt or a free shaft.
    maps : sequence of CompressorMap
        The candidates.
    days : sequence of Day, optional
        The chosen days; every day the build knows unless given.
    question : CompressorAim, optional
        Aim, pulleys, crank pulleys, ribs; the target with most headroom unless given.
    executor : Workers, optional
        Where chunks are computed; in this process unless given. A callable makes one, and
        another where the first breaks.
    cancelled : callable, optional
        Asked before every call of the match in this process, and while an executor is waited
        for; where it says yes, no further row comes.

    Returns
    -------
    iterator of CompressorRow
        One a candidate; a compressor map that cannot be fitted has its sentence.

    Raises
    ------
    InputError
        For a build without a compressor's drive, no candidates, no days, or no target where the
        aim needs one.

    References
    ----------
    As ``match_many``.
    """
    asked = _asked(build, maps, days, question)
    return _until(asked, executor, cancelled)


class _CancelledError(Exception):
    """The study is not wanted any more."""


def _until(
    asked: _Asked,
    executor: Workers | None,
    cancelled: Callable[[], bool] | None,
) -> Iterator[CompressorRow]:
    """Rows until the study is cancelled."""

    def on_step() -> None:
        if cancelled is not None and cancelled():
            raise _CancelledError

    try:
        yield from _yielded(asked, executor, on_step)
    except _CancelledError:
        return


def _yielded(
    asked: _Asked,
    executor: Workers | None,
    on_step: Callable[[], None],
) -> Iterator[CompressorRow]:
    count = len(asked.maps)
    if executor is None:
        for place in range(count):
            alone = replace(asked, maps=(asked.maps[place],))
            yield from _rows_of_chunk(alone, (place,), on_step)
        return
    chunks = chunks_of(count, asked.seconds(), LEAST_CHUNK)
    tasks = [(replace(asked, maps=tuple(asked.maps[k] for k in one)), one) for one in chunks]
    for rows in spread(_rows_of_chunk, tasks, executor, on_step):
        # the caller's own map, so that what it knows of it holds
        yield from (replace(row, compressor_map=asked.maps[row.place]) for row in rows)


def compressor_study(
    build: Build,
    maps: Sequence[CompressorMap],
    days: Sequence[Day] | None = None,
    question: CompressorAim | None = None,
    *,
    executor: Workers | None = None,
    progress: Callable[[int, int], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> CompressorRanking:
    """Compressors ranked under an aim: each on its best pulley over every chosen day.

    Parameters
    ----------
    build, maps, days, question, executor, cancelled
        As of :func:`compressor_rows`.
    progress : callable, optional
        Told rows finished and rows in all.

    Returns
    -------
    CompressorRanking
        The same whatever the executor and the order in which rows are finished; the rows
        finished where it was cancelled.

    References
    ----------
    As ``match_many``.
    """
    asked = _asked(build, maps, days, question)
    rows: list[CompressorRow] = []
    for row in _until(asked, executor, cancelled):
        rows.append(row)
        if progress is not None:
            progress(len(rows), len(asked.maps))
    names = tuple(day.name for day in asked.days)
    return CompressorRanking(build, asked.question, names, ranked(tuple(rows), asked.question.aim))
