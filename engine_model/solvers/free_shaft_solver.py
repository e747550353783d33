"""The impeller speed at which a free shaft gives a boost that is asked."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.surface import SPEED_REACH
from engine_model.roots import bracketed_roots
from engine_model.solvers.chain import Chain
from engine_model.solvers.shaft_solver import (
    FOUND,
    NO_ROOT_LEFT,
    OUT_OF_REACH,
    Places,
    solve_places,
)

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

TOLERANCE = 1e-10
"""Manifold pressure of a solved point against the one asked, relative [-]."""

MASS_TOLERANCE = 1e-9
"""Square of the flows' ratio less one at a solved point [-]."""

MOST_STEPS = 14
_NUDGE = 1e-7
_LEAST_SPEED_SHARE = 0.02


@dataclass(frozen=True, slots=True, eq=False)
class _Boost:
    """Manifold pressure over the one asked, less one, against corrected speed."""

    chain: Chain
    least_s: Floats
    asked: Floats

    def only(self, index: Indices) -> _Boost:
        return _Boost(self.chain.only(index), self.least_s[index], self.asked[index])

    def residual(self, corrected_speed: Floats) -> Floats:
        chain = self.chain.at_speed(corrected_speed)
        places = solve_places(chain, self.least_s)
        s = np.where(places.outcome == FOUND, places.s, 0.0)
        pressure = chain.breathe(chain.to_manifold(s)).manifold_pressure
        result = pressure / self.asked - 1.0
        # an engine that takes too little flow for the line turns too fast a shaft, and vice versa
        result = np.where(places.outcome == NO_ROOT_LEFT, 1.0, result)
        return np.where(places.outcome > NO_ROOT_LEFT, -1.0, result)


def _both(chain: Chain, s: Floats, log_speed: Floats, asked: Floats) -> tuple[Floats, Floats]:
    """Mass balance and boost together, both nothing at the answer."""
    at = chain.at_speed(np.exp(log_speed))
    states = at.breathe(at.to_manifold(s))
    ratio = states.flow / np.maximum(states.engine_flow, 1e-9)
    return ratio * ratio - 1.0, np.log(np.maximum(states.manifold_pressure, 1.0) / asked)


def _newton(chain: Chain, asked: Floats) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """Place and corrected speed by Newton steps on both equations; which points are done.

    Each point steps on its own from the same kind of start and is frozen when done, so that
    no point depends on another.
    """
    surface = chain.surface
    size = asked.size
    top = float(surface.line_speeds[-1])
    middle = np.array([0.5 * (surface.line_speeds[0] + top)])
    log_ratio = np.log(np.maximum(1.03 * asked / chain.points.ambient_pressure, 1.02))
    at_middle = float(np.log(surface.line(middle, 0.5)[1])[0])
    u = np.log(middle) + 0.5 * np.log(log_ratio / at_middle)
    u = np.broadcast_to(u, (size,)).copy()
    s = np.full(size, 0.5)
    done = np.zeros(size, dtype=bool)
    place = np.arange(size)
    for _ in range(MOST_STEPS):
        part = chain if place.size == size else chain.only(place)
        a, b, goal = s[place], u[place], asked[place]
        f, g = _both(part, a, b, goal)
        good = (np.abs(f) <= MASS_TOLERANCE) & (np.abs(g) <= TOLERANCE)
        done[place[good]] = True
        f_s, g_s = _both(part, a + _NUDGE, b, goal)
        f_u, g_u = _both(part, a, b + _NUDGE, goal)
        f_s, g_s, f_u, g_u = ((x - y) / _NUDGE for x, y in ((f_s, f), (g_s, g), (f_u, f), (g_u, g)))
        with np.errstate(divide="ignore", invalid="ignore"):
            bottom = f_s * g_u - f_u * g_s
            ds = -(f * g_u - f_u * g) / bottom
            du = -(f_s * g - f * g_s) / bottom
        usable = np.isfinite(ds) & np.isfinite(du) & ~good
        keep = np.flatnonzero(usable)
        if keep.size == 0:
            break
        place = place[keep]
        s[place] = np.clip(a[keep] + np.clip(ds[keep], -0.3, 0.3), -2.0, 1.999)
        u[place] = b[keep] + np.clip(du[keep], -0.25, 0.25)
    return s, np.exp(u), done


def solve_free_shaft(
    chain: Chain, least_s: Floats, manifold_pressure: Floats
) -> tuple[Floats, Places]:
    """Corrected speed that gives a manifold pressure, and the places on those lines.

    Parameters
    ----------
    chain : Chain
        The points; their speeds are ignored.
    least_s : ndarray
        As in ``solve_places``. [-]
    manifold_pressure : ndarray
        Pressure asked in the manifold, absolute. [Pa]

    Returns
    -------
    corrected_speed : ndarray
        Corrected speed. [rpm]; the end of the surface's reach where even that gives less, the
        outcome then ``OUT_OF_REACH``.
    places : Places
        Places on the lines at those speeds.
    """
    top = float(chain.surface.line_speeds[-1])
    size = least_s.size
    s, speed, done = _newton(chain, manifold_pressure)
    outcome = np.full(size, FOUND, dtype=np.int8)
    lost = np.flatnonzero(~done | (speed > SPEED_REACH * top) | (s < least_s))
    if lost.size:
        part = chain.only(lost)
        slow, places, reached = _by_bounds(part, least_s[lost], manifold_pressure[lost], top)
        state = np.where(reached, places.outcome, OUT_OF_REACH)
        speed[lost], s[lost], outcome[lost] = slow, places.s, state
    return speed, Places(s, outcome, 0)


def _by_bounds(
    chain: Chain, least_s: Floats, manifold_pressure: Floats, top: float
) -> tuple[Floats, Places, NDArray[np.bool_]]:
    """The slow road for the points that Newton's did not finish: a root within bounds."""
    size = least_s.size
    low = np.full(size, _LEAST_SPEED_SHARE * top)
    high = np.full(size, (SPEED_REACH - 1e-6) * top)
    equations = _Boost(chain, least_s, manifold_pressure)
    f_low, f_high = equations.residual(low), equations.residual(high)
    speed = np.where(f_low > 0.0, low, high)
    reached = (f_low <= 0.0) & (f_high >= 0.0)
    inside = np.flatnonzero(reached)
    if inside.size:
        roots = bracketed_roots(
            equations.only(inside),
            low[inside],
            high[inside],
            f_low[inside],
            f_high[inside],
            TOLERANCE,
        )
        speed[inside] = roots.x
    return speed, solve_places(chain.at_speed(speed), least_s), reached
