"""Intervals of slip and leak, which cannot be less than nothing."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

LATTICE: Final = 121
"""Values of each quantity at which the belief is laid out."""

WITHIN: Final = 0.95


def densest(values: Floats, weight: Floats) -> tuple[float, float]:
    """Densest interval that holds 95 % of a belief.

    Parameters
    ----------
    values : ndarray
        Even values. [any]
    weight : ndarray
        Weight of each. [-]

    Returns
    -------
    tuple of (float, float)
        Its ends. [as the values]
    """
    order = np.argsort(-weight, kind="stable")
    total = np.cumsum(weight[order]) / np.sum(weight)
    kept = order[: int(np.searchsorted(total, WITHIN)) + 1]
    half = 0.5 * (values[1] - values[0])
    return max(float(values[kept.min()]) - half, 0.0), float(values[kept.max()]) + half


def positive_intervals(mean: Floats, covariance: Floats) -> list[tuple[float, float]]:
    """95 % intervals of one or two quantities whose belief is cut at nothing.

    Parameters
    ----------
    mean : ndarray
        Means before the cut, below nothing too; one or two. [any]
    covariance : ndarray
        Before the cut. [any squared]

    Returns
    -------
    list of (float, float)
        Densest interval of each. [as the means]

    References
    ----------
    Normal distribution cut at nothing, laid out on a lattice.
    """
    spread = np.sqrt(np.diag(covariance))
    axes = [np.linspace(0.0, max(m, 0.0) + 5.0 * s, LATTICE) for m, s in
            zip(mean, spread, strict=True)]  # fmt: skip
    grid = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1) - mean
    inverse = np.linalg.inv(covariance)
    square = np.einsum("...i,ij,...j->...", grid, inverse, grid)
    weight = np.exp(-0.5 * (square - np.min(square)))
    found = []
    for at, axis in enumerate(axes):
        others = tuple(one for one in range(len(axes)) if one != at)
        found.append(densest(axis, np.sum(weight, axis=others) if others else weight))
    return found
