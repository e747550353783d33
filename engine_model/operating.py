"""One block of points: solve, then the numbers of the operating line."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.surface import S_PER_UNIT, Surface
from engine_model.defaults import INLET_REFERENCE_DENSITY
from engine_model.drive.belt_loss import crank_power, speed_lost
from engine_model.dyno.driveline import wheel_power
from engine_model.engine.power import drive_power
from engine_model.results import BELT_FIELDS, BELT_NOT_DRIVING, LINE_FIELDS, NO_COMPRESSOR
from engine_model.slipping import NOT_DRIVING, Slipped, belt_numbers, with_slip
from engine_model.solvers.shaft_solver import FOUND, NO_ROOT_RIGHT, OUT_OF_REACH
from engine_model.solving import Block, Solved, solve_states
from engine_model.unpack import inlet_temperature

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class BlockLine:
    """Operating line of a block of points.

    Parameters
    ----------
    arrays : dict of str to ndarray
        Numbers of the line; one element a point, or one for all.
    region : ndarray
        Index of the region of each point.
    evaluations : int
        Residuals evaluated.
    without_slip : BlockLine or None
        The same with no slip of the belt, where it slips anywhere and that is asked.
    """

    arrays: dict[str, Floats]
    region: NDArray[np.int8]
    evaluations: int
    without_slip: BlockLine | None = None


def solve_block(block: Block, both: bool = False) -> BlockLine:
    """Operating line of a block; asked for both, also without belt slip where there is some."""
    if block.surface is None:
        region = np.full(block.size, NO_COMPRESSOR, dtype=np.int8)
        return BlockLine(_unblown(block), region, 0)
    held = solve_states(block, block.surface)
    slipped = with_slip(block, block.surface, held)
    without = None
    if slipped.solved is not held and both:
        straight = Slipped(held, np.zeros(block.size))
        without = _line(block, block.surface, straight, held)
    line = _line(block, block.surface, slipped, held)
    return BlockLine(line.arrays, line.region, line.evaluations, without)


def _line(block: Block, surface: Surface, slipped: Slipped, held: Solved) -> BlockLine:
    places, speed = slipped.solved.places, slipped.solved.corrected_speed
    arrays = _numbers(block, surface, slipped, held)
    judged = block.plan.build.bounds.surge_judged_above
    s = np.where(places.outcome == NO_ROOT_RIGHT, 2.0, places.s)
    s = np.where(places.outcome == OUT_OF_REACH, 0.5, s)
    s = _judged_places(block, surface, slipped.solved, s)
    region = surface.classify(speed, s, judged)
    stands = places.outcome == NOT_DRIVING
    if np.any(stands):
        region = np.where(stands, BELT_NOT_DRIVING, region).astype(np.int8)
    return BlockLine(arrays, region, places.evaluations)


def _pulley_power(block: Block, solved: Solved) -> Floats:
    """Power that the blower takes at its pulley [W]."""
    blower, states = block.plan.build.blower, solved.states
    return drive_power(
        states.flow,
        states.enthalpy_rise,
        solved.impeller_speed,
        blower.gear_efficiency,
        blower.bearing_loss,
    )


def _belt_arrays(
    block: Block, slipped: Slipped, held: Solved, shaft: Floats
) -> tuple[dict[str, Floats], Floats]:
    """Numbers of the belt, and the power that the crank pays [W]."""
    belt = block.belt
    if belt is None:
        nothing = np.full(block.size, np.nan)
        free = block.plan.build.drive.kind == "free_shaft"
        numbers = dict.fromkeys(BELT_FIELDS, nothing)
        return numbers, np.zeros_like(shaft) if free else shaft
    straight = shaft if slipped.solved is held else _pulley_power(block, held)
    numbers = belt_numbers(belt, slipped.slip, shaft, straight)
    lost = speed_lost(slipped.slip, belt.creep)
    return numbers, crank_power(shaft, np.where(lost < 1.0, lost, np.nan))


def _numbers(block: Block, surface: Surface, slipped: Slipped, held: Solved) -> dict[str, Floats]:
    solved = slipped.solved
    plan, air, states = block.plan, block.air, solved.states
    at = block.speed_index
    found = solved.places.outcome == FOUND
    judged = solved.corrected_speed
    p3, t3, p4 = states.manifold_pressure, states.manifold_temperature, states.exhaust_pressure
    engine_flow = np.where(solved.bypass_flow > 0.0, states.engine_flow, states.flow)
    free = plan.build.drive.kind == "free_shaft"
    shaft = _pulley_power(block, solved)
    belt, crank = _belt_arrays(block, slipped, held, shaft)
    arrays = _engine_numbers(block, engine_flow, p3, t3, p4, crank)
    choke = surface.choke_flow(judged)
    surge, band = _surge(block, surface, judged)
    ratio = surge / states.corrected_flow
    arrays.update(
        air_flow_kg_s=states.flow,
        inlet_pressure_pa=states.inlet_pressure,
        inlet_temperature_k=solved.inlet_temperature,
        pressure_ratio=np.exp(states.log_pressure_ratio),
        corrected_flow_kg_s=states.corrected_flow,
        efficiency=states.efficiency,
        discharge_temperature_k=states.discharge_temperature,
        discharge_pressure_pa=states.discharge_pressure,
        bypass_flow_kg_s=solved.bypass_flow,
        drive_power_w=shaft if free else crank,
        surge_margin=1.0 - ratio,
        surge_margin_low=1.0 - ratio * (1.0 + band),
        surge_margin_high=1.0 - ratio * (1.0 - band),
        choke_margin=choke / states.corrected_flow - 1.0,
        boost_gauge_pa=p3 - air.pressure,
        belt_effective_tension_n=belt["belt_effective_tension_n"],
    )
    if not np.all(found):
        arrays = {k: np.where(found, v, np.nan) for k, v in arrays.items()}
    arrays.update(
        engine_speed_rpm=plan.engine_speed[at],
        corrected_speed_rpm=np.asarray(judged),
        impeller_speed_rpm=np.asarray(solved.impeller_speed),
    )
    stands = solved.places.outcome == NOT_DRIVING
    for key in ("belt_grip_used", "belt_slip"):
        # a belt that does not drive is known by them
        arrays[key] = np.where(found | stands, belt[key], np.nan)
    if np.any(stands):
        for key in ("corrected_speed_rpm", "impeller_speed_rpm"):
            arrays[key] = np.where(stands, np.nan, arrays[key])
    if free and not np.all(found):
        # the speed of a free shaft is part of the answer
        for key in ("corrected_speed_rpm", "impeller_speed_rpm"):
            arrays[key] = np.where(found, arrays[key], np.nan)
    return arrays


def _surge(block: Block, surface: Surface, corrected_speed: Floats) -> tuple[Floats, Floats]:
    """Surge flow [kg/s] and half the width of its band [-]; none where it is told where it lies."""
    surge = surface.surge_flow(corrected_speed)
    band = surface.surge_uncertainty(corrected_speed)
    shift = block.inputs.surge_shift
    told = ~np.isnan(shift)
    if not np.any(told):
        return surge, band
    return np.where(told, surge * (1.0 + shift * band), surge), np.where(told, 0.0, band)


def _judged_places(block: Block, surface: Surface, solved: Solved, s: Floats) -> Floats:
    """Places [-] by which regions are told: left of surge where it is told that surge lies."""
    if np.all(np.isnan(block.inputs.surge_shift)):
        return s
    surge, _ = _surge(block, surface, solved.corrected_speed)
    on_line = (solved.places.outcome == FOUND) & (s <= 1.0) & ~np.isnan(block.inputs.surge_shift)
    left = solved.states.corrected_flow < surge
    moved = np.where(left, np.minimum(s, -1.0 / S_PER_UNIT), np.maximum(s, 0.0))
    return np.where(on_line, moved, s)


def _engine_numbers(
    block: Block, flow: Floats, p3: Floats, t3: Floats, p4: Floats, crank_power: Floats
) -> dict[str, Floats]:
    """Power and fuel from air flow [kg/s] and the states on both sides of the engine."""
    plan, air = block.plan, block.air
    at = block.speed_index
    swept = plan.swept_rate[at]
    fuel = flow * (plan.fuel_per_dry_air / (1.0 + air.humidity))
    stock = block.inputs.stock
    pumping = (p3 - p4) - stock.pumping
    pumping *= swept
    flywheel = fuel * stock.work_per_fuel
    if block.knock is not None:
        flywheel *= block.knock.efficiency_factor(at, p3, t3, p4)
    flywheel -= stock.friction_power
    flywheel += pumping
    flywheel -= crank_power
    constant_loss = plan.build.driveline.constant_loss
    return {
        "manifold_pressure_pa": p3,
        "manifold_temperature_k": t3,
        "exhaust_pressure_pa": p4,
        "volumetric_efficiency": flow * air.gas.gas_constant * t3 / (p3 * swept),
        "fuel_flow_kg_s": fuel,
        "flywheel_power_w": flywheel,
        "wheel_power_w": wheel_power(flywheel, block.inputs.driveline_loss, constant_loss),
        "flywheel_torque_nm": flywheel / (plan.engine_speed[at] * (np.pi / 30.0)),
    }


def _unblown(block: Block) -> dict[str, Floats]:
    """The engine without a blower: both losses quadratic in flow, so explicit."""
    plan, air, e = block.plan, block.air, block.breathing
    size = block.size
    t1 = np.broadcast_to(inlet_temperature(plan, air), (size,))
    p0 = np.broadcast_to(air.pressure, (size,))
    engine_factor, inlet_factor, share = _unblown_factors(block, t1)
    cp = air.gas.specific_heat(t1)
    swallow = engine_factor * t1 ** (e.temperature_exponent - 1.0)
    swallow = swallow / (np.sqrt(1.0 - e.vapour_heat / (cp * t1)) * (1.0 + e.vapour_moles))
    a = swallow * (e.bracket_intake - e.bracket_exhaust) * p0
    c = swallow * (
        e.bracket_intake * inlet_factor + e.bracket_exhaust * e.exhaust_factor * (1.0 + share) ** 2
    )
    flow = 2.0 * a / (1.0 + np.sqrt(1.0 + 4.0 * a * c))
    p1 = p0 - inlet_factor * flow**2
    p4 = p0 + e.exhaust_factor * ((1.0 + share) * flow) ** 2
    arrays = {name: np.full(size, np.nan) for name in LINE_FIELDS}
    arrays.update(_engine_numbers(block, flow, p1, np.array(t1), p4, np.zeros(size)))
    arrays.update(
        engine_speed_rpm=plan.engine_speed[block.speed_index],
        air_flow_kg_s=flow,
        inlet_pressure_pa=p1,
        inlet_temperature_k=np.array(t1),
        boost_gauge_pa=p1 - p0,
        bypass_flow_kg_s=np.zeros(size),
        drive_power_w=np.zeros(size),
    )
    return arrays


def _unblown_factors(block: Block, temperature: Floats) -> tuple[Floats, Floats, Floats]:
    """Engine factor, inlet loss factor and fuel share of points without a blower."""
    plan, air = block.plan, block.air
    gas = air.gas.gas_constant
    entry = gas * temperature / air.pressure
    loss = plan.build.inlet.pressure_loss / plan.rated**2
    return (
        np.asarray(block.inputs.engine_factor / gas),
        np.asarray(loss * INLET_REFERENCE_DENSITY * entry),
        np.asarray(plan.fuel_per_dry_air / (1.0 + air.humidity)),
    )
