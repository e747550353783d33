"""Chances beside the ledger: in how many of the builds that the spreads allow an entry is over."""

from __future__ import annotations

import math
from collections.abc import Mapping

from app.fields import NOTHING, Units, show, unit_of
from app.present.error_bar_words import (
    MEANING,
    band_table,
    chance_text,
    first_words,
    spread_rows,
    unsolved_words,
)
from app.present.ledger_words import OF_NO_DAY
from app.present.sentences import TITLES
from engine_model.results import Entry
from engine_model.studies.uncertain_records import EntryChance, ErrorBars

ALLOWED = "the builds that the inputs' spreads allow"

TRIED = "tried within the inputs' spreads"

OLD = "as of the last stop"

BAND = f"band: 5 to 95 % of {ALLOWED}"
"""What a band on the canvas is."""

BAND_SHORT = "5 to 95 %"
"""The same in the key of a strip."""

LEAST_TOLD = 0.005
"""Chance from which a row of the ledger tells it [-]; its tooltip does always."""


def band_words(*, is_old: bool = False) -> str:
    """What a band on the canvas is, and whether it is of a former build."""
    return f"{BAND}, {OLD}" if is_old else BAND


def chances_by_code(bars: ErrorBars) -> Mapping[str, EntryChance]:
    """Chances by the code of the entry, without those that no spread moves."""
    return {one.code: one for one in bars.chances if one.code not in OF_NO_DAY}


def _share(share: float, bars: ErrorBars) -> str:
    """Share of the builds in words; what never or always happened is counted, not certain."""
    if share <= 0.0:
        return f"none of the {bars.samples} builds {TRIED}"
    if share >= 1.0:
        return f"all {bars.samples} builds {TRIED}"
    return f"{chance_text(share, bars.samples)} of {ALLOWED}"


def target_chance(entry: Entry, bars: ErrorBars) -> float:
    """Chance that the target is met; nan where it is not judged on the entry's day."""
    target = bars.build.target
    own = target.day in (None, entry.day)
    return bars.target_met if entry.part == "target" and own else math.nan


def chance_sentence(entry: Entry, bars: ErrorBars, *, is_old: bool = False) -> str:
    """Sentence on the chance of an entry of the ledger; empty where there is none.

    Parameters
    ----------
    entry : Entry
        The entry, of any of the days.
    bars : ErrorBars
        The error bars.
    is_old : bool
        Whether they are of a former build.
    """
    end = f", {OLD}." if is_old else "."
    met = target_chance(entry, bars)
    if entry.code == "target_power" or entry.part == "target":
        if math.isnan(met):
            return ""
        every = "" if bars.build.target.day is not None or len(bars.days) < 2 else ", on every day"
        return f"Met in {_share(met, bars)}{every}{end}"
    chance = chances_by_code(bars).get(entry.code)
    if chance is None or entry.day not in bars.days:
        return ""
    here = chance.by_day[bars.days.index(entry.day)]
    if math.isnan(here):
        return ""
    words = f"Over in {_share(here, bars)}"
    if chance.over > here:
        words += f"; on any of the days in {chance_text(chance.over, bars.samples)}"
    return f"{words}{end}"


def row_chance(entry: Entry, bars: ErrorBars) -> str:
    """Chance of an entry in the fewest words, for its row; empty where next to nothing."""
    if entry.part == "target":
        met = target_chance(entry, bars)
        return "" if math.isnan(met) else f"met in {_short(met, bars.samples, 0)}"
    chance = chances_by_code(bars).get(entry.code)
    if chance is None or entry.day not in bars.days:
        return ""
    here = chance.by_day[bars.days.index(entry.day)]
    return f"risk {_short(here, bars.samples, 0)}" if here >= LEAST_TOLD else ""


def _short(share: float, samples: int, decimals: int | None = None) -> str:
    """Chance in figures: ``2.2 %``, ``< 0.1 %``; with so many decimals between the ends."""
    if decimals is not None and LEAST_TOLD <= share <= 1.0 - LEAST_TOLD:
        return f"{100.0 * share:.{decimals}f} %"
    return chance_text(share, samples).replace("over ", "> ").replace("under ", "< ")


def peak_table(bars: ErrorBars, units: Units = "si") -> list[list[str]]:
    """The highest wheel power and what stands with it, titles first: 5, 50 and 95 %."""
    peak = bars.peak_wheel_power
    (at, *_), *rest = band_table(bars, units)
    cells = (show(v, "power", units, unit=False) for v in (peak.low, peak.middle, peak.high))
    head = ["", "5 %", "50 %", "95 %", "unit"]
    own = [f"highest wheel power, {bars.days[0]} day", *cells, unit_of("power", units)]
    return [head, own, *([f"{at}: {row[0]}", *row[1:]] for row in rest)]


def chance_table(bars: ErrorBars) -> list[list[str]]:
    """Chance of every entry to be over, titles first, the likeliest at the top."""
    several = len(bars.days) > 1
    rows = [["over", *(["any day"] if several else []), *bars.days, "judged"]]
    judged = [one for one in chances_by_code(bars).values() if one.judged > 0.0]
    for one in sorted(judged, key=lambda one: -one.over):
        if one.part == "target":
            continue
        every = ((one.over,) if several else ()) + one.by_day
        share = f"{100.0 * one.judged:.3g} %"
        rows.append([TITLES[one.code], *(_short(v, bars.samples) for v in every), share])
    return rows


def spread_table(bars: ErrorBars, units: Units = "si") -> list[list[str]]:
    """Spreads of the inputs, titles first: size, given or assumed, share explained, origin."""
    titles = ["input", "spread", "value", "explains", "origin of the spread"]
    rows = [[name, size, basis, share, origin]
            for name, size, basis, origin, share in spread_rows(bars, units)]  # fmt: skip
    rows.sort(key=lambda row: -_number(row[3]))
    return [titles, *rows]


def _number(text: str) -> float:
    return -1.0 if text == NOTHING else float(text.removesuffix(" %"))


def first_lines(bars: ErrorBars, units: Units = "si") -> list[str]:
    """What is told beside the chart of what to measure first, a sentence or two each."""
    peak = bars.peak_wheel_power
    low, middle, high = (show(v, "power", units) for v in (peak.low, peak.middle, peak.high))
    lines = [f"{first_words(bars)}."]
    if not math.isnan(peak.middle):
        lines.append(
            f"Highest wheel power on the {bars.days[0]} day, as on the day, uncorrected: "
            f"{low} (5 %), {middle} (50 %), {high} (95 %)."
        )
    target = bars.build.target
    if target.power is not None and not math.isnan(bars.target_met):
        asked = f"{show(target.power, 'power', units)} at the {target.basis}"
        where = "on every day" if target.day is None else f"on the {target.day} day"
        lines.append(f"Target of {asked} {where}: met in {_share(bars.target_met, bars)}.")
    doubt = math.ceil(100.0 * bars.doubt)
    points = "1 point" if doubt == 1 else f"{doubt} points"
    unsolved = unsolved_words(bars)
    lines += [f"{unsolved}."] if unsolved else []
    return [*lines, f"From {bars.samples} samples: a chance is good to about {points}.", MEANING]
