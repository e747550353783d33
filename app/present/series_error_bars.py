"""Series of the error bars: polygons of the bands on map and strips, bars of what to measure.

For the window: :func:`map_band` goes under the operating line on a compressor map,
:func:`strip_bands` under the curves of a strip, :func:`measure_first_series` into the chart
``measure_first`` of the registry.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.fields import Units, show
from app.present.error_bar_words import SPREAD_NAMES, explained_words, first_words, spread_text
from app.present.series_axes import SI_CHARTS, ChartUnits, MapAxes, nice_range
from app.present.strip_table import STRIP_OF
from engine_model.studies.uncertain_inputs import InputSpread
from engine_model.studies.uncertain_records import ErrorBars
from engine_model.units import from_si

Floats = NDArray[np.float64]

LEAST_SHARE = 0.005
"""Share of the variance from which an input has a bar of its own [-]."""


@dataclass(frozen=True, slots=True, eq=False)
class StripBand:
    """Band of one curve of a strip, in the strip's unit.

    Parameters
    ----------
    name : str
        The curve's name in the strip.
    engine_speed : ndarray
        Engine speeds, rising. [rpm]
    low, middle, high : ndarray
        5, 50 and 95 % of the samples; nan where none has a solution.
    rings : tuple of ndarray, shape (n, 2)
        Closed polygons between the edges, engine speed and value; one a stretch without gaps.
    """

    name: str
    engine_speed: Floats
    low: Floats
    middle: Floats
    high: Floats
    rings: tuple[Floats, ...]


@dataclass(frozen=True, slots=True, eq=False)
class MapBand:
    """Band about the operating line on a compressor map's axes.

    Parameters
    ----------
    engine_speed : ndarray
        Engine speeds, rising. [rpm]
    flow, ratio : ndarray
        The middle line.
    low, high : (ndarray, ndarray)
        Flow and ratio of the edges: towards choke, and towards surge.
    rings : tuple of ndarray, shape (n, 2)
        Closed polygons, flow in the axes' unit and pressure ratio; one a stretch without gaps.
        Where the line turns sharply a ring can cross itself: fill it by the winding rule.
    """

    engine_speed: Floats
    flow: Floats
    ratio: Floats
    low: tuple[Floats, Floats]
    high: tuple[Floats, Floats]
    rings: tuple[Floats, ...]


@dataclass(frozen=True, slots=True)
class FirstBar:
    """One bar: an input, what it explains, and its spread.

    Parameters
    ----------
    title : str
        Name of the input, as a label.
    share : float
        Share of the variance. [-]
    share_words : str
        The same as text.
    spread_words : str
        Its spread and whether the value is given or assumed.
    path : str
        Path of the input; empty where it is no field.
    """

    title: str
    share: float
    share_words: str
    spread_words: str
    path: str


@dataclass(frozen=True, slots=True)
class FirstSeries:
    """What to measure first, ready to draw.

    Parameters
    ----------
    title : str
        What the bars are.
    verdict : str
        What to measure first, as a sentence.
    bars : tuple of FirstBar
        The largest first; inputs that explain next to nothing are left out.
    left_out : str
        What is left out, in words; empty where nothing is.
    notes : str
        How much of the variance the inputs explain one by one.
    share_range : (float, float)
        Range of the axis of shares. [%]
    spoken : str
        What the chart says to who cannot see it.
    """

    title: str
    verdict: str
    bars: tuple[FirstBar, ...]
    left_out: str
    notes: str
    share_range: tuple[float, float]
    spoken: str


def _rings(x_low: Floats, low: Floats, x_high: Floats, high: Floats) -> tuple[Floats, ...]:
    """Closed polygons along the low edge and back along the high one, one a stretch of numbers."""
    known = np.isfinite(x_low) & np.isfinite(low) & np.isfinite(x_high) & np.isfinite(high)
    edges = np.flatnonzero(np.diff(np.concatenate([[False], known, [False]]).astype(int)))
    rings = []
    for start, stop in edges.reshape(-1, 2).tolist():
        if stop - start < 2:
            continue
        there = np.column_stack([x_low[start:stop], low[start:stop]])
        back = np.column_stack([x_high[start:stop], high[start:stop]])[::-1]
        rings.append(np.concatenate([there, back, there[:1]]))
    return tuple(rings)


def map_band(bars: ErrorBars, axes: MapAxes) -> MapBand | None:
    """Band about the operating line on the axes of a compressor map.

    Parameters
    ----------
    bars : ErrorBars
        The study.
    axes : MapAxes
        Axes of the map it is drawn on.

    Returns
    -------
    MapBand or None
        Middle line and polygons; nothing without a compressor.
    """
    band = bars.line_band
    if band is None:
        return None
    order = np.argsort(bars.engine_speed, kind="stable")
    scale = axes.flow_scale
    low = band.low_flow[order] * scale, band.low_ratio[order]
    high = band.high_flow[order] * scale, band.high_ratio[order]
    speed, flow = bars.engine_speed[order], band.flow[order] * scale
    return MapBand(speed, flow, band.ratio[order], low, high, _rings(*low, *high))


def strip_bands(bars: ErrorBars, key: str, units: ChartUnits = SI_CHARTS) -> tuple[StripBand, ...]:
    """Bands of the curves of a strip, in the strip's unit.

    Parameters
    ----------
    bars : ErrorBars
        The study.
    key : str
        Key of the strip in its registry, such as ``power``.
    units : ChartUnits
        Display units.

    Returns
    -------
    tuple of StripBand
        One a curve that has a band, in the strip's order; edges of a band of doubt have none.
    """
    strip = STRIP_OF[key]
    unit = strip.unit_of(units)
    order = np.argsort(bars.engine_speed, kind="stable")
    speed = bars.engine_speed[order]
    found = []
    for field, name, _ in strip.fields:
        if field not in bars.has:
            continue
        band = bars.band(field)
        low, middle, high = (
            np.asarray(from_si(edge[order], unit, strip.quantity), dtype=float)
            for edge in (band.low, band.middle, band.high)
        )
        found.append(StripBand(name, speed, low, middle, high, _rings(speed, low, speed, high)))
    return tuple(found)


def measure_first_series(bars: ErrorBars, units: Units = "si") -> FirstSeries | None:
    """What to measure first, as bars; nothing where the power has no spread.

    Parameters
    ----------
    bars : ErrorBars
        The study.
    units : Units
        Units shown.
    """
    spreads = {one.key: one for one in bars.spreads}
    known = [one for one in bars.measure_first if not math.isnan(one.share)]
    shown = [one for one in known if one.share >= LEAST_SHARE]
    if not shown:
        return None
    rows = tuple(_bar(spreads[one.key], one.share, units) for one in shown)
    rest = [SPREAD_NAMES[one.key].name for one in known if one.share < LEAST_SHARE]
    left_out = f"under {100.0 * LEAST_SHARE:g} % each: {', '.join(rest)}" if rest else ""
    peak = bars.peak_wheel_power  # every unit of power has the same zero
    deviation = show(peak.deviation, "power", units)
    title = (
        f"Share of the spread in highest wheel power, {show(peak.middle, 'power', units)} "
        f"±{deviation} (one standard deviation)"
    )
    told = "; ".join(f"{one.title} {one.share_words}" for one in rows)
    top = 100.0 * max(one.share for one in rows)
    return FirstSeries(
        title,
        first_words(bars, others=0),
        rows,
        left_out,
        explained_words(bars),
        (0.0, nice_range(0.0, top)[1]),
        f"{title}: {told}",
    )


def _bar(spread: InputSpread, share: float, units: Units) -> FirstBar:
    name = SPREAD_NAMES[spread.key].name
    return FirstBar(
        name[0].upper() + name[1:],
        share,
        f"{100.0 * share:.0f} %" if share >= 0.095 else f"{100.0 * share:.1f} %",
        f"{spread_text(spread, units)}, {spread.basis}",
        spread.path,
    )


def measure_first_csv(
    bars: ErrorBars, units: Units = "si", about: Sequence[tuple[str, str]] = ()
) -> str:
    """CSV text of what to measure first, an input a row.

    Parameters
    ----------
    bars : ErrorBars
        The study.
    units : Units
        Units shown.
    about : sequence of (str, str)
        Columns at the end that say the same in every row.
    """
    shares = {one.key: one.share for one in bars.measure_first}
    spreads = sorted(bars.spreads, key=lambda one: -shares.get(one.key, 0.0))
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    header = ["input", "share of the variance [%]", "spread, one standard deviation", "basis"]
    writer.writerow([*header, "origin", *(name for name, _ in about)])
    for one in spreads:
        share = shares.get(one.key, 0.0)
        text = f"{100.0 * share:.4g}" if math.isfinite(share) else ""
        row = [SPREAD_NAMES[one.key].name, text, spread_text(one, units), one.basis, one.origin]
        writer.writerow([*row, *(text for _, text in about)])
    return out.getvalue()


def bands_csv(bars: ErrorBars, units: ChartUnits = SI_CHARTS) -> str:
    """CSV text of the bands of every strip that has some, an engine speed a row."""
    header, columns = ["engine speed [rpm]"], [np.sort(bars.engine_speed, kind="stable")]
    for strip in STRIP_OF.values():
        unit = strip.unit_of(units)
        for band in strip_bands(bars, strip.key, units):
            for edge, values in (("5 %", band.low), ("middle", band.middle), ("95 %", band.high)):
                header.append(f"{strip.title}, {band.name}, {edge} [{unit}]")
                columns.append(values)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(header)
    for row in zip(*columns, strict=True):
        writer.writerow([f"{v:.7g}" if math.isfinite(v) else "" for v in row])
    return out.getvalue()


__all__ = [
    "FirstBar",
    "FirstSeries",
    "MapBand",
    "StripBand",
    "bands_csv",
    "map_band",
    "measure_first_csv",
    "measure_first_series",
    "strip_bands",
]
