"""The Trace place in its window: a picture traced by mouse and keys, and everything edited."""

from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtCore import QPointF
from PySide6.QtWidgets import QApplication
from trace_panel_hands import edit, pick_row, write
from trace_place_hands import (
    CONTROL,
    CORNERS,
    PHOTO,
    SHIFT,
    Bench,
    Key,
    along,
    off,
    seen,
    truth,
)

from app.gui.places.trace.curve_menu import curve_menu

NOT_FOLLOWED = 8.0
"""Pixels by which a chord misses the ink of the line it is drawn on."""


@pytest.fixture(scope="module")
def module_bench(qapp, tmp_path_factory):
    bench = Bench(tmp_path_factory.mktemp("bench")).calibrated()
    yield bench
    bench.close()


@pytest.fixture
def bench(module_bench):
    return module_bench.fresh()


# the whole way


def test_a_photo_is_traced_by_mouse_and_keys(qapp, tmp_path):
    bench = Bench(tmp_path)
    picture = seen(tilt=1.2)
    bench.open(PHOTO, picture)
    assert bench.desk.mode == "points"
    needed = bench.place.needs.needed.sentences
    assert needed[0] == "Mark known points of the axes: 0 of 4 so far"
    assert bench.place.axes.points.rows[0].mark.isChecked()
    for corner, jitter in zip(CORNERS, ((1, -1), (-1, 1), (1, 1), (-1, -1)), strict=True):
        bench.click(bench.spot(corner) + QPointF(*jitter))
    marked = np.array([point.place for point in bench.desk.points.points])
    assert np.hypot(*(marked - picture.to_pixels(CORNERS)).T).max() < 0.7  # snapped
    bench.rest()
    needed = bench.place.needs.needed.sentences
    assert needed[0] == (
        "Type flow and pressure ratio of the known points: 4 marked, 0 of 4 with values"
    )
    bench.say_axes()
    bench.type_corners()
    bench.rest()
    axes = bench.trace.axes
    assert axes.values == CORNERS
    assert (axes.flow_kind, axes.flow_unit) == ("corrected_mass", "kg/s")
    assert (axes.reference_temperature, axes.reference_pressure) == (298.15, 100e3)
    assert axes.pressure_basis == "total_to_total"
    assert bench.document.prepared is not None
    assert bench.words.startswith("The axes are known. Take the pen (P)")
    left = bench.place.needs.needed.sentences
    assert left == ("Trace speed lines: 0 of at least 2 so far", "Trace the surge line")

    bench.key(Key.Key_P)
    assert bench.desk.is_straight
    bench.lines(45000, 52000)
    bench.draw("surge_line", truth("surge"), 3)
    bench.rest()
    assert bench.place.needs.needed.sentences == ()
    assert bench.place.needs.is_usable
    bench.draw("speed_line", truth("speed", 59000.0), 4, "59000")
    bench.draw("island", truth("island", 0.68), 10, "68")  # cut off by the surge line
    bench.draw("island", truth("island", 0.765), 10, "76.5 %", closed=True)
    bench.rest()
    kinds = [(one.kind, one.value, one.closed) for one in bench.trace.curves]
    assert kinds == [
        ("speed_line", 45000.0, False),
        ("speed_line", 52000.0, False),
        ("surge_line", None, False),
        ("speed_line", 59000.0, False),
        ("island", 0.68, False),
        ("island", 0.765, True),
    ]
    for curve in bench.trace.curves:
        kind = curve.kind.removesuffix("_line")
        middle, worst = off(curve.path, truth(kind, curve.value), picture)
        assert middle < 0.8, curve.kind  # 0.06 % of the frame's height
        assert worst < 5.0, curve.kind
    assert bench.place.needs.wrong.sentences == ()
    assert {style for _, style in bench.canvas.scene.overlay} == {"speed", "island"}
    bench.close()


# labels


def test_the_next_label_is_guessed_and_none_is_taken_over(bench):
    bench.lines(31000)
    assert bench.place.pen.value is None  # nothing to go by: it is not the former one's
    bench.lines(38000)
    assert bench.place.pen.value == 45000.0
    assert bench.place.pen.is_guess
    bench.draw("speed_line", truth("speed", 45000.0), 3)
    assert [one.value for one in bench.trace.curves] == [31000.0, 38000.0, 45000.0]
    bench.pen("island")
    assert bench.place.pen.value is None
    bench.draw("island", truth("island", 0.56), 3)
    bench.rest()
    assert bench.trace.curves[-1].value is None
    assert "Say the efficiency of island 1" in bench.place.needs.needed.sentences
    edit(bench.place.curves.table, 3, 1, "56")
    assert bench.trace.curves[-1].value == 0.56
    bench.rest()
    assert bench.shown()[3][:2] == ("island", "56 %")


def test_a_label_can_be_typed_while_the_curve_is_in_the_making(bench):
    for values in along(truth("speed", 66000.0), 3):
        bench.click(bench.spot(values))
    write(bench.place.pen.box, "66000")
    assert bench.shown() == [("speed", "66\u202f000 rpm", 3, False)]
    bench.key(Key.Key_Return)
    assert [one.value for one in bench.trace.curves] == [66000.0]


# the pen


def test_clicks_are_taken_back_by_both_keys_and_then_whole_curves(bench):
    bench.lines(31000)
    pixels = [bench.spot(values) for values in along(truth("speed", 52000.0), 4)]
    for at in pixels:
        bench.click(at)
    whole = len(bench.desk.stroke.path)
    bench.key(Key.Key_Z, CONTROL)
    assert len(bench.desk.stroke.nodes) == 3
    bench.key(Key.Key_Backspace)
    assert len(bench.desk.stroke.nodes) == 2
    assert len(bench.desk.stroke.path) < whole
    assert [row[2] for row in bench.shown()] == [4, 2]
    bench.key(Key.Key_Z, CONTROL)
    bench.key(Key.Key_Z, CONTROL)
    assert bench.desk.stroke.is_empty
    assert len(bench.trace.curves) == 1
    bench.key(Key.Key_Z, CONTROL)
    assert bench.trace.curves == ()
    bench.key(Key.Key_Z, CONTROL | SHIFT)
    assert len(bench.trace.curves) == 1


def test_escape_gives_a_curve_up_and_two_clicks_in_one_place_are_one(bench):
    pixels = [bench.spot(values) for values in along(truth("speed", 52000.0), 3)]
    for at in (pixels[0], pixels[0], pixels[1]):
        bench.click(at)
    assert len(bench.desk.stroke.nodes) == 2
    bench.key(Key.Key_Escape)
    assert bench.shown() == []
    bench.click(pixels[0])
    bench.key(Key.Key_Return)
    assert bench.words == "A curve needs two points or more."
    bench.double(pixels[2])  # the second press ends it
    assert [len(one.nodes) for one in bench.trace.curves] == [2]
    assert bench.words == ""


def test_a_curve_may_begin_where_the_former_one_does(bench):
    """The surge line begins at the first point of the lowest line."""
    bench.lines(31000)
    bench.draw("surge_line", truth("surge"), 4)
    assert [(one.kind, len(one.nodes)) for one in bench.trace.curves] == [
        ("speed_line", 4),
        ("surge_line", 4),
    ]
    assert bench.words == ""


def test_shift_holds_a_stretch_that_does_not_follow(bench):
    points = truth("speed", 73000.0)
    ends = [bench.spot(points[0]), bench.spot(points[-1])]
    bench.click(ends[0])
    bench.move(ends[1])
    bench.until(lambda: bench.canvas.scene.preview is not None)
    followed = np.array(bench.canvas.scene.preview)
    assert off(bench.document.prepared.to_picture(followed), points, bench.picture)[1] < 2.0
    bench.click(ends[1], SHIFT)
    bench.key(Key.Key_Return)
    (free,) = bench.trace.curves
    assert [node.free for node in free.nodes] == [False, True]
    assert off(free.path, points, bench.picture)[1] > NOT_FOLLOWED
    assert bench.canvas.scene.curves[0].free == (True,)
    menu = curve_menu(bench.desk, free, 0, 0)
    offered = {action.text(): action for action in menu.actions()}
    offered["Stretch after it: follow the ink"].trigger()
    assert off(bench.trace.curves[0].path, points, bench.picture)[1] < 2.0


# what looks wrong


def test_swapped_labels_are_marked_as_it_happens_and_lead_to_the_point(bench):
    bench.lines(31000, 45000, 59000)
    bench.draw("surge_line", truth("surge"), 3)
    bench.rest()
    assert bench.place.needs.is_usable
    assert bench.place.needs.wrong.sentences == ()
    edit(bench.place.curves.table, 1, 1, "59000")
    edit(bench.place.curves.table, 2, 1, "45000")
    bench.rest()
    wrong = bench.place.needs.wrong
    assert not bench.place.needs.is_usable
    assert not bench.place.needs.use.isEnabled()
    swapped, residual = wrong.sentences[:2]
    assert swapped.startswith("The 59\u202f000 rpm line: 59000 on a line below that of 45000")
    assert swapped.endswith("swapped with the 45\u202f000 rpm line?")
    assert "look at point 2" in residual
    states = [row.state for row in bench.place.curves.model.rows]
    assert states[1] == "over"
    assert [bool(curve.marks) for curve in bench.canvas.scene.curves][2]
    bench.key(Key.Key_P)
    pick_row(wrong, 0)  # about a whole line
    assert (bench.desk.mode, bench.desk.index, bench.canvas.scene.chosen) == ("edit", 1, None)
    pick_row(wrong, 1)
    chosen = bench.canvas.scene.chosen
    assert (chosen.key, chosen.node) == (2, 1)
    assert bench.place.curves.index == 2
    assert bench.canvas.hasFocus()
    bench.key(Key.Key_Right)
    bench.desk.canvas.let_go()
    assert bench.stack.undoText() == "Move a point"  # it is in hand at once
    bench.key(Key.Key_Z, CONTROL)
    bench.key(Key.Key_Z, CONTROL)
    bench.key(Key.Key_Z, CONTROL)
    bench.rest()
    assert wrong.sentences == ()
    assert bench.place.needs.is_usable


def test_a_need_leads_to_the_place_where_it_is_mended(bench):
    needed, better = bench.place.needs.needed, bench.place.needs.better
    pick_row(needed, needed.sentences.index("Trace the surge line"))
    assert bench.desk.stroke.kind == "surge_line"
    assert bench.canvas.hasFocus()
    pick_row(better, better.sentences.index("Give the compressor map a name"))
    assert QApplication.focusWidget() is bench.place.about.texts["title"]
    write(bench.place.about.texts["title"], "Practice")
    bench.rest()
    assert "Give the compressor map a name" not in better.sentences


def test_the_tools_are_whole_in_the_smallest_window(qapp, tmp_path):
    bench = Bench(tmp_path, size=(960, 600))
    bench.open(PHOTO, seen(tilt=1.2))
    row = bench.place.tool_row
    assert bench.window.size().width() == 960
    for widget in (*row.buttons.values(), row.snaps, row.loupe):
        assert widget.isVisible()
        assert widget.width() >= widget.sizeHint().width(), widget.text()
        assert row.rect().contains(widget.geometry()), widget.text()
    assert row.file_name.words == "not saved yet"
    bench.close()
