"""A followed path told in few points, for the file of a map."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.errors import InputError

Floats = NDArray[np.float64]

MOST_POINTS: Final = 40
"""Points of one curve in a map's file at most; chosen here."""

TOLERANCE: Final = 0.0003
"""How far the path may bulge between two points, as a share of an axis [-]; chosen here."""

_LEAST_POINTS: Final = 12
_FINE: Final = 801  # points the path is looked at
_WINDOW: Final = 13  # of these the bend is averaged over


def thinned(
    points: ArrayLike,
    spans: ArrayLike,
    closed: bool = False,
    most: int = MOST_POINTS,
    tolerance: float = TOLERANCE,
) -> Floats:
    """Few points of a path, closer where it bends.

    Parameters
    ----------
    points : array_like, shape (n, 2)
        Flow [any] and pressure ratio [-] along the path.
    spans : array_like, shape (2,)
        Flow [any] and pressure ratio [-] that the axes span.
    closed : bool
        Whether the last point is followed by the first, which is not repeated.
    most : int
        Most points wanted, at least 12.
    tolerance : float
        How far the path may bulge between two points, as a share of an axis. [-] above 0

    Returns
    -------
    ndarray, shape (m, 2)
        Points of the path, its ends among them where it is open; the bulge is about equal
        everywhere, and kept under the tolerance if the points suffice.

    Examples
    --------
    >>> turn = np.linspace(0.0, 2.0 * np.pi, 500)[:-1]
    >>> ring = np.column_stack([np.cos(turn), np.sin(turn)])
    >>> few = thinned(ring, (2.0, 2.0), closed=True, tolerance=0.002)
    >>> len(few), bool(np.allclose(np.hypot(*few.T), 1.0, atol=1e-3))
    (36, True)
    """
    table, span = np.asarray(points, dtype=float), np.asarray(spans, dtype=float)
    if table.ndim != 2 or table.shape[1] != 2 or len(table) < 3 or not np.all(np.isfinite(table)):
        raise InputError("trace.points", np.shape(table), "three finite places or more")
    if most < _LEAST_POINTS or not tolerance > 0.0 or not np.all(span > 0.0):
        raise InputError("trace.most", (most, tolerance), f"{_LEAST_POINTS} points or more")
    ring = np.vstack([table, table[:1]]) if closed else table
    length = _lengths(ring / span)
    if length[-1] <= 0.0:
        raise InputError("trace.points", table[0].tolist(), "a path of some length")
    fine = np.linspace(0.0, length[-1], _FINE)
    path = np.column_stack([np.interp(fine, length, column) for column in (ring / span).T])
    # a chord of length h bulges by bend h^2/8
    density = np.sqrt(_bend(path, closed, fine[1]) / (8.0 * tolerance))
    density = np.maximum(density, (_LEAST_POINTS - 1) / length[-1])
    share = np.concatenate([[0.0], np.cumsum(0.5 * (density[1:] + density[:-1]) * fine[1])])
    count = int(np.clip(np.ceil(share[-1]) + 1, _LEAST_POINTS, most + (1 if closed else 0)))
    place = np.interp(np.linspace(0.0, share[-1], count), share, fine)
    few = np.column_stack([np.interp(place, length, column) for column in ring.T])
    return few[:-1] if closed else few


def _lengths(points: Floats) -> Floats:
    return np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])


def _bend(path: Floats, closed: bool, step: float) -> Floats:
    """Curvature along a path, averaged over a short way."""
    steps = np.diff(path, axis=0)
    heading = np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))
    turn = np.diff(heading) / step
    kernel = np.ones(_WINDOW) / _WINDOW
    beyond = _WINDOW // 2 + 1
    wide = np.pad(turn, beyond, mode="wrap") if closed else np.pad(turn, beyond, mode="edge")
    return np.abs(np.convolve(wide, kernel, mode="valid"))
