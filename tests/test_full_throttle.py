"""A full-throttle run against closed forms, an integrator of scipy, and its own other ways."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from engine_model.constants import QUARTER_MILE
from engine_model.errors import InputError
from engine_model.inputs import Vehicle
from engine_model.studies.full_throttle import full_throttle_run

SPEEDS = np.arange(1500.0, 6801.0, 100.0)
POWER = 230e3 * np.interp(SPEEDS, [1500.0, 4500.0, 6000.0, 6800.0], [0.22, 0.75, 1.0, 0.95])
# a mass that is the car's alone, one gear, nothing that holds it back
BARE = Vehicle(
    mass=1000.0,
    gear_ratios=((1.0, 1.0),),
    final_drive=1.0,
    tyre_radius=0.1,
    rolling_resistance=0.0,
    drag_area=0.0,
    rotating_mass=1.0,
    traction=4.0,
    launch_speed=300.0,
    shift_speed=12000.0,
)
WEIGHT = 1000.0 * 9.80665


def test_constant_power_in_closed_form():
    """Slip of the clutch at constant force to v0, then v^2 = v0^2 + 2 P (t - t0)/m."""
    power, mass = 200e3, 1000.0
    run = full_throttle_run(BARE, [300.0, 900.0, 12000.0], [power] * 3)
    v0 = 300.0 / 60.0 * 2.0 * math.pi * 0.1
    force = power / v0
    assert force > 4.0 * WEIGHT  # so the tyres give 4 g, up to where v = P/F
    v0 = power / (4.0 * WEIGHT)
    t0, x0 = v0 / (4.0 * 9.80665), v0**2 / (2.0 * 4.0 * 9.80665)
    speed = (v0**3 + 3.0 * power / mass * (QUARTER_MILE - x0)) ** (1.0 / 3.0)
    time = t0 + mass * (speed**2 - v0**2) / (2.0 * power)
    assert float(run.quarter_mile_speed) == pytest.approx(speed, rel=1e-12)
    assert float(run.quarter_mile_time) == pytest.approx(time, rel=1e-12)
    t, x, v = run.time - t0, run.distance - x0, run.speed
    later = t > 0.0
    assert v[later] == pytest.approx(np.sqrt(v0**2 + 2.0 * power * t[later] / mass), rel=1e-12)
    assert x[later] == pytest.approx(mass * (v[later] ** 3 - v0**3) / (3.0 * power), rel=1e-11)


def test_constant_power_from_standstill():
    """The plain forms v = sqrt(2 P t/m), x = 2/3 sqrt(2 P/m) t^1.5; the launch is a hair."""
    power, mass = 20e3, 1000.0
    run = full_throttle_run(replace(BARE, final_drive=3.0), [300.0, 12000.0], [power] * 2)
    t = float(run.quarter_mile_time)
    assert float(run.quarter_mile_speed) == pytest.approx(math.sqrt(2 * power * t / mass), rel=2e-3)
    assert pytest.approx(2 / 3 * math.sqrt(2 * power / mass) * t**1.5, rel=2e-3) == QUARTER_MILE


def test_traction_caps_the_acceleration_in_closed_form():
    """Power without end: constant acceleration of friction times gravity, less rolling."""
    car = replace(BARE, traction=0.7, rolling_resistance=0.1, rotating_mass=1.3)
    run = full_throttle_run(car, [300.0, 12000.0], [5e7, 5e7])
    acceleration = 0.6 * 9.80665
    assert float(run.quarter_mile_time) == pytest.approx(
        math.sqrt(2.0 * QUARTER_MILE / acceleration), rel=1e-12
    )
    assert run.speed == pytest.approx(acceleration * run.time, rel=1e-12)
    assert run.distance == pytest.approx(0.5 * acceleration * run.time**2, rel=1e-12)


def by_integrator(car, speeds, power, density=1.225):
    """Time, speed and seconds at every engine speed, step by step in time."""
    mass, lag = car.mass, 9.80665 * car.mass
    rolling, drag = lag * car.rolling_resistance, 0.5 * density * car.drag_area
    there = lambda t, y: y[1] - QUARTER_MILE  # noqa: E731
    there.terminal = True
    state, time = np.zeros(2 + speeds.size), 0.0
    for _, ratio in car.gear_ratios:
        turn = ratio * car.final_drive / car.tyre_radius * 30.0 / math.pi
        factor = car.mass_factor(ratio)

        def move(t, y, turn=turn, factor=factor):
            n = max(turn * y[0], car.launch_speed)
            force = np.interp(n, speeds, power) / max(y[0], car.launch_speed / turn)
            against = rolling + drag * y[0] ** 2
            rate = min((force - against) / factor, car.traction * lag - against) / mass
            near = np.maximum(0.0, 1.0 - np.abs(speeds - n) / (speeds[1] - speeds[0]))
            return np.concatenate(([rate, y[0]], near))

        shift = lambda t, y, turn=turn: turn * y[0] - speeds[-1]  # noqa: E731
        shift.terminal = True
        done = solve_ivp(move, (0, 99), state, events=(shift, there), rtol=1e-8, max_step=0.01)
        time, state = time + done.t[-1], done.y[:, -1]
        if done.t_events[1].size:
            break
        factor = car.coasting_factor
        roll = lambda t, y: [-(rolling + drag * y[0] ** 2) / (factor * mass), y[0]]  # noqa: B023, E731
        state[:2] = solve_ivp(roll, (0, car.shift_time), state[:2], rtol=1e-11).y[:, -1]
        time += car.shift_time
    return time, state[0], state[2:] / state[2:].sum()


def test_a_whole_run_against_an_integrator():
    speeds = np.linspace(1500.0, 6800.0, 11)
    power = np.interp(speeds, SPEEDS, POWER)
    run = full_throttle_run(Vehicle(), speeds, power)
    time, speed, weights = by_integrator(Vehicle(), speeds, power)
    assert float(run.quarter_mile_time) == pytest.approx(time, rel=1e-6)
    assert float(run.quarter_mile_speed) == pytest.approx(speed, rel=1e-6)
    assert run.weights == pytest.approx(weights, abs=3e-6)
    assert run.last_gear > 2


@pytest.mark.parametrize("factor", [1.0, 1.08])
def test_energy_balance(factor):
    """Work at the wheels is kinetic energy, drag and rolling; drag again from the history."""
    car = Vehicle(rotating_mass=factor)
    fine = np.linspace(1500.0, 6800.0, 1061)
    run = full_throttle_run(car, fine, np.interp(fine, SPEEDS, POWER))
    kinetic = 0.5 * car.mass * factor * float(run.quarter_mile_speed) ** 2
    spent = kinetic + float(run.drag_work) + float(run.rolling_work)
    assert float(run.wheel_work) == pytest.approx(spent, rel=1e-6)
    x, v = run.distance, run.speed
    # the square of speed is nearly straight in distance
    drag = 0.5 * 1.225 * car.drag_area * np.sum(np.diff(x) * 0.5 * (v[1:] ** 2 + v[:-1] ** 2))
    assert float(run.drag_work) == pytest.approx(drag, rel=1e-4)
    assert float(run.rolling_work) == pytest.approx(
        car.mass * 9.80665 * car.rolling_resistance * QUARTER_MILE, rel=1e-12
    )


def test_no_step_matters():
    """Engine speeds put in between, on the same straight lines, change nothing."""
    once = full_throttle_run(Vehicle(), SPEEDS, POWER)
    fine = np.unique(np.concatenate((SPEEDS, np.linspace(1500.0, 6800.0, 1234))))
    again = full_throttle_run(Vehicle(), fine, np.interp(fine, SPEEDS, POWER))
    assert float(again.quarter_mile_time) == pytest.approx(float(once.quarter_mile_time), rel=1e-12)
    assert float(again.quarter_mile_speed) == pytest.approx(
        float(once.quarter_mile_speed), rel=1e-12
    )
    hats = np.array([np.interp(fine, SPEEDS, one) for one in np.eye(SPEEDS.size)])
    assert hats @ again.weights == pytest.approx(once.weights, abs=1e-12)


@pytest.mark.parametrize("seed", range(12))
def test_no_step_matters_where_power_is_jagged_and_hardly_enough(seed):
    """Nearly no force at one end of a piece, steady speeds, long shifts."""
    rng = np.random.default_rng(seed)
    speeds = np.unique(np.append((1500.0, 6800.0), rng.uniform(1500.0, 6800.0, 8)))
    power = rng.uniform(0.03, 1.0, speeds.size) * 1e5
    power[speeds < 3000.0] = 8e4
    car = Vehicle(mass=rng.uniform(400, 4000), drag_area=rng.uniform(0, 9), shift_time=seed / 6)
    once = full_throttle_run(car, speeds, power)
    fine = np.unique(np.append(speeds, np.linspace(1500.0, 6800.0, 997)))
    again = full_throttle_run(car, fine, np.interp(fine, speeds, power))
    assert float(again.quarter_mile_time) == pytest.approx(float(once.quarter_mile_time), rel=1e-7)
    assert float(once.distance[-1]) == pytest.approx(QUARTER_MILE, rel=1e-7)
    assert np.all(np.diff(once.distance) >= -1e-9)


def test_coarse_power_is_as_good():
    coarse = np.array([1500.0, 3000.0, 4500.0, 6000.0, 6800.0])
    power = np.interp(coarse, SPEEDS, POWER)
    once = full_throttle_run(Vehicle(), coarse, power)
    again = full_throttle_run(Vehicle(), SPEEDS, np.interp(SPEEDS, coarse, power))
    assert float(again.quarter_mile_time) == pytest.approx(float(once.quarter_mile_time), rel=1e-8)


def test_a_line_does_not_feel_its_neighbours():
    many = POWER * np.linspace(0.2, 1.6, 30).reshape(5, 3, 2, 1)
    many[2, 1, 0, 20:] = np.nan
    density = np.array([1.1, 1.3])
    whole = full_throttle_run(Vehicle(), SPEEDS, many, air_density=density)
    assert whole.weights.shape == many.shape
    for place in np.ndindex(5, 3, 2):
        one = full_throttle_run(Vehicle(), SPEEDS, many[place], air_density=density[place[-1]])
        assert one.weights.tobytes() == whole.weights[place].tobytes()
        assert one.quarter_mile_time.tobytes() == whole.quarter_mile_time[place].tobytes()
    assert np.isnan(whole.quarter_mile_time).sum() == 1


def test_no_force_left_is_a_steady_speed():
    """Drag takes all: P = rolling v + drag v^3 at the end, and the weight lies there."""
    car = replace(BARE, mass=200.0, drag_area=15.0, rolling_resistance=0.02, shift_speed=9e3)
    run = full_throttle_run(car, [300.0, 9000.0], [30e3, 30e3])
    v = float(run.quarter_mile_speed)
    assert 0.02 * 0.2 * WEIGHT * v + 0.5 * 1.225 * 15.0 * v**3 == pytest.approx(30e3, rel=1e-8)
    assert float(run.distance[-1]) == pytest.approx(QUARTER_MILE, rel=1e-12)


def test_a_gear_that_would_not_pull_is_not_taken():
    """The speed of the shift is held to the end instead; so it is in the last gear."""
    car = Vehicle(mass=400.0, drag_area=2.0, traction=2.0, gear_ratios=((1.0, 3.0),))
    power = np.full(SPEEDS.size, 40e3)
    held = full_throttle_run(car, SPEEDS, power)
    top = 6800.0 / (3.0 * 3.7 / 0.315 * 30.0 / math.pi)
    assert float(held.quarter_mile_speed) == pytest.approx(top, rel=1e-12)
    assert held.weights[-1] > 0.5
    long = replace(car, gear_ratios=((1.0, 3.0), (2.0, 0.1)))
    other = full_throttle_run(long, SPEEDS, power)
    assert other.last_gear == 1
    assert other.weights.tobytes() == held.weights.tobytes()


def test_what_cannot_move_is_nan():
    lorry = Vehicle(mass=40e3, gear_ratios=((1.0, 1.0),))
    run = full_throttle_run(lorry, SPEEDS, np.stack((POWER, 0.0 * POWER, -POWER)) * 0.1)
    for values in (run.quarter_mile_time, run.weights, run.speed, run.wheel_work):
        assert np.all(np.isnan(values))


def test_missing_power_matters_only_where_it_is_needed():
    low = np.where(SPEEDS < 2400.0, np.nan, POWER)
    run = full_throttle_run(Vehicle(), SPEEDS, low)
    whole = full_throttle_run(Vehicle(), SPEEDS, POWER)
    assert run.weights.tobytes() == whole.weights.tobytes()
    high = full_throttle_run(Vehicle(), SPEEDS, np.where(SPEEDS > 6000.0, np.nan, POWER))
    assert np.all(np.isnan(high.weights))


@settings(max_examples=40, deadline=None)
@given(
    st.floats(900.0, 2500.0),
    st.floats(0.35, 1.5),
    st.floats(0.0, 1.2),
    st.lists(st.floats(0.7, 1.3), min_size=7, max_size=7),
    st.lists(st.floats(0.0, 0.5), min_size=7, max_size=7),
)
def test_more_power_is_never_slower(mass, traction, drag_area, shape, more):
    car = Vehicle(mass=mass, traction=traction, drag_area=drag_area)
    speeds = np.linspace(1500.0, 6800.0, 7)
    power = np.array(shape) * np.interp(speeds, SPEEDS, POWER)
    runs = full_throttle_run(car, speeds, np.stack((power, power * (1.0 + np.array(more)))))
    assert runs.quarter_mile_time[1] <= runs.quarter_mile_time[0] * (1.0 + 1e-9)
    assert runs.weights.sum(axis=-1) == pytest.approx(1.0, abs=1e-12)
    assert np.all(runs.weights >= 0.0)
    assert np.all(np.diff(runs.time, axis=-1) >= 0.0)


REFUSED = {
    "gears that rise": ({"gear_ratios": ((1.0, 2.0), (2.0, 2.5))}, "vehicle.gear_ratios[1]: 2.5"),
    "gears alike": ({"gear_ratios": ((1.0, 2.0), (2.0, 2.0))}, "below 2, the ratio of the gear"),
    "launch too low": ({"launch_speed": 900.0}, "vehicle.launch_speed: 900.0 given; allowed: 1500"),
    "launch over shift": ({"launch_speed": 6900.0}, "below 6800 rpm, the speed of the shift"),
    "shift too high": ({"shift_speed": 7500.0}, "vehicle.shift_speed: 7500.0"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_a_car_that_cannot_run_is_refused_in_words(case):
    change, words = REFUSED[case]
    limiter = 9000.0 if case == "shift too high" else None
    with pytest.raises(InputError) as caught:
        full_throttle_run(Vehicle(**change), SPEEDS, POWER, limiter=limiter)
    assert words in str(caught.value)


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("gear_ratios", ()), ("gear_ratios", ((1.0, 0.0),)), ("gear_ratios", ((1.0, math.nan),)),
        ("gear_ratios", ((1.0, 3.0), (1.0, 2.0))), ("mass", 0.0), ("mass", math.nan),
        ("final_drive", -1.0), ("tyre_radius", 0.0), ("traction", 0.0), ("shift_time", -0.1),
    ],
)  # fmt: skip
def test_figures_no_car_has_are_refused_at_once(path, value):
    with pytest.raises(InputError, match=rf"vehicle\.{path}.* given; allowed: "):
        Vehicle(**{path: value})


HOSTILE = [
    ([], [], None, "engine_speed"), ([2000.0, 2000.0], [1.0, 1.0], None, "speeds that rise"),
    ([2000.0, math.nan], [1.0, 1.0], None, "above 0 rpm"), (SPEEDS, [1.0], None, "wheel_power"),
    (SPEEDS, 5.0, None, "wheel_power"), (SPEEDS, POWER * math.inf, None, "finite powers"),
    (SPEEDS, POWER, 0.0, "air_density"), (SPEEDS, POWER, math.nan, "air_density"),
    (SPEEDS, POWER, [1.0, 1.1], "what goes with"), ([2600.0], [1e5], None, "vehicle.launch_speed"),
]  # fmt: skip


@pytest.mark.parametrize(("speeds", "power", "density", "words"), HOSTILE)
def test_hostile_arrays_are_refused_in_words(speeds, power, density, words):
    with pytest.raises(InputError, match="given; allowed: ") as caught:
        full_throttle_run(Vehicle(launch_speed=2000.0), speeds, power, air_density=density)
    assert words in str(caught.value)
