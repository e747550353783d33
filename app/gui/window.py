"""The window: assembly only."""

from __future__ import annotations

import sys
from pathlib import Path

from PySide6.QtCore import QSettings, Qt, QTimer
from PySide6.QtGui import QAction, QCloseEvent, QIcon, QKeySequence, QShortcut
from PySide6.QtWidgets import QApplication, QMainWindow, QMenu, QVBoxLayout, QWidget

from app.gui.actions import ACTIONS, MENUS
from app.gui.document import Document
from app.gui.hints import HintBar
from app.gui.icons import make_icon
from app.gui.new_build import fill_new_menu
from app.gui.places.line.place import LinePlace
from app.gui.preferences import Preferences
from app.gui.rail import Rail
from app.gui.recompute import Recompute
from app.gui.recovery_bar import RecoveryBar
from app.gui.safety import Safety
from app.gui.theme import apply_theme, surfaces
from app.gui.top_bar import TopBar
from app.gui.view_menu import FlowMenu, StripsMenu
from app.gui.work import Work
from app.paths import DEFAULT_SAMPLE, sample_builds
from engine_model.files.build_file import load_build

AFTER_PAINT_MS = 5
"""The first result is computed this long after the window is shown."""

CLASSROOM_SCALE = 1.5
"""Text of the classroom view over the usual [-]."""


class Window(QMainWindow):
    """The bench. Actions call methods of :class:`Work` by name."""

    def __init__(
        self, document: Document, preferences: Preferences, journals: Path | None = None
    ) -> None:
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
        self.bar = RecoveryBar()
        self.setCentralWidget(self._assemble())
        self.safety = Safety(
            document, self.bar, self.work.may_leave, self.line.drawing.refit, journals
        )
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
        self._computed = False

    def showEvent(self, event) -> None:  # type: ignore[no-untyped-def]
        """Compute after the first paint: the sciences are loaded while the window stands."""
        super().showEvent(event)
        if not self._computed:
            self._computed = True
            QTimer.singleShot(AFTER_PAINT_MS, self._come_alive)

    def _come_alive(self) -> None:
        self.recompute.request()
        self.safety.offer_leftovers()

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

    def _assemble(self) -> QWidget:
        whole = QWidget()
        layout = QVBoxLayout(whole)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(self.bar)
        if not self.preferences.choices.hints_seen:
            hints = HintBar()
            hints.dismissed.connect(lambda: self.preferences.change(hints_seen=True))
            layout.addWidget(hints)
        layout.addWidget(self.line, 1)
        return whole

    def _add_menus(self) -> None:
        file = self._menus["&File"]
        first = file.actions()[0]
        self.new_menu = QMenu("&New", self)
        fill_new_menu(self.new_menu, self.work.take_new)
        file.insertMenu(first, self.new_menu)
        self.recent_menu = QMenu("Open &recent", self)
        self.recent_menu.aboutToShow.connect(self._fill_recent)
        file.insertMenu(file.actions()[2], self.recent_menu)
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

    def _fill_recent(self) -> None:
        self.recent_menu.clear()
        for name in self.preferences.choices.recent:
            self.recent_menu.addAction(name, lambda name=name: self.work.open_path(Path(name)))
        if self.recent_menu.isEmpty():
            self.recent_menu.addAction("none yet").setEnabled(False)

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
            self.safety.close()
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


def first_window(
    path: Path | None, settings: QSettings | None = None, journals: Path | None = None
) -> Window:
    """Return the window on a build file, or on the default sample."""
    file = path or sample_builds()[DEFAULT_SAMPLE]
    return Window(Document(load_build(file), path), Preferences(settings), journals)


def run_bench(path: Path | None) -> int:
    """Open the bench on a build file, or on the default sample."""
    application = make_application()
    window = first_window(path)
    window.show()
    return int(application.exec())
