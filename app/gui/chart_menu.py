"""The menu of a chart: the Menu key, or a right click that did not drag."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, QPoint, QPointF, Qt
from PySide6.QtGui import QContextMenuEvent
from PySide6.QtWidgets import QGraphicsView, QMenu

SLACK = 4.0
"""How little the mouse may move in a click; a longer way zooms [px]."""

Fill = Callable[[QMenu, QPointF | None], None]


class ChartMenu(QObject):
    """Opens a menu over a chart.

    Parameters
    ----------
    chart : QGraphicsView
        The chart; owns this.
    fill : callable
        Puts the actions into a menu: (menu, place clicked or None for the key).
    """

    def __init__(self, chart: QGraphicsView, fill: Fill) -> None:
        super().__init__(chart)
        self._chart, self._fill = chart, fill
        self._pressed: QPointF | None = None
        chart.installEventFilter(self)
        chart.viewport().installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Tell a right click from a right drag; the menu event of the mouse comes too early."""
        kind = event.type()
        if kind == QEvent.Type.ContextMenu and isinstance(event, QContextMenuEvent):
            if event.reason() != QContextMenuEvent.Reason.Mouse:
                self.open(None)
            return True
        if kind == QEvent.Type.MouseButtonPress and event.button() == Qt.MouseButton.RightButton:
            self._pressed = event.position()
        elif kind == QEvent.Type.MouseButtonRelease and self._pressed is not None:
            start, self._pressed = self._pressed, None
            near = (event.position() - start).manhattanLength() <= SLACK
            if near and event.button() == Qt.MouseButton.RightButton:
                self.open(event.position())
        return False

    def open(self, place: QPointF | None) -> None:
        """Open the menu at a place of the chart, or in its middle."""
        menu = QMenu(self._chart)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._fill(menu, place)
        at: QPoint = self._chart.rect().center() if place is None else place.toPoint()
        menu.popup(self._chart.mapToGlobal(at))
