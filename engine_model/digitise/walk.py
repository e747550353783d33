"""The cheapest smooth way along a strip: which ink a curve follows."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]

STRIDE: Final = 3
"""Cells along a strip from one step of the walk to the next."""

STEEPEST: Final = 6
"""Most cells across a strip in one step: twice the stride, 63 degrees."""

_TURN: Final = 0.25  # price of a change of slope by one cell a step, in cells of bare paper
_PLACE: Final = 0.3  # price of being at the edge of the strip, per cell


def walk(price: Singles, half_width: Floats) -> Floats:
    """Offsets of the cheapest smooth way along a strip.

    Parameters
    ----------
    price : ndarray, shape (STRIDE * (m - 1) + 1, n)
        What each cell costs, square cells, along and across the strip; n is odd. [-] 0-1
    half_width : ndarray, shape (m,)
        How far from the middle the way may be at each step. [cell]

    Returns
    -------
    ndarray, shape (m,)
        Offset from the middle at each step. [cell]

    Notes
    -----
    Dynamic programming over place and slope: the sum of the cells' prices along the way, times
    its length, plus a price of turning, so that a crossing is passed straight. The slope
    changes by at most one cell a step. Both ends are free within the half width.
    """
    steps, cells = len(half_width), price.shape[1]
    slopes = np.arange(-STEEPEST, STEEPEST + 1)
    offset = np.arange(cells) - cells // 2
    edge = (offset / np.maximum(half_width, 0.5)[:, None]) ** 2
    allowed = np.abs(offset) <= half_width[:, None] + 0.5
    came_from = np.arange(cells) - slopes[:, None]
    outside = (came_from < 0) | (came_from >= cells)
    came_from = np.clip(came_from, 0, cells - 1)
    moves = _prices_of_moves(price, steps, came_from, slopes)
    place = STRIDE * _PLACE * edge[1:] + np.where(allowed[1:], 0.0, np.inf)
    moves += place.astype(np.float32)[:, None, :]
    moves[:, outside] = np.inf
    source = came_from + cells * np.arange(slopes.size)[:, None]
    total = np.where(allowed[0], np.float32(0.0), np.float32(np.inf))
    total = np.tile(total, (slopes.size, 1))
    change = np.zeros((steps - 1, slopes.size, cells), dtype=np.int8)
    turn = np.float32(_TURN)
    for step in range(steps - 1):
        # the slope may change by one before the step, then the step is taken
        turned = total + turn
        best = total.copy()
        np.minimum(best[1:], turned[:-1], out=best[1:])
        np.minimum(best[:-1], turned[1:], out=best[:-1])
        change[step, 1:][best[1:] == turned[:-1]] = -1
        change[step, :-1][best[:-1] == turned[1:]] = 1
        total = best.ravel()[source] + moves[step]
    return np.asarray(_traced_back(total, change, came_from) - cells // 2)


def _prices_of_moves(
    price: Singles, steps: int, came_from: NDArray[np.intp], slopes: NDArray[np.intp]
) -> Singles:
    """Price of arriving with each slope at each cell, shape (steps - 1, slopes, cells)."""
    cells = price.shape[1]
    summed = np.zeros((steps - 1, slopes.size, cells), dtype=np.float32)
    for part in range(1, STRIDE + 1):
        here = price[part::STRIDE][: steps - 1]
        shift = np.rint(slopes * part / STRIDE).astype(int)
        summed += here[:, np.clip(came_from + shift[:, None], 0, cells - 1)]
    return summed * np.hypot(1.0, slopes / STRIDE).astype(np.float32)[:, None]


def _traced_back(total: Singles, change: NDArray[np.int8], came_from: NDArray[np.intp]) -> Floats:
    slope, cell = np.unravel_index(int(np.argmin(total)), total.shape)
    path = np.empty(len(change) + 1)
    for step in range(len(change) - 1, -1, -1):
        path[step + 1] = cell
        cell = came_from[slope, cell]
        slope = slope + change[step, slope, cell]
    path[0] = cell
    return path
