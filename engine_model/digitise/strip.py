"""Strips of a picture along a guide: places along it and across it, and ink read there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engine_model.digitise.clean import Ink, Singles

Floats = NDArray[np.float64]

_ALIKE = 1.25  # times the ink of a curve that still counts as that curve's
_HEAVY = 1.5  # times the weight of a curve's line that still counts as that line
_AGAINST = 1.0  # how much either counts against a place
_STRANGE = 1.5  # how much another colour does


@dataclass(frozen=True, slots=True, eq=False)
class Guide:
    """A line through clicks, with its normals.

    Parameters
    ----------
    points : ndarray, shape (n, 2)
        Places evenly along it. [pixel]
    normals : ndarray, shape (n, 2)
        Unit vectors across it. [-]
    """

    points: Floats
    normals: Floats

    def at(self, offset: Floats) -> Floats:
        """Places [pixel] at an offset [pixel] across each point."""
        return self.points + self.normals * offset[:, None]


def lengths(points: Floats) -> Floats:
    """Length along a line from its start to each of its points, shape (n,) [pixel]."""
    steps = np.diff(points, axis=0)
    return np.concatenate([[0.0], np.cumsum(np.hypot(steps[:, 0], steps[:, 1]))])


def evenly(points: Floats, step: float) -> Floats:
    """Points about a step [pixel] apart along a line, its ends among them, shape (n, 2)."""
    length = lengths(points)
    count = max(2, round(float(length[-1]) / step) + 1)
    place = np.linspace(0.0, length[-1], count)
    return np.column_stack([np.interp(place, length, column) for column in points.T])


def guide_of(points: Floats, closed: bool = False) -> Guide:
    """Guide of points along a smooth line.

    Parameters
    ----------
    points : ndarray, shape (n, 2)
        Evenly along it. [pixel]
    closed : bool
        Whether the last is followed by the first.

    Returns
    -------
    Guide
        With normals from the points' neighbours.
    """
    if closed:
        along = np.roll(points, -1, axis=0) - np.roll(points, 1, axis=0)
    else:
        along = np.gradient(points, axis=0)
    size = np.hypot(along[:, 0], along[:, 1])
    along = along / np.maximum(size, 1e-9)[:, None]
    return Guide(points, np.column_stack([-along[:, 1], along[:, 0]]))


def through(clicks: Floats, closed: bool) -> tuple[Floats, Floats]:
    """Smooth line through clicks.

    Parameters
    ----------
    clicks : ndarray, shape (k, 2)
        At least two. [pixel]
    closed : bool
        Whether it returns to the first.

    Returns
    -------
    points : ndarray, shape (n, 2)
        Fine points of the line. [pixel]
    place : ndarray, shape (k or k + 1,)
        Length along the line at each click, and at the first again where closed. [pixel]
    """
    from scipy.interpolate import CubicSpline

    knots = np.vstack([clicks, clicks[:1]]) if closed else clicks
    steps = np.diff(knots, axis=0)
    chord = np.maximum(np.hypot(steps[:, 0], steps[:, 1]), 1e-3)
    # centripetal: no loops between clicks at uneven distances
    parameter = np.concatenate([[0.0], np.cumsum(np.sqrt(chord))])
    if len(knots) == 2:
        return evenly(knots, 1.0), np.array([0.0, chord[0]])
    spline = CubicSpline(parameter, knots, bc_type="periodic" if closed else "natural")
    pieces = [
        np.linspace(a, b, max(8, int(length / 2.0)), endpoint=False)
        for a, b, length in zip(parameter[:-1], parameter[1:], chord, strict=True)
    ]
    points = np.vstack([spline(np.concatenate(pieces)), knots[-1:]])
    at_click = np.cumsum([0] + [len(piece) for piece in pieces])
    return points, lengths(points)[at_click]


def pixels_near(shape: tuple[int, int], x: Floats, y: Floats) -> NDArray[np.intp]:
    """Pixels, counted row by row, nearest to places [pixel]; those of the border outside."""
    height, width = shape
    column = np.rint(x).astype(np.intp)
    row = np.rint(y).astype(np.intp)
    np.clip(column, 0, width - 1, out=column)
    np.clip(row, 0, height - 1, out=row)
    return np.asarray(row * width + column)


def between(table: Singles, x: Floats, y: Floats) -> Singles:
    """Rows of a picture's table read bilinearly at places [pixel]."""
    height, width = table.shape[:2]
    x, y = np.clip(x, 0.0, width - 1.001), np.clip(y, 0.0, height - 1.001)
    column, row = x.astype(np.intp), y.astype(np.intp)
    right = (x - column).astype(np.float32)
    down = (y - row).astype(np.float32)
    flat = table.reshape(height * width, -1)
    start = row * width + column
    upper, lower = flat[start], flat[start + width]
    upper += (flat[start + 1] - upper) * right[..., None]
    lower += (flat[start + width + 1] - lower) * right[..., None]
    return np.asarray(upper + (lower - upper) * down[..., None])


def likeness(layers: Singles, reference: Singles) -> Singles:
    """How much of a curve's ink lies at each place.

    Parameters
    ----------
    layers : ndarray, shape (..., 4)
        Ink read off the picture: colour and weight. [-]
    reference : ndarray, shape (4,)
        The same in the middle of the curve's line. [-]

    Returns
    -------
    ndarray, shape (...)
        0 for paper, ink of another colour or a much heavier line, 1 for the curve's. [-] 0-1
    """
    colour, own = layers[..., :3], reference[:3]
    size = float(own @ own)
    share = colour @ (own / size)
    total = np.einsum("...i,...i->...", colour, colour)
    strange = np.sqrt(np.maximum(total / size - share * share, 0.0))
    heavy = layers[..., 3] * (1.0 / float(reference[3])) - _HEAVY
    against = np.maximum(share - _ALIKE, 0.0) + np.clip(heavy, 0.0, 1.0)
    found = np.minimum(share, 1.0) - _AGAINST * against - _STRANGE * strange
    return np.asarray(np.clip(found, 0.0, 1.0), dtype=np.float32)


def ink_at(ink: Ink, places: Floats, reach: float) -> Singles:
    """Ink of the line nearest to each place.

    Parameters
    ----------
    ink : Ink
        The prepared picture.
    places : ndarray, shape (n, 2)
        On or near a curve. [pixel]
    reach : float
        How far to look. [pixel]

    Returns
    -------
    ndarray, shape (m, 4)
        Colour and weight at the strongest nearby pixel of each place that has any. [-]
    """
    side = np.arange(-np.ceil(reach), np.ceil(reach) + 1.0)
    across, down = np.tile(side, side.size), np.repeat(side, side.size)
    x, y = places[:, :1] + across, places[:, 1:] + down
    layers = ink.layers.reshape(-1, 4)[pixels_near(ink.shape, x, y)]
    strength = np.sqrt(np.sum(layers[..., :3] ** 2, axis=-1))
    near = np.exp(-(across**2 + down**2) / (2.0 * (reach / 2.0) ** 2))
    best = np.argmax(strength * near, axis=1)
    rows = np.arange(len(places))
    kept = strength[rows, best] > max(0.06, 5.0 * ink.noise)
    return np.asarray(layers[rows, best][kept], dtype=np.float32)
