"""What the window holds: menus, bars, the places; assembly only."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeySequence, QShortcut, QUndoGroup
from PySide6.QtWidgets import QMenu, QStackedWidget, QVBoxLayout, QWidget

from app.gui.actions import ACTIONS, MENUS
from app.gui.document import Document
from app.gui.hints import HintBar
from app.gui.new_build import fill_new_menu
from app.gui.places.line.place import LinePlace
from app.gui.rail import Rail
from app.gui.recompute import Recompute
from app.gui.recovery_bar import RecoveryBar
from app.gui.safety import Safety
from app.gui.top_bar import TopBar
from app.gui.view_menu import FlowMenu, StripsMenu
from app.gui.window import Window
from app.gui.window_keys import WindowKeys
from app.gui.work import Work


def fill_window(window: Window, document: Document) -> None:
    """Put everything into the window, on a build."""
    preferences = window.preferences
    window.document = document
    window.recompute = Recompute(document)
    window.line = LinePlace(document, window.recompute, preferences)
    window.top = TopBar(document, preferences)
    window.work = Work(window)
    menus = _make_actions(window)
    window.top.add_actions([window.actions_by_name[row.name] for row in ACTIONS if row.bar])
    window.addToolBar(Qt.ToolBarArea.TopToolBarArea, window.top)
    _name_undo(window)
    window.rail = Rail(window)
    window.rail.chosen.connect(lambda key: show_place(window, key))
    window.addToolBar(Qt.ToolBarArea.LeftToolBarArea, window.rail)
    window.bar = RecoveryBar()
    window.setCentralWidget(_middle(window))
    window.safety = Safety(
        document, window.bar, window.work.may_leave, window.line.drawing.refit, window.journals
    )
    _add_menus(window, menus)
    window.line.covered.connect(window.top.set_covered)
    WindowKeys(window)
    window.setAcceptDrops(True)


def show_place(window: Window, key: str) -> None:
    """Show a place; one that was not shown before is made."""
    if key not in window.places_by_key:
        place = PLACE_MAKERS[key](window)
        window.places_by_key[key] = place
        window.places.addWidget(place)
        window.history.addStack(place.undo_stack)
    place = window.places_by_key[key]
    window.places.setCurrentWidget(place)
    window.history.setActiveStack(place.undo_stack)


PLACE_MAKERS: dict[str, Callable[[Window], QWidget]] = {}
"""What makes a place the first time it is shown, by key; the Line place stands from the start."""


def _make_actions(window: Window) -> dict[str, QMenu]:
    menus = {title: window.menuBar().addMenu(title) for title in MENUS}
    choices = window.preferences.choices
    on = {
        "toggle_theme": choices.theme == "dark",
        "toggle_units": choices.system == "us",
        "toggle_snapping": choices.snapping,
    }
    for row in ACTIONS:
        action = QAction(row.text, window)
        action.setToolTip(f"{row.tip} ({row.keys})" if row.keys else row.tip)
        action.setStatusTip(row.tip)
        action.setCheckable(row.checkable)
        action.setChecked(on.get(row.name, False))
        if row.keys:
            action.setShortcut(QKeySequence(row.keys))
        action.triggered.connect(getattr(window.work, row.name))
        menus[row.menu].addAction(action)
        window.actions_by_name[row.name] = action
        # shortcuts stay when the menu bar is hidden
        window.addAction(action)
    return menus


def _name_undo(window: Window) -> None:
    """Undo and redo say what they act on, in the place shown."""
    window.history = QUndoGroup(window)
    window.history.addStack(window.document.undo)
    window.history.setActiveStack(window.document.undo)
    for name, words, text_changed, can_changed in (
        ("undo", "&Undo", window.history.undoTextChanged, window.history.canUndoChanged),
        ("redo", "&Redo", window.history.redoTextChanged, window.history.canRedoChanged),
    ):
        action = window.actions_by_name[name]
        keys = action.shortcut().toString()

        def tell(text: str, action: QAction = action, words: str = words, keys: str = keys) -> None:
            told = f"{text[:1].lower()}{text[1:]}"
            action.setText(f"{words} {told.replace('&', '&&')}".rstrip())
            action.setToolTip(f"{words[1:]} {told}".rstrip() + f" ({keys})")

        text_changed.connect(tell)
        can_changed.connect(action.setEnabled)
        action.setEnabled(False)


def _middle(window: Window) -> QWidget:
    whole = QWidget()
    layout = QVBoxLayout(whole)
    layout.setContentsMargins(0, 0, 0, 0)
    layout.setSpacing(0)
    layout.addWidget(window.bar)
    preferences = window.preferences
    if not preferences.choices.hints_seen:
        hints = HintBar(whole)
        hints.float_over(window.line.pictures)
        hints.dismissed.connect(lambda: preferences.change(hints_seen=True))
    window.places = QStackedWidget()
    window.places.addWidget(window.line)
    window.places_by_key = {"line": window.line}
    layout.addWidget(window.places, 1)
    return whole


def _add_menus(window: Window, menus: dict[str, QMenu]) -> None:
    file = menus["&File"]
    first = file.actions()[0]
    window.new_menu = QMenu("&New", window)
    fill_new_menu(window.new_menu, window.work.take_new)
    file.insertMenu(first, window.new_menu)
    window.recent_menu = QMenu("Open &recent", window)
    window.recent_menu.aboutToShow.connect(lambda: _fill_recent(window))
    file.insertMenu(file.actions()[2], window.recent_menu)
    view = menus["&View"]
    window.strips_menu = StripsMenu(window.line.drawing)
    window.flow_menu = FlowMenu(window.line.drawing)
    view.addSeparator()
    view.addMenu(window.strips_menu)
    view.addMenu(window.flow_menu)
    window.reveal_key = QShortcut(QKeySequence(Qt.Key.Key_Space), window)
    window.reveal_key.activated.connect(window.line.reveal_answers)
    window.reveal_key.setEnabled(False)


def _fill_recent(window: Window) -> None:
    window.recent_menu.clear()
    for name in window.preferences.choices.recent:
        window.recent_menu.addAction(name, lambda name=name: window.work.open_path(Path(name)))
    if window.recent_menu.isEmpty():
        window.recent_menu.addAction("none yet").setEnabled(False)
