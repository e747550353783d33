"""Where the engine lives: a full-throttle run through the gears, and weights of engine speeds."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.constants import QUARTER_MILE, STANDARD_GRAVITY
from engine_model.errors import InputError
from engine_model.inputs import Build, Vehicle
from engine_model.studies.coasting import Resistance, coast
from engine_model.studies.gear_run import run_gear
from engine_model.studies.one_gear import Gear
from engine_model.studies.run_log import RunLog
from engine_model.studies.speed_weights import density_weights

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

STANDARD_DENSITY: Final = 1.225
"""Density of the air that drags, unless given [kg/m3]; ISO 2533, sea level."""

_BLOCK: Final = 128
"""Lines run at once for their weights alone; no line depends on the others."""

_SLACK: Final = 1e-9
"""Share by which a speed may miss the end of the engine speeds given [-]; rounding."""


@dataclass(frozen=True, slots=True, eq=False)
class FullThrottleRun:
    """A standing start, then full throttle through the gears for a quarter of a mile.

    Leading axes (...) are the wheel power's. Lines on which the car does not get there, because
    power is missing or does not move it, are nan throughout.

    Parameters
    ----------
    engine_speed : ndarray, shape (k,)
        Engine speeds at which power was given. [rpm]
    weights : ndarray, shape (..., k)
        Share of the time under power that is spent at each: a time between two of them goes to
        both, as in straight interpolation. Sum 1. [-]
    quarter_mile_time : ndarray, shape (...)
        From the first movement. [s]
    quarter_mile_speed : ndarray, shape (...)
        Road speed there. [m/s]
    last_gear : ndarray of int, shape (...)
        Number of the gear there, counted from 1.
    time, distance, speed : ndarray, shape (..., e)
        The history: from the start, never falling in time; places may repeat. [s, m, m/s]
    wheel_work, drag_work, rolling_work : ndarray, shape (...)
        Work of the engine at the wheels, against the air and against the tyres. [J]
    """

    engine_speed: Floats
    weights: Floats
    quarter_mile_time: Floats
    quarter_mile_speed: Floats
    last_gear: NDArray[np.intp]
    time: Floats
    distance: Floats
    speed: Floats
    wheel_work: Floats
    drag_work: Floats
    rolling_work: Floats


def full_throttle_run(
    vehicle: Vehicle,
    engine_speed: ArrayLike,
    wheel_power: ArrayLike,
    *,
    limiter: float | None = None,
    air_density: ArrayLike | None = None,
) -> FullThrottleRun:
    """Full-throttle run of a car from a standing start over a quarter of a mile.

    The clutch slips at the launch speed until the car has caught up; the tyres take at most the
    traction (the driver lifts as far as needed, no load moves to the rear); the car coasts while
    it is shifted; where the next gear would not pull, or there is none, the speed is held.

    Parameters
    ----------
    vehicle : Vehicle
        The car.
    engine_speed : array_like, shape (k,)
        Rising, from the launch speed or less to the shift speed or more. [rpm]
    wheel_power : array_like, shape (..., k)
        Power at the wheels, straight between engine speeds; nan where there is none. [W]
    limiter : float, optional
        Engine speed that no shift is above; the last engine speed unless given. [rpm]
    air_density : array_like, optional
        Density of the day's air, broadcast against the leading axes; 1.225 unless given. [kg/m3]

    Returns
    -------
    FullThrottleRun
        Times, speeds and weights.

    Raises
    ------
    InputError
        Where gear ratios, engine speeds, power or density cannot be taken.

    References
    ----------
    Newton's second law along the road. Mass of rotating parts after Gillespie, Fundamentals of
    Vehicle Dynamics, 1992, from memory, unless the vehicle gives its own.

    Examples
    --------
    Power P alone moves mass m: v = (3 P x/m)^(1/3), 66.18 m/s after 402.336 m. A clutch that
    has hardly slipped and no resistance come within 0.1 % of it.

    >>> car = Vehicle(mass=1000.0, gear_ratios=((1.0, 1.0),), final_drive=1.0, tyre_radius=0.1,
    ...     rolling_resistance=0.0, drag_area=0.0, rotating_mass=1.0, traction=4.0,
    ...     launch_speed=300.0, shift_speed=8000.0)
    >>> run = full_throttle_run(car, [300.0, 8000.0], [240e3, 240e3])
    >>> round(float(run.quarter_mile_speed), 1)
    66.2
    """
    ratios = _ratios(vehicle)
    speeds = _engine_speeds(engine_speed)
    shift = _shift_speed(vehicle, speeds, limiter)
    power = _power(wheel_power, speeds)
    if np.any(np.isinf(power)):
        raise InputError("wheel_power", float("inf"), "finite powers, nan where there is none")
    shape = power.shape[:-1]
    road = Resistance(
        vehicle.mass * STANDARD_GRAVITY * vehicle.rolling_resistance,
        0.5 * vehicle.drag_area * _density(air_density, shape),
    )
    lines = np.ascontiguousarray(power.reshape(math.prod(shape), speeds.size))
    slope = np.diff(lines, axis=1) / np.diff(speeds)
    gears = []
    for ratio in ratios:
        per_speed = ratio * vehicle.final_drive / vehicle.tyre_radius * 30.0 / math.pi
        factor = vehicle.mass_factor(ratio)
        grip = vehicle.traction * vehicle.mass * STANDARD_GRAVITY
        gears.append(
            Gear(per_speed, vehicle.mass, factor, grip, vehicle.launch_speed, shift,
                 speeds, lines, slope, road)
        )  # fmt: skip
    return _through(vehicle, gears, shape)


def _through(vehicle: Vehicle, gears: list[Gear], shape: tuple[int, ...]) -> FullThrottleRun:
    """Run through the gears; a line that has got there, or cannot, is left as it is."""
    first = gears[0]
    log = RunLog(first.wheel_power.shape[0], first.engine_speed)
    mass = vehicle.mass * vehicle.coasting_factor
    going = np.arange(first.wheel_power.shape[0])
    for number, whole in enumerate(gears):
        if not going.size:
            break
        log.gear[going] = number + 1
        gear = whole.only(going)
        found = run_gear(gear, log.speed[going], QUARTER_MILE - log.distance[going])
        log.drive(going, found)
        left = ~found.ended
        rest = QUARTER_MILE - log.distance[going]
        rolled = coast(gear.road, mass, log.speed[going], vehicle.shift_time, rest)
        pulls = np.zeros(going.size, dtype=bool)
        if number + 1 < len(gears):
            following = gears[number + 1].only(going)
            pulls = following.net(rolled.speed[:, None])[:, 0] > 0.0
        shifts = left & ~found.steady & pulls
        held = np.flatnonzero(left & ~shifts)
        if held.size:
            log.hold(going[held], gear.only(held))
        after = np.flatnonzero(shifts)
        going = going[after]
        log.coast(going, rolled.only(after), gear.road.only(after), mass)
        going = going[log.distance[going] < QUARTER_MILE * (1.0 - 1e-15)]
    return _made(log, first.road, shape)


def _made(log: RunLog, road: Resistance, shape: tuple[int, ...]) -> FullThrottleRun:
    total = np.cumsum(log.seconds, axis=1)[:, -1:]
    known = np.isfinite(log.time)

    def of(values: Floats) -> Floats:
        kept = np.where(known.reshape(-1, *(1,) * (values.ndim - 1)), values, np.nan)
        return np.asarray(kept.reshape((*shape, *values.shape[1:])))

    time, distance, speed = (
        of(np.concatenate([part[place] for part in log.history], axis=1)) for place in range(3)
    )
    with np.errstate(divide="ignore", invalid="ignore"):
        weights = of(log.seconds / total)
    return FullThrottleRun(
        log.speeds, weights, of(log.time), of(log.speed), log.gear.reshape(shape),
        time, distance, speed,
        of(log.wheel_work), of(log.drag_work), of(road.rolling * log.distance),
    )  # fmt: skip


def _ratios(vehicle: Vehicle) -> tuple[float, ...]:
    ratios = tuple(pair[1] for pair in vehicle.gear_ratios)
    for number in range(1, len(ratios)):
        if not ratios[number] < ratios[number - 1]:
            where = f"vehicle.gear_ratios[{number}]"
            raise InputError(
                where, ratios[number], f"below {ratios[number - 1]:g}, the ratio of the gear before"
            )
    return ratios


def _engine_speeds(engine_speed: ArrayLike) -> Floats:
    speeds = np.asarray(engine_speed, dtype=float)
    if speeds.ndim != 1 or speeds.size == 0:
        raise InputError("engine_speed", speeds.shape, "a list of engine speeds")
    if not np.all(np.isfinite(speeds)) or np.any(speeds <= 0.0):
        bad = speeds[~(np.isfinite(speeds) & (speeds > 0.0))]
        raise InputError("engine_speed", float(bad[0]), "engine speeds above 0 rpm")
    falls = np.flatnonzero(np.diff(speeds) <= 0.0)
    if falls.size:
        value = float(speeds[falls[0] + 1])
        raise InputError("engine_speed", value, f"speeds that rise, above {speeds[falls[0]]:g} rpm")
    return speeds


def _shift_speed(vehicle: Vehicle, speeds: Floats, limiter: float | None) -> float:
    """Engine speed of a shift; launch and shift lie within the speeds of the line [rpm]."""
    low, high = float(speeds[0]), float(speeds[-1])
    top = high if limiter is None else float(limiter)
    shift = top if vehicle.shift_speed is None else min(vehicle.shift_speed, top)
    within = f"{low:g} to {high:g} rpm, the engine speeds of the line"
    if not vehicle.launch_speed >= low * (1.0 - _SLACK):
        raise InputError("vehicle.launch_speed", vehicle.launch_speed, within)
    if not shift <= high * (1.0 + _SLACK):
        raise InputError("vehicle.shift_speed", shift, within)
    if not vehicle.launch_speed < shift:
        allowed = f"below {shift:g} rpm, the speed of the shift"
        raise InputError("vehicle.launch_speed", vehicle.launch_speed, allowed)
    return min(shift, high)


def _power(wheel_power: ArrayLike, speeds: Floats) -> Floats:
    power = np.asarray(wheel_power, dtype=float)
    if power.ndim == 0 or power.shape[-1] != speeds.size:
        raise InputError("wheel_power", power.shape, f"a last axis of {speeds.size} engine speeds")
    return power


def _density(air_density: ArrayLike | None, shape: tuple[int, ...]) -> Floats:
    given = np.asarray(STANDARD_DENSITY if air_density is None else air_density, dtype=float)
    if not np.all((given > 0.0) & (given < 10.0)):
        bad = given[~((given > 0.0) & (given < 10.0))]
        raise InputError("air_density", float(bad[0]), "above 0 to 10 kg/m3")
    try:
        return np.broadcast_to(given, shape).reshape(-1)
    except ValueError:
        raise InputError("air_density", given.shape, f"what goes with {shape}") from None


def engine_speed_weights(
    build: Build,
    engine_speed: ArrayLike,
    wheel_power: ArrayLike,
    *,
    air_density: ArrayLike | None = None,
) -> Floats:
    """Weights of engine speeds: where the engine lives, as the build's weighting says.

    Parameters
    ----------
    build : Build
        Its weighting, and its car and limiter where the weighting is a full-throttle run.
    engine_speed : array_like, shape (k,)
        Rising. [rpm]
    wheel_power : array_like, shape (..., k)
        Power at the wheels; read by the run alone. [W]
    air_density : array_like, optional
        Density of the day's air, for the run; 1.225 unless given. [kg/m3]

    Returns
    -------
    ndarray, shape (..., k)
        Sum 1 over the last axis; nan on lines whose car does not get to the end of its run. The
        weighted sum of a quantity is its mean over engine speed (flat), under the typed density,
        or over the time under power of the run. [-]

    Raises
    ------
    InputError
        As :func:`full_throttle_run`; where no typed weight lies within the engine speeds.

    References
    ----------
    Means over a density, exact for what is straight between engine speeds.
    """
    kind = build.weighting.kind
    speeds = _engine_speeds(engine_speed)
    power = _power(wheel_power, speeds)
    if kind == "run":
        return _run_weights(build, speeds, power, air_density)
    rows = build.weighting.points
    if kind == "flat":
        rows = ((float(speeds[0]), 1.0), (float(speeds[-1]), 1.0))
        rows = rows if speeds.size > 1 else rows[:1]
    weights = density_weights(speeds, rows)
    if np.isnan(weights[0]):
        given = ", ".join(f"{weight:g} at {speed:g} rpm" for speed, weight in rows)
        allowed = f"a weight above 0 within {speeds[0]:g} to {speeds[-1]:g} rpm"
        raise InputError("weighting.points", given, allowed)
    return np.array(np.broadcast_to(weights, power.shape))


def _run_weights(
    build: Build, speeds: Floats, power: Floats, air_density: ArrayLike | None
) -> Floats:
    """Weights of runs, some lines at a time so that memory does not grow with them."""
    density = _density(air_density, power.shape[:-1])
    lines = power.reshape(density.size, speeds.size)
    parts = [
        full_throttle_run(
            build.vehicle,
            speeds,
            lines[begin : begin + _BLOCK],
            limiter=build.engine.limiter,
            air_density=density[begin : begin + _BLOCK],
        ).weights
        for begin in range(0, max(density.size, 1), _BLOCK)
    ]
    return np.concatenate(parts).reshape(power.shape)
