"""The charts under the mouse: clicks, hovering, zoom, ranges; setters are silent."""

import os
from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent, QWheelEvent
from PySide6.QtWidgets import QApplication

from app.chart_tools.line_parts import Mark
from app.chart_tools.palette import DARK
from app.charts.compressor_chart import CompressorChart
from app.charts.strips_chart import StripsChart
from app.present.series import US_CHARTS, line_series, map_axes, map_series, strips_of
from tests.chart_cases import map_chart, matched, overlapping, sheet, show

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

__all__ = ["matched", "sheet"]


def test_setters_never_emit(qtbot, sheet, matched):
    result, surface = matched("frame-95-middle")
    axes = map_axes(surface.compressor_map)
    chart, strips = show(sheet, CompressorChart()), StripsChart()
    show(sheet, strips)
    heard = []
    chart.hovered.connect(lambda *value: heard.append(value))
    chart.engine_speed_clicked.connect(heard.append)
    strips.engine_speed_hovered.connect(heard.append)
    strips.engine_speed_chosen.connect(heard.append)
    line = line_series(result.line, axes)
    chart.set_map(map_series(surface, axes))
    chart.set_line(line)
    chart.set_ghosts([(line, "before")])
    chart.set_marks([Mark(5000.0, "close")])
    chart.set_cursor(4000.0)
    chart.set_readout(lambda flow, ratio: ("words",))
    chart.set_palette(DARK)
    chart.fit()
    strips.set_strips(strips_of(result))
    strips.set_stock(strips_of(result))
    strips.set_ghosts([(strips_of(result), "before")])
    strips.set_cursor(4000.0)
    strips.set_columns(2)
    strips.set_palette(DARK)
    strips.refit()
    QApplication.processEvents()
    assert heard == []


def move(chart, position):
    """Send a move of the mouse without a button: the cursor of a test has no screen."""
    nothing = Qt.MouseButton.NoButton
    event = QMouseEvent(
        QEvent.Type.MouseMove,
        position,
        QPointF(chart.viewport().mapToGlobal(position.toPoint())),
        nothing,
        nothing,
        Qt.KeyboardModifier.NoModifier,
    )
    QApplication.sendEvent(chart.viewport(), event)


def pixel_of(chart, flow, ratio):
    x, y = chart._fixed.frame.point(flow, ratio)
    return chart.mapFromScene(chart._box.mapToScene(QPointF(x, y)))


def test_a_click_on_the_line_says_its_engine_speed(qtbot, sheet, matched):
    chart = map_chart(sheet, matched, "frame-95-middle")
    series = chart._series
    at = pixel_of(chart, *series.at(5000.0))
    with qtbot.waitSignal(chart.engine_speed_clicked) as said:
        qtbot.mouseClick(chart.viewport(), Qt.MouseButton.LeftButton, pos=at)
    assert said.args[0] == pytest.approx(5000.0, abs=100.0)
    off = pixel_of(chart, 0.9 * chart._map.flow_range[1], 1.1)
    with qtbot.assertNotEmitted(chart.engine_speed_clicked):
        qtbot.mouseClick(chart.viewport(), Qt.MouseButton.LeftButton, pos=off)


def test_hovering_says_flow_and_ratio_and_writes_them(qtbot, sheet, matched):
    chart = map_chart(sheet, matched, "frame-95-middle")
    asked = []
    chart.set_readout(lambda flow, ratio: asked.append((flow, ratio)) or ("on the map",))
    with qtbot.waitSignal(chart.hovered) as said:
        move(chart, QPointF(pixel_of(chart, 0.3, 1.5)))
    assert said.args == pytest.approx([0.3, 1.5], abs=0.01)
    assert asked[-1] == tuple(said.args)
    assert chart._readout.rows == ("on the map",)


def turn_wheel(chart, position):
    where = QPointF(position)
    event = QWheelEvent(
        where,
        QPointF(chart.viewport().mapToGlobal(position)),
        QPoint(0, 0),
        QPoint(0, 120),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(chart.viewport(), event)


def test_the_wheel_zooms_over_the_plot_only_and_home_goes_back(qtbot, sheet, matched):
    chart = map_chart(sheet, matched, "frame-95-middle")
    before = chart._box.viewRange()
    turn_wheel(chart, QPoint(20, 300))
    turn_wheel(chart, QPoint(400, 590))
    assert chart._box.viewRange() == before
    turn_wheel(chart, QPoint(400, 300))
    (left, right), (bottom, top) = chart._box.viewRange()
    assert right - left < before[0][1] - before[0][0]
    assert top - bottom < before[1][1] - before[1][0]
    assert overlapping(chart.placed_texts) == []
    qtbot.keyClick(chart, Qt.Key.Key_Home)
    assert np.allclose(chart._box.viewRange(), before)


def test_ranges_stay_while_a_line_moves_and_widen_at_the_end(sheet, matched):
    chart = map_chart(sheet, matched, "frame-95-small")
    result, _ = matched("turbo-52")
    axes = replace(chart._map.axes, flow_scale=3.0)
    series = line_series(result.line, axes)
    before = chart._box.viewRange()
    assert np.nanmax(series.flow) > before[0][1]
    chart.set_line(series)
    assert chart._box.viewRange() == before
    chart.fit_line_if_outside()
    (left, right), (bottom, top) = chart._box.viewRange()
    assert left <= np.nanmin(series.flow)
    assert right >= np.nanmax(series.flow)
    assert bottom <= np.nanmin(series.ratio)
    assert top >= np.nanmax(series.ratio)
    inside = chart._box.viewRange()
    chart.fit_line_if_outside()
    assert chart._box.viewRange() == inside


def test_dragging_over_the_strips_chooses_an_engine_speed(qtbot, sheet, matched):
    result, _ = matched("frame-95-middle")
    chart = show(sheet, StripsChart(), 900, 500)
    chart.set_strips(strips_of(result, units=US_CHARTS))
    QApplication.processEvents()
    with qtbot.waitSignal(chart.engine_speed_hovered):
        move(chart, QPointF(400.0, 200.0))
    with qtbot.waitSignal(chart.engine_speed_chosen) as said:
        qtbot.mousePress(chart.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(450, 200))
    middle = said.args[0]
    with qtbot.waitSignal(chart.engine_speed_chosen) as said:
        qtbot.mousePress(chart.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(891, 200))
    assert 1500.0 < middle < said.args[0] == 6800.0
