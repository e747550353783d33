"""The Pulleys place: a tick of the present pulley's drag, and the span as drawn, to a yardstick."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest
from pulley_cases import MORE_BOOST, SHELF, sample_span
from PySide6.QtWidgets import QApplication

from app.charts.pulley_span_chart import PulleySpanChart
from app.gui.document import Document
from app.gui.window import Window
from app.paths import sample_builds
from app.present.series_pulleys import span_series
from engine_model import load_build


@pytest.fixture
def place(qtbot, preferences, tmp_path):
    build = load_build(sample_builds()["road-six"]).with_values(MORE_BOOST)
    window = Window(Document(build, None), preferences, tmp_path / "journal")
    window.resize(1280, 720)
    qtbot.addWidget(window, before_close_func=lambda w: w.document.undo.setClean())
    window.show()
    qtbot.waitUntil(lambda: window.line.snapshot is not None, timeout=20_000)
    window.rail.show_place("pulleys")
    feed = window.place.feed
    qtbot.waitUntil(lambda: feed.span is not None and not feed.study.is_busy, timeout=20_000)
    window.kept = window.place
    return window.place


def test_a_tick_of_the_drag_to_new_pixels(benchmark, place):
    sizes = [0.06 + 1e-4 * k for k in range(100)]
    turn = iter(range(10**9))
    place.feed._begin()

    def tick():
        place.feed.edit(sizes[next(turn) % 100])
        place.span_chart.viewport().repaint()
        place.curves_chart.viewport().repaint()

    benchmark(tick)
    place.feed._end()


def test_the_span_as_series(benchmark):
    span = sample_span(more=True, shelf=SHELF)
    benchmark(span_series, span)


def test_the_span_as_drawn(benchmark, qtbot):
    chart = PulleySpanChart()
    qtbot.addWidget(chart)
    chart.resize(640, 480)
    chart.show()
    series = span_series(sample_span(more=True))

    def draw():
        chart.set_series(series)
        chart.viewport().repaint()

    benchmark(draw)
    QApplication.processEvents()
