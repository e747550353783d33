"""Small parts of the Trace panels: rows with a sentence, quiet lists, buttons, states."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QSignalBlocker, Qt
from PySide6.QtGui import QColor, QShowEvent, QWheelEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QComboBox,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.gui.icons import make_icon
from app.gui.theme import state_colors, surfaces
from app.gui.widgets.dial import Dial
from app.gui.widgets.quantity_box import QuantityBox

ROOM = "000.000 kPa 00"
"""Text that a box has room for."""

NOT_SAID = "not said"
"""What stands in a list where nothing has been said yet."""


def set_wrong(widget: QWidget, wrong: bool) -> None:
    """Mark a box as wrong, or no longer."""
    if bool(widget.property("wrong")) != wrong:
        widget.setProperty("wrong", wrong)
        style = widget.style()
        style.unpolish(widget)
        style.polish(widget)


def words_label(name: str = "headline") -> QLabel:
    """Quiet words, or with ``sentence`` the words of a fault; hidden while empty."""
    label = QLabel()
    label.setObjectName(name)
    label.setWordWrap(True)
    label.hide()
    return label


def put_words(label: QLabel, words: str) -> None:
    """Show words; nothing hides the label."""
    label.setText(words)
    label.setVisible(bool(words))


def push_button(text: str, tip: str, slot: Callable[[], None]) -> QPushButton:
    """A button with a tooltip."""
    button = QPushButton(text)
    button.setAutoDefault(False)
    _describe(button, text, tip, slot)
    return button


def tool_button(text: str, tip: str, slot: Callable[[], None], name: str = "") -> QToolButton:
    """A small button that Tab reaches too."""
    button = QToolButton()
    button.setText(text)
    button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    _describe(button, name or text, tip, slot)
    return button


def _describe(button: QAbstractButton, name: str, tip: str, slot: Callable[[], None]) -> None:
    button.setToolTip(tip)
    button.setAccessibleName(name.replace("\u2026", ""))
    button.clicked.connect(lambda _=False: slot())


class QuietCombo(QComboBox):
    """A list that takes the wheel only when it has the focus; setters emit nothing.

    ``activated`` tells what the user chose.
    """

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(8)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def set_items(self, items: dict[str | None, str]) -> None:
        """Offer keys with their words; what is chosen stays where it is still offered."""
        kept = self.currentData()
        with QSignalBlocker(self):
            self.clear()
            for key, words in items.items():
                self.addItem(words, key)
        self.set_key(kept)

    def set_key(self, key: str | None) -> None:
        """Show the item of a key."""
        with QSignalBlocker(self):
            self.setCurrentIndex(self.findData(key))

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Elsewhere the panel scrolls."""
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()


class FormRow(QWidget):
    """Label, editor, and what is wrong beneath; a box tells its own refusals here."""

    def __init__(self, label: str, editor: QWidget, tip: str, *, stacked: bool = False) -> None:
        super().__init__()
        self.editor = editor
        self.label = QLabel(label)
        self.label.setWordWrap(True)
        self.label.setBuddy(editor)
        self.sentence = words_label("sentence")
        for widget in (self.label, editor):
            widget.setToolTip(tip)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 1, 0, 1)
        grid.setHorizontalSpacing(6)
        grid.setVerticalSpacing(0)
        grid.setColumnStretch(0, 2)
        grid.setColumnStretch(1, 3)
        grid.addWidget(self.label, 0, 0)
        if stacked:
            grid.addWidget(editor, 1, 0, 1, 2)
        elif isinstance(editor, QuantityBox):
            editor.set_room(ROOM)
            grid.addWidget(editor, 0, 1, Qt.AlignmentFlag.AlignRight)
        else:
            grid.addWidget(editor, 0, 1)
        grid.addWidget(self.sentence, 2, 0, 1, 2)
        if isinstance(editor, QuantityBox):
            editor.refused.connect(self.say)

    def say(self, sentence: str) -> None:
        """Show what is wrong; an empty sentence clears it."""
        put_words(self.sentence, sentence)
        set_wrong(self.editor, bool(sentence))


class StateLine(QWidget):
    """A dial and a sentence in the colour of a state."""

    def __init__(self) -> None:
        super().__init__()
        self._state = "blank"
        self._theme = "light"
        self.dial = Dial()
        self.words = QLabel()
        self.words.setWordWrap(True)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 2, 0, 2)
        row.setSpacing(6)
        row.addWidget(self.dial, 0, Qt.AlignmentFlag.AlignTop)
        row.addWidget(self.words, 1)

    @property
    def state(self) -> str:
        """State that is shown."""
        return self._state

    def show_state(self, state: str, words: str) -> None:
        """Show a state; emits nothing."""
        self._state = state
        self.words.setText(words)
        self.set_theme(self._theme)

    def set_theme(self, theme: str) -> None:
        """Recolour."""
        self._theme = theme
        color = state_colors(theme)[self._state]
        self.dial.set_state(self._state, color)
        quiet = QColor(surfaces(theme)["quiet"])
        told = quiet if self._state == "blank" else color
        self.words.setStyleSheet(f"color: {told.name()}")


def toggle_rules(theme: str) -> str:
    """Rules of a button that stays down: seen in light and dark, with the focus and without."""
    c = surfaces(theme)
    return f"""
    QToolButton {{ background: {c["raised"]}; border: 1px solid {c["line"]}; border-radius: 3px;
        padding: 2px; }}
    QToolButton:hover {{ border-color: {c["quiet"]}; }}
    QToolButton:checked {{ background: {c["chosen"]}; border-color: {c["accent"]}; }}
    QToolButton:focus {{ border: 2px solid {c["accent"]}; padding: 1px; }}
    """


class TracePanel(QWidget):
    """A panel of the Trace place: a column that recolours itself with the theme."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(2, 2, 2, 4)
        self.column.setSpacing(3)
        self._icons: list[tuple[QAbstractButton, str]] = []
        self._painted = ""

    @property
    def theme(self) -> str:
        """Theme of the palette it stands in."""
        return "dark" if self.palette().window().color().lightness() < 128 else "light"

    def give_icon(self, button: QAbstractButton, name: str) -> None:
        """Give a button an icon that follows the theme."""
        self._icons.append((button, name))
        button.setIcon(make_icon(name, surfaces(self.theme)["text"]))

    def recolour(self, theme: str) -> None:
        """Take the colours of a theme; panels add to it."""
        self._painted = theme
        for button, name in self._icons:
            button.setIcon(make_icon(name, surfaces(theme)["text"]))
        rules = toggle_rules(theme)
        for button in self.findChildren(QToolButton):
            if button.isCheckable() and button.styleSheet() != rules:
                button.setStyleSheet(rules)

    def showEvent(self, event: QShowEvent) -> None:
        """Take the colours of the window it stands in by now."""
        super().showEvent(event)
        if self.theme != self._painted:
            self.recolour(self.theme)

    def changeEvent(self, event: QEvent) -> None:
        """Recolour with the palette."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
            self.recolour(self.theme)
