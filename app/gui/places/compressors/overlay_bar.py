"""Over the overlay: the day of its lines, and shading."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QSignalBlocker, Signal
from PySide6.QtWidgets import QCheckBox, QComboBox, QHBoxLayout, QLabel, QWidget

MARGIN = 8
"""Room at the sides of what floats [px]."""

LEAST_FLOAT = 40
"""Letters that a floating sentence needs beside the choices."""


class OverlayBar(QWidget):
    """What is chosen of the overlay.

    Signals
    -------
    day_chosen()
        Lines of another day.
    shading_chosen(shaded)
        The islands of the first map are shaded or not.
    """

    day_chosen = Signal()
    shading_chosen = Signal(bool)

    def __init__(self) -> None:
        super().__init__()
        self._own_day = ""
        self.days = QComboBox()
        self.days.setAccessibleName("Day of the lines")
        self.days.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToContents)
        self.days.setToolTip("The operating lines drawn are those of this day")
        self.label = QLabel("&Day of the lines")
        self.label.setBuddy(self.days)
        self.shade = QCheckBox("Shade &islands")
        self.shade.setToolTip("Efficiency of the first map chosen, shaded and outlined")
        self.note = QLabel()
        self.note.setObjectName("headline")
        self.note.setWordWrap(True)
        row = QHBoxLayout(self)
        row.setContentsMargins(8, 3, 8, 3)
        for widget in (self.label, self.days, self.shade):
            row.addWidget(widget)
        row.addWidget(self.note, 1)
        self._keep_room()
        self.days.activated.connect(self._on_day)
        self.shade.toggled.connect(self.shading_chosen)

    @property
    def day(self) -> str:
        """The day of the lines."""
        return self.days.currentText()

    def show_days(self, names: Sequence[str], usual: str) -> None:
        """Show the days there are; that chosen, else the usual one. Emits nothing."""
        with QSignalBlocker(self.days):
            if [self.days.itemText(k) for k in range(self.days.count())] != list(names):
                self.days.clear()
                self.days.addItems(list(names))
            wanted = self._own_day if self._own_day in names else usual
            self.days.setCurrentIndex(max(self.days.findText(wanted), 0))

    def set_covered(self, covered: bool) -> None:
        """Leave out the day: the usual one is that of the tightest limit."""
        self.label.setVisible(not covered)
        self.days.setVisible(not covered)
        self.note.setVisible(not covered)

    def set_note(self, words: str, tip: str = "") -> None:
        """Say what is left out."""
        self.note.setText(words)
        self.note.setToolTip(tip)

    def free_place(self, width: int) -> tuple[int, int, int]:
        """Left, top and width for what floats here: beside what is chosen, else under it [px].

        Parameters
        ----------
        width : int
            Width from the left edge on that may be taken. [px]
        """
        left = self.shade.geometry().right() + MARGIN
        room = width - left - MARGIN
        if room >= LEAST_FLOAT * self.fontMetrics().averageCharWidth():
            return left, 2, room
        return MARGIN, self.height(), width - 2 * MARGIN

    def changeEvent(self, event: QEvent) -> None:
        """Keep the room of two rows for the note."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._keep_room()

    def _keep_room(self) -> None:
        self.note.setFixedHeight(2 * self.note.fontMetrics().lineSpacing() + 2)

    def _on_day(self, _: int) -> None:
        self._own_day = self.day
        self.day_chosen.emit()
