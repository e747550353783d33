"""Error bars against closed forms, and against the match itself where nothing is uncertain."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import fields, replace

import numpy as np
import pytest
from scipy.stats import norm

from engine_model.errors import InputError
from engine_model.inputs import NAMED_DAYS, Day
from engine_model.matching import match, match_many
from engine_model.results import LINE_FIELDS
from engine_model.studies import uncertainty
from engine_model.studies.uncertain_inputs import KEYS, spread_table
from engine_model.studies.uncertain_lines import LineSamples, sample_lines
from engine_model.studies.uncertainty import error_bars, normal_draws, samples_taken

RPM = np.array([2000.0, 3500.0, 5000.0, 6100.0, 6800.0])
MILD, HOT = NAMED_DAYS["mild"], NAMED_DAYS["hot"]
HELD = dict.fromkeys(KEYS, 0.0)
KINDS = {
    "belt": ("frame-95-small", {"target__power": 230e3, "bounds__boost": 4e4}),
    "slips": ("frame-95-small", {"drive__ribs": 3, "bounds__knock_retard": 2.0}),
    "free shaft": ("turbo-52", {"drive__kind": "free_shaft"}),
    "no blower": ("frame-95-small", {"drive__kind": "none", "target__power": 120e3}),
    "own spark": ("frame-95-middle", {"engine__spark": "estimated"}),
}


@pytest.fixture
def made(sample_build, sample_surface):
    def of(kind):
        name, changes = KINDS[kind]
        surface = None if kind == "no blower" else sample_surface(name)
        return sample_build(name, **changes), surface

    return of


def same_bars(one, other):
    for field in fields(one):
        a, b = getattr(one, field.name), getattr(other, field.name)
        if field.name == "bands":
            for left, right in zip(a, b, strict=True):
                for part in ("low", "middle", "high"):
                    x, y = getattr(left, part), getattr(right, part)
                    assert x.tobytes() == y.tobytes(), (left.field, part)
        elif field.name == "line_band":
            for part in fields(a):
                assert getattr(a, part.name).tobytes() == getattr(b, part.name).tobytes()
        elif isinstance(a, np.ndarray):
            assert a.tobytes() == b.tobytes(), field.name
        else:
            assert repr(a) == repr(b), field.name


@pytest.mark.parametrize("kind", KINDS)
def test_without_spreads_it_is_the_match_itself(made, kind):
    build, surface = made(kind)
    bars = error_bars(build, [MILD], RPM, samples=64, spreads=HELD, surface=surface, coarse=False)
    result = match(build, MILD, RPM, surface=surface)
    for band in bars.bands:
        own = getattr(result.line, band.field)
        for edge in (band.low, band.middle, band.high):
            np.testing.assert_array_equal(edge, own, err_msg=band.field)
    for chance, entry in zip(bars.chances, result.ledger, strict=True):
        assert chance.code == entry.code
        expected = float(entry.used > 1.0) if entry.state != "blank" else np.nan
        np.testing.assert_array_equal(chance.over, expected, err_msg=entry.code)
    top = np.nanmax(result.line.wheel_power_w)
    assert (bars.peak_wheel_power.low, bars.peak_wheel_power.high) == (top, top)
    assert bars.measure_first == ()
    if build.target.power is not None:
        assert bars.target_met == float(result.ledger[26].used <= 1.0)
        assert result.ledger[26].code == "target_power"


def test_driveline_loss_alone_in_closed_form(made):
    """Wheel power is P (1 - loss): normal, known to the last quantile."""
    build, surface = made("belt")
    flywheel = np.max(match(build, MILD, RPM, surface=surface).line.flywheel_power_w)
    middle, deviation = flywheel * (1.0 - build.driveline.loss), 0.02 * flywheel
    build = build.with_value("target.power", float(middle + 0.6 * deviation))
    spreads = {**HELD, "driveline_loss": 0.02}
    bars = error_bars(build, [MILD], RPM, samples=2048, spreads=spreads, surface=surface)
    peak = bars.peak_wheel_power
    assert peak.middle == pytest.approx(middle, rel=1e-4)
    assert peak.deviation == pytest.approx(deviation, rel=3e-3)
    edge = norm.ppf(0.95) * deviation
    assert peak.low == pytest.approx(middle - edge, rel=1e-3)
    assert peak.high == pytest.approx(middle + edge, rel=1e-3)
    assert bars.target_met == pytest.approx(norm.cdf(-0.6), abs=2e-3)
    over = next(one for one in bars.chances if one.code == "target_power")
    assert over.over == 1.0 - bars.target_met
    (first,) = bars.measure_first
    assert (first.key, first.share) == ("driveline_loss", pytest.approx(1.0, abs=1e-6))


def test_small_spreads_in_closed_form(made):
    """Linearised: variances add, each the square of slope times spread."""
    build, surface = made("belt")
    small = {
        "friction": 0.01,
        "blower_pulley": 1e-4,
        "cooler_effectiveness": 0.005,
        "cooler_pressure_loss": 300.0,
        "driveline_loss": 0.002,
        "day_temperature": 0.5,
    }
    paths = {
        "friction": "engine.friction_scale",
        "blower_pulley": "drive.blower_pulley_diameter",
        "cooler_effectiveness": "cooler.effectiveness",
        "cooler_pressure_loss": "cooler.pressure_loss",
        "driveline_loss": "driveline.loss",
    }
    from engine_model.unpack import plan_of

    build = build.with_value("engine.rated_flow", plan_of(build, RPM).rated)

    def power(one, day=MILD):
        return float(np.max(match_many(one, [day], RPM, surface=surface).wheel_power_w))

    effects = {}
    for key, size in small.items():
        if key == "day_temperature":
            pair = [power(build, replace(MILD, temperature=293.15 + s * size)) for s in (1, -1)]
        else:
            value = build.value(paths[key])
            pair = [power(build.with_value(paths[key], value + s * size)) for s in (1, -1)]
        effects[key] = 0.5 * (pair[0] - pair[1])
    variance = sum(effect**2 for effect in effects.values())
    bars = error_bars(build, [MILD], RPM, spreads={**HELD, **small}, surface=surface)
    assert bars.peak_wheel_power.deviation == pytest.approx(np.sqrt(variance), rel=1e-2)
    assert bars.explained == pytest.approx(1.0, abs=1e-3)
    shares = {one.key: one.share for one in bars.measure_first}
    assert shares.keys() == small.keys()
    for key, effect in effects.items():
        assert shares[key] == pytest.approx(effect**2 / variance, abs=0.01), key
    ordered = [one.share for one in bars.measure_first]
    assert ordered == sorted(ordered, reverse=True)


def test_samples_converge_faster_than_by_chance():
    """Mean of exp(a z) against its closed form exp(a^2/2), RMS over seeds.

    The slopes are of the size of the match's: a few inputs of some per cent, many of less.
    """
    slopes = 0.04 * 0.7 ** np.arange(len(KEYS))
    exact = np.exp(0.5 * np.sum(slopes**2))
    sizes = 2 ** np.arange(6, 13)

    def error(size, draw):
        off = [np.mean(np.exp(draw(int(size), seed) @ slopes)) / exact - 1.0 for seed in range(12)]
        return np.sqrt(np.mean(np.square(off)))

    def plain(size, seed):
        return np.random.default_rng(seed).standard_normal((size, len(KEYS)))

    sobol = [error(size, normal_draws) for size in sizes]
    chance = [error(size, plain) for size in sizes]
    logs = np.log(sizes)
    assert np.polyfit(logs, np.log(sobol), 1)[0] < -0.75
    assert -0.65 < np.polyfit(logs, np.log(chance), 1)[0] < -0.35
    assert sobol[4] < 0.2 * chance[4]


def test_draws_are_standard_and_seeded():
    draws = normal_draws(1024, 7)
    assert draws.shape == (1024, len(KEYS))
    np.testing.assert_array_equal(draws, normal_draws(1024, 7))
    assert not np.array_equal(draws, normal_draws(1024, 8))
    np.testing.assert_allclose(draws.mean(axis=0), 0.0, atol=5e-3)
    np.testing.assert_allclose(draws.std(axis=0), 1.0, atol=0.01)
    correlations = np.corrcoef(draws.T) - np.eye(len(KEYS))
    assert np.abs(correlations).max() < 0.05


@pytest.mark.parametrize("kind", ["belt", "slips", "free shaft"])
def test_chunks_and_workers_change_no_byte(made, kind, monkeypatch):
    build, surface = made(kind)
    ask = {"samples": 128, "surface": surface}
    whole = error_bars(build, [MILD, HOT], RPM, **ask)
    same_bars(whole, error_bars(build, [MILD, HOT], RPM, **ask))
    monkeypatch.setattr(uncertainty, "CHUNK_POINTS", 370)
    same_bars(whole, error_bars(build, [MILD, HOT], RPM, **ask))
    with ThreadPoolExecutor(2) as pool:
        same_bars(whole, error_bars(build, [MILD, HOT], RPM, executor=pool, **ask))
    other = error_bars(build, [MILD, HOT], RPM, seed=3, **ask)
    assert other.peak_wheel_power != whole.peak_wheel_power


def test_a_sample_is_what_it_is_alone(made, monkeypatch):
    build, surface = made("slips")
    tasks = []
    monkeypatch.setattr(
        uncertainty, "sample_lines", lambda task: tasks.append(task) or sample_lines(task)
    )
    error_bars(build, [MILD], RPM, samples=64, surface=surface)
    (task,) = tasks
    task = replace(task, draws=task.draws[:12])
    whole = sample_lines(task)
    alone = [sample_lines(replace(task, draws=task.draws[k : k + 1])) for k in range(12)]
    together = LineSamples.together(alone)
    assert whole.used.tobytes() == together.used.tobytes()
    for name, values in whole.values.items():
        assert values.tobytes() == together.values[name].tobytes(), name
    assert set(whole.values) <= set(LINE_FIELDS)


def test_days_count_together(made):
    build, surface = made("belt")
    both = error_bars(build, [MILD, HOT], RPM, samples=128, surface=surface)
    alone = [error_bars(build, [day], RPM, samples=128, surface=surface) for day in (MILD, HOT)]
    for k, chance in enumerate(both.chances):
        each = [one.chances[k].over for one in alone]
        if np.isnan(chance.over):
            assert np.all(np.isnan(each))
            continue
        assert np.nanmax(each) - 1e-12 <= chance.over <= np.nansum(each) + 1e-12, chance.code
    np.testing.assert_array_equal(
        both.band("wheel_power_w").high, alone[0].band("wheel_power_w").high
    )
    elsewhere = build.with_value("target.day", "hot")
    bars = error_bars(elsewhere, [MILD], RPM, samples=128, surface=surface)
    assert bars.target_met == alone[1].target_met < both.target_met + 1e-12
    assert bars.days == ("mild",)
    assert np.isnan(next(c for c in bars.chances if c.code == "target_power").over)


def test_given_values_are_trusted_further(made):
    build, _ = made("belt")
    paths = {one.key: one.path for one in spread_table(build, [MILD])[0] if one.path}
    for key, path in paths.items():
        value = build.value(path)
        if value is None:
            value = ((1500.0, 0.85), (6500.0, 0.85))
        bare = replace(build, given=build.given - {path})
        before = {one.key: one for one in spread_table(bare, [MILD])[0]}[key]
        after = {one.key: one for one in spread_table(bare.with_value(path, value), [MILD])[0]}[key]
        assert 0.0 < after.size < before.size, key
        assert (after.basis, after.unit) == ("given", before.unit)
        assert before.basis in ("assumed", "derived")
        assert before.origin
        assert after.origin
    own = Day(0.0, 293.15, 0.5, 99_000.0, name="own")
    found, table = spread_table(build, [MILD, own])
    day = [k for k, key in enumerate(KEYS) if key.startswith("day_")]
    np.testing.assert_array_equal(table[day, 1], 0.5 * table[day, 0])
    assert {one.key for one in found} == set(KEYS) - {"boost_schedule"}


def test_usual_spreads(made):
    figures = dict.fromkeys(("engine.stock_torque", "engine.stock_power"))
    build, _ = made("belt")
    build = build.with_values({path: build.value(path) for path in figures})
    bare = replace(build, given=frozenset(figures))
    sizes = {one.key: one.size for one in spread_table(bare, [MILD])[0]}
    asked = {
        "volumetric_efficiency": 0.03,
        "map_efficiency": 0.015,
        "map_flow": 0.02,
        "surge_flow": 0.10,
        "blower_pulley": 2e-4,
        "cooler_effectiveness": 0.05,
    }
    assert {key: sizes[key] for key in asked} == asked
    free, _ = made("free shaft")
    keys = {one.key for one in spread_table(free, [MILD])[0]}
    assert "boost_schedule" in keys
    assert not {"blower_pulley", "crank_pulley"} & keys


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        ({"samples": 63}, "samples"),
        ({"samples": 10**6}, "samples"),
        ({"spreads": {"paint": 1.0}}, "spreads"),
        ({"spreads": {"map_flow": -0.1}}, "spreads.map_flow"),
        ({"rpm": [0.0]}, "rpm"),
        ({"days": []}, "days"),
    ],
)
def test_what_cannot_be_is_a_sentence(made, asked, field):
    build, surface = made("belt")
    asked = {"days": [MILD], "rpm": RPM, **asked}
    with pytest.raises(InputError) as caught:
        error_bars(build, surface=surface, **asked)
    assert caught.value.field == field


def test_powers_of_two():
    assert [samples_taken(n) for n in (64, 65, 1000, 1024, 65_536)] == [64, 128, 1024, 1024, 65_536]


def test_a_study_can_be_ended_between_chunks(made, monkeypatch):
    build, surface = made("belt")
    monkeypatch.setattr(uncertainty, "CHUNK_POINTS", 50)
    steps = []

    def third():
        steps.append(1)
        if len(steps) == 3:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        error_bars(build, [MILD], RPM, samples=64, surface=surface, on_step=third)
    assert len(steps) == 3
