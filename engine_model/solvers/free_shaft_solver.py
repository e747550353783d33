"""The impeller speed at which a free shaft gives a boost that is asked."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.surface import SPEED_REACH
from engine_model.roots import bracketed_roots
from engine_model.solvers.chain import Chain, States
from engine_model.solvers.shaft_solver import (
    FOUND,
    NO_ROOT_LEFT,
    OUT_OF_REACH,
    Places,
    solve_places,
)
from engine_model.solvers.speed_newton import TOLERANCE, newton_speed

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

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


@dataclass(frozen=True, slots=True, eq=False)
class _Asked:
    """Manifold pressure against the one asked."""

    asked: Floats

    def only(self, index: Indices) -> _Asked:
        return _Asked(self.asked[index])

    def residual(self, states: States, log_speed: Floats) -> Floats:
        return np.asarray(np.log(np.maximum(states.manifold_pressure, 1.0) / self.asked))


def _newton(chain: Chain, asked: Floats) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """Place and corrected speed by Newton steps on both equations; which points are done."""
    surface = chain.surface
    size = asked.size
    top = float(surface.line_speeds[-1])
    middle = np.array([0.5 * (surface.line_speeds[0] + top)])
    log_ratio = np.log(np.maximum(1.03 * asked / chain.points.ambient_pressure, 1.02))
    at_middle = float(np.log(surface.line(middle, 0.5)[1])[0])
    u = np.log(middle) + 0.5 * np.log(log_ratio / at_middle)
    start = np.array(np.broadcast_to(u, (size,)))
    s, u, done = newton_speed(chain, _Asked(asked), np.full(size, 0.5), start)
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
