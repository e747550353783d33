"""The match: the one entry to the model.

``match_many`` is the road; ``match`` is its scalar case, ``ledger_over_days`` judges its lines.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.compressor.surface import Surface
from engine_model.defaults import ENGINE_SPEED_STEP, LOWEST_ENGINE_SPEED, PULLEY_SEARCH
from engine_model.errors import InputError
from engine_model.inputs import Build, Day, Variation
from engine_model.knock_line import knock_of_line, knock_of_other, knock_plan
from engine_model.limits.judging import Verdict
from engine_model.limits.ledger import entries_of_day, entries_of_worst_day, judge_all
from engine_model.line_judging import judged_lines
from engine_model.problem import make_problem, solve_problem, surface_of
from engine_model.results import Entry, LineKnock, Match, OperatingLine
from engine_model.solvers.boost_solver import PulleyForBoost, largest_pulley

Floats = NDArray[np.float64]
Schedule = tuple[tuple[float, float], ...]


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
    return solve_problem(make_problem(build, days, speeds, variation, surface)).line


def count_evaluations(
    build: Build, days: Sequence[Day], rpm: ArrayLike, *, surface: Surface | None = None
) -> tuple[int, int]:
    """Residuals evaluated and points solved for a call of :func:`match_many` (benchmarks)."""
    problem = make_problem(build, days, check_engine_speeds(rpm), None, surface)
    return solve_problem(problem).evaluations, problem.days * problem.per_day


def _with_limiter(build: Build, rpm: Floats) -> Floats:
    limiter = build.engine.limiter
    return rpm if np.any(rpm == limiter) else np.append(rpm, limiter)


class JudgedDays(NamedTuple):
    """Lines over days with their verdicts.

    Parameters
    ----------
    line : OperatingLine
        Axes (day, engine speed).
    verdicts : tuple of Verdict
        In the order of ``CHECKS``, one number a day.
    without_slip : OperatingLine or None
        The lines with no slip of the belt, where it slips anywhere.
    knock : LineKnock
        The estimate of knock along the lines.
    """

    line: OperatingLine
    verdicts: tuple[Verdict, ...]
    without_slip: OperatingLine | None
    knock: LineKnock


def judge_days(
    build: Build,
    days: Sequence[Day],
    rpm: ArrayLike | None = None,
    *,
    surface: Surface | None = None,
    coarse: bool = False,
    known_knock: LineKnock | None = None,
) -> JudgedDays:
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
    coarse : bool
        Whether knock is estimated in coarser steps, within 0.3 % of power.
    known_knock : LineKnock, optional
        Estimate of knock of nearly the same lines, taken as it is where it has their axes and
        the belt slips nowhere; a step of a drag may so leave it out.

    Returns
    -------
    JudgedDays
        Lines of axes (day, engine speed), at the speeds asked; verdicts of one number a day.

    References
    ----------
    As :func:`match_many`.
    """
    speeds = default_engine_speeds(build) if rpm is None else check_engine_speeds(rpm)
    if not days:
        raise InputError("days", 0, "one day or more")
    every = _with_limiter(build, speeds)
    problem = make_problem(build, days, every, None, surface, coarse)
    solution = solve_problem(problem, both=True)
    line, held = solution.line, solution.without_slip
    plan = knock_plan(build, every, coarse)
    knock = known_knock if held is None else None
    if knock is None or knock.retard_deg.shape != line.region_index.shape:
        knock = knock_of_line(plan, line, not coarse)
    straight = None if held is None else knock_of_other(plan, held, line, knock)
    judged = judged_lines(build, days, line, line_without_slip=held)
    verdicts = judge_all(replace(judged, knock=knock, knock_without_slip=straight))
    if every.size != speeds.size:
        asked = (slice(None), slice(0, speeds.size))
        line, held = line.part(asked), None if held is None else held.part(asked)
        knock = knock.part(asked)
    return JudgedDays(line, verdicts, held, knock)


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
    judged = judge_days(build, [the_day], rpm, surface=surface)
    ledger = entries_of_day(judged.verdicts, 0, (the_day.name,))
    held = None if judged.without_slip is None else judged.without_slip.part(0)
    return Match(build, the_day, judged.line.part(0), ledger, held, judged.knock.part(0))


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
    verdicts = judge_days(build, days, rpm, surface=surface).verdicts
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
        # on the branch without slip: a belt that slips does not ask for a smaller pulley
        variation = Variation(
            blower_pulley_diameter=diameter[:, None, None], slip=np.zeros((1, 1, 1))
        )
        line = match_many(build, [day], speeds, variation, surface=fitted)
        return line.boost_gauge_pa[:, 0, 0]

    return largest_pulley(boost_of, boost, *PULLEY_SEARCH)


def schedule_for_boost(build: Build, boost: float, engine_speed: float) -> Schedule:
    """Boost schedule of a free shaft, scaled so that it asks a boost at an engine speed.

    Parameters
    ----------
    build : Build
        A build whose compressor is driven by a free shaft.
    boost : float
        Boost asked. [Pa gauge]
    engine_speed : float
        Engine speed. [rpm]

    Returns
    -------
    tuple of (float, float)
        Share of the limiter [-] and boost [Pa gauge], every boost by the same factor.

    References
    ----------
    None: a choice of this bench, the shape of the schedule is kept.
    """
    drive = build.drive
    if drive.kind != "free_shaft":
        raise InputError("drive.kind", drive.kind, "free_shaft, to scale a boost schedule")
    shares, values = np.array(drive.boost_schedule).T
    now = float(np.interp(engine_speed / build.engine.limiter, shares, values))
    if drive.boost_schedule_basis == "absolute" or now <= 0.0:
        allowed = "a gauge schedule with boost at this engine speed"
        raise InputError("drive.boost_schedule", now, allowed)
    scaled = values * (boost / now)
    return tuple((float(a), float(b)) for a, b in zip(shares, scaled, strict=True))
