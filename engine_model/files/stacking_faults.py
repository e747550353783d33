"""Faults of speed lines against each other: lines that cross, labels that are swapped."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Final

import numpy as np
import shapely

from engine_model.errors import Fault
from engine_model.files.curves import Chart, Curve, Floats

DEPTH: Final = 0.015
"""How far a point may lie below a slower line, as a share of the map [-]; chosen here."""

MOST_BELOW: Final = 0.5
"""Share of a line's points at the flows of a slower one that, below it, tells swapped labels [-];
chosen here."""


def stacking_faults(chart: Chart) -> Iterator[Fault]:
    """Faults of speed lines that do not lie above the slower ones.

    Parameters
    ----------
    chart : Chart
        The map's curves, whose speeds rise.

    Yields
    ------
    Fault
        One a pair of neighbouring lines.
    """
    known = [(number, speed, curve) for number, speed, curve in chart.lines if speed is not None]
    for (lower, slow, under), (number, fast, over) in pairwise(known):
        depth = _depth_below(over, under, chart.span)
        below = depth > DEPTH
        if not np.any(below):
            continue
        beside = (over.flow >= under.flow[0]) & (over.flow <= under.flow[-1])
        if np.count_nonzero(below) > MOST_BELOW * np.count_nonzero(beside):
            yield Fault(
                f"speed_lines[{number}].corrected_speed_rpm",
                f"{fast:.10g} on a line below that of {slow:.10g}",
                f"lines that lie higher with speed; swapped with speed_lines[{lower}]?",
            )
            continue
        worst = int(np.argmax(depth))
        value = f"a point {100.0 * depth[worst]:.2g} % of the map below speed_lines[{lower}]"
        yield Fault(over.place(worst), value, "speed lines that do not cross")


def _depth_below(over: Curve, under: Curve, span: Floats) -> Floats:
    """How far each point of a line lies below another, as a share of the map; 0 above it."""
    line, points = under.points / span, over.points / span
    floor = min(line[:, 1].min(), points[:, 1].min()) - 1.0
    ends = [(line[-1, 0], floor), (line[0, 0], floor)]
    area = shapely.Polygon([*line.tolist(), *ends])
    if not area.is_valid:
        return np.zeros(len(points))
    inside = shapely.contains_xy(area, points[:, 0], points[:, 1])
    apart = shapely.distance(shapely.LineString(line), shapely.points(points))
    return np.asarray(np.where(inside, apart, 0.0))
