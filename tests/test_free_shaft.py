"""A turbocharger: boost by schedule, the shaft's speed from the map, no power from the crank."""

from __future__ import annotations

import numpy as np
import pytest

from engine_model.errors import InputError
from engine_model.inputs import NAMED_DAYS, Variation
from engine_model.matching import match_many, schedule_for_boost

DAYS = tuple(NAMED_DAYS.values())
RPM = np.linspace(1200.0, 6800.0, 29)
NAME = "turbo-52"
# of the four days: 1013.25 hPa at sea level, and 1800 m of the standard atmosphere (ISO 2533)
HIGH = 101325.0 * (1.0 - 0.0065 * 1800.0 / 288.15) ** 5.25588
AMBIENT = np.array([101325.0, 101325.0, 101325.0, HIGH])[:, None]


@pytest.fixture
def line_of(sample_build, sample_surface):
    def solve(variation=None, **values):
        build = sample_build(NAME, drive__kind="free_shaft", **values)
        return match_many(build, DAYS, RPM, variation, surface=sample_surface(NAME))

    return solve


def schedule(table):
    return np.interp(RPM / 6800.0, *np.array(table).T)


def test_default_schedule_is_followed(line_of):
    """Nothing up to a quarter of the limiter, 0.8 bar from half of it, straight between."""
    line = line_of()
    known = np.isfinite(line.air_flow_kg_s)
    assert np.mean(known) > 0.9
    asked = np.broadcast_to(np.clip((RPM / 6800.0 - 0.25) / 0.25, 0.0, 1.0) * 0.8e5, known.shape)
    np.testing.assert_allclose(
        line.manifold_pressure_pa[known], (AMBIENT + asked)[known], rtol=1e-8
    )
    np.testing.assert_allclose(line.boost_gauge_pa, line.manifold_pressure_pa - AMBIENT, atol=1e-6)


def test_absolute_schedule(line_of):
    table = ((0.25, 1.1e5), (0.5, 1.7e5))
    line = line_of(drive__boost_schedule=table, drive__boost_schedule_basis="absolute")
    known = np.isfinite(line.air_flow_kg_s)
    asked = np.broadcast_to(schedule(table), known.shape)
    assert np.mean(known) > 0.9
    np.testing.assert_allclose(line.manifold_pressure_pa[known], asked[known], rtol=1e-8)


def test_absolute_schedule_under_the_day_asks_for_no_boost(line_of):
    table = ((0.25, 0.5e5), (0.5, 0.6e5))
    line = line_of(drive__boost_schedule=table, drive__boost_schedule_basis="absolute")
    known = np.isfinite(line.air_flow_kg_s)
    assert np.any(known)
    np.testing.assert_allclose(line.boost_gauge_pa[known], 0.0, atol=1e-3)


def test_boost_of_a_variation_replaces_the_schedule(line_of):
    asked = np.linspace(1e4, 6e4, 5)[:, None, None]
    line = line_of(Variation(boost_gauge=asked))
    known = np.isfinite(line.air_flow_kg_s)
    assert known.shape == (5, 4, 29)
    whole = np.broadcast_to(asked, known.shape)
    np.testing.assert_allclose(
        line.manifold_pressure_pa[known], (AMBIENT + whole)[known], rtol=1e-8
    )


def test_crank_pays_nothing_and_the_shaft_power_is_shown(line_of, sample_build):
    line = line_of()
    known = np.isfinite(line.air_flow_kg_s)
    assert np.all(line.drive_power_w[known] > 0.0)
    # indicated less friction plus the change of pumping, nothing else: as a belt that takes no
    # power. Fuel and pressures are the line's own; the stock pressures those of the stock day.
    e = sample_build(NAME).engine
    swept = e.displacement * RPM / 120.0
    n = RPM / 1e3
    friction = 0.8 * (0.97 + 0.15 * n + 0.05 * n**2) * 1e5 * swept
    mixture = 0.82 * (1.0 + 0.03 * (1.0 - ((0.82 - 0.90) / 0.10) ** 2))
    indicated = line.fuel_flow_kg_s * 44e6 * (1.0 - 9.8**-0.3) * 0.80 * mixture
    pumping = (line.manifold_pressure_pa - line.exhaust_pressure_pa) * swept
    rest = line.flywheel_power_w - (indicated - friction + pumping)
    # what is left is the stock pumping alone: the same on every day, a few kW
    known_columns = np.all(known, axis=0)
    spread = np.ptp(rest[:, known_columns], axis=0)
    assert np.all(spread < 1e-6 * np.abs(indicated[0, known_columns]))
    assert np.all(np.abs(rest[known]) < 0.05 * indicated[known])


def test_turbine_back_pressure(line_of):
    """p4 = p0 + exhaust loss + share x (p2 - p1)."""
    none = line_of(exhaust__turbine_back_pressure=0.0)
    for share in (0.5, 1.0, 1.5):
        line = line_of(exhaust__turbine_back_pressure=share)
        known = np.isfinite(line.air_flow_kg_s) & np.isfinite(none.air_flow_kg_s)
        total = line.air_flow_kg_s + line.fuel_flow_kg_s
        loss = (none.exhaust_pressure_pa - AMBIENT) * (
            total / (none.air_flow_kg_s + none.fuel_flow_kg_s)
        ) ** 2
        rise = line.discharge_pressure_pa - line.inlet_pressure_pa
        np.testing.assert_allclose(
            line.exhaust_pressure_pa[known], (AMBIENT + loss + share * rise)[known], rtol=1e-9
        )
        assert np.all((line.air_flow_kg_s < none.air_flow_kg_s)[known & (rise > 1e3)])


def test_more_boost_turns_the_shaft_faster(line_of):
    asked = np.linspace(0.0, 9e4, 10)[:, None, None]
    line = line_of(Variation(boost_gauge=asked))
    speed = np.where(np.isfinite(line.air_flow_kg_s), line.impeller_speed_rpm, np.nan)
    step = np.diff(speed, axis=0)
    assert np.mean(np.isfinite(step)) > 0.8
    assert np.all(step[np.isfinite(step)] > 0.0)


def test_full_boost_at_low_speed_is_left_of_surge(line_of):
    """A wish: the engine takes too little for the line that gives the boost."""
    line = line_of(Variation(boost_gauge=np.full((len(DAYS), RPM.size), 1.2e5)))
    slow = line.engine_speed_rpm < 1500.0
    assert np.all(line.region[slow] == "left of surge")
    known = np.isfinite(line.air_flow_kg_s)
    lost = ~known
    assert set(line.region[lost].tolist()) == {"left of surge", "above the map"}
    # thin air at high engine speed asks more than the surface holds; never at low speed
    beyond = line.region == "above the map"
    assert np.all(line.engine_speed_rpm[beyond & lost] > 5000.0)


def test_pulleys_mean_nothing_to_a_free_shaft(line_of):
    one = line_of()
    other = line_of(drive__blower_pulley_diameter=0.2, drive__crank_pulley_diameter=0.1)
    np.testing.assert_array_equal(one.air_flow_kg_s, other.air_flow_kg_s)


def test_a_schedule_is_scaled_to_the_boost_asked(sample_build):
    table = ((0.25, 0.0), (0.5, 0.6e5), (1.0, 0.9e5))
    build = sample_build(NAME, drive__kind="free_shaft", drive__boost_schedule=table)
    # 5100 rpm is three quarters of the limiter: 0.75 bar by the table, half of it asked
    scaled = schedule_for_boost(build, 0.375e5, 5100.0)
    np.testing.assert_allclose(scaled, [(0.25, 0.0), (0.5, 0.3e5), (1.0, 0.45e5)], rtol=1e-12)
    with pytest.raises(InputError) as caught:
        schedule_for_boost(build, 0.3e5, 1700.0)  # nothing is scheduled there
    assert caught.value.field == "drive.boost_schedule"
    absolute = build.with_value("drive.boost_schedule_basis", "absolute")
    with pytest.raises(InputError):
        schedule_for_boost(absolute, 0.3e5, 5100.0)
    with pytest.raises(InputError) as caught:
        schedule_for_boost(build.with_value("drive.kind", "belt"), 0.3e5, 5100.0)
    assert caught.value.field == "drive.kind"
