"""The ledger in words: its banner, what a row stands for, and the head of *Why*."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape

from app.fields import Units, show
from app.present.cautions import CAUTIONS
from app.present.sentences import SUBJECTS, TITLES, if_it_holds, percent, sentence
from engine_model.inputs import Build
from engine_model.results import Entry

NOTHING_OVER = "Nothing in parts is over on any day judged."

OF_NO_DAY = ("assumed_inputs", "map_quality")
"""Entries that are the same on every day."""

SHOW_DAY = "show this day"
"""Words of the link from *Why* to the day it tells of."""

_RANK = {"over": 3, "close": 2, "clear": 1, "blank": 0}


def worst_of(entries: Iterable[Entry]) -> Entry:
    """The entry that uses most of its limit; where all are blank, the one that tells most."""
    return max(entries, key=_weight)


def _weight(entry: Entry) -> tuple[int, float, float]:
    """State, share, and what is told without one: the value, else the first of the numbers."""
    used, told = entry.used, entry.value
    if math.isnan(told):
        told = entry.numbers[0][1] if entry.numbers else -math.inf
        told = -math.inf if math.isnan(told) else told
    return _RANK[entry.state], -1.0 if math.isnan(used) else used, told


_OF_SUBJECT = {"Burn": "knock", "Fuel": "fuel"}
"""Key of the caution of a subject."""


def cautions_of(entry: Entry | None) -> str:
    """Cautions beside an entry of the ledger: of belt or fuel, else those of the impeller."""
    if entry is not None and SUBJECTS[entry.code] == "Belt":
        slips = entry.code in ("belt_grip", "belt_slip") and entry.used > 1.0
        return " ".join(CAUTIONS[key] for key in ("belt", *(("belt_slip",) if slips else ())))
    if entry is not None and SUBJECTS[entry.code] in _OF_SUBJECT:
        return CAUTIONS[_OF_SUBJECT[SUBJECTS[entry.code]]]
    return CAUTIONS["impeller_speed"]


@dataclass(frozen=True, slots=True)
class Banner:
    """The banner over the ledger.

    Parameters
    ----------
    text : str
        What is over, the worst first.
    brief : str
        The same without values, in two sentences.
    alarm : bool
        Whether a part is over.
    short : bool
        Whether the target is not reached.
    """

    text: str
    brief: str
    alarm: bool
    short: bool


def banner_of(worst: Sequence[Entry], build: Build, units: Units = "si") -> Banner:
    """Banner of a ledger over several days.

    Parameters
    ----------
    worst : sequence of Entry
        Each limit on the day where it is worst.
    build : Build
        The build that was judged.
    units : str or UnitChoice
        Units of the texts.

    Returns
    -------
    Banner
        An impeller over its limit comes first, since it can burst; then what uses most.
    """
    parts = [e for e in worst if e.part == "parts" and e.state == "over"]
    targets = [e for e in worst if e.part == "target" and e.state == "over"]
    parts.sort(key=lambda e: (SUBJECTS[e.code] != "Impeller", -e.used))
    shorts = [_short(e, build, units) for e in targets]
    if not parts:
        text = "\n".join([NOTHING_OVER, *shorts])
        return Banner(text, shorts[0] if shorts else NOTHING_OVER, False, bool(targets))
    top, others = parts[0], [_within(e) for e in parts[1:]]
    head = f"OVER: {TITLES[top.code]} {percent(top.used)} on the {top.day} day."
    rows = [head, f"{_capital(sentence(top, build, units))}."]
    slip = next((e for e in parts if e.code == "belt_slip"), None)
    if slip is not None and slip is not top:
        rows.append(f"{if_it_holds(slip, units)}.")
    if others:
        rows.append(f"Also over: {', '.join(others)}.")
    named = [*others, *(["target"] if targets else [])]
    brief = f"{head} Also over: {', '.join(named)}." if named else head
    return Banner("\n".join(rows + shorts), brief, True, bool(targets))


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _within(entry: Entry) -> str:
    """Title of an entry within a sentence."""
    title = TITLES[entry.code]
    return title[:1].lower() + title[1:]


def _short(entry: Entry, build: Build, units: Units) -> str:
    """How much a target is short, and when."""
    gap = show(entry.bound - max(entry.value, 0.0), "power", units)
    want = show(entry.bound, "power", units)
    at = f"on the {entry.day} day"
    return f"TARGET: {gap} short of {want} {at}."


def row_words(entry: Entry, build: Build, units: Units = "si", *, is_old: bool = False) -> str:
    """Everything a row of the ledger stands for, in whole words."""
    words = f"{sentence(entry, build, units)}.{beyond_the_line(entry, build)}"
    if entry.code == "assumed_inputs":
        return f"{TITLES[entry.code]}: {words}"
    old = ", as of the last stop" if is_old else ""
    return (
        f"{TITLES[entry.code]} ({entry.day} day{old}): "
        f"{entry.state}, {percent(entry.used)} used.\n{words}"
    )


def detail_words(entry: Entry, build: Build, units: Units = "si", *, is_old: bool = False) -> str:
    """The words of a row with the ground on which it is judged."""
    words = row_words(entry, build, units, is_old=is_old)
    return words if f"{entry.basis}." in words else f"{words}\nBasis: {entry.basis}."


def beyond_the_line(entry: Entry, build: Build) -> str:
    """A sentence where an entry is judged at an engine speed that no chart draws."""
    limiter = build.engine.limiter
    if not entry.engine_speed_rpm > limiter or entry.state == "blank":
        return ""
    return f" A missed shift is not drawn: the line ends at the limiter, {limiter:.0f} rpm."


def why_title(entry: Entry, shown: str) -> str:
    """Head of *Why* for an entry; ``shown`` is the day that the charts show."""
    speed = entry.engine_speed_rpm
    at = "" if math.isnan(speed) else f" at {speed:.0f} rpm"
    if entry.code in OF_NO_DAY:
        return f"Why: {TITLES[entry.code]}{at}"
    other = f" (the charts show {shown})" if entry.day != shown else ""
    return f"Why: {TITLES[entry.code]}{at} on the {entry.day} day{other}"


def why_markup(entry: Entry, build: Build, shown: str, units: Units = "si") -> str:
    """Value, bound and state under the head of *Why*, with a link to a day not shown."""
    words = f"{_capital(sentence(entry, build, units))}"
    if not math.isnan(entry.used) and entry.code not in OF_NO_DAY:
        words += f": {entry.state}, {percent(entry.used)} used"
    markup = escape(f"{words}.{beyond_the_line(entry, build)}")
    if entry.day != shown and entry.code not in OF_NO_DAY:
        markup += f' <a href="day:{escape(entry.day)}">{SHOW_DAY}</a>'
    return markup
