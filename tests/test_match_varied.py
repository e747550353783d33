"""Inputs varied point by point: each is what the build with that input would give."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from engine_model.cooling.charge_cooler import transfer_units, transfer_units_of
from engine_model.errors import InputError
from engine_model.inputs import NAMED_DAYS, Variation
from engine_model.limits.ledger import CHECKS, judge_all
from engine_model.line_judging import judged_lines
from engine_model.matching import match_many
from engine_model.results import LINE_FIELDS
from engine_model.unpack import air_of, plan_of

RPM = np.array([1500.0, 3000.0, 4200.0, 5900.0, 6800.0])
MILD, HOT = NAMED_DAYS["mild"], NAMED_DAYS["hot and high"]
STEPS = np.array([-0.8, 0.0, 0.5])
NEUTRAL = {
    "volumetric_efficiency_factor": 1.0,
    "compressor_efficiency_shift": 0.0,
    "compressor_flow_factor": 1.0,
    "boost_factor": 1.0,
    "friction_factor": 1.0,
    "day_temperature_shift": 0.0,
    "day_pressure_shift": 0.0,
    "day_humidity_shift": 0.0,
}
KINDS = ("belt", "slips", "free_shaft", "none", "typed")


@pytest.fixture(params=KINDS)
def case(request, sample_build, sample_surface):
    name = "turbo-52" if request.param == "free_shaft" else "frame-95-small"
    changes = {
        "belt": {},
        "slips": {"drive__ribs": 3},
        "free_shaft": {"drive__kind": "free_shaft"},
        "none": {"drive__kind": "none"},
        "typed": {"engine__volumetric_efficiency": ((1500.0, 0.8), (4500.0, 0.9), (6500.0, 0.85))},
    }[request.param]
    surface = None if request.param == "none" else sample_surface(name)
    return sample_build(name, **changes), surface


def same(line, other, exact=True, names=LINE_FIELDS):
    for name in names:
        a, b = getattr(line, name), getattr(other, name)
        if exact:
            np.testing.assert_array_equal(a, b, err_msg=name)
        else:
            np.testing.assert_allclose(a, b, rtol=1e-9, atol=1e-9, err_msg=name)


def test_neutral_values_change_no_bit(case):
    build, surface = case
    days = (MILD, HOT)
    plain = match_many(build, days, RPM, surface=surface)
    own = {"cooler_pressure_loss": build.cooler.pressure_loss, "driveline_loss": 0.15}
    for names in ((one,) for one in (*NEUTRAL, *own)):
        values = {n: np.full((2, 1, 1), {**NEUTRAL, **own}[n]) for n in names}
        line = match_many(build, days, RPM, Variation(**values), surface=surface)
        same(line.part(0), plain)
        same(line.part(1), plain)


def test_friction_is_that_of_the_build_with_another_scale(case):
    build, surface = case
    build = build.with_value("engine.rated_flow", plan_of(build, RPM).rated)
    factors = 1.0 + 0.2 * STEPS
    varied = Variation(friction_factor=factors[:, None, None])
    line = match_many(build, [MILD], RPM, varied, surface=surface)
    for k, factor in enumerate(factors):
        scale = float(factor * build.engine.friction_scale)
        other = build.with_value("engine.friction_scale", scale)
        same(line.part(k), match_many(other, [MILD], RPM, surface=surface), exact=False)


def test_a_shifted_day_is_another_day(case):
    build, surface = case
    days = (MILD, HOT)
    varied = Variation(
        day_temperature_shift=(4.0 * STEPS)[:, None, None],
        day_pressure_shift=(-900.0 * STEPS)[:, None, None],
        day_humidity_shift=(1.5 * STEPS)[:, None, None],
    )
    line = match_many(build, days, RPM, varied, surface=surface)
    pressures = air_of(days).pressure
    for k, step in enumerate(STEPS):
        for j, day in enumerate(days):
            other = replace(
                day,
                temperature=day.temperature + 4.0 * step,
                pressure=float(pressures[j] - 900.0 * step),
                relative_humidity=float(np.clip(day.relative_humidity + 1.5 * step, 0.0, 1.0)),
            )
            alone = match_many(build, [other], RPM, surface=surface).part(0)
            same(line.part((k, j)), alone)


def test_losses_are_those_of_the_build(case):
    build, surface = case
    losses, kept = np.array([4e3, 11e3]), np.array([0.12, 0.2])
    varied = Variation(
        cooler_pressure_loss=losses[:, None, None], driveline_loss=kept[:, None, None]
    )
    line = match_many(build, [MILD], RPM, varied, surface=surface)
    for k in range(2):
        changes = {"cooler.pressure_loss": losses[k], "driveline.loss": kept[k]}
        other = build.with_values({path: float(v) for path, v in changes.items()})
        same(line.part(k), match_many(other, [MILD], RPM, surface=surface))


def test_boost_of_a_free_shaft_by_a_factor(sample_build, sample_surface):
    build, surface = sample_build("turbo-52", drive__kind="free_shaft"), sample_surface("turbo-52")
    asked = match_many(build, [MILD], RPM, surface=surface).boost_gauge_pa
    line = match_many(
        build, [MILD], RPM, Variation(boost_factor=np.full((1, 1), 0.9)), surface=surface
    )
    table = tuple((x, 0.9 * y) for x, y in build.drive.boost_schedule)
    other = match_many(
        build.with_value("drive.boost_schedule", table), [MILD], RPM, surface=surface
    )
    same(line, other, exact=False)
    found = np.isfinite(asked) & np.isfinite(line.boost_gauge_pa) & (asked > 1e4)
    assert found.any()
    np.testing.assert_allclose(line.boost_gauge_pa[found], 0.9 * asked[found], rtol=1e-6)


def test_surge_is_judged_where_it_is_told_to_lie(sample_build, sample_surface):
    build = sample_build("frame-95-large", bounds__surge_judged_above=1.0)
    surface = sample_surface("frame-95-large")
    plain = match_many(build, [MILD], RPM, surface=surface)
    band = surface.surge_uncertainty(plain.corrected_speed_rpm)
    assert band.max() > 0.01
    shifts = np.array([-9.0, -1.0, 0.0, 1.0, 9.0])
    varied = Variation(surge_flow_shift=shifts[:, None, None])
    line = match_many(build, [MILD], RPM, varied, surface=surface)
    moved = ("surge_margin", "surge_margin_low", "surge_margin_high")
    for k, shift in enumerate(shifts):
        same(line.part(k), plain, names=[n for n in LINE_FIELDS if n not in moved])
        surge = surface.surge_flow(plain.corrected_speed_rpm) * (1.0 + shift * band)
        margin = 1.0 - surge / plain.corrected_flow_kg_s
        for name in moved:
            np.testing.assert_allclose(getattr(line.part(k), name), margin, rtol=1e-9, atol=1e-12)
        left = line.region[k] == "left of surge"
        np.testing.assert_array_equal(left[np.isfinite(margin)], margin[np.isfinite(margin)] < 0.0)
    # the edges of the band are those of the match itself, and so is what the ledger says there
    for k, name in ((1, "surge_margin_high"), (3, "surge_margin_low")):
        np.testing.assert_allclose(line.surge_margin[k], getattr(plain, name), rtol=1e-9)
    codes = [check.code for check in CHECKS]
    at = codes.index("surge_margin")
    used = judge_all(judged_lines(build, [MILD], line))[at].used
    own = judge_all(judged_lines(build, [MILD], plain))[at].used
    np.testing.assert_allclose(used[3], own, rtol=1e-9)
    assert np.all(np.diff(used[:, 0]) >= 0.0)


def test_judging_counts_from_the_shifted_day(sample_build, sample_surface):
    build, surface = sample_build("frame-95-small"), sample_surface("frame-95-small")
    shift = np.array([-3.0, 5.0])[:, None]
    varied = Variation(day_temperature_shift=shift[..., None])
    line = match_many(build, [MILD], RPM, varied, surface=surface)
    air = air_of([MILD]).shifted(shift, 0.0, 0.0)
    verdicts = judge_all(judged_lines(build, [MILD], line, air=air))
    for k in range(2):
        day = replace(MILD, temperature=MILD.temperature + float(shift[k, 0]))
        alone = match_many(build, [day], RPM, surface=surface)
        for mine, other in zip(verdicts, judge_all(judged_lines(build, [day], alone)), strict=True):
            np.testing.assert_array_equal(mine.used[k], other.used)


def test_many_coolers_are_what_each_is_alone():
    wanted = np.linspace(0.05, 0.94, 60)
    many = transfer_units_of(wanted, 0.4)
    np.testing.assert_array_equal(many, [transfer_units(float(e), 0.4) for e in wanted])
    with pytest.raises(InputError, match="effectiveness"):
        transfer_units_of(np.array([0.5, 0.99999]), 1.0)


def test_an_efficiency_shift_is_that_of_the_map_and_fades_past_choke(sample_build, sample_surface):
    """On the map it is added; past choke efficiency falls to nothing, and the shift with it."""
    surface = sample_surface("turbo-52")
    build = sample_build(
        "turbo-52",
        drive__kind="free_shaft",
        drive__boost_schedule=((0.25, 1e3), (0.5, 2e4)),
        engine__displacement=5e-3,
        engine__stock_torque=480.0,
        engine__stock_power=270e3,
    )
    shifts = np.array([-0.2, 0.0, 0.03])[:, None, None]
    varied = Variation(compressor_efficiency_shift=shifts)
    rpm = np.linspace(1500.0, 6800.0, 40)
    line = match_many(build, [MILD], rpm, varied, surface=surface)
    own = surface.efficiency(line.corrected_flow_kg_s, line.corrected_speed_rpm)
    on_map = (line.region == "on the map") & np.isfinite(own)
    np.testing.assert_allclose(line.efficiency[on_map], (own + shifts)[on_map], atol=1e-9)
    past = (line.region == "past choke") & np.isfinite(line.efficiency)
    assert np.all(past.any(axis=-1))
    at_choke = surface.line(line.corrected_speed_rpm, np.ones_like(own))[2]
    assert np.all(line.efficiency[past] > 0.0)
    assert np.all(line.efficiency[past] < (at_choke + shifts)[past])
    rise = line.discharge_temperature_k - line.inlet_temperature_k
    assert np.all(rise[past] > 0.0)
