"""What *used* means, limit by limit, on lines written out by hand."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hand_lines import (
    ABOVE,
    BELOW,
    BUILD,
    LEFT,
    MAP,
    ON,
    PAST,
    PLAIN,
    entries,
    judged_of,
    line_of,
    used,
)

from engine_model.compressor.surface_fit import fit_surface
from engine_model.inputs import Blower, Build, Drive
from engine_model.limits.judging import Judged
from engine_model.limits.ledger import CHECKS, entries_of_worst_day, judge_all, state_of
from engine_model.matching import match
from engine_model.results import LINE_FIELDS

CODES = (
    "impeller_speed", "impeller_speed_over_rev", "tip_speed", "surge_margin", "choke_margin",
    "charge_temperature", "inlet_depression", "piston_speed", "boost", "belt_grip", "belt_slip",
    "belt_tension", "belt_speed", "smallest_pulley", "hub_load", "belt_shift", "same_belt",
    "injector_duty", "fuel_pump", "torque", "power_bound", "exhaust_pressure",
    "manifold_sensor", "air_meter", "knock_retard", "cylinder_pressure",
    "target_power", "share_off_map", "assumed_inputs",
    "power_sanity", "map_quality",
)  # fmt: skip
PARTS = ("parts",) * 26 + ("target",) + ("trust",) * 4


def test_codes_and_parts_in_their_frozen_order(sample_build, sample_surface):
    assert tuple(check.code for check in CHECKS) == CODES
    assert tuple(check.part for check in CHECKS) == PARTS
    ledger = match(sample_build("frame-95-small"), surface=sample_surface("frame-95-small")).ledger
    assert tuple(entry.code for entry in ledger) == CODES
    assert tuple(entry.part for entry in ledger) == PARTS


@pytest.mark.parametrize(
    ("share", "state"),
    [
        (0.0, "clear"),
        (-0.3, "clear"),
        (0.8999, "clear"),
        (0.9, "close"),
        (1.0, "close"),
        (1.0000001, "over"),
        (np.inf, "over"),
        (np.nan, "blank"),
    ],
)
def test_states(share, state):
    assert state_of(share) == state


def test_impeller_speed_against_the_map():
    entry = used("impeller_speed")
    assert entry.used == pytest.approx(60e3 / 80e3)
    assert (entry.value, entry.bound, entry.engine_speed_rpm) == (60e3, 80e3, 6800.0)
    assert "map" in entry.basis


def test_impeller_speed_uses_the_lower_maximum_and_says_whose():
    lower = used("impeller_speed", BUILD.with_value("blower.maximum_impeller_speed", 75e3))
    assert lower.used == pytest.approx(0.8)
    assert "build" in lower.basis
    higher = used("impeller_speed", BUILD.with_value("blower.maximum_impeller_speed", 85e3))
    assert higher.bound == 80e3
    assert "map" in higher.basis


def test_over_rev_and_tip_speed():
    over = used("impeller_speed_over_rev")
    assert over.used == pytest.approx(66e3 / 80e3)
    assert over.engine_speed_rpm == pytest.approx(7480.0)  # 1.10 x 6800
    tip = used("tip_speed")
    # pi 0.095 x 66000/60 = 328.30 m/s of 500
    assert tip.value == pytest.approx(328.30, abs=0.01)
    assert tip.used == pytest.approx(0.65659, abs=1e-5)


def test_surge_at_the_worst_edge_of_the_band_above_the_pressure_ratio_judged():
    # at 1.2 the point is not judged; (1 - 0.20)/(1 - 0.08) at 5000 rpm
    entry = used("surge_margin")
    assert entry.used == pytest.approx(0.80 / 0.92)
    assert (entry.value, entry.bound, entry.engine_speed_rpm) == (0.20, 0.08, 5000.0)


def test_surge_below_the_pressure_ratio_judged_does_not_count():
    low = [-0.5, 0.20, 0.31]
    assert used("surge_margin", surge_margin_low=low).used == pytest.approx(0.80 / 0.92)
    at = used("surge_margin", surge_margin_low=low, pressure_ratio=[1.30, 1.5, 1.8])
    assert at.used == pytest.approx(0.80 / 0.92)  # above 1.30 only
    above = used("surge_margin", surge_margin_low=low, pressure_ratio=[1.301, 1.5, 1.8])
    assert above.used == pytest.approx(1.5 / 0.92)
    raised = BUILD.with_value("bounds.surge_judged_above", 1.6)
    assert used("surge_margin", raised).used == pytest.approx(0.69 / 0.92)


NAN = np.nan
LOST = {
    "air_flow_kg_s": [0.10, 0.20, NAN],
    "pressure_ratio": [1.2, 1.5, NAN],
    "surge_margin_low": [0.25, 0.20, NAN],
    "surge_margin": [0.30, 0.25, NAN],
    "choke_margin": [0.50, 0.30, NAN],
    "flywheel_power_w": [100e3, 200e3, NAN],
    "wheel_power_w": [85e3, 170e3, NAN],
    "fuel_flow_kg_s": [0.008, 0.016, NAN],
    "manifold_temperature_k": [300.0, 310.0, NAN],
    "inlet_pressure_pa": [100e3, 99e3, NAN],
    "boost_gauge_pa": [10e3, 40e3, NAN],
}


def test_point_without_a_root_left_of_surge_counts_at_the_worst():
    entry = used("surge_margin", **LOST, region_index=[ON, ON, LEFT])
    assert entry.used == pytest.approx(1.0 / 0.6 / 0.92)
    assert entry.engine_speed_rpm == 6800.0
    assert np.isnan(entry.value)
    assert entry.state == "over"
    choke = used("choke_margin", **LOST, region_index=[ON, ON, LEFT])
    assert choke.used == pytest.approx(1.03 / 1.30)


def test_point_without_a_root_past_choke_counts_at_the_worst():
    entry = used("choke_margin", **LOST, region_index=[ON, ON, PAST])
    assert entry.used == pytest.approx(1.03)
    assert entry.engine_speed_rpm == 6800.0
    assert np.isnan(entry.value)
    assert entry.state == "over"
    surge = used("surge_margin", **LOST, region_index=[ON, ON, PAST])
    assert surge.used == pytest.approx(0.80 / 0.92)


def test_choke_margin():
    entry = used("choke_margin")
    assert entry.used == pytest.approx(1.03 / 1.20)
    assert (entry.value, entry.bound, entry.engine_speed_rpm) == (0.20, 0.03, 6800.0)


def test_charge_temperature_counts_from_the_day():
    # (325.15 - 293.15)/(333.15 - 293.15)
    entry = used("charge_temperature")
    assert entry.used == pytest.approx(0.80)
    assert entry.value == pytest.approx(325.15)


def test_bound_at_or_under_its_rest_is_over():
    for temperature in (333.15, 340.0):
        entry = entries(judged_of(temperatures=(temperature,)))["charge_temperature"]
        assert entry.state == "over"
        assert entry.used == np.inf


def test_inlet_depression():
    # (101325 - 97500)/5000
    entry = used("inlet_depression")
    assert entry.used == pytest.approx(0.765)
    assert entry.engine_speed_rpm == 6800.0


def test_piston_speed():
    build = BUILD.with_value("engine.stroke", 0.0882)
    # 2 x 0.0882 x 6800/60 = 19.992 m/s of 25
    entry = used("piston_speed", build)
    assert entry.value == pytest.approx(19.992)
    assert entry.used == pytest.approx(0.79968)
    # a square engine: (4 x 3.2e-3/6/pi)^(1/3) = 87.90 mm -> 19.923 m/s
    square = used("piston_speed")
    assert square.value == pytest.approx(19.923, abs=1e-3)
    assert "square" in square.basis


def test_boost_is_blank_without_a_bound():
    entry = used("boost")
    assert entry.state == "blank"
    assert np.isnan(entry.used)
    bound = used("boost", BUILD.with_value("bounds.boost", 50e3))
    assert bound.used == pytest.approx(0.8)
    assert (bound.value, bound.engine_speed_rpm) == (40e3, 5000.0)


def test_target_power():
    assert used("target_power").state == "blank"
    wheel = BUILD.with_value("target.power", 250e3)
    entry = used("target_power", wheel)
    assert entry.used == pytest.approx(250.0 / 238.0)
    assert (entry.value, entry.engine_speed_rpm, entry.state) == (238e3, 6800.0, "over")
    flywheel = wheel.with_value("target.basis", "flywheel")
    assert used("target_power", flywheel).used == pytest.approx(250.0 / 280.0)


def test_target_without_any_power_is_over():
    build = BUILD.with_value("target.power", 250e3)
    entry = used("target_power", build, wheel_power_w=[-5e3, -4e3, -1e3])
    assert entry.state == "over"


def test_target_belongs_to_its_day():
    build = BUILD.with_values({"target.power": 250e3, "target.day": "hot"})
    judged = judged_of(build, line_of(2), (293.15, 311.15))
    assert entries(judged)["target_power"].state == "blank"  # neither day is the hot one
    named = Judged(
        **{f: getattr(judged, f) for f in judged.__slots__} | {"day_names": ("x", "hot")}
    )
    entry = entries_of_worst_day(judge_all(named), ("x", "hot"))[CODES.index("target_power")]
    assert entry.day == "hot"
    assert entry.used == pytest.approx(250.0 / 238.0)


def test_share_off_map():
    clear = used("share_off_map", region_index=[BELOW, ON, ON])
    assert (clear.used, clear.value) == (0.0, 0.0)
    for region in (ABOVE, LEFT, PAST):
        entry = used("share_off_map", region_index=[ON, ON, region])
        assert entry.value == pytest.approx(1.0 / 3.0)
        assert entry.used == pytest.approx(1.0 / 3.0 / 0.10)
        assert entry.engine_speed_rpm == 6800.0


def test_assumed_inputs():
    entry = used("assumed_inputs")
    assert entry.used == pytest.approx(30.0 / 50.0)
    assert (entry.value, entry.bound) == (30.0, 50.0)


def test_power_sanity_is_two_sided_at_peak_power():
    # 0.024 kg/s over 280 kW is 8.5714e-8 kg/J; x 745.700 x 3600/0.45359237 = 0.507286 lb/(hp h);
    # belt 0.44 to 0.62: middle 0.53, half-width 0.09: |0.507286 - 0.53|/0.09 = 0.25238
    entry = used("power_sanity")
    assert entry.value == pytest.approx(0.507286, rel=1e-5)
    assert entry.used == pytest.approx(0.25238, abs=1e-4)
    assert entry.engine_speed_rpm == 6800.0
    at_bound = used("power_sanity", fuel_flow_kg_s=[0.008, 0.016, 0.024 * 0.62 / 0.507286])
    assert at_bound.used == pytest.approx(1.0, abs=1e-4)
    ethanol = entries(judged_of(heating_value=26.9e6))["power_sanity"]
    assert ethanol.value == pytest.approx(0.507286 * 26.9 / 44.0, rel=1e-5)


def test_power_sanity_bounds_go_with_the_drive():
    # free shaft 0.40-0.56: middle 0.48, half-width 0.08; unblown 0.42-0.56: 0.49, 0.07
    free = BUILD.with_value("drive.kind", "free_shaft")
    assert used("power_sanity", free).used == pytest.approx(0.027286 / 0.08, abs=1e-4)
    unblown = Build(drive=Drive(kind="none"))
    assert used("power_sanity", unblown).used == pytest.approx(0.017286 / 0.07, abs=1e-4)


def test_map_quality():
    assert used("map_quality").used == 0.0
    for change in ({"islands": ()}, {"pressure_basis": "total_to_static"}):
        poor = dataclasses.replace(MAP, **change)
        entry = used("map_quality", Build(blower=Blower(compressor_map=poor)))
        assert entry.used == 0.95
        assert entry.state == "close"


def test_free_shaft_is_judged_on_its_line():
    free = BUILD.with_value("drive.kind", "free_shaft")
    ledger = entries(judged_of(free))
    assert ledger["impeller_speed"].used == pytest.approx(68.0 / 80.0)
    assert ledger["impeller_speed"].engine_speed_rpm == 6800.0
    assert ledger["impeller_speed_over_rev"].state == "blank"
    # pi 0.095 x 68000/60 = 338.25 m/s of 500
    assert ledger["tip_speed"].value == pytest.approx(338.25, abs=0.01)


def test_worst_day_is_named():
    line = line_of(3, manifold_temperature_k=[[300.0] * 3, [320.0] * 3, [315.0] * 3])
    judged = judged_of(line=line, temperatures=(290.0, 290.0, 310.0))
    entry = entries(judged)["charge_temperature"]
    # 10/43.15, 30/43.15, 5/23.15
    assert entry.day == "day 1"
    assert entry.used == pytest.approx(30.0 / 43.15)
    blank_first = entries_of_worst_day(judge_all(judged), judged.day_names)
    assert len({e.code for e in blank_first}) == len(CODES)


@pytest.fixture(scope="module")
def three_lines():
    return fit_surface(MAP)


@pytest.mark.parametrize(
    ("speed", "half_width"),
    [
        (40e3, 0.0),
        (60e3, 0.0),
        (90e3, 0.0),
        (50e3, 0.10),  # half-way between 40 and 60
        (45e3, 0.05),  # 2 x 5/20
        (75e3, 0.10),  # half-way between 60 and 90
        (66e3, 0.04),  # 2 x 6/30
        (93e3, 0.02),  # beyond the top line, by its gap of 30
        (105e3, 0.10),
        (150e3, 0.10),
        (39e3, 0.01),  # under the lowest line, by its gap of 20
        (30e3, 0.10),
        (10e3, 0.10),
    ],
)
def test_surge_band_widens_away_from_the_traced_lines(three_lines, speed, half_width):
    assert float(three_lines.surge_uncertainty(speed)) == pytest.approx(half_width, abs=1e-12)


def test_every_field_of_the_hand_made_line_is_there():
    assert set(PLAIN) == {*LINE_FIELDS, "region_index"}


def test_nothing_solved_leaves_what_cannot_be_judged_blank():
    """A line without a single root: surge is over, what has no number is blank."""
    nothing = {f: NAN for f in LINE_FIELDS if not f.endswith("_rpm")}
    ledger = entries(judged_of(line=line_of(**nothing, region_index=[LEFT] * 3)))
    assert ledger["surge_margin"].state == "over"
    assert ledger["share_off_map"].used == pytest.approx(10.0)
    for code in ("charge_temperature", "inlet_depression", "power_sanity"):
        assert ledger[code].state == "blank"
