"""A round magnifier drawn at the pointer: what is aimed at is enlarged where it lies."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath

from app.chart_tools.canvas import pen
from app.chart_tools.palette import Palette
from app.gui.places.trace.layers import Picture
from app.gui.places.trace.view import View

RADIUS = 72.0
"""Of the loupe, in widget pixels."""

REACH = RADIUS + 4.0
"""How far its drawing goes, rim and halo included."""

GAP = 5.0
"""Half the opening in the middle of the crosshair, in widget pixels."""


def magnification(zoom: float) -> float:
    """How many times the loupe enlarges the view: more where the picture is shown small."""
    if zoom <= 0.75:
        return 8.0
    return 6.0 if zoom <= 1.5 else 4.0


def loupe_view(view: View, x: float, y: float) -> View:
    """View inside the loupe: enlarged about a picture point, which stays where it is."""
    across, down = view.to_widget(x, y)
    zoom = view.zoom * magnification(view.zoom)
    return View(zoom, across - zoom * x, down - zoom * y)


def draw_loupe(
    painter: QPainter,
    picture: Picture,
    view: View,
    aim: tuple[float, float],
    palette: Palette,
    draw_over: Callable[[QPainter, View, QRectF], None],
) -> None:
    """Draw the loupe about a picture point.

    Parameters
    ----------
    painter : QPainter
        On the widget.
    picture : Picture
        Shown undimmed, its pixels as squares.
    view : View
        View of the widget.
    aim : tuple of float
        Picture point in the middle [px].
    palette : Palette
        Colours of rim and ground.
    draw_over : callable
        Draws curves and points over the enlarged picture, within bounds.
    """
    inner = loupe_view(view, *aim)
    x, y = view.to_widget(*aim)
    middle = QPointF(x, y)
    bounds = QRectF(x - RADIUS, y - RADIUS, 2.0 * RADIUS, 2.0 * RADIUS)
    disc = QPainterPath()
    disc.addEllipse(middle, RADIUS, RADIUS)
    painter.save()
    painter.setClipPath(disc)
    painter.fillRect(bounds, QColor(palette.background))
    picture.draw(painter, inner, bounds, smooth=False)
    draw_over(painter, inner, bounds)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    arms = [
        QLineF(x - RADIUS, y, x - GAP, y),
        QLineF(x + GAP, y, x + RADIUS, y),
        QLineF(x, y - RADIUS, x, y - GAP),
        QLineF(x, y + GAP, x, y + RADIUS),
    ]
    painter.setPen(pen("#ffffff", 3.0, alpha=110))
    painter.drawLines(arms)
    painter.setPen(pen("#101418", 1.0, alpha=230))
    painter.drawLines(arms)
    painter.restore()
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(pen(palette.canvas, 5.0, alpha=200))
    painter.drawEllipse(middle, RADIUS, RADIUS)
    painter.setPen(pen(palette.cursor, 2.0))
    painter.drawEllipse(middle, RADIUS, RADIUS)
    painter.restore()
