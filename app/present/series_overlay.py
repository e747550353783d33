"""Series of compressor maps laid over each other: one reference state, one pair of axes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from app.fields import Units
from app.present.chart_units import chart_units
from app.present.series_axes import MapAxes, map_axes
from app.present.series_csv import Columns, csv_text, line_points, map_points
from app.present.series_line import LineSeries, line_series, ranges_around
from app.present.series_map import MapSeries, map_series
from engine_model.air.corrected import flow_at_reference
from engine_model.compressor.map_data import CompressorMap
from engine_model.compressor.surface import Surface
from engine_model.results import OperatingLine

MOST_MAPS = 3
"""Maps laid over each other at most: more cannot be told apart."""

LETTERS = "ABC"


@dataclass(frozen=True, slots=True, eq=False)
class OverlayItem:
    """What is laid over: a fitted map, its line, and what they are called.

    Parameters
    ----------
    surface : Surface
        The fitted map.
    line : OperatingLine or None
        Its operating line.
    name : str
        Title of the map.
    setting : str
        How it is driven.
    limiter : float
        Engine speed marked as the limiter. [rpm]
    """

    surface: Surface
    line: OperatingLine | None
    name: str
    setting: str
    limiter: float


@dataclass(frozen=True, slots=True, eq=False)
class OverlayMap:
    """One of the maps, ready to draw."""

    letter: str
    name: str
    setting: str
    map: MapSeries
    line: LineSeries | None

    @property
    def label(self) -> str:
        """Its letter and its name."""
        return f"{self.letter}  {self.name}"


@dataclass(frozen=True, slots=True, eq=False)
class OverlaySeries:
    """Maps on one pair of axes; flow in the axes' unit, pressure ratio [-].

    Parameters
    ----------
    axes : MapAxes
        Axes of the first map, which the others are brought to.
    day : str
        The day of the lines.
    maps : tuple of OverlayMap
        The maps, the first one first.
    note : str
        What differs among them.
    flow_range, ratio_range : tuple of float
        Ranges that hold all of them.
    """

    axes: MapAxes
    day: str
    maps: tuple[OverlayMap, ...]
    note: str
    flow_range: tuple[float, float]
    ratio_range: tuple[float, float]


def axes_beside(compressor_map: CompressorMap, first: CompressorMap, axes: MapAxes) -> MapAxes:
    """Axes of a map brought to the reference state of another.

    Parameters
    ----------
    compressor_map : CompressorMap
        The map.
    first : CompressorMap
        The other one.
    axes : MapAxes
        Axes of the other one.
    """
    factor = float(
        flow_at_reference(
            1.0,
            compressor_map.reference_temperature,
            compressor_map.reference_pressure,
            first.reference_temperature,
            first.reference_pressure,
        )
    )
    return replace(axes, flow_scale=axes.flow_scale * factor)


def overlay_series(
    items: Sequence[OverlayItem], day: str, units: Units = "si"
) -> OverlaySeries | None:
    """Series of maps laid over each other; nothing for none.

    Parameters
    ----------
    items : sequence of OverlayItem
        The maps; the reference state is that of the first.
    day : str
        The day of the lines.
    units : Units
        Units shown.
    """
    if not items:
        return None
    charted = chart_units(units)
    first = items[0].surface.compressor_map
    axes = map_axes(first, charted.flow, None, charted)
    maps = []
    flow, ratio = (0.0, 0.0), (np.inf, 0.0)
    for letter, one in zip(LETTERS, items[:MOST_MAPS], strict=False):
        own = axes_beside(one.surface.compressor_map, first, axes)
        drawn = map_series(one.surface, own)
        line = None if one.line is None else line_series(one.line, own, one.name, one.limiter)
        maps.append(OverlayMap(letter, one.name, one.setting, drawn, line))
        flow = 0.0, max(flow[1], drawn.flow_range[1])
        ratio = min(ratio[0], drawn.ratio_range[0]), max(ratio[1], drawn.ratio_range[1])
    for made in maps:
        flow, ratio = ranges_around(made.line, flow, ratio)
    return OverlaySeries(axes, day, tuple(maps), _note(items), flow, ratio)


def _note(items: Sequence[OverlayItem]) -> str:
    """What of the maps is not alike, though they share the axes."""
    bases = {one.surface.compressor_map.pressure_basis for one in items}
    if len(bases) < 2:
        return ""
    static = [
        letter
        for letter, one in zip(LETTERS, items, strict=False)
        if one.surface.compressor_map.pressure_basis == "total_to_static"
    ]
    return f"{', '.join(static)}: pressure ratio total to static"


def overlay_csv(series: OverlaySeries, about: Columns = ()) -> str:
    """CSV text of maps laid over each other, one point a row.

    Parameters
    ----------
    series : OverlaySeries
        The maps.
    about : sequence of (str, str)
        Columns at the end that say the same in every row.
    """
    rows: list[tuple[str, ...]] = []
    for one in series.maps:
        rows += _told(map_points(one.map), one)
        if one.line is not None:
            rows += _told(line_points(one.line), one)
    header = (
        "compressor map",
        "driven by",
        "curve",
        "value",
        series.axes.flow_label,
        series.axes.ratio_label,
        "region",
    )
    return csv_text(header, rows, about)


def _told(points: Iterable[tuple[str, ...]], one: OverlayMap) -> list[tuple[str, ...]]:
    return [(one.name, one.setting, *row[:4], row[5]) for row in points]
