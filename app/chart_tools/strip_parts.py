"""Curves of a strip, and what they are compared with."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import Qt
from PySide6.QtGui import QPainter, QPen, QPolygonF

from app.chart_tools.canvas import Frame, pen
from app.chart_tools.line_parts import ghost_stroke
from app.chart_tools.palette import Palette
from app.chart_tools.parts import backing_of, finite_runs
from app.chart_tools.strokes import Drawn, Stroke, on_screen
from app.present.series import StripCurve, StripSeries

Floats = NDArray[np.float64]

BAND_ALPHA = 70


def curve_stroke(palette: Palette, style: str) -> Stroke:
    """Stroke of a curve by its style."""
    if style == "second":
        return Stroke(palette.second, 2.0, (12.0, 4.0))
    if style == "held":
        return Stroke(palette.line, 1.6, (2.0, 4.0))
    return Stroke(palette.line, 2.0)


def stock_stroke(palette: Palette) -> Stroke:
    """Stroke of the stock engine's curves."""
    return Stroke(palette.stock, 1.6)


def band_pen(palette: Palette) -> QPen:
    """Pen of the swatch of a band of doubt."""
    return pen(palette.second, 9.0, alpha=BAND_ALPHA)


class ReferenceCurves:
    """Curves of the stock engine and of the ghosts."""

    def __init__(self, palette: Palette) -> None:
        self._palette = palette
        self.stock: tuple[StripSeries, ...] = ()
        self.ghosts: tuple[tuple[int, StripSeries], ...] = ()
        self._drawn: list[Drawn] = []

    def lay_out(self, frame: Frame) -> None:
        """Polygons in pixels."""
        self._drawn = []
        for series in self.stock:
            for curve in _mains(series):
                self._drawn += drawn_curve(frame, series, curve, stock_stroke(self._palette))
        for number, series in self.ghosts:
            for curve in _mains(series):
                stroke = ghost_stroke(self._palette, number)
                self._drawn += drawn_curve(frame, series, curve, stroke)

    def draw(self, painter: QPainter) -> None:
        """Draw one after the other."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for line in self._drawn:
            line.draw(painter)


class StripCurves:
    """Curves of the match."""

    def __init__(self, palette: Palette) -> None:
        self._palette = palette
        self.series: StripSeries | None = None
        self._band: QPolygonF | None = None
        self.drawn: list[Drawn] = []

    def lay_out(self, frame: Frame) -> None:
        """Polygons in pixels."""
        self.drawn = []
        self._band = None
        if self.series is None:
            return
        self._band = _band_of(self.series, frame)
        for curve in reversed(self.series.curves):
            if curve.style != "edge":
                stroke = curve_stroke(self._palette, curve.style)
                self.drawn += drawn_curve(frame, self.series, curve, stroke)

    def draw(self, painter: QPainter) -> None:
        """Draw one after the other."""
        if self._band is not None:
            # smooth edges of so faint a band cost more than all the rest
            painter.setRenderHint(QPainter.RenderHint.Antialiasing, not on_screen(painter))
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(backing_of(self._palette.second, BAND_ALPHA))
            painter.drawPolygon(self._band)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for line in self.drawn:
            line.draw(painter)


def drawn_curve(
    frame: Frame, series: StripSeries, curve: StripCurve, stroke: Stroke
) -> list[Drawn]:
    """Pieces of a curve where it is finite."""
    x, y = frame.x(series.engine_speed), frame.y(curve.values)
    return [
        Drawn(x[start:stop], y[start:stop], stroke)
        for start, stop in finite_runs(series.engine_speed, curve.values)
    ]


def _mains(series: StripSeries) -> list[StripCurve]:
    return [curve for curve in series.curves if curve.style == "main"]


def _band_of(series: StripSeries, frame: Frame) -> QPolygonF | None:
    """Polygon between the two edges of a band of doubt, where both are known.

    Doubt vanishes at every traced speed line; drawn so, the band would look like a row of
    lenses. It is drawn through its widest places, so nowhere narrower than computed.
    """
    edges = [curve.values for curve in series.curves if curve.style == "edge"]
    if len(edges) != 2:
        return None
    middle = _mains(series)[0].values
    good = np.isfinite(edges[0]) & np.isfinite(edges[1]) & np.isfinite(middle)
    x, middle = series.engine_speed[good], middle[good]
    if x.size < 2:
        return None
    below = middle - widest(x, middle - edges[0][good])
    above = middle + widest(x, edges[1][good] - middle)
    return frame.polygon(np.concatenate([x, x[::-1]]), np.concatenate([below, above[::-1]]))


def widest(x: Floats, width: Floats) -> Floats:
    """Widths carried straight from each widest place to the next, nowhere less than they are.

    Examples
    --------
    >>> widest(np.arange(5.0), np.array([0.0, 2.0, 0.0, 4.0, 0.0])).tolist()
    [2.0, 2.0, 3.0, 4.0, 4.0]
    """
    inner = width[1:-1]
    peaks = np.flatnonzero((inner >= width[:-2]) & (inner >= width[2:]) & (inner > 0.0)) + 1
    if not peaks.size:
        return width
    return np.maximum(width, np.interp(x, x[peaks], width[peaks]))


def without_verdict(series: StripSeries) -> StripSeries:
    """Strip that does not say how its target is met."""
    if series.target is None:
        return series
    return replace(series, target=replace(series.target, verdict="", engine_speed=math.nan))
