"""The top bar: build, target and day in sight, and the actions one reaches for."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QSignalBlocker, QSize, Qt, Signal
from PySide6.QtGui import QAction, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QLabel,
    QSizePolicy,
    QToolBar,
    QWidget,
)

from app.fields import show
from app.gui.document import Document
from app.gui.preferences import Preferences

SHORT_TITLE, SHORT_TARGET = "Blue wagon, six", "Target 225"
"""Texts that what is cut still has room for."""


class CutLabel(QLabel):
    """A line of text that is cut at its end where there is no room; the tooltip has it whole.

    Signals
    -------
    pressed()
        The left button was pressed on it.
    """

    pressed = Signal()

    def __init__(self, shortest: str) -> None:
        super().__init__()
        self._shortest = shortest
        self.setTextFormat(Qt.TextFormat.PlainText)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Tell of the left button."""
        if event.button() == Qt.MouseButton.LeftButton:
            self.pressed.emit()
        else:
            super().mousePressEvent(event)

    def minimumSizeHint(self) -> QSize:
        """Room for a few words, and no more than the text takes."""
        least = self.fontMetrics().horizontalAdvance(self._shortest)
        return QSize(min(least, self.sizeHint().width()), super().minimumSizeHint().height())

    def sizeHint(self) -> QSize:
        """Room for the whole text."""
        wide = self.fontMetrics().horizontalAdvance(self.text())
        return QSize(wide + 2, super().sizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw what there is room for."""
        painter = QPainter(self)
        cut = Qt.TextElideMode.ElideRight
        text = self.fontMetrics().elidedText(self.text(), cut, self.width())
        side = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        painter.drawText(self.rect(), int(side), text)
        painter.end()


class TopBar(QToolBar):
    """Shows build and target; the day is chosen here.

    Signals
    -------
    title_asked()
        The title was pressed.
    """

    title_asked = Signal()

    def __init__(self, document: Document, preferences: Preferences) -> None:
        super().__init__("Top bar")
        self.setObjectName("top bar")
        self._covered = False
        self._document, self._preferences = document, preferences
        self.setMovable(False)
        self.setIconSize(QSize(20, 20))
        self.title, self.target = CutLabel(SHORT_TITLE), CutLabel(SHORT_TARGET)
        self.title.setCursor(Qt.CursorShape.PointingHandCursor)
        self.title.pressed.connect(self.title_asked)
        self.day = QComboBox()
        self.day.setAccessibleName("Day")
        self.day.setToolTip("The day shown; the ledger judges every day")
        self.day.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.addWidget(self._told())
        self.day.currentTextChanged.connect(document.show_day)
        document.changed.connect(self.refresh)
        document.day_changed.connect(self.refresh)
        preferences.changed.connect(self.refresh)
        self.refresh()

    def _told(self) -> QWidget:
        """Title, target and day as one widget: the texts give way, the day never goes."""
        told = QWidget()
        told.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        row = QHBoxLayout(told)
        row.setContentsMargins(6, 0, 4, 0)
        row.setSpacing(8)
        row.addWidget(self.title)
        row.addSpacing(8)
        row.addWidget(self.target)
        row.addStretch(1)
        label = QLabel("Day")
        row.addWidget(label)
        row.addWidget(self.day)
        return told

    def add_actions(self, actions: list[QAction]) -> None:
        """Put actions at the right end."""
        for action in actions:
            self.addAction(action)

    def set_covered(self, covered: bool) -> None:
        """Cover the target."""
        self._covered = covered
        self.refresh()

    def changeEvent(self, event: QEvent) -> None:
        """Ask for the room that another text size needs."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            for label in self.findChildren(CutLabel):
                label.updateGeometry()

    def refresh(self, *_: object) -> None:
        """Show build, target and days; emits nothing."""
        build = self._document.build
        invented = "  (invented)" if build.invented else ""
        hint = "Press to change title and notes"
        self._say(self.title, f"{build.title}{invented}", f"{build.notes}\n{hint}".lstrip())
        target = build.target
        if self._covered:
            self._say(self.target, "")
        elif target.power is None:
            self._say(self.target, "no target")
        else:
            words = show(target.power, "power", self._preferences.choices.units_shown)
            day = f" on the {target.day} day" if target.day else ""
            self._say(self.target, f"Target {words} at the {target.basis}, uncorrected{day}")
        names = list(build.known_days())
        with QSignalBlocker(self.day):
            if [self.day.itemText(i) for i in range(self.day.count())] != names:
                self.day.clear()
                self.day.addItems(names)
            self.day.setCurrentText(self._document.day.name)

    @staticmethod
    def _say(label: CutLabel, text: str, more: str = "") -> None:
        tip = f"{text}\n{more}".rstrip()
        if (text, tip) != (label.text(), label.toolTip()):
            label.setText(text)
            label.setToolTip(tip)
            label.updateGeometry()
