"""What samples on a lattice of sizes tell of the sizes between them.

Knows no build: only rows of numbers along a lattice, some of which are known.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Indices = NDArray[np.intp]

CAUTION = 1.0
"""How many times the two parabolas' distance a value may lie off the cubic [-]; chosen here."""

DIGITS = 9
"""Digits after the point to which shares are compared: a held boost differs in the eleventh."""


class Range(NamedTuple):
    """Where rows lie along the lattice: no lower and no higher than this, and about there.

    Parameters
    ----------
    low, high, about : ndarray, shape (rows, sizes)
        Bounds and estimate; the row itself where it is known.
    """

    low: Floats
    high: Floats
    about: Floats


def between(at: Indices, values: Floats, size: int, rough: Floats) -> Range:
    """Bounds of rows on a whole lattice from samples.

    Parameters
    ----------
    at : ndarray of int, shape (n,)
        Places of the samples, rising.
    values : ndarray, shape (rows, n)
        The rows there: shares [-], power [W]; minus infinity where nothing is judged.
    size : int
        Length of the lattice.
    rough : ndarray, shape (rows, n)
        How much a row may jump up and down from size to size, beside each sample; in its own
        unit [-].

    Returns
    -------
    Range
        Cubics through four samples; the distance of the two parabolas through three of them is
        what they may be wrong by, which covers a kink where another engine speed takes over.
        Beyond the outer samples, and next to jumps, anything is possible.

    References
    ----------
    Lagrange's interpolation.
    """
    count = at.size
    rows = values.shape[0]
    low, high = np.full((rows, size), -np.inf), np.full((rows, size), np.inf)
    about = np.full((rows, size), np.nan)
    if count >= 4:
        inside = np.arange(at[0], at[-1] + 1)
        cell = np.clip(np.searchsorted(at, inside, side="right") - 1, 0, count - 2)
        cubic, off = _cubic(at, values, inside, cell)
        first, last = values[:, cell], values[:, cell + 1]
        with np.errstate(invalid="ignore"):
            wild = ~np.isfinite(cubic + off)
            chord = np.abs(last - first)
            # a jump beside the cell: the cell's own ends must do
            cubic = np.where(wild, 0.5 * (first + last), cubic)
            off = np.where(wild, 1.5 * chord, CAUTION * off)
            jumps = np.maximum(rough[:, cell], rough[:, cell + 1])
            off = off + np.where(chord > 10.0**-DIGITS, jumps, 0.0)
            same = (first == last) & ~np.isfinite(first)
            unknown = wild & ~np.isfinite(chord)
            low[:, inside] = np.where(unknown, -np.inf, cubic - off)
            high[:, inside] = np.where(unknown, np.inf, cubic + off)
            about[:, inside] = np.where(unknown, np.nan, cubic)
        for table in (low, high, about):
            table[:, inside] = np.where(same, first, table[:, inside])
    for table in (low, high, about):
        table[:, at] = values
    return Range(low, high, about)


def _cubic(at: Indices, values: Floats, x: Indices, cell: Indices) -> tuple[Floats, Floats]:
    """Cubics at places x, and the distance of the two parabolas they are made of."""
    start = np.clip(cell - 1, 0, at.size - 4)
    stencil = start[:, None] + np.arange(4)
    nodes = at[stencil].astype(float)
    d = x[:, None] - nodes

    def weights(k: tuple[int, ...]) -> Floats:
        found = np.zeros(d.shape)
        for i in k:
            others = [j for j in k if j != i]
            top = np.prod(d[:, others], axis=1)
            found[:, i] = top / np.prod(nodes[:, [i]] - nodes[:, others], axis=1)
        return found

    four, left, right = weights((0, 1, 2, 3)), weights((0, 1, 2)), weights((1, 2, 3))
    with np.errstate(invalid="ignore"):
        gathered = values[:, stencil]
        cubic = np.sum(gathered * four, axis=-1)
        off = np.abs(np.sum(gathered * (left - right), axis=-1))
    return cubic, off


def sorted_shares(used: Floats) -> Floats:
    """Shares of every size, the largest first, rounded so that equal ones compare equal.

    Parameters
    ----------
    used : ndarray, shape (limits, sizes)
        Shares used; minus infinity where nothing is judged. [-]

    Returns
    -------
    ndarray, shape (sizes, limits)
        What the most headroom is judged by: the tightest, then the next tightest, and so on.
    """
    return np.ascontiguousarray(np.sort(np.round(used, DIGITS), axis=0)[::-1].T)


def less(rows: Floats, than: Floats) -> Bools:
    """Whether rows come before another in the order of their first difference."""
    differs = rows != than
    first = np.argmax(differs, axis=1)
    every = np.arange(rows.shape[0])
    return np.asarray(differs[every, first] & (rows[every, first] < than[first]))


def least(rows: Floats, places: Indices) -> int:
    """Which of some places has the row that comes first; the first of equal ones."""
    best = int(places[0])
    keys: list[Any] = [tuple(row) for row in rows[places].tolist()]
    number = min(range(len(keys)), key=keys.__getitem__)
    return int(places[number]) if keys else best
