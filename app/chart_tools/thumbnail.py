"""A small picture of a compressor map with the operating line on it."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPixmap

from app.chart_tools.canvas import Frame, pen, polygon
from app.chart_tools.palette import Palette
from app.chart_tools.parts import finite_runs
from engine_model.compressor.map_data import CompressorMap
from engine_model.results import OperatingLine

SHARPNESS = 2.0
"""Pixels of the picture to one of the screen: sharp at 200 %."""

RATIO = 1.5
"""Width over height."""


def thumbnail_size(height: int) -> QSize:
    """Size of a thumbnail of a height [px]."""
    return QSize(round(RATIO * height), height)


def map_thumbnail(
    compressor_map: CompressorMap, line: OperatingLine | None, palette: Palette, height: int
) -> QPixmap:
    """Picture of a map as it was traced: speed lines, surge line, and the operating line.

    Parameters
    ----------
    compressor_map : CompressorMap
        The map.
    line : OperatingLine or None
        Its line; one-dimensional.
    palette : Palette
        Colours.
    height : int
        Height on the screen. [px]
    """
    size = thumbnail_size(height)
    picture = QPixmap(size * SHARPNESS)
    picture.setDevicePixelRatio(SHARPNESS)
    picture.fill(QColor(palette.canvas))
    lines = [(one.flow(), one.pressure_ratio()) for one in compressor_map.speed_lines]
    most_flow = max(float(flow.max()) for flow, _ in lines)
    most_ratio = max(float(ratio.max()) for _, ratio in lines)
    rise = max(most_ratio - 1.0, 0.1)
    frame = Frame(
        0.0, 1.06 * most_flow, 1.0 - 0.05 * rise, 1.0 + 1.08 * rise, size.width(), size.height()
    )
    painter = QPainter(picture)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(pen(palette.frame, 1.0))
    for flow, ratio in lines:
        painter.drawPolyline(frame.polygon(flow, ratio))
    painter.setPen(pen(palette.limit, 1.4))
    surge = compressor_map.surge_line
    painter.drawPolyline([QPointF(*frame.point(*point)) for point in surge])
    if line is not None:
        x, y = frame.x(line.corrected_flow_kg_s), frame.y(line.pressure_ratio)
        for stroke in (pen(palette.canvas, 4.0), pen(palette.trio[0], 2.4)):
            painter.setPen(stroke)
            for start, stop in finite_runs(x, y):
                painter.drawPolyline(polygon(x[start:stop], y[start:stop]))
    painter.setPen(pen(palette.frame, 1.0))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(QRectF(0.5, 0.5, size.width() - 1.0, size.height() - 1.0))
    painter.end()
    return picture
