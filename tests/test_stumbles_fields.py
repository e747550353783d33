"""What a new user stumbled over at the fields: refusals, samples, units, shelf, words."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.gui.document import Document
from app.gui.panels.days_panel import DaysPanel
from app.gui.panels.fields_panel import FieldsPanel
from app.gui.recompute import Recompute
from app.paths import sample_builds
from engine_model import load_build

SIX = load_build(sample_builds()["road-six"])
SHARE = "engine.ethanol_share"
WRONG = {"bounds.air_meter": "abc", "bounds.manifold_sensor": "-1", "bounds.torque": "1e99"}


@pytest.fixture
def document():
    return Document(SIX, None)


@pytest.fixture
def panel(document, preferences, hosted):
    return hosted(FieldsPanel(document, Recompute(document), preferences))


def enter(box, text):
    box.selectAll()
    QTest.keyClick(box, Qt.Key.Key_Delete)
    QTest.keyClicks(box, text)
    QTest.keyClick(box, Qt.Key.Key_Return)


def row_of(panel, path):
    return panel.rows[path][-1]


def refuse(panel):
    for path, text in WRONG.items():
        enter(row_of(panel, path).editor, text)


def stands(panel, path):
    """Whether a text that was refused stands, framed and with its sentence."""
    row = row_of(panel, path)
    told = "allowed:" in row.sentence.text() and row.editor.property("wrong") is True
    assert told == row.is_refused == (row.editor.text() == WRONG[path])
    return told


# a text that was refused


def test_a_refusal_stands_whatever_is_entered_elsewhere(panel, document, preferences):
    refuse(panel)
    enter(row_of(panel, "bounds.knock_retard").editor, "4")
    assert document.build.bounds.knock_retard == 4.0
    document.edit("engine.displacement", 3.3e-3)  # on which blank ones hang
    assert all(stands(panel, path) for path in WRONG)
    preferences.change(system="us")
    assert all(stands(panel, path) for path in WRONG)
    enter(row_of(panel, "bounds.torque").editor, "400 lb ft")
    assert document.build.bounds.torque == pytest.approx(542.3, rel=1e-4)  # 1.355818 N m each
    assert row_of(panel, "bounds.torque").sentence.text() == ""
    assert all(stands(panel, path) for path in ("bounds.air_meter", "bounds.manifold_sensor"))


def test_a_refusal_goes_with_escape_or_the_old_text(panel):
    refuse(panel)
    QTest.keyClick(row_of(panel, "bounds.air_meter").editor, Qt.Key.Key_Escape)
    assert not stands(panel, "bounds.air_meter")
    box = row_of(panel, "bounds.manifold_sensor").editor
    box.selectAll()
    QTest.keyClick(box, Qt.Key.Key_Delete)  # blank again, which it was
    assert not stands(panel, "bounds.manifold_sensor")
    assert stands(panel, "bounds.torque")


@pytest.mark.parametrize("way", ["undo", "new", "again"])
def test_another_build_or_undo_puts_the_values_back(panel, document, way):
    enter(row_of(panel, "bounds.torque").editor, "500")
    refuse(panel)
    if way == "undo":
        document.edit("bounds.knock_retard", 4.0)
        document.undo.undo()
        assert row_of(panel, "bounds.torque").editor.text() == "500 N m"
    elif way == "new":
        document.take(SIX, None)
    else:
        document.replace(SIX, frozenset(), "Read again")
    assert not any(stands(panel, path) for path in WRONG)


def test_a_refusal_on_a_day_stands_until_another_day_is_edited(document, preferences, hosted):
    days = hosted(DaysPanel(document, preferences))
    days.choose("hot")
    row = days.rows["day.altitude"]
    enter(row.editor, "high")
    enter(days.rows["day.temperature"].editor, "35")
    assert (row.editor.text(), row.is_refused) == ("high", True)
    assert "allowed:" in row.sentence.text()
    days.choose("mild")
    assert (row.editor.text(), row.sentence.text()) == ("0 m", "")


# a fuel that takes no share


def test_methanol_beside_a_share_says_what_to_do_until_another_choice(panel, document):
    document.edit_many({"engine.fuel": "E85", SHARE: 0.7}, "set")
    here, other = panel.rows["engine.fuel"]
    box = other.editor
    for key in (Qt.Key.Key_Home, Qt.Key.Key_End):  # petrol is taken, methanol is not
        QTest.keyClick(box, key)
    assert document.build.engine.fuel == box.currentData() == "petrol"
    assert row_of(panel, SHARE).sentence.text() == ""
    for row in (here, other):
        assert row.sentence.text() == 'empty "Ethanol in it" first: methanol takes no share'
    box.activated.emit(box.findData("petrol"))  # as a click on the word shown does
    assert (here.sentence.text(), other.sentence.text()) == ("", "")
