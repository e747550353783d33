"""Same belt? Where the tensioner goes with another pulley, and the next length on the shelf."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.drive.belt_layout import Layout, length_with_pulley, path_now, paths
from engine_model.errors import InputError
from engine_model.roots import bracketed_roots

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]
Flags = NDArray[np.bool_]

LENGTH_TOLERANCE = 1e-10
"""How closely a setting meets a length [m]."""

TRAVEL_POINTS = 33
"""Settings at which the length is asked to rise or to fall all along the travel [-]."""


@dataclass(frozen=True, slots=True, eq=False)
class _Lengths:
    """Length over the settings, less the belt's, one equation a point."""

    layout: Layout
    name: str
    diameter: Floats
    length: Floats

    def residual(self, x: Floats) -> Floats:
        return np.asarray(paths(self.layout, self.name, self.diameter, x).length - self.length)

    def only(self, index: Indices) -> Self:
        return type(self)(self.layout, self.name, self.diameter[index], self.length[index])


def settings_for_belt(layout: Layout, name: str, diameter: ArrayLike, length: ArrayLike) -> Floats:
    """Settings at which the tensioner takes up a belt, over diameters of one pulley.

    Parameters
    ----------
    layout : Layout
        The pulleys and their tensioner.
    name : str
        The pulley that changes.
    diameter : array_like
        Its outside diameters. [m]
    length : array_like
        Lengths of the belt at its pitch line. [m]

    Returns
    -------
    ndarray
        Settings [rad] of an arm, [m] of a slide; nan where the travel does not reach, the
        length turns round within it, or the belt would leave a pulley.

    References
    ----------
    Root of the length over the setting, which has one where the length is monotone.

    Examples
    --------
    >>> from engine_model.drive.belt_layout import Pulley, SlideTensioner
    >>> pair = (Pulley("crank", 0.0, 0.0, 0.1), Pulley("blower", 0.2, 0.0, 0.1))
    >>> layout = Layout(pair, 0.0, 0.0, SlideTensioner("blower", 0.0, -0.01, 0.05))
    >>> belt = 2.0 * 0.23 + np.pi * 0.1
    >>> settings_for_belt(layout, "blower", [0.1, 0.01], belt)
    array([0.03,  nan])
    """
    d, wanted = np.broadcast_arrays(
        np.asarray(diameter, dtype=float), np.asarray(length, dtype=float)
    )
    shape = d.shape
    d, wanted = d.ravel(), wanted.ravel()
    travel, lengths = _touching(layout, name, d)
    first, last, monotone = _ends(lengths)
    point = np.arange(d.size)
    f_first, f_last = lengths[first, point] - wanted, lengths[last, point] - wanted
    at = np.flatnonzero(monotone & (f_first * f_last <= 0.0))
    settings = np.full(d.size, np.nan)
    if at.size:
        equations = _Lengths(layout, name, d[at], wanted[at])
        low, high = travel[first[at]], travel[last[at]]
        found = bracketed_roots(equations, low, high, f_first[at], f_last[at], LENGTH_TOLERANCE)
        settings[at] = found.x
    return settings.reshape(shape)


def _touching(layout: Layout, name: str, diameter: Floats) -> tuple[Floats, Floats]:
    """Settings along the travel, and lengths there (rows) by pulley, nan off any pulley."""
    tensioner = layout.known_tensioner()
    travel = np.linspace(tensioner.low, tensioner.high, TRAVEL_POINTS)
    found = paths(layout, name, diameter, travel[:, None])
    sense = path_now(layout).sense
    touches = np.all(found.wraps > 0.0, axis=-1) & (found.turns_closed == sense)
    return travel, np.where(touches, found.length, np.nan)


def _ends(lengths: Floats) -> tuple[Indices, Indices, Flags]:
    """First and last row that is not nan, and whether all between rise or all fall."""
    there = ~np.isnan(lengths)
    first = np.argmax(there, axis=0)
    last = TRAVEL_POINTS - 1 - np.argmax(there[::-1], axis=0)
    count = np.count_nonzero(there, axis=0)
    steps = np.diff(lengths, axis=0)
    rising, falling = np.count_nonzero(steps > 0.0, axis=0), np.count_nonzero(steps < 0.0, axis=0)
    whole = (count == last - first + 1) & (count > 1)
    return first, last, whole & ((rising == count - 1) | (falling == count - 1))


def travel_lengths(layout: Layout) -> tuple[float, float]:
    """Shortest and longest belt the tensioner's travel takes up.

    Parameters
    ----------
    layout : Layout
        The pulleys and their tensioner.

    Returns
    -------
    tuple of float
        Lengths at the pitch line. [m]

    References
    ----------
    Sum of tangent spans and arcs at both ends of the travel, or where the belt still touches.
    """
    shortest, longest = np.sort(_end_lengths(layout))
    return float(shortest), float(longest)


def _end_lengths(layout: Layout) -> Floats:
    """Lengths at the low and the high end of the travel on which the belt touches all."""
    crank = layout.pulleys[0]
    travel, lengths = _touching(layout, crank.name, np.array([crank.diameter]))
    first, last, monotone = _ends(lengths)
    if not monotone[0]:
        given = f"{travel[0]:g} to {travel[-1]:g}"
        allowed = (
            "a travel along which the belt touches every pulley and its path only lengthens or "
            "only shortens"
        )
        raise InputError("drive.belt_tensioner.travel", given, allowed)
    return lengths[[first[0], last[0]], 0]


def tensioner_for_length(layout: Layout, length: float) -> float:
    """Setting at which the tensioner takes up a belt, or the sentence why it cannot.

    Parameters
    ----------
    layout : Layout
        The pulleys and their tensioner.
    length : float
        Length of the belt at its pitch line. [m]

    Returns
    -------
    float
        Setting, 0 as it stands. [rad] of an arm, [m] of a slide

    References
    ----------
    See ``settings_for_belt``.
    """
    shortest, longest = travel_lengths(layout)
    if not shortest <= length <= longest:
        allowed = f"{shortest:.4f} to {longest:.4f} m, which the tensioner's travel takes up"
        raise InputError("drive.belt_length", length, allowed)
    crank = layout.pulleys[0]
    return float(settings_for_belt(layout, crank.name, crank.diameter, length))


def travel_used(layout: Layout, setting: ArrayLike) -> Floats:
    """Share of the tensioner's travel used to take up slack.

    Parameters
    ----------
    layout : Layout
        The pulleys and their tensioner.
    setting : array_like
        Settings. [rad] of an arm, [m] of a slide

    Returns
    -------
    ndarray
        0 where the belt's path is shortest, 1 where it is longest and no take-up is left. [-]

    References
    ----------
    Definition.
    """
    tensioner = layout.known_tensioner()
    ends = _end_lengths(layout)
    share = (np.asarray(setting, dtype=float) - tensioner.low) / (tensioner.high - tensioner.low)
    return np.asarray(share if ends[1] > ends[0] else 1.0 - share)


def next_length(wanted: float, shelf: ArrayLike, shortest: float, longest: float) -> float:
    """Length on a shelf nearest to the one wanted, among those the travel takes up.

    Parameters
    ----------
    wanted : float
        Length wanted. [m]
    shelf : array_like
        Lengths on the shelf, in the same system (all pitch or all effective). [m]
    shortest, longest : float
        Lengths the travel takes up. [m]

    Returns
    -------
    float
        The length [m]; nan where none on the shelf will do.

    References
    ----------
    Definition; of two equally near the shorter one.

    Examples
    --------
    >>> next_length(1.213, [1.19, 1.20, 1.21, 1.22], 1.195, 1.205)
    1.2
    """
    lengths = np.sort(np.asarray(shelf, dtype=float).ravel())
    lengths = lengths[(lengths >= shortest) & (lengths <= longest)]
    if lengths.size == 0:
        return float("nan")
    return float(lengths[np.argmin(np.abs(lengths - wanted))])


@dataclass(frozen=True, slots=True)
class BeltChange:
    """What another pulley asks of the belt.

    Parameters
    ----------
    length_now : float
        Length of the belt at its pitch line. [m]
    change : float
        Change of the path's length with all centres as they stand. [m]
    setting : float
        Where the tensioner goes with the same belt; nan out of its travel. [rad] or [m]
    used_now, used : float
        Share of the travel used, now and with the same belt; ``used`` nan out of travel. [-]
    fits : bool
        Whether the same belt still fits.
    wanted : float
        Length that would leave the tensioner where it stands. [m]
    next_length : float
        Pitch length on the shelf nearest to it; nan where none will do. [m]
    """

    length_now: float
    change: float
    setting: float
    used_now: float
    used: float
    fits: bool
    wanted: float
    next_length: float


def same_belt(layout: Layout, name: str, diameter: float, shelf: ArrayLike) -> BeltChange:
    """Whether the belt of a drive still fits with another pulley.

    Parameters
    ----------
    layout : Layout
        The pulleys with the belt on, as they stand.
    name : str
        The pulley that changes.
    diameter : float
        Its new outside diameter. [m]
    shelf : array_like
        Pitch lengths on the shelf; may be empty. [m]

    Returns
    -------
    BeltChange
        Lengths [m], tensioner and travel.

    References
    ----------
    See ``length_with_pulley`` and ``settings_for_belt``.

    Examples
    --------
    >>> from engine_model.drive.belt_layout import Pulley, SlideTensioner
    >>> pair = (Pulley("crank", 0.0, 0.0, 0.18), Pulley("blower", 0.3, 0.0, 0.084))
    >>> layout = Layout(pair, 0.002, 0.001, SlideTensioner("blower", 0.0, -0.01, 0.01))
    >>> round(1e3 * same_belt(layout, "blower", 0.078, []).change, 1)
    -8.4
    """
    now = path_now(layout).length
    other = layout.with_diameter(name, diameter)
    path_now(other)  # a pulley that runs into its neighbour is told
    change = float(length_with_pulley(layout, name, diameter)) - now
    shortest, longest = travel_lengths(other)
    setting = float(settings_for_belt(layout, name, diameter, now))
    return BeltChange(
        now,
        change,
        setting,
        float(travel_used(layout, 0.0)),
        float(travel_used(other, setting)),
        bool(np.isfinite(setting)),
        now + change,
        next_length(now + change, shelf, shortest, longest),
    )
