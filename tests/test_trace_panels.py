"""Panels of the Trace place: picture and axes. Setters never emit; the user does."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from itertools import pairwise

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.gui.places.trace.panels.axes_panel import AxesPanel
from app.gui.places.trace.panels.known_points import CHECK, PointEntry
from app.gui.places.trace.panels.picture_panel import NO_PICTURE, PicturePanel
from app.gui.places.trace.panels.typed import PAIRS
from engine_model.digitise.axes import CheckPoint
from engine_model.tracing.trace import Axes, PictureRef
from tests.trace_panel_hands import heard, pick, press, write

PICTURE = PictureRef("ab", "leaflet.pdf", 1600, 1200, 2, 0.5)
KNOWN = (
    PointEntry(True, 0.0, 1.0),
    PointEntry(True, 60.0, 1.0),
    PointEntry(False, 60.0, 3.0),
    PointEntry(False, None, None),
)


# picture


@pytest.fixture
def picture(hosted):
    return hosted(PicturePanel())


def test_picture_setters_are_silent_and_show_what_they_are_told(picture):
    told = heard(picture)
    assert picture.name.text() == NO_PICTURE
    assert not picture.embed.isEnabled()
    picture.set_picture(PICTURE, 24, "Scaled down.")
    picture.set_embed(True)
    picture.set_dimming(0.35)
    assert picture.name.text() == "leaflet.pdf"
    assert picture.facts.text().endswith("page 3 of 24")
    assert (picture.page.value(), picture.page.maximum(), picture.pages.text()) == (3, 24, "of 24")
    assert picture.note.text() == "Scaled down."
    assert picture.embed.isChecked()
    assert (picture.dimming.value(), picture.share.text()) == (35, "35 %")
    picture.set_picture(PictureRef("cd", "", 10, 10))
    assert picture.name.text() == "pasted picture"
    assert not picture.page_row.isVisible()
    assert told == []


def test_picture_buttons_page_embed_and_dimming(picture):
    picture.set_picture(PICTURE, 24)
    told = heard(picture)
    press(picture.open)
    picture.paste.setFocus()
    QTest.keyClick(picture.paste, Qt.Key.Key_Space)
    QTest.keyClick(picture.page, Qt.Key.Key_Up)
    picture.embed.setFocus()
    QTest.keyClick(picture.embed, Qt.Key.Key_Space)
    QTest.keyClick(picture.dimming, Qt.Key.Key_PageUp)
    assert told == [
        ("open_asked",),
        ("paste_asked",),
        ("page_chosen", 3),
        ("embed_changed", True),
        ("dimming_changed", pytest.approx(0.1)),
    ]


# axes


@pytest.fixture
def axes(hosted):
    return hosted(AxesPanel())


def test_axes_setters_are_silent(axes):
    told = heard(axes)
    axes.set_axes(Axes((), (), "volume", "cfm", 1.2, 293.15, 101325.0, "total_to_static"))
    axes.set_points(KNOWN, PointEntry(True, 30.0, 2.0))
    axes.set_waiting(2)
    axes.set_check(CheckPoint(0.1, 0.0, 0.2, 0.0))
    axes.set_system("us")
    axes.set_faults({"density": "no", 1: "no"})
    assert told == []
    assert axes.kind.currentText() == "volume flow"
    assert axes.unit.currentText() == "cfm"
    assert axes.temperature.text() == "68.0 °F"
    assert axes.pair.currentText() == "20 °C, 101.325 kPa"
    assert axes.basis.currentText() == "total to static"
    assert axes.points.rows[2].mark.text() == "Click\u2026"
    assert axes.points.rows[0].mark.text() == "Marked"
    assert axes.rows["density"].sentence.text() == "no"


def test_axes_are_required_and_nothing_is_filled_in_by_itself(axes):
    assert axes.temperature.text() == axes.pressure.text() == ""
    assert axes.kind.currentText() == axes.basis.currentText() == "not said"
    assert axes.pair.currentIndex() == -1
    assert not axes.unit.isEnabled()
    assert not axes.rows["density"].isVisible()


def test_units_follow_the_kind_of_flow(axes):
    told = heard(axes)
    pick(axes.kind, "mass flow")
    assert told == [("axes_edited", {"flow_kind": "mass"})]
    axes.set_axes(Axes(flow_kind="mass"))
    units = [axes.unit.itemText(k) for k in range(axes.unit.count())]
    assert units == ["not said", "kg/s", "lb/min", "g/s", "kg/h", "lb/s", "lb/h"]
    pick(axes.unit, "lb/min")
    assert told[-1] == ("axes_edited", {"flow_unit": "lb/min"})
    axes.set_axes(Axes(flow_kind="corrected_mass", flow_unit="lb/min"))
    told.clear()
    pick(axes.kind, "volume flow")
    assert told == [("axes_edited", {"flow_kind": "volume", "flow_unit": None})]
    axes.set_axes(Axes(flow_kind="volume"))
    units = [axes.unit.itemText(k) for k in range(axes.unit.count())]
    assert units[:3] == ["not said", "m³/s", "cfm"]
    assert axes.rows["density"].isVisible()


# by hand: 85 °F is 302.594 K, 13.95 psi is 96.182 kPa, 0.0739 lb/ft3 is 1.1838 kg/m3
@pytest.mark.parametrize(
    ("name", "text", "value"),
    [
        ("temperature", "85 F", 302.594),
        ("temperature", "298.15 K", 298.15),
        ("temperature", "25", 298.15),
        ("pressure", "13.95 psi abs", 96182.0),
        ("pressure", "101,325 kPa", None),
        ("density", "0,985", 0.985),
        ("pressure", "101.325 kPa", 101325.0),
        ("density", "0.0739 lb/ft3", 1.1838),
    ],
)
def test_reference_and_density_take_units_as_typed(axes, name, text, value):
    axes.set_axes(Axes(flow_kind="volume"))
    told = heard(axes)
    box = getattr(axes, name)
    field = name if name == "density" else f"reference_{name}"
    write(box, text)
    if value is None:
        assert told == []
        assert "two ways" in axes.rows[field].sentence.text()
    else:
        assert told == [("axes_edited", {field: pytest.approx(value, rel=1e-4)})]
        write(box, "")
        assert told[-1] == ("axes_edited", {field: None})


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("pressure", "8 psig", "8 psig given; allowed: an absolute pressure"),
        ("pressure", "5 kPa", "5 kPa given; allowed: 50.00 kPa to 200.00 kPa"),
        ("temperature", "101 kPa", "101 kPa given; allowed: a temperature (K, °C, °F); kPa is a"),
        ("temperature", "600", "600 given; allowed: -40.0 °C to 100.0 °C"),
    ],
)
def test_what_is_refused_is_told_beside_the_field_and_kept(axes, name, text, words):
    told = heard(axes)
    box = getattr(axes, name)
    write(box, text)
    row = axes.rows[f"reference_{name}"]
    assert row.sentence.text().startswith(words)
    assert box.text() == text
    axes.set_axes(Axes(flow_kind="mass"))  # another edit meanwhile
    axes.set_faults({})
    assert box.text() == text
    assert row.sentence.text()
    QTest.keyClick(box, Qt.Key.Key_Escape)
    assert (box.text(), row.sentence.text(), told) == ("", "", [])


def test_arrow_keys_step_and_exact_values_are_shown_whole(axes):
    axes.set_axes(Axes(reference_temperature=298.15, reference_pressure=101325.0))
    told = heard(axes)
    assert axes.pressure.text() == "101.325 kPa"
    axes.temperature.setFocus()
    QTest.keyClick(axes.temperature, Qt.Key.Key_Up)
    assert told == [("axes_edited", {"reference_temperature": pytest.approx(299.15)})]


def test_common_pairs_fill_in_both(axes):
    told = heard(axes)
    axes.pair.setFocus()
    QTest.keyClick(axes.pair, Qt.Key.Key_Down)
    first = PAIRS[0]
    assert told == [
        (
            "axes_edited",
            {"reference_temperature": first.temperature, "reference_pressure": first.pressure},
        )
    ]
    # 545 degR is 302.778 K by definition; 28.4 inHg is 96.173 kPa (NIST SP 811)
    rankine = next(one for one in PAIRS if one.words.startswith("545"))
    assert rankine.temperature == pytest.approx(302.778, abs=1e-3)
    assert rankine.pressure == pytest.approx(96173.4, abs=1.0)


def test_known_points_are_typed_marked_and_cleared(axes):
    axes.set_axes(Axes(flow_kind="corrected_mass", flow_unit="lb/min"))
    axes.set_points(KNOWN)
    told = heard(axes)
    last = axes.points.rows[3]
    write(last.flow, "0.5 kg/s")
    # 0.5 kg/s x 60 / 0.45359237 kg
    assert told == [("value_entered", 3, pytest.approx(66.1387, abs=1e-4), None)]
    write(last.ratio, "2,5")
    assert told[-1] == ("value_entered", 3, pytest.approx(66.1387, abs=1e-4), 2.5)
    told.clear()
    press(last.mark)
    assert told == [("mark_asked", 3)]
    assert not last.mark.isChecked()  # the owner says so
    press(axes.points.rows[0].clear)
    press(axes.points.check.mark)
    write(axes.points.check.flow, "30")
    assert told[1:] == [
        ("clear_asked", 0),
        ("mark_asked", CHECK),
        ("value_entered", CHECK, 30, None),
    ]
    assert not axes.points.rows[4].flow.isVisible()
    press(axes.points.more)
    assert axes.points.rows[4].flow.isVisible()


def test_known_points_refuse_in_words(axes):
    told = heard(axes)
    row = axes.points.rows[0]
    write(row.flow, "5 lb/min")
    assert row.sentence.text() == (
        "Flow: 5 lb/min given; allowed: a number; say the unit of the flow axis first"
    )
    write(row.flow, "5")
    assert row.sentence.text() == ""
    write(row.ratio, "150 %")
    assert row.sentence.text() == ("Pressure ratio: 150 % given; allowed: 0 to 20, without a unit")
    assert told == [("value_entered", 0, 5.0, None)]


def test_error_of_the_check_point_has_words_and_a_state(axes):
    assert axes.checked.state == "blank"
    axes.set_axes(Axes(flow_kind="mass", flow_unit="lb/min"))
    axes.set_check(CheckPoint(0.2, 0.0, 0.3, 0.0))
    assert axes.checked.state == "close"
    assert axes.checked.words.text().startswith("Check point: flow +0.2 lb/min (0.30 % of span)")
    axes.set_check(None)
    assert axes.checked.state == "blank"


def test_focus_goes_to_what_is_missing(axes, qtbot):
    axes.set_points(KNOWN)
    axes.window().activateWindow()
    axes.focus_field("reference_pressure")
    assert QApplication.focusWidget() is axes.pressure
    axes.focus_field("calibration")
    assert QApplication.focusWidget() is axes.points.rows[2].mark


def test_tab_walks_in_reading_order(axes):
    axes.set_axes(Axes(flow_kind="volume"))
    axes.set_points((PointEntry(True, 1.0, 1.0),))
    axes.window().activateWindow()
    first, second = axes.points.rows[:2]
    wanted = [
        axes.kind, axes.unit, axes.density, axes.pair, axes.temperature, axes.pressure, axes.basis,
        first.flow, first.ratio, first.mark, first.clear, second.flow, second.ratio, second.mark,
    ]  # fmt: skip
    wanted[0].setFocus()
    for before, after in pairwise(wanted):
        assert QApplication.focusWidget() is before
        QTest.keyClick(before, Qt.Key.Key_Tab)
        assert QApplication.focusWidget() is after
