"""The window: assembly only."""

from __future__ import annotations

import sys
from pathlib import Path

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QAction, QCloseEvent, QIcon, QKeySequence, QShortcut
from PySide6.QtWidgets import QApplication, QMainWindow

from app.gui.actions import ACTIONS, MENUS
from app.gui.document import Document
from app.gui.icons import make_icon
from app.gui.places.line.place import LinePlace
from app.gui.preferences import Preferences
from app.gui.rail import Rail
from app.gui.recompute import Recompute
from app.gui.theme import apply_theme, surfaces
from app.gui.top_bar import TopBar
from app.gui.view_menu import FlowMenu, StripsMenu
from app.gui.work import Work
from app.paths import DEFAULT_SAMPLE, sample_builds
from engine_model.files.build_file import load_build

CLASSROOM_SCALE = 1.5
"""Text of the classroom view over the usual [-]."""


class Window(QMainWindow):
    """The bench. Actions call methods of :class:`Work` by name."""

    def __init__(self, document: Document, preferences: Preferences) -> None:
        super().__init__()
        self.document, self.preferences = document, preferences
        self.recompute = Recompute(document)
        self.line = LinePlace(document, self.recompute, preferences)
        self.top = TopBar(document, preferences)
        self.work = Work(self)
        self.actions_by_name: dict[str, QAction] = {}
        self._make_actions()
        self.top.add_actions([self.actions_by_name[row.name] for row in ACTIONS if row.bar])
        self.addToolBar(Qt.ToolBarArea.TopToolBarArea, self.top)
        self.rail = Rail(self)
        self.addToolBar(Qt.ToolBarArea.LeftToolBarArea, self.rail)
        self.setCentralWidget(self.line)
        self._classroom = False
        self._add_menus()
        self.setMinimumSize(960, 600)
        self.resize(1400, 850)
        self.setAcceptDrops(True)
        document.saved_changed.connect(self.show_title)
        preferences.changed.connect(self._look)
        self._base_size = QApplication.instance().font().pointSizeF()
        self._look()
        self.show_title()
        self.recompute.request()

    def _make_actions(self) -> None:
        menus = {title: self.menuBar().addMenu(title) for title in MENUS}
        self._menus = menus
        choices = self.preferences.choices
        on = {
            "toggle_theme": choices.theme == "dark",
            "toggle_units": choices.system == "us",
            "toggle_snapping": choices.snapping,
        }
        for row in ACTIONS:
            action = QAction(row.text, self)
            action.setToolTip(f"{row.tip} ({row.keys})" if row.keys else row.tip)
            action.setStatusTip(row.tip)
            action.setCheckable(row.checkable)
            action.setChecked(on.get(row.name, False))
            if row.keys:
                action.setShortcut(QKeySequence(row.keys))
            action.triggered.connect(getattr(self.work, row.name))
            menus[row.menu].addAction(action)
            self.actions_by_name[row.name] = action
            # shortcuts stay when the menu bar is hidden
            self.addAction(action)

    def _add_menus(self) -> None:
        view = self._menus["&View"]
        self.strips_menu = StripsMenu(self.line.drawing)
        self.flow_menu = FlowMenu(self.line.drawing)
        view.addSeparator()
        view.addMenu(self.strips_menu)
        view.addMenu(self.flow_menu)
        reveal = QShortcut(QKeySequence(Qt.Key.Key_Space), self)
        reveal.activated.connect(self.line.reveal_answers)
        reveal.setEnabled(False)
        self._reveal = reveal

    def set_classroom(self, on: bool) -> None:
        """Larger text and bars away for a class, or everything back."""
        self._classroom = on
        self._reveal.setEnabled(on)
        self.rail.setVisible(not on)
        self.menuBar().setVisible(not on)
        self._look()

    def _look(self, *_: object) -> None:
        choices = self.preferences.choices
        scale = choices.text_scale * (CLASSROOM_SCALE if self._classroom else 1.0)
        apply_theme(QApplication.instance(), choices.theme, scale, self._base_size)
        color = surfaces(choices.theme)["text"]
        self.rail.set_color(color)
        for row in ACTIONS:
            if row.icon:
                self.actions_by_name[row.name].setIcon(make_icon(row.icon, color))
        self.setWindowIcon(make_icon("pulleywright", color))

    def show_title(self) -> None:
        """Show the build's name and the unsaved mark."""
        build, path = self.document.build, self.document.path
        name = path.name if path else "not saved yet"
        self.setWindowTitle(f"{build.title} [*] | {name} | Pulleywright")
        self.setWindowModified(not self.document.is_saved)

    def dragEnterEvent(self, event) -> None:  # type: ignore[no-untyped-def]
        """Accept files."""
        if event.mimeData().hasUrls():
            event.acceptProposedAction()

    def dropEvent(self, event) -> None:  # type: ignore[no-untyped-def]
        """Open the first file dropped."""
        urls = event.mimeData().urls()
        if urls:
            self.work.open_path(Path(urls[0].toLocalFile()))

    def closeEvent(self, event: QCloseEvent) -> None:
        """Ask before work is lost."""
        if self.work.may_leave():
            event.accept()
        else:
            event.ignore()


def make_application() -> QApplication:
    """Return the Qt application, made once."""
    application = QApplication.instance() or QApplication(sys.argv[:1])
    application.setApplicationName("Pulleywright")
    application.setStyle("Fusion")
    application.setWindowIcon(QIcon())
    return application


def run_bench(path: Path | None) -> int:
    """Open the bench on a build file, or on the default sample."""
    application = make_application()
    file = path or sample_builds()[DEFAULT_SAMPLE]
    document = Document(load_build(file), path)
    window = Window(document, Preferences())
    window.show()
    QTimer.singleShot(0, window.line.drawing.refit)
    return int(application.exec())
