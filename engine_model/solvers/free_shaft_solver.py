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
    Places,
    solve_places,
)

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

TOLERANCE = 1e-10
"""Manifold pressure of a solved point against the one asked, relative [-]."""

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
        Corrected speed. [rpm]; the end of the surface's reach where even that gives less.
    places : Places
        Places on the lines at those speeds.
    """
    top = float(chain.surface.line_speeds[-1])
    size = least_s.size
    low = np.full(size, _LEAST_SPEED_SHARE * top)
    high = np.full(size, (SPEED_REACH - 1e-6) * top)
    equations = _Boost(chain, least_s, manifold_pressure)
    f_low, f_high = equations.residual(low), equations.residual(high)
    speed = np.where(f_low > 0.0, low, high)
    inside = np.flatnonzero((f_low <= 0.0) & (f_high >= 0.0))
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
    return speed, solve_places(chain.at_speed(speed), least_s)
