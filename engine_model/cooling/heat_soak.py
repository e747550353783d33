"""A liquid loop in time: one pull and pull after pull, ice and condensation included.

Two temperatures move, the charge core's metal and the liquid in the reservoir. Within an
interval everything outside is constant, so that both follow exactly by exponentials; only the
heat of condensation, which depends on the metal, is put in at its mean of the interval.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from engine_model.constants import ZERO_CELSIUS
from engine_model.cooling.condensation import condensate_flow, heat_of_condensation
from engine_model.cooling.linear_pair import propagator
from engine_model.cooling.liquid_loop import LiquidLoop
from engine_model.cooling.loop_intervals import LoopTerms, Surroundings, loop_rates, loop_terms
from engine_model.errors import InputError

Floats = NDArray[np.float64]

HEAT_OF_FUSION = 333.55e3
"""Heat that melts ice [J/kg], at 0 degC (IAPWS)."""

WATER_SPECIFIC_HEAT = 4186.0
"""Of molten ice [J/(kg K)], 15 degC calorie."""


@dataclass(frozen=True, slots=True, eq=False)
class Soak:
    """What a loop does; ends of intervals (n + 1) or means and sums over them (n).

    Parameters
    ----------
    time, liquid, core, ice : ndarray, shape (n + 1,)
        Time [s], temperatures of reservoir and core [K], mass of ice [kg].
    charge_outlet : ndarray, shape (n,)
        Charge after the core, mean of each interval: the manifold temperature. [K]
    from_charge, condensation : ndarray, shape (n,)
        Heat from the charge, all of it and the part of its condensing water. [J]
    from_bay, to_front : ndarray, shape (n,)
        Heat from the engine bay and to the front exchanger's air. [J]
    condensed : ndarray, shape (n,)
        Water condensed. [kg]
    stored : ndarray, shape (n,)
        Rise of the energy stored in liquid, ice and core. [J]
    """

    time: Floats
    liquid: Floats
    core: Floats
    ice: Floats
    charge_outlet: Floats
    from_charge: Floats
    condensation: Floats
    from_bay: Floats
    to_front: Floats
    condensed: Floats
    stored: Floats


def ice_mixed(reservoir_heat: float, temperature: float, ice_mass: float) -> tuple[float, float]:
    """Temperature and ice left after ice is put into a warmer reservoir.

    Parameters
    ----------
    reservoir_heat : float
        Heat capacity of the liquid. [J/K]
    temperature : float
        Of the liquid, water. [K] 273.15 and above where there is ice.
    ice_mass : float
        Ice at 0 degC. [kg]

    Returns
    -------
    temperature : float
        Of liquid and molten ice. [K]
    ice_mass : float
        What has not melted. [kg]

    References
    ----------
    Energy balance, heat of fusion 333.55 kJ/kg.

    Examples
    --------
    A kilogram of water at 79.68 degC melts a kilogram of ice.

    >>> t, left = ice_mixed(4186.0, 273.15 + 333.55 / 4.186, 1.0)
    >>> round(t, 2), round(left, 9)
    (273.15, 0.0)
    """
    if ice_mass <= 0.0:
        return temperature, 0.0
    warmth = reservoir_heat * (temperature - ZERO_CELSIUS)
    if warmth < 0.0:
        raise InputError("loop.start", temperature, "273.15 K or warmer where ice is put in")
    if warmth <= HEAT_OF_FUSION * ice_mass:
        return ZERO_CELSIUS, ice_mass - warmth / HEAT_OF_FUSION
    left = warmth - HEAT_OF_FUSION * ice_mass
    return ZERO_CELSIUS + left / (reservoir_heat + WATER_SPECIFIC_HEAT * ice_mass), 0.0


class _Interval(NamedTuple):
    """One interval as plain numbers, SI."""

    duration: float
    inlet: float
    pressure: float
    humidity: float
    ambient: float
    bay: float
    gas: float
    liquid: float
    front: float
    passed: float
    contact: float
    dry_flow: float
    dew_point: float


class _Taken(NamedTuple):
    """What one interval, or a part of it, does: rises [K], integrals [K s], water [kg]."""

    core: float
    liquid: float
    core_integral: float
    liquid_integral: float
    condensed: float
    latent: float


class _Loop:
    """Steps of one loop."""

    def __init__(self, loop: LiquidLoop, reservoir: float) -> None:
        self.loop = loop
        self.reservoir = reservoir

    def step(
        self, at: _Interval, row: tuple[float, ...], core: float, liquid: float, ice: bool
    ) -> _Taken:
        loop, dt = self.loop, at.duration
        into_core = (
            at.gas * (at.inlet - core)
            + loop.bay_to_core * (at.bay - core)
            - at.liquid * (core - liquid)
        )
        into_liquid = 0.0
        if not ice:
            into_liquid = self.into_liquid(at, core, liquid, 1.0) / self.reservoir
        water, latent = self.condensing(at, core)
        taken = self.moved(row, dt, core, liquid, into_core + latent, into_liquid)
        if water > 0.0:
            water, latent = self.condensing(at, taken.core_integral / dt)
            taken = self.moved(row, dt, core, liquid, into_core + latent, into_liquid)
        return taken._replace(condensed=water * dt, latent=latent * dt)

    def moved(
        self,
        row: tuple[float, ...],
        dt: float,
        core: float,
        liquid: float,
        heat: float,
        rise: float,
    ) -> _Taken:
        rate = heat / self.loop.core_heat
        c1, c2, c3, c4, i1, i2, i3, i4 = row
        return _Taken(
            c1 * rate + c2 * rise,
            c3 * rate + c4 * rise,
            core * dt + i1 * rate + i2 * rise,
            liquid * dt + i3 * rate + i4 * rise,
            0.0,
            0.0,
        )

    def condensing(self, at: _Interval, core: float) -> tuple[float, float]:
        """Water condensing [kg/s] and its heat [W] on a core of a temperature [K]."""
        if at.contact == 0.0 or core >= at.dew_point:
            return 0.0, 0.0
        flow = condensate_flow(at.dry_flow, at.humidity, at.pressure, core, at.contact)
        water = float(flow)
        return water, water * float(heat_of_condensation(core)) if water > 0.0 else 0.0

    def into_liquid(self, at: _Interval, core: float, liquid: float, dt: float) -> float:
        """Heat into the reservoir from temperatures, or from their integrals over a time."""
        from_core = at.liquid * (1.0 - at.passed) * (core - liquid)
        bay = self.loop.bay_to_liquid * (at.bay * dt - liquid)
        return from_core + bay - at.front * (liquid - at.ambient * dt)

    def melting(
        self, at: _Interval, row: tuple[float, ...], core: float, liquid: float
    ) -> tuple[_Taken, float]:
        """Step beside ice, and the ice it melts [kg]."""
        taken = self.step(at, row, core, liquid, True)
        heat = self.into_liquid(at, taken.core_integral, taken.liquid_integral, at.duration)
        return taken, heat / HEAT_OF_FUSION

    def row(self, at: _Interval, ice: bool) -> tuple[float, ...]:
        """Propagator of a part of an interval."""
        one = [np.array([v]) for v in (at.gas, at.liquid, at.passed, at.front)]
        rates = loop_rates(self.loop, self.reservoir, *one)
        none = np.zeros(1)
        rates = (rates[0], rates[1], none, none) if ice else rates
        return propagator(*rates, np.array([at.duration])).rows()[0]

    def last_ice(
        self, at: _Interval, core: float, liquid: float, ice: float
    ) -> tuple[_Interval, _Taken]:
        """Part of an interval until the ice has gone, halving its end."""
        low, high = 0.0, at.duration
        part = at
        for _ in range(50):
            part = at._replace(duration=0.5 * (low + high))
            _, melted = self.melting(part, self.row(part, True), core, liquid)
            low, high = (part.duration, high) if melted < ice else (low, part.duration)
        return part, self.step(part, self.row(part, True), core, liquid, True)


def _intervals(around: Surroundings, terms: LoopTerms) -> list[_Interval]:
    columns = (
        around.duration,
        around.charge_inlet,
        around.charge_pressure,
        around.humidity_ratio,
        around.ambient,
        around.bay_temperature,
        terms.gas,
        terms.liquid,
        terms.front,
        terms.passed,
        terms.contact,
        terms.dry_flow,
        terms.dew_point,
    )
    return [_Interval(*row) for row in zip(*(c.tolist() for c in columns), strict=True)]


def soak(
    loop: LiquidLoop,
    around: Surroundings,
    start_temperature: float,
    ice_mass: float = 0.0,
    core_temperature: float | None = None,
) -> Soak:
    """Temperatures and heats of a liquid loop in time.

    Parameters
    ----------
    loop : LiquidLoop
        The loop.
    around : Surroundings
        What comes to it.
    start_temperature : float
        Of the liquid, before any ice. [K]
    ice_mass : float
        Ice at 0 degC put into the reservoir, which then holds water; it melts at that
        temperature. [kg]
    core_temperature : float or None
        Of the charge core at the start; the liquid's where not given. [K]

    Returns
    -------
    Soak
        Temperatures [K] and heats [J].

    References
    ----------
    Energy balances of core and reservoir; exchangers by effectiveness (Kays & London);
    condensation by apparatus dew point and bypass factor (ASHRAE Fundamentals).
    """
    if not ice_mass >= 0.0:
        raise InputError("ice", ice_mass, "0 kg or more")
    liquid, ice = ice_mixed(loop.reservoir_heat, start_temperature, ice_mass)
    core = liquid if core_temperature is None else core_temperature
    reservoir = loop.reservoir_heat + WATER_SPECIFIC_HEAT * ice_mass
    terms = loop_terms(loop, around, reservoir)
    steps = _Loop(loop, reservoir)
    free = terms.free.rows()
    frozen = terms.frozen.rows() if ice > 0.0 else free
    ends, sums = [(liquid, core, ice)], []
    for at, row, cold_row in zip(_intervals(around, terms), free, frozen, strict=True):
        parts: list[tuple[_Interval, _Taken]] = []
        melted, before = 0.0, liquid
        whole = at
        if ice > 0.0:
            taken, melted = steps.melting(at, cold_row, core, liquid)
            if melted < ice:
                parts, ice = [(at, taken)], ice - melted
            else:
                part, taken = steps.last_ice(at, core, liquid, ice)
                parts, melted, ice = [(part, taken)], ice, 0.0
                whole = at._replace(duration=at.duration - part.duration)
                core, row = core + taken.core, steps.row(whole, False)
        if ice == 0.0 and whole.duration > 0.0:
            taken = steps.step(whole, row, core, liquid, False)
            parts.append((whole, taken))
        core = core + parts[-1][1].core
        liquid = liquid + (parts[-1][1].liquid if ice == 0.0 else 0.0)
        ends.append((liquid, core, ice))
        sums.append(_sums(steps, at, parts, liquid - before, melted))
    return _soak_of(around, ends, sums)


def _sums(
    steps: _Loop,
    at: _Interval,
    parts: list[tuple[_Interval, _Taken]],
    rise: float,
    melted: float,
) -> tuple[float, ...]:
    """Charge outlet [K], heats [J], water [kg] and energy stored [J] of one interval."""
    loop, dt = steps.loop, at.duration
    whole = parts[0][1]
    if len(parts) > 1:
        whole = _Taken(*(sum(values) for values in zip(*(t for _, t in parts), strict=True)))
    core, liquid = whole.core_integral, whole.liquid_integral
    latent, water = whole.latent, whole.condensed
    charge = at.gas * (at.inlet * dt - core) + latent
    bay = loop.bay_to_core * (at.bay * dt - core) + loop.bay_to_liquid * (at.bay * dt - liquid)
    front = at.front * (liquid - at.ambient * dt) + at.passed * at.liquid * (core - liquid)
    stored = loop.core_heat * whole.core + HEAT_OF_FUSION * melted
    if np.isfinite(steps.reservoir):
        stored += steps.reservoir * rise
    else:
        stored += steps.into_liquid(at, core, liquid, dt)
    outlet = at.inlet - at.contact * (at.inlet - core / dt)
    return outlet, charge, latent, bay, front, water, stored


def _soak_of(
    around: Surroundings,
    ends: list[tuple[float, float, float]],
    sums: list[tuple[float, ...]],
) -> Soak:
    liquid, core, ice = np.array(ends).T
    outlet, charge, latent, bay, front, water, stored = np.array(sums).T
    time = np.concatenate(([0.0], np.cumsum(around.duration)))
    return Soak(time, liquid, core, ice, outlet, charge, latent, bay, front, water, stored)
