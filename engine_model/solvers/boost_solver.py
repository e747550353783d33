"""The largest pulley that gives a boost asked at an engine speed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_FIRST, _AGAIN = 85, 24
_NEAR = 1e-4
"""Half-width of the three pulleys around the first answer, relative [-]."""


@dataclass(frozen=True, slots=True)
class PulleyForBoost:
    """Answer to "boost at a speed".

    Parameters
    ----------
    diameter : float
        Largest blower pulley that gives the boost, else the one that gives the most. [m]
    boost : float
        Boost with it. [Pa gauge]
    reached : bool
        Whether the boost asked is reached.
    """

    diameter: float
    boost: float
    reached: bool


def largest_pulley(
    boost_of: Callable[[Floats], Floats], asked: float, smallest: float, largest: float
) -> PulleyForBoost:
    """Largest pulley whose boost is the one asked, by repeated division of the range.

    Parameters
    ----------
    boost_of : callable
        Boost [Pa gauge] of an array of pulley diameters [m]; nan where there is none.
    asked : float
        Boost asked. [Pa gauge]
    smallest, largest : float
        Range of pulleys. [m]

    Returns
    -------
    PulleyForBoost
        The pulley, within 1e-9 m, or the most boost that can be had.
    """
    grid = np.linspace(smallest, largest, _FIRST)
    boost = boost_of(grid)
    known = np.where(np.isnan(boost), -np.inf, boost)
    if not np.any(known >= asked):
        grid, known = _around_peak(boost_of, grid, known)
        if not np.any(known >= asked):
            best = int(np.argmax(known))
            most = float(known[best]) if np.isfinite(known[best]) else float("nan")
            return PulleyForBoost(float(grid[best]), most, False)
    last = int(np.flatnonzero(known >= asked)[-1])
    if last == grid.size - 1:
        return PulleyForBoost(float(grid[last]), float(known[last]), True)
    quick = _inverse_cubic(grid, known, last, asked)
    if quick is not None:
        near = quick * np.array([1.0 - _NEAR, 1.0, 1.0 + _NEAR])
        values = boost_of(near)
        if values[0] >= asked >= values[2]:
            # the boost falls through the answer: a parabola through three close points
            d = _inverse_parabola(values, near, asked)
            return PulleyForBoost(d, asked, True)
    low, high = grid[last], grid[last + 1]
    for _ in range(6):
        grid = np.linspace(low, high, _AGAIN)
        values = boost_of(grid)
        last = int(np.flatnonzero(np.where(np.isnan(values), -np.inf, values) >= asked)[-1])
        if last == grid.size - 1:
            break
        low, high = grid[last], grid[last + 1]
    return PulleyForBoost(float(grid[last]), float(values[last]), True)


def _around_peak(
    boost_of: Callable[[Floats], Floats], grid: Floats, known: Floats
) -> tuple[Floats, Floats]:
    """Search again between the neighbours of the highest boost, where the peak may lie."""
    best = int(np.argmax(known))
    if not 0 < best < grid.size - 1 or not np.isfinite(known[best]):
        return grid, known
    fine = np.linspace(grid[best - 1], grid[best + 1], _AGAIN)
    values = boost_of(fine)
    return fine, np.where(np.isnan(values), -np.inf, values)


def _inverse_cubic(grid: Floats, known: Floats, last: int, asked: float) -> float | None:
    """Pulley by inverse interpolation through four divisions, where boost falls through them."""
    first = min(max(last - 1, 0), grid.size - 4)
    x, y = grid[first : first + 4], known[first : first + 4]
    if not (np.all(np.isfinite(y)) and np.all(np.diff(y) < 0.0) and y[-1] <= asked <= y[0]):
        return None
    total = 0.0
    for i in range(4):
        weight = 1.0
        for j in range(4):
            if i != j:
                weight *= (asked - y[j]) / (y[i] - y[j])
        total += weight * x[i]
    return float(total)


def _inverse_parabola(y: Floats, x: Floats, asked: float) -> float:
    a = (asked - y[1]) * (asked - y[2]) / ((y[0] - y[1]) * (y[0] - y[2])) * x[0]
    b = (asked - y[0]) * (asked - y[2]) / ((y[1] - y[0]) * (y[1] - y[2])) * x[1]
    c = (asked - y[0]) * (asked - y[1]) / ((y[2] - y[0]) * (y[2] - y[1])) * x[2]
    return float(a + b + c)
