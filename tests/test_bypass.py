"""A bypass valve that holds boost at a cap: what balances when it is open."""

from __future__ import annotations

import numpy as np
import pytest

from engine_model.inputs import NAMED_DAYS, Variation
from engine_model.matching import match, match_many
from engine_model.results import LINE_FIELDS

DAYS = tuple(NAMED_DAYS.values())
FRESH = np.array([d.temperature + 5.0 for d in DAYS])[:, None]  # inlet rise 5 K by default
FRAMES = ("frame-95-small", "frame-95-middle", "frame-95-large")
RPM = np.linspace(1500.0, 6800.0, 28)
CAPS = (5e3, 2e4, 5e4)
VENTS = ("recirculated", "atmosphere")


@pytest.fixture
def lines(sample_build, sample_surface):
    """Shut and open lines of a frame, cap and vent: (line without a cap, line with it)."""

    def solve(name, cap, vent, **values):
        plain = sample_build(name, drive__blower_pulley_diameter=0.0615, drive__ribs=20, **values)
        capped = plain.with_values({"bypass.boost_cap": cap, "bypass.vent": vent})
        surface = sample_surface(name)
        return tuple(match_many(b, DAYS, RPM, surface=surface) for b in (plain, capped))

    return solve


@pytest.mark.parametrize("vent", VENTS)
@pytest.mark.parametrize("cap", CAPS)
@pytest.mark.parametrize("name", FRAMES)
def test_boost_is_held_and_flows_balance(lines, name, cap, vent):
    shut, line = lines(name, cap, vent)
    over = shut.boost_gauge_pa > cap
    assert np.count_nonzero(over) > 10
    np.testing.assert_array_equal(line.bypass_flow_kg_s > 0.0, over)
    # relative to the manifold pressure the valve holds it to 1e-11
    np.testing.assert_allclose(line.boost_gauge_pa[over], cap, rtol=1e-9)
    assert np.all(line.boost_gauge_pa[~over & np.isfinite(line.boost_gauge_pa)] <= cap)
    # what the engine takes, from its own volumetric efficiency and the manifold
    gas = moist_gas_constants()
    engine = line.volumetric_efficiency * line.manifold_pressure_pa * 3.2e-3 * RPM / 120.0
    engine = engine / (gas * line.manifold_temperature_k)
    total = engine + line.bypass_flow_kg_s
    np.testing.assert_allclose(total[over], line.air_flow_kg_s[over], rtol=1e-12)


def moist_gas_constants():
    """R of the four days: Buck 1996, w = 0.622 p_v/(p - p_v) [J/(kg K)]."""
    t = np.array([d.temperature for d in DAYS]) - 273.15
    p = np.array([101325.0 * (1.0 - 0.0065 * d.altitude / 288.15) ** 5.25588 for d in DAYS])
    humid = np.array([d.relative_humidity for d in DAYS])
    vapour = humid * 611.21 * np.exp((18.678 - t / 234.5) * t / (257.14 + t))
    w = 0.622 * vapour / (p - vapour)
    return (287.053 * (1.0 + 1.6078 * w) / (1.0 + w))[:, None]


@pytest.mark.parametrize("cap", CAPS)
@pytest.mark.parametrize("name", FRAMES)
def test_recirculated_air_heats_station_one(lines, name, cap):
    shut, line = lines(name, cap, "recirculated")
    over = shut.boost_gauge_pa > cap
    back, through = line.bypass_flow_kg_s, line.air_flow_kg_s
    mixed = ((through - back) * FRESH + back * line.manifold_temperature_k) / through
    np.testing.assert_allclose(line.inlet_temperature_k[over], mixed[over], rtol=1e-9)
    assert np.all((line.inlet_temperature_k > FRESH)[over])
    # the filter passes what the engine takes
    density = pressures() / (moist_gas_constants() * FRESH)
    loss = 2.5e3 * ((through - back) / RATED) ** 2 * 1.16 / density
    np.testing.assert_allclose(line.inlet_pressure_pa[over], (pressures() - loss)[over], rtol=1e-7)


@pytest.mark.parametrize("cap", CAPS)
@pytest.mark.parametrize("name", FRAMES)
def test_vented_air_is_lost_and_heats_nothing(lines, name, cap):
    shut, line = lines(name, cap, "atmosphere")
    over = shut.boost_gauge_pa > cap
    np.testing.assert_array_equal(line.inlet_temperature_k, np.broadcast_to(FRESH, over.shape))
    density = pressures() / (moist_gas_constants() * FRESH)
    loss = 2.5e3 * (line.air_flow_kg_s / RATED) ** 2 * 1.16 / density
    np.testing.assert_allclose(line.inlet_pressure_pa[over], (pressures() - loss)[over], rtol=1e-7)


# 1.5 times the stock engine's air at its power speed, by hand: friction 0.8 (0.97 + 0.93 +
# 1.922) bar = 305.76 kPa, x 3.2e-3 x 6200/120 = 50552.3 W; cycle 1 - 9.8^-0.3 = 0.49576594;
# mixture 0.905344; fuel (170000 + 50552.3)/(44e6 x 0.49576594 x 0.80 x 0.905344), that is
# 0.013959783 kg/s; x 14.6 x 0.88 x 1.5
RATED = 0.26903293


def pressures():
    return np.array([101325.0 * (1 - 0.0065 * d.altitude / 288.15) ** 5.25588 for d in DAYS])[
        :, None
    ]


@pytest.mark.parametrize("vent", VENTS)
@pytest.mark.parametrize("name", FRAMES)
def test_open_bypass_moves_the_compressor_right(lines, name, vent):
    shut, line = lines(name, 2e4, vent)
    over = shut.boost_gauge_pa > 2e4
    assert np.all((line.air_flow_kg_s > shut.air_flow_kg_s)[over])
    assert np.all((line.surge_margin > shut.surge_margin)[over])
    assert np.all((line.pressure_ratio < shut.pressure_ratio)[over])
    # the engine takes less, makes less, and the belt turns as fast as before
    engine = line.air_flow_kg_s - line.bypass_flow_kg_s
    assert np.all((engine < shut.air_flow_kg_s)[over])
    assert np.all((line.flywheel_power_w < shut.flywheel_power_w)[over])
    np.testing.assert_array_equal(line.impeller_speed_rpm, shut.impeller_speed_rpm)


def test_hot_recirculation_slows_the_corrected_speed_only(lines):
    shut, line = lines("frame-95-middle", 2e4, "recirculated")
    over = shut.boost_gauge_pa > 2e4
    # N/sqrt(T), the ratio of specific heats hardly moves over 30 K
    slower = np.sqrt(FRESH / line.inlet_temperature_k)
    expected = shut.corrected_speed_rpm * slower
    np.testing.assert_allclose(line.corrected_speed_rpm[over], expected[over], rtol=1e-3)
    assert np.all((line.corrected_speed_rpm < shut.corrected_speed_rpm)[over])


@pytest.mark.parametrize("vent", VENTS)
def test_cap_above_the_boost_changes_no_bit(lines, vent):
    shut, line = lines("frame-95-small", 4e5, vent)
    for field in (*LINE_FIELDS, "region_index"):
        np.testing.assert_array_equal(getattr(line, field), getattr(shut, field), err_msg=field)


def test_points_under_the_cap_keep_every_bit(lines):
    shut, line = lines("frame-95-small", 2e4, "recirculated")
    under = ~(shut.boost_gauge_pa > 2e4)
    assert np.count_nonzero(under) > 10
    for field in LINE_FIELDS:
        np.testing.assert_array_equal(getattr(line, field)[under], getattr(shut, field)[under])


def test_lower_cap_asks_for_more_bypass(sample_build, sample_surface):
    flows = []
    for cap in (6e4, 4e4, 2e4, 1e4):
        build = sample_build(
            "frame-95-small",
            bypass__boost_cap=cap,
            drive__blower_pulley_diameter=0.059,
            drive__ribs=20,
        )
        line = match(build, rpm=[6500.0], surface=sample_surface("frame-95-small")).line
        flows.append(float(line.bypass_flow_kg_s[0]))
    assert flows == sorted(flows)
    assert flows[0] > 0.0


def test_wide_open_pulley_sweep_holds_every_cap_with_a_cooler(sample_build, sample_surface):
    """Pulleys from 45 to 120 mm on four days: held, mixed, and never a flow backwards."""
    pulleys = np.linspace(0.045, 0.120, 16)[:, None, None]
    for name in FRAMES:
        for cap in (2e3, 3e4):
            line = match_many(
                sample_build(name, bypass__boost_cap=cap),
                DAYS,
                RPM,
                Variation(blower_pulley_diameter=pulleys),
                surface=sample_surface(name),
            )
            open_ = line.bypass_flow_kg_s != 0.0
            open_ &= np.isfinite(line.air_flow_kg_s)
            assert np.all(line.bypass_flow_kg_s[open_] > 0.0)
            np.testing.assert_allclose(line.boost_gauge_pa[open_], cap, rtol=1e-8)
            back, through = line.bypass_flow_kg_s, line.air_flow_kg_s
            mixed = ((through - back) * FRESH + back * line.manifold_temperature_k) / through
            np.testing.assert_allclose(line.inlet_temperature_k[open_], mixed[open_], rtol=1e-9)
