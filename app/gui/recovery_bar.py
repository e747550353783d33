"""A calm bar for what a person should know about his files; it waits, it stops nothing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible, QAccessibleEvent, QKeyEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QSizePolicy, QWidget

Act = Callable[[], bool]
"""What a button does; whether the matter is settled by it."""

KEY = "F6"
"""Brings the keyboard to the bar."""


@dataclass(frozen=True, slots=True)
class Notice:
    """One message with its choices.

    Parameters
    ----------
    about : str
        What it is about; a later notice about the same takes its place.
    text : str
        The sentence.
    choices : tuple of (str, Act)
        Words of each button and what it does; the last is the one of the Escape key.
    """

    about: str
    text: str
    choices: tuple[tuple[str, Act], ...]


class RecoveryBar(QFrame):
    """Shows notices one after another; hidden when there is none.

    F6 brings the keyboard to its first button, Escape takes the last.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("banner")
        self.setAccessibleName("Notice")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Maximum)
        self._notices: list[Notice] = []
        self._shown: Notice | None = None
        self.text = QLabel()
        self.text.setTextFormat(Qt.TextFormat.PlainText)
        self.text.setWordWrap(True)
        self.text.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.count = QLabel()
        self.buttons: list[QPushButton] = []
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(8, 4, 8, 4)
        self._row.addWidget(self.text, 1)
        self._row.addWidget(self.count)
        self._shortcut = QShortcut(QKeySequence(KEY), self)
        self._shortcut.setContext(Qt.ShortcutContext.WindowShortcut)
        self._shortcut.activated.connect(self.take_keyboard)
        self.hide()

    @property
    def notices(self) -> tuple[Notice, ...]:
        """What waits, the one shown first."""
        return tuple(self._notices)

    def tell(self, notice: Notice) -> None:
        """Put a notice in the queue, or in the place of the one about the same."""
        abouts = [one.about for one in self._notices]
        if notice.about in abouts:
            self._notices[abouts.index(notice.about)] = notice
        else:
            self._notices.append(notice)
        self._refresh()

    def withdraw(self, about: str) -> None:
        """Take back the notice about something, if there is one."""
        self._notices = [one for one in self._notices if one.about != about]
        self._refresh()

    def take_keyboard(self) -> None:
        """Put the focus on the first button."""
        if self.buttons:
            self.buttons[0].setFocus(Qt.FocusReason.ShortcutFocusReason)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Escape takes the last choice."""
        if event.key() == Qt.Key.Key_Escape and self.buttons:
            self.buttons[-1].click()
        else:
            super().keyPressEvent(event)

    def _refresh(self) -> None:
        waiting = len(self._notices)
        self.count.setText(f"1 of {waiting}" if waiting > 1 else "")
        self.count.setVisible(waiting > 1)
        first = self._notices[0] if self._notices else None
        if first is self._shown:
            return
        self._shown = first
        had_keyboard = any(one.hasFocus() for one in self.buttons)
        for button in self.buttons:
            self._row.removeWidget(button)
            button.hide()
            button.deleteLater()
        self.buttons = []
        if first is None:
            self.hide()
            return
        self.text.setText(first.text)
        for words, act in first.choices:
            self._add_button(first, words, act)
        self.show()
        if had_keyboard:
            self.take_keyboard()
        QAccessible.updateAccessibility(QAccessibleEvent(self, QAccessible.Event.Alert))

    def _add_button(self, notice: Notice, words: str, act: Act) -> None:
        button = QPushButton(words)
        button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        button.setAutoDefault(True)  # Enter presses it too
        button.setAccessibleDescription(notice.text)
        button.clicked.connect(lambda: self._choose(notice, act))
        if self.buttons:
            QWidget.setTabOrder(self.buttons[-1], button)
        self.buttons.append(button)
        self._row.addWidget(button)

    def _choose(self, notice: Notice, act: Act) -> None:
        if act() and notice in self._notices:
            self._notices.remove(notice)
            self._refresh()


def age_words(seconds: float) -> str:
    """Words for how long ago something was."""
    if seconds < 90.0:
        return "just now" if seconds < 45.0 else "a minute ago"
    for size, name in ((60.0, "minute"), (3600.0, "hour"), (86400.0, "day")):
        count = round(seconds / size)
        if count < {"minute": 60, "hour": 48}.get(name, count + 1):
            return f"{count} {name}{'s' if count != 1 else ''} ago"
    raise AssertionError("a day has no end")
