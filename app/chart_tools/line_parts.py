"""The operating line on a compressor map: pieces, ticks, marks, ghosts, cursor, read-out."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter

from app.chart_tools.canvas import Frame, Metrics, font, pen
from app.chart_tools.palette import Palette
from app.chart_tools.parts import Text, backing_of, draw_dial
from app.chart_tools.placing import Box, Placer
from app.chart_tools.strokes import Drawn, Stroke
from app.present.series import LineSeries

Floats = NDArray[np.float64]

DASHES = (7.0, 5.0)
GHOST_DASHES: tuple[tuple[float, ...], ...] = ((), (9.0, 5.0), (2.0, 3.0), (12.0, 4.0, 2.0, 4.0))
LINE_WIDTH, HALO_WIDTH, GHOST_WIDTH = 2.6, 4.6, 1.5


@dataclass(frozen=True, slots=True)
class Mark:
    """A place on the line where an entry is close or over."""

    engine_speed: float
    state: str
    text: str = ""


def _pieces(
    series: LineSeries, frame: Frame, solid: Stroke, dashed: Stroke | None = None
) -> list[Drawn]:
    """Drawn pieces of a line; those off the map only if there is a stroke for them."""
    x, y = frame.x(series.flow), frame.y(series.ratio)
    return [
        Drawn(x[p.start : p.stop], y[p.start : p.stop], stroke)
        for p, stroke in ((p, solid if p.solid else dashed) for p in series.pieces)
        if stroke is not None and p.stop - p.start > 1
    ]


def speed_near(
    series: LineSeries | None, frame: Frame | None, pixel: QPointF, reach: float
) -> float:
    """Engine speed of a line's point within reach of a pixel [rpm]; nan where none is."""
    if frame is None or series is None or not series.engine_speed.size:
        return math.nan
    far = np.hypot(frame.x(series.flow) - pixel.x(), frame.y(series.ratio) - pixel.y())
    if not np.isfinite(far).any():
        return math.nan
    nearest = int(np.nanargmin(far))
    return float(series.engine_speed[nearest]) if far[nearest] <= reach else math.nan


MOST_NAMES = 8
"""Names in the key of the ghosts; the rest is counted."""


class Ghosts:
    """Lines kept for comparison, thin, each with its own colour and dashes, and their names."""

    def __init__(self, palette: Palette) -> None:
        self._palette = palette
        self._metrics = Metrics(font(palette.sized(11)))
        self.lines: tuple[tuple[LineSeries, str], ...] = ()
        self.numbers: tuple[int, ...] = ()
        self.corner: Callable[[], float] = lambda: 12.0
        self._drawn: list[Drawn] = []
        self._key: list[tuple[Stroke, str]] = []

    def lay_out(self, frame: Frame) -> None:
        """Polygons in pixels."""
        self._drawn, self._key = [], []
        for number, (series, name) in zip(self.numbers, self.lines, strict=True):
            stroke = ghost_stroke(self._palette, number)
            self._drawn += _pieces(series, frame, stroke, stroke)
            self._key.append((stroke, name))

    @property
    def key_height(self) -> float:
        """Pixels that the key takes under the title."""
        rows = min(len(self.lines), MOST_NAMES + 1)
        return rows * (self._metrics.height + 2.0) + (4.0 if rows else 0.0)

    def draw(self, painter: QPainter) -> None:
        """Draw lines, then a key under the title."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for line in self._drawn:
            line.draw(painter)
        if not self._key:
            return
        metrics = self._metrics
        top = self.corner() + 4.0
        named = self._key if len(self._key) <= MOST_NAMES + 1 else self._key[:MOST_NAMES]
        for stroke, name in named:
            box = Box(46.0, top, metrics.width(name), metrics.height)
            Text(name, box, metrics, self._palette.text).draw(painter)
            level = top + 0.5 * metrics.height
            painter.setPen(stroke.pen())
            painter.drawLine(QPointF(12.0, level), QPointF(39.0, level))
            top += metrics.height + 2.0
        if len(named) < len(self._key):
            more = f"and {len(self._key) - len(named)} more"
            box = Box(46.0, top, metrics.width(more), metrics.height)
            Text(more, box, metrics, self._palette.faint_text).draw(painter)


def ghost_stroke(palette: Palette, index: int) -> Stroke:
    """Stroke of the ghost of an index: colours and dashes in turn."""
    colour = palette.ghosts[index % len(palette.ghosts)]
    return Stroke(colour, GHOST_WIDTH, GHOST_DASHES[(index + index // 4) % len(GHOST_DASHES)])


class OperatingLinePart:
    """The line itself with engine-speed ticks, limiter and the marks of the ledger."""

    def __init__(self, palette: Palette) -> None:
        self._palette = palette
        self._ticks = Metrics(font(palette.sized(11)))
        self._limit = Metrics(font(palette.sized(11), bold=True))
        self.series: LineSeries | None = None
        self.marks: tuple[Mark, ...] = ()
        self.avoid: Callable[[], Sequence[Box]] = tuple
        self._solid = Stroke(palette.line, LINE_WIDTH)
        self._dashed = Stroke(palette.line, LINE_WIDTH * 0.8, DASHES)
        self._halo = Stroke(palette.canvas, HALO_WIDTH)
        self._lines: list[Drawn] = []
        self._dots: list[tuple[float, float, float]] = []
        self._bar: tuple[QPointF, QPointF] | None = None
        self._signs: list[tuple[float, float, str]] = []
        self.texts: list[Text] = []
        self.names_limiter = False

    def lay_out(self, frame: Frame) -> None:
        """Line, ticks and texts in pixels."""
        self._lines, self._dots, self._signs, self.texts = [], [], [], []
        self._bar, self.names_limiter = None, False
        series = self.series
        if series is None:
            return
        self._lines = _pieces(series, frame, self._halo)
        self._lines += _pieces(series, frame, self._solid, self._dashed)
        x, y = frame.x(series.tick_flow), frame.y(series.tick_ratio)
        ticks = list(zip(x.tolist(), y.tolist(), series.tick_labelled.tolist(), strict=True))
        self._dots = [(a, b, 3.4 if labelled else 2.4) for a, b, labelled in ticks]
        placer = Placer(frame.width, frame.height, 1.0, list(self.avoid()))
        backing = backing_of(self._palette.canvas)
        for mark in self.marks:
            px, py = frame.point(*series.at(mark.engine_speed))
            if math.isfinite(px) and math.isfinite(py):
                self._signs.append((px, py, mark.state))
                placer.taken.append(Box(px - 9.0, py - 9.0, 18.0, 18.0))
        self._lay_limiter(frame, series, placer, backing)
        if series.slip_words:
            self._lay_slip(frame, series, placer, backing)
        colour = self._palette.text
        for (px, py, labelled), speed in zip(ticks, series.tick_speed.tolist(), strict=True):
            if labelled and speed != series.limiter:
                text = f"{speed:.0f}"
                box = placer.place(_beside(px, py, self._ticks.width(text), self._ticks.height))
                if box is not None:
                    self.texts.append(Text(text, box, self._ticks, colour, backing))

    def _lay_limiter(
        self, frame: Frame, series: LineSeries, placer: Placer, backing: QColor
    ) -> None:
        """Bar across the line at the limiter, and its text."""
        px, py = frame.point(*series.at(series.limiter))
        before = frame.point(*series.at(series.limiter - 60.0))
        if not (math.isfinite(px) and math.isfinite(py) and math.isfinite(before[0])):
            return
        angle = math.atan2(py - before[1], px - before[0])
        across = QPointF(-math.sin(angle) * 8.0, math.cos(angle) * 8.0)
        self._bar = QPointF(px, py) + across, QPointF(px, py) - across
        text = f"{series.limiter:.0f} rpm, limiter"
        wide, tall = self._limit.width(text), self._limit.height
        candidates = [
            Box(px - 0.5 * wide, py - tall - 10.0, wide, tall),
            Box(px - wide - 12.0, py - tall, wide, tall),
            Box(px + 12.0, py - 0.5 * tall, wide, tall),
            Box(px - wide - 12.0, py + 6.0, wide, tall),
            Box(px - wide - 12.0, py - tall - 22.0, wide, tall),
            Box(px + 14.0, py + 12.0, wide, tall),
        ]
        box = placer.place(candidates)
        if box is not None:
            self.names_limiter = True
            self.texts.append(Text(text, box, self._limit, self._palette.text, backing))

    def _lay_slip(self, frame: Frame, series: LineSeries, placer: Placer, backing: QColor) -> None:
        """Words where the belt begins to slip."""
        px, py = frame.point(*series.at(series.slips_from))
        if not (math.isfinite(px) and math.isfinite(py)):
            return
        wide, tall = self._limit.width(series.slip_words), self._limit.height
        candidates = [
            Box(px - 14.0 - wide, py - tall - 4.0, wide, tall),
            Box(px + 12.0, py - tall - 12.0, wide, tall),
            Box(px - 0.5 * wide, py - tall - 14.0, wide, tall),
            Box(px + 16.0, py + 2.0, wide, tall),
            Box(px + 16.0, py + tall + 10.0, wide, tall),
        ]
        box = placer.place(candidates)
        if box is not None:
            self.texts.append(
                Text(series.slip_words, box, self._limit, self._palette.text, backing)
            )

    def draw(self, painter: QPainter) -> None:
        """Draw halo, line, ticks, signs, texts."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for line in self._lines:
            line.draw(painter)
        if self._bar is not None:
            painter.setPen(self._solid.pen())
            painter.drawLine(*self._bar)
        painter.setPen(pen(self._palette.canvas, 1.2))
        painter.setBrush(QColor(self._palette.line))
        for x, y, radius in self._dots:
            painter.drawEllipse(QPointF(x, y), radius, radius)
        for text in self.texts:
            text.draw(painter)
        for x, y, state in self._signs:
            draw_dial(painter, x, y, 6.0, state, self._palette)


def _beside(x: float, y: float, wide: float, tall: float) -> tuple[Box, ...]:
    """Boxes for a tick's text: below right of the rising line, then above left, then further."""
    return (
        Box(x + 7.0, y + 2.0, wide, tall),
        Box(x - 7.0 - wide, y - 2.0 - tall, wide, tall),
        Box(x + 9.0, y - 0.5 * tall, wide, tall),
        Box(x - 0.5 * wide, y + 7.0, wide, tall),
        Box(x - 0.5 * wide, y - 7.0 - tall, wide, tall),
    )


class CursorPart:
    """Ring on the line at the cursor's engine speed, with the speed beside it."""

    def __init__(self, palette: Palette) -> None:
        self._palette = palette
        self._metrics = Metrics(font(palette.sized(12), bold=True))
        self.series: LineSeries | None = None
        self.engine_speed = float("nan")
        self.avoid: Callable[[], Sequence[Box]] = tuple
        self.limiter_is_named: Callable[[], bool] = lambda: False
        self._at: tuple[float, float] | None = None
        self._text: Text | None = None

    def lay_out(self, frame: Frame) -> None:
        """Find the place on the line."""
        self._at = self._text = None
        if self.series is None or not math.isfinite(self.engine_speed):
            return
        x, y = frame.point(*self.series.at(self.engine_speed))
        if not (math.isfinite(x) and math.isfinite(y)):
            return
        self._at = x, y
        if abs(self.engine_speed - self.series.limiter) < 0.5 and self.limiter_is_named():
            return  # the text of the limiter stands there already
        words = f"{self.engine_speed:.0f} rpm"
        wide, tall = self._metrics.width(words), self._metrics.height
        placer = Placer(frame.width, frame.height, 1.0, list(self.avoid()))
        candidates = [
            Box(x - wide - 16.0, y - tall - 8.0, wide, tall),
            Box(x + 16.0, y + 8.0, wide, tall),
            Box(x + 16.0, y - tall - 8.0, wide, tall),
            Box(x - wide - 16.0, y + 8.0, wide, tall),
        ]
        box = placer.place(candidates) or candidates[0]
        backing = backing_of(self._palette.canvas, 235)
        self._text = Text(words, box, self._metrics, self._palette.text, backing)

    def draw(self, painter: QPainter) -> None:
        """Draw ring and text."""
        if self._at is None:
            return
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        middle = QPointF(*self._at)
        painter.setPen(pen(self._palette.canvas, 5.0))
        painter.drawEllipse(middle, 8.5, 8.5)
        painter.setPen(pen(self._palette.line, 2.0))
        painter.drawEllipse(middle, 8.5, 8.5)
        if self._text is not None:
            self._text.draw(painter)


class Readout:
    """Lines of text on a plate under the title."""

    def __init__(self, palette: Palette) -> None:
        self._palette = palette
        self._metrics = Metrics(font(palette.sized(12)))
        self.rows: tuple[str, ...] = ()
        self.corner: Callable[[], float] = lambda: 12.0

    def lay_out(self, frame: Frame) -> None:
        """Keep to the corner."""

    def draw(self, painter: QPainter) -> None:
        """Draw the rows on a plate."""
        if not self.rows:
            return
        tall = self._metrics.height + 1.0
        wide = max(self._metrics.width(row) for row in self.rows)
        top = self.corner() + 10.0
        plate = QRectF(12.0, top, wide + 18.0, tall * len(self.rows) + 10.0)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(pen(self._palette.frame))
        painter.setBrush(backing_of(self._palette.canvas, 240))
        painter.drawRoundedRect(plate, 4.0, 4.0)
        for k, row in enumerate(self.rows):
            box = Box(21.0, top + 5.0 + k * tall, wide, tall)
            Text(row, box, self._metrics, self._palette.text).draw(painter)
