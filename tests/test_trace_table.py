"""A compressor map without a picture: typed, pasted, imported; saved, used, converted."""

from __future__ import annotations

import json

import pytest
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog
from trace_panel_hands import edit, press, write
from trace_place_hands import CONTROL, Bench, Key

from engine_model import load_map

# an invented map: curve, value, corrected flow [kg/s], pressure ratio
ROWS = (
    ("speed line", 36000, 0.10, 1.30),
    ("speed line", 36000, 0.15, 1.28),
    ("speed line", 36000, 0.20, 1.20),
    ("speed line", 54000, 0.16, 1.80),
    ("speed line", 54000, 0.25, 1.74),
    ("speed line", 54000, 0.32, 1.50),
    ("speed line", 72000, 0.22, 2.50),
    ("speed line", 72000, 0.33, 2.40),
    ("speed line", 72000, 0.42, 2.00),
    ("surge line", "", 0.10, 1.30),
    ("surge line", "", 0.16, 1.80),
    ("surge line", "", 0.22, 2.50),
    ("island", "74 %", 0.20, 1.70),
    ("island", "74 %", 0.22, 1.85),
    ("island", "74 %", 0.26, 1.95),
    ("island", "74 %", 0.30, 1.85),
    ("island", "74 %", 0.29, 1.65),
    ("island", "74 %", 0.24, 1.60),
    ("island", "74 %", 0.20, 1.70),
)


@pytest.fixture(scope="module")
def module_bench(qapp, tmp_path_factory):
    bench = Bench(tmp_path_factory.mktemp("bench"))
    bench.say_axes()
    write(bench.place.about.texts["title"], "A table")
    for title in ("Without a picture: a table of points", "At another reference state"):
        bench.place.right.show_panel(title)
    yield bench
    bench.close()


@pytest.fixture
def bench(module_bench):
    module_bench.to_front()
    module_bench.window.rail.show_place("trace")
    module_bench.place.points.set_points(())
    module_bench.place.points.say("")
    return module_bench


@pytest.fixture
def names(monkeypatch):
    """The next names that dialogs give."""
    given = []
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(given.pop(0)), ""))
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(given.pop(0)), ""))
    return given


def sheet(parted, comma=False, rows=ROWS):
    text = "\n".join(parted.join(map(str, row)) for row in rows)
    return text.replace(".", ",") if comma else text


def paste(bench, text):
    table = bench.place.points.table
    table.setFocus()
    table.setCurrentIndex(table.model().index(0, 0))
    QGuiApplication.clipboard().setText(text)
    bench.key(Key.Key_V, CONTROL)


def saved(bench, names, path):
    names.append(path)
    press(bench.place.table_map.save)
    assert bench.words == f"Written: {path.name}"
    return load_map(path)


def type_on(text):
    """Keys to whatever has the focus, as a hand types on."""
    for letter in text:
        QTest.keyClick(QApplication.focusWidget(), letter)


def test_rows_are_typed_over_cells_and_no_key_of_the_place_goes_off(bench):
    table, pen = bench.place.points.table, bench.place.pen
    mode, kind = bench.desk.mode, pen.kind
    table.setFocus()
    words = [
        ["speed", "36000", "0.10", "1.30"],
        ["", "", "0.15", "1.28"],
        ["surge", "", "0.1", "2"],
    ]
    for row, cells in enumerate(words):
        for column, text in enumerate(cells):
            table.setCurrentIndex(table.model().index(row, column))
            type_on(text)
            if text:
                bench.key(Key.Key_Return)
                QApplication.processEvents()  # the editor closes a little later
    assert (bench.desk.mode, pen.kind) == (mode, kind)
    read = [(p.kind, p.value, p.flow, p.pressure_ratio) for p in bench.place.points.model.points]
    assert read == [
        ("speed_line", 36000.0, 0.1, 1.3),
        ("speed_line", 36000.0, 0.15, 1.28),
        ("surge_line", None, 0.1, 2.0),
    ]


@pytest.mark.parametrize("how", ["tabs", "semicolons and decimal commas", "file"])
def test_a_table_is_made_a_map_and_saved(bench, names, tmp_path, how):
    if how == "tabs":
        paste(bench, sheet("\t"))
    elif how == "file":
        path = tmp_path / "points.csv"
        head = "curve,value,flow [kg/s],pressure_ratio\n"
        rows = [(row[0].replace(" ", "_"), *row[1:]) for row in ROWS]
        text = head + sheet(",", rows=rows).replace("74 %", "0.74")
        path.write_text(text, encoding="utf-8-sig")
        names.append(path)
        press(bench.place.points.bring)
    else:
        paste(bench, sheet(";", comma=True))
    assert bench.place.points.sentence.text() == ""
    made = saved(bench, names, tmp_path / "typed.map.json")
    assert made.title == "A table"
    assert (made.reference_temperature, made.reference_pressure) == (298.15, 100e3)
    assert made.provenance.kind == "measured"
    lines = [(one.corrected_speed, list(map(tuple, one.points))) for one in made.speed_lines]
    assert lines == [
        (speed, [row[2:] for row in ROWS if row[1] == speed]) for speed in (36000, 54000, 72000)
    ]
    assert list(map(tuple, made.surge_line)) == [row[2:] for row in ROWS[9:12]]
    (island,) = made.islands
    assert (island.efficiency, island.closed) == (0.74, True)


def test_it_is_used_in_the_build_as_one_step(bench):
    paste(bench, sheet("\t"))
    steps = bench.build.undo.index()
    press(bench.place.table_map.use)
    assert bench.window.place is bench.window.line
    assert bench.build.undo.index() == steps + 1
    compressor = bench.build.build.blower.compressor_map
    assert [one.corrected_speed for one in compressor.speed_lines] == [36000.0, 54000.0, 72000.0]
    bench.until(
        lambda: (
            bench.window.line.snapshot is not None
            and bench.window.line.snapshot.match.build.blower.compressor_map is compressor
        )
    )


def test_flows_in_another_unit_are_read_as_the_axis_says(bench, names, tmp_path):
    """0.1 lb/min is 0.1 x 0.45359237 / 60 kg/s (international pound of 1959)."""
    trace = bench.trace
    bench.place.axes.axes_edited.emit({"flow_unit": "lb/min"})
    rows = [(*row[:2], round(100 * row[2], 6), row[3]) for row in ROWS]
    paste(bench, sheet("\t", rows=rows))
    made = saved(bench, names, tmp_path / "a.map.json")
    flow = made.speed_lines[0].points[0][0]
    assert flow == pytest.approx(10.0 * 0.45359237 / 60.0, rel=1e-6)
    bench.key(Key.Key_Z, CONTROL)
    assert bench.trace == trace


def test_a_map_is_saved_at_another_reference_state(bench, names, tmp_path):
    """By hand: flow goes with sqrt(T_A/T_B) p_B/p_A, speed with sqrt(T_B/T_A).

    From 324 K and 100 kPa to 289 K and 102 kPa: flow by 18/17 x 1.02 = 1.08, speed by 17/18.
    """
    trace, axes, convert = bench.trace, bench.place.axes, bench.place.convert
    write(axes.temperature, "324 K")
    write(axes.pressure, "100 kPa")
    paste(bench, sheet("\t"))
    assert not convert.convert.isEnabled()
    write(convert.temperature, "289 K")
    write(convert.pressure, "102 kPa")
    path = tmp_path / "moved.map.json"
    names.append(path)
    press(convert.convert)
    made = load_map(path)
    assert (made.reference_temperature, made.reference_pressure) == (289.0, 102e3)
    assert [one.corrected_speed for one in made.speed_lines] == pytest.approx(
        [34000.0, 51000.0, 68000.0], rel=1e-9
    )
    assert made.speed_lines[0].points[0] == pytest.approx((0.108, 1.30), rel=1e-9)
    assert made.surge_line[-1] == pytest.approx((0.2376, 2.50), rel=1e-9)
    assert made.islands[0].points[0] == pytest.approx((0.216, 1.70), rel=1e-9)
    assert "reference state changed from 324 K and 100000 Pa" in made.provenance.text
    assert bench.place.points.model.cells[0] == ("speed line", "36000", "0.1", "1.3")  # it stays
    bench.key(Key.Key_Z, CONTROL)  # the temperature; the pressure was so already
    assert bench.trace == trace


def test_what_is_wrong_is_told_with_its_row_and_nothing_is_written(bench, names, tmp_path):
    points = bench.place.points
    press(bench.place.table_map.save)
    assert points.sentence.text() == "The table has no points yet, or some cells are at fault."
    paste(bench, sheet("\t", rows=ROWS[:9]))
    press(bench.place.table_map.save)
    assert "surge" in points.sentence.text()
    paste(bench, sheet("\t"))
    edit(points.table, 1, 2, "0.05")
    press(bench.place.table_map.save)
    assert points.sentence.text() == (
        "row 2: a flow of 0.05 kg/s after 0.1 given; allowed: flows that rise from surge to choke."
    )
    assert (1, 0) in points.model.faults()
    edit(points.table, 1, 2, "much")
    assert points.sentence.text().startswith("Row 2, ")
    press(bench.place.table_map.use)
    assert bench.window.place is bench.place
    assert names == []


def test_an_import_that_is_none_is_told_and_the_table_stays(bench, names, tmp_path):
    paste(bench, sheet("\t"))
    cells = list(bench.place.points.model.cells)
    (tmp_path / "a.csv").write_bytes(b"\xff\xfe\x00speed")
    (tmp_path / "b.csv").write_text("", encoding="utf-8")
    (tmp_path / "folder.csv").mkdir()
    with (tmp_path / "long.csv").open("wb") as file:
        file.truncate(6_000_000)
    told = {
        "a.csv": "a.csv is no text in UTF-8: save it as CSV UTF-8.",
        "b.csv": "Not pasted: ",
        "folder.csv": "folder.csv was not read: Is a directory.",
        "long.csv": "long.csv is larger than 5000000 bytes.",
    }
    for name, words in told.items():
        names.append(tmp_path / name)
        press(bench.place.points.bring)
        assert bench.place.points.sentence.text().startswith(words)
    assert list(bench.place.points.model.cells) == cells


def test_the_table_is_exported_and_imported_again(bench, names, tmp_path):
    paste(bench, sheet("\t"))
    before = bench.place.points.model.points
    path = tmp_path / "points.csv"
    names.append(path)
    press(bench.place.points.export)
    assert path.read_text(encoding="utf-8").splitlines()[0] == (
        "curve,value,flow [kg/s],pressure_ratio"
    )
    bench.place.points.set_points(())
    names.append(path)
    bench.place.points.table.setCurrentIndex(bench.place.points.model.index(0, 0))
    press(bench.place.points.bring)
    assert bench.place.points.model.points == before


def test_the_saved_map_carries_no_trace(bench, names, tmp_path):
    paste(bench, sheet("\t"))
    path = tmp_path / "typed.map.json"
    saved(bench, names, path)
    document = json.loads(path.read_text(encoding="utf-8"))
    assert document.get("trace") is None
    assert document["provenance"]["kind"] == "measured"
