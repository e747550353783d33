"""Placing of texts so that none covers another: greedy, best candidate first. No Qt."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle in pixels: left, top, width, height."""

    left: float
    top: float
    width: float
    height: float

    def grown(self, by: float) -> Box:
        """Return the box with a margin all round."""
        return Box(self.left - by, self.top - by, self.width + 2.0 * by, self.height + 2.0 * by)

    def overlaps(self, other: Box) -> bool:
        """Whether two boxes share more than an edge."""
        return (
            self.left < other.left + other.width
            and other.left < self.left + self.width
            and self.top < other.top + other.height
            and other.top < self.top + self.height
        )

    def inside(self, width: float, height: float) -> bool:
        """Whether the box lies in a plot of a size."""
        return (
            self.left >= 0.0
            and self.top >= 0.0
            and self.left + self.width <= width
            and self.top + self.height <= height
        )

    def holds(self, x: Floats, y: Floats) -> NDArray[np.bool_]:
        """Whether points lie in the box."""
        return np.asarray(
            (x >= self.left)
            & (x <= self.left + self.width)
            & (y >= self.top)
            & (y <= self.top + self.height)
        )


@dataclass(slots=True)
class Placer:
    """Boxes taken so far on a plot of a size, with a gap kept between them."""

    width: float
    height: float
    gap: float = 2.0
    taken: list[Box] = field(default_factory=list)

    def free(self, box: Box) -> bool:
        """Whether a box lies in the plot and clear of all others."""
        if not box.inside(self.width, self.height):
            return False
        # written out: tried hundreds of times while a slider is dragged
        gap = self.gap
        left, top = box.left - gap, box.top - gap
        right, bottom = box.left + box.width + gap, box.top + box.height + gap
        for other in self.taken:
            if (
                left < other.left + other.width
                and other.left < right
                and top < other.top + other.height
                and other.top < bottom
            ):
                return False
        return True

    def place(self, candidates: Iterable[Box]) -> Box | None:
        """Take the first candidate that is free; nothing if none is."""
        for box in candidates:
            if self.free(box):
                self.taken.append(box)
                return box
        return None


def around(x: float, y: float, width: float, height: float, gap: float) -> tuple[Box, ...]:
    """Boxes for a text beside a point: right, above right, below right, above, below, left."""
    right, left = x + gap, x - gap - width
    above, below, level = y - gap - height, y + gap, y - 0.5 * height
    middle = x - 0.5 * width
    return (
        Box(right, level, width, height),
        Box(right, above + 0.4 * height, width, height),
        Box(right, below - 0.4 * height, width, height),
        Box(middle, above, width, height),
        Box(middle, below, width, height),
        Box(left, level, width, height),
    )


def centred(x: float, y: float, width: float, height: float) -> Box:
    """Box about a point."""
    return Box(x - 0.5 * width, y - 0.5 * height, width, height)


def cut_out(x: Floats, y: Floats, boxes: Sequence[Box]) -> list[tuple[Floats, Floats]]:
    """Pieces of a polyline that lie outside boxes, so that a text interrupts its line."""
    hidden = np.zeros(x.shape, dtype=bool)
    for box in boxes:
        hidden |= box.holds(x, y)
    edges = np.flatnonzero(np.diff(hidden)) + 1
    pieces = []
    for start, stop in zip([0, *edges], [*edges, x.size], strict=True):
        if not hidden[start] and stop - start > 1:
            pieces.append((x[start:stop], y[start:stop]))
    return pieces


def refined(x: Floats, y: Floats, step: float) -> tuple[Floats, Floats]:
    """Polyline with a point at least every so many pixels."""
    lengths = np.hypot(np.diff(x), np.diff(y))
    along = np.concatenate([[0.0], np.cumsum(lengths)])
    if along[-1] <= step:
        return x, y
    at = np.union1d(along, np.arange(0.0, along[-1], step))
    return np.interp(at, along, x), np.interp(at, along, y)
