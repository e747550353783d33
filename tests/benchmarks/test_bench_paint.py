"""Cost of the series and of the paint they cause; a plain run does each once."""

import os

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QWidget

from app.charts.compressor_chart import CompressorChart
from app.charts.strips_chart import StripsChart
from app.present.series import line_series, map_axes, map_series, strips_of
from engine_model.matching import match

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

SIZE = (1400, 850)
MAP_HEIGHT = 560
PULLEYS = np.linspace(0.056, 0.090, 24)


@pytest.fixture(scope="module")
def matches(sample_build, sample_surface):
    """Matches along a drag of the blower pulley, 200 points each."""
    build, surface = sample_build("frame-95-middle"), sample_surface("frame-95-middle")
    speeds = np.linspace(1500.0, build.engine.limiter, 200)
    return [
        match(
            build.with_value("drive.blower_pulley_diameter", float(pulley)),
            rpm=speeds,
            surface=surface,
        )
        for pulley in PULLEYS
    ]


@pytest.fixture
def window(qtbot, matches, sample_surface):
    """Map over four strips, as the Line place shows them."""
    sheet = QWidget()
    qtbot.addWidget(sheet)
    sheet.resize(*SIZE)
    chart, strips = CompressorChart(sheet), StripsChart(sheet)
    chart.setGeometry(0, 0, SIZE[0], MAP_HEIGHT)
    strips.setGeometry(0, MAP_HEIGHT, SIZE[0], SIZE[1] - MAP_HEIGHT)
    sheet.setAttribute(Qt.WidgetAttribute.WA_ShowWithoutActivating)
    sheet.show()
    chart.set_map(map_series(sample_surface("frame-95-middle")))
    strips.set_strips(strips_of(matches[0]))
    chart.set_cursor(5000.0)
    strips.set_cursor(5000.0)
    QApplication.processEvents()
    yield chart, strips
    sheet.hide()


def test_a_drag_to_painted_pixels(benchmark, window, matches, sample_surface):
    chart, strips = window
    axes = map_axes(sample_surface("frame-95-middle").compressor_map)
    turn = iter(range(10**9))

    def step():
        result = matches[next(turn) % len(matches)]
        chart.set_line(line_series(result.line, axes, "", 6800.0))
        strips.set_strips(strips_of(result))
        QApplication.processEvents()

    before = chart.grab().toImage()
    step()
    step()
    benchmark(step)
    assert chart.grab().toImage() != before
    if benchmark.stats is not None:
        assert benchmark.stats.stats.median < 0.012


def test_series_of_a_map(benchmark, sample_surface):
    series = benchmark(map_series, sample_surface("frame-95-large"))
    assert len(series.speed_lines) == 10
    if benchmark.stats is not None:
        assert benchmark.stats.stats.median < 0.060


def test_series_of_a_line(benchmark, matches, sample_surface):
    axes = map_axes(sample_surface("frame-95-middle").compressor_map)
    series = benchmark(line_series, matches[0].line, axes)
    assert series.engine_speed.size == 200
    if benchmark.stats is not None:
        assert benchmark.stats.stats.median < 0.0003


def test_series_of_four_strips(benchmark, matches):
    strips = benchmark(strips_of, matches[0])
    assert len(strips) == 4
    if benchmark.stats is not None:
        assert benchmark.stats.stats.median < 0.001
