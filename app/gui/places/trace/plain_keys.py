"""Plain letters: for the text where text is typed, for the buttons of the place elsewhere."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import QAbstractButton, QComboBox, QWidget

HELD = ~(Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.KeypadModifier)
"""Modifiers with which a key types nothing."""


class PlainKeys(QObject):
    """Letters press buttons at once, folded away or not; tables and lists keep what is typed.

    Parameters
    ----------
    place : QWidget
        Its lists that are searched by typing are watched.
    keys : dict
        Buttons by letter; a shortcut of their own would press them slowly, as if held down.
    tables : QWidget
        Tables whose cells are typed over.
    """

    def __init__(self, place: QWidget, keys: dict[str, QAbstractButton], *tables: QWidget) -> None:
        super().__init__(place)
        for key, button in keys.items():
            button.setShortcut(QKeySequence())
            QShortcut(QKeySequence(key), place).activated.connect(button.click)
        for widget in (*tables, *place.findChildren(QComboBox)):
            widget.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Claim what types a letter, before a shortcut does."""
        if event.type() != QEvent.Type.ShortcutOverride or not isinstance(event, QKeyEvent):
            return False
        if not event.text() or not event.text().isprintable() or event.modifiers() & HELD:
            return False
        event.accept()
        return True
