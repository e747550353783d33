"""A whole call of the match: flat points, blocks, and the lines put together again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from engine_model.belt_run import belt_run, grip_at
from engine_model.compressor.surface import Surface
from engine_model.drive.belt_grip import belt_speed
from engine_model.drive.belt_loss import speed_lost
from engine_model.drive.ratio import impeller_speed, pitch_ratio
from engine_model.errors import InputError
from engine_model.inputs import Build, Day, Variation
from engine_model.knock_line import KnockPlan, knock_plan
from engine_model.operating import BlockLine, solve_block
from engine_model.results import LINE_FIELDS, OperatingLine
from engine_model.solving import Block, BlockBelt
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

TOGETHER = 10_000
"""Below this many points all days are solved in one block."""


def surface_of(build: Build, surface: Surface | None = None) -> Surface | None:
    """The build's fitted surface, the caller's own where it belongs to the same map."""
    if build.drive.kind == "none" or build.blower.compressor_map is None:
        return None
    cmap, typed = build.blower.compressor_map, build.blower.typed_efficiency
    same = surface is not None and surface.compressor_map is cmap
    if surface is not None and same and (cmap.has_efficiency or surface.typed_efficiency == typed):
        return surface
    # scipy comes in with the fit: a third of a second that the first paint need not wait for
    from engine_model.compressor.surface_fit import fit_surface

    return fit_surface(cmap, typed)


@dataclass(frozen=True, slots=True, eq=False)
class Problem:
    """A whole call: plan, days and the flat arrays of its variation."""

    plan: Plan
    air: Air
    surface: Surface | None
    lead: tuple[int, ...]
    days: int
    varied: dict[str, Floats]
    knock: KnockPlan | None = None

    @property
    def speeds(self) -> int:
        """Number of engine speeds."""
        return self.plan.engine_speed.size

    @property
    def per_day(self) -> int:
        """Number of points of one day."""
        return int(np.prod(self.lead, dtype=int)) * self.speeds


def make_problem(
    build: Build,
    days: Sequence[Day],
    rpm: Floats,
    variation: Variation | None,
    surface: Surface | None,
    coarse: bool = False,
) -> Problem:
    """Unpack a call of the match.

    Parameters
    ----------
    build : Build
        The build.
    days : sequence of Day
        The days.
    rpm : ndarray
        Engine speeds. [rpm]
    variation : Variation or None
        Arrays that replace inputs point by point. [SI]
    surface : Surface or None
        The fitted compressor map, where the caller has it.
    coarse : bool
        Whether knock, where it costs power, is estimated in coarser steps.

    Returns
    -------
    Problem
        With the variation broadcast and flat, in the order day, leading axes, engine speed.
    """
    throttled = variation is not None and variation.throttle_area is not None
    if throttled and (build.drive.kind == "none" or build.bypass.boost_cap is not None):
        raise InputError(
            "variation.throttle_area", "areas", "a blown build without a boost cap only"
        )
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
    knock = knock_plan(build, rpm, coarse) if build.engine.spark == "estimated" else None
    return Problem(
        plan_of(build, rpm),
        air_of(days),
        surface_of(build, surface),
        shape[:-2],
        len(days),
        flat,
        knock,
    )


def _block(problem: Problem, start: int, stop: int) -> Block:
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
    crank = varied("crank_pulley_diameter", drive.crank_pulley_diameter)
    pulley = varied("blower_pulley_diameter", drive.blower_pulley_diameter)
    engine_speed = plan.engine_speed[at]
    asked = belt = None
    if drive.kind == "free_shaft":
        table = np.array(drive.boost_schedule)
        share = engine_speed / build.engine.limiter
        asked = np.interp(share, table[:, 0], table[:, 1])
        if drive.boost_schedule_basis == "absolute":
            asked = np.maximum(asked - air.pressure, 0.0)
        if "boost_gauge" in problem.varied:
            asked = problem.varied["boost_gauge"][start:stop]
        impeller = engine_speed
    elif drive.kind == "belt":
        imposed = varied("slip", 0.0)
        ratio = pitch_ratio(crank, pulley, drive.pitch_line)
        lost = speed_lost(imposed, drive.belt_creep)
        impeller = impeller_speed(engine_speed, ratio, build.blower.gear_ratio, lost)
        v = belt_speed(crank + 2.0 * drive.pitch_line, engine_speed)
        belt = BlockBelt(
            v,
            grip_at(drive, belt_run(build, crank, pulley), v),
            drive.belt_creep,
            imposed if "slip" in problem.varied else None,
        )
    else:
        impeller = engine_speed
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
    return Block(
        plan,
        problem.surface,
        breathing_of(plan),
        air,
        inputs,
        at,
        asked,
        belt,
        problem.knock,
    )


def _spans(problem: Problem) -> list[tuple[int, int]]:
    total = problem.days * problem.per_day
    if total <= TOGETHER:
        return [(0, total)]
    spans = []
    for day in range(problem.days):
        begin, end = day * problem.per_day, (day + 1) * problem.per_day
        spans += [(a, min(a + BLOCK, end)) for a in range(begin, end, BLOCK)]
    return spans


@dataclass(frozen=True, slots=True, eq=False)
class Solution:
    """Lines of a problem with axes (..., day, engine speed).

    Parameters
    ----------
    line : OperatingLine
        The lines.
    without_slip : OperatingLine or None
        The same with no slip of the belt, where it slips anywhere and that is asked.
    evaluations : int
        Residuals evaluated.
    """

    line: OperatingLine
    without_slip: OperatingLine | None
    evaluations: int


def solve_problem(problem: Problem, both: bool = False) -> Solution:
    """Solve a problem; asked for both, also without belt slip where there is some."""
    parts = [solve_block(_block(problem, *span), both) for span in _spans(problem)]
    without = None
    if any(part.without_slip is not None for part in parts):
        without = _together(problem, [part.without_slip or part for part in parts])
    evaluations = sum(part.evaluations for part in parts)
    return Solution(_together(problem, parts), without, evaluations)


def _together(problem: Problem, parts: list[BlockLine]) -> OperatingLine:
    """Lines put together from blocks."""
    total = problem.days * problem.per_day
    if len(parts) == 1:
        flat, region = parts[0].arrays, parts[0].region
    else:
        spans = _spans(problem)
        flat = {name: np.empty(total) for name in LINE_FIELDS}
        region = np.empty(total, dtype=np.int8)
        for (start, stop), part in zip(spans, parts, strict=True):
            region[start:stop] = part.region
            for name in LINE_FIELDS:
                flat[name][start:stop] = part.arrays[name]
    shape = (problem.days, *problem.lead, problem.speeds)
    final = (*problem.lead, problem.days, problem.speeds)
    in_order = problem.days == 1 or not problem.lead

    def shaped(array: NDArray) -> NDArray:  # type: ignore[type-arg]
        whole = array if array.size == total else np.broadcast_to(array, (total,))
        return whole.reshape(final) if in_order else np.moveaxis(whole.reshape(shape), 0, -2)

    values = {name: shaped(flat[name]) for name in LINE_FIELDS}
    return OperatingLine(region_index=shaped(region), **values)
