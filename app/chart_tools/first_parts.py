"""Parts of the chart of what to measure first: labels, bars, shares, words."""

from __future__ import annotations

from PySide6.QtCore import QLineF, QRectF
from PySide6.QtGui import QColor, QPainter

from app.chart_tools.axis import QuietAxis
from app.chart_tools.canvas import Frame, Metrics, cut, font, pen, wrapped
from app.chart_tools.palette import Palette
from app.chart_tools.parts import Text
from app.chart_tools.placing import Box
from app.present.series_error_bars import FirstBar, FirstSeries

TITLE, SMALL = 12.0, 11.0
"""Sizes of the texts [px]."""

EDGE, GAP, HEAD_GAP = 8.0, 8.0, 6.0
"""Room at the sides, between label and bar, and under the header [px]."""

MOST_LABEL = 0.42
"""Share of the width that the labels have at most [-]."""

RIGHT = 48.0
"""Room at the right of the longest bar, for its share [px]."""

LEAST_PITCH, MOST_PITCH = 14.0, 44.0
"""Height of a row; with less the words under the bars, then those beside them give way [px]."""

THICK = 0.52
"""Height of a bar over that of its row [-]."""


class FirstFonts:
    """Texts of the chart, measured once a palette."""

    def __init__(self, palette: Palette) -> None:
        self.bold = Metrics(font(palette.sized(TITLE), bold=True))
        self.plain = Metrics(font(palette.sized(TITLE)))
        self.small = Metrics(font(palette.sized(SMALL)))


def label_room(series: FirstSeries, fonts: FirstFonts, width: float) -> float:
    """Where the bars begin in a plot of a width [px]."""
    widest = max(
        max(fonts.plain.width(bar.title), fonts.small.width(bar.spread_words))
        for bar in series.bars
    )
    return float(min(EDGE + widest + GAP + 2.0, MOST_LABEL * width))


class FirstRows:
    """Header, a row for each input, and what is left out."""

    def __init__(self, palette: Palette, bottom: QuietAxis) -> None:
        self._palette, self._bottom = palette, bottom
        self._fonts = FirstFonts(palette)
        self.series: FirstSeries | None = None
        self.bars: list[QRectF] = []
        self.texts: list[Text] = []
        self._grid: list[QLineF] = []

    def lay_out(self, frame: Frame) -> None:
        """Places of everything in a frame."""
        self.bars, self.texts, self._grid = [], [], []
        series = self.series
        if series is None:
            return
        top = self._lay_head(frame, series)
        least = self._palette.sized(LEAST_PITCH)
        room = frame.height - top - least * len(series.bars)
        foot = self._lay_foot(frame, series, room)
        left = frame.point(0.0, 0.0)[0]
        pitch = min((frame.height - top - foot) / len(series.bars), MOST_PITCH)
        fits = pitch >= least
        end = top + pitch * len(series.bars)
        ticks = self._bottom.ticks(0.0, series.share_range[1], frame.width - left)
        self._grid = [QLineF(x, top, x, end) for x in (frame.point(t, 0.0)[0] for t in ticks)]
        for k, bar in enumerate(series.bars):
            self._lay_row(frame, bar, left, top + k * pitch, pitch, words=fits)

    def _lay_head(self, frame: Frame, series: FirstSeries) -> float:
        """Lay the sentence and the title; their bottom [px]."""
        room, top = frame.width - 2.0 * EDGE, 4.0
        bold, small = self._fonts.bold, self._fonts.small
        rows = [(row, bold) for row in wrapped(series.verdict, bold, room)]
        rows += [(row, small) for row in wrapped(series.title, small, room, 2)]
        for row, metrics in rows:
            box = Box(EDGE, top, metrics.width(row), metrics.height)
            self.texts.append(Text(row, box, metrics, self._palette.text))
            top += metrics.height
        return top + HEAD_GAP

    def _lay_foot(self, frame: Frame, series: FirstSeries, most: float) -> float:
        """Lay what is left out and what is explained, where there is room; their height [px]."""
        metrics, room = self._fonts.small, frame.width - 2.0 * EDGE
        told = (series.left_out, series.notes)
        rows = [row for words in told for row in wrapped(words, metrics, room, 2)]
        tall = metrics.height * len(rows) + 6.0
        if tall + 4.0 > most:
            return 4.0
        for k, row in enumerate(rows):
            box = Box(EDGE, frame.height - tall + k * metrics.height, metrics.width(row),
                      metrics.height)  # fmt: skip
            self.texts.append(Text(row, box, metrics, self._palette.faint_text))
        return tall + 4.0

    def _lay_row(
        self, frame: Frame, bar: FirstBar, left: float, top: float, pitch: float, *, words: bool
    ) -> None:
        fonts, palette = self._fonts, self._palette
        right = frame.point(100.0 * bar.share, 0.0)[0]
        tall = THICK * pitch
        self.bars.append(QRectF(left, top + 0.5 * (pitch - tall), max(right - left, 1.0), tall))
        if not words:
            return
        room = left - GAP - EDGE
        both = fonts.plain.height + fonts.small.height <= pitch
        lines = [(bar.title, fonts.plain, palette.text)]
        if both:
            lines.append((bar.spread_words, fonts.small, palette.faint_text))
        at = top + 0.5 * (pitch - sum(metrics.height for _, metrics, _ in lines))
        for told, metrics, colour in lines:
            text = cut(told, metrics, room)
            wide = metrics.width(text)
            box = Box(left - GAP - wide, at, wide, metrics.height)
            self.texts.append(Text(text, box, metrics, colour))
            at += metrics.height
        metrics = fonts.bold
        middle = top + 0.5 * (pitch - metrics.height)
        box = Box(max(right, left) + 5.0, middle, metrics.width(bar.share_words), metrics.height)
        self.texts.append(Text(bar.share_words, box, metrics, palette.text))

    def draw(self, painter: QPainter) -> None:
        """Draw grid, bars, words."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        painter.setPen(pen(self._palette.grid))
        painter.drawLines(self._grid)
        for bar in self.bars:
            painter.fillRect(bar, QColor(self._palette.second))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for text in self.texts:
            text.draw(painter)
