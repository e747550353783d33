"""The window's keys before those of a focused text box."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import (
    QAbstractSpinBox,
    QApplication,
    QComboBox,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QTextEdit,
    QWidget,
)

TAKES_TEXT = (QLineEdit, QAbstractSpinBox, QComboBox, QLabel, QPlainTextEdit, QTextEdit)
"""Widgets that would keep keys of editing, such as Ctrl+E for the end of the line."""

EDITING = (
    QKeySequence.StandardKey.Copy,
    QKeySequence.StandardKey.Cut,
    QKeySequence.StandardKey.Paste,
    QKeySequence.StandardKey.SelectAll,
)
"""Keys that stay with the text."""

TYPING = (QKeySequence.StandardKey.Undo, QKeySequence.StandardKey.Redo)
"""Keys that stay with a text as long as it is typed and not entered."""


class WindowKeys(QObject):
    """Lets the keys of a window's actions through, whatever text box has the focus.

    It watches the focused widget alone.
    """

    def __init__(self, window: QWidget) -> None:
        super().__init__(window)
        self._window = window
        QApplication.instance().focusChanged.connect(self._follow)

    def _follow(self, before: QWidget | None, now: QWidget | None) -> None:
        if before is not None:
            before.removeEventFilter(self)
        if isinstance(now, TAKES_TEXT) and now.window() is self._window:
            now.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Keep a key of the window from the text box, so that the action gets it."""
        if event.type() != QEvent.Type.ShortcutOverride or not isinstance(event, QKeyEvent):
            return False
        if self._is_for_text(watched, event) or not self._is_for_window(event):
            return False
        event.ignore()
        return True

    def _is_for_text(self, box: QObject, event: QKeyEvent) -> bool:
        if any(event.matches(key) for key in EDITING):
            return True
        line = box if isinstance(box, QLineEdit) else box.findChild(QLineEdit)
        is_typing = isinstance(line, QLineEdit) and line.isModified()
        return is_typing and any(event.matches(key) for key in TYPING)

    def _is_for_window(self, event: QKeyEvent) -> bool:
        pressed = event.keyCombination()
        held = pressed.keyboardModifiers() & ~Qt.KeyboardModifier.KeypadModifier
        # signs such as + may need Shift on the keyboard
        wanted = [QKeySequence(held | pressed.key())]
        if not Qt.Key.Key_A <= pressed.key() <= Qt.Key.Key_Z:
            wanted.append(QKeySequence((held & ~Qt.KeyboardModifier.ShiftModifier) | pressed.key()))
        return any(
            action.isEnabled() and any(key in wanted for key in action.shortcuts())
            for action in self._window.actions()
        )
