"""The compressors' ranking in words and text tables."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence

from app.fields import NOTHING, Units, show
from app.present.cautions import CAUTIONS
from app.present.pulley_tables import title_of
from app.present.sentences import percent, sentence
from app.present.weighting_words import weighting_short
from engine_model.inputs import Build
from engine_model.limits.compressor_limits import OF_BUILD, OF_MAP
from engine_model.results import Entry
from engine_model.studies.compressor_records import (
    ACCEPTED,
    EFFICIENCY,
    EFFICIENCY_ASSUMED,
    FULL,
    MARKED,
    POWER,
    PRESSURE_STATIC,
    REFUSED,
    SHORT,
    TARGET_HEADROOM,
    UNFIT,
    CompressorRanking,
    CompressorRow,
    Room,
    Setting,
)
from engine_model.studies.span_records import NO_BALANCE

WIDTH = 100
"""Columns of the text."""

AIM_WORDS = {
    TARGET_HEADROOM: "the target with most headroom",
    POWER: "most power at the wheels",
    EFFICIENCY: "best weighted efficiency",
}
"""What is looked for, in words."""

STANDING_WORDS = {
    ACCEPTED: "keeps every limit",
    SHORT: "misses the target",
    REFUSED: "over its limits",
    UNFIT: "not computed",
}
"""How a compressor stands, in words."""

MARK_WORDS = {
    EFFICIENCY_ASSUMED: "no efficiency in the compressor map: the typed one is assumed",
    PRESSURE_STATIC: "pressure is total to static: power and boost are not comparable",
}
"""What a compressor map says less than others, in words."""

GROUP_WORDS = {
    FULL: "Ranked",
    MARKED: "Ranked apart, since their compressor maps say less",
}
"""Title of each group."""

WHOSE = {OF_BUILD: "yours", OF_MAP: "the map's"}
"""Whose the maximum impeller speed is that binds, in words."""

_MARK = {ACCEPTED: "( )", SHORT: "(#)", REFUSED: "(#)", UNFIT: "..."}
_NAME = 30


def entry_words(entry: Entry, build: Build, units: Units = "si") -> str:
    """Limit, share and day of an entry, and the ledger's sentence."""
    words = entry.basis if entry.code == NO_BALANCE else sentence(entry, build, units)
    used = "" if entry.code == NO_BALANCE else f" {percent(entry.used)} used"
    return f"{title_of(entry.code)}{used} ({entry.day} day): {words}"


def setting_words(setting: Setting, units: Units = "si", whole: bool = True) -> str:
    """How the compressor is driven, such as ``66.0 mm``; whole: crank pulley and ribs too."""
    if math.isnan(setting.blower_pulley):
        return show(setting.boost, "boost", units)
    size = show(setting.blower_pulley, "length", units)
    if not whole:
        return size
    crank = show(setting.crank_pulley, "length", units)
    return f"blower pulley {size}, crank pulley {crank}, {setting.ribs} ribs"


def signed(value: float, kind: str, units: Units = "si") -> str:
    """Text of a difference with its sign."""
    text = show(value, kind, units)
    return text if text.startswith("-") or text == NOTHING else f"+{text}"


def why_words(row: CompressorRow, build: Build, units: Units = "si") -> str:
    """Why a compressor is not accepted; empty where it is."""
    if row.standing == SHORT:
        missing = show(-row.target_margin_w, "power", units)
        return f"{row.why}: {missing} short"
    if row.standing == REFUSED and row.tightest is not None:
        return f"{row.why}: least over at {entry_words(row.tightest, build, units)}"
    return row.why


def room_words(room: Room | None, build: Build, units: Units = "si") -> str:
    """Room left to grow, and what stops it."""
    if room is None:
        return "none"
    text = f"{signed(room.gain_w, 'power', units)} at {setting_words(room.setting, units, False)}, "
    if room.stop is None:
        return text + "the end of the range looked at"
    return f"{text}then {entry_words(room.stop, build, units)}"


def whose_words(row: CompressorRow) -> str:
    """Maximum impeller speed that binds a row, and whose it is."""
    told = row.compressor_map.maximum_speed
    if math.isnan(row.impeller_limit):
        return "none is known: not judged"
    words = f"{row.impeller_limit:.0f} rpm, {WHOSE[row.impeller_limit_from]}"
    if row.impeller_limit_from == OF_BUILD and told is not None and told != row.impeller_limit:
        words += f"; the map's is {told:.0f} rpm"
    return words


def ranking_headline(ranking: CompressorRanking, units: Units = "si") -> list[str]:
    """What the ranking is of, in a few lines."""
    build, question = ranking.build, ranking.question
    invented = " (invented)" if build.invented else ""
    if build.drive.kind == "free_shaft":
        low, high = (show(x, "boost", units) for x in question.boosts)
        sizes = f"Highest boost of the schedule from {low} to {high}"
    else:
        low, high = (show(x, "length", units) for x in question.blower_pulleys)
        sizes = f"Blower pulleys from {low} to {high}"
    text = (
        f"{sizes} on the days {'; '.join(ranking.days)}, without belt slip. Looked for: "
        f"{AIM_WORDS[question.aim]}. Power is as on the day, uncorrected, and of the day of least. "
        f"Efficiency is weighted: {weighting_short(build)}."
    )
    return [f"{build.title}{invented}: compressors", *textwrap.wrap(text, WIDTH)]


def _cells(row: CompressorRow, rank: int, units: Units) -> tuple[str, ...]:
    state, title = _MARK[row.standing], row.title
    name = title if len(title) <= _NAME else title[: _NAME - 1] + "…"
    if row.setting is None:
        return (f"{rank} {state}", name, *[NOTHING] * 6)
    entry = row.tightest
    tight = NOTHING if entry is None else f"{title_of(entry.code)}"
    return (
        f"{rank} {state}",
        name,
        setting_words(row.setting, units, False),
        show(row.wheel_power_peak_w, "power", units),
        signed(row.target_margin_w, "power", units),
        show(row.weighted_efficiency, "share", units),
        NOTHING if entry is None else percent(entry.used),
        tight[:15],
    )


def ranking_table(rows: Sequence[CompressorRow], units: Units, free_shaft: bool) -> list[str]:
    """A row for each compressor; at most 100 columns wide."""
    size = "boost" if free_shaft else "pulley"
    head = ("  rank", "compressor", size, "wheel", "to target", "eff.", "used", "tightest")
    cells = [head, *(_cells(row, k + 1, units) for k, row in enumerate(rows))]
    widths = [max(len(line[k]) for line in cells) for k in range(len(head))]
    right = {0, 2, 3, 4, 5, 6}
    return [
        "  ".join(
            c.rjust(w) if k in right else c.ljust(w)
            for k, (c, w) in enumerate(zip(line, widths, strict=True))
        ).rstrip()
        for line in cells
    ]


def _details(row: CompressorRow, ranking: CompressorRanking, units: Units) -> list[str]:
    """What is told of one compressor besides its row of the table."""
    build = ranking.build
    found = [f"{STANDING_WORDS[row.standing]}: {why_words(row, build, units)}".rstrip(": ")]
    found += [MARK_WORDS[mark] for mark in row.marks]
    if row.setting is not None:
        free = math.isnan(row.setting.blower_pulley)
        drive = "the shaft is asked for" if free else "the crank pays"
        power = show(row.drive_power_peak_w, "power", units)
        boost = show(row.boost_peak_pa, "boost", units)
        found.append(
            f"{setting_words(row.setting, units)}{' in the schedule' if free else ''}; highest "
            f"boost {boost}; {drive} {power} at most"
        )
        found.append(f"impeller speed limit: {whose_words(row)}")
    if row.standing != REFUSED and row.tightest is not None:
        found.append(f"tightest: {entry_words(row.tightest, build, units)}")
    speeds = ranking.question.speeds
    for day in row.days if speeds else ():
        pairs = zip(speeds, day.wheel_power_at_w.tolist(), strict=True)
        texts = [f"{show(w, 'power', units)} at {n:.0f} rpm" for n, w in pairs]
        found.append(f"wheel power, {day.day} day: {', '.join(texts)}")
    if row.room is not None:
        found.append(f"room left to grow: {room_words(row.room, build, units)}")
    wrapped: list[str] = []
    for text in found:
        wrapped += textwrap.wrap(text, WIDTH, initial_indent="    ", subsequent_indent="      ")
    return [f"  {row.title}"[:WIDTH], *wrapped]


def ranking_text(ranking: CompressorRanking, units: Units = "si") -> list[str]:
    """Rows that ``compressors`` prints; at most 100 columns wide."""
    rows = [*ranking_headline(ranking, units), ""]
    if ranking.winner is None:
        rows += ["No compressor keeps every limit.", ""]
    free = ranking.build.drive.kind == "free_shaft"
    for group in (FULL, MARKED):
        mine = [row for row in ranking.rows if row.group == group]
        if mine:
            rows += [GROUP_WORDS[group], *ranking_table(mine, units, free), ""]
            for row in mine:
                rows += _details(row, ranking, units)
            rows.append("")
    belt = () if free else ("belt",)
    words = " ".join(CAUTIONS[key] for key in (*belt, "impeller_speed", "general"))
    return [*rows, *textwrap.wrap(words, WIDTH)]
