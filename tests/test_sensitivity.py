"""The study of assumed inputs against changes made by hand, one match at a time."""

import math
from dataclasses import replace

import numpy as np
import pytest

from engine_model.compressor.surface_fit import fit_surface
from engine_model.defaults import DEFAULTS
from engine_model.errors import InputError
from engine_model.inputs import INPUT_PATHS, NAMED_DAYS, Build, Day, Drive, Target
from engine_model.matching import match
from engine_model.studies import sensitivity
from engine_model.studies.sensitivity import (
    Sensitivity,
    assumed_that_matter,
    ranked,
    sensitivity_steps,
    studied_inputs,
)

MAP, MILD, HOT = "frame-95-small", NAMED_DAYS["mild"], NAMED_DAYS["hot"]


@pytest.fixture(scope="module")
def belt(sample_build):
    return sample_build(MAP, drive__blower_pulley_diameter=0.066)


@pytest.fixture(scope="module")
def turbo(sample_build):
    return sample_build("turbo-52", drive__kind="free_shaft")


@pytest.fixture
def surface(sample_surface):
    return sample_surface(MAP)


def changed(build, path, value):
    """The build with one field of one section replaced."""
    section, name = path.split(".")
    return replace(build, **{section: replace(getattr(build, section), **{name: value})})


def highest(build, surface, day=MILD, column="wheel_power_w"):
    return float(np.nanmax(getattr(match(build, day, surface=surface).line, column)))


def by_hand(build, path, low, high, surface, day=MILD):
    up, down = (highest(changed(build, path, v), surface, day) for v in (high, low))
    return (up - down) / 2.0


def effects(build, surface, day=MILD):
    return {one.path: one for one in assumed_that_matter(build, day, surface=surface)}


@pytest.fixture
def counted(monkeypatch):
    """A list that grows by one a match: the build and the surface it was asked with."""
    calls = []
    real = sensitivity.match_many

    def counting(*arguments, **keywords):
        calls.append((arguments[0], keywords["surface"]))
        return real(*arguments, **keywords)

    monkeypatch.setattr(sensitivity, "match_many", counting)
    return calls


@pytest.mark.parametrize(
    ("path", "low", "high"),
    [
        ("cooler.pressure_loss", 5e3, 11e3),
        ("engine.ve_temperature_exponent", 0.4, 0.6),
        ("inlet.temperature_rise", 0.0, 10.0),
        # left to be derived: 5 K over the day for a cooler in air
        ("cooler.coolant_rise", 0.0, 10.0),
    ],
)
def test_effect_by_hand(belt, surface, path, low, high):
    one = effects(belt, surface)[path]
    expected = by_hand(belt, path, low, high, surface)
    assert one.spread == pytest.approx((high - low) / 2.0)
    assert one.effect_w == pytest.approx(expected, rel=1e-9)
    assert abs(one.effect_w) > 100.0
    assert one.effect_share == pytest.approx(expected / highest(belt, surface), rel=1e-9)


def test_effect_of_the_driveline_in_closed_form(belt, surface):
    # wheel power is (1 - loss) of the flywheel's, less a constant that cannot go below nothing
    found = effects(belt, surface)
    flywheel = highest(belt, surface, column="flywheel_power_w")
    assert found["driveline.loss"].effect_w == pytest.approx(-0.03 * flywheel, rel=1e-9)
    assert found["driveline.constant_loss"].effect_w == pytest.approx(-1000.0, rel=1e-9)


def test_effect_of_a_derived_rated_flow(belt, surface):
    # 1.5 times what the stock engine breathes at its power speed on the stock day
    stock = Build(drive=Drive(kind="none"))
    stock = changed(stock, "inlet.temperature_rise", 0.0)
    stock = changed(stock, "engine.mixture", stock.engine.stock_mixture)
    day = Day(0.0, 298.15, 0.0, 99e3, name="stock")
    flow = 1.5 * float(match(stock, day, [6200.0]).line.air_flow_kg_s[0])
    one = effects(belt, surface)["engine.rated_flow"]
    expected = by_hand(belt, "engine.rated_flow", flow - 0.03, flow + 0.03, surface)
    assert one.effect_w == pytest.approx(expected, rel=1e-6)
    assert one.effect_w > 100.0


def test_inputs_without_effect_give_nothing(belt, surface, counted):
    found = effects(belt, surface)
    # this map has an efficiency of its own: no other fit of it is made
    assert len(counted) == 1 + 2 * len(found)
    assert all(fitted is surface for _, fitted in counted)
    for path in ("engine.over_rev", "engine.stroke", "drive.wrap", "drive.boost_schedule"):
        assert found[path].effect_w == 0.0
    assert found["blower.typed_efficiency"].effect_w == 0.0


def test_largest_first_and_limited(belt, surface):
    every = assumed_that_matter(belt, MILD, surface=surface)
    sizes = [abs(one.effect_w) for one in every]
    assert sizes == sorted(sizes, reverse=True)
    assert len(every) == len(studied_inputs(belt)) > 20
    assert assumed_that_matter(belt, MILD, surface=surface, limit=3) == every[:3]
    assert sizes[2] > 0.0


def test_what_cannot_be_computed_comes_last():
    def one(path, effect):
        return Sensitivity(path, 1.0, effect, math.nan)

    found = (one("a", math.nan), one("b", 1.0), one("c", -2.0), one("d", 0.0), one("e", 1.0))
    assert [s.path for s in ranked(found)] == ["c", "b", "e", "d", "a"]


def test_given_choices_counts_and_bounds_are_absent(belt, surface):
    assert "drive.blower_pulley_diameter" in belt.given
    given = belt.with_value("driveline.loss", 0.15)
    assert "driveline.loss" in effects(belt, surface)
    found = effects(given, surface)
    assert not set(found) & given.given
    for path in ("engine.fuel", "engine.injection", "drive.tensioner", "engine.cylinders"):
        assert path not in found
    assert not [path for path in found if path.startswith(("bounds.", "target."))]
    # left blank: no cap, no injectors judged; fitted to the stock figures
    blank = {"bypass.boost_cap", "fuel_system.injector_flow", "engine.volumetric_efficiency"}
    assert not set(found) & blank


def test_assumed_cap_and_table_are_moved_as_they_stand(belt, surface):
    table = ((1500.0, 0.80), (4000.0, 0.95), (6800.0, 0.90))
    build = changed(belt, "engine.volumetric_efficiency", table)
    build = changed(build, "bypass.boost_cap", 3e4)
    # only these two: an open bypass makes a match long
    moved = {"bypass.boost_cap", "engine.volumetric_efficiency"}
    build = replace(build, given=frozenset(INPUT_PATHS) - moved)
    found = effects(build, surface)
    assert set(found) == moved
    cap = by_hand(build, "bypass.boost_cap", 2.5e4, 3.5e4, surface)
    assert found["bypass.boost_cap"].effect_w == pytest.approx(cap, rel=1e-9)
    low, high = (tuple((n, v + d) for n, v in table) for d in (-0.03, 0.03))
    tables = by_hand(build, "engine.volumetric_efficiency", low, high, surface)
    assert found["engine.volumetric_efficiency"].effect_w == pytest.approx(tables, rel=1e-9)
    assert min(abs(cap), abs(tables)) > 10.0


def test_target_says_which_power_and_which_day(belt, surface):
    wheel = replace(belt, target=Target(power=2e5, basis="wheel", day="hot"))
    assert effects(wheel, surface, MILD) == effects(belt, surface, HOT)
    assert effects(wheel, surface, MILD) != effects(belt, surface, MILD)
    flywheel = replace(belt, target=Target(power=2e5, basis="flywheel"))
    found = effects(flywheel, surface)
    assert found["driveline.loss"].effect_w == 0.0
    # a basis or day without a power promised is no target
    blank = replace(belt, target=Target(basis="flywheel", day="hot"))
    assert effects(blank, surface) == effects(belt, surface)


def test_free_shaft(turbo, sample_surface):
    surface = sample_surface("turbo-52")
    found = effects(turbo, surface)
    for path in ("drive.pitch_offset", "drive.blower_pulley_diameter", "blower.gear_efficiency"):
        assert found[path].effect_w == 0.0
    # rows of the schedule at no boost cannot go lower
    low, high = ((0.25, 0.0), (0.5, 0.7e5)), ((0.25, 1e4), (0.5, 0.9e5))
    expected = by_hand(turbo, "drive.boost_schedule", low, high, surface)
    assert found["drive.boost_schedule"].effect_w == pytest.approx(expected, rel=1e-9)
    assert expected > 1000.0
    assert found["exhaust.turbine_back_pressure"].effect_w < -100.0


def test_unblown():
    build = Build(drive=Drive(kind="none"))
    found = effects(build, None)
    blown = ("blower.", "drive.", "cooler.", "exhaust.turbine")
    assert {one.effect_w for path, one in found.items() if path.startswith(blown)} == {0.0}
    assert "blower.maximum_impeller_speed" not in found
    expected = by_hand(build, "engine.stock_power", 153e3, 187e3, None)
    assert found["engine.stock_power"].effect_w == pytest.approx(expected, rel=1e-9)
    assert expected > 1000.0


def test_efficiency_of_a_map_without_any(belt, sample_map):
    bare = replace(sample_map(MAP), islands=())
    assert not bare.has_efficiency
    build = replace(belt, blower=replace(belt.blower, compressor_map=bare))
    up, down = (
        highest(changed(build, "blower.typed_efficiency", eta), fit_surface(bare, eta))
        for eta in (0.74, 0.66)
    )
    one = effects(build, None)["blower.typed_efficiency"]
    assert one.effect_w == pytest.approx((up - down) / 2.0, rel=1e-9)
    assert one.effect_w > 100.0


def test_other_inputs_may_stop_a_change_short(belt, surface):
    # peak power cannot go over what the peak torque gives: 1000 W higher, not 17 000
    most = 171e3
    build = changed(belt, "engine.stock_torque", most / (6200.0 * math.pi / 30.0))
    with pytest.raises(InputError):
        changed(build, "engine.stock_power", most + 10.0)
    one = effects(build, surface)["engine.stock_power"]
    expected = by_hand(build, "engine.stock_power", 153e3, most - 1e-3, surface)
    assert one.effect_w == pytest.approx(expected, rel=1e-5)
    assert expected > 1000.0


def test_what_the_match_refuses_is_nan():
    build = Build(drive=Drive(kind="none"))
    flow = float(np.max(match(build, MILD).line.air_flow_kg_s))
    # a duct rated so small that 1 kPa more at its rating starves the stock engine
    for share in np.linspace(0.15, 0.4, 26):
        starved = changed(build, "engine.rated_flow", share * flow)
        try:
            match(starved, MILD)
        except InputError:
            continue
        break
    with pytest.raises(InputError):
        match(changed(starved, "inlet.pressure_loss", 3.5e3), MILD)
    every = assumed_that_matter(starved, MILD)
    lost = [one.path for one in every if math.isnan(one.effect_w)]
    assert "inlet.pressure_loss" in lost
    assert [one.path for one in every][-len(lost) :] == lost
    assert len(lost) < len(every)


def test_build_that_cannot_be_matched_is_refused():
    build = changed(Build(drive=Drive(kind="none")), "engine.rated_flow", 0.01)
    with pytest.raises(InputError, match=r"inlet\.pressure_loss"):
        next(sensitivity_steps(build, MILD))


def test_one_match_a_step_and_cancelled_at_once(belt, surface, counted):
    steps = sensitivity_steps(belt, MILD, surface=surface)
    found = []
    while len(found) < 3:
        before = len(counted)
        one = next(steps)
        assert len(counted) - before == 1
        if one is not None:
            found.append(one)
    # the build as it is once, then two a change
    assert len(counted) == 7
    steps.close()
    assert list(steps) == []
    assert len(counted) == 7
    whole = {one.path: one for one in assumed_that_matter(belt, MILD, surface=surface)}
    assert all(whole[one.path] == one for one in found)


def test_a_fit_of_the_map_is_a_step_of_its_own(belt, sample_map, counted):
    bare = replace(sample_map(MAP), islands=())
    build = replace(belt, blower=replace(belt.blower, compressor_map=bare))
    moved = "blower.typed_efficiency"
    build = replace(build, given=frozenset(INPUT_PATHS) - {moved})
    # fit, match; fit, match; fit, match
    steps = list(sensitivity_steps(build, MILD))
    assert [one is not None for one in steps] == [False] * 5 + [True]
    typed = [asked.blower.typed_efficiency for asked, _ in counted]
    assert typed == pytest.approx([0.70, 0.74, 0.66])
    assert [fitted.typed_efficiency for _, fitted in counted] == typed


def test_every_number_with_a_meaning_has_a_spread():
    decided = ("bounds.", "target.")
    for path in INPUT_PATHS:
        row = DEFAULTS[path]
        none = row.quantity in ("integer", "choice", "text", "day") or path.startswith(decided)
        assert (row.spread == 0.0) == none, path
        if isinstance(row.value, float) and not none:
            assert row.spread < row.high - row.low
