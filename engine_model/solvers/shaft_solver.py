"""Where a compressor of imposed speed and an engine agree."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engine_model.roots import Equations, bracketed_roots
from engine_model.solvers.chain import Chain

Floats = NDArray[np.float64]

TOLERANCE = 1.2e-9
"""Residual of a solved point [-]: 1.5 times its relative mass imbalance."""

FOUND, NO_ROOT_LEFT, NO_ROOT_RIGHT, OUT_OF_REACH = 0, 1, 2, 3


@dataclass(frozen=True, slots=True, eq=False)
class Places:
    """Solved places on the speed lines.

    Parameters
    ----------
    s : ndarray
        Place; nan without a root. [-]
    outcome : ndarray of int8
        ``FOUND``, ``NO_ROOT_LEFT`` (engine takes less than 0.6 of the surge flow),
        ``NO_ROOT_RIGHT`` (it takes more than the compressor passes at any ratio above 1) or
        ``OUT_OF_REACH`` (a free shaft's boost lies beyond the surface).
    evaluations : int
        Residuals evaluated, summed over the points.
    """

    s: Floats
    outcome: NDArray[np.int8]
    evaluations: int


def solve_places(chain: Chain, least_s: Floats) -> Places:
    """Solve the mass balance on each point's speed line.

    Parameters
    ----------
    chain : Chain
        The points.
    least_s : ndarray
        How far left of surge to look: -2 where the line is too weak to surge, else -1. [-]

    Returns
    -------
    Places
        One root a point: the first sign change counted from the left.
    """
    size = least_s.size
    low, high = np.zeros(size), np.ones(size)
    at_surge = chain.residual(low)
    outcome = np.full(size, FOUND, dtype=np.int8)
    # right of surge the other end is choke; left of it, as far as the line is carried
    left = np.flatnonzero(at_surge > 0.0)
    other = np.ones(size)
    other[left] = least_s[left]
    at_other = chain.residual(other)
    evaluations = 2 * size
    f_low, f_high = at_surge, at_other
    if left.size:
        f_low, f_high = at_surge.copy(), at_other.copy()
        low[left], high[left] = least_s[left], 0.0
        f_low[left], f_high[left] = at_other[left], at_surge[left]
        outcome[left[at_other[left] > 0.0]] = NO_ROOT_LEFT
    right = np.flatnonzero((at_surge <= 0.0) & (at_other < 0.0))
    if right.size:
        at_choke = at_other
        f = chain.only(right).residual(np.full(right.size, 2.0))
        evaluations += right.size
        f_low, f_high = f_low.copy(), f_high.copy()
        low[right], f_low[right], high[right], f_high[right] = 1.0, at_choke[right], 2.0, f
        outcome[right[f < 0.0]] = NO_ROOT_RIGHT
    solvable = np.flatnonzero(outcome == FOUND)
    s = np.full(size, np.nan)
    if solvable.size:
        equations: Equations = chain
        if solvable.size < size:
            equations = chain.only(solvable)
            low, high, f_low, f_high = (a[solvable] for a in (low, high, f_low, f_high))
        roots = bracketed_roots(equations, low, high, f_low, f_high, TOLERANCE)
        s[solvable] = roots.x
        evaluations += roots.evaluations
    return Places(s, outcome, evaluations)
