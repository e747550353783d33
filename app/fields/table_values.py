"""Tables of two columns (``table:x:y`` fields): their columns, typed cells, pasted text."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from app.fields.display import Units, show, unit_of
from app.fields.field import Field
from engine_model.errors import InputError
from engine_model.units import QUANTITIES, parse_quantity

MOST_ROWS = 200
"""Rows taken from a paste; chosen here."""

MOST_SHARE = 2.0
"""Largest share of the limiter read in a table [-]; chosen here."""


@dataclass(frozen=True, slots=True)
class TableColumn:
    """One column of a table.

    Parameters
    ----------
    label : str
        Its name.
    quantity, display : str
        Kind of unit and kind of display.
    low, high : float
        Allowed range, SI (speeds in rpm), ends included.
    """

    label: str
    quantity: str
    display: str
    low: float
    high: float

    def heading(self, units: Units = "si") -> str:
        """Name with the unit in which it is shown, such as ``Boost [bar]``."""
        return f"{self.label} [{unit_of(self.display, units)}]"

    def write(self, value: float, units: Units = "si") -> str:
        """Text of an SI value, without its unit."""
        return show(value, self.display, units, unit=False)


MOST_GEARS = 20.0
"""Highest gear read in a table; chosen here."""

_FIRST = {
    "engine.volumetric_efficiency": TableColumn("Engine speed", "speed", "speed", 0.0, 24000.0),
    "drive.boost_schedule": TableColumn(
        "Share of the limiter", "dimensionless", "dimensionless", 0.0, MOST_SHARE
    ),
    "vehicle.gear_ratios": TableColumn("Gear", "dimensionless", "gear", 0.0, MOST_GEARS),
    "weighting.points": TableColumn("Engine speed", "speed", "speed", 0.0, 24000.0),
}
_SECOND = {
    "engine.volumetric_efficiency": ("VE", "dimensionless"),
    "drive.boost_schedule": ("Boost", "boost"),
    "vehicle.gear_ratios": ("Ratio", "dimensionless"),
    "weighting.points": ("Weight", "dimensionless"),
}


def columns_of(field: Field) -> tuple[TableColumn, TableColumn]:
    """Both columns of a table's field."""
    row = field.row
    quantity = row.quantity.rsplit(":", 1)[1]
    label, display = _SECOND[field.path]
    return _FIRST[field.path], TableColumn(label, quantity, display, row.low, row.high)


def is_bare(text: str) -> bool:
    """Whether a text is a number without a unit."""
    return re.fullmatch(r"\s*[-+]?[0-9.,][0-9.,\s]*(?:[eE][-+]?[0-9]+)?\s*", text) is not None


def read_cell(column: TableColumn, text: str, units: Units = "si") -> float:
    """SI value of a typed cell; a bare number is in the unit of the column's heading.

    Raises
    ------
    InputError
        With the column's name, what was typed and what is allowed.
    """
    typed = text.strip()
    symbol = unit_of(column.display, units)
    if symbol != "-" and is_bare(typed):
        typed = f"{typed} {symbol}"
    try:
        parsed = parse_quantity(typed, column.quantity, field=column.label)
    except InputError as error:
        raise InputError(column.label, text.strip() or "nothing", error.allowed) from None
    if parsed.pressure_basis == "absolute" and column.display == "boost":
        raise InputError(column.label, text, "a gauge pressure: boost counts from the day's air")
    if not column.low <= parsed.value_si <= column.high:
        low, high = (show(v, column.display, units) for v in (column.low, column.high))
        raise InputError(column.label, text, f"{low} to {high}")
    return parsed.value_si


def rise_faults(
    column: TableColumn, values: Sequence[float], units: Units = "si"
) -> dict[int, str]:
    """Sentences, by row, where a value stands twice."""
    seen: set[float] = set()
    faults = {}
    for number, value in enumerate(values):
        if value in seen:
            faults[number] = f"{column.label} {show(value, column.display, units)} stands twice"
        seen.add(value)
    return faults


@dataclass(frozen=True, slots=True)
class Pasted:
    """Cells of a pasted table as texts, each with its unit where the heading told one.

    Parameters
    ----------
    rows : tuple of (str, str)
        Texts of both columns.
    told : str
        What was done with the text, in words.
    """

    rows: tuple[tuple[str, str], ...]
    told: str


def read_paste(text: str, columns: tuple[TableColumn, TableColumn], path: str) -> Pasted:
    """Cells of a table copied from a spreadsheet: tabs, newlines, decimal commas, a heading.

    Raises
    ------
    InputError
        When the text has not two columns, in words.
    """
    lines = [line for line in text.splitlines() if line.strip()]
    if not lines:
        raise InputError(path, "nothing", f"rows of {_both(columns)}")
    rows = [_split(line, lines) for line in lines]
    heading: list[str] = []
    if not any(_number(cell) for cell in rows[0]):
        heading, rows = rows[0], rows[1:]
    if not rows:
        raise InputError(path, "a heading alone", f"rows of {_both(columns)}")
    if len(rows) > MOST_ROWS:
        raise InputError(path, f"{len(rows)} rows", f"up to {MOST_ROWS} rows")
    first = 2 if heading else 1
    for number, row in enumerate(rows):
        if len(row) != 2:
            count = "1 column" if len(row) == 1 else f"{len(row)} columns"
            raise InputError(path, f"row {number + first} with {count}", f"two: {_both(columns)}")
    told = f"{len(rows)} row{'s' * (len(rows) > 1)} pasted"
    symbols = _heading_units(heading, columns)
    if heading:
        told += ", heading skipped"
    for column, symbol in zip(columns, symbols, strict=True):
        if symbol and len(QUANTITIES[column.quantity].units) > 1:
            told += f", {column.label} in {symbol} as it says"
    if any(_has_decimal_comma(cell) for row in rows for cell in row):
        rows = [[_point(cell) for cell in row] for row in rows]
        told += ", commas read as decimal"
    pairs = tuple((_with(row[0], symbols[0]), _with(row[1], symbols[1])) for row in rows)
    return Pasted(pairs, told)


def _both(columns: tuple[TableColumn, TableColumn]) -> str:
    return f"{columns[0].label} and {columns[1].label}"


def _split(line: str, lines: list[str]) -> list[str]:
    """Cells of a line; what parts them is the same in every line."""
    if any("\t" in one for one in lines):
        cells = line.split("\t")
    elif any(";" in one for one in lines):
        cells = line.split(";")
    elif any(re.search(r"\S\s{2,}\S", one) for one in lines):
        cells = re.split(r"\s{2,}", line.strip())
    elif all(re.fullmatch(r"[^,]*,[^,]*", one) for one in lines):
        cells = line.split(",")
    else:
        cells = line.split()
    while len(cells) > 2 and not cells[-1].strip():
        cells.pop()
    return [cell.strip() for cell in cells]


def _number(cell: str) -> bool:
    return re.match(r"[-+]?[.,]?[0-9]", cell) is not None


def _has_decimal_comma(cell: str) -> bool:
    """Whether a comma can only part the decimals: not three digits after it, or a zero before."""
    match = re.match(r"[-+]?([0-9]+),([0-9]+)(?![0-9,.])", cell)
    return match is not None and (len(match[2]) != 3 or match[1] == "0")


def _point(cell: str) -> str:
    """Decimal point for a comma; beside commas a point before three digits has two readings."""
    if re.match(r"[-+]?[1-9][0-9]{0,2}\.[0-9]{3}(?![0-9])", cell):
        return cell.replace(".", ",", 1)
    return re.sub(r"([0-9]),(?=[0-9])", r"\1.", cell, count=1)


def _heading_units(heading: list[str], columns: tuple[TableColumn, TableColumn]) -> tuple[str, str]:
    """Units in brackets in a heading, or a heading that is a unit and nothing else."""
    found = ["", ""]
    for number, (cell, column) in enumerate(zip(heading, columns, strict=False)):
        match = re.search(r"[\[(]\s*([^\])]+?)\s*[\])]", cell)
        symbol = match[1] if match else cell.strip()
        known = {
            name.casefold(): unit.symbol
            for unit in QUANTITIES[column.quantity].units
            for name in (unit.symbol, *unit.aliases)
            if name
        }
        found[number] = known.get(symbol.casefold(), "")
    return found[0], found[1]


def _with(cell: str, symbol: str) -> str:
    return f"{cell} {symbol}" if is_bare(cell) and symbol not in ("", "-", "rpm") else cell
