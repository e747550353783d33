"""Sampled operating lines and what the ledger says of each: a chunk at a time, elementwise."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.surface import Surface
from engine_model.inputs import Build, Day, Variation
from engine_model.knock_line import knock_of_line, knock_of_other, knock_plan
from engine_model.limits.judging import Judged
from engine_model.limits.ledger import judge_all
from engine_model.line_judging import judged_lines
from engine_model.problem import Solution, make_problem, solve_problem
from engine_model.results import BELT_FIELDS
from engine_model.studies.uncertain_inputs import variation_of
from engine_model.unpack import Air, air_of

Floats = NDArray[np.float64]

BAND_FIELDS = (
    "pressure_ratio",
    "corrected_flow_kg_s",
    "air_flow_kg_s",
    "boost_gauge_pa",
    "flywheel_power_w",
    "wheel_power_w",
    "flywheel_torque_nm",
    "manifold_temperature_k",
    "impeller_speed_rpm",
    "corrected_speed_rpm",
    "efficiency",
    "surge_margin",
    "choke_margin",
    "drive_power_w",
    "belt_grip_used",
    "belt_slip",
    "belt_effective_tension_n",
    "fuel_flow_kg_s",
)
"""Fields of the operating line that get bands."""

_UNBLOWN = (
    "air_flow_kg_s",
    "boost_gauge_pa",
    "flywheel_power_w",
    "wheel_power_w",
    "flywheel_torque_nm",
    "manifold_temperature_k",
    "fuel_flow_kg_s",
)


def band_fields(build: Build) -> tuple[str, ...]:
    """Fields of the operating line that get bands and that a build of this drive has."""
    if build.drive.kind == "none":
        return _UNBLOWN
    belt = build.drive.kind == "belt"
    return tuple(name for name in BAND_FIELDS if belt or name not in BELT_FIELDS)


@dataclass(frozen=True, slots=True, eq=False)
class SampleTask:
    """What one call of :func:`sample_lines` needs; it can be pickled.

    Parameters
    ----------
    build : Build
        The build.
    surface : Surface or None
        Its fitted compressor map.
    days : tuple of Day
        Days of the lines; bands are of the first.
    engine_speed : ndarray
        Engine speeds, the limiter among them. [rpm]
    shown : int
        How many of them, from the first, get bands.
    table : ndarray, shape (inputs, days)
        Sizes of the spreads. SI
    draws : ndarray, shape (samples, inputs)
        Standard normal draws of these samples. [-]
    coarse : bool
        Whether knock is estimated in coarser steps, within 0.3 % of power.
    """

    build: Build
    surface: Surface | None
    days: tuple[Day, ...]
    engine_speed: Floats
    shown: int
    table: Floats
    draws: Floats
    coarse: bool


@dataclass(frozen=True, slots=True, eq=False)
class LineSamples:
    """Sampled lines, one a draw, in the order of the draws.

    Parameters
    ----------
    values : dict of str to ndarray
        Fields of the line on the first day; axes (sample, engine speed). SI
    used : ndarray
        Shares used; axes (check, sample, day). [-]
    """

    values: dict[str, Floats]
    used: Floats

    @staticmethod
    def together(parts: Sequence[LineSamples]) -> LineSamples:
        """Put chunks together in their order."""
        if len(parts) == 1:
            return parts[0]
        names = parts[0].values
        values = {name: np.concatenate([one.values[name] for one in parts]) for name in names}
        return LineSamples(values, np.concatenate([one.used for one in parts], axis=1))


def sample_lines(task: SampleTask) -> LineSamples:
    """Solve and judge the lines of a chunk of samples; no sample depends on another.

    Parameters
    ----------
    task : SampleTask
        The chunk.

    Returns
    -------
    LineSamples
        One line a sample.

    References
    ----------
    As ``match_many`` and the ledger's checks.
    """
    build, days = task.build, task.days
    variation = variation_of(build, task.table, task.draws)
    problem = make_problem(
        build, days, task.engine_speed, variation, task.surface, coarse=task.coarse
    )
    solution = solve_problem(problem, both=True)
    line = solution.line
    lead = line.air_flow_kg_s.shape[:-1]

    def pulley(name: str) -> Floats | None:
        value = getattr(variation, name)
        return None if value is None else np.broadcast_to(value[..., 0], lead)

    judged = judged_lines(
        build,
        days,
        line,
        pulley("blower_pulley_diameter"),
        pulley("crank_pulley_diameter"),
        solution.without_slip,
        _air(days, variation),
    )
    verdicts = judge_all(_with_knock(task, judged, solution))
    used = np.stack([np.broadcast_to(verdict.used, lead) for verdict in verdicts])
    first = (slice(None), 0, slice(0, task.shown))
    values = {name: np.ascontiguousarray(getattr(line, name)[first]) for name in band_fields(build)}
    return LineSamples(values, used)


def _air(days: Sequence[Day], variation: Variation) -> Air:
    """Air of every sampled line, of axes sample and day."""
    shifts = (
        variation.day_temperature_shift,
        variation.day_pressure_shift,
        variation.day_humidity_shift,
    )
    air = air_of(days)
    if all(shift is None for shift in shifts):
        return air
    return air.shifted(*(0.0 if shift is None else shift[..., 0] for shift in shifts))


def _with_knock(task: SampleTask, judged: Judged, solution: Solution) -> Judged:
    """The same with the estimate of knock, where a bound asks for it; it is half the work."""
    bounds = task.build.bounds
    if bounds.knock_retard is None and bounds.cylinder_pressure is None:
        return judged
    plan = knock_plan(task.build, task.engine_speed, task.coarse)
    knock = knock_of_line(plan, solution.line, remedy=False)
    held = solution.without_slip
    straight = None if held is None else knock_of_other(plan, held, solution.line, knock)
    return replace(judged, knock=knock, knock_without_slip=straight)
