"""Series of the strips across engine speed."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from app.fields import UnitChoice, decimals_of
from app.present.series_axes import SI_CHARTS, ChartUnits, nice_range
from app.present.strip_table import HELD, STRIP_OF, USUAL_STRIPS, Strip, curve_values
from engine_model.results import Match
from engine_model.units import from_si

Floats = NDArray[np.float64]
Shown = Callable[[Floats], Floats]


@dataclass(frozen=True, slots=True, eq=False)
class StripCurve:
    """One curve of a strip: name, values in the strip's unit, how it is drawn.

    ``style`` is ``main``, ``second``, ``held`` (no belt slip) or ``edge`` (of a band of doubt).
    """

    name: str
    values: Floats
    style: str


@dataclass(frozen=True, slots=True)
class StripBound:
    """A bound of a strip: value in its unit, its words, the forbidden side."""

    value: float
    name: str
    side: str


@dataclass(frozen=True, slots=True)
class StripTarget:
    """What was promised, in the strip's unit, and what is missing or left over.

    ``engine_speed`` is nan and ``verdict`` empty where it is not judged on this day.
    """

    value: float
    name: str
    verdict: str
    engine_speed: float
    short: bool


@dataclass(frozen=True, slots=True, eq=False)
class StripSeries:
    """One strip ready to draw; engine speed in rpm, values in ``unit``."""

    key: str
    title: str
    unit: str
    decimals: int
    engine_speed: Floats
    curves: tuple[StripCurve, ...]
    bounds: tuple[StripBound, ...]
    target: StripTarget | None
    value_range: tuple[float, float]

    @property
    def label(self) -> str:
        """Title with the unit."""
        return f"{self.title} [{self.unit}]"


def _target(match: Match, unit: str) -> StripTarget | None:
    target = match.build.target
    if target.power is None:
        return None
    value = float(from_si(target.power, unit, "power"))
    if target.day is not None and target.day != match.day.name:
        name = f"target {value:.0f} {unit}, {target.basis}, judged on the {target.day} day"
        return StripTarget(value, name, "", float("nan"), False)
    name = f"target {value:.0f} {unit}, {target.basis}"
    line = match.line
    power = line.wheel_power_w if target.basis == "wheel" else line.flywheel_power_w
    if not np.any(np.isfinite(power)):
        return StripTarget(value, name, "", float("nan"), False)
    top = int(np.nanargmax(power))
    at = float(line.engine_speed_rpm[top])
    gap = float(from_si(float(power[top]), unit, "power")) - value
    words = f"{abs(gap):.0f} {unit} {'short' if gap < 0.0 else 'in hand'}, at {at:.0f}"
    return StripTarget(value, name, words, at, gap < 0.0)


def _decimals(value_range: tuple[float, float]) -> int:
    span = value_range[1] - value_range[0]
    return 0 if span >= 40.0 else 1 if span >= 4.0 else 2 if span >= 0.4 else 3


def _bound_text(value: float, strip: Strip, unit: str) -> str:
    """Text of a bound with its unit, in the decimals that the ledger shows."""
    if strip.quantity == "dimensionless":
        return f"{value:.3g} {unit}"
    kind = "boost" if strip.key == "boost" else strip.quantity
    return f"{value:,.{_decimals_of(kind, unit)}f} {unit}".replace(",", "\u202f")


@cache
def _decimals_of(kind: str, unit: str) -> int:
    return decimals_of(kind, UnitChoice("si", ((kind, unit),)))


def strip_series(match: Match, key: str, units: ChartUnits = SI_CHARTS) -> StripSeries:
    """Series of one strip of a match.

    Parameters
    ----------
    match : Match
        The match; its line is one-dimensional.
    key : str
        Key of the registry.
    units : ChartUnits
        Display units.

    Returns
    -------
    StripSeries
        Curves, bounds, target and the range that shows them all.
    """
    strip = STRIP_OF[key]
    unit = strip.unit_of(units)
    line = match.line
    speed = line.engine_speed_rpm
    order = None
    if speed.size > 1 and np.any(speed[1:] < speed[:-1]):
        order = np.argsort(speed, kind="stable")
        speed = speed[order]
    curves = []
    for name, words, style in strip.fields:
        values = from_si(_values(match, strip, name), unit, strip.quantity)
        curves.append(StripCurve(words, values if order is None else values[order], style))
    if strip.held and match.line_without_slip is not None:
        straight = curve_values(match.build, match.line_without_slip, strip.fields[0][0])
        values = from_si(straight, unit, strip.quantity)
        curves.append(StripCurve(HELD, values if order is None else values[order], "held"))
    bounds = tuple(
        StripBound(value, words.format(_bound_text(value, strip, unit)), side)
        for value, words, side in (
            (float(from_si(si, unit, strip.quantity)), words, side)
            for si, words, side in strip.bounds(match)
            if si is not None
        )
    )
    target = _target(match, unit) if strip.target else None
    floor = float(from_si(strip.floor, unit, strip.quantity))
    value_range = _range_of(curves, bounds, target, strip.from_zero, floor)
    return StripSeries(
        key, strip.title, unit, _decimals(value_range), speed, tuple(curves), bounds, target,
        value_range,
    )  # fmt: skip


def _values(match: Match, strip: Strip, name: str) -> Floats:
    """Array of a match that a curve shows; nan where the estimate is not made."""
    if not strip.of_knock:
        return curve_values(match.build, match.line, name)
    if match.knock is None:
        return np.full(match.line.engine_speed_rpm.shape, np.nan)
    return np.asarray(getattr(match.knock, name))


def _range_of(
    curves: list[StripCurve],
    bounds: tuple[StripBound, ...],
    target: StripTarget | None,
    from_zero: bool,
    floor: float,
) -> tuple[float, float]:
    parts = [c.values[np.isfinite(c.values)] for c in curves]
    parts += [np.array([b.value]) for b in bounds]
    if target is not None:
        parts.append(np.array([target.value]))
    if from_zero:
        parts.append(np.zeros(1))
    every = np.concatenate(parts)
    if not every.size:
        return 0.0, 1.0
    low, high = max(float(every.min()), floor), max(float(every.max()), floor)
    span = max(high - low, 1e-9)
    # room above a bound for its hatch, below the lowest value for the curve's breadth
    bottom = low if low in (0.0, floor) else low - 0.04 * span
    # of fine steps: little room is left over
    low, high = nice_range(bottom, high + 0.06 * span, 20)
    return max(low, floor), high


def strips_of(
    match: Match, keys: Iterable[str] = USUAL_STRIPS, units: ChartUnits = SI_CHARTS
) -> tuple[StripSeries, ...]:
    """Series of several strips of a match, in the order of the keys."""
    return tuple(strip_series(match, key, units) for key in keys)
