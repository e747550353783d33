"""Ledgers of solved lines: the days, the limiter, and shares recomputed from the line."""

from __future__ import annotations

import numpy as np
import pytest

from engine_model.inputs import NAMED_DAYS, Build, Day, Drive
from engine_model.limits.ledger import CHECKS
from engine_model.matching import judge_days, ledger_over_days, match, match_many

CODES = tuple(check.code for check in CHECKS)


def test_days_together_are_the_worst_of_days_alone(sample_build, sample_surface):
    build = sample_build("frame-95-small", bounds__boost=30e3, target__power=190e3)
    surface, days = sample_surface("frame-95-small"), tuple(NAMED_DAYS.values())
    together = ledger_over_days(build, days, surface=surface)
    alone = [match(build, day, surface=surface).ledger for day in days]
    for k, entry in enumerate(together):
        shares = [ledger[k].used for ledger in alone]
        if np.all(np.isnan(shares)):
            assert entry.state == "blank"
            continue
        worst = int(np.nanargmax(shares))
        assert repr(entry) == repr(alone[worst][k])  # nan is not equal to nan
        assert entry.day == days[worst].name
    assert together[CODES.index("charge_temperature")].day == "hot"
    assert together[CODES.index("boost")].day == "freezing"
    assert together[CODES.index("target_power")].day == "hot and high"


@pytest.mark.parametrize("rpm", [[3000.0], [3000.0, 4000.0, 5000.0], [6799.0]])
def test_limiter_is_judged_whatever_speeds_are_asked(sample_build, sample_surface, rpm):
    build, surface = sample_build("frame-95-small"), sample_surface("frame-95-small")
    asked, whole = match(build, rpm=rpm, surface=surface), match(build, surface=surface)
    np.testing.assert_array_equal(asked.line.engine_speed_rpm, rpm)
    # entries that are tightest at the limiter, by the line of all speeds
    for code in ("impeller_speed", "choke_margin", "charge_temperature", "inlet_depression"):
        k = CODES.index(code)
        assert whole.ledger[k].engine_speed_rpm == 6800.0
        assert asked.ledger[k] == whole.ledger[k]


def test_ledger_of_a_match_is_recomputed_from_its_line(sample_build, sample_surface):
    build = sample_build("frame-95-large", drive__blower_pulley_diameter=0.058, drive__ribs=20)
    surface, day = sample_surface("frame-95-large"), Day(300.0, 303.15, 0.3, name="own")
    result = match(build, day, surface=surface)
    ledger, line = {e.code: e for e in result.ledger}, result.line
    known = np.isfinite(line.air_flow_kg_s)
    judged = known & (line.pressure_ratio > 1.30)
    surge = np.where(judged, (1.0 - line.surge_margin_low) / 0.92, -np.inf)
    lost = ~known & (line.region == "left of surge")
    surge = np.where(lost, 1.0 / 0.6 / 0.92, surge)
    assert ledger["surge_margin"].used == np.max(surge)
    assert ledger["surge_margin"].engine_speed_rpm == line.engine_speed_rpm[np.argmax(surge)]
    warm = (line.manifold_temperature_k - 303.15) / (333.15 - 303.15)
    assert ledger["charge_temperature"].used == pytest.approx(np.nanmax(warm), rel=1e-14)
    off = np.isin(line.region, ["above the map", "left of surge", "past choke"])
    assert np.any(off)
    assert ledger["share_off_map"].used == pytest.approx(np.mean(off) / 0.10)
    # (180 + 4)/(58 + 4) x 3.6 x 6800
    assert ledger["impeller_speed"].value == pytest.approx(6800.0 * 184.0 / 62.0 * 3.6 * 0.995)


def test_margins_of_a_line_carry_the_band(sample_build, sample_surface):
    surface = sample_surface("frame-95-small")
    line = match(sample_build("frame-95-small"), rpm=[5200.0, 6000.0], surface=surface).line
    flow = surface.surge_flow(line.corrected_speed_rpm) / line.corrected_flow_kg_s
    traced = np.array([31e3, 38e3, 45e3, 52e3, 59e3, 66e3])
    distance = np.min(np.abs(line.corrected_speed_rpm[:, None] - traced), axis=1)
    width = 0.10 * np.minimum(1.0, 2.0 * distance / 7e3)
    np.testing.assert_allclose(line.surge_margin, 1.0 - flow, rtol=1e-12)
    np.testing.assert_allclose(line.surge_margin_low, 1.0 - flow * (1.0 + width), rtol=1e-12)
    np.testing.assert_allclose(line.surge_margin_high, 1.0 - flow * (1.0 - width), rtol=1e-12)
    choke = surface.choke_flow(line.corrected_speed_rpm) / line.corrected_flow_kg_s - 1.0
    np.testing.assert_allclose(line.choke_margin, choke, rtol=1e-12)


def test_more_days_keep_their_own_rows(sample_build, sample_surface):
    days = tuple(NAMED_DAYS.values())
    build, surface = sample_build("frame-95-small"), sample_surface("frame-95-small")
    line, verdicts, *_ = judge_days(build, days, [4000.0, 6000.0], surface=surface)
    assert line.air_flow_kg_s.shape == (4, 2)
    plain = match_many(build, days, [4000.0, 6000.0], surface=surface)
    np.testing.assert_array_equal(line.air_flow_kg_s, plain.air_flow_kg_s)
    assert all(v.used.shape == (4,) for v in verdicts)


def test_given_inputs_are_no_longer_assumed(sample_build, sample_surface):
    build, surface = sample_build("frame-95-small"), sample_surface("frame-95-small")

    def share(one):
        return match(one, rpm=[6800.0], surface=surface).ledger[CODES.index("assumed_inputs")]

    before = share(build)
    assert before.used == 1.0
    after = share(build.with_values({"engine.displacement": 3.2e-3, "engine.fuel": "petrol"}))
    assert after.value == before.value - 2
    assert after.bound == before.bound
    # a blank limit is no input until it is typed; then it counts on both sides
    limited = share(build.with_value("bounds.boost", 60e3))
    assert limited.bound == before.bound + 1
    assert limited.value == before.value


def test_no_blower_leaves_the_compressor_entries_blank():
    build = Build(drive=Drive(kind="none"))
    ledger = {e.code: e for e in match(build, rpm=[3000.0, 6200.0]).ledger}
    blank = {code for code, entry in ledger.items() if entry.state == "blank"}
    assert blank == {
        "impeller_speed",
        "impeller_speed_over_rev",
        "tip_speed",
        "surge_margin",
        "choke_margin",
        "boost",
        "belt_grip",
        "belt_slip",
        "belt_tension",
        "belt_speed",
        "smallest_pulley",
        "hub_load",
        "belt_shift",
        "same_belt",
        "injector_duty",
        "fuel_pump",
        "torque",
        "power_bound",
        "exhaust_pressure",
        "manifold_sensor",
        "air_meter",
        "knock_retard",
        "cylinder_pressure",
        "target_power",
        "share_off_map",
        "map_quality",
    }
    assert ledger["piston_speed"].state == "clear"
    assert ledger["charge_temperature"].used == pytest.approx(5.0 / 40.0)  # the inlet rise


def test_the_power_at_which_the_charge_passes_its_bound(sample_build, sample_surface):
    build = sample_build("frame-95-small", bounds__charge_temperature=318.15)
    result = match(build, NAMED_DAYS["hot"], surface=sample_surface("frame-95-small"))
    told = dict({e.code: e for e in result.ledger}["charge_temperature"].numbers)
    warm = np.flatnonzero(result.line.manifold_temperature_k > 318.15)
    assert told["passed_wheel_power_w"] == result.line.wheel_power_w[warm[0]]
    assert told["passed_at_rpm"] == result.line.engine_speed_rpm[warm[0]]
    cool = match(
        build.with_value("bounds.charge_temperature", 480.0),
        NAMED_DAYS["hot"],
        surface=sample_surface("frame-95-small"),
    )
    told = dict({e.code: e for e in cool.ledger}["charge_temperature"].numbers)
    assert "passed_wheel_power_w" not in told
