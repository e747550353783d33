"""Faults of speed lines and of the surge and choke lines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, Final

import numpy as np
from shapely import Point

from engine_model.errors import Fault
from engine_model.files.curves import PEN_NOISE, Chart, Curve, Floats, line_string
from engine_model.files.reading import describe
from engine_model.files.stacking_faults import stacking_faults

SPEED_RANGE: Final = (2000.0, 6e5)
"""Corrected impeller speeds believed [rpm]; chosen here."""

SURGE_MISS: Final = 0.1
"""How far a speed line may begin from the surge line, as a share of the map [-]; chosen here."""

POINT_EFFICIENCY: Final = (0.01, 0.95)
"""Efficiencies believed at a point of a speed line [-]; chosen here."""


def line_faults(document: dict[str, Any], chart: Chart) -> Iterator[Fault]:
    """Faults of the speed lines.

    Parameters
    ----------
    document : dict
        The map's document, its structure sound.
    chart : Chart
        Its curves.

    Yields
    ------
    Fault
        One a fault.
    """
    speeds = list(_speeds(document))
    yield from speeds
    for number, line in enumerate(document.get("speed_lines") or ()):
        if line:
            yield from _efficiencies(f"speed_lines[{number}]", line)
    for _, _, curve in chart.lines:
        order = list(_order(curve, _noise(chart)))
        yield from order
        if not order:
            yield from _second_rise(curve, PEN_NOISE * float(chart.span[1]))
    if not speeds:
        yield from stacking_faults(chart)


def _speeds(document: dict[str, Any]) -> Iterator[Fault]:
    before: tuple[int, float] | None = None
    first: dict[float, int] = {}
    for number, line in enumerate(document.get("speed_lines") or ()):
        speed = (line or {}).get("corrected_speed_rpm")
        if speed is None:
            continue
        where = f"speed_lines[{number}].corrected_speed_rpm"
        low, high = SPEED_RANGE
        if not low <= speed <= high:
            words = f"{low:g} to {high:.0f} rpm"
            if 0.0 < speed < low:
                words += f"; a speed in thousands of rpm is written out ({speed * 1000:.10g})"
            yield Fault(where, describe(speed), words)
        if speed in first:
            yield Fault(
                where, f"{speed:.10g} again", f"each speed once (speed_lines[{first[speed]}])"
            )
        elif before is not None and speed < before[1]:
            value = f"{speed:.10g} after {before[1]:.10g}"
            yield Fault(where, value, "corrected speeds that rise from line to line")
        first.setdefault(speed, number)
        before = (number, speed)


def _efficiencies(where: str, line: dict[str, Any]) -> Iterator[Fault]:
    points = [(n, point) for n, point in enumerate(line.get("points") or ()) if point is not None]
    told = [len(point) == 3 for _, point in points]
    if any(told) and not all(told):
        value = f"efficiency at {sum(told)} of {len(told)} points"
        yield Fault(f"{where}.points", value, "efficiency at every point of a line or at none")
    low, high = POINT_EFFICIENCY
    for number, point in points:
        if len(point) == 3 and not low <= point[2] <= high:
            value = f"an efficiency of {describe(point[2])}"
            yield Fault(f"{where}.points[{number}]", value, share_words(point[2], low, high))


def share_words(efficiency: float, low: float, high: float) -> str:
    """Words for the range of an efficiency, with a hint where per cent was meant.

    Parameters
    ----------
    efficiency : float
        What stands in the file. [-]
    low, high : float
        The range. [-]

    Returns
    -------
    str
        What is allowed.
    """
    words = f"{low:g} to {high:g} as a share"
    if low * 100.0 <= efficiency <= 100.0 and efficiency > 1.0:
        words += f" ({efficiency:g} % is {efficiency / 100.0:.6g})"
    return words


def _noise(chart: Chart) -> float:
    """Noise of a pen along the flow axis [kg/s]."""
    return PEN_NOISE * float(chart.span[0])


def _order(curve: Curve, noise: float) -> Iterator[Fault]:
    """Flows that turn back along a line, beyond the noise of a pen."""
    flow = curve.flow
    if np.all(np.diff(flow) <= noise) and flow[0] - flow[-1] > noise:
        yield Fault(curve.where, "points from choke to surge", "points from surge to choke")
        return
    furthest = flow[0]
    for row in range(1, flow.size):
        if flow[row] < furthest - noise:
            value = f"a flow of {flow[row]:.5g} kg/s after {furthest:.5g}"
            yield Fault(curve.place(row), value, "flows that rise from surge to choke")
        furthest = max(furthest, flow[row])


def _second_rise(curve: Curve, noise: float) -> Iterator[Fault]:
    """Rises of the pressure ratio after the first, each where it tops out."""
    rises = 0
    low = high = float(curve.ratio[0])
    top = 0
    rising: bool | None = None
    for row, ratio in enumerate(curve.ratio):
        if rising and ratio >= high:
            high, top = float(ratio), row
        elif rising and ratio < high - noise:
            if rises > 1:
                yield _rise(curve, low, high, top)
            rising, low = False, float(ratio)
        elif not rising:
            low = min(low, float(ratio))
            if ratio > low + noise:
                rising, rises, high, top = True, rises + 1, float(ratio), row
    if rising and rises > 1:
        yield _rise(curve, low, high, top)


def _rise(curve: Curve, low: float, high: float, top: int) -> Fault:
    value = f"a second rise of the pressure ratio, {low:.5g} to {high:.5g}"
    return Fault(curve.place(top), value, "one rise from surge, then a fall to choke")


def limit_faults(chart: Chart) -> Iterator[Fault]:
    """Faults of the surge line and of the choke line.

    Parameters
    ----------
    chart : Chart
        The map's curves.

    Yields
    ------
    Fault
        One a fault.
    """
    surge = chart.surge
    if surge is None:
        return
    found = list(_rising(surge, _noise(chart)))
    yield from found
    if found:
        return  # places beside a surge line that turns back cannot be judged
    lines = [one for one in chart.lines if not any(_order(one[2], _noise(chart)))]
    if len(surge.numbers) == surge.count:
        yield from _misses(chart, lines, surge)
    for number, _, curve in lines:
        if not curve.ends:
            continue
        limit = _surge_flow(surge, float(curve.ratio[-1]))
        if limit is not None and limit >= curve.flow[-1]:
            value = f"a choke end at {curve.flow[-1]:.5g} kg/s, surge there at {limit:.5g}"
            place = curve.place(curve.flow.size - 1)
            yield Fault(place, value, f"surge_line left of the end of speed_lines[{number}]")
    if chart.choke is None:
        return
    for row, (flow, ratio) in enumerate(chart.choke.points):
        limit = _surge_flow(surge, float(ratio))
        if limit is not None and flow <= limit:
            value = f"choke at {flow:.5g} kg/s, surge there at {limit:.5g}"
            yield Fault(chart.choke.place(row), value, "a choke line right of the surge line")


def _rising(surge: Curve, noise: float) -> Iterator[Fault]:
    flow, ratio = surge.flow, surge.ratio
    for row in range(1, flow.size):
        if ratio[row] <= ratio[row - 1]:
            value = f"a pressure ratio of {ratio[row]:.5g} after {ratio[row - 1]:.5g}"
            yield Fault(surge.place(row), value, "a pressure ratio that rises along the line")
        if flow[row] < flow[row - 1] - noise:
            value = f"a flow of {flow[row]:.5g} kg/s after {flow[row - 1]:.5g}"
            yield Fault(surge.place(row), value, "a flow that rises along the line")


def _misses(
    chart: Chart, lines: Sequence[tuple[int, float | None, Curve]], surge: Curve
) -> Iterator[Fault]:
    limit = line_string(surge, chart.span)
    for number, _, curve in lines:
        if not curve.begins:
            continue
        away = limit.distance(Point(curve.points[0] / chart.span))
        if away > SURGE_MISS and not limit.intersects(line_string(curve, chart.span)):
            value = f"a line that begins {away * 100.0:.0f} % of the map away from surge_line"
            allowed = f"{SURGE_MISS * 100.0:g} % or less (speed_lines[{number}] or surge_line)"
            yield Fault(curve.place(0), value, allowed)


def _surge_flow(surge: Curve, ratio: float) -> float | None:
    """Flow of the surge line at a pressure ratio it reaches."""
    ratios: Floats = surge.ratio
    if not ratios[0] <= ratio <= ratios[-1]:
        return None
    return float(np.interp(ratio, ratios, surge.flow))
