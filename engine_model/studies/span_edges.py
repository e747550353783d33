"""Where shares used cross their bound along the blower pulley: samples, then roots on all edges.

Knows no build: only a function of pulley diameters and days.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from engine_model.roots import bracketed_roots

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Indices = NDArray[np.intp]
Interval = tuple[float, float]

OVER_FROM = 1.0 + 1e-9
"""Share used from which a limit is over [-]: a boost cap at the boost bound holds it to 1e-11."""

TOLERANCE = 1e-7
"""Share used at a found edge, less one [-]."""

MOST_STEPS = 16
"""Steps of a search; where the share jumps they leave the edge within some nanometres."""

PIECES = (6, 4)
"""Pieces of a division, each time that unclear ones are looked at again; what is not judged then
begins within 0.1 % of a pulley."""

CAUTION = 1.0
"""A division is looked at again where a share is nearer to its bound than this many times what
the course of the share leaves open."""

ROUGH = 0.03
"""A division with an edge is looked at again where what is left open is more than this much of
the change over it."""

UsedOf = Callable[[Floats, Indices], Floats]
"""Shares used [-] of diameters [m] (pulleys, days picked): (limits, pulleys, days picked)."""


@dataclass(frozen=True, slots=True, eq=False)
class Track:
    """One limit on one day along the pulley.

    Parameters
    ----------
    low, high : float
        Range searched. [m]
    edges : tuple of float
        Diameters where the limit goes over or comes back, rising. [m]
    over_first : bool
        Whether it is over at the smallest diameter.
    blank_edges : tuple of float
        Diameters where it begins or ends to be judged, rising. [m]
    blank_first : bool
        Whether it is not judged at the smallest diameter.
    """

    low: float
    high: float
    edges: tuple[float, ...]
    over_first: bool
    blank_edges: tuple[float, ...]
    blank_first: bool

    @property
    def allowed(self) -> tuple[Interval, ...]:
        """Stretches where the limit is not over [m]."""
        return stretches(self.low, self.high, self.edges, not self.over_first)

    @property
    def blank(self) -> tuple[Interval, ...]:
        """Stretches where the limit is not judged [m]."""
        return stretches(self.low, self.high, self.blank_edges, self.blank_first)


def stretches(
    low: float, high: float, edges: tuple[float, ...], first: bool
) -> tuple[Interval, ...]:
    """Stretches between edges that alternate between in and out."""
    pairs = tuple(pairwise((low, *edges, high)))
    return pairs[0 if first else 1 :: 2]


def intersection(sets: list[tuple[Interval, ...]], whole: Interval) -> tuple[Interval, ...]:
    """Stretches common to all sets of stretches within a whole."""
    found: tuple[Interval, ...] = (whole,)
    for one in sets:
        found = tuple(
            (max(a, c), min(b, d)) for a, b in found for c, d in one if max(a, c) < min(b, d)
        )
    return found


@dataclass(frozen=True, slots=True, eq=False)
class _Crossings:
    """Brackets of all edges; the residual is positive where the limit is over."""

    used_of: UsedOf
    limit: Indices
    day: Indices

    def only(self, index: Indices) -> _Crossings:
        return _Crossings(self.used_of, self.limit[index], self.day[index])

    def residual(self, x: Floats) -> Floats:
        # one column a day picked, as many rows as the day with most edges needs
        days, column = np.unique(self.day, return_inverse=True)
        row = np.zeros(x.size, dtype=np.intp)
        for k in range(days.size):
            mine = column == k
            row[mine] = np.arange(np.count_nonzero(mine))
        diameters = np.full((int(row.max()) + 1, days.size), x[0])
        diameters[row, column] = x
        return _excess(self.used_of(diameters, days)[self.limit, row, column])


def _excess(used: Floats) -> Floats:
    """Share used over the bound, within 1 either way; what is not judged is not over."""
    return np.where(np.isnan(used), -1.0, np.clip(used - OVER_FROM, -1.0, 1.0))


@dataclass(frozen=True, slots=True, eq=False)
class _Samples:
    """Samples of one day: diameters, rising, and shares used (limits, pulleys)."""

    diameters: Floats
    used: Floats


def find_tracks(used_of: UsedOf, grid: Floats, used: Floats) -> tuple[tuple[Track, ...], ...]:
    """Edges of every limit on every day.

    Parameters
    ----------
    used_of : callable
        Shares used. [-]
    grid : ndarray, shape (pulleys,)
        Diameters first looked at, rising. [m]
    used : ndarray, shape (limits, pulleys, days)
        Shares used there. [-]

    Returns
    -------
    tuple of tuple of Track
        By limit, then by day. An edge that lies between two samples of the same side is missed:
        divisions are cut until a share's course between them is nearly straight.
    """
    limits, _, days = used.shape
    samples = [_Samples(grid, np.asarray(used[:, :, k])) for k in range(days)]
    widest = np.inf
    for pieces in PIECES:
        samples = _look_again(used_of, samples, widest, pieces)
        # next only what has just been cut
        widest = 0.5 * float(np.min(np.diff(grid)))
    over = [_changes(_excess(one.used) > 0.0) for one in samples]
    blank = [_changes(np.isnan(one.used)) for one in samples]
    limit, day, left = _flat(over)
    roots = _roots(used_of, samples, limit, day, left)
    tracks = []
    for row in range(limits):
        tracks.append(
            tuple(
                Track(
                    float(grid[0]),
                    float(grid[-1]),
                    tuple(roots[(limit == row) & (day == k)].tolist()),
                    bool(one.used[row, 0] > OVER_FROM),
                    tuple(_middle(one.diameters, blank[k][blank[k][:, 0] == row, 1])),
                    bool(np.isnan(one.used[row, 0])),
                )
                for k, one in enumerate(samples)
            )
        )
    return tuple(tracks)


def _changes(states: Bools) -> Indices:
    """Limit and left sample of every change of state, one a row."""
    return np.argwhere(states[:, 1:] != states[:, :-1])


def _middle(diameters: Floats, left: Indices) -> list[float]:
    """Middles of divisions [m]."""
    return [float(x) for x in 0.5 * (diameters[left] + diameters[left + 1])]


def _flat(changes: list[Indices]) -> tuple[Indices, Indices, Indices]:
    """Limit, day and left sample of the changes of all days."""
    day = np.repeat(np.arange(len(changes)), [len(one) for one in changes])
    table = np.concatenate(changes)
    return table[:, 0], day, table[:, 1]


def _roots(
    used_of: UsedOf, samples: list[_Samples], limit: Indices, day: Indices, left: Indices
) -> Floats:
    """Diameters of the edges [m]; edges that days share to the last digit are sought once."""
    if limit.size == 0:
        return np.empty(0)
    ends = []
    for where in (left, left + 1):
        triples = zip(limit, day, where, strict=True)
        pairs = [(samples[k].diameters[at], samples[k].used[row, at]) for row, k, at in triples]
        ends.append(np.array(pairs))
    # as bits: nan equals nan there
    keys = np.column_stack([limit.astype(float), *ends]).view(np.int64)
    _, first, back = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    (low, used_low), (high, used_high) = (end[first].T for end in ends)
    equations = _Crossings(used_of, limit[first], day[first])
    roots = bracketed_roots(
        equations, low, high, _excess(used_low), _excess(used_high), TOLERANCE, MOST_STEPS
    )
    return roots.x[np.ravel(back)]


def _unclear(one: _Samples) -> Bools:
    """Divisions in which a limit may cross its bound unseen or more than once, or go blank."""
    x, used = one.diameters, one.used
    cells, width = x.size - 1, np.diff(x)
    with np.errstate(invalid="ignore"):
        slope = np.diff(used) / width
        curvature = np.diff(slope) / (x[2:] - x[:-2])
        # a parabola lies a quarter of this off its chord; the change tells how far off it is
        bent = _widest(np.abs(curvature), 2, cells) * width**2
        rough = _widest(np.abs(np.diff(curvature)), 5, cells) * width**2
        turns = _widest(slope[:, 1:] * slope[:, :-1] < 0.0, 2, cells) > 0.0
        gap = np.abs(used - 1.0)
        near = np.fmin(gap[:, 1:], gap[:, :-1])
        doubtful = (near < CAUTION * rough) | (turns & (near < CAUTION * bent))
        over = used > OVER_FROM
        # one crossing is seen; a rough course may cross three times
        doubtful |= (over[:, 1:] != over[:, :-1]) & (rough > ROUGH * np.abs(np.diff(used)))
    blank = np.isnan(used)
    return np.asarray(np.any(doubtful | (blank[:, 1:] != blank[:, :-1]), axis=0))


def _widest(values: NDArray[Any], count: int, cells: int) -> Floats:
    """Largest of the values around each division; what is no number does not count."""
    known = np.where(np.isfinite(values), values, 0.0)
    short = cells + count - 1 - known.shape[1]
    known = np.pad(known, ((0, 0), (short // 2, short - short // 2)))
    return np.asarray(np.max([known[:, k : k + cells] for k in range(count)], axis=0))


def _look_again(
    used_of: UsedOf, samples: list[_Samples], widest: float, pieces: int
) -> list[_Samples]:
    """Samples with the unclear divisions narrower than a width [m] cut into pieces."""
    more = []
    for one in samples:
        cells = np.flatnonzero(_unclear(one) & (np.diff(one.diameters) < widest))
        left, width = one.diameters[cells], np.diff(one.diameters)[cells]
        shares = np.arange(1, pieces) / pieces
        more.append((left[:, None] + width[:, None] * shares).ravel())
    days = np.array([k for k, x in enumerate(more) if x.size], dtype=np.intp)
    if days.size == 0:
        return samples
    most = max(x.size for x in more)
    diameters = np.stack([np.pad(more[k], (0, most - more[k].size), mode="edge") for k in days], 1)
    used = used_of(diameters, days)
    result = list(samples)
    for column, day in enumerate(days):
        count, old = more[day].size, samples[day]
        x = np.concatenate([old.diameters, more[day]])
        u = np.concatenate([old.used, used[:, :count, column]], axis=1)
        order = np.argsort(x, kind="stable")
        result[day] = _Samples(x[order], u[:, order])
    return result
