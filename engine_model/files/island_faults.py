"""Faults of efficiency islands: outlines that cross themselves or each other, wrong nesting."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, product
from typing import Any, Final

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.validation import explain_validity

from engine_model.errors import Fault
from engine_model.files.curves import Chart, Floats, line_string, near, polygon
from engine_model.files.line_faults import share_words
from engine_model.files.reading import describe

HIDDEN: Final = 0.6
"""Share of an outline seen from the best place through a lower one [-]; chosen here."""

ISLAND_EFFICIENCY: Final = (0.2, 0.95)
"""Efficiencies of outlines believed [-]; chosen here."""


@dataclass(frozen=True, slots=True, eq=False)
class _Outline:
    number: int
    efficiency: float
    line: LineString
    area: Polygon | None


def island_faults(document: dict[str, Any], chart: Chart) -> Iterator[Fault]:
    """Faults of the islands.

    Parameters
    ----------
    document : dict
        The map's document, its structure sound.
    chart : Chart
        Its curves.

    Yields
    ------
    Fault
        One a fault.
    """
    low, high = ISLAND_EFFICIENCY
    for number, island in enumerate(document.get("islands") or ()):
        where, level = f"islands[{number}]", (island or {}).get("efficiency")
        if level is not None and not low <= level <= high:
            words = share_words(level, low, high)
            yield Fault(f"{where}.efficiency", describe(level), words)
    outlines = []
    for number, level, closed, curve in chart.islands:
        where = f"islands[{number}].points"
        line = line_string(curve, chart.span, closed=closed)
        if closed and len(curve.numbers) < 3:
            yield Fault(where, "2 sound points", "3 or more for a closed outline")
            continue
        area = polygon(curve, chart.span) if closed else None
        fault = _own_fault(where, line, area, chart.span)
        if fault is not None:
            yield fault
        else:
            outlines.append(_Outline(number, level, line, area))
    crossed: set[frozenset[int]] = set()
    for one, other in combinations(outlines, 2):
        fault = _together(one, other, chart.span)
        if fault is not None:
            crossed.add(frozenset((one.number, other.number)))
            yield fault
    believed = [one for one in outlines if low <= one.efficiency <= high]
    yield from _nesting(believed, crossed)
    yield from _open_nesting(believed, crossed)


def _own_fault(where: str, line: LineString, area: Polygon | None, span: Floats) -> Fault | None:
    if area is not None and not area.is_valid:
        reason = explain_validity(area)
        flow, ratio = (float(part) for part in reason.partition("[")[2].rstrip("]").split()[:2])
        place = f"near {flow * span[0]:.4g} kg/s and pressure ratio {ratio * span[1]:.3g}"
        return Fault(where, f"an outline that crosses itself {place}", "an outline without loops")
    if area is None and not line.is_simple:
        return Fault(where, "an outline that crosses itself", "an outline without loops")
    return None


def _together(one: _Outline, other: _Outline, span: Floats) -> Fault | None:
    """Fault of two outlines that cross, or of one efficiency drawn twice over the same place."""
    where = f"islands[{other.number}]"
    crossing = one.line.intersection(other.line)
    if not crossing.is_empty:
        value = f"an outline that crosses islands[{one.number}] {near(crossing, span)}"
        return Fault(where, value, "outlines that do not cross")
    same = one.efficiency == other.efficiency
    if same and one.area is not None and other.area is not None and one.area.intersects(other.area):
        value = f"efficiency {other.efficiency:g} again, over islands[{one.number}]"
        return Fault(where, value, "outlines of one efficiency beside each other")
    return None


def _nesting(outlines: Sequence[_Outline], crossed: set[frozenset[int]]) -> Iterator[Fault]:
    """Closed outlines that do not lie inside one of the next lower efficiency, where all close."""
    levels = sorted({one.efficiency for one in outlines})
    below = dict(zip(levels[1:], levels, strict=False))
    for one in outlines:
        lower = [o for o in outlines if o.efficiency == below.get(one.efficiency)]
        areas = [o.area for o in lower if o.area is not None]
        if one.area is None or not areas or len(areas) < len(lower):
            continue
        if any(frozenset((one.number, o.number)) in crossed for o in lower):
            continue
        if not any(area.contains(one.area) for area in areas):
            names = " or ".join(f"islands[{o.number}]" for o in lower)
            value = f"an outline of {one.efficiency:g} outside that of {lower[0].efficiency:g}"
            yield Fault(f"islands[{one.number}]", value, f"an outline inside {names}")


def _open_nesting(outlines: Sequence[_Outline], crossed: set[frozenset[int]]) -> Iterator[Fault]:
    """Outlines that lie outside one of lower efficiency, where one of the two is cut off.

    From an outline straight to the best place of the map no lower one should stand between.
    """
    levels = sorted({one.efficiency for one in outlines})
    if len(levels) < 2:
        return
    below = dict(zip(levels[1:], levels, strict=False))
    best = [one.line.coords for one in outlines if one.efficiency == levels[-1]]
    middle = np.vstack([np.asarray(part) for part in best]).mean(axis=0)
    for one, other in product(outlines, repeat=2):
        both_closed = one.area is not None and other.area is not None
        pair = frozenset((one.number, other.number))
        if other.efficiency != below.get(one.efficiency) or both_closed or pair in crossed:
            continue
        points = np.asarray(one.line.coords)
        rays = shapely.linestrings(np.stack([points, np.broadcast_to(middle, points.shape)], 1))
        if np.mean(shapely.intersects(rays, other.line)) > HIDDEN:
            value = f"an outline of {one.efficiency:g} outside that of {other.efficiency:g}"
            allowed = f"an outline inside islands[{other.number}]"
            yield Fault(f"islands[{one.number}]", value, allowed)
