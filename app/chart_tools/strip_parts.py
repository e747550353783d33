"""Parts of a strip: bounds and target, curves, header with values at the cursor."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen, QPolygonF

from app.chart_tools.canvas import Frame, Metrics, font, pen
from app.chart_tools.line_parts import ghost_stroke
from app.chart_tools.palette import Palette
from app.chart_tools.parts import Text, backing_of, finite_runs, hatch_strokes
from app.chart_tools.placing import Box
from app.chart_tools.strokes import Drawn, Stroke, on_screen
from app.present.series import StripBound, StripCurve, StripSeries

Floats = NDArray[np.float64]

HEADER = 18.0
"""Pixels at the top of a strip kept for its title and values."""

DASHED = (5.0, 3.0)
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


class StripLimits:
    """Bounds with their hatch, the target and what is missing."""

    def __init__(self, palette: Palette) -> None:
        self._palette = palette
        self._small = Metrics(font(11))
        self._bold = Metrics(font(11, bold=True))
        self.series: StripSeries | None = None
        self._laid_out: tuple[Frame, tuple[StripBound, ...]] | None = None
        self._lines: list[tuple[QLineF, QPen]] = []
        self._strokes: list[QLineF] = []
        self.texts: list[Text] = []

    def lay_out(self, frame: Frame) -> None:
        """Lines across the strip and their texts."""
        series = self.series
        # bounds stand still during a drag; a target's words follow the curves
        laid_out = None
        if series is not None and series.target is None:
            laid_out = frame, series.bounds
        if laid_out is not None and laid_out == self._laid_out:
            return
        self._laid_out = laid_out
        self._lines, self._strokes, self.texts = [], [], []
        if series is None:
            return
        for bound in series.bounds:
            self._lay_bound(frame, bound)
        target = series.target
        if target is None or not frame.bottom <= target.value <= frame.top:
            return
        level = frame.point(0.0, target.value)[1]
        stroke = pen(self._palette.target, 1.6, DASHED)
        self._lines.append((QLineF(0.0, level, frame.width, level), stroke))
        backing = backing_of(self._palette.canvas)
        tall = self._small.height
        over = level - tall - 1.0 if level - tall > HEADER else level + 2.0
        name = Box(8.0, over, self._small.width(target.name), tall)
        self.texts.append(Text(target.name, name, self._small, self._palette.target, backing))
        if not target.verdict:
            return
        wide = self._bold.width(target.verdict)
        colour = self._palette.over if target.short else self._palette.clear
        x = frame.point(target.engine_speed, 0.0)[0]
        box = self._free_box(frame, series, name, x, level, wide)
        self.texts.append(Text(target.verdict, box, self._bold, colour, backing))
        power = max(
            (float(np.interp(target.engine_speed, series.engine_speed, c.values)), c.name)
            for c in series.curves
            if c.name in target.name
        )[0]
        reached = frame.point(target.engine_speed, power)[1]
        if target.short and math.isfinite(reached):
            self._lines.append((QLineF(x, level, x, reached), pen(self._palette.over, 1.4)))

    def _free_box(
        self, frame: Frame, series: StripSeries, name: Box, x: float, level: float, wide: float
    ) -> Box:
        """Place beside the target line that no curve crosses, near an x if there is one."""
        tall = self._bold.height
        lowest, highest = name.left + name.width + 14.0, frame.width - wide - 6.0
        near = min(max(x - 0.5 * wide, lowest), highest)
        tops = [t for t in (level - tall - 1.0, level + 2.0) if HEADER <= t < frame.height - tall]
        boxes = [
            Box(left, top, wide, tall)
            for left in (near, near - 0.6 * wide, near - 1.2 * wide, near - 2.4 * wide)
            for top in tops
            if left >= lowest
        ]
        along = frame.x(series.engine_speed)
        for box in boxes:
            curves = (frame.y(curve.values) for curve in series.curves)
            if not any(box.grown(2.0).holds(along, y).any() for y in curves):
                return box
        return boxes[0] if boxes else Box(near, name.top, wide, tall)

    def _lay_bound(self, frame: Frame, bound: StripBound) -> None:
        if not frame.bottom <= bound.value <= frame.top:
            return
        level = frame.point(0.0, bound.value)[1]
        across, stroke = np.array([0.0, frame.width]), pen(self._palette.limit, 1.3)
        plain = bound.side == "none"
        if plain:
            stroke = pen(self._palette.faint_text, 1.1, DASHED)
        else:
            side = -1.0 if bound.side == "above" else 1.0
            self._strokes += hatch_strokes(across, np.array([level, level]), side, 8.0, 9.0)
        self._lines.append((QLineF(0.0, level, frame.width, level), stroke))
        tall = self._small.height
        wide = self._small.width(bound.name)
        # on the allowed side, where there is no hatch
        top = level - tall - 1.0 if bound.side == "below" else level + 1.0
        top = min(max(top, HEADER), frame.height - tall)
        box = Box(8.0, top, wide, tall)
        backing = backing_of(self._palette.canvas)
        self.texts.append(Text(bound.name, box, self._small, self._palette.faint_text, backing))

    def draw(self, painter: QPainter) -> None:
        """Draw hatch and lines."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        painter.setPen(pen(self._palette.limit, 1.0, alpha=130))
        painter.drawLines(self._strokes)
        for line, stroke in self._lines:
            painter.setPen(stroke)
            painter.drawLine(line)


class LimitTexts:
    """Texts of bounds and target, over the curves."""

    def __init__(self, limits: StripLimits) -> None:
        self._limits = limits

    def lay_out(self, frame: Frame) -> None:
        """Leave it to the limits."""

    def draw(self, painter: QPainter) -> None:
        """Draw the texts."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for text in self._limits.texts:
            text.draw(painter)


class StripCurves:
    """Curves of the match over the stock engine's and the ghosts'."""

    def __init__(self, palette: Palette) -> None:
        self._palette = palette
        self.series: StripSeries | None = None
        self.stock: tuple[StripSeries, ...] = ()
        self.ghosts: tuple[StripSeries | None, ...] = ()
        self._band: QPolygonF | None = None
        self.drawn: list[Drawn] = []

    def lay_out(self, frame: Frame) -> None:
        """Polygons in pixels."""
        self.drawn = []
        self._band = None
        for series in self.stock:
            self._add(frame, series, _mains(series), stock_stroke(self._palette))
        for k, ghost in enumerate(self.ghosts):
            if ghost is not None:
                self._add(frame, ghost, _mains(ghost), ghost_stroke(self._palette, k))
        if self.series is not None:
            self._band = _band_of(self.series, frame)
            for curve in reversed(self.series.curves):
                if curve.style != "edge":
                    self._add(frame, self.series, [curve], curve_stroke(self._palette, curve.style))

    def _add(
        self,
        frame: Frame,
        series: StripSeries,
        curves: list[StripCurve] | tuple[StripCurve, ...],
        stroke: Stroke,
    ) -> None:
        for curve in curves:
            for start, stop in finite_runs(series.engine_speed, curve.values):
                x, y = series.engine_speed[start:stop], curve.values[start:stop]
                self.drawn.append(Drawn(frame.x(x), frame.y(y), stroke))

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


class StripHeader:
    """Title with unit, key of the curves, the cursor and the values at it."""

    def __init__(self, palette: Palette) -> None:
        self._palette = palette
        self._bold = Metrics(font(12, bold=True))
        self._plain = Metrics(font(11))
        self.series: StripSeries | None = None
        self.engine_speed = float("nan")
        self.ghost_names: tuple[str, ...] = ()
        self.has_stock = False
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
        if values:
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
        keys += [(name, ghost_stroke(palette, k).pen()) for k, name in enumerate(self.ghost_names)]
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
