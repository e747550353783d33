"""Three short hints at the first run, dismissed for good."""

from __future__ import annotations

from PySide6.QtCore import QRect, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QWidget

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
    """Shows one hint after the other, in a row of its own that has room for each of them.

    Signals
    -------
    dismissed()
        The user has seen enough.
    """

    dismissed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("hint")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self._at = 0
        self._words = QLabel()
        self._words.setWordWrap(True)
        self.next = QPushButton("Next hint")
        self.enough = QPushButton("Got it")
        kept = self.next.sizePolicy()
        kept.setRetainSizeWhenHidden(True)
        self.next.setSizePolicy(kept)
        row = QHBoxLayout(self)
        row.setContentsMargins(10, 4, 10, 4)
        row.addWidget(self._words, 1)
        row.addWidget(self.next)
        row.addWidget(self.enough)
        self.next.clicked.connect(self._forward)
        self.enough.clicked.connect(self._done)
        self._show()

    def _show(self) -> None:
        self._words.setText(_words_of(self._at))
        self.next.setVisible(self._at < len(HINTS) - 1)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the height of the longest hint, so that nothing moves from one to the next."""
        super().resizeEvent(event)
        self.layout().activate()
        metrics, room = self._words.fontMetrics(), QRect(0, 0, self._words.width(), 10_000)
        wrap = int(Qt.TextFlag.TextWordWrap)
        tall = [metrics.boundingRect(room, wrap, _words_of(k)).height() for k in range(len(HINTS))]
        self._words.setMinimumHeight(max(tall))

    def _forward(self) -> None:
        self._at += 1
        self._show()

    def _done(self) -> None:
        self.hide()
        self.dismissed.emit()


def _words_of(number: int) -> str:
    return f"{number + 1} of {len(HINTS)}. {HINTS[number]}"
