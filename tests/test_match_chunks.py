"""No result depends on its neighbours: chunks, order and subsets give the same bits."""

from __future__ import annotations

import numpy as np
import pytest

from engine_model import problem
from engine_model.inputs import NAMED_DAYS, Day, Variation
from engine_model.matching import match_many
from engine_model.results import LINE_FIELDS

DAYS = (*NAMED_DAYS.values(), Day(400.0, 290.0, 0.9, 95_000.0, name="typed"))
RPM = np.array([1500.0, 3017.0, 3900.0, 5400.0, 6799.0, 6800.0])
PULLEYS = np.array([0.0452, 0.063, 0.080, 0.13])
EVERY = (*LINE_FIELDS, "region_index")

BUILDS = {
    "belt": ("frame-95-small", {}),
    "belt, odd exponent": (
        "frame-95-middle",
        {"engine__ve_temperature_exponent": 0.3, "cooler__kind": "liquid", "engine__fuel": "E85"},
    ),
    "no cooler": ("frame-95-large", {"cooler__kind": "none"}),
    "bypass, recirculated": ("frame-95-small", {"bypass__boost_cap": 2e4}),
    "bypass, vented": (
        "frame-95-small",
        {"bypass__boost_cap": 2e4, "bypass__vent": "atmosphere"},
    ),
    "sprung belt that slips": ("frame-95-small", {"drive__ribs": 3}),
    "fixed belt that slips or does not drive": (
        "frame-95-middle",
        {"drive__tensioner": "fixed", "drive__ribs": 4, "drive__fixed_tension": 70.0},
    ),
    "free shaft": ("turbo-52", {"drive__kind": "free_shaft"}),
    "no blower": ("frame-95-small", {"drive__kind": "none"}),
    "no blower, odd exponent": (
        "frame-95-small",
        {"drive__kind": "none", "engine__ve_temperature_exponent": 0.3},
    ),
}


def variation(slice_of=slice(None), pulleys=PULLEYS):
    shape = (PULLEYS.size, len(DAYS), RPM.size)
    random = np.random.default_rng(5)
    effectiveness = random.uniform(0.4, 0.8, shape)
    area = np.where(random.uniform(size=shape) < 0.5, np.inf, random.uniform(1e-3, 4e-3, shape))
    whole = np.broadcast_to(pulleys[:, None, None], shape)
    return {
        "blower_pulley_diameter": whole,
        "cooler_effectiveness": effectiveness,
        "throttle_area": area,
        "slip": random.uniform(0.0, 0.03, shape),
        "volumetric_efficiency_factor": random.uniform(0.95, 1.05, shape),
        "compressor_efficiency_shift": random.uniform(-0.02, 0.02, shape),
        "compressor_flow_factor": random.uniform(0.97, 1.03, shape),
        "boost_factor": random.uniform(0.9, 1.1, shape),
        "cooler_pressure_loss": random.uniform(5e3, 12e3, shape),
        "surge_flow_shift": random.uniform(-2.0, 2.0, shape),
        "friction_factor": random.uniform(0.8, 1.2, shape),
        "driveline_loss": random.uniform(0.1, 0.2, shape),
        "day_temperature_shift": random.uniform(-5.0, 5.0, shape),
        "day_pressure_shift": random.uniform(-1e3, 1e3, shape),
        "day_humidity_shift": random.uniform(-0.4, 0.4, shape),
    }


def picked(given, key, build):
    # a throttle goes with a blower and a shut bypass only
    left_out = {"throttle_area"}
    if build.drive.kind != "none" and build.bypass.boost_cap is None:
        left_out = set()
    if build.drive.kind == "belt" and build.drive.ribs < 6:
        left_out |= {"slip"}  # it is found
    return Variation(**{name: value[key] for name, value in given.items() if name not in left_out})


def same_bits(one, other, context=""):
    for field in EVERY:
        a, b = np.asarray(getattr(one, field)), np.asarray(getattr(other, field))
        np.testing.assert_array_equal(a, b, err_msg=f"{field} {context}")


@pytest.fixture(params=BUILDS)
def case(request, sample_build, sample_surface):
    name, values = BUILDS[request.param]
    build = sample_build(name, **values)
    surface = None if build.drive.kind == "none" else sample_surface(name)
    return (
        build,
        surface,
        match_many(build, DAYS, RPM, picked(variation(), ..., build), surface=surface),
    )


def test_many_points_are_what_each_point_is_alone(case):
    build, surface, whole = case
    given = variation()
    for i in range(PULLEYS.size):
        for j, day in enumerate(DAYS):
            for k, speed in enumerate(RPM):
                alone = match_many(
                    build,
                    [day],
                    [speed],
                    picked(given, (slice(i, i + 1), slice(j, j + 1), slice(k, k + 1)), build),
                    surface=surface,
                )
                same_bits(alone.part((0, 0)), whole.part((i, j, slice(k, k + 1))), f"{i} {j} {k}")


def test_plain_calls_day_by_day_and_speed_by_speed(case):
    build, surface, _ = case
    whole = match_many(build, DAYS, RPM, surface=surface)
    for j, day in enumerate(DAYS):
        one = match_many(build, [day], RPM, surface=surface)
        same_bits(one.part(0), whole.part(j))
        for k, speed in enumerate(RPM):
            alone = match_many(build, [day], [speed], surface=surface)
            same_bits(alone.part(0), whole.part((j, slice(k, k + 1))))


@pytest.mark.parametrize(("block", "together"), [(11, 0), (64, 0), (24_576, 0), (5, 10**9)])
def test_any_block_size(case, monkeypatch, block, together):
    build, surface, whole = case
    monkeypatch.setattr(problem, "BLOCK", block)
    monkeypatch.setattr(problem, "TOGETHER", together)
    same_bits(match_many(build, DAYS, RPM, picked(variation(), ..., build), surface=surface), whole)


def test_order_does_not_matter(case):
    build, surface, whole = case
    back = (slice(None, None, -1),) * 3
    line = match_many(
        build, DAYS[::-1], RPM[::-1], picked(variation(), back, build), surface=surface
    )
    same_bits(line.part(back), whole)


def test_subset_is_a_part_of_the_whole(case):
    build, surface, whole = case
    key = (slice(1, None, 2), slice(0, 3), slice(2, 5))
    line = match_many(build, DAYS[:3], RPM[2:5], picked(variation(), key, build), surface=surface)
    same_bits(line, whole.part(key))


def test_fitting_again_changes_nothing(sample_build, sample_surface):
    build = sample_build("frame-95-small")
    same_bits(
        match_many(build, DAYS, RPM),
        match_many(build, DAYS, RPM, surface=sample_surface("frame-95-small")),
    )


def test_a_belt_that_slips_with_an_open_bypass(sample_build, sample_surface):
    """Few points, since this takes the slow road."""
    build = sample_build(
        "frame-95-small",
        drive__ribs=3,
        drive__blower_pulley_diameter=0.063,
        bypass__boost_cap=2e4,
    )
    surface = sample_surface("frame-95-small")
    whole = match_many(build, DAYS[:2], RPM, surface=surface)
    assert np.any((whole.belt_slip > 0.0) & (whole.bypass_flow_kg_s > 0.0))
    for j in range(2):
        for k in range(4, RPM.size):
            alone = match_many(build, [DAYS[j]], [RPM[k]], surface=surface)
            same_bits(alone.part(0), whole.part((j, slice(k, k + 1))))
