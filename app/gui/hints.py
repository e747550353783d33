"""Three short hints at the first run, dismissed for good."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QWidget

from app.gui.widgets.floating import Float

HINTS = (
    "Drag the blower pulley at the top: line, strips and ledger follow. Boost at an engine speed "
    "moves the pulley, and the other way round.",
    "The ledger at the right judges every limit on every day. Choose an entry to see where it is "
    "tightest, and why.",
    "A hollow dot marks a value that nobody has set. Type values with their unit: 3.33 in, 84 mm, "
    "8 psi. F1 lists the keys.",
)
"""The hints, in order."""


class HintBar(QWidget):
    """Shows one hint after the other.

    Signals
    -------
    dismissed()
        The user has seen enough.
    """

    dismissed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("hint")
        self._float: Float | None = None
        self._at = 0
        self._words = QLabel()
        self._words.setWordWrap(True)
        self.next = QPushButton("Next hint")
        self.enough = QPushButton("Got it")
        row = QHBoxLayout(self)
        row.setContentsMargins(10, 4, 10, 4)
        row.addWidget(self._words, 1)
        row.addWidget(self.next)
        row.addWidget(self.enough)
        self.next.clicked.connect(self._forward)
        self.enough.clicked.connect(self._done)
        self._show()

    def float_over(self, anchor: QWidget) -> None:
        """Stand over the lower edge of a widget: nothing moves when the hints come or go."""
        self._float = Float(self, anchor, at_bottom=True)

    def _show(self) -> None:
        self._words.setText(f"{self._at + 1} of {len(HINTS)}. {HINTS[self._at]}")
        self.next.setVisible(self._at < len(HINTS) - 1)
        if self._float is not None:
            self.layout().activate()
            self._float.put()

    def _forward(self) -> None:
        self._at += 1
        self._show()

    def _done(self) -> None:
        self.hide()
        self.dismissed.emit()
