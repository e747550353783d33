"""Bracketed roots of many independent equations at once.

Each point is frozen when it has converged, so that no result depends on its neighbours.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol, Self

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

COMPACT_BELOW = 0.75
"""Share of points still moving under which the finished ones are dropped [-]."""


class Equations(Protocol):
    """Many scalar equations, evaluated elementwise."""

    def residual(self, x: Floats) -> Floats:
        """Residual of every equation at its own x."""
        ...

    def only(self, index: Indices) -> Self:
        """Return the equations of some of the points."""
        ...


@dataclass(frozen=True, slots=True, eq=False)
class Roots:
    """What a search found.

    Parameters
    ----------
    x : ndarray
        The roots.
    evaluations : int
        Residuals evaluated, summed over the points.
    """

    x: Floats
    evaluations: int


def bracketed_roots(
    equations: Equations,
    low: Floats,
    high: Floats,
    residual_low: Floats,
    residual_high: Floats,
    tolerance: float,
    most_steps: int = 80,
) -> Roots:
    """Roots of equations whose residuals change sign between two bounds.

    Parameters
    ----------
    equations : Equations
        The equations, one a point.
    low, high : ndarray, shape (n,)
        Bounds.
    residual_low, residual_high : ndarray, shape (n,)
        Residuals there, of opposite signs.
    tolerance : float
        A point is done when its residual's magnitude is at most this, or when its bounds
        have closed to the resolution of a double.
    most_steps : int
        Steps after which the best point so far is taken.

    Returns
    -------
    Roots
        One root a point.

    References
    ----------
    Chandrupatla, Advances in Engineering Software 28 (1997) 145: inverse quadratic
    interpolation where it is safe, bisection elsewhere. The first step is a secant.
    """
    result = np.where(np.abs(residual_low) <= np.abs(residual_high), low, high)
    best = np.minimum(np.abs(residual_low), np.abs(residual_high))
    evaluations = 0
    place = np.flatnonzero(best > tolerance)
    if place.size == 0:
        return Roots(result, 0)
    if place.size < low.size:
        equations = equations.only(place)
    x1, x2, f1, f2 = low[place], high[place], residual_low[place], residual_high[place]
    moving = np.ones(place.size, dtype=bool)
    x_min, f_min = result[place], best[place]
    t = np.clip(f1 / (f1 - f2), 0.02, 0.98)
    for _ in range(most_steps):
        x = x1 + t * (x2 - x1)
        f = equations.residual(x)
        evaluations += int(np.count_nonzero(moving))
        same = (f > 0.0) == (f1 > 0.0)
        x3, f3 = np.where(same, x1, x2), np.where(same, f1, f2)
        x2, f2 = np.where(same, x2, x1), np.where(same, f2, f1)
        x1, f1 = x, f
        size = np.abs(f)
        better = moving & (size < f_min)
        x_min, f_min = np.where(better, x, x_min), np.where(better, size, f_min)
        width = x2 - x1
        closed = np.abs(width) <= 4e-16 * np.maximum(np.abs(x1), 1.0)
        moving &= ~((size <= tolerance) | closed)
        still = int(np.count_nonzero(moving))
        if still == 0:
            break
        with np.errstate(divide="ignore", invalid="ignore"):
            span = x3 - x2
            xi = -width / span
            phi = (f1 - f2) / (f3 - f2)
            alpha = (x3 - x1) / width
            safe = (1.0 - np.sqrt(1.0 - xi) < phi) & (phi < np.sqrt(xi))
            step = f1 / (f1 - f2) * (f3 / (f3 - f2)) - alpha * (f1 / (f3 - f1)) * (f2 / (f2 - f3))
            t = np.where(safe, step, 0.5)
            least = np.minimum(2e-16 / np.abs(width) + 1e-9, 0.5)
        t = np.minimum(np.maximum(t, least), 1.0 - least)
        if still < COMPACT_BELOW * moving.size:
            done = np.flatnonzero(~moving)
            result[place[done]] = x_min[done]
            keep = np.flatnonzero(moving)
            equations = equations.only(keep)
            place = place[keep]
            x1, x2, f1, f2 = x1[keep], x2[keep], f1[keep], f2[keep]
            t, x_min, f_min = t[keep], x_min[keep], f_min[keep]
            moving = np.ones(keep.size, dtype=bool)
    result[place] = x_min
    return Roots(result, evaluations)
