"""Bands of the error bars for the charts of the Line place, and their columns for files."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from app.chart_tools.band_parts import ShownBand
from app.chart_tools.strip_parts import widest
from app.present.series import STRIP_OF, ChartUnits, MapAxes, nice_range
from engine_model.units import from_si

if TYPE_CHECKING:
    from app.present.series_error_bars import MapBand, StripBand
    from engine_model.studies.uncertain_records import ErrorBars

Floats = NDArray[np.float64]

FINE = 20
"""Steps of a range that bands ask for, as fine as those of the strips."""


@dataclass(frozen=True, slots=True, eq=False)
class LineBands:
    """Bands ready to draw and to write.

    Parameters
    ----------
    on_map : ShownBand or None
        On the compressor map.
    on_strips : mapping
        On the strips, by their keys.
    map_numbers : MapBand or None
        The same for a table.
    strip_numbers : mapping
        The same for a table, by the strips' keys.
    words : str
        What the bands are.
    end : str
        What a title of a table adds; empty while the bands are of the build shown.
    """

    on_map: ShownBand | None = None
    on_strips: Mapping[str, tuple[ShownBand, ...]] = field(default_factory=dict)
    map_numbers: MapBand | None = None
    strip_numbers: Mapping[str, Sequence[StripBand]] = field(default_factory=dict)
    words: str = ""
    end: str = ""


NO_BANDS = LineBands()


def line_bands(
    bars: ErrorBars | None,
    axes: MapAxes | None,
    keys: Sequence[str],
    units: ChartUnits,
    *,
    is_old: bool,
) -> LineBands:
    """Bands of error bars on the axes of the map and on strips.

    Parameters
    ----------
    bars : ErrorBars or None
        The error bars; without them there are no bands.
    axes : MapAxes or None
        Axes of the map, where one is shown.
    keys : sequence of str
        Keys of the strips.
    units : ChartUnits
        Units of the strips.
    is_old : bool
        Whether the error bars are of a former build.
    """
    if bars is None:
        return NO_BANDS
    # the words come in with the first error bars
    from app.present.chance_words import BAND_SHORT, OLD, band_words
    from app.present.series_error_bars import map_band, strip_bands

    words = band_words(is_old=is_old)
    end = f", {OLD}" if is_old else ""
    short = f"{BAND_SHORT}, last stop" if is_old else BAND_SHORT
    numbers = None if axes is None else map_band(bars, axes)
    on_map = None if numbers is None else ShownBand(numbers.rings, words, is_old)
    found = {key: strip_bands(bars, key, units) for key in keys}
    drawn = {
        key: tuple(
            ShownBand(
                _rings(key, one),
                short,
                is_old,
                style=_style(key, one.name),
                value_range=_range(key, one, units),
            )
            for one in some
        )
        for key, some in found.items()
        if some
    }
    return LineBands(on_map, drawn, numbers, found, words, end)


def _style(key: str, name: str) -> str:
    return next(style for _, words, style in STRIP_OF[key].fields if words == name)


def _rings(key: str, band: StripBand) -> tuple[Floats, ...]:
    """Polygons of a band; with a band of doubt beside it, through its widest places as that is."""
    if all(style != "edge" for _, _, style in STRIP_OF[key].fields):
        return band.rings
    good = np.isfinite(band.low) & np.isfinite(band.middle) & np.isfinite(band.high)
    x, middle = band.engine_speed[good], band.middle[good]
    if x.size < 2 or len(band.rings) != 1:
        return band.rings
    below = middle - widest(x, middle - band.low[good])
    above = middle + widest(x, band.high[good] - middle)
    there, back = np.column_stack([x, below]), np.column_stack([x, above])[::-1]
    return (np.concatenate([there, back, there[:1]]),)


def _range(key: str, band: StripBand, units: ChartUnits) -> tuple[float, float] | None:
    """Range that shows a band, no lower than its strip goes."""
    if not band.rings:
        return None
    strip = STRIP_OF[key]
    floor = float(from_si(strip.floor, strip.unit_of(units), strip.quantity))
    low = max(min(float(ring[:, 1].min()) for ring in band.rings), floor)
    high = max(max(float(ring[:, 1].max()) for ring in band.rings), floor)
    bottom = low if low in (0.0, floor) else low - 0.04 * (high - low)
    bottom, top = nice_range(bottom, high + 0.04 * (high - low), FINE)
    return max(bottom, floor), top
