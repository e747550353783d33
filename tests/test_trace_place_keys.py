"""The Trace place by keys alone: tools, kinds, focus order; no key goes off while one types."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QComboBox, QLineEdit, QSlider
from trace_panel_hands import edit, write
from trace_place_hands import CONTROL, SHIFT, Bench, Key, truth

from app.gui.places.trace.panels.pen_panel import KEYS


@pytest.fixture(scope="module")
def module_bench(qapp, tmp_path_factory):
    bench = Bench(tmp_path_factory.mktemp("bench")).calibrated()
    yield bench
    bench.close()


@pytest.fixture
def bench(module_bench):
    yield module_bench.fresh()
    module_bench.window.work.fold_panels(False)


LETTERS = (Key.Key_K, Key.Key_P, Key.Key_E, Key.Key_S, Key.Key_U, Key.Key_C, Key.Key_I)


def state(bench):
    return bench.desk.mode, bench.place.pen.kind


def test_letters_take_tools_and_kinds_from_the_picture_and_the_buttons(bench):
    places = (bench.canvas, bench.place.tools["pen"], bench.place.curves.buttons["kind"])
    for place in places:
        for letter, mode in ((Key.Key_E, "edit"), (Key.Key_K, "points"), (Key.Key_P, "pen")):
            place.setFocus()
            bench.key(letter)
            assert bench.desk.mode == mode
        for kind, letter in KEYS.items():
            bench.key(Key.Key_P)
            bench.key(Qt.Key(ord(letter)))
            assert state(bench) == ("pen", kind)
            assert bench.canvas.hasFocus()  # the next click draws it


def test_letters_work_with_the_panels_folded(bench):
    bench.key(Key.Key_F9)
    assert not bench.place.pen.isVisible()
    bench.key(Key.Key_U)
    assert state(bench) == ("pen", "surge_line")
    bench.key(Key.Key_E)
    assert bench.desk.mode == "edit"
    bench.key(Key.Key_F9)
    assert bench.place.pen.isVisible()


def test_no_letter_goes_off_while_one_types(bench):
    place = bench.place
    for title in ("About the compressor map", "Without a picture: a table of points"):
        place.right.show_panel(title)
    bench.lines(31000)
    bench.rest()
    bench.key(Key.Key_E)
    before = state(bench)
    boxes = [
        place.pen.box,
        place.axes.temperature,
        place.axes.points.rows[0].flow,
        place.about.texts["title"],
        place.about.long_texts["notes"],
        place.points.table,
        place.axes.kind,
        place.axes.unit,
        place.pen.unit,
    ]
    trace = bench.trace
    for box in boxes:
        box.setFocus()
        for letter in LETTERS:
            QTest.keyClick(QApplication.focusWidget(), letter)
            assert state(bench) == before, (box.accessibleName(), letter)
        if not isinstance(box, QComboBox):
            QTest.keyClick(QApplication.focusWidget(), Key.Key_Escape)
            QApplication.processEvents()
    while bench.trace != trace:  # a list is searched by typing
        bench.stack.undo()


def test_typing_into_the_list_of_curves_needs_a_key_to_begin(bench):
    bench.lines(31000)
    bench.rest()
    table = bench.place.curves.table
    table.setFocus()
    table.setCurrentIndex(table.model().index(0, 1))
    bench.key(Key.Key_U)
    assert bench.place.pen.kind == "surge_line"  # letters stay with the tools there
    edit(table, 0, 1, "32000")
    assert bench.trace.curves[0].value == 32000.0
    table.setFocus()
    QTest.keyClick(table, Key.Key_F2)
    for letter in LETTERS:
        QTest.keyClick(QApplication.focusWidget(), letter)
    assert bench.place.pen.kind == "surge_line"
    QTest.keyClick(QApplication.focusWidget(), Key.Key_Escape)
    QApplication.processEvents()


def test_a_curve_is_drawn_and_edited_by_keys_alone(bench):
    """Arrow keys move a crosshair; Shift makes ten pixels of one, Ctrl a fifth."""
    bench.key(Key.Key_S)
    assert bench.canvas.hasFocus()
    write(bench.place.pen.box, "45000")
    assert bench.canvas.hasFocus()  # Enter in the label goes on with the picture

    def walk(values):
        place = bench.desk.to_canvas(bench.picture.to_pixels([values]))[0]
        if bench.canvas.scene.aim is None:
            bench.key(Key.Key_Right)  # the first only shows it
        for axis, ways in ((0, (Key.Key_Left, Key.Key_Right)), (1, (Key.Key_Up, Key.Key_Down))):
            way = place[axis] - bench.canvas.scene.aim[axis]
            for _ in range(int(abs(way) // 10)):
                bench.key(ways[int(way > 0)], SHIFT)
            for _ in range(int(abs(way) % 10)):
                bench.key(ways[int(way > 0)])

    points = truth("speed", 45000.0)
    for row in (0, 600, 1199):
        walk(points[row])
        bench.key(Key.Key_Return)
    bench.key(Key.Key_Return)  # again in the same place: it ends
    assert [(one.value, len(one.nodes)) for one in bench.trace.curves] == [(45000.0, 3)]
    bench.key(Key.Key_E)
    bench.key(Key.Key_C)
    bench.key(Key.Key_N)
    bench.key(Key.Key_Insert)
    assert len(bench.trace.curves[0].nodes) == 4
    place = bench.trace.curves[0].nodes[0].place
    bench.key(Key.Key_Up, CONTROL)
    bench.canvas.let_go()
    moved = bench.trace.curves[0].nodes[0].place
    assert moved != place
    assert abs(moved[1] - place[1]) < 0.5
    bench.key(Key.Key_Delete)
    assert len(bench.trace.curves[0].nodes) == 3


def test_tab_goes_through_the_panels_in_reading_order(bench):
    place = bench.place
    place.picture.open.setFocus()
    passed, widget = [], QApplication.focusWidget()
    for _ in range(250):
        passed.append(widget)
        QTest.keyClick(widget, Key.Key_Tab)
        widget = QApplication.focusWidget()
        if widget is passed[0]:
            break
    assert widget is passed[0], "Tab never comes back"
    order = [
        place.picture.open,
        place.axes.kind,
        place.axes.unit,
        place.axes.pair,
        place.axes.temperature,
        place.axes.pressure,
        place.axes.basis,
        place.axes.points.rows[0].flow,
        place.axes.points.rows[0].ratio,
        place.axes.points.rows[3].ratio,
        place.axes.points.check.flow,
        place.pen.box,
        place.tools[bench.desk.mode],
        place.canvas,
        place.curves.table,
        place.needs.save,
    ]
    missed = [one.accessibleName() for one in order if one not in passed]
    assert missed == []
    assert [passed.index(one) for one in order] == sorted(passed.index(one) for one in order)
    sorts = (QAbstractButton, QComboBox, QLineEdit, QSlider)
    every = [one for sort in sorts for one in place.findChildren(sort)]
    # of buttons of which one is down, arrow keys reach the others
    unreached = {
        one.accessibleName() or one.text()
        for one in every
        if one.isVisible() and one.isEnabled() and one not in passed
        and one.focusPolicy() & Qt.FocusPolicy.TabFocus
        and not (isinstance(one, QAbstractButton) and one.group() and not one.isChecked())
    }  # fmt: skip
    assert unreached == set()
    nameless = [
        one
        for one in every
        if one.isVisible()
        and not (one.accessibleName() or one.text())
        and one.metaObject().className() != "QTableCornerButton"
    ]
    assert nameless == []
