"""Knock along a build's line: what it tells, what it costs, what it never says."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from app.paths import sample_builds
from app.present.sentences import sentence
from engine_model.engine.cylinder import DELAY_OCTANE_EXPONENT
from engine_model.engine.knock_integral import FULL
from engine_model.files.build_file import load_build
from engine_model.inputs import NAMED_DAYS, Build, Day, Drive
from engine_model.knock_line import knock_of_line, knock_of_other, knock_plan
from engine_model.matching import judge_days, match, match_many

DAYS = tuple(NAMED_DAYS.values())
RPM = np.arange(2000.0, 6801.0, 200.0)


@pytest.fixture(scope="module")
def road_six():
    return load_build(sample_builds()["road-six"])


def entry_of(result, code):
    return next(e for e in result.ledger if e.code == code)


def estimate(build, surface, rpm=RPM, day=DAYS[0], **options):
    line = match_many(build, [day], rpm, surface=surface)
    return knock_of_line(knock_plan(build, rpm, **options), line).part(0)


def test_the_stock_engine_asks_for_none(road_six):
    """By construction on the stock day: its own spark, at every speed."""
    stock = Build(engine=road_six.engine, drive=Drive(kind="none"))
    stock = stock.with_values(
        {"engine.mixture": 0.88, "inlet.temperature_rise": 0.0, "engine.fuel": "petrol"}
    )
    # 99 kPa dry and 25 degC
    day = Day(0.0, 298.15, 0.0, 99e3, name="stock day")
    found = estimate(stock, None, day=day)
    assert np.all(found.retard_deg < 1e-3)
    assert np.all(np.abs(found.efficiency_factor - 1.0) < 1e-4)


def test_more_boost_heat_or_compression_ask_for_more_and_octane_for_less(road_six, sample_surface):
    surface = sample_surface("frame-95-small")
    base = estimate(road_six, surface).retard_deg
    for change in (
        {"drive.blower_pulley_diameter": 0.062},
        {"cooler.effectiveness": 0.55},
        {"engine.octane": 91.0},
    ):
        more = estimate(road_six.with_values(change), surface).retard_deg
        assert np.all(more >= base - 1e-6)
        assert more[-1] > base[-1] + 0.3, change
    less = estimate(road_six.with_values({"engine.octane": 100.0}), surface).retard_deg
    assert np.all(less <= base + 1e-6)
    assert less[-1] < base[-1] - 0.3


def test_about_a_degree_a_psi_on_the_stock_fuel_and_about_none_on_e85(road_six, sample_surface):
    """Common practice, no source."""
    surface = sample_surface("frame-95-small")
    line = match_many(road_six, DAYS[:1], RPM, surface=surface)
    psi = line.boost_gauge_pa[0] / 6894.757
    found = estimate(road_six, surface).retard_deg
    strong = psi > 3.0
    assert np.all((found[strong] / psi[strong] > 0.3) & (found[strong] / psi[strong] < 1.7))
    e85 = estimate(road_six.with_value("engine.fuel", "E85"), surface).retard_deg
    assert np.all(e85 < 0.3)


def test_the_octane_that_would_avoid_it_follows_from_the_delay(road_six, sample_surface):
    """The octane number told, put in, asks for none; a little less asks for some."""
    surface = sample_surface("frame-95-small")
    found = estimate(road_six, surface)
    k = int(np.argmax(found.retard_deg))
    enough = float(found.octane_without_retard[k])
    assert 95.0 < enough < 110.0
    put = estimate(road_six.with_value("engine.octane", enough + 0.01), surface)
    assert put.retard_deg[k] < 1e-3
    short = estimate(road_six.with_value("engine.octane", enough - 1.0), surface)
    assert short.retard_deg[k] > 0.05
    assert DELAY_OCTANE_EXPONENT == 3.402


def test_the_spark_counts_in_the_power_only_where_it_is_asked(road_six, sample_surface):
    surface = sample_surface("frame-95-small")
    plain = match(road_six, rpm=RPM, surface=surface)
    counted = match(road_six.with_value("engine.spark", "estimated"), rpm=RPM, surface=surface)
    np.testing.assert_array_equal(counted.line.air_flow_kg_s, plain.line.air_flow_kg_s)
    np.testing.assert_array_equal(counted.line.fuel_flow_kg_s, plain.line.fuel_flow_kg_s)
    fuel = plain.line.fuel_flow_kg_s
    # indicated: flywheel, friction, pumping and drive are the same on both
    lost = plain.line.flywheel_power_w - counted.line.flywheel_power_w
    indicated = fuel * 44.0e6 * (1.0 - 9.8**-0.3) * 0.80
    lambdas = 1.0 + 0.03 * (1.0 - ((0.82 - 0.90) / 0.10) ** 2)
    indicated = indicated * 0.82 * lambdas
    share = 1.0 - plain.knock.efficiency_factor
    np.testing.assert_allclose(lost, indicated * share, rtol=2e-3)


def test_coarse_steps_stay_within_three_thousandths_of_power(road_six, sample_surface):
    build = road_six.with_value("engine.spark", "estimated")
    surface = sample_surface("frame-95-small")
    fine = judge_days(build, DAYS, surface=surface).line
    coarse = judge_days(build, DAYS, surface=surface, coarse=True).line
    assert np.max(np.abs(coarse.flywheel_power_w / fine.flywheel_power_w - 1.0)) < 3e-3


def test_told_unless_a_bound_is_given(road_six, sample_surface):
    surface = sample_surface("frame-95-small")
    told = entry_of(match(road_six, surface=surface), "knock_retard")
    assert told.state == "blank"
    judged = road_six.with_value("bounds.knock_retard", told.value / 1.1)
    assert entry_of(match(judged, surface=surface), "knock_retard").used == pytest.approx(1.1)
    pressure = entry_of(match(road_six, surface=surface), "cylinder_pressure")
    bounded = road_six.with_value("bounds.cylinder_pressure", pressure.value)
    assert entry_of(match(bounded, surface=surface), "cylinder_pressure").used == pytest.approx(1.0)


FORBIDDEN = ("before top", "btdc", "safe", "degrees of advance", "set the")


@pytest.mark.parametrize("change", [
    {}, {"engine.fuel": "E85"}, {"drive.blower_pulley_diameter": 0.050},
    {"bounds.knock_retard": 3.0}, {"engine.spark": "estimated"}, {"engine.octane": 88.0},
])  # fmt: skip
def test_the_words_never_name_an_advance_and_never_say_safe(road_six, sample_surface, change):
    build = road_six.with_values(change)
    result = match(build, surface=sample_surface("frame-95-small"))
    for code in ("knock_retard", "cylinder_pressure"):
        entry = entry_of(result, code)
        words = sentence(entry, build).lower()
        assert "about" in words
        assert not any(word in words for word in FORBIDDEN)
        if code == "knock_retard" and entry.value > 0.25 and not math.isinf(entry.value):
            assert "(band" in words


def test_retard_is_not_counted_on_to_protect_the_cylinder(road_six, sample_surface):
    result = match(
        road_six.with_value("engine.spark", "estimated"), surface=sample_surface("frame-95-small")
    )
    entry = entry_of(result, "cylinder_pressure")
    assert entry.value == pytest.approx(np.nanmax(result.knock.peak_pressure_unretarded_pa))
    assert dict(entry.numbers)["peak_pressure_retarded_pa"] < entry.value


def test_slip_does_not_protect_from_knock(road_six, sample_surface):
    build = road_six.with_values(
        {"drive.tensioner": "fixed", "drive.blower_pulley_diameter": 0.056,
         "bounds.cylinder_pressure": 1e7}
    )  # fmt: skip
    result = match(build, surface=sample_surface("frame-95-small"))
    entry = entry_of(result, "cylinder_pressure")
    assert entry.without_slip
    assert entry.value > np.nanmax(result.knock.peak_pressure_unretarded_pa)


def test_the_line_without_slip_is_estimated_where_it_differs(road_six, sample_surface):
    build = road_six.with_values({"drive.ribs": 4})
    surface = sample_surface("frame-95-small")
    judged = judge_days(build, DAYS, RPM, surface=surface)
    held, plan = judged.without_slip, knock_plan(build, RPM)
    part = knock_of_other(plan, held, judged.line, judged.knock)
    whole = knock_of_line(plan, held, False)
    assert np.any(held.manifold_pressure_pa != judged.line.manifold_pressure_pa)
    for name in ("retard_deg", "efficiency_factor", "peak_pressure_unretarded_pa"):
        np.testing.assert_array_equal(getattr(part, name), getattr(whole, name))


def test_what_the_ledger_uses_is_within_a_ten_thousandth_of_the_full_estimate(road_six):
    plan = knock_plan(road_six, RPM)
    full = replace(plan, anchor=replace(plan.anchor, resolution=FULL))
    shape = RPM.size
    at = np.arange(shape)
    states = (np.linspace(1.1e5, 1.9e5, shape), np.full(shape, 325.0), np.full(shape, 1.25e5))
    a, b = plan.efficiency_factor(at, *states), full.efficiency_factor(at, *states)
    assert np.max(np.abs(a / b - 1.0)) < 1e-4
    assert a.min() < 0.97
