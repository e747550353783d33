"""Corners where the road once went wrong, kept from coming back."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from engine_model.compressor.surface_fit import fit_surface
from engine_model.errors import InputError
from engine_model.inputs import NAMED_DAYS, Blower, Build, Drive, Variation
from engine_model.limits.judging import Judged
from engine_model.limits.trust_limits import judge_target_power
from engine_model.matching import match, match_many
from engine_model.results import LINE_FIELDS, OperatingLine
from engine_model.unpack import plan_of

MILD = NAMED_DAYS["mild"]


@pytest.mark.parametrize(
    ("name", "cap", "pulley", "day", "speed"),
    [
        # more than 150 K of rise: station 1 is given as fresh, 60 % of the air recirculated
        ("frame-95-large", 1e4, 0.045, "freezing", 6800.0),
        # left of surge the head is flat: a little heat and the cap is out of reach
        ("frame-95-large", 3e4, 0.0488, "freezing", 3400.0),
        # bypass flow backwards
        ("frame-95-middle", 1e4, 0.045, "mild", 2000.0),
    ],
)
def test_uncooled_recirculation_balances_or_has_no_numbers(
    sample_build, sample_surface, name, cap, pulley, day, speed
):
    build = sample_build(
        name, cooler__kind="none", bypass__boost_cap=cap, drive__blower_pulley_diameter=pulley
    )
    chosen = NAMED_DAYS[day]
    line = match(build, chosen, [speed], surface=sample_surface(name)).line
    through, back = line.air_flow_kg_s[0], line.bypass_flow_kg_s[0]
    if np.isnan(through):
        assert line.region[0] in ("left of surge", "past choke")
        return
    mixed = (through - back) * (chosen.temperature + 5.0) + back * line.manifold_temperature_k[0]
    assert line.inlet_temperature_k[0] == pytest.approx(mixed / through, rel=1e-9)
    assert back >= 0.0


def test_bypass_opens_where_the_shut_engine_would_surge(sample_build, sample_surface):
    """0.8 litres: shut, it takes less than 0.6 of the surge flow; the open valve passes the rest.

    At 4500 rpm the cap of 10 kPa holds; at 6000 rpm the head is higher still.
    """
    build = sample_build(
        "frame-95-large",
        engine__displacement=0.8e-3,
        engine__stock_torque=75.0,
        engine__stock_power=42e3,
        bypass__boost_cap=1e4,
        bypass__vent="atmosphere",
        cooler__pressure_loss=500.0,
    )
    line = match(build, MILD, [4500.0, 6000.0], surface=sample_surface("frame-95-large")).line
    assert line.boost_gauge_pa[0] == pytest.approx(1e4)
    assert line.boost_gauge_pa[1] == pytest.approx(1e4)


@pytest.mark.parametrize("vent", ["recirculated", "atmosphere"])
def test_boost_cap_keeps_the_turbine_back_pressure(sample_build, sample_surface, vent):
    build = sample_build(
        "turbo-52", drive__kind="free_shaft", bypass__boost_cap=5e4, bypass__vent=vent
    )
    line = match(build, MILD, [5000.0], surface=sample_surface("turbo-52")).line
    assert line.bypass_flow_kg_s[0] > 0.0
    rise = line.discharge_pressure_pa - line.inlet_pressure_pa
    assert line.exhaust_pressure_pa[0] - 101_325.0 > rise[0]


def test_boost_out_of_reach_is_no_solution(sample_build, sample_surface):
    build = sample_build(
        "turbo-52", drive__kind="free_shaft", drive__boost_schedule=((0.1, 5e5), (1.0, 5e5))
    )
    line = match(build, MILD, [5000.0], surface=sample_surface("turbo-52")).line
    assert np.isnan(line.air_flow_kg_s[0])


@pytest.mark.parametrize(
    "changes", [{"bypass__boost_cap": 2e4}, {"drive__kind": "none"}], ids=["capped", "no blower"]
)
def test_throttle_is_refused_where_the_road_has_none(sample_build, changes):
    """A plate behind an open bypass or without a blower is not on the road: said, not ignored."""
    build = sample_build("frame-95-small", **changes)
    with pytest.raises(InputError, match=r"variation\.throttle_area"):
        match_many(build, [MILD], [6500.0], Variation(throttle_area=np.full((1, 1), 1e-3)))


def test_typed_efficiency_changes_the_match_with_a_cached_surface(sample_map):
    bare = dataclasses.replace(sample_map("frame-95-small"), islands=())
    build = Build(blower=Blower(compressor_map=bare))
    cached = fit_surface(bare, 0.70)
    typed = build.with_value("blower.typed_efficiency", 0.50)
    line = match(typed, MILD, [6000.0], surface=cached).line
    assert line.efficiency[0] == pytest.approx(0.50)


def test_rated_flow_follows_the_typed_volumetric_efficiency():
    """1.5 times the stock engine's air at its power speed, whichever way that is found."""
    table = ((1000.0, 0.85), (7000.0, 0.85))
    build = Build(drive=Drive(kind="none")).with_value("engine.volumetric_efficiency", table)
    plan = plan_of(build, np.array([6200.0]))
    assert plan.rated == pytest.approx(1.5 * float(plan.stock.flow[0]), rel=1e-6)


def test_target_is_over_where_no_power_is_left():
    build = Build(drive=Drive(kind="none")).with_value("target.power", 2e5)
    arrays = {name: np.full((1, 3), np.nan) for name in LINE_FIELDS}
    arrays["wheel_power_w"] = np.array([[np.nan, -5e3, -1e3]])
    line = OperatingLine(region_index=np.zeros((1, 3), dtype=np.int8), **arrays)
    nothing = np.full(1, np.nan)
    judged = Judged(
        build, line, nothing, nothing, ("mild",), nothing, nothing, 1, 1, heating_value=44e6
    )
    assert judge_target_power(judged).used[0] == np.inf


def test_above_the_map_goes_before_below_the_map(sample_build, sample_surface):
    """Order where two hold: past choke, left of surge, above, below."""
    build = sample_build(
        "frame-95-large",
        bounds__surge_judged_above=3.0,
        drive__blower_pulley_diameter=0.045,
        drive__ribs=20,
    )
    line = match(build, MILD, [6800.0], surface=sample_surface("frame-95-large")).line
    assert line.corrected_speed_rpm[0] > 90e3  # the top line
    assert line.region[0] == "above the map"
