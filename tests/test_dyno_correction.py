"""Correction standards beyond their reference rows: identities, traps and trade facts."""

from __future__ import annotations

import numpy as np
import pytest

from app.paths import sample_builds
from engine_model.dyno import correction
from engine_model.dyno.correction import STANDARDS, pressure_at_station, standard_named
from engine_model.dyno.driveline import flywheel_power, wheel_power
from engine_model.dyno.factors import Air
from engine_model.errors import InputError
from engine_model.files.build_file import load_build
from engine_model.inputs import Day
from engine_model.studies.corrected_pull import (
    air_of_day,
    pull_standards,
    reference_day,
)

REFERENCED = [row for row in STANDARDS.values() if row.key != "none"]


@pytest.fixture(scope="module")
def road_six():
    return load_build(sample_builds()["road-six"])


@pytest.mark.parametrize("row", REFERENCED, ids=lambda row: row.key)
def test_the_standard_day_gives_one(row):
    # 25 degC over 298 K rounded is within 3e-4 of one
    air = air_of_day(reference_day(row), fuel_per_litre=50.0)
    assert float(row.factor(air)) == pytest.approx(1.0, abs=1e-9)


def test_500_at_the_wheels_is_588_at_the_flywheel():
    # common practice, no source: back to the flywheel divides by (1 - loss)
    assert round(float(flywheel_power(500.0, 0.15))) == 588
    assert round(float(wheel_power(507.0, 0.15))) == 431
    # the mistake it is not: 500 x 1.15
    assert float(flywheel_power(500.0, 0.15)) != pytest.approx(575.0, abs=1.0)


def test_77_fahrenheit_is_537_rankine():
    # definition: 77 + 459.67 = 536.67; sqrt(536.67/519.67) = 1.01622
    air = Air(29.92 * 3386.389, 0.0, (77.0 - 32.0) / 1.8 + 273.15)
    assert float(standard_named("sae_j607").factor(air)) == pytest.approx(1.01622, abs=5e-6)


@pytest.mark.parametrize(
    ("factor", "flagged"), [(0.92, True), (0.93, False), (1.0, False), (1.07, False), (1.08, True)]
)
def test_flags_outside_093_to_107(factor, flagged):
    assert bool(correction.is_flagged(factor)) is flagged


def test_sea_level_pressure_is_not_station_pressure():
    # US Standard Atmosphere 1976 table: 5000 ft is 843.07 hPa
    got = pressure_at_station(101325.0, 1524.0)
    assert float(got) == pytest.approx(84307.0, abs=20.0)
    # taken for the station's own it would hide a sixth of the power
    wrong = Air(np.asarray(101325.0), 0.0, 298.15)
    right = Air(got, 0.0, 298.15)
    ratio = standard_named("sae_j1349_1990")
    assert float(ratio.factor(right)) - float(ratio.factor(wrong)) > 0.2


def test_an_unknown_standard_lists_the_known_ones():
    with pytest.raises(InputError, match="sae_j1349_2004, sae_j607"):
        standard_named("sae")
    with pytest.raises(InputError, match="above 0, at most 1"):
        standard_named("sae_j1349_2004").factor(Air(99e3, 0.0, 298.0, mechanical_efficiency=0.0))


def test_compression_ignition_without_its_fuel_is_blank():
    assert np.isnan(float(standard_named("iso_1585_compression").factor(Air(95e3, 0.0, 308.0))))


def test_one_pull_under_every_standard(road_six):
    speed = np.array([3000.0, 5000.0, 6500.0])
    power = np.array([80e3, 160e3, 210e3])
    day = Day(temperature=308.15, relative_humidity=0.0, pressure=95e3, name="warm")
    told = pull_standards(speed, power, "wheel", day, road_six)
    rows = {row.standard: row for row in told.rows}
    assert tuple(rows) == tuple(STANDARDS)
    np.testing.assert_allclose(rows["none"].wheel_power_w, power, rtol=1e-12)
    # 210 kW at the wheels with 15 % loss is 247.06 at the flywheel
    assert rows["none"].peak_flywheel_power_w == pytest.approx(247.06e3, abs=5.0)
    # checks.json, 950 mbar at 35 degC: 1.0701463
    assert rows["sae_j1349_1990"].factor == pytest.approx(1.0701463, rel=1e-6)
    assert rows["sae_j1349_1990"].is_flagged
    assert not rows["none"].is_flagged
    assert told.peak_speed_rpm == 6500.0


def test_a_belt_driven_centrifugal_loses_more_to_heat_than_the_factor_says(road_six):
    # boost falls with the corrected impeller speed: common practice, no source
    hot = Day(temperature=318.15, relative_humidity=0.0, pressure=99e3, name="hot")
    told = pull_standards([6500.0], [210e3], "wheel", hot, road_six)
    row = {row.standard: row for row in told.rows}["sae_j1349_1990"]
    assert row.model_boost_reference_pa > row.model_boost_day_pa
    assert row.model_factor > row.factor
    assert "impeller_speed_stays_boost_does_not" in told.reasons


def test_power_that_was_corrected_already_is_taken_back(road_six):
    day = Day(temperature=308.15, relative_humidity=0.0, pressure=95e3, name="warm")
    plain = pull_standards([6500.0], [200e3], "flywheel", day, road_six)
    again = pull_standards(
        [6500.0], [200e3 * 1.0701463], "flywheel", day, road_six, standard="sae_j1349_1990"
    )
    for a, b in zip(plain.rows, again.rows, strict=True):
        assert a.peak_wheel_power_w == pytest.approx(b.peak_wheel_power_w, rel=1e-6)


def test_what_cannot_be_is_a_sentence(road_six):
    day = Day(name="x")
    with pytest.raises(InputError, match="wheel or flywheel"):
        pull_standards([1.0], [1.0], "hub", day, road_six)
    with pytest.raises(InputError, match="a power for every engine speed"):
        pull_standards([3000.0], [np.nan], "wheel", day, road_six)
