"""What the other curves of a map say of one: speed lines and islands left out in turn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator, RBFInterpolator

from engine_model.compressor.lines import isentropic_head, log_pressure_ratio
from engine_model.compressor.map_data import CompressorMap
from engine_model.compressor.surface import Surface
from engine_model.compressor.surface_fit import ISLAND_SMOOTHING

Floats = NDArray[np.float64]

_PLACES: Final = 49  # along a predicted line
_BEYOND: Final = 0.25  # of the map a predicted line is prolonged at its ends
_POINTS: Final = 14  # of an island are looked at
_STEP: Final = 0.01  # of the map over which a slope is taken
_LEAST_SLOPE: Final = 0.05  # of efficiency over the map


@dataclass(frozen=True, slots=True, eq=False)
class Expected:
    """Coefficients of the speed lines, for lines left out in turn; make it with `expected_of`.

    Parameters
    ----------
    compressor_map : CompressorMap
        The map.
    speeds : ndarray
        Corrected speeds. [rpm]
    table : ndarray, shape (lines, columns)
        Surge flow/speed [kg/(s rpm)], choke flow/speed, surge head/speed^2 [J/(kg rpm^2)], then
        flow and head along the line on their own scale [-].
    span : ndarray, shape (2,)
        Width of the map in flow [kg/s] and in pressure ratio [-].
    surge : ndarray, shape (n, 2)
        Head [J/kg] and flow [kg/s] along the traced surge line.
    """

    compressor_map: CompressorMap
    speeds: Floats
    table: Floats
    span: Floats
    surge: Floats

    def line(self, left_out: Sequence[int], speed: float) -> Floats:
        """Points of flow [kg/s] and pressure ratio [-] of a line [rpm] by all but some."""
        kept = ~np.isin(np.arange(self.speeds.size), left_out)
        speeds, table = self.speeds[kept], self.table[kept]
        inside = float(np.clip(speed, speeds[0], speeds[-1]))
        row = PchipInterpolator(speeds, table, axis=0)(inside)
        if inside != speed:  # coefficients run straight on, the shape stays
            a, b = (0, 1) if speed < inside else (-2, -1)
            slope = (table[b, :3] - table[a, :3]) / (speeds[b] - speeds[a])
            row[:3] += slope * (speed - inside)
        flow_shape, head_shape = np.split(row[3:], 2)
        head = row[2] * speed**2 * head_shape
        surge = self._surge_flow(float(head[0]), float(row[0] * speed))
        flow = surge + flow_shape * (row[1] * speed - surge)
        reference = self.compressor_map.reference_temperature
        ratio = np.exp(log_pressure_ratio(head, reference))
        return np.column_stack([flow, ratio])

    def _surge_flow(self, head: float, otherwise: float) -> float:
        """Flow of the traced surge line at a head it reaches."""
        heads, flows = self.surge.T
        if not heads[0] <= head <= heads[-1]:
            return otherwise
        return float(np.interp(head, heads, flows))

    def distances(
        self, number: int, speed: float | None = None, without: Sequence[int] = ()
    ) -> tuple[Floats, Floats]:
        """Distance of each point of a line from what the others say of a speed.

        Parameters
        ----------
        number : int
            Number of the line.
        speed : float, optional
            Speed it is held against, its own if not given. [rpm]
        without : sequence of int
            Lines that have no say either.

        Returns
        -------
        distance : ndarray
            As a share of the map. [-]
        above : ndarray of bool
            Whether the point lies on the far side of the expected line.
        """
        asked = float(self.speeds[number]) if speed is None else speed
        curve = self.line([number, *without], asked) / self.span
        left = curve[0] - (_BEYOND, 0.0)
        right = curve[-1] - (0.0, _BEYOND)
        line = np.vstack([left, curve, right])
        points = np.array(self.compressor_map.speed_lines[number].points) / self.span
        apart = shapely.distance(shapely.LineString(line), shapely.points(points))
        ground = min(line[:, 1].min(), points[:, 1].min()) - 1.0
        below = [(line[-1, 0], ground), (line[0, 0], ground)]
        area = shapely.Polygon([*line.tolist(), *below])
        inside = shapely.contains_xy(area, points[:, 0], points[:, 1])
        return np.asarray(apart), np.asarray(~inside)


def expected_of(surface: Surface) -> Expected:
    """Coefficients of a map's speed lines.

    Parameters
    ----------
    surface : Surface
        The fit to a map of three speed lines or more; it runs through every line.

    Returns
    -------
    Expected
        To ask what the other lines say of one.

    References
    ----------
    Similarity of compressors: at equal flow and head coefficients W/N and head/N^2 stay.
    """
    compressor_map, speeds = surface.compressor_map, surface.line_speeds
    t_ref = compressor_map.reference_temperature
    flow, ratio, _ = surface.line(speeds[:, None], np.linspace(0.0, 1.0, _PLACES))
    head = isentropic_head(ratio, t_ref)
    surge, choke, top = flow[:, :1], flow[:, -1:], head[:, :1]
    n = speeds[:, None]
    ends = [surge / n, choke / n, top / n**2]
    table = np.hstack([*ends, (flow - surge) / (choke - surge), head / top])
    limit = np.array(compressor_map.surge_line)
    limit = np.column_stack([isentropic_head(limit[:, 1], t_ref), limit[:, 0]])
    every = np.vstack([line.points for line in compressor_map.speed_lines])
    return Expected(compressor_map, speeds, table, np.ptp(every, axis=0), limit)


def surge_gap(compressor_map: CompressorMap, line: int) -> float:
    """Distance of the beginning of a speed line from the surge line, as a share of the map [-]."""
    every = np.vstack([one.points for one in compressor_map.speed_lines])
    span = np.ptp(every, axis=0)
    limit = shapely.LineString(np.array(compressor_map.surge_line) / span)
    begin = np.array(compressor_map.speed_lines[line].points[0]) / span
    return float(limit.distance(shapely.Point(begin)))


def island_errors(compressor_map: CompressorMap, left_out: int) -> tuple[Floats, Floats] | None:
    """Efficiency the other islands say at the points of one, less its own.

    Parameters
    ----------
    compressor_map : CompressorMap
        The map.
    left_out : int
        Number of the island.

    Returns
    -------
    errors : ndarray
        At every point of the island, nan at those that were passed over. [-]
    distances : ndarray
        The same as a way across the map, a share of it. [-]

    None where the others are of one efficiency or too few.
    """
    islands = compressor_map.islands
    span = np.ptp(np.vstack([one.points for one in compressor_map.speed_lines]), axis=0)
    kept = [one for number, one in enumerate(islands) if number != left_out]
    if len({one.efficiency for one in kept}) < 2:
        return None
    some = [np.array(one.points)[_chosen(len(one.points))] / span for one in kept]
    values = np.concatenate(
        [np.full(len(part), one.efficiency) for one, part in zip(kept, some, strict=True)]
    )
    points = np.vstack(some)
    _, first = np.unique(np.round(points, 9), axis=0, return_index=True)
    basis = RBFInterpolator(
        points[first], values[first], kernel="cubic", smoothing=ISLAND_SMOOTHING
    )
    island = islands[left_out]
    chosen = _chosen(len(island.points))
    at = np.array(island.points)[chosen] / span
    moves = np.array([(0.0, 0.0), (_STEP, 0.0), (-_STEP, 0.0), (0.0, _STEP), (0.0, -_STEP)])
    found = basis((at[None, :, :] + moves[:, None, :]).reshape(-1, 2)).reshape(5, -1)
    slope = np.hypot(found[1] - found[2], found[3] - found[4]) / (2.0 * _STEP)
    errors = np.full(len(island.points), np.nan)
    distances = errors.copy()
    errors[chosen] = found[0] - island.efficiency
    distances[chosen] = np.abs(errors[chosen]) / np.maximum(slope, _LEAST_SLOPE)
    return errors, distances


def _chosen(count: int) -> NDArray[np.intp]:
    return np.unique(np.linspace(0, count - 1, min(count, _POINTS)).round().astype(np.intp))
