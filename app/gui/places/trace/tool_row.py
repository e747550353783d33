"""The row over the picture: tools, what goes with them, the file; two lines where it is narrow."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QBoxLayout,
    QButtonGroup,
    QCheckBox,
    QHBoxLayout,
    QLabel,
    QSizePolicy,
    QToolButton,
    QWidget,
)

from app.gui.places.trace.panels.parts import toggle_rules

TOOLS: tuple[tuple[str, str, str, str], ...] = (
    ("points", "Known points", "K", "Mark points of the axes whose values are known"),
    ("pen", "Pen", "P", "Draw a curve: click along it, the path follows the ink"),
    ("edit", "Edit", "E", "Move, insert and delete points of the curves"),
)
"""Tools: mode of the canvas, word, key, tip."""

FILE_ROOM = 120
"""Least width of a file's name beside the tools in one line [px]."""

LEAST = 60
"""Width below which words that are cut say nothing [px]."""


class ElidedLabel(QLabel):
    """Words cut in the middle to the room there is."""

    def __init__(self) -> None:
        super().__init__()
        self._words = ""
        self.setObjectName("headline")
        self.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)

    @property
    def words(self) -> str:
        """All of the words."""
        return self._words

    def set_words(self, words: str) -> None:
        """Show words."""
        self._words = words
        self._fit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Cut anew."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        room, metrics = self.contentsRect().width(), self.fontMetrics()
        shown = metrics.elidedText(self._words, Qt.TextElideMode.ElideMiddle, room)
        # a letter and three dots say nothing
        self.setText(shown if room >= min(LEAST, metrics.horizontalAdvance(self._words)) else "")


class ToolRow(QWidget):
    """Tools of which one is in hand.

    Parameters
    ----------
    take : callable
        Called with the mode of the tool that is chosen.
    """

    def __init__(self, take: Callable[[str], None]) -> None:
        super().__init__()
        self.buttons: dict[str, QToolButton] = {}
        self._group = QButtonGroup(self)
        self._group.setExclusive(True)
        tools, beside = QHBoxLayout(), QHBoxLayout()
        for mode, word, key, tip in TOOLS:
            button = QToolButton()
            button.setText(f"{word}  {key}")
            button.setToolTip(f"{tip} ({key})")
            button.setAccessibleName(word)
            button.setCheckable(True)
            button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
            button.clicked.connect(lambda _=False, mode=mode: take(mode))
            self._group.addButton(button)
            tools.addWidget(button)
            self.buttons[mode] = button
        tools.addStretch(1)
        self.snaps = QCheckBox("Snap to crossings")
        self.snaps.setToolTip("A known point jumps to the crossing of lines next to the click")
        self.snaps.setChecked(True)
        self.loupe = QCheckBox("Loupe  M")
        self.loupe.setToolTip("A magnifier under the pointer (M)")
        self.busy, self.file_name = ElidedLabel(), ElidedLabel()
        beside.addWidget(self.snaps)
        beside.addWidget(self.loupe)
        beside.addWidget(self.busy, 2)
        beside.addWidget(self.file_name, 3)
        self._tools, self._beside = tools, beside
        self._lines = QBoxLayout(QBoxLayout.Direction.LeftToRight, self)
        self._lines.setContentsMargins(6, 0, 6, 0)
        self._lines.setSpacing(4)
        self._lines.addLayout(tools)
        self._lines.addLayout(beside, 1)

    def minimumSizeHint(self) -> QSize:
        """Width of the tools: the rest goes under them."""
        wide = sum(button.sizeHint().width() + 6 for button in self.buttons.values())
        return QSize(min(wide, 260), super().minimumSizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Break the line where it is too narrow for all of it."""
        super().resizeEvent(event)
        every = (*self.buttons.values(), self.snaps, self.loupe)
        needed = sum(one.sizeHint().width() + 6 for one in every) + FILE_ROOM
        direction = QBoxLayout.Direction
        self._lines.setDirection(
            direction.LeftToRight if self.width() >= needed else direction.TopToBottom
        )

    def show_tool(self, mode: str) -> None:
        """Show which tool is in hand."""
        for name, button in self.buttons.items():
            button.setChecked(name == mode)
        self.snaps.setVisible(mode == "points")

    def recolour(self, theme: str) -> None:
        """Take the colours of a theme."""
        self.setStyleSheet(toggle_rules(theme))
