"""A build's liquid loop on a day."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from engine_model.air.gas import moist_air
from engine_model.constants import ZERO_CELSIUS
from engine_model.cooler_rows import METAL_HEATS
from engine_model.cooling.charge_cooler import transfer_units
from engine_model.cooling.heat_soak import WATER_SPECIFIC_HEAT, Soak, soak
from engine_model.cooling.liquid_loop import (
    WATER_HEAT,
    LiquidLoop,
    inlet_conductance,
    steady_loop,
)
from engine_model.cooling.loop_intervals import Surroundings
from engine_model.engine.stock_fit import rated_flow
from engine_model.errors import InputError
from engine_model.fuel.fuels import fuel_named
from engine_model.inputs import Build, Day
from engine_model.stock_points import stock_figures
from engine_model.studies.soak_around import (
    RATING_TEMPERATURE,
    ROUNDS,
    Around,
    CoolerOnDay,
    CoolerState,
    Settled,
    around_on_day,
    dry_heat,
)
from engine_model.studies.soak_table import ChargeTable

Floats = NDArray[np.float64]

LEAST_RATIO = 1e-3
"""Capacity ratio that stands for a stream without end [-]."""


def coolant_heat(glycol_share: float) -> float:
    """Heat capacity of a volume of water with ethylene glycol.

    Parameters
    ----------
    glycol_share : float
        Mass of glycol over that of the mixture. [-] 0-0.6

    Returns
    -------
    float
        Heat capacity. [J/(m3 K)]

    References
    ----------
    Parabola through figures of Melinder's mixtures at 30 to 50 degC, within 1 %.

    Examples
    --------
    CoolProp has 3.563e6 for half of each at 30 degC.

    >>> round(coolant_heat(0.5) / 1e6, 2)
    3.58
    """
    return WATER_HEAT * (1.0 - 0.17 * glycol_share - 0.22 * glycol_share * glycol_share)


@dataclass(frozen=True, slots=True, eq=False)
class LoopOnDay(CoolerOnDay):
    """A build's loop on a day.

    Parameters
    ----------
    loop : LiquidLoop
        Its parts.
    around : Around
        What comes to it.
    start : float
        Coolant before the first pull, and before any ice. [K]
    """

    loop: LiquidLoop
    around: Around
    start: float

    def begun(self, ice_mass: float) -> CoolerState:
        """Before the first pull, with ice put in [kg]."""
        return CoolerState(self.start, None, ice_mass)

    def soaked(self, around: Surroundings, state: CoolerState) -> tuple[Soak, CoolerState]:
        """What a stretch of time does, and the state after it."""
        # molten ice is coolant from there on
        heat = self.loop.reservoir_heat + WATER_SPECIFIC_HEAT * state.melted
        loop = replace(self.loop, reservoir_heat=heat)
        result = soak(loop, around, state.coolant, state.ice, state.core)
        left = float(result.ice[-1])
        melted = state.melted + state.ice - left
        after = CoolerState(float(result.liquid[-1]), float(result.core[-1]), left, melted)
        return result, after

    def settled(self, table: ChargeTable) -> Settled:
        """Settled at the limiter, with the match that belongs to it."""
        return settled_at_limiter(self, table)


def _front_conductance(build: Build, pump_capacity: float, ambient: float) -> float:
    """UA of the front exchanger [W/K] at its stated air flow."""
    cooler = build.cooler
    air = cooler.front_rated_flow * dry_heat(ambient)
    least, most = min(air, pump_capacity), max(air, pump_capacity)
    if least <= 0.0:
        least, most = air, np.inf
    ratio = max(least / most, LEAST_RATIO)
    return transfer_units(cooler.front_effectiveness, ratio) * least


def loop_on_day(build: Build, day: Day) -> LoopOnDay:
    """Loop of a build with a liquid charge cooler on a day.

    Parameters
    ----------
    build : Build
        The build.
    day : Day
        The day.

    Returns
    -------
    LoopOnDay
        Its parts and surroundings. [SI]

    Raises
    ------
    InputError
        For ice in coolant below freezing.

    References
    ----------
    Effectiveness by transfer units, Incropera & DeWitt, table 11.3.
    """
    cooler = build.cooler
    start = day.temperature + cooler.start_rise
    if cooler.ice_mass > 0.0 and start < ZERO_CELSIUS:
        allowed = "0 kg where the coolant is below 0 °C at the start"
        raise InputError("cooler.ice_mass", cooler.ice_mass, allowed)
    volume_heat = coolant_heat(cooler.glycol_share)
    pump = cooler.pump_flow * volume_heat
    stock_fuel = fuel_named(build.engine.stock_fuel, "engine.stock_fuel")
    rated = rated_flow(stock_figures(build), stock_fuel)
    charge = rated * dry_heat(RATING_TEMPERATURE)
    loop = LiquidLoop(
        transfer_units(cooler.effectiveness, cooler.capacity_ratio) * charge,
        rated,
        _front_conductance(build, pump, day.temperature),
        cooler.front_rated_flow,
        cooler.reservoir_volume * volume_heat,
        cooler.core_mass * METAL_HEATS[cooler.core_metal],
        cooler.bay_heat / cooler.bay_rise,
    )
    return LoopOnDay(loop, around_on_day(build, day, pump_capacity=pump), start)


def settled_at_limiter(on_day: LoopOnDay, table: ChargeTable) -> Settled:
    """Loop that has settled at the limiter, with the match that belongs to it.

    Parameters
    ----------
    on_day : LoopOnDay
        The loop.
    table : ChargeTable
        Matches of a pull.

    Returns
    -------
    Settled
        Temperatures [K] and heat [W].

    References
    ----------
    :func:`engine_model.cooling.liquid_loop.steady_loop`.
    """
    loop, around = on_day.loop, on_day.around
    pump, ambient = around.pump_capacity, around.ambient
    limiter = table.last()
    outside = np.array([around.front_in_pull])
    air = outside * moist_air(np.zeros(1)).specific_heat(np.array([ambient]))
    front = inlet_conductance(loop.front(outside), air, pump)
    if pump <= 0.0 or not front[0] > 0.0:
        return Settled(np.nan, np.nan, np.nan)
    manifold = limiter.manifold[0]
    for _ in range(ROUNDS):
        flow, inlet = (limiter.at(v, manifold) for v in (limiter.flow, limiter.inlet))
        charge = flow * moist_air(np.array([around.humidity])).specific_heat(inlet)
        core = inlet_conductance(loop.core(flow), charge, pump)
        settled = steady_loop(inlet, ambient, charge, core, front, pump)
        manifold = settled.charge_outlet
    rise = float(settled.liquid_cold[0]) - ambient
    return Settled(rise, float(manifold[0]), float(settled.heat[0]))
