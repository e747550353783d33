"""The whole table of differences in a window of its own."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from app.gui.panels.pins_list import button
from app.gui.panels.pins_model import DifferenceModel
from app.gui.panels.pins_table import DifferenceView

FRAME = 48
"""Room left for the window's own frame [px]."""


class PinsWindow(QDialog):
    """Shows the model of the panel; stays open beside the bench, Escape closes it."""

    def __init__(self, differences: DifferenceModel, parent: QWidget) -> None:
        super().__init__(parent)
        self.setWindowTitle("Pins: differences to the present line")
        self.setModal(False)
        self.caption = QLabel()
        self.caption.setObjectName("headline")
        self.caption.setTextFormat(Qt.TextFormat.PlainText)
        self.table = DifferenceView(differences)
        self.copy_button = button("Copy table", "Copy the table as text (Ctrl+C in the table)")
        self.copy_button.clicked.connect(self.table.copy)
        top = QHBoxLayout()
        top.addWidget(self.caption, 1)
        top.addWidget(self.copy_button)
        layout = QVBoxLayout(self)
        layout.addLayout(top)
        layout.addWidget(self.table)

    def fit_to_table(self) -> None:
        """Take the room of the whole table, as far as the screen has it."""
        table = self.table
        table.fit()
        wide = table.names.sizeHint().width() + table.horizontalHeader().length()
        tall = table.horizontalHeader().sizeHint().height() + table.verticalHeader().length()
        bar = table.verticalScrollBar().sizeHint().width()
        margins = self.layout().contentsMargins()
        wide += bar + 2 * table.frameWidth() + margins.left() + margins.right()
        tall += bar + 2 * table.frameWidth() + margins.top() + margins.bottom()
        tall += self.copy_button.sizeHint().height() + self.layout().spacing()
        room = self.screen().availableGeometry()
        self.resize(min(wide, room.width() - FRAME), min(tall, room.height() - FRAME))
