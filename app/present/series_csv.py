"""CSV text of what the charts draw: display units, named in the header."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from app.present.series_line import LineSeries
from app.present.series_map import MapSeries
from app.present.series_strips import StripSeries
from engine_model.results import REGION_NAMES

if TYPE_CHECKING:
    from app.present.series_error_bars import MapBand, StripBand

Floats = NDArray[np.float64]

ENGINE_SPEED = "engine speed [rpm]"

Columns = Sequence[tuple[str, str]]
"""Columns, (name, text), that say the same in every row: of what the numbers are."""


def _number(value: float) -> str:
    return f"{value:.7g}" if np.isfinite(value) else ""


def csv_text(header: Sequence[str], rows: Iterable[Sequence[str]], about: Columns = ()) -> str:
    """CSV text of a header and rows, with columns that say the same in every row."""
    # last, so that a spreadsheet takes the first column across, as without them
    texts = [text for _, text in about]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([*header, *(name for name, _ in about)])
    writer.writerows([*row, *texts] for row in rows)
    return out.getvalue()


def _points(curve: str, value: str, flow: Floats, ratio: Floats) -> Iterable[tuple[str, ...]]:
    for x, y in zip(flow, ratio, strict=True):
        yield curve, value, _number(x), _number(y), "", ""


def _line_points(curve: str, line: LineSeries, name: str) -> Iterable[tuple[str, ...]]:
    regions = [REGION_NAMES[k] for k in line.region_index]
    for n, x, y, region in zip(line.engine_speed, line.flow, line.ratio, regions, strict=True):
        yield curve, _number(n), _number(x), _number(y), name, region


def map_points(series: MapSeries) -> Iterable[tuple[str, ...]]:
    """Rows of a compressor map's curves: curve, value, flow, pressure ratio, and two blanks."""
    for one in series.speed_lines:
        speed = f"{one.corrected_speed_rpm:.7g}"
        yield from _points("speed line [rpm]", speed, one.flow, one.ratio)
        yield from _points("past choke [rpm]", speed, one.fall_flow, one.fall_ratio)
    for outline in series.outlines:
        for piece in outline.pieces:
            level = f"{outline.level:.7g}"
            yield from _points("efficiency outline [-]", level, piece[:, 0], piece[:, 1])
    yield from _points("surge line", "", *series.surge)
    yield from _points("choke line", "", *series.choke)


def line_points(line: LineSeries) -> Iterable[tuple[str, ...]]:
    """Rows of the operating line: curve, engine speed, flow, pressure ratio, no pin, region."""
    return _line_points(f"operating line, {ENGINE_SPEED}", line, "")


def _band_points(band: MapBand, words: str) -> Iterable[tuple[str, ...]]:
    """Rows of a band: its middle line, and its edges towards choke and surge."""
    edges = (
        ("middle", (band.flow, band.ratio)),
        ("choke edge", band.low),
        ("surge edge", band.high),
    )
    for edge, (flow, ratio) in edges:
        for n, x, y in zip(band.engine_speed, flow, ratio, strict=True):
            curve = f"{words}, {edge}, {ENGINE_SPEED}"
            yield curve, _number(n), _number(x), _number(y), "", ""


def map_csv(
    series: MapSeries,
    line: LineSeries | None = None,
    pins: Sequence[tuple[LineSeries, str]] = (),
    about: Columns = (),
    band: MapBand | None = None,
    band_words: str = "",
) -> str:
    """CSV text of a compressor map and the lines on it, one point a row.

    Parameters
    ----------
    series : MapSeries
        The map.
    line : LineSeries, optional
        The operating line on the map's axes.
    pins : sequence of (LineSeries, str)
        Lines kept for comparison with their names.
    about : sequence of (str, str)
        Columns at the end that say the same in every row.
    band : MapBand, optional
        The band about the operating line.
    band_words : str
        What it is.
    """
    rows = list(map_points(series))
    if line is not None:
        rows += line_points(line)
    if band is not None:
        rows += _band_points(band, band_words)
    for kept, name in pins:
        rows += _line_points(f"pinned line, {ENGINE_SPEED}", kept, name)
    header = ("curve", "value", series.axes.flow_label, series.axes.ratio_label, "pin", "region")
    return csv_text(header, rows, about)


def line_csv(series: LineSeries) -> str:
    """CSV text of an operating line on the map's axes; blank where there is no solution."""
    rows = (row[1:4] + row[5:] for row in _line_points("", series, ""))
    return csv_text((ENGINE_SPEED, series.axes.flow_label, series.axes.ratio_label, "region"), rows)


def strips_csv(
    strips: Sequence[StripSeries],
    others: Sequence[tuple[Sequence[StripSeries], str]] = (),
    about: Columns = (),
    bands: Sequence[tuple[StripSeries, StripBand, str]] = (),
) -> str:
    """CSV text of strips: engine speed, then every curve, bound and target with its unit.

    Parameters
    ----------
    strips : sequence of StripSeries
        Strips of one match.
    others : sequence of (sequence of StripSeries, str)
        The same strips of matches kept for comparison, with their names; those of other keys
        or units are left out. Rows they do not share with the match are blank in its columns.
    about : sequence of (str, str)
        Columns at the end that say the same in every row.
    bands : sequence of (StripSeries, StripBand, str)
        Bands about curves, with the strip they stand in and what else is said of them.
    """
    columns: list[tuple[str, Floats, Floats]] = []
    for strip in strips:
        columns += _curves(strip, "")
        columns += [
            (f"{strip.title}, {bound.name} [{strip.unit}]", strip.engine_speed,
             np.full(strip.engine_speed.shape, bound.value))
            for bound in strip.bounds
        ]  # fmt: skip
        if strip.target is not None:
            held = np.full(strip.engine_speed.shape, strip.target.value)
            columns.append((f"{strip.title}, target [{strip.unit}]", strip.engine_speed, held))
    for strip, band, words in bands:
        for edge, values in (("5 %", band.low), ("middle", band.middle), ("95 %", band.high)):
            title = f"{strip.title}, {band.name}, {edge}{words} [{strip.unit}]"
            columns.append((title, band.engine_speed, values))
    shown = {(strip.key, strip.unit) for strip in strips}
    for kept, name in others:
        for strip in kept:
            if (strip.key, strip.unit) in shown:
                columns += _curves(strip, f"{name}: ")
    if not columns:
        return csv_text((ENGINE_SPEED,), (), about)
    speeds = np.unique(np.concatenate([speed for _, speed, _ in columns]))
    table = np.full((speeds.size, len(columns)), np.nan)
    for k, (_, speed, values) in enumerate(columns):
        table[np.searchsorted(speeds, speed), k] = values
    header = [ENGINE_SPEED, *(title for title, _, _ in columns)]
    rows = ([_number(v) for v in (n, *row)] for n, row in zip(speeds, table, strict=True))
    return csv_text(header, rows, about)


def _curves(strip: StripSeries, before: str) -> list[tuple[str, Floats, Floats]]:
    return [
        (f"{before}{strip.title}, {curve.name} [{strip.unit}]", strip.engine_speed, curve.values)
        for curve in strip.curves
    ]


__all__ = ["csv_text", "line_csv", "line_points", "map_csv", "map_points", "strips_csv"]
