"""Weights of engine speeds from a density over them, straight between its rows."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from engine_model.section_base import Table

Floats = NDArray[np.float64]


def density_weights(engine_speed: Floats, rows: Table) -> Floats:
    """Weights of engine speeds under a density that is straight between rows and 0 outside.

    Every engine speed counts for its neighbourhood as in straight interpolation, so that the
    weighted sum of a quantity is its mean under the density. A single row is one engine speed.

    Parameters
    ----------
    engine_speed : ndarray, shape (k,)
        Rising. [rpm]
    rows : tuple of (float, float)
        Engine speed and density, rising. [rpm, any]

    Returns
    -------
    ndarray, shape (k,)
        Sum 1; all nan where nothing of the density lies within the engine speeds. [-]

    References
    ----------
    Simpson's rule, exact for the product of two straight lines.
    """
    size = engine_speed.size
    at, height = (np.array(column, dtype=float) for column in zip(*rows, strict=True))
    within = (at >= engine_speed[0]) & (at <= engine_speed[-1])
    if size == 1 or at.size == 1:
        found = np.zeros(size)
        if size == 1:
            found[0] = np.interp(engine_speed[0], at, height, 0.0, 0.0)
        elif within[0]:
            found = _hats(engine_speed, at)[:, 0] * height[0]
    else:
        edges = np.unique(np.concatenate((engine_speed, at[within])))
        low, width = edges[:-1], np.diff(edges)
        middle = low + 0.5 * width
        inside = (middle > at[0]) & (middle < at[-1])
        found = np.zeros(size)
        for place, part in ((low, 1.0), (middle, 4.0), (edges[1:], 1.0)):
            density = np.where(inside, np.interp(place, at, height), 0.0) * width * part
            found += np.cumsum(_hats(engine_speed, place) * density, axis=1)[:, -1]
    total = np.cumsum(found)[-1]
    return np.asarray(found / total if total > 0.0 else np.full(size, np.nan))


def _hats(engine_speed: Floats, at: Floats) -> Floats:
    """Share of every engine speed in straight interpolation at places, shape (k, places) [-]."""
    return np.array([np.interp(at, engine_speed, one) for one in np.eye(engine_speed.size)])
