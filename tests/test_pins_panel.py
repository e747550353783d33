"""The panel of pins: undo steps, ghosts, table, and no computing while a slider is dragged."""

import os

import numpy as np
from pins_bench import Bench, _settle, bench  # noqa: F401
from PySide6.QtCore import Qt

from app.gui.document import new_gesture
from app.present.pins import shelf_pins, with_pins
from engine_model.inputs import Pin
from engine_model.matching import match

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

PULLEY = "drive.blower_pulley_diameter"


def test_pin_undo_redo(bench):
    stack = bench.document.undo
    assert bench.panel.pins.name.placeholderText() == "66 mm"
    bench.panel.pins.pin_button.click()
    bench.settle()
    assert stack.undoText() == "Pin 66 mm"
    assert bench.names() == bench.drawn() == ["66 mm"]
    assert bench.panel.pins.name.placeholderText() == "66 mm (2)"
    line = bench.panel.ghosts[0][0]
    expected = match(bench.document.build, bench.document.day).line
    assert np.array_equal(line.wheel_power_w, expected.wheel_power_w)
    stack.undo()
    bench.settle()
    assert bench.names() == bench.drawn() == []
    assert bench.panel.pins.list.count() == 0
    assert bench.ghosts[-1] == []
    stack.redo()
    bench.settle()
    assert bench.drawn() == ["66 mm"]


def test_the_pinned_line_stays_while_the_build_is_edited(bench):
    bench.panel.pins.pin_button.click()
    bench.settle()
    before = bench.panel.ghosts[0][0]
    told = len(bench.ghosts)
    bench.document.edit(PULLEY, 0.080)
    bench.document.edit("cooler.effectiveness", 0.5)
    bench.settle()
    assert len(bench.ghosts) == told
    assert bench.panel.ghosts[0][0] is before
    assert bench.row(1)[2] != bench.row(0)[2]
    assert "(+" in bench.row(1)[2]


def test_no_pin_is_computed_while_a_slider_is_dragged(bench, qtbot):
    bench.panel.pins.pin_shelf()
    bench.settle()
    assert bench.calls == 3
    drawn = len(bench.ghosts)
    gesture = new_gesture()
    bench.recompute.set_dragging(True)
    for step in range(12):
        bench.document.edit(PULLEY, 0.070 + 0.001 * step, gesture)
        qtbot.wait(5)
    bench.settle()
    assert bench.panel._snapshot.days_are_old
    assert "last stop" in bench.panel.caption.text()
    bench.recompute.set_dragging(False)
    bench.settle()
    qtbot.waitUntil(lambda: not bench.panel._snapshot.days_are_old)
    assert "last stop" not in bench.panel.caption.text()
    assert bench.calls == 3
    assert len(bench.ghosts) == drawn


def test_a_pin_of_a_file_that_leans_on_the_build_follows_it_after_the_drag(bench, qtbot):
    part = Pin("small", ((PULLEY, 0.063),))
    build = bench.document.build
    bench.document.replace(with_pins(build, [part]), frozenset({"pins"}), "x")
    bench.settle()
    before = bench.panel.ghosts[0][0].manifold_temperature_k[-1]
    bench.recompute.set_dragging(True)
    calls = bench.calls
    bench.document.edit("cooler.effectiveness", 0.4)
    qtbot.wait(40)
    assert bench.calls == calls
    bench.recompute.set_dragging(False)
    qtbot.waitUntil(lambda: bench.calls == calls + 1)
    bench.settle()
    assert bench.panel.ghosts[0][0].manifold_temperature_k[-1] > before + 5.0


def test_a_day_is_shown_without_computing_and_a_bound_computes_anew(bench):
    bench.panel.pins.pin_shelf()
    bench.settle()
    mild = bench.row(2)
    bench.document.show_day("hot")
    bench.settle()
    assert bench.calls == 3
    assert bench.row(2)[2] != mild[2]
    assert "hot day" in bench.panel.caption.text()
    line = bench.panel.ghosts[0][0]
    assert line.inlet_temperature_k[0] > 310.0
    bench.document.edit("bounds.charge_temperature", 300.0)
    bench.settle()
    assert bench.calls == 6
    assert bench.row(2)[0].startswith("over ")


def test_shelf_in_slices_with_progress(tmp_path, qtbot):
    bench = Bench(tmp_path, tuple(0.060 + 0.003 * k for k in range(16)))
    qtbot.addWidget(bench.panel)
    slices, said = [], []
    work = bench.panel.lines._slice

    def counted():
        work()
        slices.append(len(bench.drawn()))

    bench.panel.lines._timer.timeout.disconnect()
    bench.panel.lines._timer.timeout.connect(counted)
    bench.panel.lines.progress.connect(lambda *_: said.append(bench.panel.pins.progress.text()))
    bench.recompute.request()
    _settle(qtbot, bench)
    bench.panel.pins.shelf_button.click()
    assert bench.document.undo.undoText() == "Pin every shelf size"
    _settle(qtbot, bench)
    assert len(slices) == len(bench.drawn()) == 16
    assert said[0] == "Computing pins: 1 of 16"
    assert said[-1] == "Computing pins: 15 of 16"
    assert bench.panel.pins.progress.text() == ""
    bench.panel.pins.shelf_button.click()
    assert "pinned already" in bench.panel.pins.words.text()
    bench.panel.pins.clear_button.click()
    assert bench.names() == []
    assert bench.document.undo.undoText() == "Clear pins"


def test_names_are_unique_and_renaming_is_one_step(bench):
    pins = bench.panel.pins
    pins.pin_shelf()
    bench.settle()
    calls = bench.calls
    pins.name.setText("69 mm")
    pins.pin_button.click()
    assert "named 69 mm already" in pins.words.text()
    assert bench.names() == ["63 mm", "69 mm", "75 mm"]
    item = pins.list.item(0)
    item.setText("69 mm")
    assert bench.names()[0] == "63 mm"
    assert item.text() == "63 mm"
    item.setText("  ")
    assert item.text() == "63 mm"
    assert pins.words.text() == "A pin needs a name."
    item.setText("race day")
    bench.settle()
    assert bench.names() == bench.drawn() == ["race day", "69 mm", "75 mm"]
    assert bench.document.undo.undoText() == "Rename pin 63 mm to race day"
    assert pins.words.text() == ""
    assert bench.calls == calls
    bench.document.undo.undo()
    bench.settle()
    assert bench.drawn()[0] == "63 mm"


def test_hide_and_delete(bench):
    pins = bench.panel.pins
    pins.pin_shelf()
    bench.settle()
    steps = bench.document.undo.count()
    pins.list.item(1).setCheckState(Qt.CheckState.Unchecked)
    assert bench.drawn() == [name for _, name in bench.ghosts[-1]] == ["63 mm", "75 mm"]
    assert bench.document.undo.count() == steps
    pins.list.item(0).setSelected(True)
    pins.delete_button.click()
    bench.settle()
    assert bench.document.undo.undoText() == "Delete pin 63 mm"
    assert bench.names() == ["69 mm", "75 mm"]
    assert bench.drawn() == ["75 mm"]
    pins.list.item(0).setCheckState(Qt.CheckState.Checked)
    assert bench.drawn() == ["69 mm", "75 mm"]


def test_a_broken_pin_is_told_in_its_row_and_the_others_stand(bench):
    good = shelf_pins(bench.document.build, (0.063, 0.075))
    broken = Pin("bad", ((PULLEY, 0.001),))
    odd = Pin("odd", (("drive.length", 1.0),))
    build = with_pins(bench.document.build, [good[0], broken, odd, good[1]])
    bench.document.replace(build, frozenset({"pins"}), "x")
    bench.settle()
    assert bench.drawn() == ["63 mm", "75 mm"]
    assert bench.row(2)[0].startswith("Not drawn: Blower pulley 1.0 mm given")
    assert bench.row(3)[0].startswith("Not drawn: drive.length")
    assert bench.panel.table.columnSpan(2, 0) == bench.panel.differences.columnCount()
    assert bench.panel.table.columnSpan(4, 0) == 1
    assert "at 6800" in bench.row(4)[2]
