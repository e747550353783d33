"""The belt's layout as plain records in display units: pulleys, pitch line, tensioner, ghost."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from math import isfinite, nan

import numpy as np
from numpy.typing import NDArray

from app.fields.display import Units, show, unit_of
from engine_model.belt_fit import sold_length
from engine_model.belt_plan import BeltPlan, PlanPulley
from engine_model.drive.belt_geometry import BeltPath
from engine_model.drive.belt_layout import Layout, path_now
from engine_model.errors import InputError
from engine_model.plan_layout import fitted_diameter, layout_of
from engine_model.sections import Drive
from engine_model.units import from_si

Floats = NDArray[np.float64]

SLACK, TIGHT = "slack span", "tight span"
"""Names of the spans that leave the crank and come back to it."""

TRAVEL_STEPS = 25
"""Places of a tensioner's pulley that are drawn along its travel."""


def no_points() -> Floats:
    """Points of a line that is not there, shape (0, 2)."""
    return np.empty((0, 2))


@dataclass(frozen=True, slots=True)
class BeltCircle:
    """A pulley: name, role, centre and radius [display units], wrap [deg] or nan, face."""

    name: str
    role: str
    x: float
    y: float
    radius: float
    wrap: float = nan
    is_back: bool = False


@dataclass(frozen=True, slots=True)
class BeltSpan:
    """A straight span: its middle and length [display units], direction of travel [rad], name."""

    x: float
    y: float
    length: float
    angle: float
    name: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class BeltTravel:
    """A tensioner: way of its pulley's centre, pivot where it is an arm [display units], words."""

    way: Floats
    radius: float
    pivot: tuple[float, float] | None
    words: str


@dataclass(frozen=True, slots=True, eq=False)
class BeltSeries:
    """A belt's layout as drawn; lengths in the display unit.

    Parameters
    ----------
    unit : str
        Symbol of the unit of length.
    circles : tuple of BeltCircle
        Pulleys in the belt's order.
    outline : ndarray, shape (n, 2)
        The pitch line, closed; empty where the belt cannot run.
    spans : tuple of BeltSpan
        Straight spans; the first is the slack one, the last the tight one.
    travel : BeltTravel, optional
        The tensioner.
    ghost_circle : BeltCircle, optional
        The present pulley where it is not the fitted one.
    ghost_outline : ndarray, shape (n, 2)
        The pitch line round it, every centre as told.
    words : str
        Pulley and length of the belt.
    ghost_words : str
        The same of the ghost.
    fault : str
        Why the belt cannot run; empty where it can.
    """

    unit: str
    circles: tuple[BeltCircle, ...]
    outline: Floats = field(default_factory=no_points)
    spans: tuple[BeltSpan, ...] = ()
    travel: BeltTravel | None = None
    ghost_circle: BeltCircle | None = None
    ghost_outline: Floats = field(default_factory=no_points)
    words: str = ""
    ghost_words: str = ""
    fault: str = ""

    @property
    def axis_words(self) -> tuple[str, str]:
        """Labels of the two axes."""
        return f"x [{self.unit}]", f"y [{self.unit}]"

    @property
    def extent(self) -> tuple[float, float, float, float]:
        """Left, right, bottom and top of all that is drawn; those of nothing are nan."""
        discs = [(c.x, c.y, c.radius) for c in self.circles]
        if self.ghost_circle is not None:
            discs.append((self.ghost_circle.x, self.ghost_circle.y, self.ghost_circle.radius))
        if self.travel is not None:
            discs += [(float(x), float(y), self.travel.radius) for x, y in self.travel.way]
            if self.travel.pivot is not None:
                discs.append((*self.travel.pivot, 0.0))
        points = [np.array([[x - r, y - r], [x + r, y + r]]) for x, y, r in discs]
        points += [self.outline, self.ghost_outline]
        every = np.vstack(points) if points else no_points()
        if not every.size:
            return nan, nan, nan, nan
        (left, bottom), (right, top) = every.min(axis=0), every.max(axis=0)
        return float(left), float(right), float(bottom), float(top)


def loose_series(
    pulleys: Sequence[PlanPulley], drive: Drive, units: Units = "si", fault: str = ""
) -> BeltSeries:
    """Pulleys alone, as of a layout that is still at fault; those without a size are left out.

    Parameters
    ----------
    pulleys : sequence of PlanPulley
        The pulleys.
    drive : Drive
        Diameters of crank and blower.
    units : str or UnitChoice
        Display units.
    fault : str
        What is wrong.
    """
    own = {"crank": drive.crank_pulley_diameter, "blower": fitted_diameter(drive)}
    sized = [(p, own.get(p.role) if p.diameter is None else p.diameter) for p in pulleys]
    circles = [
        BeltCircle(p.name, p.role, p.x, p.y, 0.5 * d, nan, p.face == "back")
        for p, d in sized
        if d is not None and isfinite(p.x) and isfinite(p.y)
    ]
    size = _size(units)
    shown = tuple(_scaled(one, size) for one in circles)
    return BeltSeries(unit_of("length", units), shown, fault=fault)


def belt_series(plan: BeltPlan, drive: Drive, units: Units = "si") -> BeltSeries:
    """A belt's layout as drawn, the present pulley's belt as a ghost over the fitted one's.

    Parameters
    ----------
    plan : BeltPlan
        Where the pulleys stand.
    drive : Drive
        Diameters and section.
    units : str or UnitChoice
        Display units.
    """
    try:
        layout = layout_of(plan, drive)
        path = path_now(layout)
    except InputError as error:
        fault = f"{error.value} given; allowed: {error.allowed}"
        return loose_series(plan.pulleys, drive, units, fault)
    size = _size(units)
    circles = tuple(
        _scaled(BeltCircle(p.name, p.role, p.x, p.y, 0.5 * one.diameter, wrap, one.face == "back"),
                size)
        for p, one, wrap in zip(
            plan.pulleys, layout.pulleys, np.degrees(path.wraps).tolist(), strict=True
        )
    )  # fmt: skip
    ghost, present = _ghost(plan, layout, drive), drive.blower_pulley_diameter
    fitted, name = fitted_diameter(drive), "blower pulley"
    circle, outline, words = None, no_points(), ""
    if present != fitted:
        name = "fitted pulley"
        one = plan.pulleys[plan.place_of("blower")]
        wrap = nan if ghost is None else float(np.degrees(ghost.wrap_of(one.name)))
        circle = _scaled(BeltCircle(one.name, one.role, one.x, one.y, 0.5 * present, wrap), size)
        words = f"present pulley {show(present, 'length', units)}: the belt cannot run round it"
        if ghost is not None:
            outline = ghost.outline() * size
            words = _belt_words("present pulley", present, ghost.length, drive, units)
    return BeltSeries(
        unit_of("length", units),
        circles,
        path.outline() * size,
        _spans(path, size),
        _travel(plan, layout, units, size),
        circle,
        outline,
        _belt_words(name, fitted, path.length, drive, units),
        words,
    )


def _size(units: Units) -> float:
    return float(from_si(1.0, unit_of("length", units), "length"))


def _scaled(one: BeltCircle, size: float) -> BeltCircle:
    """Circle in display units of one in metres."""
    place = one.x * size, one.y * size, one.radius * size
    return BeltCircle(one.name, one.role, *place, one.wrap, one.is_back)


def _ghost(plan: BeltPlan, layout: Layout, drive: Drive) -> BeltPath | None:
    try:
        return path_now(layout.with_diameter(plan.blower, drive.blower_pulley_diameter))
    except InputError:
        return None


def _belt_words(name: str, diameter: float, length: float, drive: Drive, units: Units) -> str:
    kind = "effective" if drive.section.slips else "pitch"
    sold = show(sold_length(length, drive), "length", units)
    return f"{name} {show(diameter, 'length', units)}: belt {sold} ({kind} length)"


def _spans(path: BeltPath, size: float) -> tuple[BeltSpan, ...]:
    middles = 0.5 * size * (path.departures + np.roll(path.arrivals, -1, axis=0))
    names = [SLACK, *[""] * (len(path.names) - 2), TIGHT]
    return tuple(
        BeltSpan(float(x), float(y), float(length) * size, float(angle), name)
        for (x, y), length, angle, name in zip(
            middles, path.span_lengths, path.span_angles, names, strict=True
        )
    )


def _travel(plan: BeltPlan, layout: Layout, units: Units, size: float) -> BeltTravel | None:
    told, tensioner = plan.tensioner, layout.tensioner
    if told is None or tensioner is None:
        return None
    one = layout.pulleys[layout.place_of(told.pulley)]
    way = np.column_stack(
        tensioner.moved(one.x, one.y, np.linspace(tensioner.low, tensioner.high, TRAVEL_STEPS))
    )
    pivot = None
    if told.kind == "arm":
        pivot = told.pivot_x * size, told.pivot_y * size
        ends = f"{told.low:g} to {told.high:g} deg"
    else:
        low = show(told.low, "length", units, unit=False)
        ends = f"{low} to {show(told.high, 'length', units)}"
    return BeltTravel(way * size, 0.5 * one.diameter * size, pivot, f"travel {ends}")


def belt_csv(series: BeltSeries, about: Sequence[tuple[str, str]] = ()) -> str:
    """CSV text of a belt's layout: pulleys, then the points of the pitch lines.

    Parameters
    ----------
    series : BeltSeries
        The layout.
    about : sequence of (str, str)
        Columns at the end that say the same in every row.
    """
    unit = series.unit
    header = ["part", "name", f"x [{unit}]", f"y [{unit}]", f"diameter [{unit}]", "wrap [deg]"]
    ghost = () if series.ghost_circle is None else (series.ghost_circle,)
    rows = [_row(one.role, one) for one in series.circles]
    rows += [_row("present blower", one) for one in ghost]
    rows += _points("pitch line", series.outline)
    rows += _points("pitch line of the present pulley", series.ghost_outline)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([*header, *(name for name, _ in about)])
    writer.writerows([*row, *(text for _, text in about)] for row in rows)
    return out.getvalue()


def _row(part: str, one: BeltCircle) -> list[str]:
    wrap = f"{one.wrap:.7g}" if isfinite(one.wrap) else ""
    return [part, one.name, f"{one.x:.7g}", f"{one.y:.7g}", f"{2.0 * one.radius:.7g}", wrap]


def _points(part: str, points: Floats) -> Iterable[list[str]]:
    for x, y in points.tolist():
        yield [part, "", f"{x:.7g}", f"{y:.7g}", "", ""]
