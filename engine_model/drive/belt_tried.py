"""Paths of a belt round pulleys tried in place of its own, with a flag where it cannot run."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.drive.belt_geometry import PathArrays, path_arrays
from engine_model.drive.belt_layout import Layout
from engine_model.errors import InputError

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


def likely_sense(layout: Layout) -> int:
    """Sense of a belt where nobody told it and no path says: that of its centres' polygon.

    Parameters
    ----------
    layout : Layout
        The pulleys.

    Returns
    -------
    int
        1 where the crank turns left, -1 where right. [-]

    References
    ----------
    Signed area of a polygon; the rule of ``solve_path``.
    """
    x = np.array([p.x for p in layout.pulleys])
    y = np.array([p.y for p in layout.pulleys])
    return -1 if np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)) < 0.0 else 1


def tried_paths(layout: Layout, diameters: ArrayLike, sense: int) -> tuple[PathArrays, Flags]:
    """Paths over diameters of all pulleys, every centre as it stands, and which can run.

    Parameters
    ----------
    layout : Layout
        The pulleys; their own diameters are not read.
    diameters : array_like, shape (..., n)
        Outside diameters. [m] above 0
    sense : int
        1 where the crank turns left, -1 where right. [-]

    Returns
    -------
    tuple of PathArrays and ndarray of bool
        The paths, and where pulleys keep clear, the belt touches every pulley, goes round once,
        runs through no pulley and crosses nowhere: what ``path_fault`` tells of one belt.

    References
    ----------
    Plane geometry, see ``path_arrays``.

    Examples
    --------
    Two pulleys 0.3 m apart; they overlap from 0.3 m of mean diameter.

    >>> from engine_model.drive.belt_geometry import Pulley
    >>> pair = (Pulley("crank", 0.0, 0.0, 0.18), Pulley("blower", 0.3, 0.0, 0.08))
    >>> layout = Layout(pair, 0.002, 0.001)
    >>> tried_paths(layout, [[0.18, 0.08], [0.40, 0.25]], 1)[1]
    array([ True, False])
    """
    d = np.asarray(diameters, dtype=float)
    if d.shape[-1:] != (len(layout.pulleys),):
        allowed = f"{len(layout.pulleys)} diameters along the last axis"
        raise InputError("drive.pulleys", d.shape, allowed)
    x = np.array([p.x for p in layout.pulleys])
    y = np.array([p.y for p in layout.pulleys])
    grooved = np.array([p.face == "grooved" for p in layout.pulleys])
    turn = np.where(grooved, sense, -sense).astype(float)
    r = 0.5 * d + np.where(grooved, layout.pitch_offset, layout.back_offset)
    found = path_arrays(x, y, r, turn)
    runs = np.all(found.wraps > 0.0, axis=-1) & (found.turns_closed == sense)
    start, end = _ends(x, y, r * turn, found.span_angles)
    runs &= _apart(x, y, d) & _clear(x, y, r, start, end) & _uncrossed(start, end)
    return found, runs


def _ends(x: Floats, y: Floats, rim: Floats, angles: Floats) -> tuple[Floats, Floats]:
    """Where every span begins and ends, the two coordinates first."""
    left = np.stack((-np.sin(angles), np.cos(angles)))
    centre = np.stack((x, y)).reshape((2,) + (1,) * (rim.ndim - 1) + x.shape)
    start = centre - rim * left
    arrivals = centre - rim * np.roll(left, 1, axis=-1)
    return start, np.roll(arrivals, -1, axis=-1)


def _apart(x: Floats, y: Floats, d: Floats) -> Flags:
    """Whether no two pulleys overlap."""
    first, other = np.triu_indices(x.size, 1)
    gap = np.hypot(x[first] - x[other], y[first] - y[other])
    return np.asarray(np.all(gap >= 0.5 * (d[..., first] + d[..., other]), axis=-1))


def _clear(x: Floats, y: Floats, r: Floats, start: Floats, end: Floats) -> Flags:
    """Whether no span (last axis but one) runs through a pulley (last axis) not its own."""
    side = (end - start)[..., None]
    to_x, to_y = x - start[0][..., None], y - start[1][..., None]
    square = side[0] ** 2 + side[1] ** 2
    with np.errstate(divide="ignore", invalid="ignore"):
        along = np.clip((to_x * side[0] + to_y * side[1]) / square, 0.0, 1.0)
    near = np.hypot(to_x - along * side[0], to_y - along * side[1])
    own = np.eye(x.size, dtype=bool)
    own = own | np.roll(own, 1, axis=1)
    return np.asarray(np.all((near >= r[..., None, :]) | own, axis=(-2, -1)))


def _uncrossed(start: Floats, end: Floats) -> Flags:
    """Whether no two spans cross."""
    way = (end - start)[..., None]

    def side_of(point: Floats) -> Floats:
        """Side of every span (last axis but one) on which every point (last axis) lies."""
        to = point[..., None, :] - start[..., None]
        return np.asarray(way[0] * to[1] - way[1] * to[0])

    parted = side_of(start) * side_of(end) < 0.0
    crossed = parted & np.swapaxes(parted, -1, -2)
    return np.asarray(~np.any(crossed, axis=(-2, -1)))
