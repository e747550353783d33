"""Menus made from registries: which strips are shown, and the unit of the flow axis."""

from __future__ import annotations

from PySide6.QtGui import QAction, QActionGroup
from PySide6.QtWidgets import QMenu

from app.gui.places.line.drawing import FLOW_AXES, Drawing
from app.present.series import STRIPS


class StripsMenu(QMenu):
    """Choose the strips."""

    def __init__(self, drawing: Drawing) -> None:
        super().__init__("&Strips")
        self._drawing = drawing
        self._boxes: dict[str, QAction] = {}
        for strip in STRIPS:
            action = QAction(strip.title, self)
            action.setCheckable(True)
            action.setChecked(strip.key in drawing.strip_keys)
            action.triggered.connect(self._chosen)
            self.addAction(action)
            self._boxes[strip.key] = action

    def _chosen(self, _: bool) -> None:
        keys = tuple(key for key, action in self._boxes.items() if action.isChecked())
        self._drawing.set_strips(keys)


class FlowMenu(QMenu):
    """Choose the unit of the flow axis; actual flow is as on the day shown."""

    def __init__(self, drawing: Drawing) -> None:
        super().__init__("F&low axis")
        group = QActionGroup(self)
        for unit, words in FLOW_AXES:
            action = QAction(words, self)
            action.setCheckable(True)
            action.setChecked(unit == "")
            action.triggered.connect(lambda _=False, unit=unit: drawing.set_flow_unit(unit))
            group.addAction(action)
            self.addAction(action)
