"""A smaller blower pulley: what must rise with it, and inputs at the edge of sense."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from engine_model.errors import InputError
from engine_model.inputs import NAMED_DAYS, Day, Variation
from engine_model.matching import default_engine_speeds, match, match_many
from engine_model.results import LINE_FIELDS

DAYS = tuple(NAMED_DAYS.values())
FRAMES = ("frame-95-small", "frame-95-middle", "frame-95-large")
RPM = np.linspace(1500.0, 6800.0, 28)
RISING = ("impeller_speed_rpm", "pressure_ratio", "discharge_temperature_k", "drive_power_w")
RANDOM = settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


@RANDOM
@given(
    name=st.sampled_from(FRAMES),
    pulley=st.floats(0.0455, 0.16),
    shrink=st.floats(0.005, 0.15),
    day=st.builds(
        Day,
        st.floats(-200.0, 3000.0),
        st.floats(258.0, 316.0),
        st.floats(0.0, 1.0),
        name=st.just("drawn"),
    ),
    cooler=st.sampled_from(["none", "air"]),
)
def test_smaller_pulley_asks_and_gives_more(
    sample_build, sample_surface, name, pulley, shrink, day, cooler
):
    smaller = max(pulley * (1.0 - shrink), 0.045)
    build = sample_build(name, cooler__kind=cooler)
    diameters = np.array([pulley, smaller])[:, None, None]
    held = Variation(blower_pulley_diameter=diameters, slip=np.zeros((1, 1, 1)))
    line = match_many(build, [day], RPM, held, surface=sample_surface(name))
    before, after = line.part((0, 0)), line.part((1, 0))
    right = (before.surge_margin >= 0.0) & (after.surge_margin >= 0.0)
    for field in RISING:
        old, new = getattr(before, field), getattr(after, field)
        assert np.all(new[right] > old[right]), field


@pytest.mark.parametrize("name", FRAMES)
def test_points_right_of_surge_are_many(sample_build, sample_surface, name):
    """The test above compares something."""
    diameters = np.linspace(0.055, 0.12, 6)[:, None, None]
    line = match_many(
        sample_build(name),
        DAYS,
        RPM,
        Variation(blower_pulley_diameter=diameters),
        surface=sample_surface(name),
    )
    assert np.mean(line.surge_margin >= 0.0) > 0.5


def test_pulley_of_the_build_and_of_the_variation_are_one(sample_build, sample_surface):
    surface = sample_surface("frame-95-small")
    typed = sample_build("frame-95-small", drive__blower_pulley_diameter=0.0732)
    stored = match_many(typed, DAYS, RPM, surface=surface)
    varied = match_many(
        sample_build("frame-95-small"),
        DAYS,
        RPM,
        Variation(blower_pulley_diameter=np.full((4, 28), 0.0732)),
        surface=surface,
    )
    for field in LINE_FIELDS:
        np.testing.assert_array_equal(getattr(stored, field), getattr(varied, field))


def test_ratio_is_that_of_pitch_diameters(sample_build, sample_surface):
    """180/80 mm: 2.25 by outside diameters, (180 + 4)/(80 + 4) = 2.190476 by pitch; creep 0.5 %."""
    line = match(
        sample_build("frame-95-small"), rpm=[6000.0], surface=sample_surface("frame-95-small")
    ).line
    assert line.impeller_speed_rpm[0] == pytest.approx(6000.0 * 2.1904762 * 3.6 * 0.995, rel=1e-7)


def test_typed_step_up_wins_over_that_of_the_map(sample_build, sample_surface):
    build = sample_build("frame-95-small", blower__step_up=4.0)
    line = match(build, rpm=[6000.0], surface=sample_surface("frame-95-small")).line
    assert line.impeller_speed_rpm[0] == pytest.approx(6000.0 * 2.1904762 * 4.0 * 0.995, rel=1e-7)


def test_default_engine_speeds_end_at_the_limiter(sample_build):
    speeds = default_engine_speeds(sample_build("frame-95-small"))
    np.testing.assert_array_equal(speeds, np.arange(1500.0, 6801.0, 50.0))
    odd = default_engine_speeds(sample_build("frame-95-small", engine__limiter=6333.0))
    assert odd[-2:].tolist() == [6300.0, 6333.0]
    slow = default_engine_speeds(sample_build("frame-95-small", engine__limiter=1200.0))
    assert slow.tolist() == [1200.0]


def test_hundred_days_at_one_speed(sample_build, sample_surface):
    days = [Day(20.0 * k, 263.0 + 0.5 * k, k / 100.0, name=f"day {k}") for k in range(100)]
    line = match_many(
        sample_build("frame-95-small"), days, [5000.0], surface=sample_surface("frame-95-small")
    )
    assert line.air_flow_kg_s.shape == (100, 1)
    assert np.all(np.diff(line.air_flow_kg_s[:, 0]) < 0.0)  # hotter, higher, more humid


@pytest.mark.parametrize("name", FRAMES)
def test_very_large_pulley_hardly_boosts(sample_build, sample_surface, name):
    """250 mm: the impeller turns a third as fast; its head cannot pass a ratio of 1.05."""
    build = sample_build(name, drive__blower_pulley_diameter=0.250)
    line = match(build, rpm=RPM, surface=sample_surface(name)).line
    low = line.engine_speed_rpm < 3000.0
    known = np.isfinite(line.pressure_ratio)
    assert np.all(line.pressure_ratio[known] < 1.10)
    assert np.all(line.pressure_ratio[known] >= 1.0)
    assert not np.any(line.region[low] == "left of surge")
    assert set(line.region.tolist()) <= {"below the map", "past choke"}


@pytest.mark.parametrize("name", FRAMES)
def test_tiny_pulley_names_regions_and_never_fails(sample_build, sample_surface, name):
    build = sample_build(name, drive__blower_pulley_diameter=0.040, blower__step_up=6.0)
    line = match(build, rpm=RPM, surface=sample_surface(name)).line
    lost = np.isnan(line.air_flow_kg_s)
    assert np.any(line.region == "left of surge") or np.any(line.region == "above the map")
    assert set(line.region[lost].tolist()) <= {"left of surge", "past choke"}
    for field in set(LINE_FIELDS) - {
        "engine_speed_rpm",
        "corrected_speed_rpm",
        "impeller_speed_rpm",
    }:
        np.testing.assert_array_equal(np.isnan(getattr(line, field)), lost, err_msg=field)


def test_engine_that_takes_little_is_left_of_surge_without_numbers(sample_build, sample_surface):
    """0.8 litres behind a blower for three: less than 0.6 of the surge flow at full speed."""
    build = sample_build(
        "frame-95-large",
        engine__displacement=0.8e-3,
        engine__stock_torque=75.0,
        engine__stock_power=42e3,
    )
    line = match(build, rpm=[6800.0], surface=sample_surface("frame-95-large")).line
    assert line.region.tolist() == ["left of surge"]
    assert np.isnan(line.air_flow_kg_s[0])
    assert np.isnan(line.flywheel_power_w[0])
    assert np.isfinite(line.impeller_speed_rpm[0])


def test_engine_that_takes_more_than_the_blower_passes_is_past_choke(sample_build, sample_surface):
    build = sample_build(
        "frame-95-small",
        engine__displacement=16e-3,
        engine__cylinders=12,
        engine__stock_torque=1500.0,
        engine__stock_power=800e3,
    )
    line = match(build, rpm=[2000.0, 6800.0], surface=sample_surface("frame-95-small")).line
    assert line.region[-1] == "past choke"
    assert np.isnan(line.air_flow_kg_s[-1])


@pytest.mark.parametrize(
    "rpm", [[np.nan], [5000.0, np.nan], [-3000.0], [0.0], [99.0], [24001.0], [np.inf], [[1e3, 2e3]]]
)
def test_engine_speeds_that_cannot_be_are_refused(sample_build, sample_surface, rpm):
    build, surface = sample_build("frame-95-small"), sample_surface("frame-95-small")
    with pytest.raises(InputError, match=r"^rpm: .* given; allowed: "):
        match_many(build, DAYS, rpm, surface=surface)
    with pytest.raises(InputError, match=r"^rpm: "):
        match(build, rpm=rpm, surface=surface)


def test_no_speeds_and_no_days_are_refused(sample_build, sample_surface):
    build, surface = sample_build("frame-95-small"), sample_surface("frame-95-small")
    with pytest.raises(InputError, match="rpm"):
        match_many(build, DAYS, [], surface=surface)
    with pytest.raises(InputError, match="days"):
        match_many(build, [], RPM, surface=surface)


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("drive.blower_pulley_diameter", 0.0),
        ("drive.blower_pulley_diameter", -0.08),
        ("drive.blower_pulley_diameter", float("nan")),
        ("engine.displacement", -3e-3),
        ("engine.stock_torque", 1e3),  # the power asks for more at the torque speed
        ("engine.stock_power", 1e6),  # the torque at the power speed would exceed the peak
        ("engine.stock_power_speed", 3000.0),
        ("engine.mixture", 0.6),
        ("cooler.effectiveness", 1.0),
        ("engine.fuel", "diesel"),
    ],
)
def test_builds_that_cannot_be_are_refused_with_a_sentence(sample_build, path, value):
    with pytest.raises(InputError, match=r"engine\.|drive\.|cooler\.") as told:
        sample_build("frame-95-small").with_value(path, value)
    assert "allowed: " in str(told.value)


def test_variation_of_a_wrong_shape_is_refused(sample_build, sample_surface):
    with pytest.raises(InputError, match="variation"):
        match_many(
            sample_build("frame-95-small"),
            [DAYS[0]],
            RPM,
            Variation(blower_pulley_diameter=np.full((3, RPM.size), 0.08)),
            surface=sample_surface("frame-95-small"),
        )
