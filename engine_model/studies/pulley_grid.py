"""Blower pulleys against crank pulleys or ribs: what the parts say of every pair.

Found without belt slip. Judged on the ledger's own lines, in the states of the pulley span.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.surface import Surface
from engine_model.defaults import PULLEY_SEARCH
from engine_model.errors import InputError
from engine_model.inputs import Build, Day, Variation
from engine_model.limits.judging import Check, Verdict
from engine_model.limits.ledger import entry_of, state_of
from engine_model.line_judging import judged_lines
from engine_model.matching import default_engine_speeds, match_many
from engine_model.problem import surface_of
from engine_model.studies.span_cases import (
    NO_BALANCE_CHECK,
    Case,
    cases_of,
    go_on,
    no_balance,
)
from engine_model.studies.span_records import JudgedPulley, WorstCase

Floats = NDArray[np.float64]

CRANK, RIBS = "crank_pulley_diameter", "ribs"
"""What the rows of a grid are of."""

_AS_ASKED = WorstCase()


@dataclass(frozen=True, slots=True)
class PulleyGrid:
    """What the parts say of every pair.

    Parameters
    ----------
    kind : str
        What the rows are: ``crank_pulley_diameter`` [m] or ``ribs`` [-].
    rows : tuple of float
        Their values.
    blower_diameters : tuple of float
        Outside diameters of the columns. [m]
    days : tuple of str
        The chosen days.
    cells : tuple of tuple of JudgedPulley
        One a pair, row by row: the tightest of the parts over cases and days.
    """

    kind: str
    rows: tuple[float, ...]
    blower_diameters: tuple[float, ...]
    days: tuple[str, ...]
    cells: tuple[tuple[JudgedPulley, ...], ...]


def pulley_grid(
    build: Build,
    days: Sequence[Day],
    blower_diameters: Sequence[float],
    *,
    crank_diameters: Sequence[float] = (),
    ribs: Sequence[int] = (),
    worst: WorstCase = _AS_ASKED,
    surface: Surface | None = None,
    on_step: Callable[[], None] = go_on,
) -> PulleyGrid:
    """Tightest limit of parts and target for pairs of a blower pulley and a crank pulley, or ribs.

    Without belt slip.

    Parameters
    ----------
    build : Build
        A belt-driven build.
    days : sequence of Day
        The chosen days.
    blower_diameters : sequence of float
        Outside diameters of the columns. [m] 0.04-0.25
    crank_diameters : sequence of float
        Outside diameters of the rows; or else ribs. [m]
    ribs : sequence of int
        Ribs of the rows; or else crank diameters. [-]
    worst : WorstCase
        The worst cases switched on.
    surface : Surface, optional
        The fitted compressor map, where the caller has it.
    on_step : callable
        Called before every call of the match; what it raises ends the study.

    Returns
    -------
    PulleyGrid
        One cell a pair; blank where nothing can be judged.

    Raises
    ------
    InputError
        For a build without a belt, no days, no columns, or not just one kind of rows; for a
        size that the build may not have.

    References
    ----------
    As ``match_many``.
    """
    if build.drive.kind != "belt":
        raise InputError("drive.kind", build.drive.kind, "belt, to ask for pulleys")
    if not days:
        raise InputError("days", 0, "one day or more")
    if bool(crank_diameters) == bool(ribs):
        given = (len(crank_diameters), len(ribs))
        raise InputError("crank_diameters, ribs", given, "one of the two")
    _check_columns(blower_diameters)
    columns = np.array(blower_diameters, dtype=float)
    found = surface_of(build, surface)
    if ribs:
        rows: list[tuple[JudgedPulley, ...]] = []
        for count in ribs:
            one = build.with_value("drive.ribs", int(count))
            there = np.array([one.drive.crank_pulley_diameter])
            rows += _judge(one, days, columns, there, worst, found, on_step)
        kind, values = RIBS, tuple(float(count) for count in ribs)
    else:
        for size in crank_diameters:
            build.with_value("drive.crank_pulley_diameter", float(size))  # its own refusal
        rows = _judge(build, days, columns, np.array(crank_diameters), worst, found, on_step)
        kind, values = CRANK, tuple(float(size) for size in crank_diameters)
    names = tuple(day.name for day in days)
    return PulleyGrid(kind, values, tuple(float(d) for d in columns), names, tuple(rows))


def _check_columns(diameters: Sequence[float]) -> None:
    least, most = PULLEY_SEARCH
    if not len(diameters):
        raise InputError("blower_diameters", 0, "one blower pulley or more")
    for size in diameters:
        if not least <= size <= most:
            raise InputError("blower_diameters", size, f"{least:g} to {most:g} m")


def _judge(
    build: Build,
    days: Sequence[Day],
    columns: Floats,
    rows: Floats,
    worst: WorstCase,
    surface: Surface | None,
    on_step: Callable[[], None],
) -> list[tuple[JudgedPulley, ...]]:
    """Rows of cells, of crank pulleys by blower pulleys."""
    speeds = default_engine_speeds(build)
    cases = cases_of(build, days, worst, speeds, surface, on_step)
    judged = [(case, *_judge_case(case, columns, rows)) for case in cases]
    return [
        tuple(_cell(judged, r, c, float(columns[c])) for c in range(columns.size))
        for r in range(rows.size)
    ]


def _judge_case(
    case: Case, columns: Floats, rows: Floats
) -> tuple[tuple[Check, ...], list[Verdict], Floats]:
    """Checks, their verdicts and shares used: axes (limit, row, column, day)."""
    case.on_step()
    lead = (rows.size, columns.size, len(case.days))
    blower = np.broadcast_to(columns[None, :, None], lead)
    crank = np.broadcast_to(rows[:, None, None], lead)
    variation = Variation(
        blower_pulley_diameter=blower[..., None],
        crank_pulley_diameter=crank[..., None],
        slip=np.zeros((1, 1)),
    )
    line = match_many(case.build, case.days, case.engine_speeds, variation, surface=case.surface)
    lines = judged_lines(case.build, case.days, line, blower, crank)
    checks = case.checks
    verdicts = [check.judge(lines) for check in checks]
    verdicts.append(no_balance(line, verdicts))
    used = np.stack([np.broadcast_to(verdict.used, lead) for verdict in verdicts])
    # a line that has its solutions is no limit
    used[-1] = np.where(used[-1] > 1.0, used[-1], np.nan)
    return (*checks, NO_BALANCE_CHECK), verdicts, used


def _cell(
    judged: Sequence[tuple[Case, tuple[Check, ...], list[Verdict], Floats]],
    row: int,
    column: int,
    diameter: float,
) -> JudgedPulley:
    best: JudgedPulley | None = None
    for case, checks, verdicts, used in judged:
        here = used[:, row, column, :]
        if np.isnan(here).all():
            continue
        limit, day = np.unravel_index(int(np.nanargmax(here)), here.shape)
        most = float(here[limit, day])
        if best is not None and best.entry is not None and best.entry.used >= most:
            continue
        whole = verdicts[limit]
        one = Verdict(
            whole.used[row, column],
            whole.value[row, column],
            whole.bound[row, column],
            whole.engine_speed[row, column],
            whole.basis,
            numbers={name: array[row, column] for name, array in whole.numbers.items()},
        )
        entry = entry_of(checks[limit], one, int(day), case.days[day].name)
        best = JudgedPulley(diameter, state_of(most), case.name, entry)
    return best or JudgedPulley(diameter, "blank", judged[0][0].name, None)
