"""A belt's pulleys with their tensioner, and the length of the path as it moves."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, isfinite, pi, sin

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.drive.belt_geometry import BeltPath, PathArrays, Pulley, path_arrays
from engine_model.drive.belt_path import solve_path
from engine_model.errors import InputError

Floats = NDArray[np.float64]

TENSIONER = "drive.belt_tensioner"


def _check_travel(low: float, high: float) -> None:
    for key, value in (("low", low), ("high", high)):
        if not isfinite(value):
            raise InputError(f"{TENSIONER}.{key}", value, "a finite number")
    if not low <= 0.0 <= high or low == high:
        allowed = "low at most 0 (as it stands now), high at least 0, and not both 0"
        raise InputError(f"{TENSIONER}.travel", f"{low:g} to {high:g}", allowed)


@dataclass(frozen=True, slots=True)
class ArmTensioner:
    """A tensioner whose pulley swings about a pivot; setting 0 is the pulley as it stands.

    Parameters
    ----------
    pulley : str
        The pulley it carries.
    pivot_x, pivot_y : float
        Pivot. [m]
    low, high : float
        Ends of the travel, anticlockwise from where it stands. [rad]
    """

    pulley: str
    pivot_x: float
    pivot_y: float
    low: float
    high: float

    def __post_init__(self) -> None:
        _check_travel(self.low, self.high)
        if self.high - self.low > pi:
            raise InputError(
                f"{TENSIONER}.travel", self.high - self.low, "half a turn (3.14159) or less"
            )

    def moved(self, x: float, y: float, setting: Floats) -> tuple[Floats, Floats]:
        """Return the pulley's centre [m] at a setting [rad]."""
        c, s = np.cos(setting), np.sin(setting)
        dx, dy = x - self.pivot_x, y - self.pivot_y
        return self.pivot_x + c * dx - s * dy, self.pivot_y + s * dx + c * dy


@dataclass(frozen=True, slots=True)
class SlideTensioner:
    """A tensioner or adjuster whose pulley slides; setting 0 is the pulley as it stands.

    Parameters
    ----------
    pulley : str
        The pulley it carries.
    direction : float
        Direction in which the setting counts, from the x axis. [rad]
    low, high : float
        Ends of the travel from where it stands. [m]
    """

    pulley: str
    direction: float
    low: float
    high: float

    def __post_init__(self) -> None:
        _check_travel(self.low, self.high)

    def moved(self, x: float, y: float, setting: Floats) -> tuple[Floats, Floats]:
        """Return the pulley's centre [m] at a setting [m]."""
        return x + cos(self.direction) * setting, y + sin(self.direction) * setting


Tensioner = ArmTensioner | SlideTensioner


@dataclass(frozen=True, slots=True)
class Layout:
    """The pulleys of a belt in its order of travel, the crank first, and their tensioner.

    Parameters
    ----------
    pulleys : tuple of Pulley
        The pulleys as they stand now.
    pitch_offset : float
        Height of the pitch line over a grooved pulley's outside. [m]
    back_offset : float
        Height of the pitch line over a pulley on the belt's back. [m]
    tensioner : ArmTensioner, SlideTensioner or None
        What moves one of them; None where all stand still.
    sense : int
        1 where the crank turns left (anticlockwise) as drawn, -1 where right, 0 either.
    """

    pulleys: tuple[Pulley, ...]
    pitch_offset: float
    back_offset: float
    tensioner: Tensioner | None = None
    sense: int = 0

    def __post_init__(self) -> None:
        for key in ("pitch_offset", "back_offset"):
            value = getattr(self, key)
            if not (isfinite(value) and value >= 0.0):
                raise InputError(f"drive.{key}", value, "0 or more")
        if self.tensioner is not None:
            self.place_of(self.tensioner.pulley)

    def place_of(self, name: str) -> int:
        """Return where a pulley stands in the order, or raise an :class:`InputError`."""
        names = [p.name for p in self.pulleys]
        if name not in names:
            raise InputError("drive.pulleys", name, "one of " + ", ".join(names))
        return names.index(name)

    def with_diameter(self, name: str, diameter: float) -> Layout:
        """Return the layout with another outside diameter [m] of one pulley."""
        k = self.place_of(name)
        new = replace(self.pulleys[k], diameter=diameter)
        return replace(self, pulleys=(*self.pulleys[:k], new, *self.pulleys[k + 1 :]))

    def known_tensioner(self) -> Tensioner:
        """Return the tensioner, or raise an :class:`InputError` where there is none."""
        if self.tensioner is None:
            raise InputError(TENSIONER, None, "a tensioner; this belt has none that could move")
        return self.tensioner


def path_now(layout: Layout) -> BeltPath:
    """Path of the belt with every pulley as it stands, checked.

    Parameters
    ----------
    layout : Layout
        The pulleys.

    Returns
    -------
    BeltPath
        The path. [m], [rad]

    References
    ----------
    Plane geometry, see ``solve_path``.
    """
    return solve_path(layout.pulleys, layout.pitch_offset, layout.back_offset, layout.sense)


def path_at(layout: Layout, setting: float) -> BeltPath:
    """Path of the belt with the tensioner moved, checked.

    Parameters
    ----------
    layout : Layout
        The pulleys and their tensioner.
    setting : float
        Setting of the tensioner. [rad] of an arm, [m] of a slide

    Returns
    -------
    BeltPath
        The path. [m], [rad]

    References
    ----------
    Plane geometry, see ``solve_path``.
    """
    tensioner = layout.known_tensioner()
    k = layout.place_of(tensioner.pulley)
    old = layout.pulleys[k]
    x, y = tensioner.moved(old.x, old.y, np.asarray(setting, dtype=float))
    pulleys = (*layout.pulleys[:k], replace(old, x=float(x), y=float(y)), *layout.pulleys[k + 1 :])
    return solve_path(pulleys, layout.pitch_offset, layout.back_offset, layout.sense)


def paths(layout: Layout, name: str, diameter: ArrayLike, setting: ArrayLike) -> PathArrays:
    """Paths over diameters of one pulley and settings of the tensioner, any leading shape.

    The belt keeps the sense it has as the pulleys stand; nothing else is checked.

    Parameters
    ----------
    layout : Layout
        The pulleys.
    name : str
        The pulley that changes.
    diameter : array_like
        Its outside diameters. [m]
    setting : array_like
        Settings of the tensioner, 0 as it stands; only 0 where there is none. [rad] or [m]

    Returns
    -------
    PathArrays
        The paths. [m], [rad]

    References
    ----------
    Plane geometry, see ``path_arrays``.
    """
    sense = path_now(layout).sense
    d, z = np.broadcast_arrays(np.asarray(diameter, dtype=float), np.asarray(setting, dtype=float))
    shape = (*d.shape, len(layout.pulleys))
    x = np.broadcast_to([p.x for p in layout.pulleys], shape).copy()
    y = np.broadcast_to([p.y for p in layout.pulleys], shape).copy()
    offsets = (layout.pitch_offset, layout.back_offset)
    r = np.broadcast_to([p.pitch_radius(*offsets) for p in layout.pulleys], shape).copy()
    k = layout.place_of(name)
    r[..., k] += 0.5 * (d - layout.pulleys[k].diameter)
    if layout.tensioner is None:
        if np.any(z != 0.0):
            raise InputError(TENSIONER, None, "a tensioner; this belt has none that could move")
    else:
        t = layout.place_of(layout.tensioner.pulley)
        x[..., t], y[..., t] = layout.tensioner.moved(layout.pulleys[t].x, layout.pulleys[t].y, z)
    side = np.array([sense if p.face == "grooved" else -sense for p in layout.pulleys])
    return path_arrays(x, y, r, side)


def length_of(layout: Layout, setting: ArrayLike) -> Floats:
    """Length of the belt that fits a setting of the tensioner.

    Parameters
    ----------
    layout : Layout
        The pulleys and their tensioner.
    setting : array_like
        Settings, 0 as it stands. [rad] of an arm, [m] of a slide

    Returns
    -------
    ndarray
        Length at the pitch line. [m]

    References
    ----------
    Sum of tangent spans and arcs.

    Examples
    --------
    Two pulleys of 100 mm, moved from 200 to 250 mm apart: twice 50 mm more.

    >>> pair = (Pulley("crank", 0.0, 0.0, 0.1), Pulley("blower", 0.2, 0.0, 0.1))
    >>> slide = SlideTensioner("blower", 0.0, 0.0, 0.05)
    >>> layout = Layout(pair, 0.0, 0.0, slide)
    >>> round(float(np.diff(length_of(layout, [0.0, 0.05]))[0]), 9)
    0.1
    """
    crank = layout.pulleys[0]
    return paths(layout, crank.name, crank.diameter, setting).length


def length_with_pulley(layout: Layout, name: str, diameter: ArrayLike) -> Floats:
    """Length of the belt with another pulley, all centres as they stand.

    Parameters
    ----------
    layout : Layout
        The pulleys.
    name : str
        The pulley that changes.
    diameter : array_like
        Its outside diameters. [m]

    Returns
    -------
    ndarray
        Length at the pitch line. [m]

    References
    ----------
    Sum of tangent spans and arcs; its slope is half the wrap.

    Examples
    --------
    180 and 80 mm, 300 mm apart: closed form of the open belt.

    >>> pair = (Pulley("crank", 0.0, 0.0, 0.18), Pulley("blower", 0.3, 0.0, 0.1))
    >>> round(float(length_with_pulley(Layout(pair, 0.0, 0.0), "blower", 0.08)), 7)
    1.0167598
    """
    return paths(layout, name, diameter, 0.0).length
