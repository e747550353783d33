"""Parts of the surge map: characteristic, limit, ghost, the moving point with trail and load."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QLineF, QPointF, QRectF
from PySide6.QtGui import QColor, QPainter

from app.chart_tools.canvas import Frame, Metrics, font, pen, polygon, wrapped
from app.chart_tools.palette import Palette
from app.chart_tools.parts import Text, backing_of, finite_runs
from app.chart_tools.placing import Box
from app.chart_tools.strokes import Drawn, Stroke
from app.present.series_surge import LoadLines, SurgeSeries

Floats = NDArray[np.float64]

TRAIL_S = 0.06
"""Time that the trail reaches back [s]."""

TRAIL_PIECES = 6
"""Pieces of the trail, each fainter than the one before it."""

POINT = 6.0
"""Radius of the operating point [px]."""

BACK_ALPHA = 60
"""Opacity of the ground where the flow is reversed."""

LIT_ALPHA = 70
"""Opacity of its colour while the flow is reversed."""


def fact_stroke(palette: Palette) -> Stroke:
    """Characteristic where the map is traced."""
    return Stroke(palette.line, palette.sized(2.0))


def estimate_stroke(palette: Palette) -> Stroke:
    """Characteristic where it is an estimate."""
    return Stroke(palette.line, palette.sized(1.8), (7.0, 5.0))


def limit_stroke(palette: Palette) -> Stroke:
    """Limit for small motions."""
    return Stroke(palette.target, palette.sized(1.8), (2.0, 3.0))


def load_stroke(palette: Palette) -> Stroke:
    """Load line."""
    return Stroke(palette.trio[1], palette.sized(2.0))


def ghost_stroke(palette: Palette) -> Stroke:
    """The run kept for comparison."""
    return Stroke(palette.ghosts[0], palette.sized(1.3))


def point_colour(palette: Palette) -> str:
    """Operating point and trail: no other thing on the map has this colour."""
    return palette.over


def _drawn(frame: Frame, curve: tuple[Floats, Floats], stroke: Stroke) -> list[Drawn]:
    x, y = frame.x(curve[0]), frame.y(curve[1])
    return [Drawn(x[a:b], y[a:b], stroke) for a, b in finite_runs(x, y)]


def key_of(
    palette: Palette, series: SurgeSeries, ghost: str = ""
) -> tuple[tuple[Stroke, str], ...]:
    """Strokes of the picture with what they are, for a caption."""
    rows = [
        (fact_stroke(palette), "this speed, filter and cooler counted: as traced"),
        (estimate_stroke(palette), "the same left of the surge line: estimate"),
        (load_stroke(palette), "what throttle and engine take, standing still"),
        (Stroke(point_colour(palette), 2.6), "the operating point and where it was"),
    ]
    if series.limit[0].size:
        rows.append((limit_stroke(palette), series.limit_words))
    if ghost:
        rows.append((ghost_stroke(palette), f"kept: {ghost}"))
    return tuple(rows)


class ReversedBand:
    """Ground where the flow is reversed; under everything that has words."""

    def __init__(self, palette: Palette) -> None:
        self._palette = palette
        self._italic = Metrics(font(palette.sized(12), italic=True))
        self._text: Text | None = None
        self.rect = QRectF()

    def lay_out(self, frame: Frame) -> None:
        """The band left of no flow, and the words along it."""
        self.rect, self._text = QRectF(), None
        zero = frame.point(0.0, 0.0)[0]
        if zero <= 1.0:
            return
        self.rect = QRectF(0.0, 0.0, zero, frame.height)
        words, metrics = "flow reversed", self._italic
        wide, tall = metrics.width(words), metrics.height
        if zero > 1.2 * tall and frame.height > 2.0 * wide:
            box = Box(0.5 * (zero - wide), frame.height - 0.5 * wide - 0.5 * tall - 8.0, wide, tall)
            self._text = Text(words, box, metrics, self._palette.faint_text, turn=-90.0)

    def draw(self, painter: QPainter) -> None:
        """Fill it."""
        if self.rect.isEmpty():
            return
        painter.fillRect(self.rect, backing_of(self._palette.stock, BACK_ALPHA))
        painter.setPen(pen(self._palette.frame, 1.2))
        painter.drawLine(QLineF(self.rect.right(), 0.0, self.rect.right(), self.rect.height()))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self._text is not None:
            self._text.draw(painter)


class SceneCurves:
    """What of a scene stands still: characteristic, limit, ghost, with words."""

    def __init__(self, palette: Palette) -> None:
        self._palette = palette
        self._small = Metrics(font(palette.sized(11)))
        self._italic = Metrics(font(palette.sized(12), italic=True))
        self.series: SurgeSeries | None = None
        self.ghost: SurgeSeries | None = None
        self.is_covered = False
        self.taken: Callable[[], Sequence[Box]] = tuple
        self.drawn: list[Drawn] = []
        self.texts: list[Text] = []

    def lay_out(self, frame: Frame) -> None:
        """Curves and their words in pixels."""
        self.drawn, self.texts = [], []
        series, palette = self.series, self._palette
        if series is None:
            return
        zero = frame.point(0.0, 0.0)[0]
        if self.ghost is not None:
            self.drawn += _drawn(frame, (self.ghost.flow, self.ghost.ratio), ghost_stroke(palette))
        self.drawn += _drawn(frame, series.limit, limit_stroke(palette))
        self.drawn += _drawn(frame, series.estimate, estimate_stroke(palette))
        self.drawn += _drawn(frame, series.fact, fact_stroke(palette))
        self._lay_estimate(frame, series, zero)
        self._lay_limit(frame, series, max(zero, 0.0))
        if self.ghost is not None:
            self._lay_ghost(frame, self.ghost)

    def _lay_estimate(self, frame: Frame, series: SurgeSeries, zero: float) -> None:
        """The word on the dashed part, over it in its middle."""
        x, y = frame.x(series.estimate[0]), frame.y(series.estimate[1])
        right = x[x > zero]
        if right.size < 2:
            return
        metrics, words = self._italic, "estimate"
        wide = metrics.width(words)
        if float(right[-1] - right[0]) < 1.2 * wide:
            return
        left = 0.5 * float(right[0] + right[-1] - wide)
        under = y[(x >= left) & (x <= left + wide)]
        if under.size:
            box = Box(left, float(under.min()) - metrics.height - 3.0, wide, metrics.height)
            ground = backing_of(self._palette.canvas, 190)
            self.texts.append(Text(words, box, metrics, self._palette.line, ground))

    def _lay_limit(self, frame: Frame, series: SurgeSeries, zero: float) -> None:
        """What the dotted line is, left of its upper end."""
        if not series.limit[0].size:
            return
        words = "small motions grow left of here" if self.is_covered else series.limit_words
        x, y = frame.x(series.limit[0]), frame.y(series.limit[1])
        metrics = self._small
        places = [0.92, 0.8, 0.65] if x.size > 2 else [1.0]
        for share in places:
            k = min(round(share * (x.size - 1)), x.size - 1)
            lines = wrapped(words, metrics, max(float(x[k]) - zero - 24.0, 60.0), 3)
            wide = max(metrics.width(line) for line in lines)
            tall = metrics.height * len(lines)
            box = Box(float(x[k]) - 14.0 - wide, float(y[k]) - 0.5 * tall, wide, tall)
            if box.left < 4.0 or box.top < 2.0 or any(_over(box, one) for one in self.taken()):
                continue
            for n, line in enumerate(lines):
                own = metrics.width(line)
                at = Box(box.left + wide - own, box.top + n * metrics.height, own, metrics.height)
                ground = backing_of(self._palette.canvas, 160)
                self.texts.append(Text(line, at, metrics, self._palette.target, ground))
            return

    def _lay_ghost(self, frame: Frame, ghost: SurgeSeries) -> None:
        """Name of the run kept, at its highest place."""
        metrics = self._small
        words = f"kept: {ghost.name}"
        k = int(np.argmax(ghost.ratio))
        x, y = frame.point(float(ghost.flow[k]), float(ghost.ratio[k]))
        wide = metrics.width(words)
        box = Box(min(max(x - 0.5 * wide, 4.0), frame.width - wide - 4.0),
                  max(y - 2.0 * metrics.height - 8.0, 2.0), wide, metrics.height)  # fmt: skip
        ground = backing_of(self._palette.canvas, 205)
        self.texts.append(Text(words, box, metrics, self._palette.ghosts[0], ground))

    def draw(self, painter: QPainter) -> None:
        """Draw curves, words."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for line in self.drawn:
            line.draw(painter)
        for text in self.texts:
            text.draw(painter)


def _over(first: Box, second: Box) -> bool:
    """Whether two boxes overlap."""
    return (
        first.left < second.left + second.width
        and second.left < first.left + first.width
        and first.top < second.top + second.height
        and second.top < first.top + first.height
    )


class MovingPoint:
    """The operating point with its fading trail and the load line; moves without a lay-out."""

    def __init__(self, palette: Palette) -> None:
        self._palette = palette
        self._small = Metrics(font(palette.sized(11)))
        self.series: SurgeSeries | None = None
        self.loads: LoadLines | None = None
        self.index = 0
        self.taken: Callable[[], Sequence[Box]] = tuple
        self.taken_over: Callable[[], Sequence[Box]] = tuple
        self._taken: Sequence[Box] = ()
        self._frame: Frame | None = None
        self._x = self._y = np.empty(0)

    def lay_out(self, frame: Frame) -> None:
        """The whole way in pixels, and where the map's words stand."""
        self._frame, self._taken = frame, self.taken()
        series = self.series
        if series is not None:
            self._x, self._y = frame.x(series.flow), frame.y(series.ratio)

    def draw(self, painter: QPainter) -> None:
        """Draw load line, trail, point."""
        frame, series, palette = self._frame, self.series, self._palette
        if frame is None or series is None or not self._x.size:
            return
        k = min(self.index, self._x.size - 1)
        if series.flow[k] < 0.0:
            # the band lights up while the flow is reversed
            band = QRectF(0.0, 0.0, frame.point(0.0, 0.0)[0], frame.height)
            painter.fillRect(band, backing_of(point_colour(palette), LIT_ALPHA))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self.loads is not None:
            flow, ratio = self.loads.at(float(series.log_area[k]))
            painter.setPen(load_stroke(palette).pen())
            x, y = frame.x(flow), frame.y(ratio)
            painter.drawPolyline(polygon(x, y))
            self._name_load(painter, frame, x, y)
        step = float(series.time[1] - series.time[0])
        piece = max(2, round(TRAIL_S / step / TRAIL_PIECES))
        colour = point_colour(palette)
        for number in range(TRAIL_PIECES, 0, -1):
            first, last = k - number * piece, k - (number - 1) * piece
            if last < 1:
                continue
            part = slice(max(first, 0), last + 1)
            alpha = round(255.0 * (1.0 - (number - 0.5) / TRAIL_PIECES))
            painter.setPen(pen(colour, palette.sized(2.6), alpha=alpha))
            painter.drawPolyline(polygon(self._x[part], self._y[part]))
        across, down = float(self._x[k]), float(self._y[k])
        radius = palette.sized(POINT)
        painter.setPen(pen(palette.canvas, 1.5))
        painter.setBrush(QColor(colour))
        painter.drawEllipse(QPointF(across, down), radius, radius)

    def _name_load(self, painter: QPainter, frame: Frame, x: Floats, y: Floats) -> None:
        """What the load line is, beside it where no words stand: near its upper end if it can."""
        metrics, words = self._small, "throttle and engine"
        inside = np.flatnonzero((x < frame.width - 10.0) & (y > metrics.height))
        if not inside.size:
            return
        taken = [*self._taken, *self.taken_over()]
        wide, tall = metrics.width(words) + 4.0, metrics.height
        boxes = []
        for end in inside[::-1][:: max(1, inside.size // 40)].tolist():
            for left in (float(x[end]) + 4.0, float(x[end]) - wide - 4.0):
                left = max(min(left, frame.width - wide - 2.0), 2.0)
                boxes.append(Box(left, max(float(y[end]) - 4.0 - metrics.ascent, 0.0), wide, tall))
        box = next((one for one in boxes if not any(_over(one, t) for t in taken)), boxes[0])
        painter.fillRect(QRectF(box.left, box.top, wide, tall), QColor(self._palette.canvas))
        painter.setFont(metrics.font)
        painter.setPen(QColor(load_stroke(self._palette).colour))
        painter.drawText(QPointF(box.left + 2.0, box.top + metrics.ascent), words)
