"""The charts: empty, normal and all-nan results, every sample map, palettes, signals."""

import itertools
import math
import os
from dataclasses import fields

import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QImage, QMouseEvent
from PySide6.QtWidgets import QApplication, QWidget

from app.chart_tools.line_parts import Mark
from app.chart_tools.palette import DARK, LIGHT, PALETTES
from app.charts import CHARTS, chart_class
from app.charts.compressor_chart import CompressorChart
from app.charts.strips_chart import StripsChart
from app.present.series import (
    STRIPS,
    US_CHARTS,
    line_series,
    map_axes,
    map_series,
    strips_of,
)
from engine_model.matching import match
from engine_model.results import Match, OperatingLine

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

MAPS = ("frame-95-large", "frame-95-middle", "frame-95-small", "turbo-52")
EVERY_STRIP = tuple(strip.key for strip in STRIPS)
PULLEY = 0.065


@pytest.fixture
def sheet(qtbot):
    """A parent for the charts, never on a screen."""
    made = QWidget()
    made.setAttribute(Qt.WidgetAttribute.WA_DontShowOnScreen)
    qtbot.addWidget(made)
    return made


@pytest.fixture(scope="module")
def matched(sample_build, sample_surface):
    """Match and surface of a build around a sample map, by its name."""
    kept = {}

    def of(name):
        if name not in kept:
            drive = (
                {"drive__kind": "free_shaft"}
                if name.startswith("turbo")
                else {"drive__blower_pulley_diameter": PULLEY}
            )
            build = sample_build(name, target__power=300e3, **drive)
            kept[name] = match(build, surface=sample_surface(name)), sample_surface(name)
        return kept[name]

    return of


def all_nan(result):
    """A match whose every computed value is nan."""
    arrays = {one.name: getattr(result.line, one.name) for one in fields(OperatingLine)}
    blank = {
        name: np.full_like(array, np.nan)
        for name, array in arrays.items()
        if name not in ("engine_speed_rpm", "region_index")
    }
    return Match(result.build, result.day, OperatingLine(**{**arrays, **blank}), result.ledger)


def some_nan(result, first, last):
    """A match without a solution between two indices."""
    arrays = {one.name: getattr(result.line, one.name).copy() for one in fields(OperatingLine)}
    for name, array in arrays.items():
        if name not in ("engine_speed_rpm", "region_index"):
            array[first:last] = np.nan
    return Match(result.build, result.day, OperatingLine(**arrays), result.ledger)


def show(sheet, chart, width=900, height=600):
    chart.setParent(sheet)
    sheet.resize(width, height)
    chart.setGeometry(0, 0, width, height)
    sheet.show()
    chart.show()
    QApplication.processEvents()
    return chart


def colours(widget, least=1):
    """Distinct colours of what a widget paints, each on so many pixels at least."""
    image = widget.grab().toImage().convertToFormat(QImage.Format.Format_RGB32)
    pixels = np.frombuffer(image.constBits(), np.uint32)
    values, counts = np.unique(pixels, return_counts=True)
    return {f"#{value & 0xFFFFFF:06x}" for value in values[counts >= least].tolist()}


def map_chart(sheet, matched, name, palette=LIGHT, size=(900, 600)):
    result, surface = matched(name)
    axes = map_axes(surface.compressor_map)
    chart = show(sheet, CompressorChart(palette=palette), *size)
    chart.set_map(map_series(surface, axes))
    chart.set_line(line_series(result.line, axes, "", result.build.engine.limiter))
    chart.fit_line_if_outside()
    return chart


def overlapping(texts):
    return [
        (a, b) for (a, box), (b, other) in itertools.combinations(texts, 2) if box.overlaps(other)
    ]


@pytest.mark.parametrize("row", CHARTS, ids=lambda row: row.name)
def test_every_chart_of_the_registry_draws_nothing_without_a_fault(sheet, row):
    chart = show(sheet, chart_class(row.name)())
    painted = colours(chart)
    assert LIGHT.background in painted
    assert LIGHT.line not in painted


def test_an_unknown_chart_is_refused():
    with pytest.raises(KeyError, match="no_such_chart"):
        chart_class("no_such_chart")


@pytest.mark.parametrize("palette", PALETTES, ids=lambda palette: palette.name)
@pytest.mark.parametrize("name", MAPS)
def test_every_sample_map_draws_in_its_palette(sheet, matched, name, palette):
    chart = map_chart(sheet, matched, name, palette)
    # blended edges are on few pixels, a band on many
    areas = colours(chart, 400)
    levels = len(map_series(matched(name)[1]).bands)
    assert {palette.background, palette.canvas, palette.ramp[0], palette.ramp[-1]} <= areas
    assert len(areas & set(palette.ramp)) == levels + 1
    assert palette.line in colours(chart)


@pytest.mark.parametrize("size", [(900, 600), (1600, 1000), (640, 420)])
@pytest.mark.parametrize("name", MAPS)
def test_texts_of_a_map_keep_clear_of_each_other(sheet, matched, name, size):
    chart = map_chart(sheet, matched, name, size=size)
    texts = chart.placed_texts
    words = [text for text, _ in texts]
    series = map_series(matched(name)[1])
    assert overlapping(texts) == []
    assert overlapping([*texts, *chart.placed_ticks]) == []
    assert {"surge side", "choke side"} <= set(words)
    if size != (640, 420):
        assert {outline.label for outline in series.outlines} <= set(words)
        assert {line.label for line in series.speed_lines} <= set(words)
    frame = chart._fixed.frame
    assert all(box.inside(frame.width, frame.height) for _, box in texts)


def test_engine_speeds_stand_along_the_line(sheet, matched):
    words = [text for text, _ in map_chart(sheet, matched, "frame-95-middle").placed_ticks]
    assert {"2000", "3000", "4000", "5000", "6000"} <= set(words)
    assert any("limiter" in text for text in words)


def test_a_line_of_nan_draws_as_no_line(sheet, matched):
    chart = map_chart(sheet, matched, "frame-95-large")
    result, surface = matched("frame-95-large")
    series = line_series(all_nan(result).line, map_axes(surface.compressor_map), "", 6800.0)
    chart.set_line(series)
    chart.set_marks([Mark(5000.0, "over")])
    chart.set_cursor(5000.0)
    chart.fit_line_if_outside()
    painted = chart.grab().toImage()
    chart.set_line(None)
    chart.set_marks([])
    chart.set_cursor(None)
    assert series.pieces == ()
    assert painted == chart.grab().toImage()


def test_a_gap_of_nan_breaks_the_line(matched):
    result, surface = matched("frame-95-large")
    axes = map_axes(surface.compressor_map)
    series = line_series(some_nan(result, 40, 50).line, axes)
    covered = {k for piece in series.pieces for k in range(piece.start, piece.stop)}
    assert covered == set(range(series.engine_speed.size)) - set(range(40, 50))


@pytest.mark.parametrize("make", [lambda r: r, all_nan, lambda r: some_nan(r, 30, 60)])
@pytest.mark.parametrize("name", MAPS)
def test_every_strip_draws(sheet, matched, name, make):
    result = make(matched(name)[0])
    chart = show(sheet, StripsChart(columns=2), 1200, 800)
    chart.set_strips(strips_of(result, EVERY_STRIP))
    chart.set_stock(strips_of(all_nan(result), EVERY_STRIP))
    chart.set_ghosts([(strips_of(result, ("boost",)), "before")])
    chart.set_cursor(5000.0)
    chart.refit()
    QApplication.processEvents()
    assert chart.keys == EVERY_STRIP
    curves = [len(one.curves.drawn) for one in chart._plots]
    if np.isfinite(result.line.boost_gauge_pa).any():
        assert min(curves) > 0
    else:
        assert curves == [0] * len(EVERY_STRIP)
    assert LIGHT.text in colours(chart)


def test_strips_without_a_strip_draw_nothing(sheet):
    chart = show(sheet, StripsChart())
    chart.set_strips(())
    chart.set_cursor(3000.0)
    chart.refit()
    assert math.isnan(chart.engine_speed_at(QPointF(50.0, 50.0)))


def test_another_palette_recolours_everything(sheet, matched):
    result, _ = matched("frame-95-small")
    chart = map_chart(sheet, matched, "frame-95-small")
    chart.set_palette(DARK)
    QApplication.processEvents()
    dark = colours(chart)
    assert {DARK.background, DARK.line} <= dark
    assert not {LIGHT.background, LIGHT.line} & dark
    chart.hide()
    strips = show(sheet, StripsChart())
    strips.set_strips(strips_of(result))
    strips.set_palette(DARK)
    QApplication.processEvents()
    dark = colours(strips)
    assert {DARK.background, DARK.canvas} <= dark
    assert not {LIGHT.background, LIGHT.canvas, LIGHT.line} & dark


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


def test_the_wheel_zooms_over_the_plot_and_fit_goes_back(qtbot, sheet, matched):
    chart = map_chart(sheet, matched, "frame-95-middle")
    before = chart._box.viewRange()
    chart._box.scaleBy((0.5, 0.5))
    assert chart._box.viewRange() != before
    assert overlapping(chart.placed_texts) == []
    qtbot.keyClick(chart, Qt.Key.Key_Home)
    assert np.allclose(chart._box.viewRange(), before)


def test_ranges_stay_while_a_line_moves_and_widen_at_the_end(sheet, matched):
    chart = map_chart(sheet, matched, "frame-95-small")
    large, _ = matched("turbo-52")
    before = chart._box.viewRange()
    series = line_series(large.line, chart._map.axes)
    scaled = line_series(large.line.part(slice(None)), chart._map.axes)
    assert np.nanmax(series.flow) == np.nanmax(scaled.flow)
    far = map_axes(matched("turbo-52")[1].compressor_map, "g/s")
    chart.set_line(line_series(large.line, far))
    assert chart._box.viewRange() == before
    chart.set_line(series)
    chart._box.setRange(xRange=(0.0, 0.2), yRange=(1.0, 1.5), padding=0.0)
    chart.fit_line_if_outside()
    (left, right), (bottom, top) = chart._box.viewRange()
    assert left <= np.nanmin(series.flow)
    assert right >= np.nanmax(series.flow)
    assert bottom <= np.nanmin(series.ratio)
    assert top >= np.nanmax(series.ratio)


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
        qtbot.mousePress(chart.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(898, 200))
    assert 1500.0 < middle < said.args[0] == 6800.0


def test_the_same_strips_keep_their_plots(sheet, matched):
    result, _ = matched("frame-95-middle")
    chart = show(sheet, StripsChart(), 900, 500)
    chart.set_strips(strips_of(result))
    before, ranges = list(chart._plots), [one.box.viewRange() for one in chart._plots]
    chart.set_strips(strips_of(matched("frame-95-small")[0]))
    assert chart._plots == before
    assert [one.box.viewRange() for one in chart._plots] == ranges
    chart.set_strips(strips_of(result, ("torque", "boost")))
    assert chart.keys == ("torque", "boost")
    assert len(chart._plots) == 2


def test_charts_leave_no_window_behind(qtbot, sheet, matched):
    before = set(QApplication.topLevelWidgets())
    chart = map_chart(sheet, matched, "frame-95-small")
    strips = show(sheet, StripsChart())
    strips.set_strips(strips_of(matched("frame-95-small")[0]))
    QApplication.processEvents()
    assert set(QApplication.topLevelWidgets()) - before == set()
    assert {chart.window(), strips.window()} == {sheet}


@pytest.mark.parametrize("palette", PALETTES, ids=lambda palette: palette.name)
def test_the_ramp_changes_lightness_steadily(palette):
    # lightness alone must tell the bands apart: grey print, colour blindness
    rgb = np.array([QColor(shade).getRgbF()[:3] for shade in palette.ramp[::9]])
    # luminance of sRGB (IEC 61966-2-1), its curve taken as a power of 2.2
    steps = np.diff(rgb**2.2 @ [0.2126, 0.7152, 0.0722])
    assert np.all(steps < 0.0) or np.all(steps > 0.0)
