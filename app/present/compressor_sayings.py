"""What a comparison of compressors must not leave unsaid: days, limits, equals, what stops."""

from __future__ import annotations

import math
from collections.abc import Sequence

from app.fields import NOTHING, Units, show
from app.present.compressor_shown import AS_OF_LAST, ShownRow
from app.present.compressor_tables import WHOSE, setting_words, signed
from app.present.pulley_tables import title_of
from app.present.sentences import percent
from engine_model.inputs import Build
from engine_model.results import Entry
from engine_model.studies.compressor_records import (
    ACCEPTED,
    EFFICIENCY,
    POWER,
    SHORT,
    TARGET_HEADROOM,
    CompressorRow,
)
from engine_model.studies.span_records import NO_BALANCE

ALIKE_POWER, ALIKE_USED, ALIKE_EFFICIENCY = 0.005, 0.01, 0.003
"""Share of the power, share used and efficiency that do not matter; chosen here."""

ALIKE_WORDS = {
    TARGET_HEADROOM: "within 1 point of the tightest limit",
    POWER: "within 0.5 % of the power",
    EFFICIENCY: "within 0.3 points of the efficiency",
}
"""What counts as practically equal under each aim."""

TIE_WORDS = "Equal: the next tightest decides"
"""How equal headroom is ranked."""

_KINDS = {"K": "temperature", "rpm": "speed", "m/s": "velocity", "W": "power", "N": "force"}
_MOST_ALIKE = 1


def days_words(days: Sequence[str]) -> str:
    """Days in words: ``mild day``, ``days mild, hot``."""
    return f"{days[0]} day" if len(days) == 1 else f"days {', '.join(days)}"


def judged_words(not_judged: Sequence[str]) -> str:
    """On which days a limit is kept, where not every day of the build is judged; else empty."""
    if not not_judged:
        return ""
    return f"on the days judged; not judged: {', '.join(not_judged)}"


def not_judged_of(build: Build, days: Sequence[str]) -> tuple[str, ...]:
    """Days that a build knows and that are not among some."""
    return tuple(name for name in build.known_days() if name not in days)


def former_words(one: ShownRow, aim_words: dict[str, str]) -> str:
    """The question that an older answer belongs to."""
    days = [] if one.row is None else [day.day for day in one.row.days]
    where = f", on the {days_words(days)}" if days else ""
    return f"{aim_words.get(one.aim, 'another question')}{where}, the build as it was then"


def bound_words(entry: Entry, units: Units = "si") -> str:
    """A limit with its bound and day: ``charge temperature 60.0 °C, hot day``."""
    title = title_of(entry.code)
    title = title[0].lower() + title[1:]
    kind = "boost" if entry.code == "boost" else _KINDS.get(entry.unit, "")
    told = f" {show(entry.bound, kind, units)}" if kind and math.isfinite(entry.bound) else ""
    if not told and entry.code != NO_BALANCE:
        told = f" {percent(entry.used)} used"
    return f"{title}{told}, {entry.day} day"


def stopped_words(row: CompressorRow, units: Units = "si") -> str:
    """What stops a compressor that is not accepted; empty where nothing is known."""
    entry = row.tightest
    if row.standing == SHORT:
        missing = f"{show(-row.target_margin_w, 'power', units)} short of the target"
        entry = None if row.room is None else row.room.stop
        return missing if entry is None else f"stopped by {bound_words(entry, units)}: {missing}"
    return "" if entry is None else f"stopped by {bound_words(entry, units)}"


def is_alike(one: CompressorRow, other: CompressorRow, aim: str) -> bool:
    """Whether two rows are practically equal in what an aim looks for."""
    if aim == POWER:
        powers = one.wheel_power_peak_w, other.wheel_power_peak_w
        return abs(powers[0] - powers[1]) <= ALIKE_POWER * max(powers)
    if aim == EFFICIENCY:
        return abs(one.weighted_efficiency - other.weighted_efficiency) <= ALIKE_EFFICIENCY
    steps = (abs(a - b) for a, b in zip(one.shares, other.shares, strict=False))
    # as they are ranked: the first share that differs
    return next((step for step in steps if step > 1e-9), 0.0) <= ALIKE_USED


def alike_rows(ranked: Sequence[ShownRow], aim: str) -> list[ShownRow]:
    """Accepted rows that are practically equal to the first of the rows ranked."""
    best = ranked[0].row if ranked else None
    if best is None or best.standing != ACCEPTED:
        return []
    return [
        one
        for one in ranked[1:]
        if one.row is not None
        and (one.row.standing, one.row.group) == (ACCEPTED, best.group)
        and is_alike(best, one.row, aim)
    ]


def alike_title(alike: Sequence[ShownRow]) -> str:
    """Names of rows that are practically equal, for a headline; empty for none."""
    if not alike:
        return ""
    more = len(alike) - 1
    others = f" and {more} more" if more else ""
    return f", practically equal to {alike[0].title}{others}"


def alike_sentences(
    best: CompressorRow, alike: Sequence[ShownRow], aim: str, units: Units = "si"
) -> list[str]:
    """Sentences on rows practically equal to the best: by what, and what of them differs."""
    found = []
    for one in alike[:_MOST_ALIKE]:
        if one.row is not None:
            setting = one.row.setting
            size = "" if setting is None else f" at {setting_words(setting, units, False)}"
            differs = ", ".join(_differences(best, one.row, units))
            found.append(
                f"Practically equal ({ALIKE_WORDS[aim]}): {one.title}{size}; "
                + (f"differs by {differs}." if differs else "nothing that matters differs.")
            )
    return found


def _differences(best: CompressorRow, row: CompressorRow, units: Units) -> list[str]:
    found = []
    gap = row.wheel_power_peak_w - best.wheel_power_peak_w
    if not is_alike(best, row, POWER):
        found.append(f"{signed(gap, 'power', units)} at the wheels")
    if best.shares and row.shares and abs(best.shares[0] - row.shares[0]) > ALIKE_USED:
        found.append(f"tightest {percent(row.shares[0])} in place of {percent(best.shares[0])}")
    points = 100.0 * (row.weighted_efficiency - best.weighted_efficiency)
    if not is_alike(best, row, EFFICIENCY):
        found.append(f"{points:+.1f} points of efficiency")
    return found


def power_day_at(one: ShownRow, speed: float) -> str:
    """Day of least power at an engine speed [rpm]; empty for none."""
    row = one.row
    if row is None or speed not in one.speeds or not row.days:
        return ""
    place = one.speeds.index(speed)
    return min(row.days, key=lambda day: float(day.wheel_power_at_w[place])).day


def standing_age(words: str, one: ShownRow, is_old: bool) -> str:
    """A standing with the days it is of and how old it is."""
    row = one.row
    if row is not None and row.standing == ACCEPTED and one.not_judged:
        words = f"{words} {judged_words(one.not_judged)}"
        return f"{words}; {AS_OF_LAST}" if is_old else words
    return f"{words}, {AS_OF_LAST}" if is_old else words


def entry_short(entry: Entry | None, whose: str = "") -> str:
    """Limit, share and day of an entry, short.

    Parameters
    ----------
    entry : Entry or None
        The entry.
    whose : str
        Whose the maximum impeller speed is: ``build`` or ``map``.
    """
    if entry is None:
        return NOTHING
    is_impeller = entry.code in ("impeller_speed", "impeller_speed_over_rev")
    of = f" of {WHOSE[whose]}" if is_impeller and whose else ""
    return f"{title_of(entry.code)} {percent(entry.used)}{of}, {entry.day}"


def tightest_short(row: CompressorRow) -> str:
    """The tightest limit, short; and the next one where the size does not move it."""
    whose = row.impeller_limit_from
    words = entry_short(row.tightest, whose)
    if not row.tightest_is_fixed or row.next_tightest is None or row.tightest is None:
        return words
    words = words.rpartition(", ")[0]
    return f"{words} at any size, next: {entry_short(row.next_tightest, whose)}"
