"""Road speeds between which all that drives a car in one gear is smooth."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from engine_model.studies.one_gear import Gear

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

_HALVINGS: Final = 26
"""Pieces, each half as wide, towards the speed at which no force is left; 1.5e-8 of the way from
it the car counts as steady, closer by road speeds could not be told apart."""

_WIDEST: Final = 200.0
"""Widest piece [rpm]; chosen here, finer changes nothing."""

_ROOT_STEPS: Final = 60


def smooth_edges(gear: Gear, start: Floats) -> tuple[Floats, Bools]:
    """Road speeds between which force and power are smooth, from a start to the shift.

    Parameters
    ----------
    gear : Gear
        The gear, with n lines of power.
    start : ndarray, shape (n,)
        Road speeds at which it is taken. [m/s]

    Returns
    -------
    edges : ndarray, shape (n, e)
        Never falling; they end where no force is left, if that is before the shift. [m/s]
    steady : ndarray of bool, shape (n,)
        Whether it is.

    References
    ----------
    Newton's steps and bisection on the balance of force, a fixed number of them.
    """
    base = _evenly(np.append(gear.engine_speed, (gear.launch_speed, gear.shift_speed)))
    base = base / gear.per_speed
    base = base[(base <= gear.top) & (base > start.min())] if start.size else base
    first = start[:, None]
    edges = np.concatenate((first, np.maximum(base, first)), axis=1)
    edges = _with_crossings(gear, edges)
    return _with_end(gear, edges)


def _evenly(engine_speed: Floats) -> Floats:
    """Engine speeds in rising order with others between them where they are far apart [rpm]."""
    base = np.unique(engine_speed)
    gaps = np.diff(base)
    counts = np.ceil(gaps / _WIDEST).astype(np.intp)
    before = np.repeat(np.cumsum(counts) - counts, counts)
    steps = np.arange(before.size) - before
    between = np.repeat(base[:-1], counts) + np.repeat(gaps / counts, counts) * steps
    return np.append(between, base[-1])


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
