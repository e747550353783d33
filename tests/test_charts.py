"""The charts: empty, normal and all-nan results, every sample map, palettes."""

import os

import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPointF
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QApplication

from app.chart_tools.line_parts import Mark
from app.chart_tools.palette import DARK, LIGHT, PALETTES
from app.charts import CHARTS, chart_class
from app.charts.strips_chart import StripsChart
from app.present.series import STRIPS, line_series, map_axes, map_series, strips_of
from tests.chart_cases import (
    MAPS,
    all_nan,
    colours,
    map_chart,
    matched,
    overlapping,
    sheet,
    show,
    some_nan,
)

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

__all__ = ["matched", "sheet"]
EVERY_STRIP = tuple(strip.key for strip in STRIPS)


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


def test_axis_labels_stand_in_the_middle(sheet, matched):
    chart = map_chart(sheet, matched, "frame-95-middle")
    bottom, left = chart._bottom, chart._left
    across = bottom.label.pos().x() + 0.5 * bottom.label.boundingRect().width()
    up = left.label.pos().y() - 0.5 * left.label.boundingRect().width()
    assert across == pytest.approx(0.5 * bottom.size().width(), abs=2.0)
    assert up == pytest.approx(0.5 * left.size().height(), abs=2.0)
    assert "at 25 °C, 100 kPa" in bottom.label.toPlainText()


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
        # only a belt has a grip
        driven = np.isfinite(result.line.belt_slip).any()
        of_knock = {s.key for s in STRIPS if s.of_knock} if result.knock is None else set()
        assert min(
            c
            for k, c in zip(chart.keys, curves, strict=True)
            if (driven or "belt" not in k) and k not in of_knock
        )
    else:
        assert curves == [0] * len(EVERY_STRIP)
    assert LIGHT.text in colours(chart)


def test_strips_without_a_strip_draw_nothing(sheet):
    chart = show(sheet, StripsChart())
    chart.set_strips(())
    chart.set_cursor(3000.0)
    chart.refit()
    assert np.isnan(chart.engine_speed_at(QPointF(50.0, 50.0)))


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
    assert {chart.window(), strips.window()} == {sheet}
    new = set(QApplication.topLevelWidgets()) - before
    # a grid layout of Qt keeps one hidden widget to ask for its style
    assert len(new) <= 2
    assert not any(widget.isVisible() for widget in new)
    chart.deleteLater()
    strips.deleteLater()
    del chart, strips, new
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    assert set(QApplication.topLevelWidgets()) - before == set()


@pytest.mark.parametrize("palette", PALETTES, ids=lambda palette: palette.name)
def test_the_ramp_changes_lightness_steadily(palette):
    # lightness alone must tell the bands apart: grey print, colour blindness
    rgb = np.array([QColor(shade).getRgbF()[:3] for shade in palette.ramp[::9]])
    # luminance of sRGB (IEC 61966-2-1), its curve taken as a power of 2.2
    steps = np.diff(rgb**2.2 @ [0.2126, 0.7152, 0.0722])
    assert np.all(steps < 0.0) or np.all(steps > 0.0)
