"""Compressors in the order of an aim or of a column, and the table as text and as CSV."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from app.fields import Units, show, unit_of
from app.present.compressor_columns import ROOM, Column, marks_words
from app.present.compressor_shown import BROKEN, OFF, OLD, ShownRow
from app.present.series_csv import Columns, csv_text
from engine_model.studies.compressor_records import MARKED, rank_key

GROUPS = 7
"""Groups of rows that are ordered apart."""


def _group(one: ShownRow) -> int:
    """Full maps with an answer, marked ones, both as of the last run, then what has no answer."""
    if one.status == BROKEN:
        return GROUPS - 1
    if one.row is None:
        return 5 if one.status == OFF else 4
    # an answer to another question is never before one to this
    return 2 * int(one.status == OLD) + int(one.row.group == MARKED)


def _aim(one: ShownRow, aim: str) -> str:
    return one.aim if one.status == OLD and one.aim else aim


def by_rank(rows: Sequence[ShownRow], aim: str) -> list[ShownRow]:
    """Rows as the aim ranks them, marked ones after full ones, older ones as theirs ranked them."""

    def key(pair: tuple[int, ShownRow]) -> tuple[Any, ...]:
        place, one = pair
        told: tuple[Any, ...] = () if one.row is None else rank_key(one.row, _aim(one, aim))
        # its group is told anew, and equal ones stand as they come
        return (_group(one), *told[1:-1], place)

    return [one for _, one in sorted(enumerate(rows), key=key)]


def by_column(rows: Sequence[ShownRow], column: Column, *, falling: bool) -> list[ShownRow]:
    """Rows by a column, each group for itself; what has no number there comes last in it."""
    found: list[ShownRow] = []
    for group in range(GROUPS):
        own = [one for one in rows if _group(one) == group]
        keyed = [(column.order(one), one) for one in own]
        told = [pair for pair in keyed if pair[0] == pair[0]]
        words = all(isinstance(key, str) for key, _ in told)
        told.sort(key=lambda p: str(p[0]) if words else float(p[0]), reverse=falling)
        found += [one for _, one in told] + [one for key, one in keyed if key != key]
    return found


def _beside(one: ShownRow) -> list[str]:
    """Days of power and target, where a map comes from, its marks, and what is said of it."""
    row = one.row
    days = ["", ""] if row is None else [row.power_day, row.target.day if row.target else ""]
    marks = "" if one.row is None else marks_words(one.row)
    why = one.sentence or ("" if one.row is None else one.row.why)
    return [*days, one.source, marks, why]


BESIDE = ["day of the power", "day of the target", "comes from", "marks", "in words"]
"""Titles of what stands beside the columns."""


def _heads(columns: Sequence[Column], units: Units) -> list[str]:
    return [" ".join(column.title(units).split()) for column in columns]


def table_rows(
    rows: Sequence[ShownRow], columns: Sequence[Column], units: Units = "si"
) -> list[list[str]]:
    """The table as rows of text, titles first, with where each map comes from and its marks."""
    told = [[*_heads(columns, units), *BESIDE]]
    for one in rows:
        told.append([*(column.text(one, units) for column in columns), *_beside(one)])
    return told


def table_csv(
    rows: Sequence[ShownRow], columns: Sequence[Column], about: Columns, units: Units = "si"
) -> str:
    """The table as CSV text; the room left to grow as numbers of its own.

    Parameters
    ----------
    rows : sequence of ShownRow
        The candidates in the order shown.
    columns : sequence of Column
        The columns.
    about : sequence of (str, str)
        Columns at the end that say the same in every row.
    units : Units
        Units shown.
    """
    kept = [column for column in columns if column is not ROOM]
    power = unit_of("power", units)
    size = [
        f"room left, at pulley [{unit_of('length', units)}]",
        f"room left, at boost [{unit_of('boost', units)}]",
    ]
    header = [*_heads(kept, units), f"room left, gain [{power}]", *size, *BESIDE]
    told = []
    for one in rows:
        cells = [column.text(one, units) for column in kept]
        room = None if one.row is None else one.row.room
        numbers = ["", "", ""]
        if room is not None:
            pulley, boost = room.setting.blower_pulley, room.setting.boost
            numbers = [
                show(room.gain_w, "power", units, unit=False),
                "" if math.isnan(pulley) else show(pulley, "length", units, unit=False),
                "" if math.isnan(boost) else show(boost, "boost", units, unit=False),
            ]
        told.append([*cells, *numbers, *_beside(one)])
    return csv_text(header, told, about)
