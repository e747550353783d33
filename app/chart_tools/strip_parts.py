"""Parts of a strip: curves and their references, header with values at the cursor."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen, QPolygonF

from app.chart_tools.canvas import Frame, Metrics, font, pen
from app.chart_tools.line_parts import ghost_stroke
from app.chart_tools.palette import Palette
from app.chart_tools.parts import Text, backing_of, finite_runs
from app.chart_tools.placing import Box
from app.chart_tools.strip_limits import HEADER
from app.chart_tools.strokes import Drawn, Stroke, on_screen
from app.present.series import StripCurve, StripSeries

Floats = NDArray[np.float64]

KEY_LINE = 20.0
BAND_ALPHA = 70
BLANK = "blank: cannot be computed for this build"


def curve_stroke(palette: Palette, style: str) -> Stroke:
    """Stroke of a curve by its style."""
    if style == "second":
        return Stroke(palette.second, 2.0, (12.0, 4.0))
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
    """Polygon between the two edges of a band of doubt, where both are known."""
    edges = [curve.values for curve in series.curves if curve.style == "edge"]
    if len(edges) != 2:
        return None
    good = np.isfinite(edges[0]) & np.isfinite(edges[1])
    x = series.engine_speed[good]
    if x.size < 2:
        return None
    y = np.concatenate([edges[0][good], edges[1][good][::-1]])
    return frame.polygon(np.concatenate([x, x[::-1]]), y)


def without_verdict(series: StripSeries) -> StripSeries:
    """Strip that does not say how its target is met."""
    if series.target is None:
        return series
    return replace(series, target=replace(series.target, verdict="", engine_speed=math.nan))


class StripHeader:
    """Title with unit, key of the curves, the cursor and the values at it."""

    def __init__(self, palette: Palette) -> None:
        self._palette = palette
        self._bold = Metrics(font(12, bold=True))
        self._plain = Metrics(font(11))
        self.series: StripSeries | None = None
        self.engine_speed = float("nan")
        self.ghosts: tuple[tuple[int, str], ...] = ()
        self.has_stock = False
        self.is_covered = False
        self._texts: list[Text] = []
        self._keys: list[tuple[QLineF, QPen]] = []
        self._cursor: QLineF | None = None
        self._dots: list[QPointF] = []

    def lay_out(self, frame: Frame) -> None:
        """Title at the left, values at the right, both on the header's line."""
        self._texts, self._keys, self._dots, self._cursor = [], [], [], None
        series = self.series
        if series is None:
            return
        palette = self._palette
        if not any(np.isfinite(curve.values).any() for curve in series.curves):
            wide, tall = self._plain.width(BLANK), self._plain.height
            box = Box(0.5 * (frame.width - wide), 0.5 * (frame.height + HEADER - tall), wide, tall)
            self._texts.append(Text(BLANK, box, self._plain, palette.faint_text))
        values = self._lay_cursor(frame, series)
        right = frame.width - 8.0
        if values and not self.is_covered:
            wide = self._bold.width(values)
            right -= wide
            box = Box(right, 2.0, wide, HEADER - 2.0)
            self._texts.append(Text(values, box, self._bold, palette.text))
        at = 8.0 + self._bold.width(series.label)
        label = series.label
        if at > right - 8.0:
            # too narrow for both: the values win, the title goes without its unit, or goes
            label = series.title.partition(",")[0]
            at = 8.0 + self._bold.width(label)
        if at <= right - 8.0:
            title = Box(8.0, 2.0, at - 8.0, HEADER - 2.0)
            self._texts.append(Text(label, title, self._bold, palette.text))
        curves = [c for c in series.curves if c.style != "edge"]
        keys = [(c.name, curve_stroke(palette, c.style).pen()) for c in curves]
        if len(curves) < len(series.curves):
            keys.append(("band of doubt", band_pen(palette)))
        if len(keys) == 1:
            keys = []
        if self.has_stock:
            keys.append(("stock", stock_stroke(palette).pen()))
        keys += [(name, ghost_stroke(palette, k).pen()) for k, name in self.ghosts]
        for name, stroke in keys:
            at = self._lay_key(at + 16.0, right, name, stroke)

    def _lay_key(self, left: float, right: float, name: str, stroke: QPen) -> float:
        wide = self._plain.width(name)
        if left + KEY_LINE + 6.0 + wide > right - 10.0:
            return left
        level = 1.0 + 0.5 * HEADER
        self._keys.append((QLineF(left, level, left + KEY_LINE, level), stroke))
        box = Box(left + KEY_LINE + 6.0, 2.0, wide, HEADER - 2.0)
        self._texts.append(Text(name, box, self._plain, self._palette.faint_text))
        return box.left + wide

    def _lay_cursor(self, frame: Frame, series: StripSeries) -> str:
        """Cursor line and dots; return the values there in words."""
        speed = self.engine_speed
        x = series.engine_speed
        if not (math.isfinite(speed) and x.size and x[0] <= speed <= x[-1]):
            return ""
        at = frame.point(speed, 0.0)[0]
        self._cursor = QLineF(at, HEADER, at, frame.height)
        words = []
        shown = [c for c in series.curves if c.style != "edge"]
        for curve in shown:
            value = float(np.interp(speed, x, curve.values))
            if not math.isfinite(value):
                continue
            y = frame.point(0.0, value)[1]
            if HEADER <= y <= frame.height:
                self._dots.append(QPointF(at, y))
            number = (
                f"{value:,.{series.decimals}f}"
                if value >= 1e4
                else (f"{value:.{series.decimals}f}")
            )
            number = number.replace("-", "\u2212").replace(",", "\u202f")
            words.append(f"{curve.name} {number}" if len(shown) > 1 else number)
        return f"{speed:.0f} rpm:  " + ",  ".join(words) + f" {series.unit}" if words else ""

    def draw(self, painter: QPainter) -> None:
        """Draw cursor, key and texts."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        if self._cursor is not None:
            painter.setPen(pen(self._palette.cursor, 1.0))
            painter.drawLine(self._cursor)
        for line, stroke in self._keys:
            painter.setPen(stroke)
            painter.drawLine(line)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(pen(self._palette.canvas, 1.2))
        painter.setBrush(backing_of(self._palette.line, 255))
        for dot in self._dots:
            painter.drawEllipse(QRectF(dot.x() - 3.5, dot.y() - 3.5, 7.0, 7.0))
        for text in self._texts:
            text.draw(painter)
