"""Paths of traced curves: cut at their nodes, put together again, drawn smoothly where unknown."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray
from shapely import LineString

from engine_model.digitise.strip import lengths, through
from engine_model.tracing.trace import Node, Point, TracedCurve

Floats = NDArray[np.float64]
Piece = tuple[Point, ...]
Key = tuple[Point, Point, bool]

BULGE: Final = 0.1
"""How far a stored path may stray from the followed one [pixel]; chosen here."""

_DECIMALS: Final = 2  # of a stored place [pixel]


def stretch_ends(curve: TracedCurve) -> tuple[Key, ...]:
    """Places of the two nodes of every stretch, and whether it is free."""
    nodes = curve.nodes
    after = [*nodes[1:], *(nodes[:1] if curve.closed else ())]
    return tuple((a.place, b.place, b.free) for a, b in zip(nodes, after, strict=False))


def stretch_paths(curve: TracedCurve) -> tuple[Piece, ...]:
    """Path of every stretch, its two ends included; nothing where the curve has no path."""
    path, breaks = curve.path, curve.breaks
    if not path:
        return ()
    pieces = [path[a : b + 1] for a, b in pairwise(breaks)]
    if curve.closed and breaks:
        pieces.append((*path[breaks[-1] :], *path[: breaks[0] + 1]))
    return tuple(pieces)


def known_paths(*curves: TracedCurve) -> dict[Key, Piece]:
    """Path of every stretch of curves by its ends, in either direction."""
    known: dict[Key, Piece] = {}
    for curve in curves:
        for (start, end, free), piece in zip(
            stretch_ends(curve), stretch_paths(curve), strict=False
        ):
            known[start, end, free] = piece
            known[end, start, free] = piece[::-1]
    return known


def put_together(pieces: Sequence[Piece], closed: bool) -> tuple[Piece, tuple[int, ...]]:
    """Path and breaks of stretches, each of which begins where the one before ends."""
    path: list[Point] = []
    breaks = []
    for piece in pieces:
        breaks.append(len(path))
        path += piece[:-1]
    if not closed and pieces:
        breaks.append(len(path))
        path.append(pieces[-1][-1])
    return tuple(path), tuple(breaks)


def drawn(
    nodes: Sequence[Node], closed: bool, known: Mapping[Key, Piece]
) -> tuple[Piece, tuple[int, ...]]:
    """Path through nodes: what is known of its stretches, smooth lines for the others.

    Parameters
    ----------
    nodes : sequence of Node
        In order along the curve.
    closed : bool
        Whether it returns to the first.
    known : mapping
        Paths of stretches by their ends.

    Returns
    -------
    path : tuple of (float, float)
        Along the curve. [pixel]
    breaks : tuple of int
        For every node its point of the path.
    """
    blank = TracedCurve("island", None, tuple(nodes), (), closed)
    if not blank.whole:
        return tuple(node.place for node in nodes), tuple(range(len(nodes)))
    found = [known.get(ends) for ends in stretch_ends(blank)]
    anchors = [node.place for node in nodes]
    for number, piece in enumerate(found):
        if piece is not None:
            anchors[number] = piece[0]
            anchors[(number + 1) % len(anchors)] = piece[-1]
    if any(piece is None for piece in found):
        smooth = _cut(*through(np.array(anchors), closed))
        found = [old or new for old, new in zip(found, smooth, strict=True)]
    return put_together(_joined([piece for piece in found if piece], closed), closed)


def _joined(pieces: list[Piece], closed: bool) -> list[Piece]:
    """Stretches whose ends meet exactly: each ends where the next begins."""
    after = [*pieces[1:], *(pieces[:1] if closed else ())]
    for number, following in enumerate(after):
        pieces[number] = (*pieces[number][:-1], following[0])
    return pieces


def _cut(points: Floats, place: Floats) -> list[Piece]:
    """Pieces of a path between lengths [pixel] along it, thinned."""
    length = lengths(points)
    pieces = []
    for start, end in pairwise(place.tolist()):
        inside = (length > start + 1e-9) & (length < end - 1e-9)
        at = np.concatenate([[start], length[inside], [end]])
        part = np.column_stack([np.interp(at, length, column) for column in points.T])
        pieces.append(thinned_piece(part))
    return pieces


def thinned_piece(points: Floats) -> Piece:
    """Points of a path [pixel] without those the others tell within `BULGE`, rounded."""
    line = LineString(points).simplify(BULGE, preserve_topology=False)
    table = np.round(np.asarray(line.coords), _DECIMALS)
    return tuple((float(x), float(y)) for x, y in table.tolist())


def cut_at_nodes(
    points: Floats, nodes: Sequence[Node], closed: bool
) -> tuple[Piece, tuple[int, ...]]:
    """Path and breaks of points followed along the ink: cut where the nodes are nearest.

    Parameters
    ----------
    points : ndarray, shape (n, 2)
        Along the curve; a closed one does not repeat its first. [pixel]
    nodes : sequence of Node
        In order along the curve.
    closed : bool
        Whether it returns to the first.

    Returns
    -------
    path : tuple of (float, float)
        Along the curve, thinned. [pixel]
    breaks : tuple of int
        For every node its point of the path.
    """
    places = np.array([node.place for node in nodes])
    if closed:
        start = int(np.argmin(np.hypot(*(points - places[0]).T)))
        points = np.roll(points, -start, axis=0)
        points = np.vstack([points, points[:1]])
    length = lengths(points)
    inner = places[1:] if closed else places[1:-1]
    feet = _feet(points, length, inner)
    place = np.concatenate([[0.0], feet, [length[-1]]])
    return put_together(_joined(_cut(points, place), closed), closed)


def _feet(points: Floats, length: Floats, places: Floats) -> Floats:
    """Lengths along a path nearest to places, rising: the least sum of squared distances."""
    if not len(places):
        return np.empty(0)
    apart = np.sum((places[:, None, :] - points[None, :, :]) ** 2, axis=-1)
    apart[:, [0, -1]] = np.inf
    count = len(points)
    total = apart[0]
    chosen = []
    for row in apart[1:]:
        # best place of the node before, strictly before each point
        best = np.minimum.accumulate(total)
        where = np.maximum.accumulate(np.where(total <= best, np.arange(count), 0))
        chosen.append(np.append(0, where[:-1]))
        total = row + np.append(np.inf, best[:-1])
    at = [int(np.argmin(total))]
    for where in reversed(chosen):
        at.append(int(where[at[-1]]))
    return np.asarray(length[at[::-1]])


def foot_on(piece: Piece, place: Point) -> tuple[float, Point, int]:
    """Distance of a place from a path [pixel], the nearest point of it, and its segment."""
    table = np.array(piece)
    start, side = table[:-1], np.diff(table, axis=0)
    size = np.einsum("ij,ij->i", side, side)
    along = np.einsum("ij,ij->i", np.array(place) - start, side)
    along = np.clip(along / np.where(size > 0.0, size, 1.0), 0.0, 1.0)
    feet = start + along[:, None] * side
    apart = np.hypot(*(feet - np.array(place)).T)
    best = int(np.argmin(apart))
    x, y = np.round(feet[best], _DECIMALS).tolist()
    return float(apart[best]), (x, y), best
