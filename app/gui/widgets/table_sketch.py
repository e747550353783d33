"""Sketch of a table's curve: points, lines between, axes with their units."""

from __future__ import annotations

import math
from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPaintEvent, QPalette, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.present.series_axes import nice_range, nice_step

Points = Sequence[tuple[float, float]]

MOST_TICKS = 4
DOT = 2.5
"""Radius of a point [px]."""


def _ticks(low: float, high: float) -> list[float]:
    step = nice_step(high - low, MOST_TICKS)
    first = math.ceil(low / step - 1e-9)
    count = math.floor(high / step + 1e-9) - first + 1
    return [(first + k) * step for k in range(count)]


class TableSketch(QWidget):
    """The curve of a table in display units."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._points: tuple[tuple[float, float], ...] = ()
        self._labels = ("", "")
        self._words = ""
        self.setMinimumSize(140, 110)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        """Wide enough for three ticks."""
        return QSize(200, 8 * self.fontMetrics().height())

    def show_curve(self, points: Points, labels: tuple[str, str], words: str = "") -> None:
        """Show points in display units with the labels of both axes; words where there are none."""
        self._points, self._labels, self._words = tuple(points), labels, words
        told = words if not points else f"{len(points)} points of {labels[1]} over {labels[0]}"
        self.setAccessibleName(f"Sketch: {told}")
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw axes and curve."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._draw(painter)
        painter.end()

    def _draw(self, painter: QPainter) -> None:
        palette, metrics = self.palette(), QFontMetricsF(self.font())
        text, line = palette.color(QPalette.ColorRole.Text), palette.color(QPalette.ColorRole.Mid)
        painter.fillRect(self.rect(), palette.color(QPalette.ColorRole.Base))
        painter.setPen(text)
        if not self._points:
            flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
            painter.drawText(self.rect().adjusted(6, 6, -6, -6), int(flags), self._words)
            return
        xs, ys = ([p[k] for p in self._points] for k in (0, 1))
        left, right = nice_range(min(xs), max(xs), 2 * MOST_TICKS)
        bottom, top = nice_range(min(ys), max(ys), MOST_TICKS)
        across, up = _ticks(left, right), _ticks(bottom, top)
        wide = max(metrics.horizontalAdvance(f"{value:g}") for value in up)
        last = metrics.horizontalAdvance(f"{across[-1]:g}") / 2.0
        high = metrics.height()
        area = QRectF(self.rect()).adjusted(wide + 10.0, high + 6.0, -last - 6.0, -2.0 * high - 6.0)

        def place(x: float, y: float) -> QPointF:
            return QPointF(
                area.left() + (x - left) / (right - left) * area.width(),
                area.bottom() - (y - bottom) / (top - bottom) * area.height(),
            )

        for value in up:
            at = place(left, value).y()
            painter.setPen(QPen(line, 1.0))
            painter.drawLine(QPointF(area.left(), at), QPointF(area.right(), at))
            box = QRectF(0.0, at - high / 2.0, wide + 5.0, high)
            painter.setPen(text)
            painter.drawText(box, Qt.AlignmentFlag.AlignRight, f"{value:g}")
        for value in across:
            at = place(value, bottom).x()
            painter.setPen(QPen(line, 1.0))
            painter.drawLine(QPointF(at, area.bottom()), QPointF(at, area.bottom() + 4.0))
            box = QRectF(at - 40.0, area.bottom() + 4.0, 80.0, high)
            painter.setPen(text)
            painter.drawText(box, Qt.AlignmentFlag.AlignHCenter, f"{value:g}")
        painter.setPen(text)
        below = QRectF(0.0, area.bottom() + 4.0 + high, self.width() - 4.0, high)
        painter.drawText(below, Qt.AlignmentFlag.AlignRight, self._labels[0])
        painter.drawText(QPointF(4.0, metrics.ascent() + 1.0), self._labels[1])
        accent = palette.color(QPalette.ColorRole.Highlight)
        painter.setPen(QPen(accent, 2.0))
        painter.drawPolyline(QPolygonF([place(x, y) for x, y in self._points]))
        painter.setBrush(accent)
        painter.setPen(Qt.PenStyle.NoPen)
        for x, y in self._points:
            painter.drawEllipse(place(x, y), DOT, DOT)
