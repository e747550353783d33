"""Where a compressor of imposed speed and an engine agree."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engine_model.roots import Equations, bracketed_roots
from engine_model.solvers.chain import Chain

Floats = NDArray[np.float64]

TOLERANCE = 1e-9
"""Residual of a solved point [-]: twice its relative mass imbalance."""

FOUND, NO_ROOT_LEFT, NO_ROOT_RIGHT = 0, 1, 2


@dataclass(frozen=True, slots=True, eq=False)
class Places:
    """Solved places on the speed lines.

    Parameters
    ----------
    s : ndarray
        Place; nan without a root. [-]
    outcome : ndarray of int8
        ``FOUND``, ``NO_ROOT_LEFT`` (engine takes less than 0.6 of the surge flow) or
        ``NO_ROOT_RIGHT`` (it takes more than the compressor passes at any ratio above 1).
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
    zero, one = np.zeros(size), np.ones(size)
    at_surge = chain.residual(zero)
    at_choke = chain.residual(one)
    evaluations = 2 * size
    low, high, f_low, f_high = zero, one, at_surge, at_choke
    outcome = np.full(size, FOUND, dtype=np.int8)

    left = np.flatnonzero(at_surge > 0.0)
    if left.size:
        bound = least_s[left]
        f = chain.only(left).residual(bound)
        evaluations += left.size
        low, f_low = low.copy(), f_low.copy()
        high, f_high = high.copy(), f_high.copy()
        low[left], f_low[left], high[left], f_high[left] = bound, f, 0.0, at_surge[left]
        outcome[left[f > 0.0]] = NO_ROOT_LEFT
    right = np.flatnonzero((at_choke < 0.0) & (at_surge <= 0.0))
    if right.size:
        f = chain.only(right).residual(np.full(right.size, 2.0))
        evaluations += right.size
        low, f_low = low.copy(), f_low.copy()
        high, f_high = high.copy(), f_high.copy()
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
