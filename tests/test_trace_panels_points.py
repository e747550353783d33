"""Points without a picture, and what is known about the map. Setters never emit."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest

from app.gui.places.trace.panels.about_panel import AboutPanel
from app.gui.places.trace.panels.points_panel import PointsPanel
from app.gui.places.trace.panels.points_text import TypedPoint, read_table
from app.present.trace_words import NARROW
from engine_model.errors import InputError
from engine_model.tracing.points import map_from_points
from engine_model.tracing.trace import Axes, Trace
from tests.trace_panel_hands import edit, heard, press

# points


POINTS = (
    TypedPoint("speed_line", 46000.0, 20.0, 2.1),
    TypedPoint("speed_line", 46000.0, 22.0, 1.9),
    TypedPoint("surge_line", None, 18.0, 2.2),
)


@pytest.fixture
def points(hosted):
    panel = hosted(PointsPanel())
    panel.set_unit("lb/min", False)
    panel.window().activateWindow()
    return panel


def texts(panel):
    return [tuple(text.replace(NARROW, " ") for text in row) for row in panel.model.cells]


def test_points_setters_are_silent(points):
    told = heard(points)
    points.set_points(POINTS)
    points.set_thousands(True)
    points.set_unit("kg/s", False)
    points.set_row_faults({1: "no"})
    points.say("no")
    assert told == []
    assert texts(points)[0] == ("speed line", "46 000 rpm", "20", "2.1")
    assert texts(points)[-1] == ("", "", "", "")
    assert points.model.points == POINTS


def test_points_are_typed_cell_by_cell(points):
    told = heard(points)
    cells = ("speed line", "46000", "20", "2,1")
    for column, text in enumerate(cells):
        edit(points.table, 0, column, text)
        assert points.sentence.text() == ""  # the row is not done yet
    assert told == [("points_edited", POINTS[:1])]
    edit(points.table, 1, 2, "22")
    assert len(told) == 1
    assert points.words.text() == "Pressure ratio is missing"
    edit(points.table, 1, 3, "1.9")
    assert told[-1] == ("points_edited", POINTS[:2])
    assert points.words.text() == "2 points"
    edit(points.table, 1, 2, "22.0")
    assert len(told) == 2  # the same point


def test_a_flow_may_carry_its_own_unit(points):
    points.set_points(POINTS[:1])
    told = heard(points)
    edit(points.table, 0, 2, "0.2 kg/s")
    # 0.2 kg/s x 60 / 0.45359237 kg
    assert told[0][1][0].flow == pytest.approx(26.4555, abs=1e-4)


SHEETS = {
    "tabs": "speed line\t46000\t20\t2.1\nspeed line\t46000\t22\t1.9\nsurge line\t\t18\t2.2",
    "long_form": "curve,value,flow [lb/min],pressure_ratio\nspeed_line,46000,20,2.1\n"
    "speed_line,46000,22,1.9\nsurge_line,,18,2.2",
    "decimal_commas": "speed;46000;20,0;2,1\nspeed;46000;22,0;1,9\nsurge;;18,0;2,2",
    "blank_is_as_above": "Speed line\t46 000\t20\t2.1\n\t\t22\t1.9\nSurge line\t\t18\t2.2\r\n",
}


@pytest.mark.parametrize("name", SHEETS)
def test_sheets_are_pasted(points, name):
    told = heard(points)
    QGuiApplication.clipboard().setText(SHEETS[name])
    if name == "tabs":
        points.table.setFocus()
        QTest.keyClick(points.table, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    else:
        press(points.paste)
    assert told == [("points_edited", POINTS)]
    assert points.sentence.text() == ""


def test_what_was_done_with_a_sheet_is_told():
    assert read_table(SHEETS["decimal_commas"]).told == "3 rows pasted, commas read as decimal"
    assert read_table(SHEETS["long_form"]).told == (
        "3 rows pasted, heading skipped, flow in lb/min as it says"
    )
    assert read_table(SHEETS["long_form"]).rows[0][2] == "20 lb/min"
    assert read_table("1,250\t2.1").rows == (("1,250", "2.1"),)  # told in words where it is read
    assert read_table("0,12 1,5\n0,13 1,4").rows == (("0.12", "1.5"), ("0.13", "1.4"))
    assert read_table("speed line 46000 0.12 1.5").rows == (("speed line", "46000", "0.12", "1.5"),)


def test_a_column_of_flow_and_ratio_lands_right(points):
    points.set_points(POINTS[:1])
    told = heard(points)
    points.table.setCurrentIndex(points.model.index(1, 0))
    points.paste_text("22\t1.9")
    assert told == [("points_edited", POINTS[:2])]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "Not pasted: nothing; needed: rows of points"),
        ("a\tb\tc\td\te", "Not pasted: a heading alone; needed: rows of points"),
        ("island\t72\t1\t2\t3", "Not pasted: 5 columns; needed: up to four: curve, value, flow, "),
    ],
)
def test_what_is_no_table_is_refused(points, text, words):
    points.set_points(POINTS)
    told = heard(points)
    points.paste_text(text)
    assert points.sentence.text().startswith(words)
    assert (told, points.model.points) == ([], POINTS)


def test_faults_are_told_cell_by_cell_and_the_former_points_stay(points):
    points.set_points(POINTS)
    told = heard(points)
    points.table.setCurrentIndex(points.model.index(0, 0))
    points.paste_text("islnd\t72\t20\t2\nsurge line\t46000\tmuch\t2.1")
    faults_found = points.model.faults()
    assert set(faults_found) == {(0, 0), (1, 1), (1, 2)}
    assert points.sentence.text().startswith(
        "Row 1, Curve: islnd given; allowed: one of speed line, surge line, choke line, island. "
        "3 cells to be mended"
    )
    points.table.setCurrentIndex(points.model.index(1, 1))
    points.model.set_current(1)
    assert "46000 given; allowed: nothing for a surge line" in points.model.faults()[1, 1]
    role = Qt.ItemDataRole.ToolTipRole
    assert points.model.data(points.model.index(1, 2), role).startswith("Flow: much given")
    assert points.model.data(points.model.index(1, 2), Qt.ItemDataRole.BackgroundRole) is not None
    assert told == []


def test_rows_are_added_deleted_cleared_and_copied(points):
    points.set_points(POINTS)
    told = heard(points)
    points.table.setCurrentIndex(points.model.index(0, 0))
    press(points.add)
    assert len(points.model.cells) == 5
    assert texts(points)[1] == ("", "", "", "")
    points.table.setCurrentIndex(points.model.index(2, 2))
    QTest.keyClick(points.table, Qt.Key.Key_Delete)
    assert texts(points)[2][2] == ""
    points.table.selectRow(2)
    press(points.remove)
    points.table.selectRow(1)
    press(points.remove)
    assert told[-1] == ("points_edited", (POINTS[0], POINTS[2]))
    assert points.text_rows()[0] == ["Curve", "Value", "Flow [lb/min]", "Pressure ratio"]
    points.table.selectRow(0)
    assert points.chosen_rows() == [[*points.model.cells[0]]]
    points.table.setFocus()
    QTest.keyClick(points.table, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    assert QGuiApplication.clipboard().text().endswith("\t20\t2.1")


def test_a_blank_row_parts_two_curves(points):
    told = heard(points)
    points.paste_text("island\t72\t20\t2\n\n\t\t30\t2")
    assert [one.new_curve for one in told[0][1]] == [False, True]
    points.set_points(())
    points.set_points(told[0][1])
    assert [any(row) for row in points.model.cells] == [True, False, True, False]


def test_import_and_export_are_asked_for(points):
    told = heard(points)
    press(points.bring)
    points.export.setFocus()
    QTest.keyClick(points.export, Qt.Key.Key_Space)
    assert told == [("import_asked",), ("export_asked",)]


def test_the_table_as_text_is_read_by_the_model(points, sample_map):
    one = sample_map("turbo-52")
    pound = 0.45359237 / 60.0  # kg/s in 1 lb/min
    given = [
        TypedPoint("speed_line", line.corrected_speed, flow / pound, ratio)
        for line in one.speed_lines
        for flow, ratio in line.points
    ]
    given += [TypedPoint("surge_line", None, flow / pound, ratio) for flow, ratio in one.surge_line]
    points.set_points(given)
    axes = Axes(
        (), (), "corrected_mass", "lb/min", None,
        one.reference_temperature, one.reference_pressure, one.pressure_basis,
    )  # fmt: skip
    read = map_from_points(points.table_text(), Trace(axes=axes, title="again"))
    assert len(read.speed_lines) == len(one.speed_lines)
    for ours, theirs in zip(read.speed_lines, one.speed_lines, strict=True):
        assert ours.corrected_speed == theirs.corrected_speed
        # the sixth digit is the table's
        assert [p[0] for p in ours.points] == pytest.approx([p[0] for p in theirs.points], 1e-5)
        assert [p[1] for p in ours.points] == pytest.approx([p[1] for p in theirs.points], 1e-5)
    points.set_row_faults({2: "a flow of 3 after 4"})
    assert points.sentence.text().startswith("Row 3, a flow of 3 after 4.")


def test_a_paste_of_too_many_rows_is_refused():
    with pytest.raises(InputError, match="up to 5000 rows"):
        read_table("1\t2\n" * 5001)


# about


@pytest.fixture
def about(hosted):
    panel = hosted(AboutPanel())
    panel.window().activateWindow()
    return panel


ABOUT = Trace(
    title="Blower B", provenance_text="A leaflet", date="1998", exducer_diameter=0.09,
    inducer_diameter=0.06, maximum_speed=60000.0, built_in_step_up=3.5, notes="none",
)  # fmt: skip


def test_about_setters_are_silent(about):
    told = heard(about)
    about.set_about(ABOUT)
    about.set_system("us")
    assert about.texts["title"].text() == "Blower B"
    assert about.long_texts["notes"].toPlainText() == "none"
    assert about.numbers["exducer_diameter"].text() == "3.543 in"
    about.set_about(Trace())
    assert told == []
    assert about.numbers["exducer_diameter"].text() == ""


def test_about_fields_take_texts_and_units_as_typed(about):
    about.set_about(ABOUT)
    told = heard(about)
    for box, text in (
        (about.texts["title"], "C"),
        (about.numbers["exducer_diameter"], "3.33 in"),
        (about.numbers["maximum_speed"], "65 000 rpm"),
        (about.numbers["built_in_step_up"], ""),
    ):
        box.setFocus()
        box.selectAll()
        QTest.keyClick(box, Qt.Key.Key_Delete)
        QTest.keyClicks(box, text)
        QTest.keyClick(box, Qt.Key.Key_Return)
    # 3.33 in x 25.4 mm
    assert told == [
        ("about_edited", {"title": "C"}),
        ("about_edited", {"exducer_diameter": pytest.approx(0.084582)}),
        ("about_edited", {"maximum_speed": pytest.approx(65000.0)}),
        ("about_edited", {"built_in_step_up": 1.0}),
    ]


def test_free_text_is_taken_once_when_it_is_left(about):
    told = heard(about)
    box = about.long_texts["provenance_text"]
    box.setFocus()
    QTest.keyClicks(box, "page 3")
    about.set_about(replace(Trace(), title="x"))  # another edit meanwhile
    assert box.toPlainText() == "page 3"
    QTest.keyClick(box, Qt.Key.Key_Tab)
    assert told == [("about_edited", {"provenance_text": "page 3"})]


def test_a_refused_diameter_is_told_beside_it(about):
    box = about.numbers["inducer_diameter"]
    box.setFocus()
    QTest.keyClicks(box, "60 kg")
    QTest.keyClick(box, Qt.Key.Key_Return)
    assert about.rows["inducer_diameter"].sentence.text().startswith("60 kg given; allowed: a len")
