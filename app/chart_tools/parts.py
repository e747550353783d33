"""Parts of a plot: filled bands, curves, hatching, texts."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QPolygonF

from app.chart_tools.canvas import Frame, Metrics, pen, polygon
from app.chart_tools.palette import Palette
from app.chart_tools.placing import Box
from app.present.series import MapSeries

Floats = NDArray[np.float64]

HATCH_DEPTH, HATCH_STEP = 13.0, 8.0
"""Depth of a hatch and spacing of its strokes in pixels."""


def path_of(rings: Sequence[Floats], frame: Frame) -> QPainterPath:
    """One path of several closed rings; odd-even filling leaves the holes open."""
    path = QPainterPath()
    path.setFillRule(Qt.FillRule.OddEvenFill)
    for ring in rings:
        path.addPolygon(frame.polygon(ring[:, 0], ring[:, 1]))
        path.closeSubpath()
    return path


class Bands:
    """Efficiency bands: the working area, then each level over the one below it.

    Parameters
    ----------
    series : MapSeries
        The map.
    palette : Palette
        Its ramp shades them: the share of the way from the lowest to the highest level.
    """

    def __init__(self, series: MapSeries, palette: Palette) -> None:
        self._series = series
        levels = [band.level for band in series.bands]
        if levels:
            low = levels[0] - (levels[-1] - levels[0]) / max(1, len(levels))
            span = max(levels[-1] - low, 1e-9)
            shares = [(level - low) / span for level in levels]
        else:
            shares = []
        # equal steps of rank and of value, half and half: close top levels stay apart
        ranks = [(k + 1) / max(1, len(levels)) for k in range(len(levels))]
        mixed = [0.5 * (share + rank) for share, rank in zip(shares, ranks, strict=True)]
        self.colours = [QColor(palette.shade(share)) for share in (0.0, *mixed)]
        self._paths: list[QPainterPath] = []

    def lay_out(self, frame: Frame) -> None:
        """One path a band."""
        self._paths = [path_of([self._series.area], frame)]
        self._paths += [path_of(band.rings, frame) for band in self._series.bands]

    def draw(self, painter: QPainter) -> None:
        """Fill from below."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for path, colour in zip(self._paths, self.colours, strict=True):
            painter.fillPath(path, colour)


class Curves:
    """Curves in display units, each with its pen."""

    def __init__(self, curves: Sequence[tuple[Floats, Floats, QPen]]) -> None:
        self._curves = list(curves)
        self._lines: list[tuple[QPolygonF, QPen]] = []

    def lay_out(self, frame: Frame) -> None:
        """Polygons in pixels; a nan ends a piece."""
        self._lines = []
        for x, y, stroke in self._curves:
            for start, stop in finite_runs(x, y):
                made = frame.polygon(x[start:stop], y[start:stop])
                self._lines.append((made, stroke))

    def draw(self, painter: QPainter) -> None:
        """Draw one after the other."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for line, stroke in self._lines:
            painter.setPen(stroke)
            painter.drawPolyline(line)


def map_curves(series: MapSeries, palette: Palette) -> Curves:
    """Speed lines and limits of a map."""
    thin, light = pen(palette.speed_line, 1.0), pen(palette.speed_line, 1.0, (3.0, 3.0), 150)
    limit, beyond = pen(palette.limit, 1.6), pen(palette.limit, 1.0, (4.0, 4.0), 130)
    curves = [(line.fall_flow, line.fall_ratio, light) for line in series.speed_lines]
    curves += [(line.flow, line.ratio, thin) for line in series.speed_lines]
    curves += [(*series.surge_below, beyond), (*series.choke_below, beyond)]
    curves += [(*series.surge, limit), (*series.choke, limit)]
    return Curves(curves)


def finite_runs(x: Floats, y: Floats) -> list[tuple[int, int]]:
    """Runs of two or more points without a nan: (start, stop) of each."""
    good = np.isfinite(x) & np.isfinite(y)
    if good.all():
        return [(0, x.size)] if x.size > 1 else []
    edges = np.flatnonzero(np.diff(np.concatenate([[False], good, [False]]))).reshape(-1, 2)
    return [(int(a), int(b)) for a, b in edges if b - a > 1]


def hatch_strokes(
    x: Floats, y: Floats, side: float, depth: float = HATCH_DEPTH, step: float = HATCH_STEP
) -> list[QLineF]:
    """Slanted strokes along one side of a curve, all in pixels.

    Parameters
    ----------
    x, y : ndarray
        The curve.
    side : float
        +1 for the right-hand side going along the curve on the screen, -1 for the left.
    depth, step : float
        How deep and how far apart.
    """
    lengths = np.hypot(np.diff(x), np.diff(y))
    along = np.concatenate([[0.0], np.cumsum(lengths)])
    if x.size < 2 or along[-1] < step:
        return []
    at = np.arange(0.5 * step, along[-1], step)
    px, py = np.interp(at, along, x), np.interp(at, along, y)
    index = np.clip(np.searchsorted(along, at) - 1, 0, lengths.size - 1)
    safe = np.maximum(lengths[index], 1e-9)
    tx, ty = np.diff(x)[index] / safe, np.diff(y)[index] / safe
    nx, ny = -ty * side, tx * side
    dx, dy = depth * 0.8 * (nx + 0.6 * tx), depth * 0.8 * (ny + 0.6 * ty)
    return [
        QLineF(a, b, a + c, b + d)
        for a, b, c, d in zip(px.tolist(), py.tolist(), dx.tolist(), dy.tolist(), strict=True)
    ]


class Hatch:
    """Strokes on the forbidden side of a curve in display units."""

    def __init__(
        self,
        x: Floats,
        y: Floats,
        side: float,
        colour: str,
        avoid: Callable[[], Sequence[Box]] = tuple,
        alpha: int = 150,
    ) -> None:
        self._x, self._y, self._side, self._avoid = x, y, side, avoid
        self._pen = pen(colour, 1.0, alpha=alpha)
        self._strokes: list[QLineF] = []

    def lay_out(self, frame: Frame) -> None:
        """Strokes at equal spacing on the screen."""
        strokes = hatch_strokes(frame.x(self._x), frame.y(self._y), self._side)
        boxes = [QRectF(b.left, b.top, b.width, b.height) for b in self._avoid()]
        self._strokes = [
            line for line in strokes if not any(box.contains(line.p2()) for box in boxes)
        ]

    def draw(self, painter: QPainter) -> None:
        """Draw all strokes at once."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(self._pen)
        painter.drawLines(self._strokes)


class Text:
    """A text in its box: colour, optional backing, optional turn about the box's middle."""

    __slots__ = ("backing", "box", "colour", "metrics", "text", "turn")

    def __init__(
        self,
        text: str,
        box: Box,
        metrics: Metrics,
        colour: str,
        backing: QColor | None = None,
        turn: float = 0.0,
    ) -> None:
        self.text, self.box, self.metrics = text, box, metrics
        self.colour, self.backing, self.turn = QColor(colour), backing, turn

    def draw(self, painter: QPainter) -> None:
        """Draw backing and text."""
        box = self.box
        painter.setFont(self.metrics.font)
        if self.turn:
            middle = QPointF(box.left + 0.5 * box.width, box.top + 0.5 * box.height)
            wide, tall = self.metrics.width(self.text), self.metrics.height
            painter.save()
            painter.translate(middle)
            painter.rotate(self.turn)
            painter.setPen(self.colour)
            painter.drawText(QPointF(-0.5 * wide, self.metrics.ascent - 0.5 * tall), self.text)
            painter.restore()
            return
        if self.backing is not None:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(self.backing)
            room = QRectF(box.left - 2.0, box.top, box.width + 4.0, box.height)
            painter.drawRoundedRect(room, 3.0, 3.0)
        painter.setPen(self.colour)
        base = box.top + 0.5 * (box.height - self.metrics.height) + self.metrics.ascent
        painter.drawText(QPointF(box.left, base), self.text)


def backing_of(colour: str, alpha: int = 205) -> QColor:
    """Backing colour of a text over a picture."""
    made = QColor(colour)
    made.setAlpha(alpha)
    return made


def draw_dial(
    painter: QPainter, x: float, y: float, radius: float, state: str, palette: Palette
) -> None:
    """Sign of a state: open ring, half-filled ring, disc with a bar, dashed ring.

    Parameters
    ----------
    painter : QPainter
        Where.
    x, y : float
        Middle in pixels.
    radius : float
        Size in pixels.
    state : str
        ``clear``, ``close``, ``over`` or ``blank``.
    palette : Palette
        Colours.
    """
    colour = QColor(palette.state(state))
    ring = QRectF(x - radius, y - radius, 2.0 * radius, 2.0 * radius)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(palette.canvas))
    painter.drawEllipse(ring.adjusted(-2.0, -2.0, 2.0, 2.0))
    painter.setPen(pen(palette.state(state), 2.0, (2.0, 1.5) if state == "blank" else ()))
    painter.setBrush(colour if state == "over" else QColor(palette.canvas))
    painter.drawEllipse(ring)
    if state == "close":
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(colour)
        painter.drawPie(ring, 90 * 16, 180 * 16)
    if state == "over":
        painter.setPen(pen(palette.state(state), 2.2))
        painter.drawLine(QPointF(x, y - radius - 4.0), QPointF(x, y + radius + 4.0))


__all__ = [
    "Bands",
    "Curves",
    "Hatch",
    "Text",
    "backing_of",
    "draw_dial",
    "finite_runs",
    "hatch_strokes",
    "map_curves",
    "path_of",
    "polygon",
]
