"""How old what is shown is, how far the work is, and the buttons that stop and begin it."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import (
    QGridLayout,
    QLabel,
    QProgressBar,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.gui.widgets.steady_label import SteadyLabel

SHOWN_AFTER_MS = 250
"""Work that takes longer shows its progress."""


class WorkRows(QWidget):
    """State in words, a bar, *Cancel* and *Work it out*.

    Parameters
    ----------
    name : str
        What the progress is of.
    again_tip : str
        What beginning again does.
    states : sequence of str
        What the state may say, where all of it has a fixed room: nothing under it moves.
    """

    def __init__(self, name: str, again_tip: str, states: Sequence[str] = ()) -> None:
        super().__init__()
        self._is_steady = bool(states)
        self.state = SteadyLabel(states) if states else QLabel()
        self.state.setObjectName("headline")
        self.state.setWordWrap(True)
        self.bar = QProgressBar()
        self.bar.setAccessibleName(f"Progress of {name}")
        self.bar.setTextVisible(False)
        self.bar.setFixedHeight(8)
        self.cancel = QPushButton("Cancel")
        self.cancel.setToolTip("Drop the work under way; what is shown stays as it was")
        self.again = QPushButton("&Work it out")
        self.again.setToolTip(again_tip)
        self.again.hide()
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(SHOWN_AFTER_MS)
        self._soon.timeout.connect(lambda: self._show_work(shown=True))
        rows = QVBoxLayout(self)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(3)
        rows.addWidget(self.state)
        rows.addWidget(self.bar)
        buttons = QGridLayout()
        # never both: where nothing may move they have one place
        for row, button in enumerate((self.cancel, self.again)):
            buttons.addWidget(button, 0 if self._is_steady else row, 0)
        rows.addLayout(buttons)
        if self._is_steady:
            for widget in (self.bar, self.cancel):
                kept = widget.sizePolicy()
                kept.setRetainSizeWhenHidden(True)
                widget.setSizePolicy(kept)
        self.state.setVisible(self._is_steady)
        self._show_work(shown=False)

    def set_state(self, words: str) -> None:
        """Say how old what is shown is."""
        self.state.setText(words)
        self.state.setVisible(self._is_steady or bool(words))

    def set_busy(self, busy: bool) -> None:
        """Show progress where the work takes long, or take it away."""
        self.again.hide()
        if busy:
            self.bar.setRange(0, 0)
            self._soon.start()
        else:
            self._soon.stop()
            self._show_work(shown=False)

    def set_progress(self, done: int, about: int) -> None:
        """Show how far the work is."""
        self.bar.setRange(0, about)
        self.bar.setValue(done)

    def _show_work(self, *, shown: bool) -> None:
        self.bar.setVisible(shown)
        self.cancel.setVisible(shown)
