"""Parts of the chart of the pulley span: bars, allowed span, words, shelf, the present pulley."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPolygonF

from app.chart_tools.axis import QuietAxis
from app.chart_tools.canvas import Frame, Metrics, cut, pen, polygon
from app.chart_tools.palette import Palette
from app.chart_tools.parts import Text, backing_of
from app.chart_tools.placing import Box, Placer
from app.chart_tools.span_layout import EDGE, SpanFonts, SpanLayout
from app.present.series_pulleys import AllowedStretch, SpanBar, SpanSeries, Stretch

LEAST_SHARE = 0.14
"""Height of a bar that uses nothing, over that of one that is over [-]."""

HATCH = 6.0
"""Room between the strokes of what is over [px]."""

ALLOWED_ALPHA, CLEAR_ALPHA = 60, 120
LEAST_WIDE = 3.0
"""An allowed stretch is drawn at least so wide [px]."""

SWATCH = 22.0
"""Width of a piece of bar in the key [px]."""

KEY = (("clear", "clear"), ("close", "close"), ("over", "over"), ("blank", "not judged"))
"""States with their words; the height of a bar is the share used."""

Layout = Callable[[], SpanLayout | None]


class SpanGrid:
    """Lines at the ticks under the bars, and the frame about them."""

    def __init__(self, bottom: QuietAxis, palette: Palette, layout: Layout) -> None:
        self._bottom, self._layout = bottom, layout
        self._grid, self._frame = pen(palette.grid), pen(palette.frame)
        self._lines: list[QLineF] = []
        self._border: list[QLineF] = []

    def lay_out(self, frame: Frame) -> None:
        """Lines where the bars are; the labels have none."""
        self._lines, self._border = [], []
        rows = self._layout()
        wide, tall = frame.width - 1.0, frame.height - 1.0
        if rows is not None:
            ticks = self._bottom.ticks(
                frame.value(rows.left, 0.0)[0], frame.right, wide - rows.left
            )
            at = [round(frame.point(x, 0.0)[0]) for x in ticks]
            top = rows.rows_top
            self._lines = [QLineF(x, top, x, tall) for x in at if rows.left <= x <= rows.right + 1]
            for group in rows.groups[:-1]:
                level = round(group.bottom + 2.0)
                self._lines.append(QLineF(EDGE, level, rows.right, level))
            self._border = [QLineF(rows.left, top, rows.left, rows.quiet_top)]
        corners = [QPointF(0, 0), QPointF(wide, 0), QPointF(wide, tall), QPointF(0, tall)]
        self._border += [QLineF(corners[k], corners[(k + 1) % 4]) for k in range(4)]

    def draw(self, painter: QPainter) -> None:
        """Draw grid, then frame."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        painter.setPen(self._grid)
        painter.drawLines(self._lines)
        painter.setPen(self._frame)
        painter.drawLines(self._border)


class AllowedShade:
    """The allowed stretches over the whole height."""

    def __init__(self, series: SpanSeries, palette: Palette, layout: Layout) -> None:
        self._series, self._layout = series, layout
        self._fill = backing_of(palette.clear, ALLOWED_ALPHA)
        self._edge = pen(palette.clear, 1.5)
        self._boxes: list[QRectF] = []

    def lay_out(self, frame: Frame) -> None:
        """One box a stretch."""
        rows = self._layout()
        self._boxes = []
        if rows is None:
            return
        for one in self._series.allowed:
            a, b = frame.point(one.low, 0.0)[0], frame.point(one.high, 0.0)[0]
            wide = max(b - a, LEAST_WIDE)
            top = rows.pill_top + rows.row + 2.0
            self._boxes.append(QRectF(0.5 * (a + b - wide), top, wide, rows.quiet_top - top))

    def draw(self, painter: QPainter) -> None:
        """Draw shades, then their edges."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for box in self._boxes:
            painter.fillRect(box, self._fill)
            painter.setPen(self._edge)
            painter.drawLine(QLineF(box.topLeft(), box.bottomLeft()))
            painter.drawLine(QLineF(box.topRight(), box.bottomRight()))


class SpanBars:
    """The bars: as high as the share used; over is full and hatched, not judged a dashed line."""

    def __init__(self, series: SpanSeries, palette: Palette, layout: Layout) -> None:
        self._series, self._palette, self._layout = series, palette, layout
        self._fills: list[tuple[QPolygonF, QColor]] = []
        self._blank: list[QLineF] = []
        self._hatch: list[QLineF] = []
        self._base: list[QLineF] = []

    def lay_out(self, frame: Frame) -> None:
        """Polygons in pixels."""
        self._fills, self._blank, self._hatch, self._base = [], [], [], []
        rows = self._layout()
        if rows is None:
            return
        for group in rows.groups:
            for row in group.bars:
                low = row.top + row.height
                self._base.append(QLineF(rows.left, low, rows.right, low))
                for stretch in row.bar.stretches:
                    self._lay(frame, row.bar, stretch, row.top, row.height)

    def _lay(self, frame: Frame, bar: SpanBar, stretch: Stretch, top: float, height: float) -> None:
        a, b = frame.point(stretch.start, 0.0)[0], frame.point(stretch.stop, 0.0)[0]
        low = top + height
        if stretch.state == "blank":
            middle = top + 0.5 * height
            self._blank.append(QLineF(a, middle, b, middle))
            return
        if stretch.state == "over":
            b = max(b, a + 1.5)
            box = polygon(np.array([a, b, b, a]), np.array([top, top, low, low]))
            self._fills.append((box, QColor(self._palette.over)))
            start = HATCH * math.ceil((a - height) / HATCH)
            for x in np.arange(start, b, HATCH).tolist():
                first, last = max(x, a), min(x + height, b)
                if last > first:
                    self._hatch.append(QLineF(first, low - (first - x), last, low - (last - x)))
            return
        known = np.isfinite(bar.used)
        x, used = self._series.diameter[known], np.clip(bar.used[known], 0.0, 1.0)
        inner = x[(x > stretch.start) & (x < stretch.stop)]
        across = np.concatenate([[stretch.start], inner, [stretch.stop]])
        share = LEAST_SHARE + (1.0 - LEAST_SHARE) * np.interp(across, x, used)
        left = frame.x(across)
        outline = np.concatenate([low - height * share, [low, low]])
        shape = polygon(np.concatenate([left, [left[-1], left[0]]]), outline)
        colour = QColor(self._palette.state(stretch.state))
        colour.setAlpha(CLEAR_ALPHA if stretch.state == "clear" else 255)
        self._fills.append((shape, colour))

    def draw(self, painter: QPainter) -> None:
        """Draw bars, hatch and dashes."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        painter.setPen(pen(self._palette.frame, alpha=150))
        painter.drawLines(self._base)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        for shape, colour in self._fills:
            painter.setBrush(colour)
            painter.drawPolygon(shape)
        painter.setPen(pen(self._palette.canvas, 1.2, alpha=190))
        painter.drawLines(self._hatch)
        painter.setPen(pen(self._palette.blank, 1.4, (4.0, 4.0)))
        painter.drawLines(self._blank)


class SpanWords:
    """Labels at the left, the verdict and what stops the span at the top, what is clear below."""

    def __init__(self, series: SpanSeries, palette: Palette, layout: Layout) -> None:
        self._series, self._palette, self._layout = series, palette, layout
        self._fonts = SpanFonts(palette)
        self.is_covered = False
        self.texts: list[Text] = []
        self.swatches: list[tuple[QRectF, str]] = []

    def lay_out(self, frame: Frame) -> None:
        """Place every text; none covers another."""
        self.texts, self.swatches = [], []
        rows = self._layout()
        if rows is None:
            return
        for group in rows.groups:
            self._label(rows, group.title, group.top, group.bottom)
            if group.heading:
                room = rows.width - 2.0 * EDGE
                self._put(group.heading, EDGE, group.heading_top, self._fonts.bold, room)
            for row in group.bars:
                if row.height + 2.0 >= 0.85 * self._fonts.small.height:
                    self._day(rows, row.bar.name, row.top, row.height)
        if not math.isnan(rows.shelf_top):
            self._put("On the shelf", EDGE, rows.shelf_top, self._fonts.title, rows.left)
        if self.is_covered:
            return
        room = rows.width - 2.0 * EDGE
        self._put(self._series.verdict, EDGE, rows.head[0], self._fonts.bold, room)
        self._put(self._series.more, EDGE, rows.head[1], self._fonts.small, room)
        room -= self._lay_key(rows)
        if self._series.quiet:
            self._put(self._series.quiet, EDGE, rows.quiet_top, self._fonts.small, room, faint=True)
        placer = Placer(rows.width, rows.height, gap=0.0)
        for one in self._series.allowed:
            self._stops(frame, rows, one, placer)

    def _put(
        self,
        words: str,
        left: float,
        top: float,
        metrics: Metrics,
        room: float,
        *,
        faint: bool = False,
    ) -> None:
        told = cut(words, metrics, room)
        box = Box(left, top, metrics.width(told), self._palette.sized(17.0))
        colour = self._palette.faint_text if faint else self._palette.text
        self.texts.append(Text(told, box, metrics, colour))

    def _lay_key(self, rows: SpanLayout) -> float:
        """Words of the four states at the lower right; the room that they take."""
        metrics, at = self._fonts.small, rows.right
        for state, words in reversed(KEY):
            at -= metrics.width(words)
            box = Box(at, rows.quiet_top, metrics.width(words), rows.row)
            self.texts.append(Text(words, box, metrics, self._palette.faint_text))
            at -= SWATCH + 4.0
            self.swatches.append((QRectF(at, rows.quiet_top + 3.0, SWATCH, rows.row - 6.0), state))
            at -= 12.0
        return rows.right - at

    def _label(self, rows: SpanLayout, title: str, top: float, bottom: float) -> None:
        metrics = self._fonts.title
        tall = metrics.height
        told = cut(title, metrics, rows.title_room + 1.0)
        box = Box(EDGE, 0.5 * (top + bottom - 2.0 - tall), metrics.width(told), tall)
        self.texts.append(Text(told, box, metrics, self._palette.text))

    def _day(self, rows: SpanLayout, name: str, top: float, height: float) -> None:
        metrics = self._fonts.small
        told = cut(name, metrics, rows.left - EDGE - 17.0 - rows.title_room)
        wide = metrics.width(told)
        tall = metrics.height
        box = Box(rows.left - 6.0 - wide, top + 0.5 * (height - tall), wide, tall)
        self.texts.append(Text(told, box, metrics, self._palette.faint_text))

    def _stops(self, frame: Frame, rows: SpanLayout, one: AllowedStretch, placer: Placer) -> None:
        """What stops a stretch, beside its ends where there is room."""
        metrics, tall = self._fonts.small, rows.row
        low, high = frame.point(one.low, 0.0)[0], frame.point(one.high, 0.0)[0]
        room = rows.width - 2.0 * EDGE
        for words, edge, before in ((one.smaller, low, True), (one.larger, high, False)):
            told = cut(f"← {words}" if before else f"{words} →", metrics, room)
            wide = metrics.width(told)
            beside = edge - wide if before else edge
            lefts = (min(max(beside, EDGE), rows.width - EDGE - wide), EDGE, rows.right - wide)
            tops = (rows.head[1], rows.head[2]) if before else (rows.head[2], rows.head[1])
            box = placer.place(Box(x, y, wide, tall) for y in tops for x in lefts)
            if box is not None:
                self.texts.append(Text(told, box, metrics, self._palette.text))

    def draw(self, painter: QPainter) -> None:
        """Draw the texts and the key."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for text in self.texts:
            text.draw(painter)
        for box, state in self.swatches:
            draw_swatch(painter, box, state, self._palette)


def draw_swatch(painter: QPainter, box: QRectF, state: str, palette: Palette) -> None:
    """Draw a piece of a bar in a state: low, high, hatched, or a dashed line."""
    if state == "blank":
        painter.setPen(pen(palette.blank, 1.4, (4.0, 4.0)))
        middle = box.center().y()
        painter.drawLine(QLineF(box.left(), middle, box.right(), middle))
        return
    colour = QColor(palette.state(state))
    if state == "clear":
        colour.setAlpha(CLEAR_ALPHA)
        box = box.adjusted(0.0, 0.5 * box.height(), 0.0, 0.0)
    painter.fillRect(box, colour)
    if state == "over":
        painter.setPen(pen(palette.canvas, 1.2, alpha=190))
        tall = box.height()
        starts = np.arange(box.left(), box.right() - tall + 0.5, HATCH).tolist()
        painter.drawLines([QLineF(x, box.bottom(), x + tall, box.top()) for x in starts])
