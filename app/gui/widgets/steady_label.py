"""A sentence with a fixed room: nothing moves when it comes, goes or is another one."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QRect, QSize, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QLabel

MOST_TALL = 10_000
"""Height that no sentence has [px]."""


class SteadyLabel(QLabel):
    """A label as high as the longest of the sentences it may show, at any width.

    Parameters
    ----------
    sentences : sequence of str
        What it may show; a longer one is told whole in the tooltip.
    """

    def __init__(self, sentences: Sequence[str]) -> None:
        super().__init__()
        self._sentences = tuple(sentences)
        self.setWordWrap(True)
        self.setAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)

    def setText(self, text: str) -> None:
        """Show a sentence; the tooltip has it whole."""
        super().setText(text)
        self.setToolTip(text)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the room that the width asks for."""
        super().resizeEvent(event)
        self._keep_room()

    def changeEvent(self, event: QEvent) -> None:
        """Keep the room that the size of the text asks for."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._keep_room()

    def _keep_room(self) -> None:
        tall = self.heightForWidth(self.contentsRect().width())
        if (self.minimumHeight(), self.maximumHeight()) != (tall, tall):
            self.setFixedHeight(tall)

    def heightForWidth(self, width: int) -> int:
        """Height of the longest sentence."""
        room = QRect(0, 0, max(width, 1), MOST_TALL)
        wrap = int(Qt.TextFlag.TextWordWrap)
        metrics = self.fontMetrics()
        return max(
            (metrics.boundingRect(room, wrap, one).height() for one in self._sentences),
            default=metrics.height(),
        )

    def sizeHint(self) -> QSize:
        """As high as the longest sentence is in a narrow column."""
        width = max(self.width(), 20 * self.fontMetrics().averageCharWidth())
        return QSize(width, self.heightForWidth(width))

    def minimumSizeHint(self) -> QSize:
        """As narrow as a column of short words."""
        return QSize(12 * self.fontMetrics().averageCharWidth(), self.fontMetrics().height())
