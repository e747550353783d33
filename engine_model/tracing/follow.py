"""Curves of a trace that follow the ink: nodes and paths on the picture, ink on a straight one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.digitise.axes import Calibration
from engine_model.digitise.clean import Ink, prepare
from engine_model.digitise.ink import follow_curve, follow_segment
from engine_model.digitise.snap import snap_to_ink
from engine_model.digitise.straighten import Limits, Straightened, straighten
from engine_model.errors import InputError
from engine_model.tracing.document import calibration_of
from engine_model.tracing.edits import curve_at
from engine_model.tracing.paths import (
    Piece,
    cut_at_nodes,
    drawn,
    known_paths,
    stretch_ends,
    thinned_piece,
)
from engine_model.tracing.trace import Axes, Point, Trace, TracedCurve

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class PreparedPicture:
    """A picture made ready for the pen; make it with `prepare_picture`.

    Parameters
    ----------
    calibration : Calibration
        Of the picture as it was opened.
    ink : Ink
        What is printed, on the straightened picture.
    """

    calibration: Calibration
    ink: Ink

    @property
    def straight(self) -> Straightened:
        """The straightened picture."""
        return self.ink.straight

    def to_straight(self, places: ArrayLike) -> Floats:
        """Places on the straightened picture of places on the picture [pixel], shape (..., 2)."""
        return self.straight.to_pixels(self.calibration.to_values(places))

    def to_picture(self, places: ArrayLike) -> Floats:
        """Places on the picture of places on the straightened one [pixel], shape (..., 2)."""
        return self.calibration.to_pixels(self.straight.to_values(places))


def prepare_picture(
    rgb: NDArray[np.uint8], axes: Axes, limits: Limits | None = None
) -> PreparedPicture:
    """Picture made ready for the pen; takes up to 0.6 s.

    Parameters
    ----------
    rgb : ndarray of uint8, shape (height, width, 3)
        The picture as it was opened, at its working size.
    axes : Axes
        Its known points.
    limits : ((float, float), (float, float)), optional
        Flow [in the axes' unit] and pressure ratio [-] of the frame's sides, where the known
        points are not its corners.

    Returns
    -------
    PreparedPicture
        Straightened, freed of paper and grid.
    """
    calibration = calibration_of(axes)
    return PreparedPicture(calibration, prepare(straighten(rgb, calibration, limits)))


def snapped(prepared: PreparedPicture, place: Point) -> Point:
    """Place of the middle of the ink nearest to a place, both on the picture [pixel]."""
    straight = prepared.to_straight(place)
    if not np.all(np.isfinite(straight)):
        return place
    return _pairs(prepared.to_picture(snap_to_ink(prepared.ink, straight))[None, :])[0]


def follow_between(
    prepared: PreparedPicture,
    start: Point,
    end: Point,
    before: Point | None = None,
    after: Point | None = None,
    free: bool = False,
) -> Piece:
    """Path along the ink between two places, live while the pointer moves.

    Parameters
    ----------
    prepared : PreparedPicture
        The picture.
    start, end : (float, float)
        The places, on the picture. [pixel]
    before, after : (float, float), optional
        Nodes before and after them, which bend the way. [pixel]
    free : bool
        Whether it is drawn smoothly without following.

    Returns
    -------
    tuple of (float, float)
        Points of the path on the picture; the straight line where it cannot be followed. [pixel]
    """
    if max(abs(start[0] - end[0]), abs(start[1] - end[1])) < 1.0:
        return (start, end)

    def straight(place: Point | None) -> Floats | None:
        return None if place is None else prepared.to_straight(place)

    a, b = prepared.to_straight(start), prepared.to_straight(end)
    try:
        followed = follow_segment(prepared.ink, a, b, straight(before), straight(after), free)
    except InputError:
        return (start, end)  # places on one another or beyond the view, as the pointer wanders
    return _thinned(prepared.to_picture(followed.points))


def refollow(
    trace: Trace,
    index: int,
    prepared: PreparedPicture,
    stretches: Sequence[int] | None = None,
) -> Trace:
    """Trace with the path of a curve along the ink.

    Parameters
    ----------
    trace : Trace
        The trace.
    index : int
        Number of the curve.
    prepared : PreparedPicture
        The picture.
    stretches : sequence of int, optional
        Stretches to follow, the others keeping their path; all if not given, which sees the
        curve as a whole and is the surest.

    Returns
    -------
    Trace
        With the new path; a curve without nodes enough stays as it is.

    Raises
    ------
    InputError
        When nodes lie on one another or beyond the view.
    """
    curve = curve_at(trace, index)
    if not curve.whole or (stretches is not None and not stretches):
        return trace
    if stretches is None or len(set(stretches)) == curve.stretches or not curve.path:
        path, breaks = _whole(curve, prepared)
    else:
        path, breaks = _parts(curve, prepared, stretches)
    done = replace(curve, path=path, breaks=breaks)
    return replace(trace, curves=(*trace.curves[:index], done, *trace.curves[index + 1 :]))


def _whole(curve: TracedCurve, prepared: PreparedPicture) -> tuple[Piece, tuple[int, ...]]:
    clicks = prepared.to_straight([node.place for node in curve.nodes])
    free = [ends[2] for ends in stretch_ends(curve)]
    followed = follow_curve(prepared.ink, clicks, curve.closed, free)
    points = prepared.to_picture(followed.points)
    points = points[np.all(np.isfinite(points), axis=1)]
    return cut_at_nodes(points, curve.nodes, curve.closed)


def _parts(
    curve: TracedCurve, prepared: PreparedPicture, stretches: Sequence[int]
) -> tuple[Piece, tuple[int, ...]]:
    known, ends = known_paths(curve), stretch_ends(curve)
    count = len(curve.nodes)
    for stretch in sorted(set(stretches)):
        if not 0 <= stretch < curve.stretches:
            raise InputError("trace.stretch", stretch, f"0 to {curve.stretches - 1}")
        start, end, free = ends[stretch]
        inner = curve.closed and count > 3
        before = curve.nodes[stretch - 1].place if stretch > 0 or inner else None
        last = (stretch + 2) % count
        after = curve.nodes[last].place if stretch + 2 < count or inner else None
        known[start, end, free] = follow_between(prepared, start, end, before, after, free)
    return drawn(curve.nodes, curve.closed, known)


def _thinned(points: Floats) -> Piece:
    return thinned_piece(points[np.all(np.isfinite(points), axis=1)])


def _pairs(points: Floats) -> Piece:
    return tuple((float(x), float(y)) for x, y in np.round(points, 2).tolist())
