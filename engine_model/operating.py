"""One block of points: solve, then the numbers of the operating line."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from engine_model.air.gas import inlet_gas
from engine_model.compressor.surface import Surface
from engine_model.defaults import INLET_REFERENCE_DENSITY
from engine_model.engine.power import drive_power, wheel_power
from engine_model.results import LINE_FIELDS, NO_COMPRESSOR
from engine_model.solvers.bypass_solver import hold_cap
from engine_model.solvers.chain import Breathing, Chain, Points, States
from engine_model.solvers.free_shaft_solver import solve_free_shaft
from engine_model.solvers.shaft_solver import (
    FOUND,
    NO_ROOT_LEFT,
    NO_ROOT_RIGHT,
    OUT_OF_REACH,
    Places,
    solve_places,
)
from engine_model.unpack import BlockAir, BlockInputs, Plan, inlet_temperature, make_points

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """A block of points before it is solved.

    Parameters
    ----------
    plan : Plan
        The build.
    surface : Surface or None
        Its compressor.
    breathing : Breathing
        The engine.
    air : BlockAir
        The day of each point.
    inputs : BlockInputs
        Inputs of each point.
    speed_index : ndarray
        Index of each point's engine speed in the plan.
    slip : ndarray
        Belt slip of each point. [-]
    asked_boost : ndarray or None
        Boost of a free shaft. [Pa gauge]
    """

    plan: Plan
    surface: Surface | None
    breathing: Breathing
    air: BlockAir
    inputs: BlockInputs
    speed_index: Indices
    slip: Floats
    asked_boost: Floats | None

    @property
    def size(self) -> int:
        """Number of points."""
        return self.speed_index.size


@dataclass(frozen=True, slots=True, eq=False)
class _Solved:
    """Places and states of a block with a compressor."""

    corrected_speed: Floats
    impeller_speed: Floats
    inlet_temperature: Floats
    places: Places
    states: States
    bypass_flow: Floats


def solve_block(block: Block) -> tuple[dict[str, Floats], NDArray[np.int8], int]:
    """Arrays of the operating line for a block, regions, and residuals evaluated."""
    if block.surface is None:
        return _unblown(block), np.full(block.size, NO_COMPRESSOR, dtype=np.int8), 0
    solved = _solve(block, block.surface)
    arrays = _numbers(block, block.surface, solved)
    judged = block.plan.build.bounds.surge_judged_above
    s = np.where(solved.places.outcome == NO_ROOT_RIGHT, 2.0, solved.places.s)
    s = np.where(solved.places.outcome == OUT_OF_REACH, 0.5, s)
    region = block.surface.classify(solved.corrected_speed, s, judged)
    return arrays, region, solved.places.evaluations


def _solve(block: Block, surface: Surface) -> _Solved:
    plan, air = block.plan, block.air
    fresh = inlet_temperature(plan, air)
    points = make_points(plan, surface, air, block.inputs, fresh)
    chain = Chain(
        surface,
        block.breathing,
        points,
        plan.build.cooler.kind != "none",
        bool(np.any(np.isfinite(block.inputs.throttle_area))),
    )
    size = block.size
    judged = plan.build.bounds.surge_judged_above
    if block.asked_boost is not None:
        # one table row serves all lines: how far left to look is settled at the solved speed
        least = np.full(size, -2.0)
        speed, places = solve_free_shaft(chain, least, air.pressure + block.asked_boost)
        impeller = speed * (block.inputs.impeller_speed / points.corrected_speed)
        weak = surface.surge_pressure_ratio(speed) < judged
        lost = (places.s < -1.0) & ~weak
        outcome = np.where(lost, 1, places.outcome).astype(np.int8)
        places = Places(np.where(lost, np.nan, places.s), outcome, places.evaluations)
        chain = chain.at_speed(speed)
    else:
        speed = np.broadcast_to(points.corrected_speed, (size,))
        impeller = np.broadcast_to(block.inputs.impeller_speed, (size,))
        weak = surface.surge_pressure_ratio(speed) < judged
        places = solve_places(chain, np.where(weak, -2.0, -1.0))
    # where the engine takes too little, the line begins at 0.6 of its surge flow
    shut = np.where(places.outcome == NO_ROOT_LEFT, -1.0, 0.0)
    shut = np.where(places.outcome == FOUND, places.s, shut)
    states = chain.breathe(chain.to_manifold(shut))
    temperature = np.broadcast_to(fresh, (size,))
    bypass = np.zeros(size)
    cap = plan.build.bypass.boost_cap
    if cap is not None:
        able = places.outcome <= NO_ROOT_LEFT
        over = able & (states.manifold_pressure > air.pressure + cap)
        index = np.flatnonzero(over)
        if index.size:
            return _capped(block, surface, chain, places, states, index, impeller, shut)
    return _Solved(speed, impeller, temperature, places, states, bypass)


def _capped(
    block: Block,
    surface: Surface,
    chain: Chain,
    places: Places,
    states: States,
    index: Indices,
    impeller: Floats,
    shut: Floats,
) -> _Solved:
    """Open the bypass of the points over the cap."""
    plan, air = block.plan, block.air
    size = block.size
    cap = plan.build.bypass.boost_cap or 0.0
    speed = np.broadcast_to(chain.points.corrected_speed, (size,)).copy()
    fresh = np.broadcast_to(inlet_temperature(plan, air), (size,))
    pressure = np.broadcast_to(air.pressure, (size,))

    def reheat(points: Points, temperature: Floats) -> Points:
        # corrected speed, flow and the gas follow station 1; the filter keeps the fresh air
        old = points.inlet.temperature
        gas = points.inlet.air
        g_old, g_new = gas.ratio_of_specific_heats(old), gas.ratio_of_specific_heats(temperature)
        slower = np.sqrt(g_old * old / (g_new * temperature))
        fewer = np.sqrt(old * g_new / (g_old * temperature))
        n = points.corrected_speed * slower
        row, share = surface.speed_position(n)
        return replace(
            points,
            inlet=inlet_gas(gas, temperature),
            flow_factor=points.flow_factor * fewer,
            corrected_speed=n,
            speed_row=row,
            speed_share=share,
        )

    recirculated = plan.build.bypass.vent == "recirculated"
    capped = hold_cap(
        chain.only(index),
        shut[index],
        pressure[index] + cap,
        fresh[index],
        recirculated,
        reheat,
    )
    s, temperature, bypass = places.s.copy(), fresh.copy(), np.zeros(size)
    s[index], temperature[index] = capped.s, capped.inlet_temperature
    speed[index] = np.broadcast_to(capped.chain.points.corrected_speed, index.shape)
    bypass[index] = capped.states.flow - capped.states.engine_flow
    merged = {}
    for name in States.__dataclass_fields__:
        value = np.array(getattr(states, name))
        value[index] = getattr(capped.states, name)
        merged[name] = value
    outcome = places.outcome.copy()
    outcome[index] = np.where(capped.held, FOUND, NO_ROOT_RIGHT)
    s[index] = np.where(capped.held, capped.s, np.nan)
    placed = Places(s, outcome, places.evaluations)
    return _Solved(speed, impeller, temperature, placed, States(**merged), bypass)


def _numbers(block: Block, surface: Surface, solved: _Solved) -> dict[str, Floats]:
    plan, air, states = block.plan, block.air, solved.states
    at = block.speed_index
    found = solved.places.outcome == FOUND
    judged = solved.corrected_speed
    p3, t3, p4 = states.manifold_pressure, states.manifold_temperature, states.exhaust_pressure
    engine_flow = np.where(solved.bypass_flow > 0.0, states.engine_flow, states.flow)
    free = plan.build.drive.kind == "free_shaft"
    blower = plan.build.blower
    shaft = drive_power(
        states.flow,
        states.enthalpy_rise,
        solved.impeller_speed,
        blower.gear_efficiency,
        blower.bearing_loss,
    )
    crank = np.zeros_like(shaft) if free else shaft / (1.0 - block.slip)
    arrays = _engine_numbers(block, engine_flow, p3, t3, p4, crank)
    surge = surface.surge_flow(judged)
    choke = surface.choke_flow(judged)
    band = surface.surge_uncertainty(judged)
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
    )
    if not np.all(found):
        arrays = {k: np.where(found, v, np.nan) for k, v in arrays.items()}
    arrays.update(
        engine_speed_rpm=plan.engine_speed[at],
        corrected_speed_rpm=np.asarray(judged),
        impeller_speed_rpm=np.asarray(solved.impeller_speed),
    )
    if free and not np.all(found):
        # the speed of a free shaft is part of the answer
        for key in ("corrected_speed_rpm", "impeller_speed_rpm"):
            arrays[key] = np.where(found, arrays[key], np.nan)
    return arrays


def _engine_numbers(
    block: Block, flow: Floats, p3: Floats, t3: Floats, p4: Floats, crank_power: Floats
) -> dict[str, Floats]:
    """Power and fuel from air flow [kg/s] and the states on both sides of the engine."""
    plan, air = block.plan, block.air
    at = block.speed_index
    swept = plan.swept_rate[at]
    fuel = flow * (plan.fuel_per_dry_air / (1.0 + air.humidity))
    stock = plan.stock
    pumping = (p3 - p4) - (stock.manifold_pressure - stock.exhaust_pressure)[at]
    pumping *= swept
    flywheel = fuel * plan.work_per_fuel
    flywheel -= plan.friction_power[at]
    flywheel += pumping
    flywheel -= crank_power
    line = plan.build.driveline
    return {
        "manifold_pressure_pa": p3,
        "manifold_temperature_k": t3,
        "exhaust_pressure_pa": p4,
        "volumetric_efficiency": flow * air.gas.gas_constant * t3 / (p3 * swept),
        "fuel_flow_kg_s": fuel,
        "flywheel_power_w": flywheel,
        "wheel_power_w": wheel_power(flywheel, line.loss, line.constant_loss),
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
