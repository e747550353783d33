"""Tables as rows of text for other programs: titles with units first, then the cells."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from app.fields import DAY_FIELDS, Units, show, unit_of
from app.present.day_words import breathed_pressure
from app.present.sentences import PART_TITLES, PARTS, SUBJECTS, TITLES, percent, sentence
from app.present.why import WhyRow
from engine_model.inputs import Build
from engine_model.results import Entry

Rows = list[list[str]]


def ledger_rows(
    by_day: Mapping[str, Sequence[Entry]],
    build: Build,
    units: Units = "si",
    under: Sequence[str] = (),
    dressed: Callable[[str, Entry], str] = lambda words, entry: words,
) -> Rows:
    """Rows of a ledger, an entry and day each, in its three parts.

    Parameters
    ----------
    by_day : mapping
        Entries of every day, by the day's name.
    build : Build
        The build they judge.
    units : Units
        Units of the sentences.
    under : sequence of str
        Part, subject, code and day to which the rows are kept; any number of these.
    dressed : callable
        Adds to the sentence of an entry what else is to be told, line by line.
    """
    rows = [
        ["part", "subject", "limit", "day", "state", "used [%]", "engine speed [rpm]", "in words"]
    ]
    entries = [(day, entry) for day, some in by_day.items() for entry in some]
    part_of = {entry.code: entry.part for _, entry in entries}
    for part in PARTS:
        mine = [code for code in part_of if part_of[code] == part]
        subjects = dict.fromkeys(SUBJECTS[code] for code in mine)
        for code in (c for subject in subjects for c in mine if SUBJECTS[c] == subject):
            for day, entry in entries:
                path = (part, SUBJECTS[code], code, day)
                if entry.code == code and path[: len(under)] == tuple(under):
                    rows.append(_entry_row(entry, day, build, units))
                    rows[-1][-1] = dressed(rows[-1][-1], entry).replace("\n", "; ")
    return rows


def _entry_row(entry: Entry, day: str, build: Build, units: Units) -> list[str]:
    return [
        PART_TITLES[entry.part].partition(":")[0],
        SUBJECTS[entry.code],
        TITLES[entry.code],
        day,
        entry.state,
        percent(entry.used).removesuffix(" %"),
        show(entry.engine_speed_rpm, "speed", "si", unit=False),
        sentence(entry, build, units),
    ]


def why_table(rows: Sequence[WhyRow]) -> Rows:
    """Rows of *Why*, a step each; the unit of each value in a column of its own."""
    table = [["station", "quantity", "symbol", "value", "unit", "equation", "put in", "source"]]
    for row in rows:
        value, _, unit = row.value_text.partition(" ")
        put_in = row.numbers_text.replace("\n", "; ")
        words = [put_in, row.note] if row.note else [put_in]
        table.append(
            [row.station, row.title, row.symbol, value, unit, row.equation,
             "; ".join(filter(None, words)), row.source]
        )  # fmt: skip
    return table


def days_rows(
    build: Build,
    units: Units = "si",
    marks: Callable[[str], Sequence[str]] = lambda name: (),
    only: str | None = None,
) -> Rows:
    """Rows of the days of a build.

    Parameters
    ----------
    build : Build
        The build.
    units : Units
        Units shown.
    marks : callable
        Words for a day by its name, such as "target".
    only : str, optional
        The one day that is wanted.
    """
    kinds = {field.path.partition(".")[2]: field for field in DAY_FIELDS}
    titles = [f"{f.label} [{unit_of(f.display, units)}]" for f in kinds.values()]
    pressure = f"breathed at [{unit_of('pressure', units)}]"
    rows = [["day", *titles, pressure, "note"]]
    for name, day in build.known_days().items():
        if only not in (None, name):
            continue
        cells = []
        for attribute, field in kinds.items():
            value = getattr(day, attribute)
            cells.append("" if value is None else show(value, field.display, units, unit=False))
        breathed = show(breathed_pressure(day), "pressure", units, unit=False)
        rows.append([name, *cells, breathed, ", ".join(marks(name))])
    return rows
