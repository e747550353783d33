"""Answers of the compressor study in words: the winner, one candidate whole, the captions."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date

from app.fields import NOTHING, Units, show, unit_of
from app.present.cautions import CAUTIONS
from app.present.compressor_columns import AIM_WORDS, marks_words, standing_text
from app.present.compressor_order import by_rank
from app.present.compressor_sayings import (
    alike_rows,
    alike_sentences,
    alike_title,
    days_words,
    entry_short,
    former_words,
    judged_words,
    not_judged_of,
    stopped_words,
)
from app.present.compressor_shown import AS_OF_LAST, OLD, WAITING, ShownRow
from app.present.compressor_tables import (
    entry_words,
    room_words,
    setting_words,
    whose_words,
    why_words,
)
from app.present.weighting_words import weighting_short
from engine_model.inputs import Build
from engine_model.studies.compressor_records import (
    ACCEPTED,
    MARKED,
    TARGET_HEADROOM,
    CompressorRow,
    Setting,
)

NO_TARGET = "No target is set: choose another aim, or set the target's power on the Line place."
WRONG_DAY = "The target is promised on the {} day: tick it, or change the target's day."
"""Why a question cannot be asked."""

UNCORRECTED = "as on the day, uncorrected"


def question_fault(build: Build, aim: str, days: Sequence[str]) -> str:
    """Why a question cannot be asked of a build, in a sentence; empty where it can."""
    target = build.target
    if aim == TARGET_HEADROOM and target.power is None:
        return NO_TARGET
    if target.power is not None and target.day is not None and target.day not in days:
        return WRONG_DAY.format(target.day)
    return ""


def setting_short(setting: Setting, units: Units = "si") -> str:
    """How a compressor is driven, in the fewest words: its pulley or boost."""
    if math.isnan(setting.blower_pulley):
        return f"boost up to {show(setting.boost, 'boost', units)}"
    return f"pulley {show(setting.blower_pulley, 'length', units)}"


def answer_words(
    rows: Sequence[ShownRow], build: Build, aim: str, days: Sequence[str], units: Units = "si"
) -> tuple[str, list[str]]:
    """The answer in a few words, and the sentences under it.

    Parameters
    ----------
    rows : sequence of ShownRow
        The candidates.
    build : Build
        The build.
    aim : str
        What is looked for.
    days : sequence of str
        The chosen days.
    units : Units
        Units shown.
    """
    told_rows = [one for one in by_rank(rows, aim) if one.row is not None]
    ranked = [one for one in told_rows if one.status != OLD]
    asked = f"Aim: {AIM_WORDS[aim]}, on the {days_words(days)}, without belt slip."
    waiting = sum(one.status == WAITING for one in rows)
    former = sum(one.status == OLD for one in rows)
    if former and not ranked:
        return f"Not worked out yet: what is shown is {AS_OF_LAST}", [
            f"Its question: {former_words(told_rows[0], AIM_WORDS)}.",
            asked,
        ]
    if not ranked:
        return ("Not worked out yet" if waiting else "No compressor is chosen: tick one or more"), [
            asked
        ]
    best = ranked[0]
    row = best.row
    assert row is not None
    accepted = row.standing == ACCEPTED
    counts = ((waiting, "not worked out yet"), (former, AS_OF_LAST))
    left = [f"{count} {words}" for count, words in counts if count]
    age = f", so far ({', '.join(left)})" if left else ""
    grey = [one for one in told_rows if one.status == OLD]
    if grey:
        asked = f"Grey rows are of: {former_words(grey[0], AIM_WORDS)}. {asked}"
    if not accepted:
        target = " and the target" if build.target.power is not None else ""
        stopped = stopped_words(row, units)
        nearest = f": {best.title} is {stopped}" if stopped else ""
        verdict = f"No compressor keeps every limit{target}{age}{nearest}"
        return verdict, [f"Nearest: {best.title}: {why_words(row, build, units)}", asked]
    setting = "" if row.setting is None else f" with {setting_words(row.setting, units)}"
    alike = alike_rows(ranked, aim)
    verdict = f"{best.title}{setting}{alike_title(alike)}{age}"
    told = [f"{power_words(row, units)}; {_tightest_words(row)}."]
    told += alike_sentences(row, alike, aim, units)
    missing = not_judged_of(build, days)
    if missing:
        told.append(f"Every limit is kept {judged_words(missing)}.")
    if row.group == MARKED:
        told.append(f"{marks_words(row)}; no map that says all is accepted.")
    return verdict, [*told, asked]


def _tightest_words(row: CompressorRow) -> str:
    words = f"tightest: {entry_short(row.tightest, row.impeller_limit_from)} day"
    if row.tightest_is_fixed and row.next_tightest is not None:
        words += f", the same at every size: the next decides, {entry_short(row.next_tightest)} day"
    return words


def power_words(row: CompressorRow, units: Units = "si") -> str:
    """Peak power of the day of least in words, and how it stands to the target."""
    words = (
        f"At least {show(row.wheel_power_peak_w, 'power', units)} at the wheels "
        f"({row.power_day} day, {UNCORRECTED})"
    )
    if math.isnan(row.target_margin_w):
        return words
    side = "over" if row.target_margin_w >= 0.0 else "short of"
    day = "" if row.target is None else f" ({row.target.day} day)"
    return f"{words}; {show(abs(row.target_margin_w), 'power', units)} {side} the target{day}"


def candidate_words(one: ShownRow, build: Build, units: Units = "si") -> list[tuple[str, str]]:
    """Names and texts of all that is told of one candidate.

    Parameters
    ----------
    one : ShownRow
        The candidate.
    build : Build
        The build with its map and best size.
    units : Units
        Units shown.
    """
    told = [("Comes from", one.source)]
    row = one.row
    if one.sentence:
        return [*told, ("Not read", one.sentence)]
    told.append(("Standing", standing_text(one, units)))
    if row is None:
        return told
    if row.why:
        told.append(("Why", why_words(row, build, units)))
    if row.marks:
        told.append(("Marks", marks_words(row)))
    if row.setting is None:
        return told
    told.append(("Best size", setting_words(row.setting, units)))
    told.append(("Power", power_words(row, units)))
    efficiency = show(row.weighted_efficiency, "share", units)
    told.append(
        (
            "Efficiency",
            f"{efficiency} ({row.efficiency_day} day), weighted: {weighting_short(build)}",
        )
    )
    asked = f"{show(row.boost_peak_pa, 'boost', units)} at most; driving it takes up to"
    told.append(("Boost, drive", f"{asked} {show(row.drive_power_peak_w, 'power', units)}"))
    if row.tightest is not None:
        told.append(("Tightest", entry_words(row.tightest, build, units)))
    if row.tightest_is_fixed and row.next_tightest is not None:
        words = entry_words(row.next_tightest, build, units)
        told.append(("Next tightest", f"{words}; it decides: the tightest is so at every size"))
    told.append(("Impeller limit", whose_words(row)))
    told.append(("Room left to grow", room_words(row.room, build, units)))
    return told


def day_rows(row: CompressorRow, speeds: Sequence[float], units: Units = "si") -> list[list[str]]:
    """The answer day by day as rows of text: a column a day, the units at the left."""
    power, boost = unit_of("power", units), unit_of("boost", units)
    rows = [
        ["", *(one.day for one in row.days)],
        [
            f"wheel, peak [{power}]",
            *(_bare(d.wheel_power_peak_w, "power", units) for d in row.days),
        ],
    ]
    for place, speed in enumerate(speeds):
        at = [float(one.wheel_power_at_w[place]) for one in row.days]
        rows.append([f"wheel, {speed:.0f} rpm [{power}]", *(_bare(w, "power", units) for w in at)])
    shares = (one.weighted_efficiency for one in row.days)
    rows.append(["efficiency [%]", *(_bare(share, "share", units) for share in shares)])
    gauge = (one.boost_peak_pa for one in row.days)
    rows.append([f"boost [{boost}]", *(_bare(value, "boost", units) for value in gauge)])
    return rows


def _bare(value: float, kind: str, units: Units) -> str:
    return show(value, kind, units, unit=False)


def day_lines(row: CompressorRow, speeds: Sequence[float], units: Units = "si") -> list[str]:
    """The answer day by day as sentences, for a narrow column."""
    found = []
    for one in row.days:
        at = zip(one.wheel_power_at_w.tolist(), speeds, strict=False)
        powers = [f"{show(w, 'power', units)} at {speed:.0f} rpm" for w, speed in at]
        told = [
            f"{show(one.wheel_power_peak_w, 'power', units)} at the wheels",
            *powers,
            f"{show(one.weighted_efficiency, 'share', units)} weighted",
            f"{show(one.boost_peak_pa, 'boost', units)} boost",
        ]
        found.append(f"{one.day}: {', '.join(told)}")
    return found


def day_entries(row: CompressorRow) -> list[tuple[str, str]]:
    """Tightest limit day by day: the day, and limit with its share."""
    found = []
    for one in row.days:
        words = NOTHING if one.tightest is None else entry_short(one.tightest).rpartition(",")[0]
        found.append((one.day, words))
    return found


def study_columns(
    build: Build, aim: str, days: Sequence[str], written_on: date, *, old: bool = False
) -> tuple[tuple[str, str], ...]:
    """Columns of a table of numbers that say the same in every row."""
    invented = " (invented)" if build.invented else ""
    age = ((AS_OF_LAST, "yes"),) if old else ()
    return (
        ("build", f"{build.title}{invented}"),
        ("aim", AIM_WORDS[aim]),
        ("judged on", days_words(days)),
        ("power", f"at the wheels, {UNCORRECTED}"),
        *age,
        ("written", written_on.isoformat()),
        ("caution", CAUTIONS["general"]),
    )


def study_caption(
    build: Build, aim: str, day: str, written_on: date, shop: str = "", *, old: bool = False
) -> tuple[str, ...]:
    """Rows of the caption of a picture of compressors laid over each other."""
    invented = " (invented)" if build.invented else ""
    parts = [
        f"{build.title}{invented}",
        f"compressors compared, lines of the {day} day",
        f"aim: {AIM_WORDS[aim]}",
        *([AS_OF_LAST] if old else []),
        written_on.isoformat(),
        *([shop] if shop else []),
    ]
    return " | ".join(parts), CAUTIONS["general"]
