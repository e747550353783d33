"""Series of a compressor map: what the fitted surface looks like, in display units."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import contourpy
import numpy as np
from numpy.typing import NDArray

from app.present.series_axes import MapAxes, map_axes, nice_step, reference_text
from engine_model.compressor.surface import Surface

Floats = NDArray[np.float64]
Indices = NDArray[np.uint32]
Curve = tuple[Floats, Floats]

SPEED_ROWS, PLACE_COLUMNS = 121, 81
FALL_END = 1.3
"""Place s down to which the fall past choke is drawn [-]; the surface ends at 2."""

MOST_LEVELS = 8
LEAST_PEAK = 0.4
"""Share of a step by which the peak must pass the top level, or its island is a crumb [-]."""

_EDGE = 0.008
"""Efficiency over the lowest level from which the choke-side slope is carried on [-]."""
HEADROOM, ROOM_BELOW, ROOM_RIGHT = 1.04, 0.07, 0.12


@dataclass(frozen=True, slots=True, eq=False)
class SpeedLine:
    """One line of constant corrected speed: label, traced part, fall past choke."""

    label: str
    corrected_speed_rpm: float
    flow: Floats
    ratio: Floats
    fall_flow: Floats
    fall_ratio: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Band:
    """Where efficiency is at least a level: rings (odd-even filled), nested in the one below."""

    level: float
    rings: tuple[Floats, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Outline:
    """Where efficiency has a value: its text and pieces of (flow, ratio) points."""

    level: float
    label: str
    pieces: tuple[Floats, ...]


@dataclass(frozen=True, slots=True, eq=False)
class MapSeries:
    """A compressor map ready to draw; flow in the axes' unit, pressure ratio [-].

    ``below`` and ``above`` curves carry the surge and choke limits on by similarity.
    """

    axes: MapAxes
    title: str
    provenance: str
    reference: str
    note: str
    speed_lines: tuple[SpeedLine, ...]
    bands: tuple[Band, ...]
    outlines: tuple[Outline, ...]
    surge: Curve
    surge_below: Curve
    choke: Curve
    choke_below: Curve
    area: Floats
    flow_range: tuple[float, float]
    ratio_range: tuple[float, float]


def efficiency_levels(surface: Surface, efficiency: Floats) -> tuple[float, ...]:
    """Levels of the outlines [-]: those traced as islands, or round ones for a map without."""
    cmap = surface.compressor_map
    if cmap.islands:
        levels = sorted({island.efficiency for island in cmap.islands})
        return tuple(levels[:: -(-len(levels) // 12)])
    if not cmap.lines_have_efficiency:
        return ()
    top = float(np.nanmax(efficiency))
    low = max(float(np.nanpercentile(efficiency, 8.0)), top - 0.20)
    step = max(0.01, nice_step(top - low, MOST_LEVELS))
    first = np.ceil(low / step) * step
    return tuple(float(v) for v in np.round(np.arange(first, top - LEAST_PEAK * step, step), 4))


def _percent(level: float) -> str:
    return f"{100.0 * level:.4g} %"


def _rings(maker: contourpy.ContourGenerator, level: float, scale: float) -> tuple[Floats, ...]:
    """Rings around everything at or above a level, holes included."""
    # of contourpy's shapes of an answer, OuterOffset gives points and offsets by polygon
    points, offsets = cast("tuple[list[Floats], list[Indices]]", maker.filled(level, np.inf))
    rings: list[Floats] = []
    for outer, starts in zip(points, offsets, strict=True):
        rings += np.split(outer * (scale, 1.0), starts[1:-1].astype(np.intp))
    return tuple(rings)


def _ratio_range(highest: float) -> tuple[float, float]:
    """Range of pressure ratios, with room under 1 for the texts along the choke line."""
    rise = highest - 1.0
    return 1.0 - ROOM_BELOW * rise, 1.0 + HEADROOM * rise


def _off_plateau(efficiency: Floats, lowest: float) -> Floats:
    """Efficiency with the slope carried on where the fit stays at the lowest level.

    Beyond its lowest island a fit keeps efficiency, and an outline at the edge of such a
    plateau would be ragged; on each line the last slope towards choke shows where it lies.
    """
    carried = efficiency.copy()
    for row in carried:
        good = np.flatnonzero(row >= lowest + _EDGE)
        if good.size < 8 or good[-1] >= row.size - 2:
            continue
        last = int(good[-1])
        slope = min((row[last] - row[last - 3]) / 3.0, -1e-6)
        row[last + 1 :] = row[last] + slope * np.arange(1, row.size - last)
    return carried


def map_series(surface: Surface, axes: MapAxes | None = None) -> MapSeries:
    """Series of a fitted compressor map.

    Parameters
    ----------
    surface : Surface
        The fitted map.
    axes : MapAxes, optional
        Units of the axes; kg/s unless given.

    Returns
    -------
    MapSeries
        Computed once for a map and its units; the caller keeps it.
    """
    cmap = surface.compressor_map
    axes = map_axes(cmap) if axes is None else axes
    scale = axes.flow_scale
    speeds = surface.line_speeds
    place = np.linspace(0.0, 1.0, PLACE_COLUMNS)
    fall = np.linspace(1.0, FALL_END, 17)
    flow, ratio, _ = surface.line(speeds[:, None], place)
    fall_flow, fall_ratio, _ = surface.line(speeds[:, None], fall)
    flow, fall_flow = flow * scale, fall_flow * scale
    lines = tuple(
        # in 1000 rpm, as the words under the title say
        SpeedLine(f"{speed / 1000.0:.4g}", float(speed), *curves)
        for speed, *curves in zip(speeds, flow, ratio, fall_flow, fall_ratio, strict=True)
    )
    # outlines on the surface's own mesh: exactly the working area, nothing to mask
    rows = np.linspace(speeds[0], speeds[-1], SPEED_ROWS)
    mesh_flow, mesh_ratio, eta = surface.line(rows[:, None], place)
    levels = efficiency_levels(surface, eta)
    bands, outlines = [], []
    if levels:
        maker = contourpy.contour_generator(
            mesh_flow,
            mesh_ratio,
            _off_plateau(eta, levels[0]) if cmap.islands else eta,
            line_type=contourpy.LineType.Separate,
            fill_type=contourpy.FillType.OuterOffset,
        )
        for level in levels:
            bands.append(Band(level, _rings(maker, level, scale)))
            pieces = tuple(np.asarray(p) * (scale, 1.0) for p in maker.lines(level))
            outlines.append(Outline(level, _percent(level), pieces))
    surge = mesh_flow[:, 0] * scale, mesh_ratio[:, 0]
    choke = mesh_flow[:, -1] * scale, mesh_ratio[:, -1]
    slow = np.linspace(0.3 * speeds[0], speeds[0], 25)
    ends = np.array([0.0, 1.0])
    slow_flow, slow_ratio, _ = surface.line(slow[:, None], ends)
    slow_flow = slow_flow * scale
    area = np.vstack(
        [
            np.column_stack(surge),
            np.column_stack([flow[-1], ratio[-1]]),
            np.column_stack(choke)[::-1],
            np.column_stack([flow[0], ratio[0]])[::-1],
        ]
    )
    return MapSeries(
        axes,
        cmap.title,
        f"{cmap.provenance.kind}: {cmap.provenance.text}" if cmap.provenance.text else "",
        reference_text(cmap),
        "" if cmap.has_efficiency else "efficiency assumed, not traced",
        lines,
        tuple(bands),
        tuple(outlines),
        surge,
        (slow_flow[:, 0], slow_ratio[:, 0]),
        choke,
        (slow_flow[:, 1], slow_ratio[:, 1]),
        area,
        (0.0, float(np.max(flow)) * (1.0 + ROOM_RIGHT)),
        _ratio_range(float(np.max(ratio))),
    )


@dataclass(frozen=True, slots=True, eq=False)
class MapReadout:
    """What lies under the pointer on a map; quick enough for every move.

    Make it with :func:`map_readout`. Speeds in rpm, mesh flow in the axes' unit.
    """

    surface: Surface
    axes: MapAxes
    speeds: Floats
    places: Floats
    flow: Floats
    ratio: Floats
    efficiency: Floats
    impeller_per_corrected: float
    judged_above: float

    def words(self, flow: float, ratio: float) -> tuple[str, ...]:
        """Lines of text for a point of displayed flow and pressure ratio [-]."""
        first = (
            f"flow {flow:.{self.axes.flow_decimals}f} {self.axes.flow_unit}",
            f"pressure ratio {ratio:.3f}",
        )
        if not (flow > 0.0 and ratio > 1.0):
            return first
        fast = np.flatnonzero(self.flow[:, -1] >= flow)
        if not fast.size:
            return (*first, "past choke")
        s = np.array([np.interp(flow, self.flow[k], self.places) for k in fast])
        pairs = zip(fast, s, strict=True)
        heads = np.array([np.interp(place, self.places, self.ratio[k]) for k, place in pairs])
        speeds = self.speeds[fast]
        if fast[0] > 0:
            # the line that just passes the flow, at its choke end
            slow = slice(fast[0] - 1, fast[0] + 1)
            share = float(np.interp(flow, self.flow[slow, -1], [0.0, 1.0]))
            speeds = np.insert(speeds, 0, np.interp(share, [0.0, 1.0], self.speeds[slow]))
            heads = np.insert(heads, 0, np.interp(share, [0.0, 1.0], self.ratio[slow, -1]))
            s = np.insert(s, 0, 1.0)
            if ratio < heads[0]:
                return (*first, "past choke")
        heads = np.maximum.accumulate(heads)
        if ratio > heads[-1]:
            return (*first, "above the map")
        speed = float(np.interp(ratio, heads, speeds))
        place = float(np.interp(speed, speeds, s))
        if flow < float(self.surface.surge_flow(speed)) * self.axes.flow_scale * 0.6:
            return (*first, "left of surge")
        region = str(
            np.array(_REGION_WORDS)[self.surface.classify(speed, place, self.judged_above)]
        )
        eta = float(self.surface.line(speed, place)[2])
        rotor = speed * self.impeller_per_corrected
        rows = [f"impeller {rotor:,.0f} rpm".replace(",", " ")] if np.isfinite(rotor) else []
        return (*first, f"efficiency {100.0 * eta:.1f} %", *rows, region)


_REGION_WORDS = ("on the map", "below the map", "above the map", "left of surge", "past choke")


def map_readout(
    surface: Surface,
    axes: MapAxes,
    impeller_per_corrected: float = np.nan,
    judged_above: float = 1.30,
) -> MapReadout:
    """Look-up for the pointer on a map.

    Parameters
    ----------
    surface : Surface
        The fitted map.
    axes : MapAxes
        Its axes.
    impeller_per_corrected : float
        Impeller speed over corrected speed as on the day; nan leaves the row out. [-]
    judged_above : float
        Pressure ratio below which surge is not judged. [-]
    """
    speeds = np.linspace(0.25 * surface.line_speeds[0], 1.3 * surface.line_speeds[-1], 241)
    places = np.linspace(-1.0, 1.0, 81)
    flow, ratio, eta = surface.line(speeds[:, None], places)
    return MapReadout(
        surface,
        axes,
        speeds,
        places,
        flow * axes.flow_scale,
        ratio,
        eta,
        impeller_per_corrected,
        judged_above,
    )
