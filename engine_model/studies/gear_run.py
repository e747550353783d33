"""A car in one gear at full throttle, and between two gears; many lines at once.

In a gear, time and distance are integrals over road speed, dt = m dv/F and dx = v dt, taken
between the engine speeds at which power is given. Power is straight between them, so every piece
is smooth and Gauss's rule has nothing to choose. No result depends on its neighbours.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from engine_model.studies.coasting import Resistance

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

_NODES, _SHARES = np.polynomial.legendre.leggauss(6)
_AT: Final = 0.5 * (1.0 + _NODES[:, None, None])
_OF: Final = 0.5 * _SHARES[:, None, None]

_HALVINGS: Final = 30
"""Pieces, each half as wide, towards the speed at which no force is left; 1e-9 of the way from
it the car counts as steady, closer by road speeds could not be told apart."""

_ROOT_STEPS: Final = 60
_NEWTON_STEPS: Final = 8


@dataclass(frozen=True, slots=True, eq=False)
class Gear:
    """One gear of a car, on lines of power over engine speed.

    Parameters
    ----------
    per_speed : float
        Engine speed over road speed. [rpm s/m]
    mass : float
        Mass of the car. [kg]
    factor : float
        Equivalent mass over mass. [-]
    grip : float
        Largest force between tyres and road. [N]
    launch_speed, shift_speed : float
        Engine speed held while the clutch slips, and of the shift. [rpm]
    engine_speed : ndarray, shape (k,)
        Rising. [rpm]
    wheel_power : ndarray, shape (n, k)
        Power at the wheels. [W]
    slope : ndarray, shape (n, k - 1)
        Its slope between engine speeds. [W/rpm]
    road : Resistance
        Rolling resistance and drag.
    """

    per_speed: float
    mass: float
    factor: float
    grip: float
    launch_speed: float
    shift_speed: float
    engine_speed: Floats
    wheel_power: Floats
    slope: Floats
    road: Resistance

    def only(self, index: NDArray[np.intp]) -> Gear:
        """The same gear on some of the lines."""
        return replace(
            self,
            wheel_power=self.wheel_power[index],
            slope=self.slope[index],
            road=self.road.only(index),
        )

    @property
    def coupled(self) -> float:
        """Road speed from which the clutch does not slip [m/s]."""
        return self.launch_speed / self.per_speed

    @property
    def top(self) -> float:
        """Road speed of the shift [m/s]."""
        return self.shift_speed / self.per_speed

    def engine_at(self, speed: Floats) -> Floats:
        """Engine speed at a road speed [rpm]."""
        return np.asarray(np.maximum(self.per_speed * speed, self.launch_speed))

    def places(self, speed: Floats) -> NDArray[np.intp]:
        """Place of the piece of the line of power at a road speed."""
        found = np.searchsorted(self.engine_speed, self.engine_at(speed), "right") - 1
        return np.asarray(np.clip(found, 0, self.engine_speed.size - 2))

    def force(self, speed: Floats, places: NDArray[np.intp]) -> Floats:
        """Force of the engine at the wheels, as far as the tyres take it [N].

        Shapes (..., n, e) of speed and (n, e) of places. Between tyres and road acts what is
        left after the rotating parts: at most the grip.
        """
        power = np.take_along_axis(self.wheel_power, places, 1)
        slope = np.take_along_axis(self.slope, places, 1)
        power = power + (self.engine_at(speed) - self.engine_speed[places]) * slope
        resisting = self.road.force(speed)
        taken = self.factor * self.grip - (self.factor - 1.0) * resisting
        return np.asarray(np.minimum(power / np.maximum(speed, self.coupled), taken))

    def net(self, speed: Floats) -> Floats:
        """Force that accelerates, shape (n, e) [N]."""
        return self.force(speed, self.places(speed)) - self.road.force(speed)

    def surplus(self, speed: Floats, places: NDArray[np.intp]) -> Floats:
        """Power of the engine over what the tyres take, shape (n, e) [W]."""
        power = np.take_along_axis(self.wheel_power, places, 1)
        slope = np.take_along_axis(self.slope, places, 1)
        power = power + (self.engine_at(speed) - self.engine_speed[places]) * slope
        taken = self.factor * self.grip - (self.factor - 1.0) * self.road.force(speed)
        return np.asarray(power - taken * np.maximum(speed, self.coupled))


@dataclass(frozen=True, slots=True, eq=False)
class GearRun:
    """What a car does in one gear.

    Parameters
    ----------
    speed, time, distance : ndarray, shape (n, e)
        Road speed, and time and distance since the gear was taken. [m/s, s, m]
    place : ndarray of int, shape (n, e - 1)
        Place of every piece on the line of power.
    piece_time, piece_share : ndarray, shape (n, e - 1)
        Time in every piece, and time times the share of the way between the engine speeds on
        both its sides. [s]
    wheel_work, drag_work : ndarray, shape (n,)
        Work at the wheels and against the air. [J]
    ended, steady : ndarray of bool, shape (n,)
        Whether the distance ended in this gear; whether no force was left before.
    """

    speed: Floats
    time: Floats
    distance: Floats
    place: NDArray[np.intp]
    piece_time: Floats
    piece_share: Floats
    wheel_work: Floats
    drag_work: Floats
    ended: Bools
    steady: Bools


def run_gear(gear: Gear, start: Floats, rest: Floats) -> GearRun:
    """Accelerate in one gear from given road speeds, at most over given distances.

    Parameters
    ----------
    gear : Gear
        The gear, with n lines of power.
    start : ndarray, shape (n,)
        Road speeds at which it is taken. [m/s]
    rest : ndarray, shape (n,)
        Distances left. [m]

    Returns
    -------
    GearRun
        Up to the shift speed, the end of the distance, or where no force is left.

    References
    ----------
    Newton's second law; Gauss-Legendre quadrature between the speeds at which power is given.
    """
    edges, steady = _edges(gear, start)
    found = _integrate(gear, edges, steady)
    ended = found.distance[:, -1] >= rest
    if not ended.any():
        return found
    end = np.where(ended, _speed_at(gear, found, rest), edges[:, -1])
    again = _integrate(gear, np.minimum(edges, end[:, None]), steady & ~ended)
    return GearRun(
        again.speed, again.time, again.distance, again.place, again.piece_time,
        again.piece_share, again.wheel_work, again.drag_work, ended, again.steady,
    )  # fmt: skip


def _edges(gear: Gear, start: Floats) -> tuple[Floats, Bools]:
    """Road speeds between which all is smooth, and whether the last is one without force left."""
    base = np.unique(np.append(gear.engine_speed / gear.per_speed, (gear.coupled, gear.top)))
    base = base[(base <= gear.top) & (base > start.min())] if start.size else base
    first = start[:, None]
    edges = np.concatenate((first, np.maximum(base, first)), axis=1)
    edges = _with_crossings(gear, edges)
    return _with_end(gear, edges)


def _with_crossings(gear: Gear, edges: Floats) -> Floats:
    """Edges with the road speeds at which the tyres begin or cease to take all the power."""
    low, high = edges[:, :-1], edges[:, 1:]
    places = gear.places(0.5 * (low + high))
    left, right = gear.surplus(low, places), gear.surplus(high, places)
    crossed = (left > 0.0) != (right > 0.0)
    crossed &= np.isfinite(left) & np.isfinite(right)
    if not crossed.any():
        return edges
    with np.errstate(invalid="ignore", divide="ignore"):
        speed = np.where(crossed, low + (high - low) * (left / (left - right)), low)
        hair = 1e-6 * (high - low)
        for _ in range(4):
            rise = (gear.surplus(speed + hair, places) - gear.surplus(speed - hair, places)) / (
                2.0 * hair
            )
            moved = speed - gear.surplus(speed, places) / rise
            speed = np.where(crossed, np.clip(moved, low, high), low)
    kept = np.concatenate((edges, np.where(np.isfinite(speed), speed, low)), axis=1)
    return np.asarray(np.sort(kept, axis=1))


def _with_end(gear: Gear, edges: Floats) -> tuple[Floats, Bools]:
    """Edges up to the road speed at which no force is left, ever closer before it."""
    net = gear.net(edges)
    falls = net[:, 1:] <= 0.25 * net[:, :-1]
    ends = net[:, 1:] <= 0.0
    ends[:, 0] |= net[:, 0] <= 0.0
    falls |= ends
    if not falls.any():
        return edges, np.zeros(edges.shape[0], dtype=bool)
    rows = np.arange(edges.shape[0])
    steady: Bools = np.asarray(ends.any(axis=1))
    place = np.where(steady, np.argmax(ends, axis=1), np.argmax(falls, axis=1))
    some = falls[rows, place]
    low, high = edges[rows, place], edges[rows, place + 1]
    at_low, at_high = net[rows, place], net[rows, place + 1]
    with np.errstate(invalid="ignore", divide="ignore"):
        secant = low + (high - low) * at_low / (at_low - at_high)
    root = np.where(steady, _root(gear, low, high), secant)
    root = np.where(some, np.where(at_low <= 0.0, low, root), edges[:, -1])
    closest = root - (root - low) * 0.5**_HALVINGS
    last = np.where(steady, closest, edges[:, -1])
    closer = root[:, None] - (root - low)[:, None] * 0.5 ** np.arange(1, _HALVINGS + 1)
    closer = np.where(some[:, None], np.minimum(closer, high[:, None]), edges[:, -1:])
    kept = np.concatenate((edges, closer, last[:, None]), axis=1)
    return np.sort(np.minimum(kept, last[:, None]), axis=1), steady


def _root(gear: Gear, low: Floats, high: Floats) -> Floats:
    """Road speed at which no force is left, between one with some and one without [m/s]."""
    for _ in range(_ROOT_STEPS):
        middle = 0.5 * (low + high)
        some = gear.net(middle[:, None])[:, 0] > 0.0
        low, high = np.where(some, middle, low), np.where(some, high, middle)
    return low


def _integrate(gear: Gear, edges: Floats, steady: Bools) -> GearRun:
    low = edges[:, :-1]
    width = edges[:, 1:] - low
    place = gear.places(low + 0.5 * width)
    speed = low + width * _AT
    force = gear.force(speed, place)
    time = _times(gear, speed, width, force - gear.road.force(speed))
    base = gear.engine_speed
    share = (gear.engine_at(speed) - base[place]) / (base[place + 1] - base[place])
    piece_time = time.sum(axis=0)
    drag = gear.road.drag_force(speed)
    return GearRun(
        edges,
        _running(piece_time),
        _running((speed * time).sum(axis=0)),
        place,
        piece_time,
        (share * time).sum(axis=0),
        _running((force * speed * time).sum(axis=0))[:, -1],
        _running((drag * speed * time).sum(axis=0))[:, -1],
        np.zeros(edges.shape[0], dtype=bool),
        steady,
    )


def _times(gear: Gear, speed: Floats, width: Floats, net: Floats) -> Floats:
    """Time that each of Gauss's points stands for [s]."""
    with np.errstate(divide="ignore", invalid="ignore"):
        time = gear.factor * gear.mass * width * _OF / net
    return np.asarray(np.where(width > 0.0, time, 0.0))


def _running(parts: Floats) -> Floats:
    """Sums from the first on, beginning with nothing."""
    begin = np.zeros((parts.shape[0], 1))
    return np.asarray(np.concatenate((begin, np.cumsum(parts, axis=1)), axis=1))


def _speed_at(gear: Gear, found: GearRun, rest: Floats) -> Floats:
    """Road speed at which the distance ends; distance is nearly straight in its square [m/s]."""
    rows = np.arange(rest.size)
    passed = np.count_nonzero(found.distance[:, 1:] < rest[:, None], axis=1)
    passed = np.minimum(passed, found.place.shape[1] - 1)
    low, high = found.speed[rows, passed], found.speed[rows, passed + 1]
    asked = rest - found.distance[rows, passed]
    whole = found.distance[rows, passed + 1] - found.distance[rows, passed]
    place = found.place[rows, passed][:, None]
    with np.errstate(divide="ignore", invalid="ignore"):
        square = low**2 + (high**2 - low**2) * np.clip(asked / whole, 0.0, 1.0)
        for _ in range(_NEWTON_STEPS):
            width = (np.sqrt(square) - low)[:, None]
            speed = low[:, None] + width * _AT
            net = gear.force(speed, place) - gear.road.force(speed)
            covered = (speed * _times(gear, speed, width, net)).sum(axis=0)[:, 0]
            at = np.sqrt(square)[:, None]
            here = (gear.force(at, place) - gear.road.force(at))[:, 0]
            moved = square - (covered - asked) * 2.0 * here / (gear.factor * gear.mass)
            square = np.clip(moved, low**2, high**2)
    return np.asarray(np.sqrt(square))
