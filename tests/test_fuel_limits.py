"""Injectors, fuel pump, engine bounds and sensors in the ledger: by hand, and trade facts."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from hand_lines import BUILD, ON, entries, judged_of, line_of, used

from app.present.ledger_words import cautions_of, worst_of
from app.present.sentences import sentence
from app.present.tables import ledger_table
from engine_model.inputs import NAMED_DAYS, Shelf
from engine_model.limits.judging import Verdict
from engine_model.limits.ledger import entries_of_worst_day, judge_all, worse_of
from engine_model.matching import ledger_over_days, match
from engine_model.studies.sensitivity import derived_value, studied_inputs
from engine_model.units import to_si

CC_PER_MINUTE = 1e-6 / 60.0
POUND_PER_HOUR = 0.45359237 / 3600.0
HORSEPOWER = 550.0 * 0.3048 * 0.45359237 * 9.80665
NAN = math.nan


def fuelled(**changes):
    return BUILD.with_values({f"fuel_system.{name}": value for name, value in changes.items()})


SIX = fuelled(injector_flow=500 * CC_PER_MINUTE, rail_reference="ambient")


def on_shelf(build, *sizes):
    return dataclasses.replace(
        build, shelf=Shelf(injectors=tuple(s * CC_PER_MINUTE for s in sizes))
    )


def test_duty_by_hand_with_the_rail_over_the_manifold():
    # 500 cc/min = 8.33333e-6 m3/s; x sqrt(745 x 720) = 732.393 kg/m3: 6.10328 g/s each;
    # 24 g/s over six of them, 36.6197 g/s: 0.655385; of 0.85: 0.771041
    entry = used("injector_duty", SIX.with_value("fuel_system.rail_reference", "manifold"))
    assert entry.value == pytest.approx(0.655385, rel=1e-5)
    assert entry.used == pytest.approx(0.771041, rel=1e-5)
    assert (entry.bound, entry.engine_speed_rpm, entry.state) == (0.85, 6800.0, "clear")
    assert dict(entry.numbers)["pressure_across_pa"] == 3e5


def test_a_rail_over_the_ambient_asks_more_under_boost():
    # 0.30 bar of boost leave 2.70 of 3.00: / sqrt(0.9) = 0.690836; at 5000 rpm 16 g/s of 2.60
    entry = used("injector_duty", SIX)
    assert entry.value == pytest.approx(0.690836, rel=1e-5)
    assert dict(entry.numbers)["pressure_across_pa"] == pytest.approx(2.7e5)
    assert "boost against it" in entry.basis
    # the tightest speed is not the fastest one: 2.5 bar of boost leave a sixth of the pressure
    early = used("injector_duty", SIX, boost_gauge_pa=[0.0, 2.5e5, 0.0])
    assert early.engine_speed_rpm == 5000.0
    assert early.value == pytest.approx(0.655385 * 16.0 / 24.0 * math.sqrt(6.0), rel=1e-5)


def test_size_that_would_do():
    # 24 g/s through six at 2.70 bar keep 85 % from 500 cc/min x 0.690836/0.85 = 406.37 cc/min
    small = SIX.with_value("fuel_system.injector_flow", 380 * CC_PER_MINUTE)
    entry = used("injector_duty", small)
    assert entry.state == "over"
    assert dict(entry.numbers)["flow_needed_m3_s"] == pytest.approx(
        406.374 * CC_PER_MINUTE, rel=1e-5
    )
    assert "shelf_flow_m3_s" not in dict(entry.numbers)
    assert sentence(entry, small) == (
        "duty 90.9 % at 6800 rpm, most 85 %; 407 cc/min each would keep 85 %"
    )
    shelf = on_shelf(small, 550, 400, 440)
    assert sentence(used("injector_duty", shelf), shelf).endswith(
        "; 407 cc/min each would keep 85 %, on the shelf 440 cc/min"
    )
    bare = on_shelf(small, 400)
    assert sentence(used("injector_duty", bare), bare).endswith("keep 85 %, none on the shelf")
    # and the size named does keep it
    again = used("injector_duty", small.with_value("fuel_system.injector_flow", 407e-6 / 60.0))
    assert again.used == pytest.approx(1.0, abs=2e-3)
    assert again.state == "close"


def test_without_a_flow_the_size_is_told_and_nothing_judged():
    build = on_shelf(BUILD, 400, 330)
    entry = used("injector_duty", build)
    assert (entry.state, math.isnan(entry.used)) == ("blank", True)
    # 24 g/s / (6 x 0.85 x 732.393 kg/m3) = 6.42530e-6 m3/s = 385.518 cc/min
    assert dict(entry.numbers)["flow_needed_m3_s"] == pytest.approx(6.42530e-6, rel=1e-5)
    assert sentence(entry, build) == (
        "no injector flow given: not judged; 386 cc/min each would keep 85 %, on the shelf "
        "400 cc/min"
    )


def test_the_day_that_asks_most_is_told():
    fuel = [[0.008, 0.016, 0.020], [0.008, 0.016, 0.026], [0.008, 0.016, 0.024]]
    judged = judged_of(line=line_of(3, fuel_flow_kg_s=fuel), temperatures=(290.0,) * 3)
    found = entries(judged)
    assert [found[code].day for code in ("injector_duty", "fuel_pump")] == ["day 1", "day 1"]
    assert found["fuel_pump"].value == pytest.approx(0.026 / 745.0 * 1.15)


def test_no_pressure_left_across_an_injector():
    entry = used("injector_duty", SIX, boost_gauge_pa=[0.1e5, 1e5, 3.2e5])
    assert (entry.state, entry.used, entry.engine_speed_rpm) == ("over", math.inf, 6800.0)
    assert sentence(entry, SIX) == (
        "no pressure is left across the injectors at 6800 rpm; no injector serves: boost leaves "
        "no pressure across it"
    )


def test_injectors_into_the_cylinder_are_not_judged():
    entry = used("injector_duty", SIX.with_value("engine.injection", "direct"))
    assert (entry.state, entry.numbers) == ("blank", ())
    assert sentence(entry, SIX) == entry.basis
    assert "part of the cycle" in entry.basis


def test_unsolved_lines_leave_the_fuel_blank():
    whole = SIX.with_value("fuel_system.pump_flow", 1e-4)
    for code in ("injector_duty", "fuel_pump"):
        entry = used(code, whole, fuel_flow_kg_s=NAN, boost_gauge_pa=NAN, region_index=[ON] * 3)
        assert entry.state == "blank"
        assert sentence(entry, whole) == entry.basis


def test_fuel_pump_by_hand():
    # 24 g/s / 745 kg/m3 x 1.15 = 3.70470e-5 m3/s = 133.369 L/h
    told = used("fuel_pump")
    assert told.state == "blank"
    assert told.value == pytest.approx(3.70470e-5, rel=1e-5)
    assert sentence(told, BUILD) == (
        "133 L/h asked of the pump against 3.30 bar at 6800 rpm, reserve included; no pump flow "
        "given: not judged"
    )
    build = fuelled(pump_flow=140e-3 / 3600.0)
    entry = used("fuel_pump", build)
    assert entry.used == pytest.approx(133.369 / 140.0, rel=1e-5)
    assert sentence(entry, build) == (
        "133 L/h asked of the pump against 3.30 bar at 6800 rpm, reserve included, of 140 L/h "
        "stated at 3.00 bar; it gives less at 3.30 bar"
    )
    assert "one point of the pump" in entry.basis
    # stated at more than is asked: nothing to add; over the ambient the rail is held at 3 bar
    for changes in ({"pump_pressure": 4e5}, {"rail_reference": "ambient"}):
        other = build.with_values({f"fuel_system.{k}": v for k, v in changes.items()})
        assert sentence(used("fuel_pump", other), other).endswith("of 140 L/h")
    more = build.with_value("fuel_system.pump_reserve", 0.30)
    assert used("fuel_pump", more).used == pytest.approx(133.369 / 140.0 * 1.30 / 1.15, rel=1e-5)


BOUNDS = [
    # code, path, bound, value, engine speed
    ("torque", "bounds.torque", 400.0, 300.0, 3000.0),
    ("power_bound", "bounds.power", 250e3, 280e3, 6800.0),
    ("exhaust_pressure", "bounds.exhaust_pressure", 20e3, 120e3 - 101_325.0, 3000.0),
    ("manifold_sensor", "bounds.manifold_sensor", 150e3, 145e3, 3000.0),
    ("air_meter", "bounds.air_meter", 0.32, 0.30, 6800.0),
]


@pytest.mark.parametrize(("code", "path", "bound", "value", "speed"), BOUNDS)
def test_bounds_of_engine_and_sensors(code, path, bound, value, speed):
    without = used(code)
    assert (without.state, without.basis) == ("blank", "no bound given: not judged")
    build = BUILD.with_value(path, bound)
    entry = used(code, build)
    assert entry.value == pytest.approx(value)
    assert entry.used == pytest.approx(value / bound)
    assert (entry.bound, entry.engine_speed_rpm) == (bound, speed)
    assert f"at {speed:.0f} rpm, most " in sentence(entry, build)


def test_an_air_meter_sees_what_comes_through_the_filter():
    build = BUILD.with_value("bounds.air_meter", 0.32)
    bypass = [0.0, 0.0, 0.05]
    assert used("air_meter", build, bypass_flow_kg_s=bypass).value == pytest.approx(0.25)
    vented = build.with_value("bypass.vent", "atmosphere")
    assert used("air_meter", vented, bypass_flow_kg_s=bypass).value == pytest.approx(0.30)


# trade facts, common practice, no source: eight injectors of 60 lb/h do for about 500 flywheel
# horsepower on petrol, those of 42 lb/h do not. Counted as the trade does, 10.5 cc/min a lb/h.


def trade(size, consumption, **changes):
    """Duty that the ledger finds for 500 hp at a consumption in lb/(hp h), 0.69 bar of boost."""
    build = fuelled(injector_flow=size * 10.5 * CC_PER_MINUTE, injectors=8, **changes)
    burnt = 500.0 * consumption * POUND_PER_HOUR
    line = {
        "fuel_flow_kg_s": [0.3 * burnt, 0.7 * burnt, burnt],
        "boost_gauge_pa": [0.1e5, 0.4e5, 0.69e5],
        "flywheel_power_w": [150 * HORSEPOWER, 350 * HORSEPOWER, 500 * HORSEPOWER],
    }
    return used("injector_duty", build, **line)


@pytest.mark.parametrize("consumption", [0.50, 0.55, 0.60, 0.65])
def test_sixty_pound_injectors_do_for_500_horsepower(consumption):
    entry = trade(60.0, consumption)
    assert 0.5 < entry.value < 0.77
    assert entry.state != "over"


def test_forty_two_pound_injectors_do_not():
    # the trade counts pound for pound, whatever the fuel's density: 85 % from 0.571 up
    pound_for_pound = {"injector_rating_density": 720.0**2 / 745.0}
    shares = {b: trade(42.0, b, **pound_for_pound) for b in (0.50, 0.56, 0.575, 0.60, 0.65)}
    assert [one.state for one in shares.values()] == ["clear", "close", "over", "over", "over"]
    assert shares[0.575].value == pytest.approx(500.0 * 0.575 / (8 * 42.0), rel=1e-4)
    # petrol of 745 kg/m3 goes through by 1.7 % more: 85 % from 0.581 up
    assert [trade(42.0, b).state for b in (0.575, 0.59)] == ["close", "over"]
    # with the rail over the ambient almost always
    for consumption in (0.52, 0.55, 0.60):
        assert trade(42.0, consumption, rail_reference="ambient").state == "over"


def test_from_fuel_and_not_from_power():
    """Less power from as much fuel, as a retarded spark gives, leaves the duty as it is."""
    weak = used("injector_duty", SIX, flywheel_power_w=[80e3, 150e3, 200e3])
    plain = used("injector_duty", SIX)
    assert (weak.value, weak.used) == (plain.value, plain.used)


def test_worse_of_two_that_are_not_judged_is_the_larger_told():
    nothing = np.full(2, NAN)

    def told(*sizes):
        return Verdict(nothing, nothing, nothing, nothing, "", numbers={"flow": np.array(sizes)})

    worse = worse_of(told(1.0, 4.0), told(2.0, 3.0))
    assert worse.without_slip.tolist() == [True, False]
    assert worse.numbers["flow"].tolist() == [2.0, 4.0]


def test_slip_protects_no_injector(sample_build, sample_surface):
    build = sample_build("frame-95-small").with_values(
        {
            "drive.tensioner": "fixed",
            "drive.blower_pulley_diameter": 0.049,
            "fuel_system.injector_flow": 440 * CC_PER_MINUTE,
        }
    )
    result = match(build, surface=sample_surface("frame-95-small"))
    entry = {e.code: e for e in result.ledger}["injector_duty"]
    assert entry.without_slip
    held = result.line_without_slip.fuel_flow_kg_s
    flow = 440 * CC_PER_MINUTE * math.sqrt(720.0 * 745.0) * 6
    assert entry.value == pytest.approx(np.nanmax(held) / flow, rel=1e-9)
    assert entry.value > 1.05 * np.nanmax(result.line.fuel_flow_kg_s) / flow
    assert sentence(entry, build).endswith(", if the belt stops slipping")


def test_alcohol_and_cold_ask_more(sample_build, sample_surface):
    surface = sample_surface("frame-95-small")
    build = sample_build("frame-95-small").with_value(
        "fuel_system.injector_flow", float(to_si(440, "cc/min", "volume_flow"))
    )
    days = tuple(NAMED_DAYS.values())

    def duty(one):
        ledger = ledger_over_days(one, days, surface=surface)
        return next(e for e in ledger if e.code == "injector_duty")

    petrol, blend = duty(build), duty(build.with_value("engine.fuel", "E85"))
    assert petrol.day == "freezing"
    # road practice, no source: E85 asks for 30-40 % more by volume
    assert 1.25 < blend.value / petrol.value < 1.50


def test_a_line_of_many_days_keeps_each_days_numbers():
    fuel = [[0.008, 0.016, 0.020], [0.008, 0.016, 0.026]]
    judged = judged_of(SIX, line_of(2, fuel_flow_kg_s=fuel), temperatures=(290.0,) * 2)
    (entry,) = (
        e
        for e in entries_of_worst_day(judge_all(judged), judged.day_names)
        if e.code == "injector_duty"
    )
    assert entry.day == "day 1"
    # the need grows with the duty
    needed = dict(entry.numbers)["flow_needed_m3_s"]
    assert needed == pytest.approx(entry.value / 0.85 * 500 * CC_PER_MINUTE)


def test_words_around_the_entries():
    fuel = used("injector_duty", SIX)
    assert "Fuel under pressure" in cautions_of(fuel)
    assert "Fuel under pressure" not in cautions_of(used("torque"))
    # what has no bound stands in one row of the text
    rows = ledger_table(tuple(entries(judged_of()).values()), BUILD)
    told = " ".join(" ".join(rows).split())
    assert (
        "Boost, Flywheel torque, Flywheel power, Exhaust pressure, Manifold sensor, Air meter: no "
        "bound given: not judged"
    ) in told
    assert sum("no bound given" in row for row in rows) <= 1
    # of entries that are not judged the one that tells most stands for all
    less = used("fuel_pump", fuel_flow_kg_s=[0.008, 0.016, 0.020])
    more = used("fuel_pump")
    assert worst_of([less, more]) is more


def test_derived_numbers_are_shown():
    assert derived_value(BUILD, "fuel_system.injectors") == BUILD.engine.cylinders
    assert derived_value(BUILD, "fuel_system.pump_pressure") == 3e5
    higher = BUILD.with_value("fuel_system.rail_pressure", 4e5)
    assert derived_value(higher, "fuel_system.pump_pressure") == 4e5
    # none of it moves power
    assert not [p for p in studied_inputs(SIX) if p.startswith("fuel_system.")]
