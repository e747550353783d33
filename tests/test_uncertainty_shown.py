"""Error bars as they are shown: words, numbers, polygons of bands, the chart, the command."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace

import numpy as np
import pytest

from app.__main__ import main
from app.chart_tools.palette import DARK, LIGHT, PALETTES
from app.charts import chart_class
from app.charts.measure_first_chart import NOTHING_SHOWN
from app.present.error_bar_words import (
    BAND_ROWS,
    SPREAD_NAMES,
    band_table,
    chance_text,
    chance_words,
    error_bars_document,
    error_bars_text,
    first_words,
    spread_rows,
    target_words,
    unsolved_words,
)
from app.present.series import SI_CHARTS, STRIPS, US_CHARTS, map_axes
from app.present.series_error_bars import (
    bands_csv,
    map_band,
    measure_first_csv,
    measure_first_series,
    strip_bands,
)
from engine_model.inputs import NAMED_DAYS
from engine_model.studies.uncertain_inputs import KEYS
from engine_model.studies.uncertain_records import Band, MeasureFirst
from engine_model.studies.uncertainty import error_bars
from tests.chart_cases import colours, overlapping, sheet, show

__all__ = ["sheet"]

RPM = np.array([2000.0, 3500.0, 5000.0, 6100.0, 6800.0])
MILD, HOT = NAMED_DAYS["mild"], NAMED_DAYS["hot"]


@pytest.fixture(scope="module")
def bars(sample_build, sample_surface):
    build = sample_build("frame-95-middle", target__power=215e3, bounds__boost=4e4)
    return error_bars(
        build, [MILD, HOT], RPM, samples=128, surface=sample_surface("frame-95-middle")
    )


def with_gap(bars):
    """The same without a solution at the third engine speed."""
    gap = np.array([1.0, 1.0, 0.0, 1.0, 1.0])

    def holed(band):
        edges = (np.where(gap > 0.0, edge, np.nan) for edge in (band.low, band.middle, band.high))
        return Band(band.field, *edges)

    return replace(bars, bands=tuple(holed(band) for band in bars.bands), solved=gap)


def test_every_input_has_a_name(bars):
    assert set(SPREAD_NAMES) == set(KEYS)
    rows = spread_rows(bars)
    assert len(rows) == len(bars.spreads)
    sizes = {row[0]: row[1] for row in rows}
    assert sizes["compressor efficiency"] == "±1.5 points"
    assert sizes["flow of the compressor map"] == "±2.0 %"
    assert sizes["day's temperature"] == "±3.0 K"
    assert {row[0]: row[1] for row in spread_rows(bars, "us")}["day's temperature"] == "±5.4 °F"


@pytest.mark.parametrize(
    ("share", "samples", "text"),
    [
        (0.0, 1024, "under 0.1 %"),
        (0.0, 64, "under 2 %"),
        (1.0, 1024, "over 99.9 %"),
        (0.031, 1024, "3.1 %"),
        (0.5, 1024, "50 %"),
        (0.97, 1024, "97.0 %"),
        (np.nan, 1024, "--"),
    ],
)
def test_chances_are_never_certain(share, samples, text):
    assert chance_text(share, samples) == text


@pytest.mark.parametrize("units", ["si", "us"])
def test_text_says_bands_chances_and_what_to_measure(bars, units):
    rows = error_bars_text(bars, units)
    text = "\n".join(rows)
    assert max(map(len, rows)) <= 100
    assert "from 128 samples" in rows[0]
    assert "Chance that the target of" in text
    assert "Chance to be over on any of the days" in text
    assert "Measure first: the " in text
    assert "one standard deviation" in text
    assert ("hp" in text) == (units == "us")
    for _, title, _ in BAND_ROWS:
        assert title in text


def test_numbers_of_the_table_are_those_of_the_study(bars):
    table = band_table(bars)
    at = int(np.argmax(bars.band("wheel_power_w").middle))
    assert table[0][0] == f"at {RPM[at]:.0f} rpm"
    row = next(row for row in table if row[0] == "wheel power")
    band = bars.band("wheel_power_w")
    shown = [f"{edge[at] / 1e3:.1f}" for edge in (band.low, band.middle, band.high)]
    assert row[1:] == [*shown, "kW"]


def test_words_of_chances(bars):
    over = {one.code: one for one in bars.chances}
    words = chance_words(bars)
    boost = next(row for row in words if row.startswith("Boost"))
    assert chance_text(over["boost"].over, 128) in boost
    assert f"most often on the {over['boost'].day} day" in boost
    assert "the target" not in " ".join(words)
    assert f"is met: {chance_text(bars.target_met, 128)}" in target_words(bars)
    assert "215.0 kW at the wheel" in target_words(bars)
    assert unsolved_words(bars) == ""
    told = unsolved_words(with_gap(bars))
    assert told.startswith("At 5000 rpm 100 % of the samples have no solution")


def test_words_without_target_and_without_spread(bars):
    none = replace(bars, target_met=float("nan"), measure_first=())
    assert target_words(none) == ""
    assert "No input" in first_words(none)
    assert measure_first_series(none) is None
    assert max(map(len, error_bars_text(none))) <= 100


def test_document_is_plain_json(bars):
    text = json.dumps(error_bars_document(with_gap(bars)), allow_nan=False)
    document = json.loads(text)
    assert document["samples"] == 128
    assert document["bands"]["wheel_power_w"]["low"][2] is None
    assert len(document["bands"]["wheel_power_w"]["low"]) == RPM.size
    assert next(one["code"] for one in document["chances"]) == "impeller_speed"
    assert {one["key"] for one in document["spreads"]} == set(KEYS) - {"boost_schedule"}
    assert document["line_band"]["flow"] == bars.line_band.flow.tolist()


def test_strips_have_closed_rings_between_their_edges(bars):
    keys = [strip.key for strip in STRIPS if strip_bands(bars, strip.key)]
    assert {"boost", "power", "torque", "charge_temperature", "impeller_speed"} <= set(keys)
    flywheel, wheel = strip_bands(bars, "power", US_CHARTS)
    assert (flywheel.name, wheel.name) == ("flywheel", "wheel")
    watts = bars.band("wheel_power_w")
    # mechanical horsepower, exact
    np.testing.assert_allclose(wheel.high, watts.high / 745.6998715822702, rtol=1e-12)
    (ring,) = wheel.rings
    np.testing.assert_array_equal(ring[0], ring[-1])
    np.testing.assert_array_equal(ring[:5, 1], wheel.low)
    np.testing.assert_array_equal(ring[5:10, 1], wheel.high[::-1])
    assert np.all(wheel.low <= wheel.middle)
    assert np.all(wheel.middle <= wheel.high)
    (charge,) = strip_bands(bars, "charge_temperature", SI_CHARTS)
    np.testing.assert_allclose(charge.middle, bars.band("manifold_temperature_k").middle - 273.15)
    assert [len(one.rings) for one in strip_bands(with_gap(bars), "power")] == [2, 2]
    assert strip_bands(bars, "knock") == ()


def test_the_band_on_the_map_lies_about_the_line(bars):
    axes = map_axes(bars.build.blower.compressor_map, "lb/min")
    band = map_band(bars, axes)
    np.testing.assert_allclose(band.flow, bars.line_band.flow / 0.45359237 * 60.0, rtol=1e-12)
    (ring,) = band.rings
    assert ring.shape == (2 * RPM.size + 1, 2)
    # towards choke first, and back on the side of surge: more flow at less pressure, and less
    assert np.all(ring[: RPM.size, 0] >= band.flow)
    assert np.all(ring[RPM.size : -1, 0][::-1] <= band.flow)
    backwards = replace(bars, engine_speed=RPM[::-1].copy())
    assert np.all(np.diff(map_band(backwards, axes).flow) < 0.0)
    assert map_band(replace(bars, line_band=None), axes) is None


def test_tables_as_csv(bars):
    rows = list(csv.DictReader(io.StringIO(measure_first_csv(bars, "si", (("build", "x"),)))))
    shares = [float(row["share of the variance [%]"]) for row in rows]
    assert shares == sorted(shares, reverse=True)
    assert len(rows) == len(bars.spreads)
    assert {row["build"] for row in rows} == {"x"}
    rows = list(csv.DictReader(io.StringIO(bands_csv(bars))))
    powers = [float(row["Power, as on the day, wheel, 95 % [kW]"]) for row in rows]
    np.testing.assert_allclose(powers, bars.band("wheel_power_w").high / 1e3, rtol=1e-6)


@pytest.mark.parametrize("palette", PALETTES, ids=lambda one: one.name)
@pytest.mark.parametrize("size", [(900, 600), (420, 300), (320, 220)])
def test_chart_draws_a_bar_for_each_input(sheet, bars, palette, size):
    chart = show(sheet, chart_class("measure_first")(palette=palette), *size)
    assert chart.accessibleName() == NOTHING_SHOWN
    series = measure_first_series(bars)
    chart.set_series(series)
    assert palette.second in colours(chart)
    widths = np.array(chart.bar_widths)
    shares = np.array([bar.share for bar in series.bars])
    assert np.all(np.diff(widths) <= 0.0)
    np.testing.assert_allclose(widths / widths[0], shares / shares[0], atol=0.02)
    texts = [(text.text, text.box) for text in chart.placed_texts]
    assert overlapping(texts) == []
    frame = chart._plot.fixed.frame
    assert all(box.inside(frame.width, frame.height) for _, box in texts)
    if size == (900, 600):
        words = {text for text, _ in texts}
        assert {bar.title for bar in series.bars} <= words
        assert {bar.spread_words for bar in series.bars} <= words
    assert chart.accessibleName().startswith("Share of the spread")
    assert chart.copied().series is series
    chart.set_palette(DARK if palette is LIGHT else LIGHT)
    assert palette.background not in colours(chart, 400)
    chart.set_series(None)
    assert chart.accessibleName() == NOTHING_SHOWN


def test_inputs_that_explain_nothing_have_no_bar(bars):
    first = (MeasureFirst("friction", 0.99), MeasureFirst("map_flow", 0.001))
    series = measure_first_series(replace(bars, measure_first=first))
    assert [bar.title for bar in series.bars] == ["Friction scale"]
    assert "flow of the compressor map" in series.left_out
    assert series.bars[0].path == "engine.friction_scale"


def run(capsys, *words):
    code = main(["match", *words, "--rpm", "5000:6800:900"])
    out = capsys.readouterr()
    return code, out.out, out.err


def test_command_prints_error_bars_under_the_match(capsys):
    plain, before, _ = run(capsys, "road-six")
    code, out, err = run(capsys, "road-six", "--error-bars", "100")
    assert (code, err) == (plain, "")
    assert out.startswith(before)
    assert "from 128 samples" in out
    assert max(map(len, out.splitlines())) <= 100
    again = run(capsys, "road-six", "--error-bars", "100")[1]
    assert again == out


def test_command_gives_them_as_numbers(capsys):
    _, out, _ = run(capsys, "free-shaft-four", "--error-bars", "64", "--json")
    document = json.loads(out)["error_bars"]
    assert document["engine_speed_rpm"] == [5000.0, 5900.0, 6800.0]
    assert "boost_schedule" in {one["key"] for one in document["measure_first"]}
    assert "error_bars" not in json.loads(run(capsys, "free-shaft-four", "--json")[1])


@pytest.mark.parametrize("text", ["3", "70000", "road-six", "1e3", "-5", "²"])
def test_command_refuses_what_is_no_number_of_samples(capsys, text):
    code, out, err = run(capsys, "road-six", f"--error-bars={text}")
    assert (code, out) == (2, "")
    assert err.startswith("--error-bars: ")
    assert "64 to 65536" in err
