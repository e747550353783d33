"""The two charts of the pulley span: empty, normal, nothing judged; texts, mouse, files."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from dataclasses import replace

import numpy as np
import pytest
from chart_cases import colours, overlapping, sheet, show
from pulley_cases import DAYS, blank_span, made_span, sample_span
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtWidgets import QApplication

from app.chart_tools.palette import DARK, LIGHT, PALETTES
from app.charts.pulley_curves_chart import PulleyCurvesChart
from app.charts.pulley_span_chart import PulleySpanChart
from app.present.series_pulley_curves import pulley_curves_series
from app.present.series_pulleys import span_series

__all__ = ["sheet"]

LEFT = Qt.MouseButton.LeftButton


def span_chart(sheet, span, palette=LIGHT, size=(660, 480), units="si"):
    chart = show(sheet, PulleySpanChart(palette=palette), *size)
    chart.set_series(span_series(span, units))
    # it scrolls where there is less room than its bars need
    chart.resize(chart.width(), max(chart.height(), chart.wanted_height()))
    chart.set_present(span.present.diameter, "66.0 mm")
    QApplication.processEvents()
    return chart


def position_of(chart, x, y):
    """Widget position of a pixel of the plot."""
    return chart.mapFromScene(chart._box.mapToScene(QPointF(x, y)))


def texts(chart):
    return [(text.text, text.box) for text in chart.placed_texts]


@pytest.mark.parametrize("palette", PALETTES, ids=lambda palette: palette.name)
def test_bars_have_the_colours_of_their_states(sheet, palette):
    painted = colours(span_chart(sheet, sample_span(more=True), palette), 100)
    assert {palette.over, palette.close, palette.canvas, palette.background} <= painted


@pytest.mark.parametrize(
    "make",
    [
        lambda: sample_span(more=True),
        lambda: sample_span(),
        lambda: sample_span("tow-eight"),
        lambda: sample_span(shut=True),
        made_span,
    ],
)
@pytest.mark.parametrize("size", [(640, 480), (800, 620), (1470, 1060)])
def test_texts_keep_clear_of_each_other_and_inside(sheet, make, size):
    chart = span_chart(sheet, make(), size=size)
    placed = texts(chart)
    frame = chart._fixed.frame
    assert all(box.inside(frame.width, frame.height) for _, box in placed)
    # letters are lower than their line: rows may touch
    shrunk = [(text, box.grown(-1.5)) for text, box in placed]
    assert overlapping(shrunk) == []
    titles = {group.title for group in chart.series.groups}
    days = {bar.name for bar in chart.series.bars}
    assert titles | days <= {text for text, _ in placed}
    assert not any(text.endswith("…") for text, _ in placed if text in titles | days)


def test_long_names_of_days_are_cut_and_cover_nothing(sheet):
    days = ("a day with a name as long as a sentence of its own", "another of that kind")
    span = made_span()
    bars = tuple(replace(bar, day=days[DAYS.index(bar.day)]) for bar in span.bars)
    bars = (*bars[:1], replace(bars[1], used=bars[1].used * 1.01), *bars[2:])
    chart = span_chart(sheet, replace(span, days=days, bars=bars), size=(560, 400))
    placed = texts(chart)
    assert overlapping([(text, box.grown(-1.5)) for text, box in placed]) == []
    assert sum(text.startswith("a day with") for text, _ in placed) == 1
    assert "Boost" in [text for text, _ in placed]


def test_what_stops_the_span_stands_on_the_chart(sheet):
    words = [text for text, _ in texts(span_chart(sheet, sample_span(more=True)))]
    assert "Allowed: 63.9 to 67.9 mm" in words
    assert "← smaller: Boost, freezing day" in words
    assert "larger: Power asked by the target, mild day →" in words
    assert "Clear at every pulley: Piston speed" in words
    none = [text for text, _ in texts(span_chart(sheet, sample_span()))]
    assert "No pulley is allowed" in none
    assert any("exclude each other: 0.1 mm apart" in text for text in none)


def test_two_stretches_are_shaded_and_named(sheet):
    chart = span_chart(sheet, made_span())
    words = [text for text, _ in texts(chart)]
    assert "Allowed: 60.0 to 70.0 mm and 80.0 to 90.0 mm" in words
    shade = next(p for p in chart._fixed._parts if type(p).__name__ == "AllowedShade")
    frame = chart._fixed.frame
    ends = [(box.left(), box.right()) for box in shade._boxes]
    expected = [(frame.point(a, 0)[0], frame.point(b, 0)[0]) for a, b in ((60, 70), (80, 90))]
    np.testing.assert_allclose(ends, expected, atol=1e-6)


@pytest.mark.parametrize("make", [made_span, blank_span, lambda: sample_span(shelf=())])
def test_both_charts_draw_whatever_is_known(sheet, make):
    span = make()
    chart = span_chart(sheet, span)
    assert LIGHT.text in colours(chart)
    chart.hide()
    curves = show(sheet, PulleyCurvesChart(), 380, 460)
    curves.set_series(pulley_curves_series(span))
    curves.set_present(66.0)
    QApplication.processEvents()
    drawn = [len(view.curves.drawn) for view in curves.views]
    known = np.isfinite(span.curves.boost_peak_pa).any()
    assert all(count > 0 for count in drawn) if known else drawn == [0, 0, 0]
    assert LIGHT.text in colours(curves)


def test_no_span_draws_as_nothing(sheet):
    chart = span_chart(sheet, made_span())
    chart.set_series(None)
    chart.set_present(None)
    QApplication.processEvents()
    assert LIGHT.line not in colours(chart)
    assert np.isnan(chart.size_at(QPointF(300, 200)))
    assert chart.words_at(QPointF(300, 200)) == ""


def test_the_line_is_dragged(qtbot, sheet):
    chart = span_chart(sheet, made_span())
    told = []
    chart.started.connect(lambda: told.append("start"))
    chart.stopped.connect(lambda: told.append("stop"))
    chart.moved.connect(told.append)
    start = position_of(chart, chart.present_x, 200)
    port = chart.viewport()
    qtbot.mousePress(port, LEFT, pos=start)
    qtbot.mouseMove(port, start + QPoint(40, 0))
    qtbot.mouseMove(port, QPoint(5000, 200))
    qtbot.mouseRelease(port, LEFT, pos=start)
    assert told[0] == "start"
    assert told[-1] == "stop"
    frame = chart._fixed.frame
    moved = 40.0 * (frame.right - frame.left) / frame.width
    assert told[1] == pytest.approx(0.066 + moved * 1e-3, abs=2e-4)
    # beyond the range it stays at its end
    assert told[2] == pytest.approx(0.10)


def test_away_from_the_line_nothing_is_dragged(qtbot, sheet):
    chart = span_chart(sheet, made_span())
    away = position_of(chart, chart.present_x + 60, 200)
    with qtbot.assertNotEmitted(chart.started), qtbot.assertNotEmitted(chart.moved):
        qtbot.mousePress(chart.viewport(), LEFT, pos=away)
        qtbot.mouseMove(chart.viewport(), away + QPoint(30, 0))
        qtbot.mouseRelease(chart.viewport(), LEFT, pos=away)


def test_marks_of_the_shelf_are_taken_and_told(qtbot, sheet):
    chart = span_chart(sheet, made_span())
    x, y, mark = chart._shelf.dials[0]
    where = position_of(chart, x, y)
    assert mark.size == 0.065
    assert chart.words_at(QPointF(where)).startswith("65.0 mm: clear, 80 % of Boost used, mild day")
    with qtbot.waitSignal(chart.chosen) as caught:
        qtbot.mouseClick(chart.viewport(), LEFT, pos=where)
    assert caught.args == [0.065]


def test_bars_are_told(sheet):
    chart = span_chart(sheet, made_span())
    row = chart.rows.groups[0].bars[0]
    x = chart._fixed.frame.point(55.0, 0.0)[0]
    words = chart.words_at(QPointF(position_of(chart, x, row.top + 0.5 * row.height)))
    assert words.startswith("Boost, every day: over at 5")
    assert "about 12" in words
    chart.set_covered(True)
    assert chart.words_at(QPointF(position_of(chart, x, row.top + 2))) == ""


@pytest.mark.parametrize(
    ("key", "steps"),
    [(Qt.Key.Key_Left, -1), (Qt.Key.Key_Right, 1), (Qt.Key.Key_PageUp, 10)],
)
def test_keys_step(qtbot, sheet, key, steps):
    chart = span_chart(sheet, made_span())
    with qtbot.waitSignal(chart.stepped) as caught:
        qtbot.keyClick(chart, key)
    assert caught.args == [steps]


def test_another_palette_recolours_everything(sheet):
    chart = span_chart(sheet, sample_span(more=True))
    chart.set_palette(DARK)
    QApplication.processEvents()
    dark = colours(chart)
    assert {DARK.background, DARK.over, DARK.line} <= dark
    assert not {LIGHT.background, LIGHT.over, LIGHT.line} & dark


def test_covered_bars_are_gone(sheet):
    chart = span_chart(sheet, sample_span(more=True))
    chart.set_covered(True)
    QApplication.processEvents()
    assert not {LIGHT.over, LIGHT.close} & colours(chart, 20)
    assert "Allowed: 63.9 to 67.9 mm" not in [text for text, _ in texts(chart)]


def test_a_copy_shows_the_same(sheet):
    chart = span_chart(sheet, sample_span(more=True))
    made = show(sheet, chart.copied(), chart.width(), chart.height())
    assert texts(made) == [] or [t for t, _ in texts(made)] == [t for t, _ in texts(chart)]
    assert made.present_x == pytest.approx(chart.present_x, abs=1.0)


def test_values_at_the_present_pulley(sheet):
    chart = show(sheet, PulleyCurvesChart(), 380, 460)
    chart.set_series(pulley_curves_series(made_span()))
    chart.set_present(75.0)
    QApplication.processEvents()
    chart.views[0].plot.moving.lay_out()
    assert chart.views[0].present.text.text == "235 to 250"
    chart.set_present(40.0)
    chart.views[0].plot.moving.lay_out()
    assert chart.views[0].present.text is None
