"""The dial of a ledger state: open ring, half-filled ring, full disc with a bar, dashed ring."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

STATES = ("clear", "close", "over", "blank")


def paint_dial(painter: QPainter, area: QRectF, state: str, color: QColor) -> None:
    """Draw the dial of a state; the shape alone tells it, so that it survives grey print."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    width = max(1.5, area.width() / 9.0)
    ring = area.adjusted(width, width, -width, -width)
    pen = QPen(color, width)
    if state == "blank":
        pen.setStyle(Qt.PenStyle.DotLine)
    painter.setPen(pen)
    painter.setBrush(color if state == "over" else Qt.BrushStyle.NoBrush)
    painter.drawEllipse(ring)
    if state == "close":
        painter.setBrush(color)
        painter.drawPie(ring, 180 * 16, 180 * 16)
    if state == "over":
        middle = area.center()
        reach = area.width() / 2.0
        painter.setPen(QPen(color, width * 1.4))
        painter.drawLine(
            QPointF(middle.x() - reach, middle.y() + reach * 0.55),
            QPointF(middle.x() + reach, middle.y() - reach * 0.55),
        )
    painter.restore()


class Dial(QWidget):
    """A dial with its state's colour."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._state = "blank"
        self._color = QColor("#888888")
        self.setFixedSize(16, 16)

    def set_state(self, state: str, color: QColor) -> None:
        """Show a state."""
        self._state, self._color = state, color
        self.setAccessibleName(state)
        self.update()

    def sizeHint(self) -> QSize:
        """A small square."""
        return QSize(16, 16)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the dial."""
        painter = QPainter(self)
        paint_dial(painter, QRectF(self.rect()), self._state, self._color)
        painter.end()
