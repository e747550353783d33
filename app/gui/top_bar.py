"""The top bar: build, target and day in sight, and the actions one reaches for."""

from __future__ import annotations

from PySide6.QtCore import QSignalBlocker, QSize, Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QComboBox, QLabel, QSizePolicy, QToolBar, QWidget

from app.fields import show
from app.gui.document import Document
from app.gui.preferences import Preferences


class TopBar(QToolBar):
    """Shows build and target; the day is chosen here."""

    def __init__(self, document: Document, preferences: Preferences) -> None:
        super().__init__("Top bar")
        self.setObjectName("top bar")
        self._covered = False
        self._document, self._preferences = document, preferences
        self.setMovable(False)
        self.setIconSize(QSize(20, 20))
        self.title = QLabel()
        self.title.setTextFormat(Qt.TextFormat.PlainText)
        self.target = QLabel()
        self.day = QComboBox()
        self.day.setAccessibleName("Day")
        self.day.setToolTip("The day shown; the ledger judges every day")
        self.day.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        space = QWidget()
        space.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self.addWidget(self.title)
        self.addWidget(self.target)
        self.addWidget(space)
        self.addWidget(QLabel("Day "))
        self.addWidget(self.day)
        self.day.currentTextChanged.connect(document.show_day)
        document.changed.connect(self.refresh)
        document.day_changed.connect(self.refresh)
        preferences.changed.connect(self.refresh)
        self.refresh()

    def add_actions(self, actions: list[QAction]) -> None:
        """Put actions at the right end."""
        for action in actions:
            self.addAction(action)

    def set_covered(self, covered: bool) -> None:
        """Cover the target."""
        self._covered = covered
        self.refresh()

    def refresh(self, *_: object) -> None:
        """Show build, target and days; emits nothing."""
        build = self._document.build
        system = self._preferences.choices.system
        invented = "  (invented)" if build.invented else ""
        self.title.setText(f"  {build.title}{invented}   ")
        target = build.target
        if self._covered:
            self.target.setText("")
        elif target.power is None:
            self.target.setText("no target")
        else:
            words = show(target.power, "power", system)
            day = f" on the {target.day} day" if target.day else ""
            self.target.setText(f"Target {words} at the {target.basis}, uncorrected{day}")
        names = list(build.known_days())
        with QSignalBlocker(self.day):
            if [self.day.itemText(i) for i in range(self.day.count())] != names:
                self.day.clear()
                self.day.addItems(names)
            self.day.setCurrentText(self._document.day.name)
