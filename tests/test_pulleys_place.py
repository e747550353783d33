"""The Pulleys place in the window: shows, asks, drags, undoes, covers, ends."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")


import pytest
from pulley_cases import MORE_BOOST
from pulley_window import on_line, open_place, settle
from PySide6.QtCore import QPoint, QPointF, Qt

from app.paths import sample_builds
from engine_model import load_build
from engine_model.studies.pulley_span import pulley_span
from engine_model.studies.span_records import WorstCase

PULLEY = "drive.blower_pulley_diameter"
LEFT = Qt.MouseButton.LeftButton
__all__ = ["open_place"]


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
    assert place.caution.isVisible()
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
    assert place.controls.work.state.text() == ""
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


@pytest.mark.long
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
    controls.day_ticks.boxes["hot"].click()
    settle(qtbot, window)
    assert place.feed.span.days == ("mild", "freezing", "hot and high")
    for name in ("mild", "freezing", "hot and high"):
        controls.day_ticks.boxes[name].click()
    settle(qtbot, window)
    assert place.feed.span.days == ("hot and high",)
    controls.day_ticks.boxes["hot and high"].click()
    assert controls.day_ticks.boxes["hot and high"].isChecked()
    assert place.words.text() == "One day at least is judged."
