"""The compressors compared as a table: one row of data a column, its text and its order."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from app.fields import NOTHING, Units, show, unit_of
from app.present.compressor_sayings import (
    TIE_WORDS,
    power_day_at,
    standing_age,
    tightest_short,
)
from app.present.compressor_shown import AS_OF_LAST, OLD, STATUS_WORDS, ShownRow
from app.present.compressor_tables import (
    MARK_WORDS,
    STANDING_WORDS,
    setting_words,
    signed,
)
from engine_model.studies.compressor_records import (
    ACCEPTED,
    REFUSED,
    SHORT,
    UNFIT,
    CompressorRow,
)

AIM_WORDS = {
    "target_headroom": "reach the target with most headroom",
    "power": "most power",
    "efficiency": "best weighted efficiency",
}
"""Aims in words."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column.

    Parameters
    ----------
    key : str
        Its name.
    head : str
        Title; a second line after a line break.
    kind : str
        Kind of display of its numbers; empty for words.
    text : callable
        Text of a row in units.
    order : callable
        What sorts rows by it.
    is_falling : bool
        Whether the largest comes first where it is chosen.
    help : str
        What it is.
    parted_at : str
        Where its texts go on in a second line.
    day : callable
        Day that its number is of; empty where it is of every day.
    """

    key: str
    head: str
    kind: str
    text: Callable[[ShownRow, Units], str]
    order: Callable[[ShownRow], float | str]
    is_falling: bool = False
    help: str = ""
    parted_at: str = ""
    day: Callable[[ShownRow], str] = lambda one: ""

    def title(self, units: Units) -> str:
        """Title with its unit."""
        if not self.kind or self.kind == "ribs":
            return self.head
        return f"{self.head} [{unit_of(self.kind, units)}]"

    @property
    def is_number(self) -> bool:
        """Whether it holds numbers."""
        return bool(self.kind)


def _number(
    key: str,
    head: str,
    kind: str,
    value: Callable[[ShownRow], float],
    help_words: str,
    *,
    is_falling: bool = True,
    signed: bool = False,
    day: Callable[[ShownRow], str] = lambda one: "",
) -> Column:
    def text(one: ShownRow, units: Units) -> str:
        if one.row is None:
            return ""
        number = value(one)
        if kind == "ribs":
            return f"{number:.0f}" if math.isfinite(number) else NOTHING
        told = show(number, kind, units, unit=False)
        return f"+{told}" if signed and number > 0.0 else told

    def order(one: ShownRow) -> float:
        return math.nan if one.row is None else value(one)

    return Column(key, head, kind, text, order, is_falling, help_words, day=day)


def _of_setting(name: str) -> Callable[[ShownRow], float]:
    def value(one: ShownRow) -> float:
        return math.nan if one.setting is None else float(getattr(one.setting, name))

    return value


def _of_row(name: str) -> Callable[[ShownRow], float]:
    def value(one: ShownRow) -> float:
        return math.nan if one.row is None else float(getattr(one.row, name))

    return value


def _power_at(speed: float) -> Callable[[ShownRow], float]:
    def value(one: ShownRow) -> float:
        # an older answer may be of other speeds
        if one.row is None or speed not in one.speeds or not one.row.days:
            return math.nan
        place = one.speeds.index(speed)
        return min(float(day.wheel_power_at_w[place]) for day in one.row.days)

    return value


def _day_at(speed: float) -> Callable[[ShownRow], str]:
    return lambda one: power_day_at(one, speed)


def standing_text(one: ShownRow, units: Units = "si") -> str:
    """Standing in words, and how old it is."""
    if one.row is None:
        return STATUS_WORDS.get(one.status, "")
    return standing_age(STANDING_WORDS[one.row.standing], one, one.status == OLD)


def standing_cell(one: ShownRow) -> str:
    """Standing in two short lines; the days not judged are named in full where it is told whole."""
    row = one.row
    if row is None:
        return standing_text(one)
    words = STANDING_WORDS[row.standing]
    if one.status == OLD:
        return f"{words},\n{AS_OF_LAST}"
    if row.standing == ACCEPTED and one.not_judged:
        more = ", …" if len(one.not_judged) > 1 else ""
        return f"keeps on days judged;\nnot judged: {one.not_judged[0]}{more}"
    return words.replace(" ", "\n", 1)


def standing_state(one: ShownRow) -> str:
    """State whose dial stands for a row: that of its tightest limit, or of what refuses it."""
    row = one.row
    if row is None or row.standing == UNFIT:
        return "blank"
    if row.standing == ACCEPTED:
        return "blank" if row.tightest is None else row.tightest.state
    return "over"


def _standing_order(one: ShownRow) -> float:
    if one.row is None:
        return math.nan
    return float([ACCEPTED, SHORT, REFUSED, UNFIT].index(one.row.standing))


def _tightest(one: ShownRow, units: Units) -> str:
    return "" if one.row is None else tightest_short(one.row)


def _tightest_order(one: ShownRow) -> float:
    entry = None if one.row is None else one.row.tightest
    return math.nan if entry is None else entry.used


def _room(one: ShownRow, units: Units) -> str:
    if one.row is None:
        return ""
    room = one.row.room
    if room is None:
        return NOTHING
    return f"{signed(room.gain_w, 'power', units)} at {setting_words(room.setting, units, False)}"


def _room_order(one: ShownRow) -> float:
    room = None if one.row is None else one.row.room
    return math.nan if room is None else room.gain_w


def marks_words(row: CompressorRow) -> str:
    """Marks of a map in words; empty without any."""
    return "; ".join(MARK_WORDS[mark] for mark in row.marks)


def marks_short(row: CompressorRow) -> str:
    """Marks of a map in a few words, and that it is ranked apart; empty without any."""
    told = [MARK_WORDS[mark].partition(":")[0] for mark in row.marks]
    return f"ranked apart: {', '.join(told)}" if told else ""


NAME = Column(
    "name",
    "Compressor map",
    "",
    lambda one, units: one.title,
    lambda one: one.title.casefold(),
    help="Ticked ones are compared; the picture shows the line of the answer on the map",
)

STANDING = Column(
    "standing",
    "Standing",
    "",
    standing_text,
    _standing_order,
    help="Whether every limit of the parts and the target are kept on every day chosen",
    parted_at=" ",
)
TIGHTEST = Column(
    "tightest",
    "Tightest entry,\nday",
    "",
    _tightest,
    _tightest_order,
    help=f"Limit of the parts used most over the days chosen. {TIE_WORDS}",
    parted_at=", ",
)
ROOM = Column(
    "room",
    "Room left\nto grow",
    "",
    _room,
    _room_order,
    is_falling=True,
    help="Power at the wheels gained at the last size that keeps every limit of the parts",
    parted_at=" at ",
)


def columns_of(
    *,
    free_shaft: bool,
    speeds: Sequence[float] = (),
    cranks: int = 0,
    has_target: bool = False,
) -> tuple[Column, ...]:
    """Columns of the table.

    Parameters
    ----------
    free_shaft : bool
        Whether a boost stands in the place of the pulley.
    speeds : sequence of float
        Engine speeds that matter. [rpm]
    cranks : int
        Crank pulleys asked for.
    has_target : bool
        Whether a power is promised.
    """
    found = [NAME, STANDING]
    if free_shaft:
        asked = "Highest boost of the schedule, the best under the aim"
        found.append(_number("size", "Boost asked", "boost", _of_setting("boost"), asked))
    else:
        best = "Blower pulley, outside diameter, the best under the aim"
        size = _of_setting("blower_pulley")
        found.append(_number("size", "Pulley", "length", size, best, is_falling=False))
        if cranks > 1:
            size = _of_setting("crank_pulley")
            words = "Crank pulley, outside diameter, the best under the aim"
            found.append(_number("crank", "Crank", "length", size, words))
        found.append(_number("ribs", "Ribs", "ribs", _of_setting("ribs"), "Ribs of the belt"))
    found.append(
        _number(
            "power",
            "Wheel power,\npeak",
            "power",
            _of_row("wheel_power_peak_w"),
            "Highest power at the wheels on the day of least, as on the day, uncorrected",
            day=lambda one: "" if one.row is None else one.row.power_day,
        )
    )
    if has_target:
        found.append(
            _number(
                "target",
                "Over\ntarget",
                "power",
                _of_row("target_margin_w"),
                "Power less the target's, on its worst day; negative where it is missed",
                signed=True,
                day=lambda one: one.row.target.day if one.row and one.row.target else "",
            )
        )
    for speed in speeds:
        words = "Power at the wheels there on the day of least, as on the day, uncorrected"
        head = f"Wheel, at\n{speed:.0f} rpm"
        key, day = f"power {speed:.0f}", _day_at(speed)
        found.append(_number(key, head, "power", _power_at(speed), words, day=day))
    found.append(
        _number(
            "efficiency",
            "Weighted\nefficiency",
            "share",
            _of_row("weighted_efficiency"),
            "Efficiency of the compressor weighted over engine speed, on the day of least",
            day=lambda one: "" if one.row is None else one.row.efficiency_day,
        )
    )
    found.append(TIGHTEST)
    most = "Highest boost over the days, gauge"
    found.append(_number("boost", "Boost,\npeak", "boost", _of_row("boost_peak_pa"), most))
    if free_shaft:
        words = "Most power asked of the shaft over the days"
        found.append(
            _number("shaft", "Shaft\npower", "power", _of_row("drive_power_peak_w"), words)
        )
    return (*found, ROOM)
