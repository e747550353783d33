"""The notes of the build beside its sheet: what is typed becomes one step of undo."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QEvent, QSignalBlocker, Qt, QTimer
from PySide6.QtGui import QFocusEvent, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QPlainTextEdit

from app.gui.document import Document, new_gesture

PAUSE_MS = 400
"""From the last key to the edit of the build."""

NOTES = frozenset({"notes"})


class NotesEdit(QPlainTextEdit):
    """Edits the notes of the open build. What is typed between entering and leaving is one step."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._gesture = new_gesture()
        self.setAccessibleName("Notes of the build")
        self.setPlaceholderText("Notes for the workshop; they print on its page")
        self.setTabChangesFocus(True)
        # undo is the build's
        self.setUndoRedoEnabled(False)
        self._timer = QTimer(self, singleShot=True, interval=PAUSE_MS)
        self._timer.timeout.connect(self.take_over)
        self.textChanged.connect(self._timer.start)
        document.changed.connect(self._show)
        self._show()

    def take_over(self) -> None:
        """Put what is typed into the build."""
        self._timer.stop()
        build, text = self._document.build, self.toPlainText().strip()
        if text != build.notes.strip():
            words = replace(build, notes=text)
            self._document.replace(words, NOTES, "Change notes", self._gesture, place="sheet")

    def _show(self, *_: object) -> None:
        if (
            self._timer.isActive()
            or self.toPlainText().strip() == self._document.build.notes.strip()
        ):
            return
        with QSignalBlocker(self):
            self.setPlainText(self._document.build.notes)

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Begin a step."""
        self._gesture = new_gesture()
        super().focusInEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """End a step."""
        super().focusOutEvent(event)
        self.take_over()

    def event(self, event: QEvent) -> bool:
        """Leave the keys of undo to the build, with what is typed in it."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            standard = QKeySequence.StandardKey
            redo = event.keyCombination().key() == Qt.Key.Key_Z
            if (
                event.matches(standard.Undo)
                or event.matches(standard.Redo)
                or (redo and event.modifiers() & Qt.KeyboardModifier.ControlModifier)
            ):
                self.take_over()
                self._gesture = new_gesture()
                event.ignore()
                return True
        return super().event(event)
