"""Maps laid over each other: one reference state, hues that grey print tells apart, own texts."""

import math
import os
from dataclasses import replace

import numpy as np
import pytest

from app.chart_tools.palette import PALETTES
from app.charts.compressor_overlay_chart import CompressorOverlayChart
from app.present.series import line_series
from app.present.series_overlay import OverlayItem, overlay_csv, overlay_series
from engine_model.compressor.surface_fit import fit_surface
from tests.chart_cases import all_nan, colours, matched, overlapping, sheet, show

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
__all__ = ["matched", "sheet"]
NAMES = ("frame-95-middle", "frame-95-small", "frame-95-large")


def items(matched, line=lambda result: result.line):
    found = []
    for name in NAMES:
        result, surface = matched(name)
        found.append(OverlayItem(surface, line(result), name, "pulley 65.0 mm", 6800.0))
    return found


def luminance(colour):
    """Relative luminance of WCAG 2.1, from memory: linear sRGB weighted 0.2126, 0.7152, 0.0722."""
    parts = [int(colour[k : k + 2], 16) / 255.0 for k in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("palette", PALETTES, ids=lambda palette: palette.name)
def test_hues_stand_off_the_canvas_and_from_each_other_in_grey(palette):
    a, b, c = palette.trio
    # 3:1 is what WCAG 2.1 asks of the parts of a picture
    assert all(contrast(hue, palette.canvas) >= 3.0 for hue in (a, b, c))
    assert contrast(a, b) >= 1.25
    assert contrast(b, c) >= 1.25


@pytest.mark.parametrize("palette", PALETTES, ids=lambda palette: palette.name)
@pytest.mark.parametrize("size", [(900, 600), (560, 330)])
def test_three_maps_draw_and_texts_keep_clear(sheet, matched, palette, size):
    chart = show(sheet, CompressorOverlayChart(palette=palette), *size)
    chart.set_series(overlay_series(items(matched), "mild"))
    assert set(palette.trio) <= colours(chart)
    texts = chart.placed_texts
    assert overlapping(texts) == []
    words = [text for text, _ in texts]
    assert [text[0] for text in words[:3]] == ["A", "B", "C"]
    if size == (900, 600):
        assert {"A  6800 rpm", "B  6800 rpm", "C  6800 rpm"} <= set(words)
    chart.set_shaded(True)
    assert palette.ramp[-1] in colours(chart)
    chart.set_covered(True)
    assert not any("rpm" in text and text[0] in "ABC" for text, _ in chart.placed_texts)


def test_lines_of_nan_draw_as_no_lines(sheet, matched):
    chart = show(sheet, CompressorOverlayChart())
    chart.set_series(overlay_series(items(matched, lambda r: all_nan(r).line), "mild"))
    blank = chart.grab().toImage()
    chart.set_series(overlay_series(items(matched, lambda r: None), "mild"))
    assert chart.grab().toImage() == blank
    assert overlay_series([], "mild") is None


def test_a_map_of_another_reference_state_is_brought_to_the_first(matched):
    result, surface = matched("frame-95-middle")
    first = OverlayItem(surface, result.line, "first", "", 6800.0)
    own = surface.compressor_map
    warm = replace(own, reference_temperature=own.reference_temperature * 1.21)
    other = OverlayItem(fit_surface(warm), result.line, "warm", "", 6800.0)
    series = overlay_series([first, other], "mild")
    # W_cB = W_cA sqrt(T_A/T_B) (p_B/p_A), by definition
    factor = math.sqrt(1.21)
    a, b = (one.map.axes.flow_scale for one in series.maps)
    assert b / a == pytest.approx(factor, rel=1e-12)
    np.testing.assert_allclose(
        series.maps[1].line.flow, line_series(result.line, series.axes).flow * factor
    )
    static = replace(own, pressure_basis="total_to_static")
    mixed = [first, OverlayItem(fit_surface(static), None, "static", "", 6800.0)]
    assert overlay_series(mixed, "mild").note == "B: pressure ratio total to static"


def test_numbers_name_map_and_drive(matched):
    text = overlay_csv(overlay_series(items(matched), "mild", "us"), (("aim", "most power"),))
    head, *rows = text.splitlines()
    assert "[lb/min]" in head
    assert head.endswith(",region,aim")
    for name in NAMES:
        assert any(row.startswith(f"{name},pulley 65.0 mm,surge line") for row in rows)
        assert any(row.startswith(f'{name},pulley 65.0 mm,"operating line') for row in rows)
