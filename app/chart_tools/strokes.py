"""Curves drawn fast: on the screen as separate short lines, in exports as one polyline.

Qt strokes a long wide polyline several times slower than the same lines one by one.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pyqtgraph as pg
from numpy.typing import NDArray
from PySide6.QtCore import QLineF, Qt
from PySide6.QtGui import QColor, QPaintEngine, QPainter, QPen

from app.chart_tools.canvas import pen, polygon

Floats = NDArray[np.float64]


OVERLAP = 0.12
"""How far neighbouring lines reach into each other in pixels: more shows as beads."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """Look of an opaque curve: colour, width and dashes (on, off, ...) in pixels."""

    colour: str
    width: float = 1.0
    dashes: tuple[float, ...] = ()

    def pen(self) -> QPen:
        """Pen for whole polylines, dashes included."""
        return pen(self.colour, self.width, [dash / self.width for dash in self.dashes])

    def segment_pen(self) -> QPen:
        """Pen for the separate lines."""
        made = QPen(QColor(self.colour), self.width)
        made.setCapStyle(Qt.PenCapStyle.FlatCap)
        return made


def on_screen(painter: QPainter) -> bool:
    """Whether a painter draws pixels one to one, where speed counts."""
    world = painter.worldTransform()
    unscaled = world.m11() == world.m22() == 1.0 and world.m12() == world.m21() == 0.0
    return unscaled and painter.paintEngine().type() == QPaintEngine.Type.Raster


def dash_ends(x: Floats, y: Floats, dashes: tuple[float, ...]) -> Floats:
    """Ends of the dashes along a polyline: rows of x1, y1, x2, y2."""
    along = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(x), np.diff(y)))])
    pattern = np.cumsum(dashes)
    starts = np.concatenate([[0.0], pattern[1:-1:2]])
    stops = pattern[::2]
    rounds = np.arange(int(along[-1] / pattern[-1]) + 1)[:, None] * pattern[-1]
    first, last = (rounds + starts).ravel(), (rounds + stops).ravel()
    some = first < along[-1]
    first, last = first[some], np.minimum(last[some], along[-1])
    return np.column_stack([np.interp(end, along, v) for end in (first, last) for v in (x, y)])


def joined_ends(x: Floats, y: Floats) -> Floats:
    """Ends of the lines of a polyline, each drawn out a little so that no seam shows."""
    dx, dy = x[1:] - x[:-1], y[1:] - y[:-1]
    share = OVERLAP / np.maximum(np.hypot(dx, dy), 1.0)
    dx, dy = dx * share, dy * share
    ends = np.empty((len(dx), 4))
    ends[:, 0], ends[:, 1] = x[:-1] - dx, y[:-1] - dy
    ends[:, 2], ends[:, 3] = x[1:] + dx, y[1:] + dy
    return ends


class Drawn:
    """A curve in pixels, ready to draw both ways."""

    __slots__ = ("_lines", "_stroke", "_x", "_y")

    def __init__(self, x: Floats, y: Floats, stroke: Stroke) -> None:
        self._x, self._y, self._stroke = x, y, stroke
        ends = dash_ends(x, y, stroke.dashes) if stroke.dashes else joined_ends(x, y)
        self._lines = pg.Qt.internals.PrimitiveArray(QLineF, 4)
        self._lines.resize(len(ends))
        self._lines.ndarray()[:] = ends

    def crosses(self, left: float, top: float, wide: float, tall: float) -> bool:
        """Whether a point of a curve that runs to the right lies in a rectangle."""
        first, last = self._x.searchsorted((left, left + wide))
        inside = self._y[first:last]
        return bool(inside.size) and bool(((inside > top) & (inside < top + tall)).any())

    def draw(self, painter: QPainter) -> None:
        """Draw it."""
        if on_screen(painter):
            painter.setPen(self._stroke.segment_pen())
            painter.drawLines(*self._lines.drawargs())
        else:
            painter.setPen(self._stroke.pen())
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawPolyline(polygon(self._x, self._y))
