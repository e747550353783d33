"""Places and states of a block of points at given impeller speeds."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from engine_model.air.gas import inlet_gas
from engine_model.compressor.surface import Surface
from engine_model.knock_line import KnockPlan
from engine_model.solvers.bypass_solver import hold_cap
from engine_model.solvers.chain import Breathing, Chain, Points, States
from engine_model.solvers.free_shaft_solver import solve_free_shaft
from engine_model.solvers.shaft_solver import (
    FOUND,
    NO_ROOT_LEFT,
    NO_ROOT_RIGHT,
    Places,
    solve_places,
)
from engine_model.unpack import BlockAir, BlockInputs, Plan, inlet_temperature, make_points

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]


@dataclass(frozen=True, slots=True, eq=False)
class BlockBelt:
    """The belt of a block of points; arrays of one element a point.

    Parameters
    ----------
    speed : ndarray
        Belt speed. [m/s]
    grip : ndarray
        Largest effective tension; nan where a figure is not known. [N]
    creep : float
        Share of the speed lost to the belt's stretch. [-]
    slip : ndarray or None
        Slip beyond creep where it is imposed; none where it is to be found. [-]
    """

    speed: Floats
    grip: Floats
    creep: float
    slip: Floats | None


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
    asked_boost : ndarray or None
        Boost of a free shaft. [Pa gauge]
    belt : BlockBelt or None
        The belt of each point; none where there is no belt.
    knock : KnockPlan or None
        Estimate of knock that costs power; none where the spark is the stock engine's.
    """

    plan: Plan
    surface: Surface | None
    breathing: Breathing
    air: BlockAir
    inputs: BlockInputs
    speed_index: Indices
    asked_boost: Floats | None
    belt: BlockBelt | None = None
    knock: KnockPlan | None = None

    @property
    def size(self) -> int:
        """Number of points."""
        return self.speed_index.size

    def only(self, index: Indices) -> Block:
        """Return some of the points, without the belt."""

        def pick(a: Any) -> Any:
            return a if a.size == 1 else a[index]

        air, given = self.air, self.inputs
        some = BlockAir(
            pick(air.pressure), pick(air.temperature), pick(air.humidity), air.gas.take(pick)
        )
        inputs = given.take(pick)
        asked = None if self.asked_boost is None else self.asked_boost[index]
        return Block(
            self.plan, self.surface, self.breathing, some, inputs, self.speed_index[index], asked
        )


@dataclass(frozen=True, slots=True, eq=False)
class Solved:
    """Places and states of a block with a compressor.

    Parameters
    ----------
    corrected_speed, impeller_speed : ndarray
        Impeller speeds. [rpm]
    inlet_temperature : ndarray
        Station 1, recirculated air included. [K]
    places : Places
        Places on the speed lines.
    states : States
        Stations.
    bypass_flow : ndarray
        Flow through the bypass. [kg/s]
    chain : Chain
        The points with the bypass shut.
    """

    corrected_speed: Floats
    impeller_speed: Floats
    inlet_temperature: Floats
    places: Places
    states: States
    bypass_flow: Floats
    chain: Chain


def solve_states(block: Block, surface: Surface) -> Solved:
    """Places and states of a block at the impeller speeds of its inputs, bypass included.

    Parameters
    ----------
    block : Block
        The points.
    surface : Surface
        The compressor.

    Returns
    -------
    Solved
        One element a point.

    References
    ----------
    Mass balance of compressor, bypass and engine.
    """
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
    return Solved(speed, impeller, temperature, places, states, bypass, chain)


def _capped(
    block: Block,
    surface: Surface,
    chain: Chain,
    places: Places,
    states: States,
    index: Indices,
    impeller: Floats,
    shut: Floats,
) -> Solved:
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
    return Solved(speed, impeller, temperature, placed, States(**merged), bypass, chain)
