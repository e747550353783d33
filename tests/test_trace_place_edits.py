"""Curves edited in the Trace place: points, the list's buttons, the menu, undo and redo."""

from __future__ import annotations

import numpy as np
import pytest
from trace_panel_hands import click_row, edit, press, write
from trace_place_hands import CONTROL, Bench, Key, off, truth

from app.gui.places.trace.curve_menu import curve_menu


@pytest.fixture(scope="module")
def module_bench(qapp, tmp_path_factory):
    bench = Bench(tmp_path_factory.mktemp("bench")).calibrated()
    yield bench
    bench.close()


@pytest.fixture
def bench(module_bench):
    return module_bench.fresh()


# points of a curve


def test_a_point_is_moved_inserted_and_deleted(bench):
    points = truth("speed", 59000.0)
    bench.lines(59000)
    (before,) = bench.trace.curves
    bench.key(Key.Key_E)
    start = bench.spot_of(before.nodes[1].place)
    target = bench.spot(points[500])
    bench.drag(start, target)
    (moved,) = bench.trace.curves
    place = np.array(moved.nodes[1].place)
    assert np.hypot(*(place - bench.picture.to_pixels([points[500]])[0])) < 1.5
    assert off(moved.path, points, bench.picture)[1] < 2.0  # followed again
    assert bench.stack.undoText() == "Move a point"
    steps = bench.stack.index()
    bench.double(bench.spot(points[900]))
    assert len(bench.trace.curves[0].nodes) == 5
    bench.click(bench.spot(points[250]), CONTROL)
    assert len(bench.trace.curves[0].nodes) == 6
    bench.key(Key.Key_N)
    bench.key(Key.Key_N)
    bench.key(Key.Key_Delete)
    assert len(bench.trace.curves[0].nodes) == 5
    assert bench.stack.index() == steps + 3
    for _ in range(4):
        bench.key(Key.Key_Z, CONTROL)
    assert bench.trace.curves == (before,)
    assert bench.shown() == [("speed", "59\u202f000 rpm", 4, False)]


# curves by the panel and by the menu


def chosen_node(bench, curve, node):
    bench.key(Key.Key_E)
    bench.click(bench.spot_of(bench.trace.curves[curve].nodes[node].place))
    assert (bench.canvas.scene.chosen.key, bench.canvas.scene.chosen.node) == (curve, node)


def test_curves_are_split_joined_reversed_relabelled_and_deleted_by_the_panel(bench):
    bench.lines(31000, 59000)
    bench.rest()
    curves, whole = bench.place.curves, bench.trace.curves[1]
    click_row(curves.table, 1)
    assert bench.desk.mode == "edit"
    press(curves.buttons["split"])
    assert curves.sentence.text() == (
        "Choose a point of the curve on the picture: it is cut there."
    )
    chosen_node(bench, 1, 2)
    press(curves.buttons["split"])
    bench.rest()
    assert [len(one.nodes) for one in bench.trace.curves] == [4, 3, 2]
    click_row(curves.table, 1)
    click_row(curves.table, 2, modifier=CONTROL)
    press(curves.buttons["join"])
    bench.rest()
    assert bench.trace.curves[1].nodes == whole.nodes
    click_row(curves.table, 1)
    press(curves.buttons["reverse"])
    assert bench.trace.curves[1].nodes == whole.nodes[::-1]
    bench.rest()
    edit(curves.table, 0, 1, "32 000")
    assert bench.trace.curves[0].value == 32000.0
    bench.rest()
    click_row(curves.table, 0)
    bench.key(Key.Key_Delete)
    assert [one.value for one in bench.trace.curves] == [59000.0]
    bench.key(Key.Key_Delete)
    bench.key(Key.Key_Delete)  # the list follows a little later: nothing is there any more
    assert bench.trace.curves == ()
    bench.rest()
    assert curves.model.rows == ()


def test_curves_are_edited_by_the_menu(bench):
    bench.lines(59000)
    bench.draw("island", truth("island", 0.765), 6, "76.5", closed=True)
    line, island = bench.trace.curves

    def choose(index, node, words):
        menu = curve_menu(bench.desk, bench.trace.curves[index], index, node)
        next(one for one in menu.actions() if one.text() == words).trigger()
        menu.deleteLater()

    choose(0, 1, "Split here")
    assert [len(one.nodes) for one in bench.trace.curves] == [2, 3, 6]
    bench.key(Key.Key_Z, CONTROL)
    assert bench.trace.curves == (line, island)
    choose(0, 1, "Delete this point")
    choose(0, -1, "Reverse 59\u202f000 rpm")
    assert bench.trace.curves[0].nodes[0].place == line.nodes[-1].place
    choose(1, -1, "Open island 76.5 %")
    assert not bench.trace.curves[1].closed
    choose(1, -1, "Close island 76.5 %")
    assert bench.trace.curves[1].closed
    choose(1, -1, "Delete island 76.5 %")
    assert len(bench.trace.curves) == 1
    menu = curve_menu(bench.desk, bench.trace.curves[0], 0, 0)
    assert "Split here" not in [action.text() for action in menu.actions()]  # an end
    menu.deleteLater()


# undo


def test_everything_is_undone_and_done_again_to_the_same_record(bench):
    bench.lines(31000, 59000)
    bench.draw("island", truth("island", 0.765), 6, "76.5", closed=True)
    bench.rest()
    chosen_node(bench, 1, 1)
    bench.key(Key.Key_Left)
    bench.key(Key.Key_Delete)
    press(bench.place.curves.buttons["reverse"])
    write(bench.place.about.texts["title"], "A page")
    write(bench.place.axes.points.rows[1].flow, "0.71")
    write(bench.place.axes.temperature, "15 \u00b0C")
    bench.rest()
    last, records = bench.stack.index(), {}
    assert last - bench.ready >= 9
    for number in range(last, -1, -1):
        bench.stack.setIndex(number)
        records[number] = bench.trace, bench.shown()
    assert bench.document.is_empty
    bench.rest()
    assert bench.canvas.scene.picture is None
    assert bench.canvas.scene.curves == []
    for number in range(last + 1):
        bench.stack.setIndex(number)
        assert (bench.trace, bench.shown()) == records[number]
    assert bench.trace.title == "A page"
    assert bench.place.axes.points.rows[1].flow.text() == "0.71"
    bench.rest()
    assert bench.document.prepared is not None
    assert bench.desk.is_straight
    assert len({id(record) for record, _ in records.values()}) == last + 1
