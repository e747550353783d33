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

MOST_CHOICES = 3
"""Most buttons of a notice."""


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
        Words of each button and what it does; one to three.
    tips : tuple of str
        What becomes of the matter, a sentence a button; fewer leave the last ones without.
    """

    about: str
    text: str
    choices: tuple[tuple[str, Act], ...]
    tips: tuple[str, ...] = ()

    def tip(self, number: int) -> str:
        """Sentence of a button."""
        return self.tips[number] if number < len(self.tips) else ""


class RecoveryBar(QFrame):
    """Shows notices one after another; hidden when there is none.

    F6 brings the keyboard to its first button; Escape there puts the notice off and does nothing.
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
        row = QHBoxLayout(self)
        row.setContentsMargins(8, 4, 8, 4)
        row.addWidget(self.text, 1)
        row.addWidget(self.count)
        self._buttons = [self._make_button(number) for number in range(MOST_CHOICES)]
        for button in self._buttons:
            row.addWidget(button)
        self._shortcut = QShortcut(QKeySequence(KEY), self)
        self._shortcut.setContext(Qt.ShortcutContext.WindowShortcut)
        self._shortcut.activated.connect(self.take_keyboard)
        self.hide()

    def _make_button(self, number: int) -> QPushButton:
        button = QPushButton()
        button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        button.setAutoDefault(True)  # Enter presses it too
        button.clicked.connect(lambda: self._choose(number))
        button.hide()
        return button

    @property
    def buttons(self) -> tuple[QPushButton, ...]:
        """The buttons of the notice shown."""
        return tuple(self._buttons[: len(self._shown.choices)] if self._shown else ())

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
        """Escape puts the notice off."""
        if event.key() == Qt.Key.Key_Escape and self._shown is not None:
            self.withdraw(self._shown.about)
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
        had_keyboard = any(one.hasFocus() for one in self._buttons)
        choices = first.choices if first else ()
        for number, button in enumerate(self._buttons):
            if number < len(choices):
                button.setText(choices[number][0])
                tip = first.tip(number)
                button.setToolTip(tip)
                button.setAccessibleDescription(f"{first.text} {tip}".rstrip())
            button.setVisible(number < len(choices))
        self.setVisible(first is not None)
        if first is None:
            return
        self.text.setText(first.text)
        if had_keyboard:
            self.take_keyboard()
        QAccessible.updateAccessibility(QAccessibleEvent(self, QAccessible.Event.Alert))

    def _choose(self, number: int) -> None:
        notice = self._shown
        if notice is None:
            return
        _, act = notice.choices[number]
        if act() and notice in self._notices:
            self._notices.remove(notice)
            self._refresh()


def age_words(seconds: float) -> str:
    """Words for how long ago something was."""
    minutes, hours, days = (round(seconds / size) for size in (60.0, 3600.0, 86400.0))
    if minutes < 1:
        return "just now"
    for count, most, name in ((minutes, 60, "minute"), (hours, 48, "hour")):
        if count < most:
            return f"{count} {name}{'s' if count > 1 else ''} ago"
    return f"{days} days ago"
