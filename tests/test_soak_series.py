"""Heat soak as it is shown: series, words, tables, numbers, and its chart."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace

import numpy as np
import pytest

from app.chart_tools.palette import DARK, LIGHT, PALETTES
from app.charts import chart_class
from app.charts.heat_soak_chart import NOTHING_SHOWN
from app.present.sentences import sentence
from app.present.series_soak import HALF, soak_csv, soak_series
from app.present.soak_words import ordinal, pull_table, soak_lines
from engine_model.inputs import NAMED_DAYS
from engine_model.studies.heat_soak_study import heat_soak
from engine_model.studies.soak_entry import soak_entry
from engine_model.studies.soak_records import HeatSoak
from tests import soak_cases as cases
from tests.chart_cases import colours, sheet, show

__all__ = ["sheet"]

HOT = {"pulls": 4, "reservoir_volume": 1e-3, "fan_flow": 0.0, "pull_road_speed": 0.0}


@pytest.fixture(scope="module")
def found():
    return heat_soak(cases.soaked(**HOT), cases.DRY, cases.surface())


def test_pulls_stand_one_apart_and_pauses_are_gaps(found):
    series = soak_series(found)
    inside = np.isfinite(series.manifold)
    for number in range(4):
        mine = found.course.pull == number
        low, high = series.across[mine].min(), series.across[mine].max()
        assert number + 1 - HALF < low < high < number + 1 + HALF
    assert np.array_equal(inside, found.course.pull >= 0)
    assert np.all(np.diff(series.coolant_across) > 0.0)
    assert np.all(np.isfinite(series.coolant))
    np.testing.assert_allclose(series.power, found.pulls.wheel_power / 1e3)


@pytest.mark.parametrize(("units", "degrees", "unit"), [("si", "°C", "kW"), ("us", "°F", "hp")])
def test_units_are_those_chosen(found, units, degrees, unit):
    series = soak_series(found, units)
    assert (series.temperature_unit, series.power_unit) == (degrees, unit)
    kelvin = found.course.coolant
    expected = kelvin - 273.15 if units == "si" else 1.8 * kelvin - 459.67
    np.testing.assert_allclose(series.coolant, expected, rtol=1e-12)
    titles = pull_table(found, units)[0]
    assert f"manifold, start [{degrees}]" in titles
    assert f"wheel power, limiter [{unit}]" in titles


def test_words_say_what_it_costs(found):
    lines = soak_lines(found)
    pulls = found.pulls
    assert lines[0].startswith("4 pulls of 8 s, 60 s between, on the dry day, 1.00 L of coolant")
    third = next(line for line in lines if "third" in line and "at the start" in line)
    start, lost = pulls.manifold_start[2] - 273.15, 1e-3 * pulls.lost[2]
    assert f"{start:.1f} °C in the manifold at the start" in third
    assert f"{lost:.1f} kW less at the limiter than in the first" in third
    bound = next(line for line in lines if "bound" in line)
    assert ("passes" in bound) == (found.over_at is not None)
    assert any("the loop would not settle; the match takes 12.0 K (assumed)" in x for x in lines)
    assert not any("condense" in line for line in lines)


def test_words_of_the_bound_and_of_a_loop_that_settles():
    peaks = heat_soak(cases.soaked(**HOT), cases.DRY, cases.surface()).pulls.manifold_peak
    limit = float(0.5 * (peaks[0] + peaks[1]))
    one = cases.soaked(**HOT, coolant_rise=14.0).with_value("bounds.charge_temperature", limit)
    cooled = one.with_value("cooler.fan_flow", 0.2)
    lines = " ".join(soak_lines(heat_soak(one, cases.DRY, cases.surface())))
    assert f"passes its bound of {limit - 273.15:.1f} °C in the second pull." in lines
    lines = " ".join(soak_lines(heat_soak(cooled, cases.DRY, cases.surface())))
    assert re.search(r"would settle with its coolant [\d.]+ K over the day", lines)
    assert "the match takes 14.0 K (as given)" in lines


def test_ice_and_water_are_told():
    found = heat_soak(cases.soaked(ice_mass=2.0), NAMED_DAYS["hot"], cases.surface())
    lines = " ".join(soak_lines(found))
    assert "with 2.00 kg of ice" in lines
    assert re.search(r"\d+ g of water condense", lines)
    assert pull_table(found)[0][-1] == "ice left [kg]"
    assert re.search(r"0\.\d\d lb of water condense", " ".join(soak_lines(found, "us")))


def test_no_cooler_gets_a_sentence():
    found = heat_soak(cases.soaked(kind="none"), cases.DRY, cases.surface())
    assert soak_series(found) is None
    (line,) = soak_lines(found)
    assert line.startswith("No charge cooler")
    assert len(pull_table(found)) == 1
    assert len(soak_csv(found).splitlines()) == 1


def test_an_air_cooler_shows_its_core(sheet):
    one = cases.soaked(kind="air", pulls=3, fan_flow=0.0, ice_mass=1.0, pull_road_speed=10.0)
    found = heat_soak(one, cases.DRY, cases.surface())
    series = soak_series(found)
    assert series.coolant_words == "core"
    np.testing.assert_allclose(series.coolant, found.course.core - 273.15, rtol=1e-12)
    titles, *rows = pull_table(found)
    assert titles[4:6] == ["core, start [°C]", "core, end [°C]"]
    assert not any("ice" in title for title in titles)
    assert rows[1][4] == f"{found.pulls.core_start[1] - 273.15:.1f}"
    lines = soak_lines(found)
    assert "an air-to-air core of 2.50 kg aluminium" in lines[0]
    settled = found.settled.manifold - 273.15
    assert f"would settle with {settled:.1f} °C in the manifold; the match has" in " ".join(lines)
    assert "outside air [°C]" in soak_csv(found).splitlines()[0]
    still = heat_soak(one.with_value("cooler.pull_road_speed", 0.0), cases.DRY, cases.surface())
    assert "No air takes the heat away in a pull" in " ".join(soak_lines(still))
    chart = show(sheet, chart_class("heat_soak")())
    chart.set_series(series)
    assert "core" in chart.words
    assert "coolant" not in chart.words


@pytest.mark.parametrize(
    ("settled", "words"),
    [
        (330.0, "held at the limiter it would settle at 56.9 °C, the match has 47.9 °C"),
        (321.0, "held at the limiter it would settle at 47.9 °C, as the match has it"),
        (np.nan, "no air takes the heat away, the match has 47.9 °C"),
    ],
)
def test_sentence_of_an_air_coolers_entry(settled, words):
    found = heat_soak(cases.soaked(kind="air", pulls=1), cases.DRY, cases.surface())
    place = found.settled._replace(manifold=settled, matched=321.0)
    told = sentence(soak_entry(replace(found, settled=place)), found.build)
    assert told.startswith("manifold ")
    assert told.endswith(words)


def test_a_missing_match_gets_a_sentence():
    one = HeatSoak(cases.build(), cases.DRY, "no match", 3210.0)
    assert "do not meet at 3210 rpm" in soak_lines(one)[0]


def test_numbers_are_those_of_the_study(found):
    rows = list(csv.DictReader(io.StringIO(soak_csv(found, "si", (("build", "x"),)))))
    assert len(rows) == found.course.pull.size
    assert {row["pull"] for row in rows} == {"1", "2", "3", "4", "pause"}
    coolant = [float(row["coolant [°C]"]) + 273.15 for row in rows]
    np.testing.assert_allclose(coolant, found.course.coolant[1:], atol=1e-4)
    powers = [float(r["wheel power at the limiter [kW]"]) for r in rows if r[
        "wheel power at the limiter [kW]"]]  # fmt: skip
    np.testing.assert_allclose(powers, found.pulls.wheel_power / 1e3, rtol=1e-6)
    assert {row["build"] for row in rows} == {"x"}


def test_ordinals():
    assert [ordinal(k) for k in (0, 2, 9, 10)] == ["first", "third", "tenth", "no. 11"]


@pytest.mark.parametrize("palette", PALETTES, ids=lambda one: one.name)
def test_chart_draws_curves_bound_and_power(sheet, found, palette):
    chart = show(sheet, chart_class("heat_soak")(palette=palette))
    assert chart.accessibleName() == NOTHING_SHOWN
    chart.set_series(soak_series(found))
    painted = colours(chart)
    assert {palette.line, palette.second, palette.canvas} <= painted
    words = chart.words
    assert {"Temperature [°C]", "Wheel power at the limiter [kW]", "manifold", "coolant"} <= set(
        words
    )
    assert any(one.startswith("bound ") for one in words)
    assert f"{found.pulls.wheel_power[0] / 1e3:.1f}" in words
    assert chart.accessibleName().startswith("Heat soak; pull 1: ")
    chart.set_palette(DARK if palette is LIGHT else LIGHT)
    assert palette.background not in colours(chart, 400)
    chart.set_series(None)
    assert chart.accessibleName() == NOTHING_SHOWN


def test_chart_of_one_pull_and_of_thirty(sheet):
    chart = show(sheet, chart_class("heat_soak")())
    for count in (1, 30):
        one = heat_soak(cases.soaked(pulls=count), cases.DRY, cases.surface())
        chart.set_series(soak_series(one))
        powers = {f"{p / 1e3:.1f}" for p in one.pulls.wheel_power[[0, -1]]}
        assert powers <= set(chart.words)


def test_equal_powers_have_a_range(found):
    same = np.full(4, 250e3)
    flat = replace(found, pulls=replace(found.pulls, wheel_power=same, lost=np.zeros(4)))
    low, high = soak_series(flat).power_range
    assert low < 250.0 < high
    assert "the power is that of the first" in " ".join(soak_lines(flat))
