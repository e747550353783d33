"""Lists of the Trace place: curves and what is missing. Setters never emit."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")


import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.gui.places.trace.panels.curves_model import OFF, VALUE, CurveRow
from app.gui.places.trace.panels.curves_panel import CurvesPanel
from app.gui.places.trace.panels.needs_panel import FaultRow, NeedRow, NeedsPanel
from app.gui.places.trace.panels.rows import curve_rows, fault_rows, need_rows
from app.present.trace_words import NARROW
from engine_model.tracing.needs import faults, needs
from engine_model.tracing.trace import Node, Trace, TracedCurve
from tests.trace_panel_hands import click_row, edit, heard, pick_row, press

CURVES = (
    CurveRow("speed_line", 40000.0, 4, state="clear", off="0.1 %", words="It agrees."),
    CurveRow("speed_line", 46000.0, 5, state="over", off="1.8 %", words="Look at point 6."),
    CurveRow("surge_line", None, 6),
    CurveRow("island", 0.72, 8, True),
    CurveRow("island", None, 3),
)


# curves


@pytest.fixture
def curves(hosted):
    panel = hosted(CurvesPanel())
    panel.set_curves(CURVES)
    panel.window().activateWindow()
    return panel


def cell(panel, row, column, role=Qt.ItemDataRole.DisplayRole):
    return panel.model.data(panel.model.index(row, column), role)


def test_curves_setters_are_silent(curves):
    told = heard(curves)
    curves.set_chosen(3)
    curves.set_curves((*CURVES, CURVES[0]))
    assert curves.index == 3
    curves.set_curves(CURVES[:2])
    curves.set_chosen(1)
    assert curves.words.text() == "Look at point 6."
    curves.set_chosen(None)
    curves.set_can_split(True)
    curves.set_thousands(True)
    assert curves.index == -1
    assert told == []


def test_rows_of_curves_are_words(curves):
    assert cell(curves, 0, 0) == "speed line"
    assert cell(curves, 1, VALUE).replace(NARROW, " ") == "46 000 rpm"
    assert cell(curves, 2, VALUE) == ""
    assert cell(curves, 4, VALUE) == "to be said"
    assert cell(curves, 1, OFF) == "1.8 %"
    assert cell(curves, 1, OFF, Qt.ItemDataRole.AccessibleTextRole) == "over 1.8 %"
    assert cell(curves, 1, 0, Qt.ItemDataRole.ToolTipRole) == "Look at point 6."
    assert cell(curves, 3, 0, Qt.ItemDataRole.ToolTipRole) == "island 72 %, closed"
    assert not cell(curves, 1, OFF, Qt.ItemDataRole.DecorationRole).isNull()
    assert curves.text_rows()[0] == ["Curve", "Value", "Points", "What is found"]
    assert curves.text_rows([1])[1][2:] == ["5", "Look at point 6."]


def test_choosing_by_mouse_and_keys(curves):
    told = heard(curves)
    click_row(curves.table, 1)
    QTest.keyClick(curves.table, Qt.Key.Key_Down)
    assert told == [("chosen", 1), ("chosen", 2)]


@pytest.mark.parametrize(
    ("row", "text", "value"),
    [(1, "46500", 46500.0), (3, "0.74", 0.74), (3, "74", 0.74), (4, "68 %", 0.68), (1, "", None)],
)
def test_labels_are_edited_in_place(curves, row, text, value):
    told = heard(curves)
    curves.set_chosen(row)
    edit(curves.table, row, VALUE, text)
    assert told == [("relabelled", row, None if value is None else pytest.approx(value))]
    assert curves.model.rows == CURVES  # the owner changes it


def test_a_label_that_is_refused_is_told(curves):
    curves.set_chosen(1)
    told = heard(curves)
    edit(curves.table, 1, VALUE, "46")
    words = curves.sentence.text().replace(NARROW, " ")
    assert words.startswith("Row 2, Corrected speed: 46 given; allowed: 2 000 rpm to 600 000 rpm")
    edit(curves.table, 1, VALUE, "46000")
    assert (told, curves.sentence.text()) == ([], "")
    curves.set_thousands(True)
    edit(curves.table, 1, VALUE, "47")
    assert told == [("relabelled", 1, 47000.0)]


def test_buttons_of_one_curve(curves):
    curves.set_chosen(1)
    curves.set_can_split(True)
    told = heard(curves)
    for key in ("split", "reverse", "follow", "delete"):
        press(curves.buttons[key])
    QTest.keyClick(curves.table, Qt.Key.Key_Delete)
    names = ("split", "reverse", "follow", "delete", "delete")
    assert told == [(f"{name}_asked", 1) for name in names]
    next(a for a in curves.kinds.actions() if a.text() == "choke line").trigger()
    assert told[-1] == ("kind_asked", 1, "choke_line")
    assert not curves.buttons["close"].isEnabled()


def test_islands_are_closed_and_opened(curves):
    told = heard(curves)
    curves.set_chosen(3)
    assert curves.buttons["close"].text() == "Open"
    press(curves.buttons["close"])
    curves.set_chosen(4)
    press(curves.buttons["close"])
    assert told == [("closed_asked", 3, False), ("closed_asked", 4, True)]


def test_two_curves_of_a_kind_are_joined_and_several_deleted(curves):
    click_row(curves.table, 0)
    click_row(curves.table, 1, modifier=Qt.KeyboardModifier.ControlModifier)
    told = heard(curves)
    press(curves.buttons["join"])
    press(curves.buttons["delete"])
    assert told == [("join_asked", 1, 0), ("delete_asked", 1), ("delete_asked", 0)]
    click_row(curves.table, 2, modifier=Qt.KeyboardModifier.ControlModifier)
    assert not curves.buttons["join"].isEnabled()
    curves.set_chosen(None)
    click_row(curves.table, 3)
    click_row(curves.table, 4, modifier=Qt.KeyboardModifier.ControlModifier)
    assert not curves.buttons["join"].isEnabled()  # one is closed


def test_buttons_that_do_not_serve_say_why(curves):
    curves.set_chosen(1)
    assert not curves.buttons["split"].isEnabled()
    assert curves.buttons["split"].toolTip().startswith("Choose an inner point")
    assert curves.buttons["join"].toolTip().startswith("Choose two open curves")


# what is missing


NEEDED = (
    NeedRow("flow_unit", "Say the unit of the flow axis"),
    NeedRow("label", "Say the efficiency of island 1", 4),
    NeedRow("title", "Give the compressor map a name", None, False),
)
WRONG = (FaultRow("The 72 % island crosses itself", 3, 2),)
DOUBT = (FaultRow("The 46 000 rpm line lies off", 1, 5, "close", False),)


@pytest.fixture
def missing(hosted):
    panel = hosted(NeedsPanel())
    panel.window().activateWindow()
    return panel


def test_needs_and_faults_are_shown_silently(missing):
    told = heard(missing)
    assert not missing.use.isEnabled()
    missing.set_needs(NEEDED, 1, 0)
    missing.set_faults((*WRONG, *DOUBT))
    assert missing.needed.sentences == (NEEDED[0].sentence, NEEDED[1].sentence)
    assert missing.better.sentences == (NEEDED[2].sentence,)
    assert missing.wrong.sentences == (WRONG[0].sentence, DOUBT[0].sentence)
    assert missing.verdict.words.text() == (
        "The compressor map cannot be used yet: 2 things still needed, 1 fault to be mended"
    )
    assert (missing.is_usable, missing.use.isEnabled(), missing.save.isEnabled()) == (False,) * 3
    missing.set_can_save(True)
    assert missing.save.isEnabled()
    assert told == []


def test_needs_and_faults_are_chosen_by_mouse_and_keys(missing):
    missing.set_needs(NEEDED, 1, 0)
    missing.set_faults((*WRONG, *DOUBT))
    told = heard(missing)
    pick_row(missing.needed, 0)
    QTest.keyClick(missing.needed, Qt.Key.Key_Down)
    QTest.keyClick(missing.needed, Qt.Key.Key_Return)
    pick_row(missing.better, 0)
    pick_row(missing.wrong, 1)
    QTest.keyClick(missing.wrong, Qt.Key.Key_Up)
    QTest.keyClick(missing.wrong, Qt.Key.Key_Space)
    assert told == [
        ("need_chosen", "flow_unit", None),
        ("need_chosen", "label", 4),
        ("need_chosen", "title", None),
        ("fault_chosen", 1, 5),
        ("fault_chosen", 3, 2),
    ]


def test_a_usable_map_is_handed_over(missing):
    missing.set_needs((), 7, 5)
    missing.set_faults(DOUBT)  # a doubt blocks nothing
    told = heard(missing)
    assert missing.verdict.state == "close"
    assert missing.verdict.words.text() == (
        "The compressor map can be used: 7 speed lines, 5 islands"
    )
    press(missing.save)
    missing.use.setFocus()
    QTest.keyClick(missing.use, Qt.Key.Key_Space)
    assert told == [("save_asked",), ("use_asked",)]
    missing.set_faults(())
    assert missing.verdict.state == "clear"
    assert not missing.wrong.isVisible()
    assert not missing.headings["What looks wrong"].isVisible()


def test_long_sentences_are_shown_whole(missing):
    long = "The 72 % island, at point 3: " + "an outline that crosses another one " * 5
    missing.set_faults([FaultRow(long, 0)])
    item = missing.wrong.item(0)
    lines = missing.wrong.visualItemRect(item).height() / missing.fontMetrics().height()
    assert lines > 3
    assert missing.wrong.height() >= missing.wrong.visualItemRect(item).height()


def test_rows_are_made_from_a_trace():
    two = (Node(1, 1), Node(2, 2))
    trace = Trace(
        curves=(TracedCurve("speed_line", 46000.0, two), TracedCurve("island", None, two))
    )
    assert curve_rows(trace)[0] == CurveRow("speed_line", 46000.0, 2)
    rows = need_rows(trace, needs(trace))
    assert ("label", 1) in [(one.code, one.curve) for one in rows]
    assert fault_rows(trace, faults(trace)) == ()
