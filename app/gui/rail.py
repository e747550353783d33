"""The rail at the left: the places that exist."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QToolBar, QToolButton, QWidget

from app.gui.icons import make_icon

PLACES: tuple[tuple[str, str, str, int], ...] = (
    ("line", "Line", "place-line", 1),
    ("pulleys", "Pulleys", "place-pulleys", 2),
    ("compressors", "Compressors", "place-compressors", 3),
    ("trace", "Trace", "place-trace", 4),
    ("surge", "Surge", "place-surge", 5),
    ("dyno", "Dyno", "place-dyno", 6),
    ("sheet", "Build sheet", "place-sheet", 7),
)
"""Places built so far: key, word, icon, and the number key that stays theirs."""

PARTED = {"compressors": "Com-\npressors", "sheet": "Build\nsheet"}
"""Words in two lines: what the widest word takes, the charts lose."""

SPARED = 4
"""What is taken off the room that Qt leaves beside the words [px]."""


class Rail(QToolBar):
    """One button a place, Ctrl+1 and on.

    Signals
    -------
    chosen(key)
        A place was chosen.
    """

    chosen = Signal(str)

    def __init__(self, parent: QWidget) -> None:
        super().__init__("Places", parent)
        self.setObjectName("rail bar")
        self.setMovable(False)
        self.setOrientation(Qt.Orientation.Vertical)
        self.setIconSize(QSize(20, 20))
        # what the longest word takes, the charts lose
        self.layout().setContentsMargins(0, 0, 0, 0)
        self._buttons: dict[str, QToolButton] = {}
        for key, word, _, number in PLACES:
            button = QToolButton()
            button.setObjectName("rail")
            button.setText(PARTED.get(key, word))
            button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextUnderIcon)
            button.setCheckable(True)
            button.setAutoExclusive(True)
            button.setChecked(number == 1)
            button.setToolTip(f"{word} (Ctrl+{number})")
            button.setAccessibleName(f"Place: {word}")
            button.clicked.connect(lambda _=False, key=key: self.chosen.emit(key))
            self.addWidget(button)
            self._buttons[key] = button
            shortcut = QShortcut(QKeySequence(f"Ctrl+{number}"), parent)
            shortcut.activated.connect(button.click)

    def show_place(self, key: str) -> None:
        """Go to a place, as its button does."""
        self._buttons[key].click()

    def set_color(self, color: str) -> None:
        """Recolour the icons."""
        for key, _, icon, _ in PLACES:
            self._buttons[key].setIcon(make_icon(icon, color))
        # with another size of the text the widest word is another width
        widest = max(button.sizeHint().width() for button in self._buttons.values())
        for button in self._buttons.values():
            button.setFixedWidth(widest - SPARED)
