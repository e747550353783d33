"""The match: the one entry to the model.

``match_many`` is the road; ``match`` is its scalar case, ``ledger_over_days`` judges its lines.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.compressor.surface import Surface
from engine_model.compressor.surface_fit import fit_surface
from engine_model.defaults import (
    DEFAULTS,
    ENGINE_SPEED_STEP,
    LOWEST_ENGINE_SPEED,
    PULLEY_SEARCH,
)
from engine_model.drive.ratio import impeller_speed, pitch_ratio
from engine_model.errors import InputError
from engine_model.fuel.fuels import fuel_named
from engine_model.inputs import INPUT_PATHS, Build, Day, Variation
from engine_model.limits.judging import Judged, Verdict
from engine_model.limits.ledger import entries_of_day, entries_of_worst_day, judge_all
from engine_model.operating import Block, solve_block
from engine_model.results import LINE_FIELDS, Entry, Match, OperatingLine
from engine_model.solvers.boost_solver import PulleyForBoost, largest_pulley
from engine_model.unpack import (
    Air,
    BlockInputs,
    Plan,
    air_of,
    block_air,
    breathing_of,
    log_units_at_unit_flow,
    plan_of,
    swallowing_of,
)

Floats = NDArray[np.float64]

BLOCK = 24_576
"""Points solved at a time; fits the cache of one core."""

TOGETHER = 4096
"""Below this many points all days are solved in one block."""


def default_engine_speeds(build: Build) -> Floats:
    """Engine speeds of a line unless asked otherwise: 1500 to the limiter by 50 [rpm]."""
    limiter = build.engine.limiter
    speeds = np.arange(min(LOWEST_ENGINE_SPEED, limiter), limiter, ENGINE_SPEED_STEP)
    return np.append(speeds, limiter)


def check_engine_speeds(rpm: ArrayLike) -> Floats:
    """Engine speeds as an array, or an :class:`InputError` [rpm]."""
    speeds = np.atleast_1d(np.asarray(rpm, dtype=float))
    if speeds.ndim != 1 or speeds.size == 0:
        raise InputError("rpm", speeds.shape, "a list of engine speeds")
    bad = speeds[~((speeds >= 100.0) & (speeds <= 24000.0))]
    if bad.size:
        raise InputError("rpm", float(bad[0]), "100 to 24000 rpm")
    return speeds


def surface_of(build: Build, surface: Surface | None = None) -> Surface | None:
    """The build's fitted surface, the caller's own where it belongs to the same map."""
    if build.drive.kind == "none" or build.blower.compressor_map is None:
        return None
    if surface is not None and surface.compressor_map is build.blower.compressor_map:
        return surface
    return fit_surface(build.blower.compressor_map, build.blower.typed_efficiency)


@dataclass(frozen=True, slots=True, eq=False)
class _Problem:
    """A whole call: plan, days and the flat arrays of its variation."""

    plan: Plan
    air: Air
    surface: Surface | None
    lead: tuple[int, ...]
    days: int
    varied: dict[str, Floats]

    @property
    def speeds(self) -> int:
        return self.plan.engine_speed.size

    @property
    def per_day(self) -> int:
        return int(np.prod(self.lead, dtype=int)) * self.speeds


def _problem(
    build: Build,
    days: Sequence[Day],
    rpm: Floats,
    variation: Variation | None,
    surface: Surface | None,
) -> _Problem:
    inner = (len(days), rpm.size)
    given = {}
    if variation is not None:
        for one in fields(variation):
            value = getattr(variation, one.name)
            if value is not None:
                given[one.name] = np.asarray(value, dtype=float)
    shape = np.broadcast_shapes(inner, *(v.shape for v in given.values()))
    if shape[-2:] != inner:
        raise InputError("variation", shape, f"axes that end in (days, speeds) = {inner}")
    # flat order: day, then the leading axes, then engine speed
    flat = {}
    for name, value in given.items():
        whole = np.moveaxis(np.broadcast_to(value, shape), -2, 0)
        flat[name] = np.ascontiguousarray(whole).ravel()
    return _Problem(
        plan_of(build, rpm), air_of(days), surface_of(build, surface), shape[:-2], len(days), flat
    )


def _block(problem: _Problem, start: int, stop: int) -> Block:
    """Points start to stop of the flat order; one day, or all days together."""
    plan, build = problem.plan, problem.plan.build
    points = np.arange(start, stop)
    at = points % problem.speeds
    first, last = start // problem.per_day, (stop - 1) // problem.per_day
    day = np.array([first]) if first == last else points // problem.per_day
    air = block_air(problem.air, day)

    def varied(name: str, otherwise: float) -> Floats:
        if name in problem.varied:
            return problem.varied[name][start:stop]
        return np.array([otherwise])

    drive = build.drive
    slip = varied("slip", 0.0)
    ratio = pitch_ratio(
        varied("crank_pulley_diameter", drive.crank_pulley_diameter),
        varied("blower_pulley_diameter", drive.blower_pulley_diameter),
        drive.pitch_offset,
    )
    engine_speed = plan.engine_speed[at]
    asked = None
    if drive.kind == "free_shaft":
        table = np.array(drive.boost_schedule)
        share = engine_speed / build.engine.limiter
        asked = np.interp(share, table[:, 0], table[:, 1])
        if drive.boost_schedule_basis == "absolute":
            asked = np.maximum(asked - air.pressure, 0.0)
        if "boost_gauge" in problem.varied:
            asked = problem.varied["boost_gauge"][start:stop]
        impeller = engine_speed
    else:
        impeller = impeller_speed(engine_speed, ratio, build.blower.gear_ratio, slip)
    effectiveness = varied("cooler_effectiveness", build.cooler.effectiveness)
    if build.cooler.kind == "none":
        units = np.zeros(1)
    else:
        distinct, back = np.unique(effectiveness, return_inverse=True)
        units = log_units_at_unit_flow(plan, distinct)[back]
    inputs = BlockInputs(
        impeller,
        swallowing_of(plan)[at] * varied("volumetric_efficiency_factor", 1.0),
        varied("compressor_efficiency_shift", 0.0),
        varied("compressor_flow_factor", 1.0),
        varied("throttle_area", np.inf),
        units,
    )
    return Block(plan, problem.surface, breathing_of(plan), air, inputs, at, slip, asked)


def _spans(problem: _Problem) -> list[tuple[int, int]]:
    total = problem.days * problem.per_day
    if total <= TOGETHER:
        return [(0, total)]
    spans = []
    for day in range(problem.days):
        begin, end = day * problem.per_day, (day + 1) * problem.per_day
        spans += [(a, min(a + BLOCK, end)) for a in range(begin, end, BLOCK)]
    return spans


def _solve(problem: _Problem) -> tuple[OperatingLine, int]:
    total = problem.days * problem.per_day
    spans = _spans(problem)
    evaluations = 0
    if len(spans) == 1:
        flat, region, evaluations = solve_block(_block(problem, 0, total))
    else:
        flat = {name: np.empty(total) for name in LINE_FIELDS}
        region = np.empty(total, dtype=np.int8)
        for start, stop in spans:
            arrays, part, count = solve_block(_block(problem, start, stop))
            evaluations += count
            region[start:stop] = part
            for name in LINE_FIELDS:
                flat[name][start:stop] = arrays[name]
    shape = (problem.days, *problem.lead, problem.speeds)
    final = (*problem.lead, problem.days, problem.speeds)
    in_order = problem.days == 1 or not problem.lead

    def shaped(array: NDArray) -> NDArray:  # type: ignore[type-arg]
        whole = array if array.size == total else np.broadcast_to(array, (total,))
        return whole.reshape(final) if in_order else np.moveaxis(whole.reshape(shape), 0, -2)

    values = {name: shaped(flat[name]) for name in LINE_FIELDS}
    return OperatingLine(region_index=shaped(region), **values), evaluations


def match_many(
    build: Build,
    days: Sequence[Day],
    rpm: ArrayLike | None = None,
    variation: Variation | None = None,
    *,
    surface: Surface | None = None,
) -> OperatingLine:
    """Operating lines of a build over days, engine speeds and any leading axes.

    Parameters
    ----------
    build : Build
        The build.
    days : sequence of Day
        The days.
    rpm : array_like, optional
        Engine speeds; 1500 to the limiter by 50 unless given. [rpm] 100-24000
    variation : Variation, optional
        Arrays that replace inputs point by point; axes (..., day, engine speed). [SI]
    surface : Surface, optional
        The fitted compressor map, where the caller has it.

    Returns
    -------
    OperatingLine
        Arrays of axes (..., day, engine speed), SI; nan where nothing balances.

    Raises
    ------
    InputError
        For engine speeds, days or shapes that cannot be.

    References
    ----------
    Mass and energy balance of compressor, charge cooler and engine, station by station.
    """
    if not days:
        raise InputError("days", 0, "one day or more")
    speeds = default_engine_speeds(build) if rpm is None else check_engine_speeds(rpm)
    return _solve(_problem(build, days, speeds, variation, surface))[0]


def count_evaluations(
    build: Build, days: Sequence[Day], rpm: ArrayLike, *, surface: Surface | None = None
) -> tuple[int, int]:
    """Residuals evaluated and points solved for a call of :func:`match_many` (benchmarks)."""
    problem = _problem(build, days, check_engine_speeds(rpm), None, surface)
    return _solve(problem)[1], problem.days * problem.per_day


_MAY_BE_BLANK = tuple(p for p in INPUT_PATHS if DEFAULTS[p].origin.startswith("blank"))


def count_inputs(build: Build) -> tuple[int, int]:
    """Assumed inputs and all inputs; limits left blank are no inputs."""
    blank = sum(build.value(path) is None and path not in build.given for path in _MAY_BE_BLANK)
    every = len(INPUT_PATHS) - blank
    return every - len(build.given), every


def _judged(build: Build, days: Sequence[Day], line: OperatingLine) -> Judged:
    air = air_of(days)
    lead = line.air_flow_kg_s.shape[:-1]
    at_limiter = at_over_rev = np.full(lead, np.nan)
    if build.drive.kind == "belt":
        ratio = pitch_ratio(
            build.drive.crank_pulley_diameter,
            build.drive.blower_pulley_diameter,
            build.drive.pitch_offset,
        )
        gear = build.blower.gear_ratio
        at_limiter = np.full(lead, impeller_speed(build.engine.limiter, ratio, gear))
        at_over_rev = np.full(lead, impeller_speed(build.engine.over_rev_speed, ratio, gear))
    assumed, inputs = count_inputs(build)
    heating_value = fuel_named(build.engine.fuel).heating_value
    return Judged(
        build,
        line,
        air.temperature,
        air.pressure,
        tuple(day.name for day in days),
        at_limiter,
        at_over_rev,
        assumed,
        inputs,
        heating_value,
    )


def _with_limiter(build: Build, rpm: Floats) -> Floats:
    limiter = build.engine.limiter
    return rpm if np.any(rpm == limiter) else np.append(rpm, limiter)


def judge_days(
    build: Build,
    days: Sequence[Day],
    rpm: ArrayLike | None = None,
    *,
    surface: Surface | None = None,
) -> tuple[OperatingLine, tuple[Verdict, ...]]:
    """Lines over days, and the verdict of every check on each day.

    Parameters
    ----------
    build : Build
        The build.
    days : sequence of Day
        The days.
    rpm : array_like, optional
        Engine speeds; the limiter is judged whatever is given. [rpm]
    surface : Surface, optional
        The fitted compressor map.

    Returns
    -------
    line : OperatingLine
        Axes (day, engine speed), at the speeds asked.
    verdicts : tuple of Verdict
        In the order of ``CHECKS``, one number a day.

    References
    ----------
    As :func:`match_many`.
    """
    speeds = default_engine_speeds(build) if rpm is None else check_engine_speeds(rpm)
    judged_speeds = _with_limiter(build, speeds)
    line = match_many(build, days, judged_speeds, surface=surface)
    verdicts = judge_all(_judged(build, days, line))
    if judged_speeds.size != speeds.size:
        line = line.part((slice(None), slice(0, speeds.size)))
    return line, verdicts


def match(
    build: Build,
    day: Day | None = None,
    rpm: ArrayLike | None = None,
    *,
    surface: Surface | None = None,
) -> Match:
    """Match of one build on one day.

    Parameters
    ----------
    build : Build
        The build.
    day : Day, optional
        The day; the mild one unless given.
    rpm : array_like, optional
        Engine speeds; 1500 to the limiter by 50 unless given. [rpm]
    surface : Surface, optional
        The fitted compressor map, where the caller has it.

    Returns
    -------
    Match
        Operating line and ledger.

    References
    ----------
    As :func:`match_many`.
    """
    the_day = build.known_days()["mild"] if day is None else day
    line, verdicts = judge_days(build, [the_day], rpm, surface=surface)
    return Match(build, the_day, line.part(0), entries_of_day(verdicts, 0, (the_day.name,)))


def ledger_over_days(
    build: Build,
    days: Sequence[Day],
    rpm: ArrayLike | None = None,
    *,
    surface: Surface | None = None,
) -> tuple[Entry, ...]:
    """Ledger over several days, each entry on its worst day.

    Parameters
    ----------
    build : Build
        The build.
    days : sequence of Day
        The days.
    rpm : array_like, optional
        Engine speeds. [rpm]
    surface : Surface, optional
        The fitted compressor map.

    Returns
    -------
    tuple of Entry
        In the order of ``CHECKS``, the worst day named.

    References
    ----------
    As :func:`match_many`.
    """
    _, verdicts = judge_days(build, days, rpm, surface=surface)
    return entries_of_worst_day(verdicts, tuple(day.name for day in days))


def pulley_for_boost(
    build: Build,
    day: Day,
    boost: float,
    engine_speed: float,
    *,
    surface: Surface | None = None,
) -> PulleyForBoost:
    """Largest blower pulley that gives a boost at an engine speed, without slip.

    Parameters
    ----------
    build : Build
        A belt-driven build.
    day : Day
        The day.
    boost : float
        Boost asked. [Pa gauge]
    engine_speed : float
        Engine speed. [rpm]
    surface : Surface, optional
        The fitted compressor map.

    Returns
    -------
    PulleyForBoost
        The pulley, or the most boost that can be had and where.

    References
    ----------
    As :func:`match_many`; the search range is a default, 40 to 250 mm.
    """
    if build.drive.kind != "belt":
        raise InputError("drive.kind", build.drive.kind, "belt, to ask for a pulley")
    fitted = surface_of(build, surface)
    speeds = check_engine_speeds([engine_speed])

    def boost_of(diameter: Floats) -> Floats:
        variation = Variation(blower_pulley_diameter=diameter[:, None, None])
        line = match_many(build, [day], speeds, variation, surface=fitted)
        return line.boost_gauge_pa[:, 0, 0]

    return largest_pulley(boost_of, boost, *PULLEY_SEARCH)
