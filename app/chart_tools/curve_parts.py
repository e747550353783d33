"""Parts of a panel of curves: its curves with levels and uprights, and the moving cursor."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPolygonF

from app.chart_tools.canvas import Frame, Metrics, cut, font, pen
from app.chart_tools.palette import Palette
from app.chart_tools.parts import Text, backing_of, finite_runs
from app.chart_tools.placing import Box
from app.chart_tools.pulley_plot import HEAD, KEY_GAP, SIDE
from app.chart_tools.strokes import Drawn, Stroke
from app.present.series_panels import Panel

Floats = NDArray[np.float64]

DOT = 3.5
"""Radius of a dot [px]."""

READING = 2.2
"""Width of a reading [px]."""

SPREAD_ALPHA = 56
"""How far a band covers what is under it, of 255."""


def stroke_of(palette: Palette, look: str) -> Stroke:
    """Stroke of a look."""
    own, second, kept = palette.line, palette.second, palette.ghosts[0]
    thick, thin = palette.sized(1.6), palette.sized(1.3)
    strokes = {
        "main": Stroke(own, thick),
        "second": Stroke(second, thick),
        "main estimate": Stroke(own, thick, (5.0, 4.0)),
        "second estimate": Stroke(second, thick, (5.0, 4.0)),
        "ghost": Stroke(kept, thin),
        "ghost second": Stroke(kept, thin, (4.0, 3.0)),
        "readings": Stroke(palette.outline, palette.sized(READING), (1.0, 2.0)),
    }
    return strokes[look]


def _runs_through(x: Floats, y: Floats, box: Box) -> bool:
    """Whether a curve that runs to the right passes a box."""
    at = np.linspace(box.left - 2.0, box.left + box.width + 2.0, 24)
    at = at[(at >= x[0]) & (at <= x[-1])]
    if not at.size:
        return False
    found = np.interp(at, x, y)
    return bool(((found > box.top - 2.0) & (found < box.top + box.height + 2.0)).any())


class PanelCurves:
    """Curves, levels and uprights of a panel, with their words."""

    def __init__(self, palette: Palette) -> None:
        self._palette = palette
        self._small = Metrics(font(palette.sized(11)))
        self.panel: Panel | None = None
        self.head = HEAD
        self.drawn: list[Drawn] = []
        self.texts: list[Text] = []
        self._lines: list[QLineF] = []
        self._dots: list[QPointF] = []
        self._pieces: list[tuple[Floats, Floats]] = []
        self._readings: list[QPointF] = []
        self._bands: list[QPolygonF] = []

    def lay_out(self, frame: Frame) -> None:
        """Everything in pixels; only what lies in the frame."""
        self.drawn, self.texts, self._lines, self._dots, self._pieces = [], [], [], [], []
        self._readings, self._bands = [], []
        panel = self.panel
        if panel is None:
            return
        for spread in panel.spreads:
            x = np.concatenate((spread.x, spread.x[::-1]))
            y = np.concatenate((spread.low, spread.high[::-1]))
            corners = zip(frame.x(x).tolist(), frame.y(y).tolist(), strict=True)
            self._bands.append(QPolygonF([QPointF(*one) for one in corners]))
        for curve in panel.curves:
            if curve.look == "readings":
                both = zip(frame.x(curve.x).tolist(), frame.y(curve.y).tolist(), strict=True)
                self._readings += [QPointF(*one) for one in both if math.isfinite(one[1])]
                continue
            stroke = stroke_of(self._palette, curve.look)
            inside = (curve.x >= frame.left) & (curve.x <= frame.right)
            at = np.flatnonzero(inside)
            if not at.size:
                continue
            some = slice(max(int(at[0]) - 1, 0), int(at[-1]) + 2)
            x, y = frame.x(curve.x[some]), frame.y(curve.y[some])
            for start, stop in finite_runs(x, y):
                self.drawn.append(Drawn(x[start:stop], y[start:stop], stroke))
                self._pieces.append((x[start:stop], y[start:stop]))
            if panel.dots and curve.look == "main":
                good = np.isfinite(x) & np.isfinite(y)
                both = zip(x[good].tolist(), y[good].tolist(), strict=True)
                self._dots = [QPointF(*one) for one in both]
        for level in panel.levels:
            self._lay_level(frame, level.y, level.words)
        for upright in panel.uprights:
            self._lay_upright(frame, upright.x, upright.words, left=upright.left)

    def _lay_level(self, frame: Frame, value: float, words: str) -> None:
        y = frame.point(0.0, value)[1]
        self._lines.append(QLineF(0.0, y, frame.width, y))
        self._put(frame, words, [(SIDE, y + 2.0), (SIDE, y - self._small.height - 1.0)], right=True)

    def _lay_upright(self, frame: Frame, value: float, words: str, *, left: bool) -> None:
        if not frame.left <= value <= frame.right:
            return
        x = frame.point(value, 0.0)[0]
        self._lines.append(QLineF(x, self.head, x, frame.height))
        if words:
            foot = frame.height - self._small.height - 3.0
            wide = self._small.width(words)
            sides = [x + 4.0, x - wide - 4.0]
            if left:
                sides.reverse()
            places = [(side, top) for side in sides for top in (foot, self.head)]
            if not left:
                places = [(side, top) for top in (foot, self.head) for side in sides]
            self._put(frame, words, places)

    def _put(
        self, frame: Frame, words: str, places: list[tuple[float, float]], *, right: bool = False
    ) -> None:
        """Put words where no curve runs, else at the first place that has room."""
        metrics = self._small
        told = cut(words, metrics, frame.width - 2.0 * SIDE)
        wide, tall = metrics.width(told), metrics.height
        if right:
            places = [*((frame.width - SIDE - wide, top) for _, top in places), *places]
        boxes = [Box(left, top, wide, tall) for left, top in places]
        boxes = [box for box in boxes if box.inside(frame.width, frame.height)]
        if not boxes:
            return
        clear = [box for box in boxes if not any(_runs_through(x, y, box) for x, y in self._pieces)]
        box = clear[0] if clear else boxes[0]
        ground = backing_of(self._palette.canvas)
        self.texts.append(Text(told, box, metrics, self._palette.target, ground))

    def draw(self, painter: QPainter) -> None:
        """Draw lines, curves, dots, words."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        painter.setPen(pen(self._palette.target, 1.4, (5.0, 3.0)))
        painter.drawLines(self._lines)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        ground = QColor(self._palette.line)
        ground.setAlpha(SPREAD_ALPHA)
        painter.setBrush(ground)
        for band in self._bands:
            painter.drawPolygon(band)
        painter.setPen(pen(self._palette.outline, READING))
        painter.drawPoints(self._readings)
        for line in self.drawn:
            line.draw(painter)
        painter.setPen(pen(self._palette.canvas, 1.2))
        painter.setBrush(QColor(self._palette.line))
        for dot in self._dots:
            painter.drawEllipse(dot, DOT, DOT)
        for text in self.texts:
            text.draw(painter)


class PanelCursor:
    """A cursor that moves without anything being laid out again: line, dots, values at the right.

    ``at`` is the place across, in display units; nan for none.
    """

    def __init__(self, palette: Palette) -> None:
        self._palette = palette
        self._bold = Metrics(font(palette.sized(12), bold=True))
        self.panel: Panel | None = None
        self.at = math.nan
        self.head = HEAD
        self.title_width = 0.0
        self.is_covered = False
        self._frame: Frame | None = None
        self.words = ""

    def lay_out(self, frame: Frame) -> None:
        """Keep the frame."""
        self._frame = frame

    def draw(self, painter: QPainter) -> None:
        """Draw line, dots, values."""
        frame, panel = self._frame, self.panel
        self.words = ""
        if frame is None or panel is None or not frame.left <= self.at <= frame.right:
            return
        x = frame.point(self.at, 0.0)[0]
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        painter.setPen(pen(self._palette.cursor, 1.2))
        painter.drawLine(QLineF(x, self.head, x, frame.height))
        values = []
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for curve in panel.curves:
            if curve.look not in ("main", "second") or not curve.x.size:
                continue
            if not curve.x[0] <= self.at <= curve.x[-1]:
                continue
            value = float(np.interp(self.at, curve.x, curve.y))
            if math.isfinite(value):
                values.append(f"{value:.{panel.decimals}f}".replace("-", "\u2212"))
                y = frame.point(0.0, value)[1]
                painter.setPen(pen(self._palette.canvas, 1.2))
                painter.setBrush(QColor(stroke_of(self._palette, curve.look).colour))
                painter.drawEllipse(QRectF(x - DOT, y - DOT, 2.0 * DOT, 2.0 * DOT))
        if self.is_covered or not values:
            return
        words = " | ".join(values)
        wide = self._bold.width(words) + 4.0
        if wide > frame.width - 2.0 * SIDE - self.title_width - KEY_GAP:
            return
        self.words = words
        painter.setFont(self._bold.font)
        painter.setPen(QColor(self._palette.text))
        painter.drawText(QPointF(frame.width - SIDE - wide, 2.0 + self._bold.ascent), words)
