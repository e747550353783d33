"""Where the engine lives: weights of engine speeds, flat, typed, and of a run; what is printed."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from app.__main__ import main
from app.paths import sample_builds
from engine_model import NAMED_DAYS, load_build
from engine_model.air.atmosphere import station_pressure
from engine_model.errors import InputError
from engine_model.inputs import Build, Drive, Engine, Weighting
from engine_model.studies import full_throttle
from engine_model.studies.full_throttle import engine_speed_weights, full_throttle_run
from engine_model.unpack import air_of

SPEEDS = np.array([1500.0, 2100.0, 2600.0, 4000.0, 5200.0, 6800.0])
POWER = np.array([40e3, 62e3, 85e3, 150e3, 205e3, 230e3])
POINTS = ((2000.0, 1.0), (3000.0, 3.0), (6000.0, 0.5))


def build(kind, points=POINTS):
    weighting = Weighting(kind=kind, points=points)
    return Build(drive=Drive(kind="none"), engine=Engine(limiter=6800.0), weighting=weighting)


def test_flat_is_the_mean_over_engine_speed():
    weights = engine_speed_weights(build("flat"), SPEEDS, POWER)
    area = np.sum(np.diff(SPEEDS) * 0.5 * (POWER[1:] + POWER[:-1]))
    assert weights @ POWER == pytest.approx(area / (6800.0 - 1500.0), rel=1e-12)


def test_typed_is_the_mean_under_the_density():
    weights = engine_speed_weights(build("typed"), SPEEDS, POWER)
    at, height = np.array(POINTS).T

    def density(n):
        return np.interp(n, at, height)

    breaks = {"points": [2100.0, 2600.0, 3000.0, 4000.0, 5200.0], "limit": 200}
    whole = quad(density, 2000.0, 6000.0, **breaks)[0]
    other = quad(lambda n: density(n) * np.interp(n, SPEEDS, POWER), 2000.0, 6000.0, **breaks)[0]
    assert weights @ POWER == pytest.approx(other / whole, rel=1e-9)
    assert weights[-1] > 0.0  # half of what lies between 5200 and 6000 rpm is nearer to 6800


def test_one_typed_row_is_one_engine_speed():
    weights = engine_speed_weights(build("typed", ((4600.0, 2.0),)), SPEEDS, POWER)
    assert weights == pytest.approx([0.0, 0.0, 0.0, 0.5, 0.5, 0.0])
    alone = engine_speed_weights(build("flat"), [3000.0], [[1e5], [2e5]])
    assert alone == pytest.approx(np.ones((2, 1)))


def test_a_run_is_the_time_of_the_run_whatever_the_number_of_lines(monkeypatch):
    of = build("run")
    lines = POWER * np.linspace(0.8, 1.2, 6).reshape(3, 2, 1)
    density = np.array([[1.1], [1.2], [1.3]])
    whole = engine_speed_weights(of, SPEEDS, lines, air_density=density)
    expected = full_throttle_run(of.vehicle, SPEEDS, lines, air_density=density).weights
    assert whole.tobytes() == expected.tobytes()
    monkeypatch.setattr(full_throttle, "_BLOCK", 2)
    parts = engine_speed_weights(of, SPEEDS, lines, air_density=density)
    assert parts.tobytes() == whole.tobytes()
    assert engine_speed_weights(of, SPEEDS, lines[:0]).shape == (0, 2, 6)


def test_the_limiter_of_the_build_ends_a_gear():
    of = replace(build("run"), engine=Engine(limiter=6000.0, stock_power_speed=5800.0))
    weights = engine_speed_weights(of, [1500.0, 4000.0, 6000.0, 7000.0], [5e4, 15e4, 2e5, 2e5])
    assert weights[-1] < 1e-12
    assert weights[-2] > 0.1


@settings(max_examples=40, deadline=None)
@given(
    st.sampled_from(("flat", "typed", "run")),
    st.lists(st.floats(600.0, 2000.0), min_size=2, max_size=6),
    st.integers(0, 2**32 - 1),
)
def test_weights_sum_to_one(kind, steps, seed):
    speeds = 1000.0 + np.cumsum(steps)
    speeds = np.append(np.append(1000.0, speeds[speeds < 6700.0]), 6800.0)
    power = 1e5 * np.random.default_rng(seed).uniform(0.7, 3.0, (2, 3, speeds.size))
    weights = engine_speed_weights(build(kind), speeds, power)
    assert weights.shape == power.shape
    assert np.all(weights >= 0.0)
    assert weights.sum(axis=-1) == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize(
    ("points", "words"),
    [
        (((8000.0, 1.0), (9000.0, 2.0)), "weighting.points: '1 at 8000 rpm, 2 at 9000 rpm' given"),
        (((2000.0, 0.0), (3000.0, 0.0)), "allowed: a weight above 0 within 1500 to 6800 rpm"),
        (((900.0, 1.0),), "a weight above 0 within"),
    ],
)
def test_weights_that_weigh_nothing_are_refused(points, words):
    with pytest.raises(InputError) as caught:
        engine_speed_weights(build("typed", points), SPEEDS, POWER)
    assert words in str(caught.value)


@pytest.mark.parametrize("points", [(), ((2000.0, -1.0),), ((2000.0, math.nan),)])
def test_rows_that_are_no_weights_are_refused_at_once(points):
    with pytest.raises(InputError, match=r"weighting\.points.* given; allowed: "):
        Weighting(points=points)


@pytest.mark.parametrize("kind", ["flat", "typed", "run"])
@pytest.mark.parametrize(
    ("speeds", "power"),
    [([], []), ([3000.0, 2000.0], [1.0, 1.0]), ([2000.0, math.nan], [1.0, 1.0]), (SPEEDS, 3.0),
     (SPEEDS, [1.0, 2.0])],
)  # fmt: skip
def test_hostile_arrays_are_refused_in_words(kind, speeds, power):
    with pytest.raises(InputError, match="given; allowed: "):
        engine_speed_weights(build(kind), speeds, power)


def test_the_density_of_a_day():
    """Ideal gas with the vapour: 1.2 kg/m3 and less on the mild day, dry air an upper bound."""
    mild, high = air_of([NAMED_DAYS["mild"], NAMED_DAYS["hot and high"]]).density
    assert 1.194 < mild < 101325.0 / (287.05 * 293.15)
    assert high < float(station_pressure(1800.0)) / (287.05 * 305.15)


def test_match_tells_the_quarter_mile_of_a_given_car_alone(capsys):
    assert main(["match"]) in (0, 1)
    assert "quarter mile" not in capsys.readouterr().out
    main(["match", "--set", "vehicle.mass=1500 kg", "--set", "vehicle.traction=0.7"])
    out = capsys.readouterr().out
    line = next(row for row in out.splitlines() if "quarter mile" in row)
    assert line.startswith("Full-throttle run (estimate, 9 of 11 figures of the car assumed):")
    assert "km/h" in line
    assert "closed track" in " ".join(out.split())
    assert max(map(len, out.splitlines())) <= 100
    main(["match", "--us", "--set", "vehicle.mass=3300 lb"])
    assert " mph" in capsys.readouterr().out
    main(["match", "--set", "vehicle.mass=1500 kg", "--set", "vehicle.launch_speed=900 rpm"])
    assert "No full-throttle run: vehicle.launch_speed: 900.0 given" in capsys.readouterr().out


def test_a_sample_runs_as_the_rules_of_thumb_have_it():
    """Between 13 and 16 s: 225 kW at the wheels and 1600 kg, common practice, no source."""
    sample = load_build(sample_builds()["road-six"])
    assert sample.vehicle.mass == 1600.0
    run = full_throttle_run(sample.vehicle, SPEEDS, POWER)
    assert 13.0 < float(run.quarter_mile_time) < 16.0
