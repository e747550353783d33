"""Where a new user stumbled over the charts: texts, keys, ranges, labels, columns."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QPoint
from PySide6.QtWidgets import QApplication

from app.chart_tools.axis import AXIS_TEXT, QuietAxis
from app.chart_tools.palette import LIGHT
from app.chart_tools.strip_parts import widest
from app.charts.strips_chart import StripsChart
from app.gui.places.line.chart_export import ALL_STRIPS, MAP
from app.gui.places.line.columns import widths_of
from app.present.caption import line_words
from app.present.series import STRIPS, US_CHARTS, line_series, map_axes, map_series, strips_of
from engine_model.matching import match
from tests.chart_cases import MAPS, map_chart, matched, overlapping, sheet, show
from tests.export_bench import PULLEY, svg_texts, window
from tests.test_charts_mouse import turn_wheel

__all__ = ["matched", "sheet", "window"]

UNIT = "speed lines: corrected speed in 1000 rpm"


def rest(window):
    """Compute at rest and paint."""
    window.recompute.compute()
    QApplication.processEvents()


def strip_of(window, key):
    return next(one for one in window.line.strips._plots if one.series.key == key)


def words_of(texts):
    return [text.text for text in texts]


def test_pins_stay_on_the_map_through_the_classroom_view(window):
    line = window.line
    before = line.map._ghosts.lines
    assert len(before) == 2
    for covered in (True, False):
        line.drawing.set_covered(covered)
        assert line.map._ghosts.lines == before
    # other axes: drawn again on them
    line.drawing.set_flow_unit("lb/min")
    names = [name for _, name in line.map._ghosts.lines]
    units = {series.axes.flow_unit for series, _ in line.map._ghosts.lines}
    assert (names, units) == (["small one", "large one"], {"lb/min"})


def heights(window):
    """Heights of texts in both charts, of numbers of the axes, and of a caption [px]."""
    QApplication.processEvents()
    line = window.line
    title = line.map.placed_texts[0][1].height
    tick = max(box.height for _, box in line.map.placed_ticks)
    strips = [one for one in line.strips._plots if one.series.bounds]
    bound = strips[0].texts.texts[0].box.height
    axis = strips[0].left.style["tickFont"].pixelSize()
    with line.drawing.shown(MAP) as shown:
        bare, whole = shown.picture(1.0), shown.picture(1.0, ("one", "two"))
    return title, tick, bound, axis, whole.height() - bare.height()


def test_texts_of_map_strips_and_exports_follow_the_text_size_and_the_classroom(window):
    usual = heights(window)
    assert usual[3] == AXIS_TEXT
    window.preferences.change(text_scale=1.5)
    large = heights(window)
    # the caption has fixed room around its words
    assert np.allclose(np.array(large) / usual, 1.5, atol=0.2)
    window.preferences.change(text_scale=1.0)
    assert heights(window) == usual
    window.line.set_classroom(True)
    window.line.reveal_answers()
    assert heights(window) == large
    window.line.set_classroom(False)
    assert heights(window) == usual


@pytest.mark.parametrize("high", [0.557, 3.3, 47.0, 812.0])
@pytest.mark.parametrize("pixels", [18.0, 30.0, 60.0, 200.0])
def test_an_axis_has_two_numbers_without_idle_digits(high, pixels):
    axis = QuietAxis("left", 26.0, 6.0)
    axis.set_words("", replace(LIGHT, text_scale=1.5))
    ((step, values),) = axis.tickValues(0.0, high, pixels)
    words = axis.tickStrings(values, 1.0, step)
    assert len(set(words)) == len(words) >= 2
    assert [float(word) for word in words] == pytest.approx(values)
    assert all(len(word.partition(".")[2]) <= 2 for word in words)


def test_one_number_alone_is_written_as_short_as_it_is():
    axis = QuietAxis("left")
    axis.ticks = lambda *_: [0.25]
    assert axis.tickStrings([0.25], 1.0, axis.tickValues(0.0, 0.5571, 9.0)[0][0]) == ["0.25"]


def test_an_export_names_its_line_and_its_pins(window, tmp_path):
    assert line_words(window.document.build) == "66 mm pulley, petrol"
    window.document.edit(PULLEY, 0.072)
    rest(window)
    wanted = {"72 mm pulley, petrol", "small one", "large one"}
    for chart in (MAP, ALL_STRIPS, "boost", "power"):
        window.line.drawing.export("svg", tmp_path / "a.svg", chart, 1.0, ("a caption",))
        texts, _ = svg_texts(tmp_path / "a.svg")
        assert wanted <= texts
        assert ("stock engine" in texts) == (chart in (ALL_STRIPS, "power"))
    free = window.document.build.with_value("drive.kind", "none")
    assert line_words(free) == "unblown, petrol"


@pytest.mark.parametrize("name", MAPS)
def test_every_speed_line_in_view_has_its_speed(sheet, matched, name):
    chart = map_chart(sheet, matched, name)
    series = chart.series
    flow, ratio = series.flow_range[1], series.ratio_range[1] - 1.0
    left_view = 0
    for across, up in ((0.15, 0.1), (0.3, 0.2), (0.45, 0.4)):
        view = (across * flow, (across + 0.25) * flow), (1 + up * ratio, 1 + (up + 0.3) * ratio)
        chart._set_ranges(*view)
        words = {text for text, _ in chart.placed_texts}
        assert overlapping(chart.placed_texts) == []
        for line in series.speed_lines:
            x, y = chart._fixed.frame.x(line.flow), chart._fixed.frame.y(line.ratio)
            width, height = chart._fixed.frame.width, chart._fixed.frame.height
            inside = (x > 30) & (x < width - 30) & (y > 90) & (y < height - 20)
            if inside.sum() > 8:
                assert line.label in words
                left_view += x[-1] > width or y[-1] > height
    assert left_view > 0


@pytest.mark.parametrize(
    ("size", "scale"), [((480, 340), 1.0), ((760, 480), 1.0), ((760, 480), 1.5)]
)
def test_the_unit_of_the_speeds_is_said_whole_in_every_size(sheet, matched, size, scale):
    look = replace(LIGHT, text_scale=scale)
    chart = map_chart(sheet, matched, "frame-95-small", look, size)
    texts = chart.placed_texts
    assert UNIT in " ".join(text for text, _ in texts)
    assert not any("krpm" in text for text, _ in texts)
    # the words of the corner keep off the surge side
    surge = chart.series.surge
    x, y = chart._fixed.frame.x(surge[0]), chart._fixed.frame.y(surge[1])
    head = [box for _, box in texts if box.left == texts[0][1].left]
    assert len(head) >= 2
    assert not any(box.holds(x, y).any() for box in head)


@pytest.mark.parametrize("name", MAPS[:3])
def test_values_of_islands_make_way_for_the_line(sheet, matched, sample_build, name):
    chart = map_chart(sheet, matched, name)
    surface = matched(name)[1]
    crossed = {True: 0, False: 0}
    for pulley in (0.052, 0.056, 0.060, 0.064):
        build = sample_build(name, drive__blower_pulley_diameter=pulley, drive__ribs=20)
        line = match(build, surface=surface).line
        chart.set_line(line_series(line, map_axes(surface.compressor_map)))
        for at_rest in (False, True):
            if at_rest:
                chart.fit_line_if_outside()
                assert chart._settling.isActive()
                chart.settle()
            x = np.linspace(*chart._series.engine_speed[[0, -1]], 4000)
            flow = np.interp(x, chart._series.engine_speed, chart._series.flow)
            ratio = np.interp(x, chart._series.engine_speed, chart._series.ratio)
            px, py = chart._fixed.frame.x(flow), chart._fixed.frame.y(ratio)
            values = [box for text, box in chart.placed_texts if text.endswith("%")]
            crossed[at_rest] += sum(bool(box.holds(px, py).any()) for box in values)
    assert crossed[True] == 0
    if name == "frame-95-small":
        assert crossed[False] > 0  # or the case shows nothing


def test_the_limiter_is_named_once(sheet, matched):
    chart = map_chart(sheet, matched, "frame-95-middle")
    limiter = chart._series.limiter
    for speed, words in ((limiter, None), (5000.0, "5000 rpm")):
        chart.set_cursor(speed)
        chart._moving.lay_out()
        text = chart._cursor._text
        assert (text and text.text) == words
        assert any("limiter" in word for word, _ in chart.placed_ticks)


def test_only_strips_with_a_stock_curve_name_it_and_every_curve_is_named(window):
    window.document.edit("target.power", 225e3)
    rest(window)
    for one in window.line.strips._plots:
        one.moving.lay_out()
        words = words_of(one.header.texts)
        assert ("stock" in words) == (one.series.key in ("power", "torque"))
    power = words_of(strip_of(window, "power").header.texts)
    assert {"flywheel", "wheel"} <= set(power)
    assert power[0].startswith("Power")


@pytest.mark.parametrize("width", range(400, 1300, 120))
def test_a_strip_never_loses_its_title(sheet, matched, width):
    chart = show(sheet, StripsChart(columns=2), width, 360)
    chart.set_strips(strips_of(matched("frame-95-small")[0]))
    for cursor in (None, 6000.0):
        chart.set_cursor(cursor)
        QApplication.processEvents()
        for one in chart._plots:
            one.moving.lay_out()
            texts = one.header.texts
            title = min(texts, key=lambda text: text.box.left).text
            assert title
            assert title.rstrip("…")[:4] in one.series.title
            assert len(title) > 4
            boxes = [(text.text, text.box) for text in texts]
            assert overlapping(boxes) == []
            assert all(box.left + box.width <= one.fixed.frame.width for _, box in boxes)
            if cursor and width > 500:
                assert any(text.endswith(one.series.unit) for text, _ in boxes)
            if cursor and width > 700 and one.series.key == "power":
                assert any(text.count("wheel") == 2 for text, _ in boxes)


@pytest.mark.parametrize("size", [(640, 260), (900, 340), (1500, 620)])
@pytest.mark.parametrize("power", [150e3, 225e3, 260e3, 330e3])
def test_words_of_bounds_and_target_keep_off_curves_and_edges(sheet, sample_build, size, power):
    chart = show(sheet, StripsChart(columns=2), *size)
    for pulley in (0.056, 0.066, 0.080):
        build = sample_build(
            "frame-95-small", drive__blower_pulley_diameter=pulley, target__power=power,
            bounds__boost=0.55e5,
        )  # fmt: skip
        chart.set_strips(strips_of(match(build)))
        chart.refit()
        QApplication.processEvents()
        for one in chart._plots:
            one.moving.lay_out()
            texts = one.texts.texts
            assert texts
            assert overlapping([(text.text, text.box) for text in texts]) == []
            frame, x = one.fixed.frame, one.fixed.frame.x(one.series.engine_speed)
            for text in texts:
                box = text.box
                assert box.left >= 4.0
                assert box.left + box.width <= frame.width - 4.0
                core = replace(box, top=box.top + 3.0, height=box.height - 6.0)
                curves = [c for c in one.series.curves if c.style != "edge"]
                crossed = [c.name for c in curves if core.holds(x, frame.y(c.values)).any()]
                assert crossed == [], (text.text, pulley)


def ranges(window):
    """Ranges of the map, and of each strip."""
    shown = [one.box.viewRange() for one in window.line.strips._plots]
    return [np.array(one) for one in (window.line.map._box.viewRange(), *shown)]


def test_axes_are_the_same_whatever_was_shown_before(window):
    rest(window)
    before = ranges(window)
    for value in (0.050, 0.110, 0.066):
        window.document.edit(PULLEY, value)
        rest(window)
    assert all(np.allclose(a, b) for a, b in zip(before, ranges(window), strict=True))
    window.document.edit(PULLEY, 0.050)
    rest(window)
    assert not np.allclose(before[1], ranges(window)[1])


def test_the_users_zoom_of_the_map_stays_at_the_next_edit(window):
    chart = window.line.map
    whole = chart._box.viewRange()
    turn_wheel(chart, QPoint(chart.width() // 2, chart.height() // 2))
    zoomed = chart._box.viewRange()
    assert zoomed != whole
    window.document.edit(PULLEY, 0.060)
    rest(window)
    assert np.allclose(chart._box.viewRange(), zoomed)
    chart.fit()
    assert np.allclose(chart._box.viewRange(), whole)


@pytest.mark.parametrize("day", ["freezing", "mild", "hot"])
def test_ranges_leave_little_room(window, day):
    window.document.show_day(day)
    rest(window)
    result = window.line.snapshot.match
    for one in strips_of(result, [strip.key for strip in STRIPS]):
        every = [curve.values[np.isfinite(curve.values)] for curve in one.curves]
        every += [np.array([bound.value for bound in one.bounds])]
        if one.target is not None:
            every.append(np.array([one.target.value]))
        values = np.concatenate(every)
        low, high = one.value_range
        room = 0.20 * (high - low)
        assert values.max() <= high <= values.max() + room, one.key
        assert min(values.min(), 0.0) - room <= low, one.key


def test_a_band_of_doubt_is_drawn_through_its_widest_places():
    x = np.linspace(0.0, 10.0, 101)
    lenses = np.abs(np.sin(np.pi * x / 2.0)) * (2.0 + 0.1 * x)
    drawn = widest(x, lenses)
    assert np.all(drawn >= lenses)
    assert drawn.min() > 1.9 > 0.1 > lenses.min()
    assert drawn.max() == lenses.max()
    assert widest(x, np.zeros(101)).max() == 0.0


def test_wide_windows_give_the_panels_their_part_until_the_user_moves_a_handle(window):
    assert widths_of(1234)[::2] == widths_of(1354)[::2] == (228, 262)
    assert sum(widths_of(2512)) == 2512
    line = window.line
    narrow = line.side.width(), line.answers.width()
    window.resize(2560, 1440)
    QApplication.processEvents()
    assert line.side.width() > narrow[0] + 80
    assert line.answers.width() > narrow[1] + 80
    line.across.moveSplitter(300, 1)
    window.resize(2200, 1200)
    QApplication.processEvents()
    assert line.side.width() == pytest.approx(300, abs=3)


def test_the_flow_axis_says_its_reference_in_the_units_chosen(window, sample_surface):
    # 25 °C is 77 °F; 100 kPa over 6.894757 kPa a psi (NIST SP 811, appendix B.8) is 14.504
    cmap = sample_surface("frame-95-small").compressor_map
    axes = map_axes(cmap, "lb/min", units=US_CHARTS)
    assert axes.flow_label == "Corrected air flow [lb/min] at 77 °F, 14.50 psia"
    assert map_series(sample_surface("frame-95-small")).axes.flow_label.endswith("25 °C, 100 kPa")
    window.preferences.change(system="us")
    rest(window)
    assert "at 77 °F, 14.50 psia" in window.line.map._bottom.label.toPlainText()
    window.preferences.change(system="si")
    assert "at 25 °C, 100 kPa" in window.line.map._bottom.label.toPlainText()
