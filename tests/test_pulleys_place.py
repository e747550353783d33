"""The Pulleys place in the window: shows, asks, drags, undoes, covers, ends."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import threading

import pytest
from chart_cases import colours
from pulley_cases import MORE_BOOST
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtWidgets import QApplication

from app.chart_tools.palette import DARK, LIGHT
from app.gui.document import Document
from app.gui.preferences import Shelf
from app.gui.window import Window
from app.paths import sample_builds
from engine_model import load_build
from engine_model.studies.pulley_span import pulley_span
from engine_model.studies.span_records import WorstCase

PULLEY = "drive.blower_pulley_diameter"
LEFT = Qt.MouseButton.LeftButton
WAIT = 20_000


@pytest.fixture
def open_place(qtbot, preferences, tmp_path):
    preferences.change(hints_seen=True)

    def make(name="road-six", changes=None):
        build = load_build(sample_builds()[name])
        if changes:
            build = build.with_values(changes)
        window = Window(Document(build, None), preferences, tmp_path / "journal")
        window.resize(1280, 720)
        qtbot.addWidget(window, before_close_func=lambda w: w.document.undo.setClean())
        window.show()
        qtbot.waitUntil(lambda: window.line.snapshot is not None, timeout=WAIT)
        window.rail.show_place("pulleys")
        settle(qtbot, window)
        return window, window.place

    return make


def settle(qtbot, window):
    """Let everything be computed, worked out and painted."""
    for _ in range(4):
        QApplication.processEvents()
        window.recompute.compute()
    place = window.places_by_key["pulleys"]
    qtbot.waitUntil(lambda: not place.feed.study.is_busy, timeout=WAIT)
    for _ in range(4):
        QApplication.processEvents()


def on_line(place):
    """Widget position on the line of the present pulley."""
    chart = place.span_chart
    return chart.mapFromScene(chart._box.mapToScene(QPointF(chart.present_x, 220.0)))


@pytest.mark.parametrize("name", ["road-six", "tow-eight"])
def test_shows_the_span_of_a_sample(open_place, name):
    window, place = open_place(name)
    build = load_build(sample_builds()[name])
    span = place.feed.span
    expected = pulley_span(build)
    assert [(a.low, a.high) for a in span.allowed] == [(a.low, a.high) for a in expected.allowed]
    assert span.days == tuple(build.known_days())
    assert len(span.shelf) == len(window.preferences.choices.shelf.pulleys)
    assert place.pages.currentIndex() == 0
    assert place.answer.text().startswith("<b>" + place.span_chart.series.verdict)
    assert place.hand.rowCount() == 1 + len(span.shelf)
    assert place.span_chart.accessibleDescription().startswith(place.span_chart.series.verdict)
    for words in ("clothing away from belt", "overspeeds can burst", "Estimates, not a release"):
        assert words in place.controls.caution.text()
    assert window.rail._buttons["pulleys"].toolTip() == "Pulleys (Ctrl+2)"


def test_a_free_shaft_and_no_blower_are_told(qtbot, open_place):
    window, place = open_place("free-shaft-four")
    assert place.pages.currentWidget() is place.no_belt
    assert place.no_belt.isVisible()
    assert "no belt drives it" in place.no_belt.text()
    assert place.feed.span is None
    window.document.edit("drive.kind", "none")
    settle(qtbot, window)
    assert "This build has no blower" in place.no_belt.text()
    window.document.edit("drive.kind", "belt")
    settle(qtbot, window)
    assert place.pages.currentIndex() == 0
    assert place.feed.span is not None


def test_a_drag_is_one_step_and_the_span_waits_for_its_end(qtbot, open_place):
    window, place = open_place(changes=MORE_BOOST)
    before, span, undone = window.document.build, place.feed.span, window.document.undo.count()
    generation = place.feed.study.generation
    port, start = place.span_chart.viewport(), on_line(place)
    qtbot.mousePress(port, LEFT, pos=start)
    for step in range(1, 9):
        qtbot.mouseMove(port, start + QPoint(5 * step, 0))
        window.recompute.compute()
    dragged = window.document.build.value(PULLEY)
    assert dragged > before.value(PULLEY)
    # the line is under the pointer
    assert on_line(place).x() == pytest.approx(start.x() + 40, abs=2)
    assert place.feed.span is span
    assert place.feed.study.generation == generation
    assert place.controls.state.text() == ""
    assert place.controls.box.value == dragged
    assert "over, about" in place.controls.present.text()
    qtbot.mouseRelease(port, LEFT, pos=start + QPoint(40, 0))
    settle(qtbot, window)
    assert window.document.undo.count() == undone + 1
    assert place.feed.span is not span
    assert place.feed.span.present.diameter == dragged
    assert window.line.sliders.pulley_box.value == dragged
    window.work.undo()
    settle(qtbot, window)
    assert window.document.build is before
    assert place.controls.box.value == before.value(PULLEY)
    assert place.feed.span.present.diameter == before.value(PULLEY)


def test_the_line_follows_the_slider_of_the_line_place(qtbot, open_place):
    window, place = open_place()
    window.document.edit(PULLEY, 0.080)
    settle(qtbot, window)
    assert place.controls.box.value == 0.080
    frame = place.span_chart._fixed.frame
    assert place.span_chart.present_x == pytest.approx(frame.point(80.0, 0.0)[0], abs=0.5)


def test_snapping_rests_on_the_shelf(qtbot, open_place):
    window, place = open_place()
    window.preferences.change(snapping=True)
    sizes = window.preferences.choices.shelf.pulleys
    port, start = place.span_chart.viewport(), on_line(place)
    qtbot.mousePress(port, LEFT, pos=start)
    qtbot.mouseMove(port, start + QPoint(43, 0))
    qtbot.mouseRelease(port, LEFT, pos=start)
    present = window.document.build.value(PULLEY)
    assert present in sizes
    qtbot.keyClick(place.span_chart, Qt.Key.Key_Right)
    assert window.document.build.value(PULLEY) == sizes[sizes.index(present) + 1]
    qtbot.keyClick(place.span_chart, Qt.Key.Key_PageDown)
    assert window.document.build.value(PULLEY) == sizes[sizes.index(present) - 2]


def test_keys_marks_and_rows_take_a_pulley(qtbot, open_place):
    window, place = open_place()
    qtbot.keyClick(place.span_chart, Qt.Key.Key_Left)
    assert window.document.build.value(PULLEY) == pytest.approx(0.0659)
    chart = place.span_chart
    x, y, mark = chart._shelf.dials[3]
    where = chart.mapFromScene(chart._box.mapToScene(QPointF(x, y)))
    qtbot.mouseClick(chart.viewport(), LEFT, pos=where)
    assert window.document.build.value(PULLEY) == mark.size
    place.hand.itemActivated.emit(place.hand.item(2, 1))
    assert window.document.build.value(PULLEY) == place.feed.span.shelf[1].diameter
    place.controls.box.setText("3 in")
    qtbot.keyClick(place.controls.box, Qt.Key.Key_Return)
    assert window.document.build.value(PULLEY) == pytest.approx(0.0762)
    place.controls.box.setText("3 apples")
    qtbot.keyClick(place.controls.box, Qt.Key.Key_Return)
    assert place.words.isVisible()


def test_worst_cases_and_days_ask_again(qtbot, open_place):
    window, place = open_place(changes={**MORE_BOOST, "bypass.boost_cap": 50e3})
    controls = place.controls
    assert place.feed.span.worst == WorstCase(bypass_stuck_shut=False, missed_shift=True)
    controls.shut.click()
    settle(qtbot, window)
    assert place.feed.span.worst.bypass_stuck_shut
    assert any(g.case == "bypass stuck shut" for g in place.span_chart.series.groups)
    controls.missed.click()
    settle(qtbot, window)
    assert not place.feed.span.worst.missed_shift
    controls.days["hot"].click()
    settle(qtbot, window)
    assert place.feed.span.days == ("mild", "freezing", "hot and high")
    for name in ("mild", "freezing", "hot and high"):
        controls.days[name].click()
    settle(qtbot, window)
    assert place.feed.span.days == ("hot and high",)
    controls.days["hot and high"].click()
    assert controls.days["hot and high"].isChecked()
    assert place.words.text() == "One day at least is judged."


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
    assert place.controls.state.text() == "As of the last stop."
    window.recompute.set_dragging(False)
    settle(qtbot, window)
    assert place.controls.state.text() == ""
    assert place.feed.span.build.bounds.boost == 65e3


def test_work_can_be_cancelled_and_begun_again(qtbot, open_place):
    window, place = open_place()
    span = place.feed.span
    window.document.edit("bypass.boost_cap", 50e3)
    window.recompute.compute()
    assert place.feed.study.is_busy
    place.controls.cancel.click()
    assert not place.feed.study.is_busy
    assert place.controls.state.text().startswith("Stopped.")
    assert place.feed.span is span
    assert place.controls.again.isVisible()
    place.controls.again.click()
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
    assert place.span_chart.series.verdict == "Allowed: 2.529 to 2.691 in"
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
        place.controls.bar,
    ):
        assert widget.accessibleName()
    for box in (*place.controls.days.values(), place.controls.shut, place.controls.missed):
        assert box.toolTip()
