"""Series of an operating line on the axes of a compressor map."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.present.series_axes import MapAxes
from engine_model.results import REGION_NAMES, OperatingLine

Floats = NDArray[np.float64]

ON_MAP = REGION_NAMES.index("on the map")
TICK, LABELLED = 500.0, 1000.0
"""Spacing of the engine-speed ticks, and of the labelled ones [rpm]."""


@dataclass(frozen=True, slots=True)
class Piece:
    """Points ``start`` to ``stop`` (not included) of one region."""

    start: int
    stop: int
    region: str

    @property
    def solid(self) -> bool:
        """Whether it lies on the map."""
        return self.region == REGION_NAMES[ON_MAP]


@dataclass(frozen=True, slots=True, eq=False)
class LineSeries:
    """An operating line ready to draw; flow in the axes' unit, engine speed in rpm.

    ``slips_from`` is the engine speed from which the belt slips or no longer drives, nan where
    it holds; ``slip_words`` says so.
    """

    name: str
    axes: MapAxes
    engine_speed: Floats
    flow: Floats
    ratio: Floats
    region_index: NDArray[np.int8]
    pieces: tuple[Piece, ...]
    tick_speed: Floats
    tick_flow: Floats
    tick_ratio: Floats
    tick_labelled: NDArray[np.bool_]
    limiter: float
    slips_from: float = float("nan")
    slip_words: str = ""

    def at(self, engine_speed: float) -> tuple[float, float]:
        """Flow and pressure ratio at an engine speed [rpm]; nan off the line."""
        x = self.engine_speed
        if not x.size or not x[0] <= engine_speed <= x[-1]:
            return float("nan"), float("nan")
        return (
            float(np.interp(engine_speed, x, self.flow)),
            float(np.interp(engine_speed, x, self.ratio)),
        )


def _pieces(region: NDArray[np.int8], finite: NDArray[np.bool_]) -> tuple[Piece, ...]:
    if not region.size:
        return ()
    kind = np.where(finite, region, -1)
    edges = np.flatnonzero(np.diff(kind)) + 1
    starts = np.concatenate([[0], edges]).tolist()
    stops = np.concatenate([edges, [kind.size]]).tolist()
    pieces = []
    for start, stop in zip(starts, stops, strict=True):
        if kind[start] < 0:
            continue
        # share the first point of the next piece, so that the drawing has no gap
        joined = stop < kind.size and kind[stop] >= 0
        pieces.append(Piece(start, stop + int(joined), REGION_NAMES[kind[start]]))
    return tuple(pieces)


def line_series(
    line: OperatingLine, axes: MapAxes, name: str = "", limiter: float = float("nan")
) -> LineSeries:
    """Series of a one-dimensional operating line.

    Parameters
    ----------
    line : OperatingLine
        The line, one-dimensional over engine speed.
    axes : MapAxes
        Axes of the map it is drawn on.
    name : str
        What the line is called where several are drawn.
    limiter : float
        Engine speed to mark as the limiter. [rpm]

    Returns
    -------
    LineSeries
        Points by rising engine speed; nan where there is no solution.
    """
    speed = line.engine_speed_rpm
    flow, ratio, region = line.corrected_flow_kg_s, line.pressure_ratio, line.region_index
    if speed.size > 1 and np.any(speed[1:] < speed[:-1]):
        order = np.argsort(speed, kind="stable")
        speed, flow, ratio, region = speed[order], flow[order], ratio[order], region[order]
    shown = flow * axes.flow_scale
    finite = np.isfinite(shown) & np.isfinite(ratio)
    slips_from, words = _slip_of(line)
    ticks = np.empty(0)
    if speed.size:
        ticks = np.arange(np.ceil(speed[0] / TICK), np.floor(speed[-1] / TICK) + 1.0) * TICK
    tick_flow = np.interp(ticks, speed, shown) if ticks.size else ticks
    tick_ratio = np.interp(ticks, speed, ratio) if ticks.size else ticks
    good = np.isfinite(tick_flow) & np.isfinite(tick_ratio)
    ticks, tick_flow, tick_ratio = ticks[good], tick_flow[good], tick_ratio[good]
    return LineSeries(
        name,
        axes,
        speed,
        shown,
        ratio,
        region,
        _pieces(region, finite),
        ticks,
        tick_flow,
        tick_ratio,
        np.mod(ticks, LABELLED) == 0.0,
        limiter,
        slips_from,
        words,
    )


def _slip_of(line: OperatingLine) -> tuple[float, str]:
    """Engine speed [rpm] from which the belt slips, and the words at that place of the line."""
    slips = np.flatnonzero(line.belt_slip > 0.0)
    if not slips.size:
        return float("nan"), ""
    first = int(slips[np.argmin(line.engine_speed_rpm[slips])])
    speed = float(line.engine_speed_rpm[first])
    if line.belt_slip[first] < 1.0:
        return speed, f"belt slips from {speed:.0f}"
    # where it stands nothing is drawn: the words stand at the last point before
    before = line.engine_speed_rpm[line.engine_speed_rpm < speed]
    at = float(before.max()) if before.size else speed
    return at, f"belt not driving from {speed:.0f}"


def ranges_around(
    series: LineSeries | None, flow_range: tuple[float, float], ratio_range: tuple[float, float]
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Ranges of flow and pressure ratio that hold a map's own and the line, where it leaves them.

    Parameters
    ----------
    series : LineSeries or None
        The line on the map's axes.
    flow_range, ratio_range : tuple of float
        The map's own ranges, in the axes' unit and [-].
    """
    if series is None:
        return flow_range, ratio_range
    good = np.isfinite(series.flow) & np.isfinite(series.ratio)
    if not good.any():
        return flow_range, ratio_range
    flow = _widened(flow_range, series.flow[good], 0.04)
    return flow, _widened(ratio_range, series.ratio[good], 0.05)


def lowered(ratio_range: tuple[float, float], share: float) -> tuple[float, float]:
    """Range of pressure ratios with such a share of it, or more, under 1.

    Examples
    --------
    >>> lowered((0.95, 2.0), 0.2)
    (0.75, 2.0)
    """
    low, high = ratio_range
    return min(low, (1.0 - share * high) / (1.0 - share)), high


def _widened(own: tuple[float, float], values: Floats, share: float) -> tuple[float, float]:
    room = share * (own[1] - own[0])
    low, high = float(values.min()), float(values.max())
    return low - room if low < own[0] else own[0], high + room if high > own[1] else own[1]
