"""A compressor whose every quantity is known in closed form, and traces of its map.

Written for the tests of the surface: constant specific heats, a head coefficient that falls from
surge to choke, efficiency constant on ellipses. Nothing of it comes from the model.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from shapely.geometry import Point, Polygon

from engine_model.compressor.map_data import CompressorMap, Island, Provenance, SpeedLine

REFERENCE_TEMPERATURE, REFERENCE_PRESSURE = 298.15, 1e5
SPEEDS = (41_370.0, 55_640.0, 70_210.0, 84_730.0, 100e3)  # not on the nodes of any round grid
TOP = SPEEDS[-1]
HEAT, EXPONENT = 1005.0, 3.5  # cp [J/(kg K)] and g/(g - 1) at 1.4
DIAMETER = 0.095
PEAK, CENTRE, TILT, AXES = 0.788, (0.27, 1.95), 0.9, (0.55, 0.26)
LEVELS = (0.785, 0.78, 0.77, 0.76, 0.74, 0.72, 0.69)
PLACES = np.array([0.0, 0.15, 0.3, 0.45, 0.6, 0.72, 0.83, 0.92, 1.0])


def surge_flow(speed):
    n = speed / TOP
    return 0.30 * n * (0.52 + 0.13 * n)


def choke_flow(speed):
    n = speed / TOP
    return 0.30 * n * (1.40 + 0.10 * n)


def head(speed, x):
    """Isentropic head at a share x of the way from surge to choke flow [J/kg]."""
    tip = np.pi * DIAMETER * speed / 60.0
    psi = (0.70 - 0.04 * speed / TOP) * (1.0 - 0.03 * x - 0.12 * x**2 - 0.35 * x**5)
    return psi * tip**2


def ratio_of_head(value):
    return (1.0 + value / (HEAT * REFERENCE_TEMPERATURE)) ** EXPONENT


def head_of_ratio(ratio):
    return (ratio ** (1.0 / EXPONENT) - 1.0) * HEAT * REFERENCE_TEMPERATURE


def flow(speed, x):
    return surge_flow(speed) + x * (choke_flow(speed) - surge_flow(speed))


def pressure_ratio(speed, x):
    return ratio_of_head(head(speed, x))


SPAN = np.array(
    [
        choke_flow(TOP) - surge_flow(SPEEDS[0]),
        pressure_ratio(TOP, 0.0) - pressure_ratio(SPEEDS[0], 1.0),
    ]
)


def efficiency(w, ratio):
    u, v = (w - CENTRE[0]) / SPAN[0], (ratio - CENTRE[1]) / SPAN[1]
    along = (u * np.cos(TILT) + v * np.sin(TILT)) / AXES[0]
    across = (-u * np.sin(TILT) + v * np.cos(TILT)) / AXES[1]
    q = along**2 + across**2
    return PEAK - 0.10 * q / (1.0 + 0.25 * q)


def ellipse(level, count):
    """Points of the outline of an efficiency."""
    fall = (PEAK - level) / 0.10
    radius = np.sqrt(fall / (1.0 - 0.25 * fall))
    turn = np.linspace(0.0, 2.0 * np.pi, count, endpoint=False)
    a, b = radius * AXES[0] * np.cos(turn), radius * AXES[1] * np.sin(turn)
    u = a * np.cos(TILT) - b * np.sin(TILT)
    v = a * np.sin(TILT) + b * np.cos(TILT)
    return np.column_stack([u, v]) * SPAN + CENTRE


def area():
    """The map as a polygon: surge, top line, choke, lowest line."""
    n, x = np.linspace(SPEEDS[0], TOP, 200), np.linspace(0.0, 1.0, 200)
    edges = ((n, 0.0), (TOP, x), (n[::-1], 1.0), (SPEEDS[0], x[::-1]))
    both = [np.broadcast_arrays(*edge) for edge in edges]
    points = [np.column_stack([flow(s, p), pressure_ratio(s, p)]) for s, p in both]
    return Polygon(np.vstack(points))


@dataclass(frozen=True)
class Trace:
    """What to trace, and how well."""

    noise: float = 0.0
    levels: tuple[float, ...] = LEVELS
    on_lines: bool = False
    speeds: tuple[float, ...] = SPEEDS
    seed: int = 7


PLAIN = Trace()


def trace(how: Trace = PLAIN) -> CompressorMap:
    random = np.random.default_rng(how.seed)

    def shaken(points):
        return points + random.normal(0.0, how.noise, points.shape) * SPAN

    lines = []
    for speed in how.speeds:
        points = np.column_stack([flow(speed, PLACES), pressure_ratio(speed, PLACES)])
        eta = tuple(efficiency(*points.T).tolist()) if how.on_lines else None
        lines.append(SpeedLine(speed, tuple(map(tuple, shaken(points).tolist())), eta))
    islands = []
    inside = area()
    for level in how.levels:
        every = ellipse(level, 24)
        kept = np.array([p for p in every if inside.covers(Point(p))])
        closed = len(kept) == len(every)
        islands.append(Island(level, closed, tuple(map(tuple, shaken(kept).tolist()))))
    return CompressorMap(
        "invented",
        Provenance("invented"),
        REFERENCE_TEMPERATURE,
        REFERENCE_PRESSURE,
        "total_to_total",
        tuple(lines),
        tuple(line.points[0] for line in lines),
        tuple(islands),
        choke_line=tuple(line.points[-1] for line in lines),
    )
