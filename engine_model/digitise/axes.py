"""Axes of a pictured compressor map: known points tie pixels to flow and pressure ratio.

Pixels count from the centre of the top left one, x to the right and y down.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import combinations
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.errors import InputError

Floats = NDArray[np.float64]
Point = tuple[float, float]
Matrix = tuple[tuple[float, float, float], ...]

LEAST_AREA = 0.004
"""Least triangle of three of four points, as a share of the box around them [-]; chosen here."""

_MOST_POINTS = 24
_PIXEL_FIELD, _VALUE_FIELD = "trace.corners_px", "trace.corners"


@dataclass(frozen=True, slots=True)
class CheckPoint:
    """How far a known point lies from where the calibration puts it.

    Parameters
    ----------
    flow_error : float
        Flow read off less flow known, in the unit of the calibration. [any]
    pressure_ratio_error : float
        Pressure ratio read off less pressure ratio known. [-]
    flow_percent, pressure_ratio_percent : float
        The same in per cent of the span of the calibration's points. [%]
    """

    flow_error: float
    pressure_ratio_error: float
    flow_percent: float
    pressure_ratio_percent: float

    @property
    def worst_percent(self) -> float:
        """Larger of the two errors in per cent of span, without sign [%]."""
        return max(abs(self.flow_percent), abs(self.pressure_ratio_percent))


@dataclass(frozen=True, slots=True)
class Calibration:
    """Homography between a picture and the values it shows, from four or more known points.

    Parameters
    ----------
    pixels : sequence of (float, float)
        Places of the points on the picture. [pixel]
    values : sequence of (float, float)
        Flow, in whatever unit the axis has, and pressure ratio [-] at each, in the same order.

    Raises
    ------
    InputError
        For fewer than four points, for points that are not finite, lie on a line or on one
        another, or are given crossed or mirrored.

    Notes
    -----
    Exact for four points, least squares in pixels for more (normalised direct linear
    transform). Any four points serve, corners of the frame or not; both axes are linear.

    References
    ----------
    Hartley and Zisserman, Multiple View Geometry in Computer Vision, 2nd ed., algorithm 4.2
    (from memory).
    """

    pixels: tuple[Point, ...]
    values: tuple[Point, ...]
    values_to_pixels: Matrix = field(init=False, compare=False, repr=False)
    """Matrix from values to pixels, homogeneous."""

    def __post_init__(self) -> None:
        pixels = _checked(self.pixels, _PIXEL_FIELD)
        values = _checked(self.values, _VALUE_FIELD)
        if len(pixels) != len(values):
            given = f"{len(pixels)} places and {len(values)} values"
            raise InputError(_VALUE_FIELD, given, "one pair of values for each place")
        _refuse_degenerate(pixels, _PIXEL_FIELD, "on the picture")
        _refuse_degenerate(values, _VALUE_FIELD, "in flow and pressure ratio")
        _refuse_crossed(pixels, values)
        matrix = _direct_linear_transform(values, pixels)
        for name, table in (("pixels", pixels), ("values", values), ("values_to_pixels", matrix)):
            object.__setattr__(self, name, tuple(tuple(map(float, row)) for row in table))
        if not np.all(np.isfinite(self.to_values(pixels))):
            raise InputError(_PIXEL_FIELD, self.pixels, "points seen from one side of the print")

    def to_pixels(self, values: ArrayLike) -> Floats:
        """Places of values.

        Parameters
        ----------
        values : array_like, shape (..., 2)
            Flow [any] and pressure ratio [-].

        Returns
        -------
        ndarray, shape (..., 2)
            Places [pixel]; nan where the view does not reach.
        """
        return _project(np.array(self.values_to_pixels), values)

    def to_values(self, pixels: ArrayLike) -> Floats:
        """Values at places of the picture.

        Parameters
        ----------
        pixels : array_like, shape (..., 2)
            Places. [pixel]

        Returns
        -------
        ndarray, shape (..., 2)
            Flow [any] and pressure ratio [-]; nan beyond the horizon of the view.
        """
        return _project(np.linalg.inv(np.array(self.values_to_pixels)), pixels)

    @property
    def limits(self) -> tuple[Point, Point]:
        """Lowest and highest flow [any], lowest and highest pressure ratio [-] of the points."""
        low, high = np.min(self.values, axis=0), np.max(self.values, axis=0)
        return (float(low[0]), float(high[0])), (float(low[1]), float(high[1]))

    def check(self, pixel: ArrayLike, value: ArrayLike) -> CheckPoint:
        """Error at one more known point.

        Parameters
        ----------
        pixel : array_like, shape (2,)
            Its place. [pixel]
        value : array_like, shape (2,)
            Its flow [any] and pressure ratio [-].

        Returns
        -------
        CheckPoint
            The error in the axes' units and in per cent of span.
        """
        place = np.asarray(pixel, dtype=float).reshape(2)
        known = np.asarray(value, dtype=float).reshape(2)
        if not (np.all(np.isfinite(place)) and np.all(np.isfinite(known))):
            given = [*place.tolist(), *known.tolist()]
            raise InputError("trace.check_point", given, "finite places and values")
        error = self.to_values(place) - known
        share = 100.0 * error / np.ptp(np.array(self.values), axis=0)
        return CheckPoint(float(error[0]), float(error[1]), float(share[0]), float(share[1]))

    def residuals(self) -> tuple[CheckPoint, ...]:
        """Error at each of the calibration's own points, nothing where there are four."""
        return tuple(self.check(p, v) for p, v in zip(self.pixels, self.values, strict=True))


def _checked(points: Any, where: str) -> Floats:
    try:
        table = np.array(points, dtype=float)
    except (TypeError, ValueError) as fault:
        raise InputError(where, points, "pairs of numbers") from fault
    if table.ndim != 2 or table.shape[1] != 2 or not 4 <= len(table) <= _MOST_POINTS:
        raise InputError(where, points, f"four to {_MOST_POINTS} pairs of numbers")
    if not np.all(np.isfinite(table)):
        raise InputError(where, points, "finite numbers")
    return table


def _areas(points: Floats) -> Floats:
    """Signed area of every triangle of three points, as a share of the box around all."""
    span = np.ptp(points, axis=0)
    scaled = (points - points.min(axis=0)) / np.where(span > 0.0, span, 1.0)
    first, second, third = (scaled[list(row)] for row in zip(*_triples(len(points)), strict=True))
    a, b = second - first, third - first
    return np.asarray(0.5 * (a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]))


def _triples(count: int) -> Sequence[tuple[int, ...]]:
    return list(combinations(range(count), 3))


def _refuse_degenerate(points: Floats, where: str, place: str) -> None:
    """Four of the points must make a true quadrangle: no three of them on a line."""
    large = dict(zip(_triples(len(points)), np.abs(_areas(points)) >= LEAST_AREA, strict=True))
    for four in combinations(range(len(points)), 4):
        if all(large[three] for three in combinations(four, 3)):
            return
    given = [tuple(round(float(x), 4) for x in point) for point in points]
    allowed = f"four points of which no three lie on a line or on one another {place}"
    raise InputError(where, given, allowed)


def _refuse_crossed(pixels: Floats, values: Floats) -> None:
    """Every triangle must turn the same way on the picture as in the values."""
    seen, meant = _areas(pixels * np.array([1.0, -1.0])), _areas(values)
    judged = (np.abs(seen) >= LEAST_AREA) & (np.abs(meant) >= LEAST_AREA)
    if np.any(judged & (seen * meant < 0.0)):
        given = [tuple(round(float(x), 2) for x in point) for point in pixels]
        allowed = "points in the order of their values, neither crossed nor mirrored"
        raise InputError(_PIXEL_FIELD, given, allowed)


def _normalised(points: Floats) -> tuple[Floats, Floats]:
    """Points moved to their mean and scaled per axis, and the matrix that does it."""
    mean, spread = points.mean(axis=0), points.std(axis=0) + 1e-300
    matrix = np.array(
        [
            [1.0 / spread[0], 0.0, -mean[0] / spread[0]],
            [0.0, 1.0 / spread[1], -mean[1] / spread[1]],
            [0.0, 0.0, 1.0],
        ]
    )
    return (points - mean) / spread, matrix


def _direct_linear_transform(old: Floats, new: Floats) -> Floats:
    (a, from_old), (b, from_new) = _normalised(old), _normalised(new)
    x, y, one, zero = a[:, 0], a[:, 1], np.ones(len(a)), np.zeros(len(a))
    u, v = b[:, 0], b[:, 1]
    rows = np.vstack(
        [
            np.column_stack([x, y, one, zero, zero, zero, -u * x, -u * y, -u]),
            np.column_stack([zero, zero, zero, x, y, one, -v * x, -v * y, -v]),
        ]
    )
    inner = np.linalg.svd(rows)[2][-1].reshape(3, 3)
    matrix = np.linalg.inv(from_new) @ inner @ from_old
    middle = matrix[2] @ np.append(old.mean(axis=0), 1.0)
    return np.asarray(matrix / middle)


def _project(matrix: Floats, points: ArrayLike) -> Floats:
    table = np.asarray(points, dtype=float)
    moved = table @ matrix[:, :2].T + matrix[:, 2]
    depth = moved[..., 2:]
    # both matrices are scaled so that depth is positive on the side the points are seen from
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(np.where(depth > 0.0, moved[..., :2] / depth, np.nan))
