"""A list of whole sentences, wrapped, with a dial before each; choosing one is a signal."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QRect, QSignalBlocker, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QSizePolicy, QWidget

from app.gui.copying import offer_copy
from app.gui.theme import state_colors
from app.gui.widgets.swatch import DIAL, state_icon

PAD = 6
"""Height of a row over its text [px]."""

SIDE = 14
"""Width of a row beside dial and text [px]."""


class SentencesList(QListWidget):
    """Sentences as tall as they are; a click, Enter or Space chooses one.

    Signals
    -------
    picked(row)
        A sentence was chosen.
    """

    picked = Signal(int)

    def __init__(self, name: str, tip: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._states: tuple[str, ...] = ()
        self._theme = "light"
        self.setAccessibleName(name)
        self.setToolTip(tip)
        self.setWordWrap(True)
        self.setTextElideMode(Qt.TextElideMode.ElideNone)
        self.setIconSize(DIAL)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setTabKeyNavigation(False)
        self.itemClicked.connect(lambda item: self.picked.emit(self.row(item)))
        offer_copy(self, lambda: [[name], *([one] for one in self.sentences)])

    @property
    def sentences(self) -> tuple[str, ...]:
        """Sentences that are shown."""
        return tuple(self.item(row).text() for row in range(self.count()))

    def set_sentences(self, rows: Sequence[tuple[str, str]]) -> None:
        """Show states and sentences; the current row stays where there is one; emits nothing."""
        current = self.currentRow()
        if (self._states, self.sentences) != (
            tuple(state for state, _ in rows),
            tuple(words for _, words in rows),
        ):
            self._states = tuple(state for state, _ in rows)
            with QSignalBlocker(self):
                self.clear()
                for _, words in rows:
                    QListWidgetItem(words, self)
                if current >= 0 and rows:
                    self.setCurrentRow(min(current, len(rows) - 1))
            self.set_theme(self._theme)
        self.setVisible(bool(rows))
        self._fit()

    def set_theme(self, theme: str) -> None:
        """Recolour the dials."""
        self._theme = theme
        colors, ratio = state_colors(theme), self.devicePixelRatioF()
        icons = {state: state_icon(state, colors[state], ratio) for state in set(self._states)}
        with QSignalBlocker(self):
            for row, state in enumerate(self._states):
                self.item(row).setIcon(icons[state])
                words = f"{state}: {self.item(row).text()}"
                self.item(row).setData(Qt.ItemDataRole.AccessibleTextRole, words)

    def _fit(self) -> None:
        """Give every row the height of its sentence, and the list that of its rows."""
        room = QRect(0, 0, max(40, self.viewport().width() - DIAL.width() - SIDE), 10000)
        tall = 2 * self.frameWidth() + 2
        with QSignalBlocker(self):
            for row in range(self.count()):
                item = self.item(row)
                box = self.fontMetrics().boundingRect(
                    room, int(Qt.TextFlag.TextWordWrap), item.text()
                )
                size = QSize(60, max(box.height(), DIAL.height()) + PAD)
                item.setSizeHint(size)
                tall += size.height()
        self.setFixedHeight(tall)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Wrap anew."""
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self._fit()

    def changeEvent(self, event: QEvent) -> None:
        """Wrap anew with another size of text."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._fit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter and Space choose; letters are left to the keys of the place."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
            if self.currentRow() >= 0:
                self.picked.emit(self.currentRow())
        elif event.text().isalpha() and not event.modifiers():
            event.ignore()
        else:
            super().keyPressEvent(event)
