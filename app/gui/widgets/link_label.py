"""A label with links: in the colours of the theme, and with room that stays."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt
from PySide6.QtWidgets import QLabel, QWidget


class LinkLabel(QLabel):
    """Wrapped words whose links are reached by mouse and keyboard.

    Links take their colour as the text is read, so it is read anew with every palette.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._lines = 0
        self.setWordWrap(True)
        self.setTextFormat(Qt.TextFormat.RichText)
        self.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        links = Qt.TextInteractionFlag
        self.setTextInteractionFlags(links.LinksAccessibleByMouse | links.LinksAccessibleByKeyboard)

    def set_room(self, lines: int) -> None:
        """Keep room for so many lines, however few there are; what stands below stays put."""
        self._lines = lines
        self._fit()

    def _fit(self) -> None:
        self.setMinimumHeight(self._lines * self.fontMetrics().lineSpacing())

    def changeEvent(self, event: QEvent) -> None:
        """Take the colours of a new palette, and grow with the text."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and self.text():
            text = self.text()
            self.setText("")
            self.setText(text)
        elif event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._fit()
