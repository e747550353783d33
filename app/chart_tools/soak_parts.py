"""Parts of the heat soak chart: pulls, pauses, temperatures with their bound, power."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QLineF, QRectF
from PySide6.QtGui import QColor, QPainter

from app.chart_tools.axis import QuietAxis
from app.chart_tools.canvas import Frame, Metrics, font, pen
from app.chart_tools.palette import Palette
from app.chart_tools.parts import Text, backing_of, finite_runs, hatch_strokes
from app.chart_tools.placing import Box
from app.chart_tools.strokes import Drawn, Stroke
from app.present.series_soak import HALF, SoakSeries

SIDE = 8.0
"""Room beside words [px]."""

BAND_ALPHA = 110


def manifold_stroke(palette: Palette) -> Stroke:
    """Stroke of the manifold temperature."""
    return Stroke(palette.line, 2.0)


def coolant_stroke(palette: Palette) -> Stroke:
    """Stroke of the coolant temperature."""
    return Stroke(palette.second, 2.0, (12.0, 4.0))


class PullAxis(QuietAxis):
    """Axis of pulls: whole numbers only."""

    def ticks(self, low: float, high: float, pixels: float) -> list[float]:
        """Whole numbers among the ticks; all of them where they have room."""
        every = [float(k) for k in range(int(np.ceil(low)), int(np.floor(high)) + 1)]
        step = max(1, int(np.ceil(len(every) * 34.0 * self._scale / max(pixels, 1.0))))
        return every[::step]


class Pauses:
    """The gaps between pulls, shaded."""

    def __init__(self, palette: Palette) -> None:
        self._palette = palette
        self.series: SoakSeries | None = None
        self._bands: list[QRectF] = []

    def lay_out(self, frame: Frame) -> None:
        """Upright bands."""
        self._bands = []
        count = 0 if self.series is None else self.series.pulls
        for number in range(1, count):
            left, right = frame.x(np.array([number + HALF, number + 1.0 - HALF])).tolist()
            self._bands.append(QRectF(left, 0.0, right - left, frame.height))

    def draw(self, painter: QPainter) -> None:
        """Fill them."""
        shade = QColor(self._palette.grid)
        shade.setAlpha(BAND_ALPHA)
        for band in self._bands:
            painter.fillRect(band, shade)


class Temperatures:
    """Manifold and coolant temperature, and the bound with its words."""

    def __init__(self, palette: Palette) -> None:
        self._palette = palette
        self._small = Metrics(font(palette.sized(11)))
        self.series: SoakSeries | None = None
        self.drawn: list[Drawn] = []
        self.texts: list[Text] = []
        self._bound: QLineF | None = None
        self._hatch: list[QLineF] = []

    def lay_out(self, frame: Frame) -> None:
        """Curves in pixels; the bound's words where no curve runs."""
        self.drawn, self.texts, self._bound, self._hatch = [], [], None, []
        series = self.series
        if series is None:
            return
        for x, y, stroke in (
            (series.coolant_across, series.coolant, coolant_stroke(self._palette)),
            (series.across, series.manifold, manifold_stroke(self._palette)),
        ):
            for start, stop in finite_runs(x, y):
                some = slice(start, stop)
                self.drawn.append(Drawn(frame.x(x[some]), frame.y(y[some]), stroke))
        if frame.bottom <= series.bound <= frame.top:
            self._lay_bound(frame, series)

    def _lay_bound(self, frame: Frame, series: SoakSeries) -> None:
        level = frame.point(0.0, series.bound)[1]
        self._bound = QLineF(0.0, level, frame.width, level)
        across = np.array([0.0, frame.width])
        self._hatch = hatch_strokes(across, np.array([level, level]), -1.0, 8.0, 9.0)
        metrics = self._small
        wide, tall = metrics.width(series.bound_words), metrics.height
        boxes = [
            Box(left, top, wide, tall)
            for left in (SIDE, frame.width - SIDE - wide)
            for top in (level + 2.0, level - tall - 10.0)
        ]
        clear = [
            box
            for box in boxes
            if box.inside(frame.width, frame.height)
            and not any(one.crosses(box.left, box.top, wide, tall) for one in self.drawn)
        ]
        box = clear[0] if clear else boxes[0]
        backing = backing_of(self._palette.canvas)
        self.texts.append(Text(series.bound_words, box, metrics, self._palette.limit, backing))

    def draw(self, painter: QPainter) -> None:
        """Draw bound, curves, words."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        if self._bound is not None:
            painter.setPen(pen(self._palette.limit, 1.0, alpha=130))
            painter.drawLines(self._hatch)
            painter.setPen(pen(self._palette.limit, 1.3))
            painter.drawLine(self._bound)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for line in self.drawn:
            line.draw(painter)
        for text in self.texts:
            text.draw(painter)


class Powers:
    """Wheel power at the limiter: a bar across each pull with its value over it."""

    def __init__(self, palette: Palette) -> None:
        self._palette = palette
        self._small = Metrics(font(palette.sized(11)))
        self.series: SoakSeries | None = None
        self.texts: list[Text] = []
        self._bars: list[QLineF] = []

    def lay_out(self, frame: Frame) -> None:
        """Bars, and the values that have room; first and last before the others."""
        self.texts, self._bars = [], []
        series = self.series
        if series is None:
            return
        metrics, places = self._small, []
        for k, value in enumerate(series.power.tolist()):
            left, level = frame.point(k + 1.0 - HALF, value)
            right = frame.point(k + 1.0 + HALF, value)[0]
            self._bars.append(QLineF(left, round(level), right, round(level)))
            wide = metrics.width(series.power_words[k])
            start = min(max(0.5 * (left + right - wide), 2.0), frame.width - wide - 2.0)
            places.append(Box(start, level - metrics.height - 3.0, wide, metrics.height))
        last = len(places) - 1
        taken: list[Box] = []
        for k in dict.fromkeys((0, last, *range(last))):
            box = places[k]
            if all(abs(box.left - b.left) > 0.5 * (box.width + b.width) + 4.0 for b in taken):
                taken.append(box)
                words = series.power_words[k]
                self.texts.append(Text(words, box, metrics, self._palette.text))

    def draw(self, painter: QPainter) -> None:
        """Draw bars, then values."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        painter.setPen(pen(self._palette.line, 3.0))
        painter.drawLines(self._bars)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for text in self.texts:
            text.draw(painter)
