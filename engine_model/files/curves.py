"""Curves of a map's document as arrays, without the points that are themselves at fault."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from shapely import LineString, MultiPoint, Polygon

from engine_model.errors import Fault
from engine_model.files.reading import describe

Floats = NDArray[np.float64]

LARGEST_FLOW: Final = 1e5
"""Largest number taken for a corrected flow in any unit [kg/s]; chosen here."""

RATIO_RANGE: Final = (1.0, 8.0)
"""Pressure ratios of one stage [-]; common practice, no source."""

PEN_NOISE: Final = 0.003
"""Noise of a hand trace as a share of an axis [-]; common practice, no source."""


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """The sound points of one curve.

    Parameters
    ----------
    where : str
        Place of its list of points.
    numbers : tuple of int
        Number of every sound point in the file.
    points : ndarray
        Corrected flow [kg/s] and pressure ratio [-], a row a point.
    count : int
        Points in the file, sound or not.
    """

    where: str
    numbers: tuple[int, ...]
    points: Floats
    count: int

    @property
    def begins(self) -> bool:
        """Whether its first point is sound."""
        return self.numbers[0] == 0

    @property
    def ends(self) -> bool:
        """Whether its last point is sound."""
        return self.numbers[-1] == self.count - 1

    @property
    def flow(self) -> Floats:
        """Corrected flow [kg/s]."""
        return np.asarray(self.points[:, 0])

    @property
    def ratio(self) -> Floats:
        """Pressure ratio [-]."""
        return np.asarray(self.points[:, 1])

    def place(self, row: int) -> str:
        """Place of a point in the file."""
        return f"{self.where}[{self.numbers[row]}]"


@dataclass(frozen=True, slots=True, eq=False)
class Chart:
    """Every curve of a map that has two sound points or more.

    Parameters
    ----------
    lines : tuple of (int, float or None, Curve)
        Number, corrected speed [rpm] and points of every speed line.
    surge, choke : Curve, optional
        The limits.
    islands : tuple of (int, float, bool, Curve)
        Number, efficiency [-], whether closed, and points of every island.
    span : ndarray
        Width of the map in flow [kg/s] and in pressure ratio [-].
    faults : tuple of Fault
        Points out of range.
    """

    lines: tuple[tuple[int, float | None, Curve], ...]
    surge: Curve | None
    choke: Curve | None
    islands: tuple[tuple[int, float, bool, Curve], ...]
    span: Floats
    faults: tuple[Fault, ...]


def chart_of(document: dict[str, Any]) -> Chart:
    """Curves of a map's document.

    Parameters
    ----------
    document : dict
        The document, its structure sound; parts may be absent, items None.

    Returns
    -------
    Chart
        The curves, and the points that are out of range as faults.
    """
    faults: list[Fault] = []
    lines = []
    for number, line in enumerate(document.get("speed_lines") or ()):
        where = f"speed_lines[{number}].points"
        curve = _curve(where, (line or {}).get("points"), faults)
        if curve is not None:
            lines.append((number, line.get("corrected_speed_rpm"), curve))
    islands = []
    for number, island in enumerate(document.get("islands") or ()):
        where = f"islands[{number}].points"
        curve = _curve(where, (island or {}).get("points"), faults)
        if curve is not None and {"efficiency", "closed"} <= set(island):
            islands.append((number, island["efficiency"], island["closed"], curve))
    surge = _curve("surge_line", document.get("surge_line"), faults)
    choke = _curve("choke_line", document.get("choke_line"), faults)
    span = np.ones(2)
    if lines:
        span = np.ptp(np.vstack([curve.points for _, _, curve in lines]), axis=0)
        span[span <= 0.0] = 1.0
    return Chart(tuple(lines), surge, choke, tuple(islands), span, tuple(faults))


def _curve(where: str, points: Any, faults: list[Fault]) -> Curve | None:
    sound = []
    for number, point in enumerate(points or ()):
        if point is None:
            continue
        found = list(_out_of_range(f"{where}[{number}]", point[0], point[1]))
        faults += found
        if not found:
            sound.append((number, point[:2]))
    if len(sound) < 2:
        return None
    numbers, pairs = zip(*sound, strict=True)
    return Curve(where, numbers, np.array(pairs, dtype=float), len(points))


def _out_of_range(where: str, flow: float, ratio: float) -> Iterator[Fault]:
    if not 0.0 < flow <= LARGEST_FLOW:
        allowed = "a flow above 0" if flow <= 0.0 else f"a flow up to {LARGEST_FLOW:.0f} kg/s"
        yield Fault(where, f"a flow of {describe(flow)} kg/s", allowed)
    low, high = RATIO_RANGE
    if not low <= ratio <= high:
        allowed = f"a pressure ratio from {low:g} to {high:g}"
        yield Fault(where, f"a pressure ratio of {describe(ratio)}", allowed)


def line_string(curve: Curve, span: Floats, *, closed: bool = False) -> LineString:
    """Curve as a line on axes scaled to one.

    Parameters
    ----------
    curve : Curve
        The curve.
    span : ndarray
        Width of the map, flow [kg/s] and pressure ratio [-].
    closed : bool
        Whether it ends where it begins.

    Returns
    -------
    LineString
        The line. [-]
    """
    points = curve.points / span
    return LineString(np.vstack([points, points[:1]]) if closed else points)


def polygon(curve: Curve, span: Floats) -> Polygon:
    """Closed curve as an area on axes scaled to one.

    Parameters
    ----------
    curve : Curve
        The curve, of three points or more.
    span : ndarray
        Width of the map, flow [kg/s] and pressure ratio [-].

    Returns
    -------
    Polygon
        The area. [-]
    """
    return Polygon(curve.points / span)


def near(geometry: Any, span: Floats) -> str:
    """Words for the place of a crossing on the map.

    Parameters
    ----------
    geometry : shapely geometry
        Where two curves meet, on axes scaled to one.
    span : ndarray
        Width of the map, flow [kg/s] and pressure ratio [-].

    Returns
    -------
    str
        Flow and pressure ratio of its first point.
    """
    parts = getattr(geometry, "geoms", [geometry])
    first = MultiPoint([one.coords[0] for one in parts]).geoms[0]
    return f"near {first.x * span[0]:.4g} kg/s and pressure ratio {first.y * span[1]:.3g}"
