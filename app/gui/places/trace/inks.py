"""How curves, nodes, marks and known points are drawn over a picture, in widget pixels."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from app.chart_tools.canvas import pen, polygon
from app.chart_tools.palette import Palette
from app.chart_tools.parts import draw_dial, hatch_strokes
from app.chart_tools.strokes import Drawn, Stroke
from app.gui.places.trace.shapes import CurveView, KnownPoint, node_places
from app.gui.places.trace.view import View

Floats = NDArray[np.float64]
Pieces = list[tuple[Floats, bool]]

WIDTHS = {"speed": 1.8, "surge": 2.8, "choke": 2.8, "island": 1.2}
"""Of a curve's stroke by kind; the chosen curve is thicker by ``CHOSEN``."""

CHOSEN = 1.2
CASING, CASING_ALPHA = 1.2, 165
"""How far the pale casing of a curve reaches on each side, and how much it covers, of 255."""

FREE_DASHES = (9.0, 4.0)
"""Dashes of a stretch that was drawn free."""

OVERLAY_DASHES = {"speed": (7.0, 5.0), "surge": (12.0, 5.0), "choke": (12.0, 5.0),
                  "island": (3.5, 3.5)}  # fmt: skip
"""Dashes of predicted curves by style."""

OVERLAY_WIDTH = 1.6
HATCH_DEPTH, HATCH_STEP = 8.0, 9.0
NODE, SMALL_NODE = 4.5, 2.2
"""Radii of a node of the chosen curve and of the others."""

TOLERANCE = 0.3
"""How far a drawn polyline may stray from its points, in widget pixels."""

MARK_REACH = 15.0
"""How far up and to the right of its spot a mark's sign stands."""


def curve_colour(kind: str, palette: Palette) -> str:
    """Colour of a kind of curve."""
    return {"speed": palette.second, "island": palette.target}.get(kind, palette.limit)


def visible_runs(points: Floats, bounds: QRectF) -> list[Floats]:
    """Pieces of a polyline that come near bounds, thinned where it is straight."""
    if len(points) < 2:
        return []
    before, after = points[:-1], points[1:]
    low, high = np.minimum(before, after), np.maximum(before, after)
    margin = 8.0
    with np.errstate(invalid="ignore"):
        seen = (
            (high[:, 0] >= bounds.left() - margin)
            & (low[:, 0] <= bounds.right() + margin)
            & (high[:, 1] >= bounds.top() - margin)
            & (low[:, 1] <= bounds.bottom() + margin)
        )
    edges = np.flatnonzero(np.diff(np.concatenate([[False], seen, [False]]))).reshape(-1, 2)
    runs = []
    for start, stop in edges:
        line = shapely.linestrings(points[start : stop + 1])
        thin = shapely.simplify(line, TOLERANCE, preserve_topology=False)
        runs.append(shapely.get_coordinates(thin))
    return runs


def _stretches(curve: CurveView, points: Floats) -> Pieces:
    """Path of a curve cut where it changes between followed and free."""
    if not any(curve.free):
        return [(points, False)]
    places = node_places(curve)
    pieces: Pieces = []
    for k, (start, stop) in enumerate(pairwise(places)):
        free = k < len(curve.free) and curve.free[k]
        pieces.append((points[start : stop + 1], free))
    return pieces


def pieces_of(curve: CurveView, view: View, bounds: QRectF) -> Pieces:
    """Visible pieces of a curve in widget pixels, each with whether it was drawn free."""
    return [
        (run, free)
        for stretch, free in _stretches(curve, view.place(curve.path))
        for run in visible_runs(stretch, bounds)
    ]


def curve_width(curve: CurveView) -> float:
    """Width of a curve's stroke."""
    return WIDTHS[curve.kind] + (CHOSEN if curve.selected else 0.0)


def draw_resting(
    painter: QPainter, curves: Sequence[tuple[CurveView, Pieces]], bounds: QRectF, palette: Palette
) -> None:
    """Draw many curves on a layer that is empty yet: all casings, then all strokes."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    for curve, pieces in curves:
        casing = Stroke(palette.canvas, curve_width(curve) + 2.0 * CASING)
        for run, _ in pieces:
            Drawn(run[:, 0], run[:, 1], casing).draw(painter)
    thin_out(painter, bounds)
    for curve, pieces in curves:
        _draw_stroke(painter, curve, pieces, palette)


def thin_out(painter: QPainter, bounds: QRectF) -> None:
    """Let the picture through the casings drawn so far: opaque lines are drawn much faster."""
    painter.setCompositionMode(QPainter.CompositionMode.CompositionMode_DestinationIn)
    painter.fillRect(bounds, QColor(0, 0, 0, CASING_ALPHA))
    painter.setCompositionMode(QPainter.CompositionMode.CompositionMode_SourceOver)


def draw_moving(painter: QPainter, curve: CurveView, pieces: Pieces, palette: Palette) -> None:
    """Draw one curve over all else."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(pen(palette.canvas, curve_width(curve) + 2.0 * CASING, alpha=CASING_ALPHA))
    for run, _ in pieces:
        painter.drawPolyline(polygon(run[:, 0], run[:, 1]))
    _draw_stroke(painter, curve, pieces, palette)


def draw_plain(
    painter: QPainter, curve: CurveView, view: View, bounds: QRectF, palette: Palette
) -> None:
    """Draw a curve as a thin line: inside the loupe."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(pen(curve_colour(curve.kind, palette), 1.2))
    for run in visible_runs(view.place(curve.path), bounds):
        painter.drawPolyline(polygon(run[:, 0], run[:, 1]))


def _draw_stroke(painter: QPainter, curve: CurveView, pieces: Pieces, palette: Palette) -> None:
    if curve.kind in ("surge", "choke"):
        _draw_hatch(painter, curve, pieces, palette)
    colour, width = curve_colour(curve.kind, palette), curve_width(curve)
    for run, free in pieces:
        stroke = Stroke(colour, width, FREE_DASHES if free else ())
        Drawn(run[:, 0], run[:, 1], stroke).draw(painter)


def _draw_hatch(painter: QPainter, curve: CurveView, pieces: Pieces, palette: Palette) -> None:
    """Strokes to the left of a surge line and to the right of a choke line."""
    finite = curve.path[np.isfinite(curve.path).all(axis=1)]
    if len(finite) < 2:
        return
    rises = finite[-1, 1] < finite[0, 1]  # up the screen
    side = -1.0 if rises == (curve.kind == "surge") else 1.0
    painter.setPen(pen(palette.limit, 1.2, alpha=190))
    for run, _ in pieces:
        painter.drawLines(hatch_strokes(run[:, 0], run[:, 1], side, HATCH_DEPTH, HATCH_STEP))


def draw_glow(
    painter: QPainter, curve: CurveView, view: View, bounds: QRectF, palette: Palette
) -> None:
    """Wide pale stroke under the pointer's curve."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    width = WIDTHS[curve.kind] + CHOSEN + 6.0
    painter.setPen(pen(curve_colour(curve.kind, palette), width, alpha=70))
    for run in visible_runs(view.place(curve.path), bounds):
        painter.drawPolyline(polygon(run[:, 0], run[:, 1]))


def draw_overlay(
    painter: QPainter,
    lines: Iterable[tuple[Floats, str]],
    view: View,
    bounds: QRectF,
    palette: Palette,
) -> None:
    """Draw predicted curves on an empty layer: thin, dashed, in a colour of their own."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    runs = [(run, style) for p, style in lines for run in visible_runs(view.place(p), bounds)]
    for run, _ in runs:
        Drawn(run[:, 0], run[:, 1], Stroke(palette.canvas, OVERLAY_WIDTH + 2.0)).draw(painter)
    thin_out(painter, bounds)
    for run, style in runs:
        stroke = Stroke(palette.clear, OVERLAY_WIDTH, OVERLAY_DASHES[style])
        Drawn(run[:, 0], run[:, 1], stroke).draw(painter)


def draw_preview(
    painter: QPainter,
    points: Floats,
    view: View,
    bounds: QRectF,
    palette: Palette,
    colour: str,
    *,
    free: bool,
) -> None:
    """Draw the segment between the last click and the pointer."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    for run in visible_runs(view.place(points), bounds):
        line = polygon(run[:, 0], run[:, 1])
        painter.setPen(pen(palette.canvas, 4.6, alpha=190))
        painter.drawPolyline(line)
        dashes = [part / 2.2 for part in FREE_DASHES] if free else ()
        painter.setPen(pen(colour, 2.2, dashes))
        painter.drawPolyline(line)


def draw_small_nodes(
    painter: QPainter, curves: Sequence[CurveView], view: View, palette: Palette
) -> None:
    """Nodes of the curves that are not chosen: small dots."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    for curve in curves:
        spots = view.place(curve.nodes)
        dots = polygon(spots[:, 0], spots[:, 1]) if len(spots) else None
        if dots is None:
            continue
        for colour, grown in ((palette.canvas, 1.2), (curve_colour(curve.kind, palette), 0.0)):
            dot = QPen(QColor(colour), 2.0 * (SMALL_NODE + grown))
            dot.setCapStyle(Qt.PenCapStyle.RoundCap)
            painter.setPen(dot)
            painter.drawPoints(dots)


def draw_node(
    painter: QPainter, x: float, y: float, colour: str, palette: Palette, state: str = ""
) -> None:
    """Handle of a node: a ring with a halo; ``under`` the pointer larger, ``chosen`` filled."""
    radius = NODE + {"under": 1.5, "chosen": 2.0}.get(state, 0.0)
    middle = QPointF(x, y)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    halo = QColor(palette.canvas)
    halo.setAlpha(225)
    painter.setBrush(halo)
    painter.drawEllipse(middle, radius + 2.2, radius + 2.2)
    painter.setPen(pen(colour, 1.8))
    painter.setBrush(QColor(colour if state == "chosen" else palette.canvas))
    painter.drawEllipse(middle, radius, radius)
    if state == "chosen":
        painter.setPen(pen(palette.canvas, 1.4))
        painter.drawLine(QPointF(x - 3.0, y), QPointF(x + 3.0, y))
        painter.drawLine(QPointF(x, y - 3.0), QPointF(x, y + 3.0))


def mark_sign(x: float, y: float) -> tuple[float, float]:
    """Where the sign of a mark at a spot stands, in widget pixels."""
    return x + MARK_REACH, y - MARK_REACH


def draw_marks(painter: QPainter, curve: CurveView, view: View, palette: Palette) -> None:
    """Signs beside the spots that are wrong, each with a leader."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    for mark in curve.marks:
        spot = curve.mark_spot(mark)
        if spot is None:
            continue
        x, y = view.to_widget(*spot)
        sign = mark_sign(x, y)
        leader = QLineF(x, y, *sign)
        painter.setPen(pen(palette.canvas, 4.0, alpha=200))
        painter.drawLine(leader)
        painter.setPen(pen(palette.state(mark[1]), 1.6))
        painter.drawLine(leader)
        draw_dial(painter, *sign, 5.0, mark[1], palette)


def draw_point(
    painter: QPainter,
    point: KnownPoint,
    x: float,
    y: float,
    palette: Palette,
    *,
    lit: bool,
    ringed: bool = True,
) -> None:
    """Draw a known point: an open cross in a ring, so that the picture shows in the middle."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    near, far = 3.5, 15.0
    arms = [
        QLineF(x + near * a, y + near * b, x + far * a, y + far * b)
        for a, b in ((1, 0), (-1, 0), (0, 1), (0, -1))
    ]
    colour = palette.state(point.state)
    dashes = (2.0, 1.5) if point.state == "blank" else ()
    width = 2.8 if lit or point.state == "over" else 2.0
    for stroke in (pen(palette.canvas, width + 2.4, alpha=210), pen(colour, width)):
        painter.setPen(stroke)
        painter.drawLines(arms)
    if ringed:
        radius = 10.5 if lit else 9.0
        painter.setPen(pen(palette.canvas, width + 2.4, alpha=210))
        painter.drawEllipse(QPointF(x, y), radius, radius)
        painter.setPen(pen(colour, width, dashes))
        painter.drawEllipse(QPointF(x, y), radius, radius)


def draw_cross(painter: QPainter, x: float, y: float, palette: Palette) -> None:
    """Crosshair of the keys."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    near, far = 4.0, 22.0
    arms = [
        QLineF(x + near * a, y + near * b, x + far * a, y + far * b)
        for a, b in ((1, 0), (-1, 0), (0, 1), (0, -1))
    ]
    painter.setPen(pen(palette.canvas, 3.0, alpha=220))
    painter.drawLines(arms)
    painter.setPen(pen(palette.line, 1.0))
    painter.drawLines(arms)
