"""The largest pulley that gives a boost asked at an engine speed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_FIRST, _AGAIN = 85, 24


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
    for step in range(5):
        known = np.where(np.isnan(boost), -np.inf, boost)
        enough = np.flatnonzero(known >= asked)
        if enough.size == 0:
            best = int(np.argmax(known))
            if step == 0 and 0 < best < grid.size - 1 and np.isfinite(known[best]):
                # the peak may lie between two divisions
                grid = np.linspace(grid[best - 1], grid[best + 1], _AGAIN)
                boost = boost_of(grid)
                continue
            return PulleyForBoost(float(grid[best]), float(boost[best]), False)
        last = int(enough[-1])
        if last == grid.size - 1:
            return PulleyForBoost(float(grid[last]), float(boost[last]), True)
        a, b, fa, fb = grid[last], grid[last + 1], boost[last], boost[last + 1]
        if step >= 2 and np.isfinite(fb):
            d = float(a + (b - a) * (asked - fa) / (fb - fa))
            return PulleyForBoost(d, float(boost_of(np.array([d]))[0]), True)
        grid = np.linspace(a, b, _AGAIN)
        boost = boost_of(grid)
    return PulleyForBoost(float(a), float(fa), True)
