"""Series: a match and its compressor map as plain records of arrays in display units.

The charts draw these and nothing else; the same records write the CSV files.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

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
from app.present.series_line import LineSeries, Piece, line_series
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
    STRIP_OF,
    STRIPS,
    USUAL_STRIPS,
    Strip,
    StripBound,
    StripCurve,
    StripSeries,
    StripTarget,
    strip_series,
    strips_of,
)
from engine_model.results import REGION_NAMES

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
    "map_axes",
    "map_csv",
    "map_readout",
    "map_series",
    "nice_range",
    "nice_step",
    "strip_series",
    "strips_csv",
    "strips_of",
    "volume_per_flow",
]

Floats = NDArray[np.float64]


def _number(value: float) -> str:
    return f"{value:.7g}" if np.isfinite(value) else ""


def _text(header: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(header)
    writer.writerows(rows)
    return out.getvalue()


def map_csv(series: MapSeries) -> str:
    """CSV text of a compressor map, one point a row, units in the header."""
    curves: list[tuple[str, str, Floats, Floats]] = []
    for line in series.speed_lines:
        speed = f"{line.corrected_speed_rpm:.7g}"
        curves.append(("speed line [rpm]", speed, line.flow, line.ratio))
        curves.append(("past choke [rpm]", speed, line.fall_flow, line.fall_ratio))
    for outline in series.outlines:
        for piece in outline.pieces:
            level = f"{outline.level:.7g}"
            curves.append(("efficiency outline [-]", level, piece[:, 0], piece[:, 1]))
    curves.append(("surge line", "", *series.surge))
    curves.append(("choke line", "", *series.choke))
    return _text(
        ("curve", "value", series.axes.flow_label, series.axes.ratio_label),
        (
            (name, value, _number(x), _number(y))
            for name, value, flow, ratio in curves
            for x, y in zip(flow, ratio, strict=True)
        ),
    )


def line_csv(series: LineSeries) -> str:
    """CSV text of an operating line on the map's axes; blank where there is no solution."""
    regions = [REGION_NAMES[k] for k in series.region_index]
    return _text(
        ("engine speed [rpm]", series.axes.flow_label, series.axes.ratio_label, "region"),
        (
            (_number(n), _number(x), _number(y), region)
            for n, x, y, region in zip(
                series.engine_speed, series.flow, series.ratio, regions, strict=True
            )
        ),
    )


def strips_csv(strips: Sequence[StripSeries]) -> str:
    """CSV text of strips of one match: engine speed, then every curve with its unit."""
    if not strips:
        return _text(("engine speed [rpm]",), ())
    header = ["engine speed [rpm]"]
    columns = [strips[0].engine_speed]
    for strip in strips:
        for curve in strip.curves:
            header.append(f"{strip.title}, {curve.name} [{strip.unit}]")
            columns.append(curve.values)
    return _text(header, ([_number(v) for v in row] for row in zip(*columns, strict=True)))
