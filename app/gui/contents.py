"""What the window holds: menus, bars, the places; assembly only."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

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
from app.gui.text_size import TextSizeMenu
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
    window.top.title_asked.connect(window.work.edit_title)
    window.line.side.fields.layout_asked.connect(window.work.edit_layout)
    window.line.side.fields.soak_asked.connect(window.work.show_heat_soak)
    document.changed.connect(lambda paths: _retitle(window, paths))
    WindowKeys(window)
    window.setAcceptDrops(True)


def _retitle(window: Window, paths: object) -> None:
    """Show the title where it changed; not with every tick of a drag."""
    if not paths or (isinstance(paths, frozenset) and "title" in paths):
        window.show_title()


def show_place(window: Window, key: str) -> None:
    """Show a place; one that was not shown before is made."""
    if key not in window.places_by_key:
        place = PLACE_MAKERS[key](window)
        window.places_by_key[key] = place
        window.places_made.append(place)
        window.places.addWidget(place)
        window.history.addStack(place.undo_stack)
    place = window.places_by_key[key]
    window.places.setCurrentWidget(place)
    window.history.setActiveStack(place.undo_stack)


def _trace(window: Window) -> QWidget:
    # pictures and ink come in with the first visit
    from app.gui.places.trace.place import TracePlace

    place = TracePlace(window.document, window.preferences, window.journals)
    place.handed_over.connect(lambda: window.rail.show_place("line"))
    place.fold_panels(not window.line.side.isVisibleTo(window.line))
    return place


def _pulleys(window: Window) -> QWidget:
    from app.gui.places.pulleys.place import PulleysPlace

    return _study_place(window, PulleysPlace)


def _compressors(window: Window) -> QWidget:
    from app.gui.places.compressors.place import CompressorsPlace

    return _study_place(window, CompressorsPlace)


def _surge(window: Window) -> QWidget:
    from app.gui.places.surge.place import SurgePlace

    return _study_place(window, SurgePlace)


def _dyno(window: Window) -> QWidget:
    # logs and corrections come in with the first visit
    from app.gui.places.dyno.place import DynoPlace

    place = _study_place(window, DynoPlace)
    place.reconcile_page.pulleys_asked.connect(lambda: window.rail.show_place("pulleys"))

    def hand_on(measured: object) -> None:
        if "sheet" in window.places_by_key:
            window.places_by_key["sheet"].set_measured(measured)

    place.measured_changed.connect(hand_on)
    return place


def _sheet(window: Window) -> QWidget:
    # paper and PDF come in with the first visit
    from app.gui.places.sheet.place import SheetPlace

    place = SheetPlace(window.document, window.recompute, window.line, window.preferences)
    window.reveal_key.activated.connect(place.reveal_answers)
    place.fold_panels(not window.line.side.isVisibleTo(window.line))
    if window.actions_by_name["toggle_classroom"].isChecked():
        place.set_classroom(True)
        if not window.line.is_covered:
            place.reveal_answers()
    dyno = window.places_by_key.get("dyno")
    if dyno is not None:
        place.set_measured(dyno.measured)
    return place


def _study_place(window: Window, kind: Callable[..., Any]) -> Any:
    """A place that follows the build and has charts and answers of its own."""
    place = kind(window.document, window.recompute, window.preferences)
    window.reveal_key.activated.connect(place.reveal_answers)
    window.work.exporting.add_place(place)
    place.fold_panels(not window.line.side.isVisibleTo(window.line))
    if window.actions_by_name["toggle_classroom"].isChecked():
        place.set_classroom(True)
        if not window.line.is_covered:
            place.reveal_answers()
    if window.line.snapshot is not None:
        place.show_snapshot(window.line.snapshot)
    return place


PLACE_MAKERS: dict[str, Callable[[Window], QWidget]] = {
    "pulleys": _pulleys,
    "compressors": _compressors,
    "trace": _trace,
    "surge": _surge,
    "dyno": _dyno,
    "sheet": _sheet,
}
"""What makes a place the first time it is shown, by key; the Line place stands from the start."""


def _make_actions(window: Window) -> dict[str, QMenu]:
    menus = {title: window.menuBar().addMenu(title) for title in MENUS}
    choices = window.preferences.choices
    on = {
        "toggle_theme": choices.theme == "dark",
        "toggle_units": choices.system == "us",
        "toggle_snapping": choices.snapping,
        "toggle_error_bars": choices.error_bars,
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
    window.places = QStackedWidget()
    window.places.addWidget(window.line)
    window.places_by_key = {"line": window.line}
    window.places_made = []
    layout.addWidget(window.places, 1)
    preferences = window.preferences
    window.hints = None
    if not preferences.choices.hints_seen:
        hints = window.hints = HintBar()
        hints.dismissed.connect(lambda: preferences.change(hints_seen=True))
        layout.addWidget(hints)
        # they tell of the Line place
        window.places.currentChanged.connect(
            lambda index: hints.setVisible(index == 0 and not preferences.choices.hints_seen)
        )
    return whole


def _add_menus(window: Window, menus: dict[str, QMenu]) -> None:
    file = menus["&File"]
    first = file.actions()[0]
    window.new_menu = QMenu("&New", window)
    fill_new_menu(window.new_menu, window.work.take_new, window.work.new_for_customer)
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
    window.text_menu = TextSizeMenu(window.preferences)
    view.insertMenu(window.actions_by_name["text_larger"], window.text_menu)
    window.reveal_key = QShortcut(QKeySequence(Qt.Key.Key_Space), window)
    window.reveal_key.activated.connect(window.line.reveal_answers)
    window.reveal_key.setEnabled(False)


def _fill_recent(window: Window) -> None:
    window.recent_menu.clear()
    for name in window.preferences.choices.recent:
        window.recent_menu.addAction(name, lambda name=name: window.work.open_path(Path(name)))
    if window.recent_menu.isEmpty():
        window.recent_menu.addAction("none yet").setEnabled(False)
