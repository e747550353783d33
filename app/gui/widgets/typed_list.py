"""A box for a typed list, with the sentence about what is wrong under it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QLabel, QLineEdit, QVBoxLayout, QWidget

from app.present.sentences import refusal
from engine_model.errors import InputError

Read = Callable[[str], tuple[Any, ...]]
Write = Callable[[tuple[Any, ...]], str]


class TypedList(QWidget):
    """Numbers as they are typed; what cannot be read stays, and is told.

    Parameters
    ----------
    name : str
        Accessible name.
    pattern : str
        What an empty box shows.
    read, write : callable
        Values of a text, raising InputError, and the text of values.

    Signals
    -------
    entered()
        Other values were typed.
    """

    entered = Signal()

    def __init__(self, name: str, pattern: str, read: Read, write: Write) -> None:
        super().__init__()
        self._read, self._write = read, write
        self.values: tuple[Any, ...] = ()
        self.edit = QLineEdit()
        self.edit.setAccessibleName(name)
        self.edit.setPlaceholderText(pattern)
        self.sentence = QLabel()
        self.sentence.setObjectName("sentence")
        self.sentence.setWordWrap(True)
        self.sentence.hide()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(1)
        column.addWidget(self.edit)
        column.addWidget(self.sentence)
        self.edit.editingFinished.connect(self._take)

    def set_pattern(self, words: str) -> None:
        """Say what an empty box means."""
        self.edit.setPlaceholderText(words)

    def rewrite(self) -> None:
        """Write the values anew, in other units; what is wrong stays as typed. Emits nothing."""
        if self.sentence.isHidden():
            with QSignalBlocker(self.edit):
                self.edit.setText(self._write(self.values))

    def _take(self) -> None:
        try:
            values = self._read(self.edit.text())
        except InputError as error:
            self._say(refusal(error))
            return
        self._say("")
        if values != self.values:
            self.values = values
            self.entered.emit()

    def _say(self, words: str) -> None:
        self.sentence.setText(words)
        self.sentence.setVisible(bool(words))
        self.edit.setProperty("wrong", bool(words))
        self.edit.style().unpolish(self.edit)
        self.edit.style().polish(self.edit)
