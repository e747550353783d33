"""The pen of the Trace place, and what holds of all its panels."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.gui.places.trace.panels.about_panel import AboutPanel
from app.gui.places.trace.panels.axes_panel import AxesPanel
from app.gui.places.trace.panels.column import PanelColumn
from app.gui.places.trace.panels.curves_panel import CurvesPanel
from app.gui.places.trace.panels.needs_panel import NeedsPanel
from app.gui.places.trace.panels.pen_panel import GUESS, PenPanel
from app.gui.places.trace.panels.picture_panel import PicturePanel
from app.gui.places.trace.panels.points_panel import PointsPanel
from app.gui.theme import state_colors, widget_palette
from app.present.trace_words import NARROW
from engine_model.digitise.axes import CheckPoint
from tests.trace_panel_hands import NARROWEST, controls, heard, narrowest, pick, press, write

# pen


@pytest.fixture
def pen(hosted):
    return hosted(PenPanel())


def test_pen_setters_are_silent(pen):
    told = heard(pen)
    pen.set_kind("island")
    pen.set_value(0.72)
    pen.set_kind("speed_line")
    pen.set_value(46000.0, guessed=True)
    pen.set_thousands(True)
    pen.set_hint("Click.")
    assert told == []
    assert (pen.box.text(), pen.value, pen.is_guess, pen.in_thousands) == (
        "46",
        46000.0,
        True,
        True,
    )
    assert pen.reading.text() == GUESS
    assert pen.hint.text() == "Click."
    pen.set_kind("surge_line")
    assert not pen.value_row.isVisible()
    assert pen.value is None


def test_pen_kinds_by_keys_and_mouse(pen):
    pen.window().activateWindow()
    told = heard(pen)
    press(pen.buttons["island"])
    for key in (Qt.Key.Key_U, Qt.Key.Key_C, Qt.Key.Key_S, Qt.Key.Key_S):
        QTest.keyClick(pen.buttons["island"], key)
        QApplication.processEvents()
        QTest.qWait(120)
    kinds = ["island", "surge_line", "choke_line", "speed_line", "speed_line"]
    assert told == [("kind_chosen", kind) for kind in kinds]
    assert pen.buttons["speed_line"].isChecked()


@pytest.mark.parametrize(
    ("kind", "thousands", "text", "value", "reading"),
    [
        ("island", False, "72 %", 0.72, "read as 72 %"),
        ("island", False, "72", 0.72, "read as 72 %"),
        ("island", False, "0.72", 0.72, "read as 72 %"),
        ("island", False, "0,725", 0.725, "read as 72.5 %"),
        ("island", False, "72,5", 0.725, "read as 72.5 %"),
        ("speed_line", False, "46000", 46000.0, "read as 46 000 rpm"),
        ("speed_line", False, "46 000 rpm", 46000.0, "read as 46 000 rpm"),
        ("speed_line", True, "46", 46000.0, "read as 46 000 rpm"),
        ("speed_line", True, "46.5", 46500.0, "read as 46 500 rpm"),
        ("speed_line", True, "46500 rpm", 46500.0, "read as 46 500 rpm"),
        ("speed_line", True, "46000", None, ""),
        ("speed_line", False, "46", None, ""),
    ],
)
def test_pen_values_say_how_they_are_read(pen, kind, thousands, text, value, reading):
    pen.set_kind(kind)
    pen.set_thousands(thousands)
    told = heard(pen)
    write(pen.box, text, key=None)
    assert pen.reading.text().replace(NARROW, " ") == reading
    QTest.keyClick(pen.box, Qt.Key.Key_Return)
    if value is None:
        assert told == []
        assert pen.sentence.text().startswith(f"{text} given; allowed: ")
    else:
        assert told == [("value_entered", pytest.approx(value))]
        assert pen.sentence.text() == ""


def test_enter_takes_a_guess_and_leaving_does_not(pen):
    pen.set_value(52000.0, guessed=True)
    told = heard(pen)
    pen.box.setFocus()
    QTest.keyClick(pen.box, Qt.Key.Key_Tab)
    assert told == []
    assert pen.is_guess
    pen.box.setFocus()
    QTest.keyClick(pen.box, Qt.Key.Key_Return)
    assert told == [("value_entered", 52000.0)]
    assert not pen.is_guess
    QTest.keyClick(pen.box, Qt.Key.Key_Return)
    assert len(told) == 1  # taken already


def test_choosing_thousands_takes_what_was_refused(pen):
    told = heard(pen)
    write(pen.box, "46")
    assert "46 000 rpm" in pen.sentence.text().replace(NARROW, " ")
    pick(pen.unit, "1000 rpm")
    assert told == [("value_entered", 46000.0)]


# all of them


PANELS = (PicturePanel, AxesPanel, PenPanel, CurvesPanel, NeedsPanel, PointsPanel, AboutPanel)


@pytest.mark.parametrize("kind", PANELS)
def test_every_control_is_named_explained_and_reached(hosted, kind):
    found = controls(hosted(kind()))
    assert found
    for one in found:
        assert one.accessibleName(), one
        assert one.toolTip(), one
        assert one.focusPolicy() & Qt.FocusPolicy.TabFocus, one


@pytest.mark.parametrize("kind", PANELS)
def test_panels_fit_a_narrow_column(hosted, kind):
    assert narrowest(hosted, kind()) <= NARROWEST


def test_a_fold_is_opened_and_scrolled_to(hosted):
    column = hosted(PanelColumn())
    for name in ("one", "two", "three"):
        column.add(name, AboutPanel(), opened=name == "one")
    column.resize(300, 200)
    column.show_panel("three")
    QApplication.processEvents()
    head = column.folds["three"].head
    assert column.folds["three"].body.isVisible()
    assert 0 <= head.mapTo(column.viewport(), QPoint()).y() < column.viewport().height()


def test_colours_follow_the_theme(hosted):
    panel = hosted(AxesPanel())
    panel.set_check(CheckPoint(1.0, 0.0, 1.0, 0.0))
    for theme in ("light", "dark"):
        panel.setPalette(widget_palette(theme))
        assert state_colors(theme)["over"].name() in panel.checked.words.styleSheet()


def test_a_panel_made_in_the_dark_is_dark(hosted):
    before = QApplication.palette()
    QApplication.setPalette(widget_palette("dark"))
    try:
        panel = hosted(AxesPanel())
        panel.set_check(CheckPoint(1.0, 0.0, 1.0, 0.0))
        assert state_colors("dark")["over"].name() in panel.checked.words.styleSheet()
    finally:
        QApplication.setPalette(before)
