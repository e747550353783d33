"""A quiet axis: round steps, plain numbers, no prefixes, deaf to the wheel; and its grid."""

from __future__ import annotations

import html
import math
from collections.abc import Sequence
from typing import Any

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen

from app.chart_tools.canvas import Frame, Metrics, font, pen
from app.chart_tools.palette import Palette
from app.present.series import nice_step

PIXELS_A_TICK = {"bottom": 90.0, "left": 46.0}
MOST_TICKS = {"bottom": 14.0, "left": 10.0}
STRIP_PIXELS_A_TICK, MOST_STRIP_TICKS = 26.0, 6.0
AXIS_TEXT, AXIS_LABEL = 12, 13
CLEAR = 3.0
"""Pixels an axis keeps off the plots: touching one, it would be drawn with every new line."""
OVER = 15.0
"""Pixels that the numbers at the ends may reach over."""


def ticks_between(low: float, high: float, pixels: float, spacing: float) -> list[float]:
    """Round values between two ends, about so many pixels apart; two at least, where there are.

    Examples
    --------
    >>> ticks_between(0.0, 1.0, 300.0, 60.0)
    [0.0, 0.2, 0.4, 0.6, 0.8, 1.0]
    >>> ticks_between(1500.0, 6800.0, 180.0, 135.0)
    [2000.0, 4000.0, 6000.0]
    """
    parts = max(1, int(pixels / spacing))
    values: list[float] = []
    for more in range(3):
        step = nice_step(high - low, parts + more)
        first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
        values = [round(k * step, 12) for k in range(first, last + 1)]
        if len(values) > 1:
            break
    return values


def halves(text: str) -> list[str]:
    """Text in two lines, parted at a comma or else at the space nearest to its middle.

    Examples
    --------
    >>> halves("Pressure ratio, total to total [-]")
    ['Pressure ratio,', 'total to total [-]']
    >>> halves("Boost")
    ['Boost']
    """
    places = [k + 1 for k, one in enumerate(text) if text[k : k + 2] == ", "]
    places = places or [k for k, one in enumerate(text) if one == " "]
    if not places:
        return [text]
    at = min(places, key=lambda k: abs(k - len(text) / 2))
    return [text[:at].strip(), text[at:].strip()]


def tick_decimals(step: float) -> int:
    """Digits after the point that write a step exactly."""
    for digits in range(7):
        if abs(step * 10**digits - round(step * 10**digits)) < 1e-6:
            return digits
    return 7


class QuietAxis(pg.AxisItem):  # type: ignore[misc]
    """Axis with our own ticks and one label, in the palette's colours.

    Parameters
    ----------
    side : str
        ``bottom`` or ``left``.
    spacing : float, optional
        Least pixels between two ticks, about.
    most : float, optional
        How many ticks at most, about.
    """

    _metrics: Metrics | None = None
    _shown: tuple[str, dict[str, str]] | None = None

    def __init__(self, side: str, spacing: float | None = None, most: float | None = None) -> None:
        super().__init__(side)
        self.enableAutoSIPrefix(False)
        self._spacing = PIXELS_A_TICK[side] if spacing is None else spacing
        self._most = MOST_TICKS[side] if most is None else most
        self._scale = 1.0
        self.first, self.last = -math.inf, math.inf
        self._words = ""
        self._style: dict[str, str] = {}
        # a tick of no length would be drawn as a dot, whatever its pen
        self.setStyle(tickLength=-1, autoExpandTextSpace=False, tickTextOffset=5)
        self.setStyle(tickFont=font(AXIS_TEXT))

    def ticks(self, low: float, high: float, pixels: float) -> list[float]:
        """Round values of the ticks between two ends."""
        spacing = max(self._spacing * self._scale, pixels / self._most)
        return ticks_between(low, high, pixels, spacing)

    def tickValues(self, low: float, high: float, size: float) -> list[tuple[float, list[float]]]:
        """Ticks of one level."""
        low, high = max(min(low, high), self.first), min(max(low, high), self.last)
        if high <= low:
            return []
        values = self.ticks(low, high, size)
        # one value alone has the digits that write it: the span would have too many
        return [(values[1] - values[0] if len(values) > 1 else sum(values), values)]

    def tickStrings(self, values: Sequence[float], scale: float, spacing: float) -> list[str]:
        """Plain numbers, all with the same digits."""
        digits = tick_decimals(spacing)
        groups = "," if max(map(abs, values), default=0.0) >= 10_000.0 else ""
        return [
            f"{value:z{groups}.{digits}f}".replace("-", "\u2212").replace(",", "\u202f")
            for value in values
        ]

    def set_words(self, text: str, palette: Palette) -> None:
        """Set label, colours and the size of the texts."""
        self._scale = palette.text_scale
        self.setStyle(tickFont=font(palette.sized(AXIS_TEXT)))
        self.setPen(QPen(Qt.PenStyle.NoPen))
        self.setTextPen(pen(palette.text))
        self._words = text
        pixels = round(palette.sized(AXIS_LABEL))
        self._style = {"color": palette.text, "font-size": f"{pixels}px"}
        self._metrics = Metrics(font(pixels))
        self.showLabel(bool(text))
        self.resizeEvent()  # puts the new words in the middle

    def resizeEvent(self, event: Any = None) -> None:
        """Part a label that is longer than a left axis into two lines."""
        if self._metrics is not None:
            told = html.escape(self._words)
            is_long = self._metrics.width(self._words) > self.size().height() > 0.0
            if self.orientation == "left" and is_long:
                told = "<br>".join(html.escape(one) for one in halves(self._words))
            asked = told, self._style
            if asked != self._shown:
                self._shown = asked
                self.setLabel(told or None, **self._style)
                self.showLabel(bool(told))
        super().resizeEvent(event)

    def boundingRect(self) -> QRectF:
        """Return its own place and the room for the outermost numbers, clear of the plot."""
        place: QRectF = self.rect()
        over = OVER * self._scale
        if self.orientation == "left":
            return place.adjusted(CLEAR, -over, -CLEAR, over)
        return place.adjusted(-over, CLEAR, over, 0.0)

    def wheelEvent(self, event: Any) -> None:
        """Leave the wheel to the page."""
        event.ignore()

    def mouseDragEvent(self, event: Any) -> None:
        """Leave drags alone."""
        event.ignore()


class Grid:
    """Grid lines and frame of a plot: two calls of ``drawLines``, no antialiasing.

    Parameters
    ----------
    bottom, left : QuietAxis
        Axes whose ticks it follows.
    palette : Palette
        Colours.
    alpha : int
        Opacity of the grid; less than 255 only on a kept layer (it costs time).
    """

    def __init__(
        self, bottom: QuietAxis, left: QuietAxis, palette: Palette, alpha: int = 255
    ) -> None:
        self._bottom, self._left = bottom, left
        self._grid, self._frame = pen(palette.grid, alpha=alpha), pen(palette.frame)
        self._lines: list[QLineF] = []
        self._border: list[QLineF] = []

    def lay_out(self, frame: Frame) -> None:
        """Lines at the ticks."""
        wide, tall = frame.width, frame.height
        across = self._bottom.ticks(frame.left, frame.right, wide)
        high = min(frame.top, self._left.last)
        up = self._left.ticks(frame.bottom, high, tall) if (high > frame.bottom) else []
        x = np.round(frame.x(np.array(across)))
        y = np.round(frame.y(np.array(up)))
        self._lines = [QLineF(at, 0.0, at, tall) for at in x.tolist()]
        self._lines += [QLineF(0.0, at, wide, at) for at in y.tolist()]
        right, bottom = wide - 1.0, tall - 1.0
        corners = [QPointF(0, 0), QPointF(right, 0), QPointF(right, bottom), QPointF(0, bottom)]
        self._border = [QLineF(corners[k], corners[(k + 1) % 4]) for k in range(4)]

    def draw(self, painter: QPainter) -> None:
        """Draw grid, then frame."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        painter.setPen(self._grid)
        painter.drawLines(self._lines)
        painter.setPen(self._frame)
        painter.drawLines(self._border)
