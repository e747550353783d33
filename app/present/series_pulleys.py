"""Series of the pulley span in display units: bars, the allowed span, the shelf."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.fields import Units, decimals_of, show, unit_of
from app.present.pulley_tables import (
    inward,
    title_of,
)
from app.present.sentences import percent
from app.present.span_order import by_nearness, days_that_stop
from app.present.span_words import between, stop_short, verdict_words
from engine_model.defaults import CLOSE_FROM
from engine_model.studies.span_records import AS_BUILT, JudgedPulley, LimitBar, PulleySpan
from engine_model.units import from_si

Floats = NDArray[np.float64]

SHORT_TITLES = {
    "impeller_speed": "Impeller at limiter",
    "impeller_speed_over_rev": "Impeller at over-rev",
    "piston_speed": "Piston speed",
    "target_power": "Power asked",
}
"""Titles beside the bars, where those of the ledger are long."""

AXIS = "Blower pulley, outside diameter"

_MOST = 3.0
"""Shares used beyond this are drawn as this [-]."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """Diameters of one state: clear, close, over or blank; in the unit shown."""

    start: float
    stop: float
    state: str


@dataclass(frozen=True, slots=True, eq=False)
class SpanBar:
    """One limit along the pulley on the days on which it is the same.

    Parameters
    ----------
    code, title, case : str
        The limit with its title, and the state of the build.
    days : tuple of str
        The days.
    name : str
        The days in words.
    used : ndarray
        Share used at the diameters of the series; nan where not judged. [-]
    stretches : tuple of Stretch
        States, rising; edges of over and blank are exact, those of close interpolated.
    """

    code: str
    title: str
    case: str
    days: tuple[str, ...]
    name: str
    used: Floats
    stretches: tuple[Stretch, ...]

    def state_at(self, diameter: float) -> str:
        """State at a diameter in the unit shown; blank outside the range."""
        for one in self.stretches:
            if one.start <= diameter <= one.stop:
                return one.state
        return "blank"


@dataclass(frozen=True, slots=True)
class SpanGroup:
    """The bars of one limit in one state of the build."""

    title: str
    case: str
    bars: tuple[SpanBar, ...]


@dataclass(frozen=True, slots=True)
class AllowedStretch:
    """An allowed stretch with what stops it at either end, in words and in the unit shown."""

    low: float
    high: float
    words: str
    smaller: str
    larger: str


@dataclass(frozen=True, slots=True)
class PulleyMark:
    """A pulley at hand: size in the unit shown and in metres, its state, and words."""

    diameter: float
    size: float
    text: str
    state: str
    used: float
    words: str


@dataclass(frozen=True, slots=True, eq=False)
class SpanSeries:
    """The pulley span ready to draw; diameters in the unit shown.

    Parameters
    ----------
    unit, axis_label : str
        Unit of the diameters, and words of the axis.
    diameter : ndarray
        Diameters at which shares are known.
    span_range : (float, float)
        Range looked at.
    groups : tuple of SpanGroup
        Bars, those of the worst cases last.
    allowed : tuple of AllowedStretch
        The span.
    shelf : tuple of PulleyMark
        Pulleys at hand.
    verdict, more : str
        The answer in a few words, and what excludes what where nothing is allowed.
    quiet : str
        Limits that are clear at every pulley, in words; may be empty.
    unit_in_m : float
        Size of the unit. [m]
    decimals : int
        Digits after the point of a diameter.
    """

    unit: str
    axis_label: str
    diameter: Floats
    span_range: tuple[float, float]
    groups: tuple[SpanGroup, ...]
    allowed: tuple[AllowedStretch, ...]
    shelf: tuple[PulleyMark, ...]
    verdict: str
    more: str
    quiet: str
    unit_in_m: float
    decimals: int

    @property
    def bars(self) -> tuple[SpanBar, ...]:
        """Every bar, from the top."""
        return tuple(bar for group in self.groups for bar in group.bars)

    def used_at(self, bar: SpanBar, diameter: float) -> float:
        """Share used of a bar at a diameter in the unit shown, between those known [-]."""
        state = bar.state_at(diameter)
        if state == "blank":
            return float("nan")
        known = np.isfinite(bar.used)
        if not known.any():
            return float("nan")
        used = float(np.interp(diameter, self.diameter[known], bar.used[known]))
        # between two diameters only the side of the bound is exact
        return max(used, np.nextafter(1.0, 2.0)) if state == "over" else min(used, 1.0)

    def words_at(self, bar: SpanBar, diameter: float) -> str:
        """Limit, days, case, state and share at a diameter, in words."""
        where = bar.name if bar.name.endswith("day") else f"{bar.name} day"
        case = "" if bar.case == AS_BUILT else f", {bar.case}"
        used = self.used_at(bar, diameter)
        share = "" if np.isnan(used) else f", about {percent(used)} used"
        state = "not judged" if np.isnan(used) else bar.state_at(diameter)
        size = f"{diameter:.{self.decimals}f} {self.unit}"
        return f"{bar.title}, {where}{case}: {state} at {size}{share}"

    def tightest_at(self, diameter: float) -> SpanBar | None:
        """Bar on which most is used at a diameter in the unit shown."""
        low, high = self.span_range
        if not low <= diameter <= high:
            return None
        shares = [(self.used_at(bar, diameter), k) for k, bar in enumerate(self.bars)]
        known = [(used, -k) for used, k in shares if not np.isnan(used)]
        return self.bars[-max(known)[1]] if known else None


def span_series(span: PulleySpan, units: Units = "si", brief: bool = False) -> SpanSeries:
    """Series of a pulley span.

    Parameters
    ----------
    span : PulleySpan
        The span.
    units : Units
        Units shown.
    brief : bool
        Whether only the days that stop a limit have a bar, those of the ends it leaves.
    """
    unit = unit_of("length", units)
    diameter = _shown(span.curves.diameter, unit)
    low, high = (float(_shown(np.array(x), unit)) for x in span.search)
    groups, quiet = [], []
    for code, case in by_nearness(span):
        bars = _bars_of(span, code, case, diameter, unit)
        if brief:
            bars = _that_stop(span, bars)
        if not bars:
            continue
        title = _short(code)
        if {one.state for bar in bars for one in bar.stretches} <= {"clear", "blank"}:
            quiet.append(title + ("" if case == AS_BUILT else f" ({case})"))
        else:
            groups.append(SpanGroup(title, case, bars))
    scale = 1.0 / float(from_si(1.0, unit, "length"))
    return SpanSeries(
        unit,
        f"{AXIS} [{unit}]",
        diameter,
        (low, high),
        tuple(groups),
        tuple(_allowed(span, units, unit)),
        tuple(mark_of(one, units) for one in span.shelf),
        *verdict_words(span, units),
        f"Clear at every pulley: {', '.join(quiet)}" if quiet else "",
        scale,
        decimals_of("length", units),
    )


def mark_of(one: JudgedPulley, units: Units = "si") -> PulleyMark:
    """A judged pulley in the unit shown, with its tightest limit in words."""
    unit = unit_of("length", units)
    text = show(one.diameter, "length", units)
    used = float("nan") if one.entry is None else one.entry.used
    words = f"{text}: {one.state}"
    if one.entry is not None:
        case = "" if one.case == AS_BUILT else f", {one.case}"
        title = title_of(one.entry.code)
        words += f", {percent(used)} of {title} used, {one.entry.day} day{case}"
    size = show(one.diameter, "length", units, unit=False)
    shown = float(_shown(np.array(one.diameter), unit))
    return PulleyMark(shown, one.diameter, size, one.state, used, words)


def _shown(values: Floats, unit: str) -> Floats:
    return np.asarray(from_si(values, unit, "length"), dtype=float)


def _short(code: str) -> str:
    return SHORT_TITLES.get(code) or title_of(code)


def _bars_of(
    span: PulleySpan, code: str, case: str, diameter: Floats, unit: str
) -> tuple[SpanBar, ...]:
    """Bars of a limit, days on which it is the same in one; what the case leaves as it is, not."""
    mine = [bar for bar in span.bars if (bar.code, bar.case) == (code, case)]
    every = len({bar.day for bar in span.bars if bar.case == case})
    if case != AS_BUILT:
        built = [bar for bar in span.bars if (bar.code, bar.case) == (code, AS_BUILT)]
        mine = [bar for bar in mine if not any(_alike(bar, b) and bar.day == b.day for b in built)]
    alike: list[list[LimitBar]] = []
    for bar in mine:
        for row in alike:
            if _alike(row[0], bar):
                row.append(bar)
                break
        else:
            alike.append([bar])
    found = []
    for row in alike:
        days = tuple(bar.day for bar in row)
        name = "every day" if len(days) == every > 1 else ", ".join(days)
        stretches = _stretches(row[0], span, diameter, unit)
        found.append(SpanBar(code, _short(code), case, days, name, row[0].used, stretches))
    return tuple(found)


def _that_stop(span: PulleySpan, bars: tuple[SpanBar, ...]) -> tuple[SpanBar, ...]:
    """Bars of the days on which a limit ends what it allows on all; else the one used most."""
    if len(bars) < 2:
        return bars
    days = days_that_stop(span, bars[0].code, bars[0].case)
    kept = tuple(bar for bar in bars if days & set(bar.days))
    most = [float(np.nanmax(bar.used, initial=-1.0)) for bar in bars]
    return kept or (bars[int(np.argmax(most))],)


def _alike(one: LimitBar, other: LimitBar) -> bool:
    ends = [np.array(x).ravel() for x in (one.allowed, other.allowed, one.blank, other.blank)]
    return (
        ends[0].shape == ends[1].shape
        and ends[2].shape == ends[3].shape
        and bool(np.allclose(ends[0], ends[1], rtol=0.0, atol=1e-7))
        and bool(np.allclose(ends[2], ends[3], rtol=0.0, atol=1e-7))
        and bool(np.allclose(one.used, other.used, rtol=1e-9, atol=0.0, equal_nan=True))
    )


def _stretches(bar: LimitBar, span: PulleySpan, diameter: Floats, unit: str) -> tuple[Stretch, ...]:
    low, high = span.search
    metres = span.curves.diameter
    used = np.clip(bar.used, 0.0, _MOST)
    cuts = {low, high, *(x for pair in (*bar.allowed, *bar.blank) for x in pair)}
    over = used[:-1] >= CLOSE_FROM
    for k in np.flatnonzero(over != (used[1:] >= CLOSE_FROM)).tolist():
        if np.isfinite(used[k : k + 2]).all():
            share = (CLOSE_FROM - used[k]) / (used[k + 1] - used[k])
            cuts.add(float(metres[k] + share * (metres[k + 1] - metres[k])))
    ends = sorted(x for x in cuts if low <= x <= high)
    known = np.isfinite(used)
    found: list[Stretch] = []
    for start, stop in itertools.pairwise(ends):
        middle = 0.5 * (start + stop)
        if any(a <= middle <= b for a, b in bar.blank) or not known.any():
            state = "blank"
        elif not any(a <= middle <= b for a, b in bar.allowed):
            state = "over"
        else:
            near = np.interp(middle, metres[known], used[known])
            state = "close" if near >= CLOSE_FROM else "clear"
        a, b = (float(_shown(np.array(x), unit)) for x in (start, stop))
        if found and found[-1].state == state:
            found[-1] = Stretch(found[-1].start, b, state)
        else:
            found.append(Stretch(a, b, state))
    return tuple(found)


def _allowed(span: PulleySpan, units: Units, unit: str) -> list[AllowedStretch]:
    return [
        AllowedStretch(
            float(_shown(np.array(one.low), unit)),
            float(_shown(np.array(one.high), unit)),
            between(*inward(one.low, one.high, units)),
            f"smaller: {stop_short(one.smaller, span.days)}",
            f"larger: {stop_short(one.larger, span.days)}",
        )
        for one in span.allowed
    ]
