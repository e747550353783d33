"""Review of a trace as it grows: each curve against its neighbours, the fit drawn over it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.surface import Surface
from engine_model.compressor.surface_fit import fit_surface
from engine_model.tracing.document import calibration_of, flow_scale
from engine_model.tracing.needs import nearest
from engine_model.tracing.overlay import Overlay, overlay
from engine_model.tracing.residuals import Expected, expected_of, island_errors, surge_gap
from engine_model.tracing.to_map import Provisional, provisional_map
from engine_model.tracing.trace import Point, Trace

Floats = NDArray[np.float64]

LINE_LIMIT: Final = 1.0
"""Median distance from what its neighbours say beyond which a line is suspect [% of the map].

A sound line of measured compressors is within 0.8 (NASA CC3, a line left out in the tests).
"""

OUTER_LIMIT: Final = 3.0
"""The same of the lowest and the highest line, of which the others say less [% of the map]."""

ISLAND_LIMIT: Final = 1.0
"""Median efficiency from what its neighbours say beyond which an island is suspect [points];
chosen here."""

_SEARCH: Final = 0.2  # how far from its label a fitting speed is sought
_CANDIDATES: Final = 41
_FEW: Final = 3  # lines of which two cannot be left out


@dataclass(frozen=True, slots=True)
class LineResidual:
    """How far a speed line lies from what the other lines say.

    Parameters
    ----------
    curve : int
        Number of the curve.
    speed : float
        Its corrected speed. [rpm]
    median_percent, worst_percent : float
        Distance of its points from the expected line. [% of the map]
    point, node : int
        Point of its path, and node, nearest to where it is farthest off.
    place : (float, float)
        That place. [pixel]
    above : bool
        Whether it lies beyond the expected line there.
    between : bool
        Whether there are lines on both sides of it; else the others say less.
    suspect : bool
        Whether it is off by more than sound lines are, and by more than its neighbours.
    fitting_speed : float, optional
        Speed its neighbours would give it, of a suspect line. [rpm]
    surge_percent : float
        Distance of its beginning from the surge line. [% of the map]
    """

    curve: int
    speed: float
    median_percent: float
    worst_percent: float
    point: int
    node: int
    place: Point
    above: bool
    between: bool
    suspect: bool
    fitting_speed: float | None
    surge_percent: float


@dataclass(frozen=True, slots=True)
class IslandResidual:
    """How far an island lies from what the other islands say.

    Parameters
    ----------
    curve : int
        Number of the curve.
    efficiency : float
        Its efficiency. [-]
    median_points, worst_points : float
        Efficiency the others say along it, less its own, without sign. [points of 0.01]
    worst_percent : float
        The worst as a way across the map. [% of the map]
    point, node : int
        Point of its path, and node, nearest to where it is farthest off.
    place : (float, float)
        That place. [pixel]
    between : bool
        Whether there are islands of higher and of lower efficiency; else the others say less.
    suspect : bool
        Whether it is off by more than sound islands are.
    """

    curve: int
    efficiency: float
    median_points: float
    worst_points: float
    worst_percent: float
    point: int
    node: int
    place: Point
    between: bool
    suspect: bool


@dataclass(frozen=True, slots=True, eq=False)
class Review:
    """A trace in the making, as far as it can be judged.

    Parameters
    ----------
    provisional : Provisional, optional
        The map of what is sound; none where that is too little.
    surface : Surface, optional
        The fit to it; none where there is none.
    overlay : Overlay, optional
        What the fit draws over the picture.
    lines : tuple of LineResidual
        By rising speed; empty with fewer than three lines.
    islands : tuple of IslandResidual
        As they were made.
    """

    provisional: Provisional | None = None
    surface: Surface | None = None
    overlay: Overlay | None = None
    lines: tuple[LineResidual, ...] = ()
    islands: tuple[IslandResidual, ...] = ()


def review(trace: Trace) -> Review:
    """Fit, drawing and residuals of a trace; within 60 ms.

    Parameters
    ----------
    trace : Trace
        A trace in the making.

    Returns
    -------
    Review
        What can be judged of it.
    """
    provisional = provisional_map(trace)
    if provisional is None:
        return Review()
    try:
        surface = fit_surface(provisional.compressor_map)
    except ValueError:
        return Review(provisional)  # curves in the making that no surface goes through
    drawing = overlay(surface, trace.axes)
    lines = line_residuals(trace, provisional, surface)
    return Review(provisional, surface, drawing, lines, island_residuals(trace, provisional))


def line_residuals(
    trace: Trace, provisional: Provisional, surface: Surface
) -> tuple[LineResidual, ...]:
    """Each speed line against the others; empty with fewer than three."""
    compressor_map = provisional.compressor_map
    count = len(provisional.lines)
    if count < 3:
        return ()
    expected = expected_of(surface)
    found = [expected.distances(number) for number in range(count)]
    off = np.array([100.0 * float(np.median(apart)) for apart, _ in found])
    suspects = _suspects(expected, off)
    lines = []
    for number, (apart, above) in enumerate(found):
        suspect = number in suspects
        worst = int(np.argmax(apart))
        curve = provisional.lines[number]
        line = compressor_map.speed_lines[number]
        place, point, node = _where(trace, curve, line.points[worst])
        lines.append(
            LineResidual(
                curve,
                line.corrected_speed,
                float(off[number]),
                100.0 * float(apart[worst]),
                point,
                node,
                place,
                bool(above[worst]),
                0 < number < count - 1,
                suspect,
                _fitting_speed(expected, number) if suspect else None,
                100.0 * surge_gap(compressor_map, number),
            )
        )
    return tuple(lines)


def _suspects(expected: Expected, off: Floats) -> set[int]:
    """Lines that are off, one of every group of neighbours: that without which the rest agree."""
    count = off.size
    limits = np.full(count, LINE_LIMIT)
    limits[[0, -1]] = OUTER_LIMIT
    over = np.flatnonzero(off > limits)
    suspects = set()
    for group in np.split(over, np.flatnonzero(np.diff(over) > 1) + 1):
        if not group.size:
            continue
        members = [int(n) for n in group]
        around = range(max(0, members[0] - 1), min(count, members[-1] + 2))

        def rest(left_out: int, around: range = around) -> float:
            shares = [
                100.0 * float(np.median(expected.distances(j, without=[left_out])[0])) / limits[j]
                for j in around
                if j != left_out
            ]
            return float(max(shares))

        if len(members) > 1 and count > _FEW:
            suspects.add(min(members, key=rest))
        else:
            suspects.add(max(members, key=lambda n: float(off[n] / limits[n])))
    return suspects


def _fitting_speed(expected: Expected, number: int) -> float:
    """Speed [rpm] at which the others come nearest to a line."""
    own = float(expected.speeds[number])
    others = np.delete(expected.speeds, number)
    speeds = np.linspace(own * (1.0 - _SEARCH), own * (1.0 + _SEARCH), _CANDIDATES)
    if 0 < number < expected.speeds.size - 1:
        speeds = np.clip(speeds, others[0], others[-1])
    off = [float(np.median(expected.distances(number, n)[0])) for n in speeds.tolist()]
    return float(speeds[int(np.argmin(off))])


def island_residuals(trace: Trace, provisional: Provisional) -> tuple[IslandResidual, ...]:
    """Each island against the others; those the others say nothing of are left out."""
    compressor_map = provisional.compressor_map
    levels = [one.efficiency for one in compressor_map.islands]
    islands = []
    for number, island in enumerate(compressor_map.islands):
        found = island_errors(compressor_map, number)
        if found is None:
            continue
        errors = 100.0 * np.abs(found[0])
        worst = int(np.nanargmax(errors))
        curve = provisional.islands[number]
        place, point, node = _where(trace, curve, island.points[worst])
        between = min(levels) < island.efficiency < max(levels)
        median = float(np.nanmedian(errors))
        islands.append(
            IslandResidual(
                curve,
                island.efficiency,
                median,
                float(errors[worst]),
                100.0 * float(found[1][worst]),
                point,
                node,
                place,
                between,
                between and median > ISLAND_LIMIT,
            )
        )
    return tuple(islands)


def _where(trace: Trace, curve: int, value: Point) -> tuple[Point, int, int]:
    """Place [pixel] of flow [kg/s] and pressure ratio, the nearest path point and node."""
    point = (value[0] / flow_scale(trace.axes), value[1])
    x, y = calibration_of(trace.axes).to_pixels(point).tolist()
    return (x, y), *nearest(trace.curves[curve], (x, y))
