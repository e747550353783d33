"""Pulleys, and the tangent spans and wraps of a belt round them.

All geometry is that of the pitch line. Pulleys stand in the order in which a point of the belt
meets them, the crank first; the span that leaves the crank is the slack one.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from math import isfinite, pi

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.errors import InputError

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]

LEAST_WRAP = -pi / 3.0
"""Turns are read as wraps from here to a full turn more; a belt wraps at most 300 deg [rad]."""


@dataclass(frozen=True, slots=True)
class Pulley:
    """A pulley or an idler.

    Parameters
    ----------
    name : str
        Its name.
    x, y : float
        Centre. [m]
    diameter : float
        Outside (effective) diameter. [m]
    face : str
        ``grooved``: the ribs run on it, inside the loop; ``back``: the belt's back runs on it,
        from outside the loop, and turns it the other way.
    """

    name: str
    x: float
    y: float
    diameter: float
    face: str = "grooved"

    def __post_init__(self) -> None:
        field = f"drive.pulleys.{self.name}"
        for key in ("x", "y", "diameter"):
            if not isfinite(getattr(self, key)):
                raise InputError(f"{field}.{key}", getattr(self, key), "a finite number")
        if self.diameter <= 0.0:
            raise InputError(f"{field}.diameter", self.diameter, "above 0")
        if self.face not in ("grooved", "back"):
            raise InputError(f"{field}.face", self.face, "grooved or back")

    def pitch_radius(self, pitch_offset: float, back_offset: float) -> float:
        """Radius of the belt's pitch line on this pulley [m]."""
        return 0.5 * self.diameter + (pitch_offset if self.face == "grooved" else back_offset)


@dataclass(frozen=True, slots=True, eq=False)
class PathArrays:
    """Paths of many belts; the last axis of most counts pulleys, span i leaves pulley i.

    Parameters
    ----------
    wraps : ndarray
        Wraps; below 0 where the belt would not reach the pulley. [rad]
    span_lengths : ndarray
        Lengths of the straight spans; nan where two pulleys leave no room for one. [m]
    span_angles : ndarray
        Directions of travel, from the x axis. [rad]
    length : ndarray
        Length of the belt at its pitch line. [m]
    turns_closed : ndarray
        Times the belt turns left on its way round: 1 or -1 for a belt that closes; 0 where nan.
    """

    wraps: Floats
    span_lengths: Floats
    span_angles: Floats
    length: Floats
    turns_closed: Whole


def _total(values: Floats) -> Floats:
    """Sum over the pulleys, in their order whatever the leading shape."""
    return np.asarray(np.cumsum(values, axis=-1)[..., -1])


def path_arrays(x: ArrayLike, y: ArrayLike, pitch_radius: ArrayLike, turn: ArrayLike) -> PathArrays:
    """Tangent spans and wraps of closed belts, over any leading shape.

    Parameters
    ----------
    x, y : array_like, shape (..., n)
        Centres of the pulleys in the belt's order. [m]
    pitch_radius : array_like, shape (..., n)
        Radii of the pitch line. [m]
    turn : array_like, shape (..., n)
        1 where the pulley turns left (anticlockwise), -1 where it turns right. [-]

    Returns
    -------
    PathArrays
        The paths; nothing is checked here. [m], [rad]

    References
    ----------
    Common tangents of two circles: sqrt(C^2 - (r1 - r2)^2), crossed sqrt(C^2 - (r1 + r2)^2).

    Examples
    --------
    Two pulleys of 180 and 80 mm, 300 mm apart: Shigley's open belt.

    >>> round(float(path_arrays([0.0, 0.3], 0.0, [0.09, 0.04], 1.0).length), 7)
    1.0167598
    """
    at_x, at_y, r, t = np.broadcast_arrays(
        *(np.asarray(one, dtype=float) for one in (x, y, pitch_radius, turn))
    )
    dx, dy = np.roll(at_x, -1, axis=-1) - at_x, np.roll(at_y, -1, axis=-1) - at_y
    lean = np.roll(t * r, -1, axis=-1) - t * r
    square = dx * dx + dy * dy - lean * lean
    spans = np.sqrt(np.where(square > 0.0, square, np.nan))
    angles = np.arctan2(dy, dx) - np.arctan2(lean, spans)
    bend = t * (angles - np.roll(angles, 1, axis=-1))
    wraps = np.mod(bend - LEAST_WRAP, 2.0 * pi) + LEAST_WRAP
    closed = np.nan_to_num(_total(t * wraps) / (2.0 * pi))
    return PathArrays(
        wraps, spans, angles, _total(spans + r * wraps), np.rint(closed).astype(np.int64)
    )


@dataclass(frozen=True, slots=True, eq=False)
class BeltPath:
    """The path of one belt, checked. Arrays count pulleys; span i leaves pulley i.

    Parameters
    ----------
    names : tuple of str
        The pulleys.
    sense : int
        1 where the grooved pulleys turn left, -1 where they turn right.
    centres : ndarray, shape (n, 2)
        Centres. [m]
    pitch_radii : ndarray
        Radii of the pitch line. [m]
    turns : ndarray
        1 where a pulley turns left, -1 where right. [-]
    wraps : ndarray
        Wraps. [rad]
    span_lengths, span_angles : ndarray
        Lengths [m] and directions of travel [rad] of the spans.
    arrivals, departures : ndarray, shape (n, 2)
        Where the belt arrives on a pulley and where it leaves it. [m]
    length : float
        Length of the belt at its pitch line. [m]
    """

    names: tuple[str, ...]
    sense: int
    centres: Floats
    pitch_radii: Floats
    turns: Floats
    wraps: Floats
    span_lengths: Floats
    span_angles: Floats
    arrivals: Floats
    departures: Floats
    length: float

    def __post_init__(self) -> None:
        for one in fields(self):
            value = getattr(self, one.name)
            if isinstance(value, np.ndarray):
                value.flags.writeable = False

    def wrap_of(self, name: str) -> float:
        """Return the wrap of a pulley [rad]."""
        if name not in self.names:
            raise InputError("drive.pulleys", name, "one of " + ", ".join(self.names))
        return float(self.wraps[self.names.index(name)])

    def outline(self, step: float = pi / 90.0) -> Floats:
        """Return points of the pitch line, closed, arcs in steps of at most this angle [rad]."""
        points = []
        for k in range(len(self.names)):
            count = max(2, int(np.ceil(self.wraps[k] / step)) + 1)
            start = np.arctan2(*(self.arrivals[k] - self.centres[k])[::-1])
            angle = start + self.turns[k] * np.linspace(0.0, self.wraps[k], count)
            rim = self.pitch_radii[k] * np.column_stack((np.cos(angle), np.sin(angle)))
            points.append(self.centres[k] + rim)
        points.append(points[0][:1])
        return np.vstack(points)
