"""What the canvas is given to draw, and what lies under a pointer. No Qt."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

KINDS = ("speed", "surge", "choke", "island")
MARK_STATES = ("close", "over")
POINT_STATES = ("clear", "close", "over", "blank")


class Mark(NamedTuple):
    """A place on a curve where something is wrong.

    Attributes
    ----------
    at : int or tuple of float
        Number of a node, or a picture point (x, y) [px].
    state : str
        ``close`` or ``over``.
    words : str
        What is wrong, in a sentence.
    """

    at: int | tuple[float, float]
    state: str
    words: str


@dataclass(frozen=True, slots=True, eq=False)
class CurveView:
    """A traced curve as the canvas shows it; coordinates in picture pixels.

    Attributes
    ----------
    key : int
        Name of the curve in the signals, 0 or above.
    kind : str
        One of ``KINDS``.
    label : str
        Text at its end.
    path : ndarray
        Points it runs through, N x 2 [px]; a closed one ends with its first point, which is
        added where it is missing. A row of nan interrupts it.
    nodes : ndarray
        Points that were clicked, M x 2 [px], in the order of the path.
    free : tuple of bool
        Whether each segment between nodes was drawn free instead of following the ink; empty
        for none.
    closed : bool
        Whether the last node is joined to the first.
    selected : bool
        Whether it is the chosen one; in pen mode, the one under the pen.
    marks : tuple of Mark
        Where something is wrong.
    """

    key: int
    kind: str
    label: str
    path: Floats
    nodes: Floats
    free: tuple[bool, ...] = ()
    closed: bool = False
    selected: bool = False
    marks: tuple[Mark, ...] = ()

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise ValueError(f"kind of a curve is {self.kind!r}; allowed: {', '.join(KINDS)}")
        for name in ("path", "nodes"):
            points = np.asarray(getattr(self, name), dtype=np.float64)
            if points.size == 0:
                points = points.reshape(0, 2)
            if points.ndim != 2 or points.shape[1] != 2:
                raise ValueError(f"{name} of a curve has shape {points.shape}; allowed: N x 2")
            object.__setattr__(self, name, points)
        path = self.path
        if self.closed and len(path) > 2 and not np.array_equal(path[0], path[-1]):
            object.__setattr__(self, "path", np.vstack([path, path[:1]]))
        if wrong := [state for _, state, _ in self.marks if state not in MARK_STATES]:
            raise ValueError(f"state of a mark is {wrong[0]!r}; allowed: {', '.join(MARK_STATES)}")

    def mark_spot(self, mark: Mark) -> tuple[float, float] | None:
        """Picture point of a mark [px]; nothing where its node is gone."""
        at, _, _ = mark
        if isinstance(at, int | np.integer):
            if not 0 <= at < len(self.nodes):
                return None
            return float(self.nodes[at, 0]), float(self.nodes[at, 1])
        return float(at[0]), float(at[1])


def looks_same(one: CurveView, other: CurveView) -> bool:
    """Whether two curves are drawn alike."""
    return one is other or (
        (one.key, one.kind, one.label, one.free, one.closed, one.selected, one.marks)
        == (other.key, other.kind, other.label, other.free, other.closed, other.selected,
            other.marks)
        and np.array_equal(one.path, other.path, equal_nan=True)
        and np.array_equal(one.nodes, other.nodes)
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class KnownPoint:
    """A point of the picture whose values are known, such as a corner of the plot frame.

    Attributes
    ----------
    x, y : float
        Where, in picture pixels.
    label : str
        Text beside it.
    state : str
        One of ``POINT_STATES``.
    """

    x: float
    y: float
    label: str
    state: str = "clear"

    def __post_init__(self) -> None:
        if self.state not in POINT_STATES:
            allowed = ", ".join(POINT_STATES)
            raise ValueError(f"state of a known point is {self.state!r}; allowed: {allowed}")


@dataclass(frozen=True, slots=True)
class Hit:
    """What lies under the pointer: a curve, and its node or -1."""

    key: int
    node: int


def nearest(points: Floats, x: float, y: float) -> tuple[int, float]:
    """Number of the nearest of some points and its distance; (-1, inf) for none."""
    if len(points) == 0:
        return -1, float("inf")
    squares = (points[:, 0] - x) ** 2 + (points[:, 1] - y) ** 2
    if np.isnan(squares).all():
        return -1, float("inf")
    index = int(np.nanargmin(squares))
    return index, float(np.sqrt(squares[index]))


def nearest_on_path(path: Floats, x: float, y: float) -> tuple[float, float]:
    """Nearest place on a polyline: point number with its share to the next one, and distance."""
    if len(path) < 2:
        index, distance = nearest(path, x, y)
        return float(index), distance
    steps = np.diff(path, axis=0)
    squares = (steps**2).sum(axis=1)
    away = np.array([x, y]) - path[:-1]
    shares = np.clip((away * steps).sum(axis=1) / np.where(squares > 0.0, squares, 1.0), 0.0, 1.0)
    distances = np.hypot(*(away - shares[:, None] * steps).T)
    if np.isnan(distances).all():
        return -1.0, float("inf")
    index = int(np.nanargmin(distances))
    return index + float(shares[index]), float(distances[index])


def point_at(path: Floats, place: float) -> tuple[float, float]:
    """Picture point of a place on a polyline given as point number with a share."""
    index = min(int(place), max(len(path) - 2, 0))
    share = place - index
    after = path[min(index + 1, len(path) - 1)]
    x, y = path[index] * (1.0 - share) + after * share
    return float(x), float(y)


def node_places(curve: CurveView) -> NDArray[np.intp]:
    """Point of the path nearest each node, in order along the path.

    Of all rising choices the one with the least sum of squared distances, so that a curve that
    comes near itself is not mistaken. The ends are the path's ends; a closed curve has its first
    node once more at the end.
    """
    nodes = np.vstack([curve.nodes, curve.nodes[:1]]) if curve.closed else curve.nodes
    count, length = len(nodes), len(curve.path)
    if count == 0 or length == 0:
        return np.zeros(0, dtype=np.intp)
    squares = ((nodes[:, None, :] - curve.path[None, :, :]) ** 2).sum(axis=2)
    squares = np.where(np.isnan(squares), np.inf, squares)
    best = np.empty((count, length), dtype=np.intp)
    total = np.full(length, np.inf)
    total[0] = squares[0, 0]
    for k in range(count):
        if k:
            total = np.minimum.accumulate(total) + squares[k]
        # where the least sum up to each point stands
        lowest = np.minimum.accumulate(total)
        fresh = np.concatenate([[True], total[1:] < lowest[:-1]])
        best[k] = np.maximum.accumulate(np.where(fresh, np.arange(length), 0))
    places = np.empty(count, dtype=np.intp)
    at = length - 1
    for k in range(count - 1, -1, -1):
        places[k] = at if k == count - 1 else best[k, at]
        at = places[k]
    return places


def segment_at(curve: CurveView, place: float) -> int:
    """Segment between nodes in which a place on the path lies, counted from 0."""
    places = node_places(curve)
    if len(places) < 2:
        return 0
    return int(np.clip(np.searchsorted(places, place, side="right") - 1, 0, len(places) - 2))
