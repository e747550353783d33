"""The row of one candidate: searched on every crank pulley and belt, and told."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import fields

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.map_data import CompressorMap
from engine_model.compressor.surface import Surface
from engine_model.inputs import Build, Day
from engine_model.limits.compressor_limits import impeller_limit
from engine_model.limits.judging import Check, Verdict
from engine_model.problem import surface_of
from engine_model.results import Entry, OperatingLine
from engine_model.studies.compressor_numbers import peak, weighted_efficiency
from engine_model.studies.compressor_records import (
    EFFICIENCY_ASSUMED,
    PRESSURE_STATIC,
    REFUSED,
    SHORT,
    STANDINGS,
    UNFIT,
    CompressorAim,
    CompressorRow,
    DayNumbers,
    Room,
)
from engine_model.studies.compressor_search import Answer, Search
from engine_model.studies.compressor_sizes import (
    Candidate,
    combinations,
    verdict_at,
    with_candidate,
)
from engine_model.studies.span_edges import OVER_FROM

Floats = NDArray[np.float64]

WHY = {
    SHORT: "no size that keeps the parts reaches the target",
    REFUSED: "no size keeps the parts on every chosen day",
}
"""Why a compressor is not accepted."""

SAME = 1e-9
"""Difference of shares that is none [-]."""

NO_FIT = (ValueError, ArithmeticError, LookupError)
"""What a compressor map raises that cannot be fitted; ``InputError`` is one."""


def marks_of(compressor_map: CompressorMap) -> tuple[str, ...]:
    """What a compressor map says less than others."""
    marks = []
    if not compressor_map.has_efficiency:
        marks.append(EFFICIENCY_ASSUMED)
    if compressor_map.pressure_basis != "total_to_total":
        marks.append(PRESSURE_STATIC)
    return tuple(marks)


def row_of(
    build: Build,
    compressor_map: CompressorMap,
    days: Sequence[Day],
    question: CompressorAim,
    place: int,
    on_step: Callable[[], None],
    surface: Surface | None = None,
) -> CompressorRow:
    """Row of one candidate; what cannot be fitted or solved becomes its sentence.

    Parameters
    ----------
    build : Build
        The build.
    compressor_map : CompressorMap
        The candidate.
    days : sequence of Day
        The chosen days.
    question : CompressorAim
        The question.
    place : int
        Place among the candidates.
    on_step : callable
        Called before every call of the match; what it raises ends the study.
    surface : Surface, optional
        The fitted compressor map, where the caller has it.

    Returns
    -------
    CompressorRow
        The best over crank pulleys and rib counts, the first of equal ones.
    """
    marks = marks_of(compressor_map)
    try:
        one = with_candidate(build, compressor_map)
        driven = combinations(one, question)
        fitted = _fitted(one, surface)
    except NO_FIT as error:
        return _unfit(place, compressor_map, marks, error)
    found: list[tuple[tuple[float, tuple[float, ...]], Search, Answer]] = []
    try:
        for build_driven in driven:
            candidate = Candidate.of(build_driven, days, fitted)
            search = Search(candidate, _mild_first(candidate, question), question.aim, on_step)
            answer = search.run()
            found.append(((STANDINGS.index(answer.standing), answer.key), search, answer))
    except (ValueError, ArithmeticError) as error:
        return _unfit(place, compressor_map, marks, error)
    _, search, answer = min(found, key=lambda item: item[0])
    return _told(place, compressor_map, marks, question, search, answer)


def _fitted(build: Build, surface: Surface | None) -> Surface | None:
    """Fitted compressor map, or a ``ValueError`` where the fit gives no numbers."""
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        fitted = surface_of(build, surface)
        some = None if fitted is None else fitted.surge_flow(fitted.line_speeds)
    if some is not None and not np.all(np.isfinite(some)):
        raise ValueError("its speed lines and surge line do not make a surface")
    return fitted


def _unfit(
    place: int, compressor_map: CompressorMap, marks: tuple[str, ...], error: Exception
) -> CompressorRow:
    words = " ".join(str(error).split()) or type(error).__name__
    return CompressorRow(
        place, compressor_map, UNFIT, f"cannot be fitted or solved: {words}", marks
    )


def _mild_first(candidate: Candidate, question: CompressorAim) -> Floats:
    sizes = question.sizes(candidate.free_shaft)
    return sizes if candidate.free_shaft else sizes[::-1].copy()


def _verdicts(search: Search, place: int) -> tuple[tuple[Check, ...], tuple[Verdict, ...]]:
    """Checks and verdicts of a size, axis (day); that of unsolved points only where it tells."""
    candidate = search.candidate
    number, k = search.where[place]
    verdicts = [verdict_at(v, k) for v in search.calls[number].verdicts]
    checks = list(candidate.checks)
    if not np.any(verdicts[-1].used > OVER_FROM):
        verdicts.pop()
        checks.pop()
    if place in search.burn_verdicts:
        checks += candidate.burn
        verdicts += search.burn_verdicts[place]
    return tuple(checks), tuple(verdicts)


def _entries(search: Search, place: int) -> list[tuple[Entry, ...]]:
    """Entries of a size, one tuple a day."""
    checks, verdicts = _verdicts(search, place)
    days = range(len(search.candidate.days))
    return [search.candidate.entries(checks, verdicts, day) for day in days]


def tightest(entries: Sequence[Entry]) -> Entry | None:
    """Entry used most, the first of equal ones; none of none."""
    return max(entries, key=lambda entry: entry.used, default=None)


def _line(search: Search, place: int) -> OperatingLine:
    """Copy of the lines of a size, axes (day, engine speed)."""
    number, k = search.where[place]
    part = search.calls[number].line.part(k)
    names = [one.name for one in fields(OperatingLine)]
    return OperatingLine(**{name: np.array(getattr(part, name)) for name in names})


def _told(
    place: int,
    compressor_map: CompressorMap,
    marks: tuple[str, ...],
    question: CompressorAim,
    search: Search,
    answer: Answer,
) -> CompressorRow:
    candidate = search.candidate
    names = [day.name for day in candidate.days]
    every = _entries(search, answer.best)
    line = _line(search, answer.best)
    blower = candidate.build.blower
    limit, whose = impeller_limit(blower.maximum_impeller_speed, compressor_map)
    parts = [[e for e in one if e.part == "parts"] for one in every]
    # the ledger's order first, then that of the days
    order = {check.code: k for k, check in enumerate((*candidate.checks, *candidate.burn))}
    flat = sorted((e for one in parts for e in one), key=lambda e: order[e.code])
    targets = [e for one in every for e in one if e.part == "target"]
    target, first = tightest(targets), tightest(flat)
    others = [e for e in flat if first is not None and e.code != first.code]
    margin = float("nan") if target is None else target.value - target.bound
    wheel = peak(line.wheel_power_w)
    efficiency = weighted_efficiency(candidate, line)
    least_power, least_efficiency = int(np.argmin(wheel)), int(np.argmin(efficiency))
    days = tuple(
        _day_numbers(names[k], line.part(k), tightest(parts[k]), question, float(efficiency[k]))
        for k in range(len(names))
    )
    return CompressorRow(
        place,
        compressor_map,
        answer.standing,
        WHY.get(answer.standing, ""),
        marks,
        candidate.setting(float(search.sizes[answer.best])),
        first,
        _shares(search.used[:, answer.best]),
        target,
        margin,
        _finite(wheel[least_power]),
        names[least_power],
        _finite(efficiency[least_efficiency]),
        names[least_efficiency],
        max((one.boost_peak_pa for one in days), default=float("nan")),
        max((one.drive_power_peak_w for one in days), default=float("nan")),
        _room(search, answer, float(wheel[least_power])),
        days,
        float("nan") if limit is None else limit,
        whose,
        tightest(others),
        first is not None and _is_fixed(search, first.code),
    )


def _is_fixed(search: Search, code: str) -> bool:
    """Whether a limit is used alike at every size judged."""
    codes = [check.code for check in search.candidate.checks if check.part == "parts"]
    codes += [check.code for check in search.candidate.burn]
    used = search.used[codes.index(code)]
    some = used[search.known & np.isfinite(used)]
    return bool(some.size > 1 and np.ptp(some) < SAME)


def _shares(used: Floats) -> tuple[float, ...]:
    """Shares that are judged, the largest first."""
    return tuple(sorted((u for u in used.tolist() if u > -np.inf), reverse=True))


def _finite(value: float) -> float:
    return float(value) if np.isfinite(value) else float("nan")


def _day_numbers(
    name: str,
    line: OperatingLine,
    entry: Entry | None,
    question: CompressorAim,
    efficiency: float,
) -> DayNumbers:
    wheel = line.wheel_power_w
    top = int(np.argmax(np.where(np.isnan(wheel), -np.inf, wheel)))
    some = not np.isnan(wheel[top])
    at = np.array(question.speeds, dtype=float)
    told = np.interp(at, line.engine_speed_rpm, wheel, left=np.nan, right=np.nan)
    return DayNumbers(
        name,
        float(wheel[top]),
        _finite(float(peak(line.flywheel_power_w))),
        float(line.engine_speed_rpm[top]) if some else float("nan"),
        _finite(float(peak(line.boost_gauge_pa))),
        _finite(float(peak(line.drive_power_w))),
        _finite(efficiency),
        told,
        entry,
        line,
    )


def _room(search: Search, answer: Answer, power: float) -> Room | None:
    last = answer.last
    if last is None:
        return None
    there = float(np.min(peak(_line(search, last).wheel_power_w)))
    beyond, stop = last + 1, None
    if beyond < search.sizes.size and beyond in search.where:
        over = [e for one in _entries(search, beyond) for e in one if e.used > OVER_FROM]
        stop = tightest([e for e in over if e.part == "parts"] or over)
    setting = search.candidate.setting(float(search.sizes[last]))
    return Room(setting, there, there - power, stop)
