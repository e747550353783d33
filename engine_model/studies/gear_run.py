"""A car in one gear at full throttle, and between two gears; many lines at once.

In a gear, time and distance are integrals over road speed, dt = m dv/F and dx = v dt, taken
between the engine speeds at which power is given. Power is straight between them, so every piece
is smooth and Gauss's rule has nothing to choose. No result depends on its neighbours.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from engine_model.studies.gear_edges import smooth_edges
from engine_model.studies.one_gear import Gear

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

_NODES, _SHARES = np.polynomial.legendre.leggauss(6)
_AT: Final = 0.5 * (1.0 + _NODES[:, None, None])
_OF: Final = 0.5 * _SHARES[:, None, None]

_STEEPEST: Final = 12.0
"""Logarithm of the ratio of forces over a piece, up to which its points follow it [-]."""

_NEWTON_STEPS: Final = 8


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
    edges, steady = smooth_edges(gear, start)
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


def _integrate(gear: Gear, edges: Floats, steady: Bools) -> GearRun:
    low = edges[:, :-1]
    width = edges[:, 1:] - low
    place = gear.places(low + 0.5 * width)
    speed, step = _points(gear, low, width, place)
    force = gear.force(speed, place)
    time = _times(gear, step, force - gear.road.force(speed))
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


def _points(
    gear: Gear, low: Floats, width: Floats, place: NDArray[np.intp]
) -> tuple[Floats, Floats]:
    """Road speeds of Gauss's points in every piece and the steps they stand for [m/s].

    They lie even in the logarithm of a force that is straight over the piece, where dv/F is even:
    little force at one end then costs no accuracy.
    """
    high = low + width
    with np.errstate(divide="ignore", invalid="ignore"):
        begin = gear.force(low, place) - gear.road.force(low)
        end = gear.force(high, place) - gear.road.force(high)
        rate = np.log(end / begin)
    rate = np.where(np.abs(rate) < _STEEPEST, rate, 0.0)
    rate = np.where(np.abs(rate) > 1e-8, rate, 1e-8)
    whole = width / np.expm1(rate)
    grown = np.expm1(rate * _AT)
    return low + whole * grown, whole * rate * (grown + 1.0)


def _times(gear: Gear, step: Floats, net: Floats) -> Floats:
    """Time that each of Gauss's points stands for [s]."""
    with np.errstate(divide="ignore", invalid="ignore"):
        time = gear.factor * gear.mass * step * _OF / net
    return np.asarray(np.where(step > 0.0, time, 0.0))


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
            speed, step = _points(gear, low[:, None], width, place)
            net = gear.force(speed, place) - gear.road.force(speed)
            covered = (speed * _times(gear, step, net)).sum(axis=0)[:, 0]
            at = np.sqrt(square)[:, None]
            here = (gear.force(at, place) - gear.road.force(at))[:, 0]
            moved = square - (covered - asked) * 2.0 * here / (gear.factor * gear.mass)
            square = np.clip(moved, low**2, high**2)
    return np.asarray(np.sqrt(square))
