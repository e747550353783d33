"""Boost held at a cap by a bypass valve behind the charge cooler."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from engine_model.roots import bracketed_roots
from engine_model.solvers.chain import Chain, Points, States

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

TOLERANCE = 1e-11
"""Manifold pressure against the cap, and inlet temperature, relative [-]."""

MIX_TOLERANCE = 1e-9
"""Inlet temperature against that of the mixed flows, relative [-]."""

MOST_RISE = 150.0
"""Recirculation does not heat the inlet by more than this [K]."""

ReheatPoints = Callable[[Points, Floats], Points]
"""Points with another temperature at station 1."""


@dataclass(frozen=True, slots=True, eq=False)
class Capped:
    """Points with an open bypass.

    Parameters
    ----------
    s : ndarray
        Place on the speed line. [-]
    inlet_temperature : ndarray
        Station 1, recirculated air included. [K]
    states : States
        Stations; ``engine_flow`` is what the engine takes, ``flow`` the compressor's.
    chain : Chain
        The points at that inlet temperature.
    held : ndarray of bool
        Whether the cap is held by a flow balance; hot air recirculated without a cooler may
        find none.
    """

    s: Floats
    inlet_temperature: Floats
    states: States
    chain: Chain
    held: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class _AtCap:
    """Manifold pressure less the cap, relative, against s; falls right of the shut root."""

    chain: Chain
    cap_pressure: Floats
    recirculated: bool

    def only(self, index: Indices) -> _AtCap:
        return _AtCap(self.chain.only(index), self.cap_pressure[index], self.recirculated)

    def states(self, s: Floats) -> States:
        if not self.recirculated:
            states = self.chain.to_manifold(s)
            taken = self._taken(states)
        else:
            # the filter passes the engine's flow, which hardly depends on station 1
            points = self.chain.points
            p1 = np.broadcast_to(points.ambient_pressure, s.shape) * 1.0
            for _ in range(4):
                states = self.chain.to_manifold(s, p1)
                taken = self._taken(states)
                p1 = points.ambient_pressure - points.inlet_factor * taken * taken
            states = self.chain.to_manifold(s, p1)
        total = 1.0 + self.chain.points.fuel_share
        p4 = self.chain.points.ambient_pressure + self._turbine(states)
        p4 = p4 + self.chain.breathing.exhaust_factor * (total * taken) ** 2
        return replace(states, exhaust_pressure=p4, engine_flow=taken)

    def _taken(self, states: States) -> Floats:
        return self.chain.flow_at_manifold(
            self.cap_pressure, states.manifold_temperature, self._turbine(states)
        )

    def _turbine(self, states: States) -> Floats:
        rise = states.discharge_pressure - states.inlet_pressure
        return np.asarray(self.chain.breathing.turbine_factor * rise)

    def residual(self, s: Floats) -> Floats:
        return self.states(s).manifold_pressure / self.cap_pressure - 1.0


def _place_at_cap(equations: _AtCap, shut_s: Floats) -> tuple[Floats, Floats]:
    """Place where the cap holds, and the excess at the left bound; nan s where not reached.

    Recirculated air slows the corrected speed, so that the place may lie left of the shut
    one; right of surge the pressure falls all the way.
    """
    low = np.minimum(shut_s, 0.0) if equations.recirculated else shut_s
    high = np.full_like(low, 2.0)
    f_low, f_high = equations.residual(low), equations.residual(high)
    s = np.full_like(low, np.nan)
    inside = np.flatnonzero((f_low >= 0.0) & (f_high <= 0.0))
    if inside.size:
        s[inside] = bracketed_roots(
            equations.only(inside),
            low[inside],
            high[inside],
            f_low[inside],
            f_high[inside],
            TOLERANCE,
        ).x
    return s, f_low


@dataclass(frozen=True, slots=True, eq=False)
class _Recirculation:
    """Inlet temperature less that of the mixed flows, relative, against inlet temperature."""

    chain: Chain
    cap_pressure: Floats
    shut_s: Floats
    fresh_temperature: Floats
    reheat: ReheatPoints

    def only(self, index: Indices) -> _Recirculation:
        return _Recirculation(
            self.chain.only(index),
            self.cap_pressure[index],
            self.shut_s[index],
            self.fresh_temperature[index],
            self.reheat,
        )

    def at(self, temperature: Floats) -> _AtCap:
        points = self.reheat(self.chain.points, temperature)
        return _AtCap(replace(self.chain, points=points), self.cap_pressure, True)

    def residual(self, temperature: Floats) -> Floats:
        equations = self.at(temperature)
        s, _ = _place_at_cap(equations, self.shut_s)
        states = equations.states(np.where(np.isfinite(s), s, self.shut_s))
        share = states.engine_flow / states.flow
        # less through the compressor than the engine takes: the cap is out of reach
        reached = np.isfinite(s) & (share <= 1.0)
        mixed = share * self.fresh_temperature + (1.0 - share) * states.manifold_temperature
        return np.where(reached, temperature / mixed - 1.0, 1.0)


def hold_cap(
    chain: Chain,
    shut_s: Floats,
    cap_pressure: Floats,
    fresh_temperature: Floats,
    recirculated: bool,
    reheat: ReheatPoints,
) -> Capped:
    """Open the bypass of points whose boost is over the cap until it holds.

    Parameters
    ----------
    chain : Chain
        The points, all over the cap with the bypass shut.
    shut_s : ndarray
        Their places with the bypass shut. [-]
    cap_pressure : ndarray
        Manifold pressure at the cap, absolute. [Pa]
    fresh_temperature : ndarray
        Air from the filter at station 1. [K]
    recirculated : bool
        Whether the valve blows back to station 1 rather than to atmosphere.
    reheat : callable
        Makes points with another temperature at station 1.

    Returns
    -------
    Capped
        Compressor flow = engine flow + bypass flow at each point.
    """
    if not recirculated:
        equations = _AtCap(chain, cap_pressure, False)
        s, _ = _place_at_cap(equations, shut_s)
        held = np.isfinite(s)
        s = np.where(held, s, shut_s)
        return Capped(s, fresh_temperature, equations.states(s), chain, held)
    mixing = _Recirculation(chain, cap_pressure, shut_s, fresh_temperature, reheat)
    temperature, balanced = _mixed_temperature(mixing)
    equations = mixing.at(temperature)
    s, _ = _place_at_cap(equations, shut_s)
    held = np.isfinite(s) & balanced
    s = np.where(np.isfinite(s), s, shut_s)
    return Capped(s, temperature, equations.states(s), equations.chain, held)


def _mixed_temperature(mixing: _Recirculation) -> tuple[Floats, NDArray[np.bool_]]:
    """Inlet temperature at which the two flows mix to itself, and whether there is one."""
    low = mixing.fresh_temperature
    f_low = mixing.residual(low)
    temperature = low.copy()
    balanced = np.abs(f_low) <= MIX_TOLERANCE
    # the first mix tells how far to look; only few points need the full range
    rise = low / (1.0 + np.minimum(f_low, 0.0)) - low
    for high in (low + np.minimum(1.6 * rise + 0.5, MOST_RISE), low + MOST_RISE):
        open_points = np.flatnonzero((f_low < 0.0) & ~balanced)
        if open_points.size == 0:
            break
        some = mixing.only(open_points)
        f_high = some.residual(high[open_points])
        inside = np.flatnonzero(f_high > 0.0)
        if inside.size == 0:
            continue
        at = open_points[inside]
        found = bracketed_roots(
            some.only(inside), low[at], high[at], f_low[at], f_high[inside], TOLERANCE
        ).x
        left = mixing.only(at).residual(found)
        temperature[at] = found
        # a jump at the edge of what can be reached is no balance
        balanced[at] = np.abs(left) <= MIX_TOLERANCE
        f_low[at] = np.where(balanced[at], f_low[at], 0.0)
    return temperature, balanced
