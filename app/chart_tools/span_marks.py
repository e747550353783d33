"""Marks of the chart of the pulley span: pulleys at hand, and the present one."""

from __future__ import annotations

import math

from PySide6.QtCore import QLineF, QRectF
from PySide6.QtGui import QColor, QPainter

from app.chart_tools.canvas import Frame, pen
from app.chart_tools.palette import Palette
from app.chart_tools.parts import Text, draw_dial
from app.chart_tools.placing import Box, Placer
from app.chart_tools.span_layout import SpanFonts
from app.chart_tools.span_parts import Layout
from app.present.series_pulleys import PulleyMark, SpanSeries

DIAL = 4.5
"""Size of the dials of the shelf [px]."""


class ShelfMarks:
    """Pulleys at hand: a dial each, its size beside it where there is room."""

    def __init__(self, series: SpanSeries, palette: Palette, layout: Layout) -> None:
        self._series, self._palette, self._layout = series, palette, layout
        self._fonts = SpanFonts(palette)
        self.is_covered = False
        self.dials: list[tuple[float, float, PulleyMark]] = []
        self.texts: list[Text] = []
        self._lines: list[QLineF] = []

    def lay_out(self, frame: Frame) -> None:
        """Dials first, then the sizes between them."""
        self.dials, self.texts, self._lines = [], [], []
        rows = self._layout()
        if rows is None or math.isnan(rows.shelf_top):
            return
        metrics = self._fonts.small
        level = rows.shelf_top + 0.5 * rows.row
        placer = Placer(rows.width, rows.height, gap=2.0)
        reach = DIAL + 1.0
        for mark in sorted(self._series.shelf, key=lambda one: one.diameter):
            x = frame.point(mark.diameter, 0.0)[0]
            self.dials.append((x, level, mark))
            self._lines.append(QLineF(x, level, x, rows.rows_bottom))
            placer.taken.append(Box(x - reach, rows.shelf_top, 2.0 * reach, rows.row))
        tall = metrics.height
        for k, (x, _, mark) in enumerate(self.dials):
            wide = metrics.width(mark.text)
            after = Box(x + reach + 3.0, level - 0.5 * tall, wide, tall)
            before = Box(x - reach - 3.0 - wide, level - 0.5 * tall, wide, tall)
            wanted = [before, after] if k == 0 else [after]
            box = placer.place(one for one in wanted if one.left > rows.left - wide)
            if box is not None:
                self.texts.append(Text(mark.text, box, metrics, self._palette.faint_text))

    def draw(self, painter: QPainter) -> None:
        """Draw faint lines down to the axis, dials, sizes."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        painter.setPen(pen(self._palette.faint_text, 1.0, (1.0, 4.0), 150))
        painter.drawLines(self._lines)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for x, y, mark in self.dials:
            if self.is_covered:
                painter.setPen(pen(self._palette.faint_text, 2.0))
                painter.drawLine(QLineF(x, y - DIAL, x, y + DIAL))
            else:
                draw_dial(painter, x, y, DIAL, mark.state, self._palette)
        for text in self.texts:
            text.draw(painter)

    def mark_near(self, x: float, y: float) -> PulleyMark | None:
        """The pulley whose dial is under a pixel."""
        reach = DIAL + 4.0
        near = [
            (abs(x - a), k) for k, (a, b, _) in enumerate(self.dials) if abs(y - b) <= reach + 2
        ]
        far, index = min(near, default=(math.inf, 0))
        return self.dials[index][2] if far <= reach else None


class PresentPulley:
    """The present pulley: a line through every bar with its size at the top."""

    def __init__(self, palette: Palette, layout: Layout) -> None:
        self._palette, self._layout = palette, layout
        self._metrics = SpanFonts(palette).bold
        self.diameter = math.nan
        self.words = ""
        self.has_focus = self.is_old = False
        self.x = math.nan
        self.pill = QRectF()

    def lay_out(self, frame: Frame) -> None:
        """Line and label."""
        self.x = math.nan
        rows = self._layout()
        if rows is None or math.isnan(self.diameter):
            return
        x = frame.point(self.diameter, 0.0)[0]
        if not rows.left - 2.0 <= x <= frame.width:
            return
        self.x = x
        wide = self._metrics.width(self.words) + 14.0
        left = min(max(x - 0.5 * wide, 2.0), frame.width - wide - 2.0)
        self.pill = QRectF(left, rows.pill_top, wide, rows.row)
        self._line = QLineF(x, self.pill.bottom(), x, frame.height)

    def draw(self, painter: QPainter) -> None:
        """Draw the line over everything."""
        if math.isnan(self.x):
            return
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(pen(self._palette.canvas, 4.0, alpha=150))
        painter.drawLine(self._line)
        painter.setPen(pen(self._palette.line, 2.0))
        painter.drawLine(self._line)
        edge = pen(self._palette.second, 2.5) if self.has_focus else pen(self._palette.line, 1.0)
        painter.setPen(edge)
        painter.setBrush(QColor(self._palette.line))
        painter.drawRoundedRect(self.pill, 5.0, 5.0)
        box = Box(self.pill.left() + 7.0, self.pill.top(), self.pill.width(), self.pill.height())
        Text(self.words, box, self._metrics, self._palette.canvas).draw(painter)
