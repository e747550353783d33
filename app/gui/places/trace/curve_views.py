"""Curves and known points as the canvas shows them."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from app.gui.places.trace.points_desk import PointsDesk
from app.gui.places.trace.shapes import CurveView, KnownPoint, Mark
from app.gui.places.trace.stroke import Stroke
from app.present.trace_words import curve_title, value_text
from engine_model.tracing.trace import CurveKind, TracedCurve

Floats = NDArray[np.float64]
ToCanvas = Callable[[object], Floats]

STYLES: dict[CurveKind, str] = {
    "speed_line": "speed",
    "surge_line": "surge",
    "choke_line": "choke",
    "island": "island",
}
"""How the canvas draws each kind."""


def traced_view(
    curve: TracedCurve, number: int, to_canvas: ToCanvas, chosen: bool, marks: Sequence[Mark]
) -> CurveView:
    """Return a curve of the trace as the canvas shows it."""
    nodes = to_canvas([node.place for node in curve.nodes])
    free = [node.free for node in curve.nodes]
    return CurveView(
        number,
        STYLES[curve.kind],
        value_text(curve.kind, curve.value) or curve_title(curve.kind, curve.value),
        to_canvas(curve.path) if curve.path else nodes,
        nodes,
        (*free[1:], *free[:1]) if curve.closed else tuple(free[1:]),
        curve.closed,
        chosen,
        tuple(marks),
    )


def stroke_view(stroke: Stroke, number: int, to_canvas: ToCanvas) -> CurveView:
    """Return the curve in the making as the canvas shows it."""
    nodes = to_canvas([node.place for node in stroke.nodes])
    path = to_canvas(stroke.path) if stroke.path else nodes
    label = value_text(stroke.kind, stroke.value)
    free = tuple(node.free for node in stroke.nodes[1:])
    return CurveView(number, STYLES[stroke.kind], label, path, nodes, free, selected=True)


def known_points(points: PointsDesk) -> list[KnownPoint]:
    """Return the known points that are marked, the check point last."""
    shown = []
    for number, point in enumerate(points.points):
        if point.place is not None:
            state = "clear" if point.is_whole else "blank"
            shown.append(KnownPoint(*point.place, str(number + 1), state))
    if points.check.place is not None:
        shown.append(KnownPoint(*points.check.place, "check", "close"))
    return shown
