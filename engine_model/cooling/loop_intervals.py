"""What comes to a liquid loop in time, and the conductances of every interval."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.air.gas import moist_air
from engine_model.cooling.condensation import dew_point
from engine_model.cooling.linear_pair import Propagator, propagator
from engine_model.cooling.liquid_loop import LiquidLoop, inlet_conductance
from engine_model.errors import InputError

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Surroundings:
    """What comes to the loop, interval after interval, arrays of one length.

    Parameters
    ----------
    duration : ndarray
        Of the interval. [s] above 0
    charge_flow : ndarray
        Humid air through the charge core. [kg/s]
    charge_inlet : ndarray
        Its temperature at the compressor outlet. [K]
    charge_pressure : ndarray
        Its pressure, absolute. [Pa]
    humidity_ratio : ndarray
        Its vapour over its dry air. [-]
    front_air_flow : ndarray
        Air through the front exchanger. [kg/s]
    ambient : ndarray
        Temperature of that air. [K]
    bay_temperature : ndarray
        Temperature of the engine bay. [K]
    liquid_capacity : ndarray
        Capacity flow of the pump; 0 where it stands. [W/K]
    pull : ndarray of int
        Number of the pull, from 0; -1 between pulls.
    """

    duration: Floats
    charge_flow: Floats
    charge_inlet: Floats
    charge_pressure: Floats
    humidity_ratio: Floats
    front_air_flow: Floats
    ambient: Floats
    bay_temperature: Floats
    liquid_capacity: Floats
    pull: NDArray[np.intp]

    def __post_init__(self) -> None:
        count = self.duration.size
        for one in fields(self):
            values = getattr(self, one.name)
            if values.shape != (count,):
                raise InputError(one.name, values.shape, f"one value an interval, {count}")
            if not np.all(np.isfinite(values)):
                raise InputError(one.name, "a missing value", "numbers only")
        if np.any(self.duration <= 0.0):
            raise InputError("duration", float(np.min(self.duration)), "above 0 s")


def surroundings(
    duration: ArrayLike,
    charge_flow: ArrayLike,
    charge_inlet: ArrayLike,
    charge_pressure: ArrayLike,
    humidity_ratio: ArrayLike,
    front_air_flow: ArrayLike,
    ambient: ArrayLike,
    bay_temperature: ArrayLike,
    liquid_capacity: ArrayLike,
) -> Surroundings:
    """Surroundings from intervals and what is constant over all of them; no pull yet.

    Parameters
    ----------
    duration : array_like, shape (n,)
        Of each interval. [s]
    charge_flow : array_like
        Humid air through the charge core. [kg/s]
    charge_inlet : array_like
        Its temperature. [K]
    charge_pressure : array_like
        Its pressure, absolute. [Pa]
    humidity_ratio : array_like
        Its vapour over its dry air. [-]
    front_air_flow : array_like
        Air through the front exchanger. [kg/s]
    ambient : array_like
        Its temperature. [K]
    bay_temperature : array_like
        Of the engine bay. [K]
    liquid_capacity : array_like
        Capacity flow of the pump. [W/K]

    Returns
    -------
    Surroundings
        Arrays of one length, [SI].

    References
    ----------
    Definition.
    """
    dt = np.atleast_1d(np.asarray(duration, dtype=float))

    def spread(values: ArrayLike) -> Floats:
        return np.broadcast_to(np.asarray(values, dtype=float), dt.shape)

    return Surroundings(
        dt,
        spread(charge_flow),
        spread(charge_inlet),
        spread(charge_pressure),
        spread(humidity_ratio),
        spread(front_air_flow),
        spread(ambient),
        spread(bay_temperature),
        spread(liquid_capacity),
        np.full(dt.shape, -1),
    )


def means(samples: ArrayLike) -> Floats:
    """Mean of every two neighbouring samples of a pull, in their own unit [-]."""
    values = np.asarray(samples, dtype=float)
    return np.asarray(0.5 * (values[1:] + values[:-1]))


def repeated(pull: Surroundings, pause: Surroundings | None, count: int) -> Surroundings:
    """Pull after pull, with the same pause between them and after the last.

    Parameters
    ----------
    pull : Surroundings
        One pull.
    pause : Surroundings or None
        What lies between two pulls; none at all where not given.
    count : int
        Number of pulls, 1 or more.

    Returns
    -------
    Surroundings
        One after another, pulls numbered from 0.
    """
    if count < 1:
        raise InputError("pulls", count, "1 or more")
    parts: list[Surroundings] = []
    for number in range(count):
        parts.append(_numbered(pull, number))
        if pause is not None:
            parts.append(_numbered(pause, -1))
    return _joined(parts)


def _numbered(part: Surroundings, number: int) -> Surroundings:
    values = {one.name: getattr(part, one.name) for one in fields(part)}
    return Surroundings(**(values | {"pull": np.full(part.duration.shape, number)}))


def _joined(parts: Sequence[Surroundings]) -> Surroundings:
    names = [one.name for one in fields(Surroundings)]
    return Surroundings(*(np.concatenate([getattr(p, n) for p in parts]) for n in names))


@dataclass(frozen=True, slots=True, eq=False)
class LoopTerms:
    """Terms of every interval.

    Parameters
    ----------
    gas, liquid, front : ndarray
        Conductances of charge to core, core to liquid, liquid to outside air. [W/K]
    passed : ndarray
        Front conductance over the pump's capacity flow. [-]
    contact : ndarray
        Share of the charge that takes the core's temperature. [-]
    dry_flow : ndarray
        Dry air of the charge. [kg/s]
    dew_point : ndarray
        Of the charge. [K]
    free, frozen : Propagator
        Without and with ice in the reservoir.
    """

    gas: Floats
    liquid: Floats
    front: Floats
    passed: Floats
    contact: Floats
    dry_flow: Floats
    dew_point: Floats
    free: Propagator
    frozen: Propagator


def loop_rates(
    loop: LiquidLoop, reservoir: float, gas: Floats, liquid: Floats, passed: Floats, front: Floats
) -> tuple[Floats, Floats, Floats, Floats]:
    """Matrix of core and reservoir temperatures [1/s], row by row."""
    core = loop.core_heat
    return (
        -(gas + liquid + loop.bay_to_core) / core,
        liquid / core,
        liquid * (1.0 - passed) / reservoir,
        -(liquid * (1.0 - passed) + front + loop.bay_to_liquid) / reservoir,
    )


def loop_terms(loop: LiquidLoop, around: Surroundings, reservoir: float) -> LoopTerms:
    """Terms of every interval for a reservoir's heat capacity [J/K]."""
    flow, pumped = around.charge_flow, around.liquid_capacity
    humidity = around.humidity_ratio
    capacity = flow * moist_air(humidity).specific_heat(around.charge_inlet)
    blown, pumping = (flow > 0.0) & (loop.charge_conductance > 0.0), pumped > 0.0
    safe = np.where(blown, capacity, 1.0)
    contact = np.where(blown, -np.expm1(-loop.gas_side(flow) / safe), 0.0)
    gas = contact * capacity
    # the liquid side makes up the resistance between the inlets; with the charge standing it
    # is the metal at one temperature
    between = inlet_conductance(loop.core(flow), capacity, pumped)
    both = blown & pumping
    rest = 1.0 / np.where(both, between, 1.0) - 1.0 / np.where(both, gas, 2.0)
    still = -pumped * np.expm1(-loop.liquid_side / np.where(pumping, pumped, 1.0))
    liquid = np.where(both, 1.0 / np.maximum(rest, 1e-9), np.where(pumping, still, 0.0))
    air = around.front_air_flow
    front_capacity = air * moist_air(np.zeros_like(air)).specific_heat(around.ambient)
    front = inlet_conductance(loop.front(air), front_capacity, pumped)
    passed = front / np.where(pumping, pumped, 1.0)
    rates = loop_rates(loop, reservoir, gas, liquid, passed, front)
    nothing = np.zeros_like(flow)
    return LoopTerms(
        gas,
        liquid,
        front,
        passed,
        contact,
        flow / (1.0 + humidity),
        dew_point(around.charge_pressure, humidity),
        propagator(*rates, around.duration),
        propagator(rates[0], rates[1], nothing, nothing, around.duration),
    )
