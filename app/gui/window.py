"""The window: stands at once, then takes in its contents."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QSettings, Qt, QTimer
from PySide6.QtGui import QAction, QCloseEvent, QIcon, QShortcut, QUndoGroup
from PySide6.QtWidgets import QApplication, QLabel, QMainWindow, QMenu, QStackedWidget, QWidget

from app.gui.actions import ACTIONS
from app.gui.icons import make_icon
from app.gui.preferences import Preferences
from app.gui.theme import apply_theme, base_size, surfaces
from app.paths import DEFAULT_SAMPLE, is_shipped, sample_builds

if TYPE_CHECKING:
    from app.gui.document import Document
    from app.gui.hints import HintBar
    from app.gui.places.line.place import LinePlace
    from app.gui.rail import Rail
    from app.gui.recompute import Recompute
    from app.gui.recovery_bar import RecoveryBar
    from app.gui.safety import Safety
    from app.gui.text_size import TextSizeMenu
    from app.gui.top_bar import TopBar
    from app.gui.view_menu import FlowMenu, StripsMenu
    from app.gui.work import Work

AFTER_PAINT_MS = 5
"""What takes long is begun this long after the window is shown, so that it is painted first."""

CLASSROOM_SCALE = 1.5
"""Text of the classroom view over the usual [-]."""

OPENING = "Opening the bench"


class Window(QMainWindow):
    """The bench. Actions call methods of :class:`app.gui.work.Work` by name.

    Parameters
    ----------
    document : Document or None
        The open build; without it the window stands empty until :meth:`fill`.
    preferences : Preferences
        Look and shelf.
    journals : Path, optional
        Folder of the journals; without it the user's.
    """

    document: Document
    recompute: Recompute
    line: LinePlace
    top: TopBar
    rail: Rail
    bar: RecoveryBar
    safety: Safety
    work: Work
    new_menu: QMenu
    recent_menu: QMenu
    hints: HintBar | None
    strips_menu: StripsMenu
    flow_menu: FlowMenu
    text_menu: TextSizeMenu
    reveal_key: QShortcut
    history: QUndoGroup
    places: QStackedWidget
    places_by_key: dict[str, QWidget]
    places_made: list[QWidget]

    def __init__(
        self, document: Document | None, preferences: Preferences, journals: Path | None = None
    ) -> None:
        super().__init__()
        self.preferences = preferences
        self.journals = journals
        self.actions_by_name: dict[str, QAction] = {}
        self._classroom = False
        self._filled = self._computed = False
        self.setMinimumSize(960, 600)
        self.resize(1400, 850)
        self._base_size = base_size(QApplication.instance())
        # what is made under another text size would keep it until the next change
        self._look()
        if document is not None:
            self.fill(document)
            return
        waiting = QLabel(OPENING)
        waiting.setObjectName("headline")
        waiting.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.setCentralWidget(waiting)
        self.setWindowTitle("Pulleywright")

    def fill(self, document: Document) -> None:
        """Take in the contents, on a build."""
        # the sciences come in with it: not before the first paint
        from app.gui.contents import fill_window

        fill_window(self, document)
        self._filled = True
        document.saved_changed.connect(self.show_title)
        self.preferences.changed.connect(self._look)
        self._look()
        self.show_title()
        if self.isVisible():
            self._compute_soon()

    def showEvent(self, event) -> None:  # type: ignore[no-untyped-def]
        """Compute after the first paint."""
        super().showEvent(event)
        if self._filled:
            self._compute_soon()

    def _compute_soon(self) -> None:
        if not self._computed:
            self._computed = True
            QTimer.singleShot(AFTER_PAINT_MS, self._come_alive)

    def _come_alive(self) -> None:
        self.recompute.request()
        self.safety.offer_leftovers()
        self.offer_left_traces()

    def offer_left_traces(self) -> None:
        """Offer traces that a killed program left behind."""
        from app.gui.left_traces import offer_left_traces

        offer_left_traces(self)

    def set_classroom(self, on: bool) -> None:
        """Larger text and bars away for a class, or everything back."""
        self._classroom = on
        self.reveal_key.setEnabled(on)
        self.rail.setVisible(not on)
        self.menuBar().setVisible(not on)
        if self.hints is not None:
            on_line = self.places.currentIndex() == 0
            seen = self.preferences.choices.hints_seen
            self.hints.setVisible(on_line and not on and not seen)
        self._look()

    def _look(self, *_: object) -> None:
        choices = self.preferences.choices
        scale = choices.text_scale * (CLASSROOM_SCALE if self._classroom else 1.0)
        apply_theme(QApplication.instance(), choices.theme, scale, self._base_size)
        color = surfaces(choices.theme)["text"]
        self.setWindowIcon(make_icon("pulleywright", color))
        if not self._filled:
            return
        self.rail.set_color(color)
        for row in ACTIONS:
            if row.icon:
                self.actions_by_name[row.name].setIcon(make_icon(row.icon, color))

    @property
    def place(self) -> QWidget:
        """The place shown."""
        return self.places.currentWidget()

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
        if not self._filled:
            event.accept()
        elif self.work.may_leave() and all(one.may_leave() for one in self.places_made):
            for one in self.places_made:
                one.end()
            self.line.studies.end()
            self.line.bars.study.end()
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


def open_window(
    path: Path | None, settings: QSettings | None = None, journals: Path | None = None
) -> Window:
    """Return the window, shown, on a build file or soon on the default sample.

    A file of the user's is read first, so that its faults are told without a window.
    """
    if path is not None:
        own = None if is_shipped(path) else path  # a sample is a copy that is not saved yet
        window = Window(_document_of(path, own), Preferences(settings), journals)
        window.show()
        return window
    window = Window(None, Preferences(settings), journals)
    window.show()
    sample = sample_builds()[DEFAULT_SAMPLE]
    QTimer.singleShot(AFTER_PAINT_MS, lambda: _fill_if_open(window, sample))
    return window


def _fill_if_open(window: Window, sample: Path) -> None:
    if window.isVisible():
        window.fill(_document_of(sample, None))


def _document_of(file: Path, path: Path | None) -> Document:
    from app.gui.document import Document
    from engine_model.files.build_file import load_build

    return Document(load_build(file), path)


def run_bench(path: Path | None) -> int:
    """Open the bench on a build file, or on the default sample."""
    application = make_application()
    window = open_window(path)
    code = int(application.exec())
    del window
    return code
