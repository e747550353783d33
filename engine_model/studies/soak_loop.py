"""A build's liquid loop on a day: its parts, and what comes to it in pulls and pauses."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from engine_model.air.gas import moist_air
from engine_model.constants import ZERO_CELSIUS
from engine_model.cooling.charge_cooler import transfer_units
from engine_model.cooling.liquid_loop import (
    WATER_HEAT,
    LiquidLoop,
    front_air_flow,
    inlet_conductance,
    steady_loop,
)
from engine_model.cooling.loop_intervals import Surroundings, surroundings
from engine_model.engine.stock_fit import rated_flow
from engine_model.errors import InputError
from engine_model.fuel.fuels import fuel_named
from engine_model.inputs import Build, Day
from engine_model.stock_points import stock_figures
from engine_model.studies.soak_table import INTERVALS, ChargeTable
from engine_model.unpack import air_of

Floats = NDArray[np.float64]

ALUMINIUM_HEAT = 903.0
"""Specific heat of aluminium [J/(kg K)], 300 K: Incropera & DeWitt, table A.1."""

RATING_TEMPERATURE = 330.0
"""Charge temperature at which the cooler's effectiveness is taken as stated [K]; chosen here."""

PAUSE_INTERVALS = 20

LEAST_RATIO = 1e-3
"""Capacity ratio that stands for a stream without end [-]."""

ROUNDS = 12
"""Rounds in which a settled loop and its match agree; each leaves a fiftieth of the error."""


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
class LoopOnDay:
    """A build's loop on a day.

    Parameters
    ----------
    loop : LiquidLoop
        Its parts.
    pump_capacity : float
        Capacity flow of the pump. [W/K]
    ambient, pressure, humidity : float
        The day's temperature [K], pressure [Pa] and humidity ratio [-].
    bay : float
        Temperature of the engine bay. [K]
    front_in_pull, front_in_pause : float
        Air through the front exchanger. [kg/s]
    start : float
        Coolant before the first pull, and before any ice. [K]
    """

    loop: LiquidLoop
    pump_capacity: float
    ambient: float
    pressure: float
    humidity: float
    bay: float
    front_in_pull: float
    front_in_pause: float
    start: float

    def pull(self, table: ChargeTable, manifold: Floats, seconds: float) -> Surroundings:
        """Surroundings of a pull, from means over its intervals at manifold temperatures [K]."""
        return surroundings(
            np.full(INTERVALS, seconds / INTERVALS),
            table.at(table.flow, manifold),
            table.at(table.inlet, manifold),
            table.at(table.pressure, manifold),
            self.humidity,
            self.front_in_pull,
            self.ambient,
            self.bay,
            self.pump_capacity,
        )

    def pause(self, seconds: float) -> Surroundings | None:
        """Surroundings of a pause: the charge stands; nothing where there is no pause."""
        if seconds <= 0.0:
            return None
        return surroundings(
            np.full(PAUSE_INTERVALS, seconds / PAUSE_INTERVALS),
            0.0,
            self.ambient,
            self.pressure,
            self.humidity,
            self.front_in_pause,
            self.ambient,
            self.bay,
            self.pump_capacity,
        )


def _dry_heat(temperature: float) -> float:
    """Specific heat of dry air [J/(kg K)] at a temperature [K]."""
    return float(moist_air(np.zeros(1)).specific_heat(np.array([temperature]))[0])


def _front_conductance(build: Build, pump_capacity: float, ambient: float) -> float:
    """UA of the front exchanger [W/K] at its stated air flow."""
    cooler = build.cooler
    air = cooler.front_rated_flow * _dry_heat(ambient)
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
    air = air_of([day])
    ambient, pressure, humidity = (
        float(values[0]) for values in (air.temperature, air.pressure, air.humidity)
    )
    start = ambient + cooler.start_rise
    if cooler.ice_mass > 0.0 and start < ZERO_CELSIUS:
        allowed = "0 kg where the coolant is below 0 °C at the start"
        raise InputError("cooler.ice_mass", cooler.ice_mass, allowed)
    volume_heat = coolant_heat(cooler.glycol_share)
    pump = cooler.pump_flow * volume_heat
    stock_fuel = fuel_named(build.engine.stock_fuel, "engine.stock_fuel")
    rated = rated_flow(stock_figures(build), stock_fuel)
    charge = rated * _dry_heat(RATING_TEMPERATURE)
    loop = LiquidLoop(
        transfer_units(cooler.effectiveness, cooler.capacity_ratio) * charge,
        rated,
        _front_conductance(build, pump, ambient),
        cooler.front_rated_flow,
        cooler.reservoir_volume * volume_heat,
        cooler.core_mass * ALUMINIUM_HEAT,
        cooler.bay_heat / cooler.bay_rise,
    )
    density = pressure / (float(moist_air(humidity).gas_constant) * ambient)

    def front(road_speed: float) -> float:
        return float(front_air_flow(road_speed, cooler.front_area, density, cooler.fan_flow))

    return LoopOnDay(
        loop,
        pump,
        ambient,
        pressure,
        humidity,
        ambient + cooler.bay_rise,
        front(cooler.pull_road_speed),
        front(cooler.pause_road_speed),
        start,
    )


class Settled(NamedTuple):
    """A loop that has settled at the limiter, the engine bay left out; nan where it cannot.

    Parameters
    ----------
    coolant_rise : float
        Coolant at the charge core's inlet, over the day. [K]
    manifold : float
        Manifold temperature. [K]
    heat : float
        From the charge to the outside air. [W]
    """

    coolant_rise: float
    manifold: float
    heat: float


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
    loop, pump = on_day.loop, on_day.pump_capacity
    limiter = table.last()
    outside = np.array([on_day.front_in_pull])
    air = outside * moist_air(np.zeros(1)).specific_heat(np.array([on_day.ambient]))
    front = inlet_conductance(loop.front(outside), air, pump)
    if pump <= 0.0 or not front[0] > 0.0:
        return Settled(np.nan, np.nan, np.nan)
    manifold = limiter.manifold[0]
    for _ in range(ROUNDS):
        flow, inlet = (limiter.at(v, manifold) for v in (limiter.flow, limiter.inlet))
        charge = flow * moist_air(np.array([on_day.humidity])).specific_heat(inlet)
        core = inlet_conductance(loop.core(flow), charge, pump)
        settled = steady_loop(inlet, on_day.ambient, charge, core, front, pump)
        manifold = settled.charge_outlet
    rise = float(settled.liquid_cold[0]) - on_day.ambient
    return Settled(rise, float(manifold[0]), float(settled.heat[0]))
