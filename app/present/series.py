"""Series: a match and its compressor map as plain records of arrays in display units.

The charts draw these and nothing else; the same records write the CSV files.
"""

from __future__ import annotations

from app.present.series_axes import (
    SI_CHARTS,
    US_CHARTS,
    ChartUnits,
    MapAxes,
    map_axes,
    nice_range,
    nice_step,
    volume_per_flow,
)
from app.present.series_csv import line_csv, map_csv, strips_csv
from app.present.series_line import LineSeries, Piece, line_series, lowered, ranges_around
from app.present.series_map import (
    Band,
    MapReadout,
    MapSeries,
    Outline,
    SpeedLine,
    map_readout,
    map_series,
)
from app.present.series_strips import (
    StripBound,
    StripCurve,
    StripSeries,
    StripTarget,
    strip_series,
    strips_of,
)
from app.present.strip_table import STRIP_OF, STRIPS, USUAL_STRIPS, Strip

__all__ = [
    "SI_CHARTS",
    "STRIPS",
    "STRIP_OF",
    "USUAL_STRIPS",
    "US_CHARTS",
    "Band",
    "ChartUnits",
    "LineSeries",
    "MapAxes",
    "MapReadout",
    "MapSeries",
    "Outline",
    "Piece",
    "SpeedLine",
    "Strip",
    "StripBound",
    "StripCurve",
    "StripSeries",
    "StripTarget",
    "line_csv",
    "line_series",
    "lowered",
    "map_axes",
    "map_csv",
    "map_readout",
    "map_series",
    "nice_range",
    "nice_step",
    "ranges_around",
    "strip_series",
    "strips_csv",
    "strips_of",
    "volume_per_flow",
]
