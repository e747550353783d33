"""The pulley span in words, text tables and numbers for machines."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence
from dataclasses import fields
from typing import Any

from app.fields import NOTHING, Units, decimals_of, show, unit_of
from app.present.cautions import CAUTIONS
from app.present.sentences import TITLES, percent, sentence
from app.present.tables import entry_document, plain
from engine_model.inputs import Build
from engine_model.results import Entry
from engine_model.studies.span_records import (
    AS_BUILT,
    NO_BALANCE,
    Allowed,
    Conflict,
    JudgedPulley,
    LimitBar,
    LimitRow,
    PulleySpan,
    Stop,
)
from engine_model.units import from_si

WIDTH = 100
"""Columns of the text."""

_MARK = {"clear": "( )", "close": "(/)", "over": "(#)", "blank": "..."}


def title_of(code: str) -> str:
    """Title of a limit of the span."""
    return "No balance" if code == NO_BALANCE else TITLES[code]


def days_words(days: Sequence[str], every: int) -> str:
    """Days as words: ``every day``, ``hot day``, ``mild, hot days``."""
    if len(days) == every and every > 1:
        return "every day"
    if len(days) == 1:
        return f"{days[0]} day"
    return f"{', '.join(days)} days"


def _days_short(days: Sequence[str], every: int) -> str:
    some = 1 < len(days) < every
    return f"{len(days)} of {every} days" if some else days_words(days, every)


def _case_words(case: str) -> str:
    return "" if case == AS_BUILT else f", {case}"


def _entry_words(entry: Entry, build: Build, units: Units) -> str:
    return entry.basis if entry.code == NO_BALANCE else sentence(entry, build, units)


def span_headline(span: PulleySpan, units: Units = "si") -> list[str]:
    """What the span is of, and the answer, in a few lines."""
    build, worst = span.build, span.worst
    low, high = (show(x, "length", units) for x in span.search)
    over_rev = f"{build.engine.over_rev_speed:.0f} rpm"
    shift = f"a missed shift to {over_rev}" if worst.missed_shift else "no missed shift"
    bypass = ""
    if worst.bypass_stuck_shut:
        bypass = "the bypass stuck shut, on the freezing day too"
        if build.bypass.boost_cap is None:
            bypass += " (no boost cap is set, so that it changes nothing on the days judged)"
    invented = " (invented)" if build.invented else ""
    text = (
        f"Blower pulleys from {low} to {high} on {_listed(span.days)}, without belt slip, with "
        + " and ".join(part for part in (shift, bypass) if part)
        + "."
    )
    rows = [f"{build.title}{invented}: the pulley span", *textwrap.wrap(text, WIDTH), ""]
    if not span.allowed:
        rows.append("No pulley is allowed:")
        for conflict in span.conflicts:
            rows += _indented(conflict_words(conflict, units))
        return rows
    for one in span.allowed:
        low, high = inward(one.low, one.high, units)
        rows.append(f"Allowed: {low} to {high}")
        rows += _indented(f"smaller: {stop_words(one.smaller, span, units)}")
        rows += _indented(f"larger: {stop_words(one.larger, span, units)}")
    return rows


def _listed(days: Sequence[str]) -> str:
    return f"the {days[0]} day" if len(days) == 1 else f"the days {'; '.join(days)}"


def inward(low: float, high: float, units: Units = "si") -> tuple[str, str]:
    """Texts of the ends of a stretch of pulleys [m], rounded into it."""
    unit = unit_of("length", units)
    a, b = (float(from_si(x, unit, "length")) for x in (low, high))
    for decimals in range(decimals_of("length", units), 9):
        scale = 10.0**decimals
        up, down = math.ceil(a * scale - 1e-6), math.floor(b * scale + 1e-6)
        if up <= down:
            return f"{up / scale:.{decimals}f} {unit}", f"{down / scale:.{decimals}f} {unit}"
    return show(low, "length", units), show(high, "length", units)


def _indented(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent="  ", subsequent_indent="    ")


def stop_words(stop: Stop | None, span: PulleySpan, units: Units = "si") -> str:
    """What stops a span at an end: limit, days, and the ledger's sentence there."""
    if stop is None:
        return "nothing within the range looked at"
    where = days_words(stop.days, len(span.days)) + _case_words(stop.case)
    words = _entry_words(stop.entry, span.build, units)
    return f"{title_of(stop.entry.code)} ({where}): {words}"


def conflict_words(conflict: Conflict, units: Units = "si") -> str:
    """Limits that exclude each other, in a sentence."""
    named = [
        f"{title_of(code)} ({day} day{_case_words(case)})" for code, day, case in conflict.members
    ]
    if len(named) == 1:
        return f"{named[0]} is over at every pulley"
    if len(named) == 2:
        gap = show(conflict.gap, "length", units)
        if float(gap.split()[0]) == 0.0:
            gap = "less than " + ("0.1 mm" if gap.endswith("mm") else "the last digit shown")
        return f"{named[0]} and {named[1]} exclude each other: {gap} apart"
    return f"{', '.join(named[:-1])} and {named[-1]} leave no pulley together"


def limits_table(span: PulleySpan, units: Units = "si") -> list[str]:
    """A row for each limit: what it alone allows on every day, and on which day it stops."""
    head = ("limit", "smallest", "on", "largest", "on")
    cells: list[tuple[str, ...]] = [head]
    for row in span.rows:
        cells += _limit_cells(row, span, units)
    widths = [max(len(line[k]) for line in cells) for k in range(len(head))]
    right = {1, 3}
    return [
        "  ".join(
            c.rjust(w) if k in right else c.ljust(w)
            for k, (c, w) in enumerate(zip(line, widths, strict=True))
        ).rstrip()
        for line in cells
    ]


def _limit_cells(row: LimitRow, span: PulleySpan, units: Units) -> list[tuple[str, ...]]:
    title = title_of(row.code) + ("" if row.case == AS_BUILT else " *")
    if not row.allowed:
        return [(title, "none", "", "none", "")]
    found = []
    every = len({bar.day for bar in span.bars if bar.case == row.case})
    for number, one in enumerate(row.allowed):
        ends = []
        texts = inward(one.low, one.high, units)
        for text, stop in zip(texts, (one.smaller, one.larger), strict=True):
            if stop is None:
                ends += [NOTHING, ""]
            else:
                ends += [text, _days_short(stop.days, every)]
        found.append((title if number == 0 else "  and", *ends))
    return found


def shelf_table(span: PulleySpan, units: Units = "si") -> list[str]:
    """The present pulley and those of the shelf, with the limit that is tightest on each."""
    rows = _pulley_rows("present", span.present, span, units)
    for one in span.shelf:
        rows += _pulley_rows("shelf", one, span, units)
    if not span.shelf:
        rows.append("  no pulleys on the shelf of this build")
    return rows


def _pulley_rows(name: str, one: JudgedPulley, span: PulleySpan, units: Units) -> list[str]:
    used = percent(math.nan if one.entry is None else one.entry.used)
    size = show(one.diameter, "length", units)
    head = f"  {_MARK[one.state]} {one.state:<5} {used:>7}  {name:<7} {size:>8}  "
    if one.entry is None:
        return [head.rstrip()]
    words = _entry_words(one.entry, span.build, units)
    where = f"{one.entry.day} day{_case_words(one.case)}"
    text = f"{title_of(one.entry.code)}: {words} ({where})"
    pieces = textwrap.wrap(text, WIDTH - len(head))
    return [head + pieces[0], *(" " * len(head) + p for p in pieces[1:])]


def notes(span: PulleySpan, units: Units = "si") -> list[str]:
    """What was not judged, and where."""
    found = ["-- : nothing stops it within the range looked at"]
    if any(row.case != AS_BUILT for row in span.rows):
        found.append("* with the bypass stuck shut")
    elif span.worst.bypass_stuck_shut:
        found.append("The bypass stuck shut changes nothing: no boost cap is set.")
    for basis in dict.fromkeys(one.basis for one in span.not_judged):
        titles = ", ".join(title_of(one.code) for one in span.not_judged if one.basis == basis)
        found.append(f"{titles}: {basis}")
    for row in span.rows:
        pieces = [
            f"{show(a, 'length', units)} to {show(b, 'length', units)} ({bar.day} day)"
            for bar in span.bars
            if (bar.code, bar.case) == (row.code, row.case)
            for a, b in bar.blank
        ]
        if pieces:
            title = title_of(row.code) + _case_words(row.case)
            found.append(f"{title}: nothing to judge from {', '.join(pieces)}")
    return [row for text in found for row in textwrap.wrap(text, WIDTH, subsequent_indent="  ")]


def span_text(span: PulleySpan, units: Units = "si") -> list[str]:
    """Rows that ``pulleys`` prints; at most 100 columns wide."""
    rows = [*span_headline(span, units), "", *limits_table(span, units), ""]
    rows += ["Pulleys at hand", *shelf_table(span, units), ""]
    more = notes(span, units)
    rows += [*more, ""] if more else []
    words = " ".join(CAUTIONS[key] for key in ("belt", "impeller_speed", "general"))
    return [*rows, *textwrap.wrap(words, WIDTH)]


def _stop_document(stop: Stop | None, build: Build) -> dict[str, Any] | None:
    if stop is None:
        return None
    return {
        "diameter_m": stop.diameter,
        "over_on_smaller": stop.smaller,
        "case": stop.case,
        "days": list(stop.days),
        "entry": _entry_document(stop.entry, build),
    }


def _entry_document(entry: Entry, build: Build) -> dict[str, Any]:
    if entry.code != NO_BALANCE:
        return entry_document(entry, build)
    document = {one.name: getattr(entry, one.name) for one in fields(entry)}
    numbers = {k: plain(v) for k, v in document.items() if isinstance(v, float)}
    return {**document, **numbers, "sentence": entry.basis}


def _allowed_document(allowed: Sequence[Allowed], build: Build) -> list[dict[str, Any]]:
    return [
        {
            "low_m": one.low,
            "high_m": one.high,
            "smaller": _stop_document(one.smaller, build),
            "larger": _stop_document(one.larger, build),
        }
        for one in allowed
    ]


def _bar_document(bar: LimitBar, build: Build) -> dict[str, Any]:
    return {
        "code": bar.code,
        "part": bar.part,
        "case": bar.case,
        "day": bar.day,
        "allowed_m": [list(pair) for pair in bar.allowed],
        "not_judged_m": [list(pair) for pair in bar.blank],
        "edges": [_stop_document(stop, build) for stop in bar.edges],
        "used": [plain(v) for v in bar.used.tolist()],
        "basis": bar.basis,
    }


def _pulley_document(one: JudgedPulley, build: Build) -> dict[str, Any]:
    entry = None if one.entry is None else _entry_document(one.entry, build)
    return {"diameter_m": one.diameter, "state": one.state, "case": one.case, "entry": entry}


def span_document(span: PulleySpan) -> dict[str, Any]:
    """A pulley span for ``pulleys --json``: SI, speeds in rpm, nan is null."""
    build, curves = span.build, span.curves
    arrays = {}
    for one in fields(curves):
        if one.name == "days":
            continue
        values = getattr(curves, one.name)
        key = "diameter_m" if one.name == "diameter" else one.name
        arrays[key] = (
            [plain(v) for v in values.tolist()]
            if values.ndim == 1
            else [[plain(v) for v in row] for row in values.tolist()]
        )
    return {
        "build": {"name": build.title, "invented": build.invented},
        "days": list(span.days),
        "search_m": list(span.search),
        "worst_case": {one.name: getattr(span.worst, one.name) for one in fields(span.worst)},
        "allowed": _allowed_document(span.allowed, build),
        "conflicts": [
            {
                "members": [dict(zip(("code", "day", "case"), m, strict=True)) for m in c.members],
                "gap_m": plain(c.gap),
                "sentence": conflict_words(c),
            }
            for c in span.conflicts
        ],
        "limits": [
            {
                "code": row.code,
                "part": row.part,
                "case": row.case,
                "allowed": _allowed_document(row.allowed, build),
            }
            for row in span.rows
        ],
        "bars": [_bar_document(bar, build) for bar in span.bars],
        "not_judged": [{"code": one.code, "basis": one.basis} for one in span.not_judged],
        "present": _pulley_document(span.present, build),
        "shelf": [_pulley_document(one, build) for one in span.shelf],
        "curves": {"days": list(curves.days), **arrays},
    }
