"""Every table copies as text: tabs between the cells, units in the titles."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QMenu

from app.fields import FIELD
from app.gui.panels.days_panel import DaysPanel
from app.gui.panels.ledger_panel import LedgerPanel
from app.gui.panels.why_panel import WhyPanel
from app.gui.preferences import Shelf
from app.gui.recompute import Recompute
from app.gui.shelf_dialog import ShelfDialog
from app.gui.theme import state_colors
from app.gui.widgets.table_editor import TableEditor
from app.present.sentences import SUBJECTS, TITLES, sentence
from engine_model.inputs import NAMED_DAYS
from engine_model.matching import match
from engine_model.steps import match_steps
from engine_model.units import to_si

COPY = Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier


def clipboard():
    """Rows on the clipboard, as a spreadsheet takes them."""
    return [line.split("\t") for line in QGuiApplication.clipboard().text().split("\n")]


def press_copy(widget):
    QGuiApplication.clipboard().setText("nothing")
    widget.window().activateWindow()
    widget.setFocus()
    assert QTest.qWaitForWindowActive(widget.window())
    QTest.keyClick(widget, *COPY)
    return clipboard()


def take(widget, words):
    """Choose an entry of a widget's own menu."""
    QGuiApplication.clipboard().setText("nothing")
    assert widget.contextMenuPolicy() == Qt.ContextMenuPolicy.ActionsContextMenu
    next(action for action in widget.actions() if action.text() == words).trigger()
    return clipboard()


@pytest.fixture
def menus(monkeypatch):
    """Menus of boxes of text, kept off the screen."""
    opened = []
    monkeypatch.setattr(QMenu, "popup", lambda menu, place: opened.append(menu))
    return opened


@pytest.fixture
def ledger(hosted, document):
    panel = hosted(LedgerPanel())
    panel.set_look(state_colors("light"), "us")
    recompute = Recompute(document)
    recompute.ready.connect(panel.show_snapshot)
    recompute.compute()
    return panel


def test_the_ledger_copies_every_entry_on_every_day(ledger, document):
    titles, *rows = take(ledger.tree, "Copy table")
    assert titles == [
        "part", "subject", "limit", "day", "state", "used [%]", "engine speed [rpm]", "in words"
    ]  # fmt: skip
    found = {(row[2], row[3]): row for row in rows}
    assert len(found) == len(rows)
    for name, day in document.build.known_days().items():
        for entry in match(document.build, day).ledger:
            row = found.pop((TITLES[entry.code], name))
            assert row[1] == SUBJECTS[entry.code]
            assert row[4] == entry.state
            if entry.used == entry.used:
                assert float(row[5]) == pytest.approx(100 * entry.used, abs=0.51)
            if entry.engine_speed_rpm == entry.engine_speed_rpm:
                assert float(row[6]) == pytest.approx(entry.engine_speed_rpm, abs=0.51)
            assert row[7] == sentence(entry, document.build, "us")
    assert found == {}
    assert [row[0] for row in rows] == sorted(
        (row[0] for row in rows), key=["Parts", "Target", "Trust"].index
    )


def test_the_ledger_copies_what_is_chosen(ledger):
    every = press_copy(ledger.tree)
    assert every == take(ledger.tree, "Copy table")
    part = ledger.tree.topLevelItem(0)
    subject, code = part.child(0), part.child(0).child(0)
    assert subject.text(0) == SUBJECTS["impeller_speed"]
    for item, column, word in (
        (part, 0, "Parts"),
        (subject, 1, SUBJECTS["impeller_speed"]),
        (code, 2, TITLES["impeller_speed"]),
    ):
        ledger.tree.setCurrentItem(item)
        titles, *rows = press_copy(ledger.tree)
        assert titles == every[0]
        assert rows == [row for row in every[1:] if row[column] == word and row[0] == "Parts"]
        assert 0 < len(rows) < len(every) - 1
    leaf = code.child(0)
    ledger.tree.setCurrentItem(leaf)
    _, *rows = press_copy(ledger.tree)
    assert [row[3] for row in rows] == [leaf.text(0)]


def test_why_copies_a_row_a_step_with_its_unit(hosted, document):
    panel = hosted(WhyPanel())
    steps = match_steps(match(document.build, document.day, rpm=[5000.0]), 5000.0)
    panel.show_steps(steps, "us", "Why")
    titles, *rows = take(panel.tree, "Copy table")
    assert titles == [
        "station", "quantity", "symbol", "value", "unit", "equation", "put in", "source"
    ]  # fmt: skip
    assert len(rows) == len(steps)
    for row, step in zip(rows, steps, strict=True):
        assert row[1] == step.quantity
        assert row[7] == step.source
    boost = next(k for k, step in enumerate(steps) if step.key == "charge.boost")
    assert rows[boost][4] == "psi"
    assert to_si(float(rows[boost][3]), "psi", "pressure") == pytest.approx(
        steps[boost].value, abs=0.06 * 6895
    )
    # the copy keys still give the chosen row in words
    panel.tree.setCurrentItem(panel._items["charge.boost"])
    assert press_copy(panel.tree)[0] == ["2→3 Charge cooler"]


def test_days_copy_with_their_air(hosted, document, preferences):
    preferences.change(system="us")
    panel = hosted(DaysPanel(document, preferences))
    titles, *rows = take(panel.list, "Copy table")
    assert titles == [
        "day", "Altitude [ft]", "Station pressure, not reduced to sea level [psi]",
        "Temperature [°F]", "Relative humidity [%]", "breathed at [psi]", "note",
    ]  # fmt: skip
    assert [row[0] for row in rows] == list(document.build.known_days())
    mild = next(row for row in rows if row[0] == "mild")
    day = NAMED_DAYS["mild"]
    assert to_si(float(mild[3]), "°F", "temperature") == pytest.approx(day.temperature, abs=0.03)
    assert float(mild[4]) == pytest.approx(100 * day.relative_humidity)
    # ISO 2533, table 5: 101 325 Pa at sea level, 14.696 psi
    assert (day.altitude, mild[2], mild[5]) == (0.0, "", "14.70")
    assert "shown" in next(row for row in rows if row[0] == document.day.name)[6]
    panel.choose("mild")
    assert press_copy(panel.list) == [titles, mild]


def test_a_schedule_copies_as_it_stands_and_pastes_back(hosted, menus):
    value = ((0.4, 20e3), (1.0, 55e3))
    editor = hosted(TableEditor(FIELD["drive.boost_schedule"]))
    editor.set_value(value)
    cell = editor.rows[0].cells[0]
    cell.deselect()
    rows = press_copy(cell)
    assert rows == [
        ["Share of the limiter [-]", "Boost [bar]"], ["0.400", "0.20"], ["1.000", "0.55"]
    ]  # fmt: skip
    # part of a cell that is chosen copies alone
    cell.setSelection(0, 3)
    assert press_copy(cell) == [["0.4"]]
    cell.customContextMenuRequested.emit(cell.rect().center())
    next(a for a in menus[0].actions() if a.text() == "Copy table").trigger()
    assert clipboard() == rows
    other = hosted(TableEditor(FIELD["drive.boost_schedule"]))
    other.paste_text(QGuiApplication.clipboard().text())
    assert [pytest.approx(pair) for pair in value] == list(other.value)


def test_the_shelf_copies_its_lists(hosted, preferences, menus):
    shelf = Shelf(pulleys=(0.06, 0.0635), cores=("small core", "tall core"))
    preferences.change(shelf=shelf)
    dialog = hosted(ShelfDialog(preferences))
    edit = dialog.boxes["pulleys"].edit
    edit.moveCursor(edit.textCursor().MoveOperation.End)
    assert press_copy(edit) == [["Blower pulleys [mm]"], ["60.0"], ["63.5"]]
    edit.selectAll()
    assert press_copy(edit)[0][0].startswith("60 mm")
    edit.customContextMenuRequested.emit(edit.rect().center())
    assert "Copy table" in [action.text() for action in menus[0].actions()]
    assert press_copy(dialog.boxes["cores"].edit) == [
        ["Charge cooler cores"], ["small core"], ["tall core"]
    ]  # fmt: skip
    # a list at fault is copied as it is typed
    edit.setPlainText("60 mm, huge")
    assert press_copy(edit) == [["Blower pulleys"], ["60 mm, huge"]]


def test_the_table_of_differences_has_the_entry(hosted):
    from app.gui.panels.pins_model import DifferenceModel
    from app.gui.panels.pins_table import DifferenceView

    host = hosted(LedgerPanel())
    view = DifferenceView(DifferenceModel(host), host)
    view.differences.text = lambda: "line\tFlywheel power [kW]"
    assert take(view, "Copy table") == [["line", "Flywheel power [kW]"]]
