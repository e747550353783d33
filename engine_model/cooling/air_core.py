"""An air-to-air charge cooler in time: its core metal between charge and outside air.

One temperature moves, the core's metal. Within an interval everything outside is constant, so that
it follows exactly by an exponential; only the heat of condensation, which depends on the metal, is
put in at its mean of the interval.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from engine_model.air.gas import moist_air
from engine_model.cooling.charge_cooler import FLOW_EXPONENT, crossflow_effectiveness
from engine_model.cooling.condensation import condensate_flow, dew_point, heat_of_condensation
from engine_model.cooling.heat_soak import Soak
from engine_model.cooling.liquid_loop import GAS_EXPONENT
from engine_model.cooling.loop_intervals import Surroundings

Floats = NDArray[np.float64]

CHARGE_SHARE = 0.5
"""Share of the core's thermal resistance that lies on the charge side [-]; chosen here."""

LEAST_BLOW = 1e-9
"""Outside air over the stated that counts as standing [-]."""


@dataclass(frozen=True, slots=True)
class AirCore:
    """The core of an air-to-air charge cooler.

    Parameters
    ----------
    transfer_units, rated_flow, rated_capacity : float
        NTU on the charge's capacity flow, the charge flow it is stated at, and that capacity
        flow. [-], [kg/s], [W/K]
    capacity_ratio : float
        Capacity flow of the charge over that of the outside air, as stated. [-] above 0 to 1
    stated_air_flow : float
        Outside air at which both are stated. [kg/s] above 0
    core_heat : float
        Heat capacity of the core's metal. [J/K] 0 and infinite are allowed
    bay_to_core : float
        Conductance from the engine bay to the core while the charge stands; with the charge
        flowing the stated effectiveness has it in. [W/K]
    charge_share : float
        Share of the core's resistance on the charge side. [-] above 0, below 1
    """

    transfer_units: float
    rated_flow: float
    rated_capacity: float
    capacity_ratio: float
    stated_air_flow: float
    core_heat: float
    bay_to_core: float = 0.0
    charge_share: float = CHARGE_SHARE


class CoreTerms(NamedTuple):
    """Terms of intervals.

    Parameters
    ----------
    gas, outside : ndarray
        Conductances from charge to core and from core to outside air, inlet by inlet. [W/K]
    contact : ndarray
        Share of the charge that takes the core's temperature. [-]
    effectiveness : ndarray
        Of the whole cooler once it has settled; 0 where the charge stands. [-]
    """

    gas: Floats
    outside: Floats
    contact: Floats
    effectiveness: Floats


def core_terms(
    core: AirCore, charge_flow: Floats, charge_capacity: Floats, air_flow: Floats
) -> CoreTerms:
    """Conductances of a core.

    Parameters
    ----------
    core : AirCore
        The core.
    charge_flow : ndarray
        Charge through it; 0 where it stands. [kg/s]
    charge_capacity : ndarray
        Its capacity flow. [W/K]
    air_flow : ndarray
        Outside air through it. [kg/s]

    Returns
    -------
    CoreTerms
        Conductances [W/K] and shares [-]. At the stated air flow the effectiveness is the
        match's, whose outside air keeps its ratio to the charge.

    References
    ----------
    Incropera & DeWitt, Fundamentals of Heat and Mass Transfer, table 11.3; resistances in series.

    Examples
    --------
    One transfer unit at a capacity ratio of 0.5, everything as stated: 0.54476.

    >>> core = AirCore(1.0, 0.4, 400.0, 0.5, 0.8, 2000.0)
    >>> terms = core_terms(core, np.array([0.4]), np.array([400.0]), np.array([0.8]))
    >>> round(float(terms.effectiveness[0]), 5)
    0.54476
    """
    flow, capacity, air = np.broadcast_arrays(charge_flow, charge_capacity, air_flow)
    blown, aired = flow > 0.0, air > LEAST_BLOW * core.stated_air_flow
    share = core.charge_share
    # the charge side alone, then both in series, in transfer units of the charge
    units = core.transfer_units * np.where(blown, flow / core.rated_flow, 1.0) ** FLOW_EXPONENT
    contact = np.where(blown, -np.expm1(-units / share), 0.0)
    blow = np.where(aired, air / core.stated_air_flow, 1.0)
    outer = units * blow**GAS_EXPONENT / (1.0 - share)
    whole = 1.0 / (share / units + 1.0 / outer)
    brought = blow / core.capacity_ratio
    least, most = np.minimum(brought, 1.0), np.maximum(brought, 1.0)
    settled = least * crossflow_effectiveness(whole / least, least / most)
    both = blown & aired
    rest = 1.0 / settled - 1.0 / np.where(blown, contact, 1.0)
    flowing = capacity / np.where(both, np.maximum(rest, 1e-9), 1.0)
    # with the charge standing the metal is at one temperature
    still = -brought * np.expm1(-core.transfer_units * blow**GAS_EXPONENT / (1.0 - share) / brought)
    outside = np.where(blown, flowing, core.rated_capacity * still)
    return CoreTerms(
        contact * capacity,
        np.where(aired, outside, 0.0),
        contact,
        np.where(both, settled, 0.0),
    )


class _Interval(NamedTuple):
    """One interval as plain numbers, SI."""

    duration: float
    inlet: float
    pressure: float
    humidity: float
    air: float
    bay_temperature: float
    gas: float
    outside: float
    contact: float
    bay: float
    dry_flow: float
    dew_point: float


def _moved(at: _Interval, heat: float, start: float, latent: float) -> tuple[float, float]:
    """Core at the end and its mean [K], for a heat capacity [J/K] and heat of condensation [W]."""
    whole = at.gas + at.outside + at.bay
    if whole <= 0.0:
        return start, start
    into = at.gas * at.inlet + at.outside * at.air + at.bay * at.bay_temperature + latent
    level = into / whole
    passed = whole * at.duration / heat if heat > 0.0 else math.inf
    if passed == 0.0:
        return start, start
    gone = -math.expm1(-passed)
    return start + (level - start) * gone, level + (start - level) * gone / passed


def _condensing(at: _Interval, core: float) -> tuple[float, float]:
    """Water condensing [kg/s] and its heat [W] on a core of a temperature [K]."""
    if at.contact == 0.0 or core >= at.dew_point:
        return 0.0, 0.0
    water = float(condensate_flow(at.dry_flow, at.humidity, at.pressure, core, at.contact))
    return water, water * float(heat_of_condensation(core)) if water > 0.0 else 0.0


def _intervals(core: AirCore, around: Surroundings) -> list[_Interval]:
    flow, humidity = around.charge_flow, around.humidity_ratio
    capacity = flow * moist_air(humidity).specific_heat(around.charge_inlet)
    terms = core_terms(core, flow, capacity, around.front_air_flow)
    columns = (
        around.duration,
        around.charge_inlet,
        around.charge_pressure,
        humidity,
        around.ambient,
        around.bay_temperature,
        terms.gas,
        terms.outside,
        terms.contact,
        np.where(flow > 0.0, 0.0, core.bay_to_core),
        flow / (1.0 + humidity),
        dew_point(around.charge_pressure, humidity),
    )
    return [_Interval(*row) for row in zip(*(c.tolist() for c in columns), strict=True)]


def air_soak(core: AirCore, around: Surroundings, start_temperature: float) -> Soak:
    """Temperatures and heats of an air-to-air cooler in time.

    Parameters
    ----------
    core : AirCore
        Its core.
    around : Surroundings
        What comes to it; the front air is that through the core, at the ambient temperature.
    start_temperature : float
        Of the metal. [K]

    Returns
    -------
    Soak
        Temperatures [K] and heats [J]; the outside air stands for the liquid.

    References
    ----------
    Energy balance of the core's metal, one temperature; exchangers by effectiveness (Kays &
    London); condensation by apparatus dew point and bypass factor (ASHRAE Fundamentals).
    """
    metal, heat = start_temperature, core.core_heat
    ends, sums = [metal], []
    for at in _intervals(core, around):
        water, latent = _condensing(at, metal)
        end, mean = _moved(at, heat, metal, latent)
        if water > 0.0:
            water, latent = _condensing(at, mean)
            end, mean = _moved(at, heat, metal, latent)
        dt = at.duration
        charge = (at.gas * (at.inlet - mean) + latent) * dt
        bay = at.bay * (at.bay_temperature - mean) * dt
        away = at.outside * (mean - at.air) * dt
        stored = heat * (end - metal) if math.isfinite(heat) else charge + bay - away
        outlet = at.inlet - at.contact * (at.inlet - mean)
        sums.append((outlet, charge, latent * dt, bay, away, water * dt, stored))
        metal = end
        ends.append(metal)
    outlet, charge, latent, bay, away, water, stored = np.array(sums).T
    time = np.concatenate(([0.0], np.cumsum(around.duration)))
    air = np.append(around.ambient, around.ambient[-1])
    none = np.zeros_like(air)
    return Soak(time, air, np.array(ends), none, outlet, charge, latent, bay, away, water, stored)
