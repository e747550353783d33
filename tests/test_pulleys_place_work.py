"""The Pulleys place in the window: work under way, grids, units, classroom, exports."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import threading

from chart_cases import colours
from pulley_cases import MORE_BOOST
from pulley_window import WAIT, open_place, settle
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from app.chart_tools.palette import DARK, LIGHT
from app.gui.preferences import Shelf

PULLEY = "drive.blower_pulley_diameter"
LEFT = Qt.MouseButton.LeftButton
__all__ = ["open_place"]


def test_old_results_are_dropped(qtbot, open_place):
    window, place = open_place()
    study = place.feed.study
    told = []
    study.span_ready.connect(lambda request, span: told.append(request))
    for size in (0.120e-3, 0.121e-3, 0.122e-3):
        window.document.edit("inlet.temperature_rise", size)
        window.recompute.compute()
    last = place.feed._request
    study._told.emit(study.generation - 1, "span", last, "an old span")
    settle(qtbot, window)
    assert told[-1] is last
    assert place.feed.span.build.inlet.temperature_rise == 0.122e-3
    assert "an old span" not in [str(place.feed.span)]


def test_hidden_it_rests_and_catches_up(qtbot, open_place):
    window, place = open_place()
    window.rail.show_place("line")
    generation = place.feed.study.generation
    window.document.edit("bounds.boost", 65e3)
    for _ in range(4):
        QApplication.processEvents()
        window.recompute.compute()
    assert place.feed.study.generation == generation
    window.rail.show_place("pulleys")
    settle(qtbot, window)
    assert place.feed.span.build.bounds.boost == 65e3


def test_a_drag_of_something_else_is_marked_old(qtbot, open_place):
    window, place = open_place()
    window.recompute.set_dragging(True)
    window.document.edit("bounds.boost", 65e3)
    window.recompute.compute()
    assert place.controls.work.state.text() == "As of the last stop."
    window.recompute.set_dragging(False)
    settle(qtbot, window)
    assert place.controls.work.state.text() == ""
    assert place.feed.span.build.bounds.boost == 65e3


def test_work_can_be_cancelled_and_begun_again(qtbot, open_place):
    window, place = open_place()
    span = place.feed.span
    window.document.edit("bypass.boost_cap", 50e3)
    window.recompute.compute()
    assert place.feed.study.is_busy
    place.controls.work.cancel.click()
    assert not place.feed.study.is_busy
    assert place.controls.work.state.text().startswith("Stopped.")
    assert place.feed.span is span
    assert place.controls.work.again.isVisible()
    place.controls.work.again.click()
    qtbot.waitUntil(lambda: place.feed.span is not span, timeout=WAIT)
    assert place.feed.span.build.bypass.boost_cap == 50e3


def test_closing_amid_the_work_is_clean(qtbot, open_place):
    window, place = open_place()
    window.document.edit("bypass.boost_cap", 50e3)
    window.recompute.compute()
    assert place.feed.study.is_busy
    window.document.undo.setClean()
    window.close()
    assert not window.isVisible()
    assert not any(one.name.startswith("pulleys") for one in threading.enumerate())


def test_grids_are_worked_out_when_looked_at(qtbot, open_place):
    window, place = open_place()
    assert place.grids[0].grid is None
    for index, table in enumerate(place.grids, 1):
        place.tables.setCurrentIndex(index)
        settle(qtbot, window)
        assert table.table.rowCount() == len(table.grid.rows) == 5
        assert table.table.columnCount() == 9
        item = table.table.item(0, 0)
        told = item.data(Qt.ItemDataRole.AccessibleTextRole)
        assert item.toolTip() == told
        assert told.startswith("Blower pulley ")
        assert item.text().split()[0] in ("clear", "close", "over", "blank")
    # no limit knows the ribs
    ribs = place.grids[1]
    alike = len({tuple(c.entry.used for c in row) for row in ribs.grid.cells}) == 1
    assert ribs.note.isVisible() == alike
    kept = place.grids[1].grid
    window.document.edit("bounds.boost", 70e3)
    settle(qtbot, window)
    settle(qtbot, window)
    assert place.grids[1].grid is not kept


def test_no_shelf(qtbot, open_place, preferences):
    preferences.change(shelf=Shelf(pulleys=()))
    window, place = open_place(changes=MORE_BOOST)
    assert place.feed.span.shelf == ()
    assert place.hand.rowCount() == 1
    assert "On the shelf" not in [text.text for text in place.span_chart.placed_texts]
    place.tables.setCurrentIndex(1)
    settle(qtbot, window)
    assert 5 <= len(place.grids[0].grid.blower_diameters) <= 9


def test_units_and_theme(qtbot, open_place):
    window, place = open_place(changes=MORE_BOOST)
    window.work.toggle_units(True)
    window.work.toggle_theme(True)
    settle(qtbot, window)
    assert place.span_chart.series.unit == "in"
    assert place.span_chart.series.verdict == "Allowed: 2.516 to 2.676 in"
    assert place.controls.box.text() == "2.598 in"
    assert place.hand.item(0, 1).text() == "2.598 in"
    painted = colours(place.span_chart)
    assert DARK.over in painted
    assert LIGHT.over not in painted


def test_classroom_covers_the_answers_until_a_key(qtbot, open_place):
    window, place = open_place(changes=MORE_BOOST)
    window.work.toggle_classroom(True)
    settle(qtbot, window)
    assert not place.answer.isVisible()
    assert not place.tables.isVisible()
    assert LIGHT.over not in colours(place.span_chart)
    assert place.caution.isVisible()
    window.reveal_key.activated.emit()
    settle(qtbot, window)
    assert place.answer.isVisible()
    assert LIGHT.over in colours(place.span_chart)
    window.work.toggle_classroom(False)
    settle(qtbot, window)
    assert place.controls.isVisible()
    assert place.tables.isVisible()
    assert not place.caution.isVisible()


def test_charts_export_from_the_place(qtbot, open_place, tmp_path):
    window, place = open_place(changes=MORE_BOOST)
    exporting = window.work.exporting
    assert exporting._chart_in_sight() == "pulley_span"
    from app.gui.export_dialog import ExportChoice

    for chart in ("pulley_span", "pulley_curves"):
        for kind in ("png", "svg", "csv"):
            path = tmp_path / f"{chart}.{kind}"
            exporting.write(ExportChoice(chart, kind, 1.0), path)
            assert path.stat().st_size > 2000
    text = (tmp_path / "pulley_span.csv").read_text(encoding="utf-8")
    low = place.feed.span.allowed[0].low * 1e3
    assert f'"allowed, smallest",,,{low:.7g},' in text
    assert "Estimates, not a release" in text
    svg = (tmp_path / "pulley_span.svg").read_text(encoding="utf-8")
    assert "Impeller at over-rev" in svg
    assert "missed shift" in svg
    exporting.copy_numbers("pulley_curves")
    assert QApplication.clipboard().text().startswith("pulley [mm]\tWheel power")
    assert place.words.isVisible()


def test_everything_has_a_name_and_tab_walks_it(open_place):
    _, place = open_place()
    for widget in (
        place.span_chart,
        place.curves_chart,
        place.hand,
        place.grids[0].table,
        place.grids[1].table,
        place.controls.box,
        place.controls.work.bar,
    ):
        assert widget.accessibleName()
    for box in (
        *place.controls.day_ticks.boxes.values(),
        place.controls.shut,
        place.controls.missed,
    ):
        assert box.toolTip()
