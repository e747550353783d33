"""Liquid charge cooling, steady: charge core, pump, front exchanger."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.cooling.charge_cooler import crossflow_effectiveness, liquid_coupled_heat

Floats = NDArray[np.float64]

GAS_EXPONENT = 0.6
"""Heat transfer of the air side over its flow [-], from memory."""

GAS_SHARE = 0.8
"""Share of a charge core's thermal resistance that lies on the air side [-]; chosen here."""

WATER_HEAT = 4.18e6
"""Heat capacity of a volume of water [J/(m3 K)], 300 K, handbook."""

RAM_SHARE = 0.2
"""Speed of the air through a front exchanger over road speed [-]; chosen here, no source."""


def inlet_conductance(
    conductance: ArrayLike, capacity_flow: ArrayLike, other_capacity_flow: ArrayLike
) -> Floats:
    """Heat through a cross-flow exchanger per kelvin between its two inlets.

    Parameters
    ----------
    conductance : array_like
        UA. [W/K]
    capacity_flow, other_capacity_flow : array_like
        Of the two streams, in either order. [W/K]

    Returns
    -------
    ndarray
        Effectiveness times the smaller capacity flow; 0 where either stream stands. [W/K]

    References
    ----------
    Incropera & DeWitt, table 11.3, cross-flow, both streams unmixed.

    Examples
    --------
    One transfer unit at a capacity ratio of 0.5: 0.54476 times the smaller.

    >>> round(float(inlet_conductance(100.0, 200.0, 100.0)), 3)
    54.476
    """
    ua, a, b = np.broadcast_arrays(
        np.asarray(conductance, dtype=float),
        np.asarray(capacity_flow, dtype=float),
        np.asarray(other_capacity_flow, dtype=float),
    )
    least, most = np.minimum(a, b), np.maximum(a, b)
    works = (least > 0.0) & (ua > 0.0)
    safe_least = np.where(works, least, 1.0)
    ratio = np.where(works, least / np.where(works, most, 1.0), 1.0)
    units = np.where(works, ua / safe_least, 1.0)
    # a stream without end: the form needs a ratio above 0
    effectiveness = crossflow_effectiveness(units, np.maximum(ratio, 1e-9))
    return np.asarray(np.where(works, effectiveness * safe_least, 0.0))


def front_air_flow(
    road_speed: ArrayLike,
    face_area: ArrayLike,
    density: ArrayLike,
    fan_flow: ArrayLike = 0.0,
    ram_share: ArrayLike = RAM_SHARE,
) -> Floats:
    """Air through the front exchanger, by road speed or by its fan, whichever is more.

    Parameters
    ----------
    road_speed : array_like
        Road speed. [m/s]
    face_area : array_like
        Of the exchanger. [m2]
    density : array_like
        Of the outside air. [kg/m3]
    fan_flow : array_like
        What its fan moves. [kg/s]
    ram_share : array_like
        Speed of the air through it over road speed. [-]

    Returns
    -------
    ndarray
        Air flow. [kg/s]

    References
    ----------
    Continuity; the share is chosen here, no source.

    Examples
    --------
    >>> round(float(front_air_flow(30.0, 0.2, 1.2)), 2)
    1.44
    """
    speed = np.asarray(road_speed, dtype=float) * np.asarray(ram_share, dtype=float)
    ram = speed * np.asarray(face_area, dtype=float) * np.asarray(density, dtype=float)
    return np.asarray(np.maximum(ram, np.asarray(fan_flow, dtype=float)))


@dataclass(frozen=True, slots=True, eq=False)
class SteadyLoop:
    """A liquid loop that has settled.

    Parameters
    ----------
    heat : ndarray
        From the charge to the outside air. [W]
    liquid_cold, liquid_hot : ndarray
        Liquid into and out of the charge core. [K]
    charge_outlet : ndarray
        Charge after the core. [K]
    """

    heat: Floats
    liquid_cold: Floats
    liquid_hot: Floats
    charge_outlet: Floats


def steady_loop(
    charge_inlet: ArrayLike,
    ambient: ArrayLike,
    charge_capacity: ArrayLike,
    charge_conductance: ArrayLike,
    front_conductance: ArrayLike,
    liquid_capacity: ArrayLike,
) -> SteadyLoop:
    """Heat and temperatures of a settled liquid loop.

    Parameters
    ----------
    charge_inlet : array_like
        Charge before the core. [K]
    ambient : array_like
        Outside air. [K]
    charge_capacity : array_like
        Capacity flow of the charge. [W/K]
    charge_conductance, front_conductance : array_like
        Of each exchanger between its inlets, from :func:`inlet_conductance`. [W/K] above 0
    liquid_capacity : array_like
        Capacity flow of the liquid. [W/K]

    Returns
    -------
    SteadyLoop
        Heat [W] and temperatures [K].

    References
    ----------
    Kays & London, Compact Heat Exchangers, liquid-coupled indirect type.

    Examples
    --------
    >>> loop = steady_loop(400.0, 300.0, 300.0, 225.0, 455.0, 700.0)
    >>> round(float(loop.heat), 1)
    19180.3
    """
    t2 = np.asarray(charge_inlet, dtype=float)
    per_kelvin = liquid_coupled_heat(
        1.0, charge_conductance, 1.0, front_conductance, liquid_capacity
    )
    heat = per_kelvin * (t2 - np.asarray(ambient, dtype=float))
    cold = t2 - heat / np.asarray(charge_conductance, dtype=float)
    return SteadyLoop(
        heat,
        cold,
        cold + heat / np.asarray(liquid_capacity, dtype=float),
        t2 - heat / np.asarray(charge_capacity, dtype=float),
    )


@dataclass(frozen=True, slots=True)
class LiquidLoop:
    """The parts of a liquid loop.

    Parameters
    ----------
    charge_conductance, charge_rated_flow : float
        UA of the charge core and the charge flow it is stated at. [W/K], [kg/s]
    front_conductance, front_rated_flow : float
        UA of the front exchanger and the air flow it is stated at. [W/K], [kg/s]
    reservoir_heat : float
        Heat capacity of all the liquid. [J/K] infinite is allowed
    core_heat : float
        Heat capacity of the charge core's metal. [J/K] above 0
    bay_to_liquid, bay_to_core : float
        Conductance from engine bay to liquid and to the core. [W/K]
    gas_share : float
        Share of the core's resistance on the air side. [-] above 0, below 1
    """

    charge_conductance: float
    charge_rated_flow: float
    front_conductance: float
    front_rated_flow: float
    reservoir_heat: float
    core_heat: float
    bay_to_liquid: float = 0.0
    bay_to_core: float = 0.0
    gas_share: float = GAS_SHARE

    def gas_side(self, charge_flow: Floats) -> Floats:
        """Conductance of the air side of the charge core [W/K] at a charge flow [kg/s]."""
        rated = self.charge_conductance / self.gas_share
        return np.asarray(rated * (charge_flow / self.charge_rated_flow) ** GAS_EXPONENT)

    @property
    def liquid_side(self) -> float:
        """Conductance of the liquid side of the charge core [W/K]."""
        return self.charge_conductance / (1.0 - self.gas_share)

    def core(self, charge_flow: Floats) -> Floats:
        """UA of the charge core [W/K] at a charge flow [kg/s]."""
        gas, liquid = self.gas_side(charge_flow), self.liquid_side
        whole = gas + liquid
        return np.asarray(gas * liquid / np.where(whole > 0.0, whole, 1.0))

    def front(self, air_flow: Floats) -> Floats:
        """UA of the front exchanger [W/K] at an air flow [kg/s]."""
        share = (air_flow / self.front_rated_flow) ** GAS_EXPONENT
        return np.asarray(self.front_conductance * share)
