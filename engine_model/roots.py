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
    at_low = np.abs(residual_low) <= np.abs(residual_high)
    result = np.where(at_low, low, high)
    best = np.where(at_low, np.abs(residual_low), np.abs(residual_high))
    evaluations = 0
    place = np.flatnonzero(best > tolerance)
    if place.size == 0:
        return Roots(result, 0)
    if place.size < low.size:
        equations = equations.only(place)
    x1, x2, f1, f2 = low[place], high[place], residual_low[place], residual_high[place]
    moving = np.ones(place.size, dtype=bool)
    t = np.clip(f1 / (f1 - f2), 0.02, 0.98)
    for _ in range(most_steps):
        x = x2 - x1
        x *= t
        x += x1
        f = equations.residual(x)
        evaluations += int(np.count_nonzero(moving))
        same = (f > 0.0) == (f1 > 0.0)
        x3, f3 = np.where(same, x1, x2), np.where(same, f1, f2)
        np.copyto(x2, x1, where=~same)
        np.copyto(f2, f1, where=~same)
        x1, f1 = x, f
        width = x2 - x1
        done = np.abs(f) <= tolerance
        done |= np.abs(width) <= 4e-16 * np.maximum(np.abs(x1), 1.0)
        done &= moving
        ended = np.flatnonzero(done)
        if ended.size:
            nearer = np.abs(f1[ended]) <= np.abs(f2[ended])
            result[place[ended]] = np.where(nearer, x1[ended], x2[ended])
            moving &= ~done
            still = int(np.count_nonzero(moving))
            if still == 0:
                return Roots(result, evaluations)
            if still < COMPACT_BELOW * moving.size:
                keep = np.flatnonzero(moving)
                equations, place, width = equations.only(keep), place[keep], width[keep]
                x1, x2, x3 = x1[keep], x2[keep], x3[keep]
                f1, f2, f3 = f1[keep], f2[keep], f3[keep]
                moving = np.ones(keep.size, dtype=bool)
        t = _next_share(x1, x3, width, f1, f2, f3)
    ended = np.flatnonzero(moving)
    nearer = np.abs(f1[ended]) <= np.abs(f2[ended])
    result[place[ended]] = np.where(nearer, x1[ended], x2[ended])
    return Roots(result, evaluations)


def _next_share(
    x1: Floats, x3: Floats, width: Floats, f1: Floats, f2: Floats, f3: Floats
) -> Floats:
    """Share of the way from x1 to x2 for the next trial: interpolated where safe, else half."""
    with np.errstate(divide="ignore", invalid="ignore"):
        span = x3 - x1
        fall = f1 - f2
        rise = f3 - f2
        xi = width / (width - span)
        phi = fall / rise
        safe = phi < np.sqrt(xi)
        safe &= 1.0 - np.sqrt(1.0 - xi) < phi
        step = f3 / rise
        step *= f1 / fall
        other = span / width
        other *= f1 / (f3 - f1)
        other *= f2 / rise
        step += other
        t = np.where(safe, step, 0.5)
        least = np.minimum(2e-16 / np.abs(width) + 1e-9, 0.5)
    return np.asarray(np.minimum(np.maximum(t, least), 1.0 - least))
