"""One plot of a quantity against the blower pulley: a curve a day, the target, the present one."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF
from PySide6.QtGui import QColor, QPainter, QPen

from app.chart_tools.axis import Grid
from app.chart_tools.canvas import Frame, Metrics, cut, font, pen
from app.chart_tools.line_parts import ghost_stroke
from app.chart_tools.palette import Palette
from app.chart_tools.parts import Text, backing_of, finite_runs
from app.chart_tools.placing import Box
from app.chart_tools.plot import BarePlot
from app.chart_tools.strokes import Drawn, Stroke
from app.present.series_pulley_curves import PulleyCurvesSeries, PulleyPlot

HEAD, SIDE = 18.0, 8.0
"""Height of a row of the header at the usual text, and room at the sides [px]."""

KEY_LINE, KEY_SPACE, KEY_GAP = 22.0, 5.0, 14.0
"""Length of a stroke of the key, room to its name, and to the next one [px]."""

LIMITER_DASHES = (1.0, 2.5)

Key = tuple[Stroke, str]


def day_stroke(palette: Palette, index: int) -> Stroke:
    """Stroke of a day by its place: colour and dashes."""
    return ghost_stroke(palette, index)


def key_of(series: PulleyCurvesSeries, palette: Palette) -> tuple[Key, ...]:
    """Strokes of all curves with what they are."""
    found = [(day_stroke(palette, k), f"{day} day") for k, day in enumerate(series.days)]
    if any(not one.is_same for plot in series.plots for one in plot.curves):
        found.append((Stroke(palette.faint_text, 1.2, LIMITER_DASHES), "at the limiter"))
    return tuple(found)


class DayCurves:
    """Curves of every day, what is made at the limiter where that is less, and the target."""

    def __init__(self, palette: Palette) -> None:
        self._palette = palette
        self._small = Metrics(font(palette.sized(11)))
        self.plot: PulleyPlot | None = None
        self.series: PulleyCurvesSeries | None = None
        self.drawn: list[Drawn] = []
        self.texts: list[Text] = []
        self._target: QLineF | None = None

    def lay_out(self, frame: Frame) -> None:
        """Curves in pixels."""
        self.drawn, self.texts, self._target = [], [], None
        plot, series = self.plot, self.series
        if plot is None or series is None:
            return
        for k, one in enumerate(plot.curves):
            stroke = day_stroke(self._palette, k)
            if not one.is_same:
                dotted = Stroke(stroke.colour, 1.2, LIMITER_DASHES)
                self._add(frame, series, one.limiter, dotted)
            self._add(frame, series, one.peak, stroke)
        if frame.bottom <= plot.target <= frame.top:
            self._lay_target(frame, plot)

    def _add(
        self, frame: Frame, series: PulleyCurvesSeries, values: np.ndarray, stroke: Stroke
    ) -> None:
        x, y = frame.x(series.diameter), frame.y(values)
        for start, stop in finite_runs(series.diameter, values):
            self.drawn.append(Drawn(x[start:stop], y[start:stop], stroke))

    def _lay_target(self, frame: Frame, plot: PulleyPlot) -> None:
        level = frame.point(0.0, plot.target)[1]
        self._target = QLineF(0.0, level, frame.width, level)
        metrics = self._small
        words = cut(plot.target_words, metrics, frame.width - 2.0 * SIDE)
        wide, tall = metrics.width(words), metrics.height
        over, under = level - tall - 1.0, level + 2.0
        # at the right, where small pulleys' curves do not run
        boxes = [
            Box(left, top, wide, tall)
            for left in (frame.width - SIDE - wide, SIDE)
            for top in (over, under)
        ]
        clear = [
            box
            for box in boxes
            if box.inside(frame.width, frame.height)
            and not any(d.crosses(box.left, box.top, wide, tall) for d in self.drawn)
        ]
        box = clear[0] if clear else boxes[0]
        backing = backing_of(self._palette.canvas)
        self.texts.append(Text(words, box, metrics, self._palette.target, backing))

    def draw(self, painter: QPainter) -> None:
        """Draw target, curves, words."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        if self._target is not None:
            painter.setPen(pen(self._palette.target, 1.6, (5.0, 3.0)))
            painter.drawLine(self._target)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for line in self.drawn:
            line.draw(painter)
        for text in self.texts:
            text.draw(painter)


class PlotHead:
    """Title of a plot and, on the first one, the key of the days."""

    def __init__(self, palette: Palette) -> None:
        self._palette = palette
        self._bold = Metrics(font(palette.sized(12), bold=True))
        self._plain = Metrics(font(palette.sized(11)))
        self.title = ""
        self.key: tuple[Key, ...] = ()
        self.texts: list[Text] = []
        self._lines: list[tuple[QLineF, QPen]] = []

    def rows(self, width: float) -> int:
        """Rows that title and key take in a width."""
        placed = self._place_key(width)
        return 1 + (max(row for _, row, _, _ in placed) + 1 if placed else 0)

    def _place_key(self, width: float) -> list[tuple[float, int, Stroke, str]]:
        placed, left, row = [], SIDE, 0
        for stroke, name in self.key:
            wide = KEY_LINE + KEY_SPACE + self._plain.width(name)
            if left > SIDE and left + wide > width - SIDE:
                left, row = SIDE, row + 1
            placed.append((left, row, stroke, name))
            left += wide + KEY_GAP
        return placed

    def lay_out(self, frame: Frame) -> None:
        """Title in the first row, the key under it."""
        tall = self._palette.sized(HEAD)
        told = cut(self.title, self._bold, frame.width - 2.0 * SIDE)
        box = Box(SIDE, 1.0, self._bold.width(told), tall)
        self.texts = [Text(told, box, self._bold, self._palette.text)] if told else []
        self._lines = []
        for left, row, stroke, name in self._place_key(frame.width):
            top = 1.0 + (row + 1) * tall
            level = top + 0.5 * tall
            self._lines.append((QLineF(left, level, left + KEY_LINE, level), stroke.pen()))
            beside = left + KEY_LINE + KEY_SPACE
            box = Box(beside, top, self._plain.width(name), tall)
            self.texts.append(Text(name, box, self._plain, self._palette.faint_text))

    def draw(self, painter: QPainter) -> None:
        """Draw key and texts."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for line, stroke in self._lines:
            painter.setPen(stroke)
            painter.drawLine(line)
        for text in self.texts:
            text.draw(painter)


class PresentValues:
    """The present pulley in a plot: a line, a dot on every day's curve, and the values."""

    def __init__(self, palette: Palette) -> None:
        self._palette = palette
        self._bold = Metrics(font(palette.sized(12), bold=True))
        self.plot: PulleyPlot | None = None
        self.series: PulleyCurvesSeries | None = None
        self.diameter = math.nan
        self.head = HEAD
        self.text: Text | None = None
        self.x = math.nan
        self.title_width = 0.0
        self._dots: list[QPointF] = []
        self._tall = 0.0

    def lay_out(self, frame: Frame) -> None:
        """Line, dots and words."""
        self.text, self._dots, self.x, self._tall = None, [], math.nan, frame.height
        plot, series = self.plot, self.series
        if plot is None or series is None or math.isnan(self.diameter):
            return
        if not frame.left <= self.diameter <= frame.right:
            return
        self.x = frame.point(self.diameter, 0.0)[0]
        values = [v for v in plot.values_at(self.diameter, series.diameter) if math.isfinite(v)]
        self._dots = [QPointF(self.x, frame.point(0.0, v)[1]) for v in values]
        if not values:
            return
        low, high = (f"{v:.{plot.decimals}f}" for v in (min(values), max(values)))
        words = high if low == high else f"{low} to {high}"
        wide = self._bold.width(words)
        if wide > frame.width - 2.0 * SIDE - self.title_width - KEY_GAP:
            return
        box = Box(frame.width - SIDE - wide, 1.0, wide, self._palette.sized(HEAD))
        self.text = Text(words, box, self._bold, self._palette.text)

    def draw(self, painter: QPainter) -> None:
        """Draw line, dots, words."""
        if math.isnan(self.x):
            return
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(pen(self._palette.line, 1.5))
        painter.drawLine(QLineF(self.x, self.head, self.x, self._tall))
        painter.setPen(pen(self._palette.canvas, 1.2))
        painter.setBrush(QColor(self._palette.line))
        for dot in self._dots:
            painter.drawEllipse(QRectF(dot.x() - 3.5, dot.y() - 3.5, 7.0, 7.0))
        if self.text is not None:
            self.text.draw(painter)


class PulleyPlotView:
    """Parts of one plot of several."""

    def __init__(self, plot: BarePlot) -> None:
        self.plot = plot
        self.is_covered = False
        self._of: tuple[PulleyCurvesSeries, PulleyPlot] | None = None

    def make_parts(self, palette: Palette) -> None:
        """New parts in a palette's colours."""
        self._palette = palette
        self.plot.set_look(palette)
        self.plot.left.set_words("", palette)
        self.curves, self.head = DayCurves(palette), PlotHead(palette)
        self.present = PresentValues(palette)
        grid = Grid(self.plot.bottom, self.plot.left, palette)
        self.plot.fixed.set_parts([grid, self.curves, self.head])
        self.plot.moving.set_parts([self.present])

    def show(
        self, series: PulleyCurvesSeries, plot: PulleyPlot, key: Sequence[Key], size: float
    ) -> None:
        """Show a plot; ranges stay."""
        shown = None if self.is_covered else plot
        self.curves.plot = self.present.plot = shown
        self.curves.series = self.present.series = series
        self.head.title = f"{plot.title}, peak [{plot.unit}]"
        self.head.key = tuple(key)
        self.present.diameter = size
        self._of = series, plot
        self.plot.refresh()

    def set_present(self, diameter: float) -> None:
        """Put the line at a pulley in the unit shown."""
        self.present.diameter = diameter
        self.plot.moving.refresh()

    def set_ranges(self) -> None:
        """Range of the values, with room for the header."""
        if self._of is None:
            return
        series, plot = self._of
        size = self.plot.box.rect()
        head = self.head.rows(size.width()) * self._palette.sized(HEAD) + 2.0
        self.present.head = head
        self.present.title_width = Metrics(font(self._palette.sized(12), bold=True)).width(
            self.head.title
        )
        low, high = plot.value_range
        tall = max(size.height(), head + 24.0)
        top = low + (high - low) * tall / (tall - head)
        self.plot.left.last = high + 1e-9 * abs(high)
        across = (0.0, 1.0)
        if series.diameter.size > 1:
            across = (float(series.diameter[0]), float(series.diameter[-1]))
        self.plot.set_ranges(across, (low, top))
        self.plot.refresh()


__all__ = ["HEAD", "PulleyPlotView", "day_stroke", "key_of"]
