"""A build's air-to-air charge cooler on a day."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engine_model.air.gas import moist_air
from engine_model.cooler_rows import METAL_HEATS
from engine_model.cooling.air_core import AirCore, air_soak, core_terms
from engine_model.cooling.charge_cooler import transfer_units
from engine_model.cooling.heat_soak import Soak
from engine_model.cooling.loop_intervals import Surroundings
from engine_model.engine.stock_fit import rated_flow
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
    air_over,
    around_on_day,
    dry_heat,
)
from engine_model.studies.soak_table import ChargeTable

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class AirOnDay(CoolerOnDay):
    """A build's air-to-air cooler on a day.

    Parameters
    ----------
    core : AirCore
        Its core.
    around : Around
        What comes to it; its ambient is the air at the core's face.
    start : float
        Metal before the first pull. [K]
    air_rise : float
        Air at the core's face over the day. [K]
    """

    core: AirCore
    around: Around
    start: float
    air_rise: float

    def begun(self, ice_mass: float) -> CoolerState:
        """Before the first pull; there is no reservoir that ice could be put into."""
        return CoolerState(self.around.ambient, self.start)

    def soaked(self, around: Surroundings, state: CoolerState) -> tuple[Soak, CoolerState]:
        """What a stretch of time does, and the state after it."""
        metal = self.start if state.core is None else state.core
        result = air_soak(self.core, around, metal)
        return result, state._replace(core=float(result.core[-1]))

    def settled(self, table: ChargeTable) -> Settled:
        """Settled at the limiter, with the match that belongs to it."""
        matched, _ = self._settled(table, self.core.stated_air_flow)
        if self.around.front_in_pull <= 0.0:
            return Settled(np.nan, np.nan, np.nan, matched)
        manifold, heat = self._settled(table, self.around.front_in_pull)
        return Settled(self.air_rise, manifold, heat, matched)

    def _settled(self, table: ChargeTable, air_flow: float) -> tuple[float, float]:
        """Manifold temperature [K] and heat [W], settled in a flow of outside air [kg/s]."""
        limiter, air = table.last(), np.array([air_flow])
        gas = moist_air(np.array([self.around.humidity]))
        manifold, heat = limiter.manifold[0], np.zeros(1)
        for _ in range(ROUNDS):
            flow, inlet = (limiter.at(v, manifold) for v in (limiter.flow, limiter.inlet))
            capacity = flow * gas.specific_heat(inlet)
            effectiveness = core_terms(self.core, flow, capacity, air).effectiveness
            drop = effectiveness * (inlet - self.around.ambient)
            manifold, heat = inlet - drop, capacity * drop
        return float(manifold[0]), float(heat[0])


def air_on_day(build: Build, day: Day) -> AirOnDay:
    """Air-to-air charge cooler of a build on a day.

    Parameters
    ----------
    build : Build
        The build.
    day : Day
        The day.

    Returns
    -------
    AirOnDay
        Its core and surroundings. [SI]

    References
    ----------
    Effectiveness by transfer units, Incropera & DeWitt, table 11.3.
    """
    cooler = build.cooler
    stock_fuel = fuel_named(build.engine.stock_fuel, "engine.stock_fuel")
    rated = rated_flow(stock_figures(build), stock_fuel)
    core = AirCore(
        transfer_units(cooler.effectiveness, cooler.capacity_ratio),
        rated,
        rated * dry_heat(RATING_TEMPERATURE),
        cooler.capacity_ratio,
        air_over(build, day, cooler.stated_road_speed),
        cooler.core_mass * METAL_HEATS[cooler.core_metal],
        cooler.bay_heat / cooler.bay_rise,
    )
    rise = cooler.coolant_over_day
    start = day.temperature + cooler.start_rise
    return AirOnDay(core, around_on_day(build, day, air_rise=rise), start, rise)
