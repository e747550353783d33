"""Path and length of a belt round its pulleys, with the sentence where there is none."""

from __future__ import annotations

from math import pi

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.drive.belt_checks import check_pulleys, path_fault
from engine_model.drive.belt_geometry import BeltPath, Pulley, path_arrays
from engine_model.errors import InputError

Floats = NDArray[np.float64]


def solve_path(
    pulleys: tuple[Pulley, ...], pitch_offset: float, back_offset: float, sense: int = 0
) -> BeltPath:
    """Path of a belt round pulleys that stand still, or the sentence why there is none.

    Parameters
    ----------
    pulleys : tuple of Pulley
        The pulleys in the belt's order of travel, the crank first.
    pitch_offset : float
        Height of the pitch line over a grooved pulley's outside. [m]
    back_offset : float
        Height of the pitch line over a pulley on the belt's back. [m]
    sense : int
        1 where the crank turns left (anticlockwise) as drawn, -1 where right; 0 finds the way
        that is open, and where both are (an idler near the line of its neighbours) takes the
        way round the polygon of the centres. [-]

    Returns
    -------
    BeltPath
        The path. [m], [rad]

    References
    ----------
    Plane geometry; the signed wraps of a closed belt add up to one turn.

    Examples
    --------
    >>> pair = (Pulley("crank", 0.0, 0.0, 0.18), Pulley("blower", 0.3, 0.0, 0.08))
    >>> round(float(np.degrees(solve_path(pair, 0.0, 0.0).wrap_of("blower"))), 5)
    160.81186
    """
    check_pulleys(pulleys)
    if sense not in (-1, 0, 1):
        raise InputError("drive.belt_sense", sense, "1 (left), -1 (right) or 0 (either)")
    if sense == 0:
        x, y = np.array([p.x for p in pulleys]), np.array([p.y for p in pulleys])
        likely = -1 if np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)) < 0.0 else 1
        senses: tuple[int, ...] = (likely, -likely)
    else:
        senses = (sense,)
    faults = []
    for one in senses:
        path, closes = _path(pulleys, pitch_offset, back_offset, one)
        fault = path_fault(path, closes)
        if fault is None:
            return path
        faults.append((not closes, fault))
    raise min(faults, key=lambda told: told[0])[1]


def _path(
    pulleys: tuple[Pulley, ...], pitch_offset: float, back_offset: float, sense: int
) -> tuple[BeltPath, bool]:
    """Path with the grooved pulleys turning left (1) or right (-1), and whether it closes."""
    centres = np.array([(p.x, p.y) for p in pulleys])
    r = np.array([p.pitch_radius(pitch_offset, back_offset) for p in pulleys])
    turns = sense * np.array([1.0 if p.face == "grooved" else -1.0 for p in pulleys])
    found = path_arrays(centres[:, 0], centres[:, 1], r, turns)
    angles = found.span_angles
    left = np.column_stack((-np.sin(angles), np.cos(angles)))
    rim = (turns * r)[:, None]
    path = BeltPath(
        tuple(p.name for p in pulleys),
        sense,
        centres,
        r,
        turns,
        found.wraps,
        found.span_lengths,
        angles,
        centres - rim * np.roll(left, 1, axis=0),
        centres - rim * left,
        float(found.length),
    )
    return path, bool(found.turns_closed == sense)


def effective_length(pitch_length: ArrayLike, pitch_offset: ArrayLike) -> Floats:
    """Effective length, which a ribbed belt is sold by.

    Parameters
    ----------
    pitch_length : array_like
        Length at the pitch line. [m]
    pitch_offset : array_like
        Height of the pitch line over the effective diameter. [m]

    Returns
    -------
    ndarray
        Effective length; it is the pitch line's less one turn of the offset. [m]

    References
    ----------
    ISO 9981 measures on two equal pulleys: twice the centre distance plus the effective
    circumference (from memory, sure).

    Examples
    --------
    >>> round(float(effective_length(1.2 + 2.0 * np.pi * 0.002, 0.002)), 9)
    1.2
    """
    return np.asarray(np.asarray(pitch_length) - 2.0 * pi * np.asarray(pitch_offset, dtype=float))


def pitch_length(effective_length: ArrayLike, pitch_offset: ArrayLike) -> Floats:
    """Length at the pitch line of a belt of an effective length.

    Parameters
    ----------
    effective_length : array_like
        Effective length. [m]
    pitch_offset : array_like
        Height of the pitch line over the effective diameter. [m]

    Returns
    -------
    ndarray
        Length at the pitch line. [m]

    References
    ----------
    The inverse of ``effective_length``, ISO 9981.

    Examples
    --------
    >>> round(float(pitch_length(1.2, 0.002)), 6)
    1.212566
    """
    return np.asarray(
        np.asarray(effective_length, dtype=float) + 2.0 * pi * np.asarray(pitch_offset)
    )
