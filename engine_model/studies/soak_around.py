"""What comes to a build's charge cooler on a day, in pulls and pauses, whatever its kind."""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from engine_model.air.gas import moist_air
from engine_model.cooling.heat_soak import Soak
from engine_model.cooling.liquid_loop import front_air_flow
from engine_model.cooling.loop_intervals import Surroundings, surroundings
from engine_model.inputs import Build, Day
from engine_model.studies.soak_table import INTERVALS, ChargeTable
from engine_model.unpack import air_of

Floats = NDArray[np.float64]

RATING_TEMPERATURE = 330.0
"""Charge temperature at which the cooler's effectiveness is taken as stated [K]; chosen here."""

PAUSE_INTERVALS = 20

ROUNDS = 12
"""Rounds in which a settled cooler and its match agree; each leaves a fiftieth of the error."""


class CoolerState(NamedTuple):
    """A cooler between two stretches of time.

    Parameters
    ----------
    coolant : float
        Reservoir, or the outside air of an air-to-air cooler. [K]
    core : float or None
        Metal of the core; the coolant's where not given. [K]
    ice, melted : float
        Ice in the reservoir, and what has melted of it. [kg]
    """

    coolant: float
    core: float | None = None
    ice: float = 0.0
    melted: float = 0.0


class Settled(NamedTuple):
    """A cooler that has settled at the limiter, the engine bay left out; nan where it cannot.

    Parameters
    ----------
    coolant_rise : float
        Coolant at the charge core's inlet, over the day. [K]
    manifold : float
        Manifold temperature. [K]
    heat : float
        From the charge to the outside air. [W]
    matched : float
        Manifold temperature of an air-to-air cooler in its stated air: the match's. [K]
    """

    coolant_rise: float
    manifold: float
    heat: float
    matched: float = float("nan")


@dataclass(frozen=True, slots=True, eq=False)
class Around:
    """What comes to a cooler on a day.

    Parameters
    ----------
    ambient, pressure, humidity : float
        Outside air's temperature [K], pressure [Pa] and humidity ratio [-].
    bay : float
        Temperature of the engine bay. [K]
    front_in_pull, front_in_pause : float
        Outside air through the front exchanger, or the core of an air-to-air cooler. [kg/s]
    pump_capacity : float
        Capacity flow of the pump; 0 where there is none. [W/K]
    """

    ambient: float
    pressure: float
    humidity: float
    bay: float
    front_in_pull: float
    front_in_pause: float
    pump_capacity: float = 0.0

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


class CoolerOnDay(ABC):
    """A build's charge cooler on a day, whatever its kind."""

    __slots__ = ()

    around: Around

    @abstractmethod
    def begun(self, ice_mass: float) -> CoolerState:
        """Before the first pull, with ice put in [kg]."""

    @abstractmethod
    def soaked(self, around: Surroundings, state: CoolerState) -> tuple[Soak, CoolerState]:
        """What a stretch of time does, and the state after it."""

    @abstractmethod
    def settled(self, table: ChargeTable) -> Settled:
        """Settled at the limiter, with the match that belongs to it."""


def dry_heat(temperature: float) -> float:
    """Specific heat of dry air [J/(kg K)] at a temperature [K]."""
    return float(moist_air(np.zeros(1)).specific_heat(np.array([temperature]))[0])


def air_over(build: Build, day: Day, road_speed: float) -> float:
    """Outside air through the front exchanger, or an air-to-air core [kg/s], at a speed [m/s]."""
    cooler, air = build.cooler, air_of([day])
    ambient, pressure = float(air.temperature[0]), float(air.pressure[0])
    density = pressure / (float(moist_air(float(air.humidity[0])).gas_constant) * ambient)
    return float(front_air_flow(road_speed, cooler.front_area, density, cooler.fan_flow))


def around_on_day(
    build: Build, day: Day, air_rise: float = 0.0, pump_capacity: float = 0.0
) -> Around:
    """What comes to a build's cooler on a day.

    Parameters
    ----------
    build : Build
        The build.
    day : Day
        The day.
    air_rise : float
        Air at the cooler over the day. [K]
    pump_capacity : float
        Capacity flow of the pump. [W/K]

    Returns
    -------
    Around
        Temperatures, pressures, flows. [SI]

    References
    ----------
    :func:`engine_model.cooling.liquid_loop.front_air_flow`.
    """
    cooler, air = build.cooler, air_of([day])
    ambient, pressure, humidity = (
        float(values[0]) for values in (air.temperature, air.pressure, air.humidity)
    )
    return Around(
        ambient + air_rise,
        pressure,
        humidity,
        ambient + cooler.bay_rise,
        air_over(build, day, cooler.pull_road_speed),
        air_over(build, day, cooler.pause_road_speed),
        pump_capacity,
    )
