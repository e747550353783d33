"""Small icons: the stroke of a ghost, and the dial of a state."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPen, QPixmap

from app.chart_tools.line_parts import ghost_stroke
from app.chart_tools.palette import Palette
from app.gui.widgets.dial import paint_dial

SWATCH = QSize(30, 14)
"""Size of the stroke of a ghost [px]."""

DIAL = QSize(14, 14)
"""Size of a dial [px]."""


def _blank(size: QSize, ratio: float) -> QPixmap:
    pixmap = QPixmap(size * ratio)
    pixmap.setDevicePixelRatio(ratio)
    pixmap.fill(Qt.GlobalColor.transparent)
    return pixmap


def ghost_icon(palette: Palette, index: int, ratio: float) -> QIcon:
    """Stroke of the ghost of an index."""
    return _stroke_icon(ghost_stroke(palette, index).pen(), ratio)


def line_icon(palette: Palette, ratio: float) -> QIcon:
    """Stroke of the present line."""
    return _stroke_icon(QPen(QColor(palette.line), 2.6), ratio)


def empty_icon(ratio: float) -> QIcon:
    """Nothing, in the size of a stroke."""
    return QIcon(_blank(SWATCH, ratio))


def _stroke_icon(pen: QPen, ratio: float) -> QIcon:
    pixmap = _blank(SWATCH, ratio)
    painter = QPainter(pixmap)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    pen.setWidthF(max(pen.widthF(), 2.0))
    painter.setPen(pen)
    level = SWATCH.height() / 2.0
    painter.drawLine(QPointF(1.0, level), QPointF(SWATCH.width() - 1.0, level))
    painter.end()
    return QIcon(pixmap)


def state_icon(state: str, color: QColor, ratio: float) -> QIcon:
    """Dial of a state."""
    pixmap = _blank(DIAL, ratio)
    painter = QPainter(pixmap)
    paint_dial(painter, QRectF(0.5, 0.5, DIAL.width() - 1.0, DIAL.height() - 1.0), state, color)
    painter.end()
    return QIcon(pixmap)
