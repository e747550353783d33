"""Rows of points as text: read, written, and taken from a spreadsheet; no Qt."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from app.gui.places.trace.panels.typed import efficiency, flow, ratio, speed
from app.present.trace_words import KINDS, value_text
from engine_model.errors import InputError
from engine_model.files.flow_units import flow_units
from engine_model.tracing.trace import LABELLED, CurveKind

CURVE, VALUE, FLOW, RATIO = range(4)
"""Columns."""

NAMES = ("Curve", "Value", "Flow", "Pressure ratio")
"""Names of the columns."""

MOST_ROWS = 5000
"""Rows taken from a paste; chosen here."""

Cells = tuple[str, str, str, str]
BLANK: Cells = ("", "", "", "")

_WORDS: dict[str, CurveKind] = {
    **dict.fromkeys(("speed line", "speed", "line", "speedline"), "speed_line"),
    **dict.fromkeys(("surge line", "surge", "surgeline"), "surge_line"),
    **dict.fromkeys(("choke line", "choke", "chokeline"), "choke_line"),
    **dict.fromkeys(("island", "efficiency", "efficiency island"), "island"),
}


@dataclass(frozen=True, slots=True)
class TypedPoint:
    """One point of the table.

    Parameters
    ----------
    kind : str
        Kind of its curve, one of the model's `CURVE_KINDS`.
    value : float, optional
        Corrected speed [rpm] or efficiency as a share [-]; None for the limits.
    flow : float
        In the unit of the table. [any]
    pressure_ratio : float
        [-]
    new_curve : bool
        Whether a blank row stands before it: another curve, even of the same value.
    """

    kind: CurveKind
    value: float | None
    flow: float
    pressure_ratio: float
    new_curve: bool = False


@dataclass(frozen=True, slots=True)
class Read:
    """What rows of text come to.

    Parameters
    ----------
    points : tuple of TypedPoint
        Points of the rows without fault.
    faults : dict
        Sentences by row and column.
    missing : dict
        Sentences by row and column where something is still to be typed.
    """

    points: tuple[TypedPoint, ...]
    faults: dict[tuple[int, int], str]
    missing: dict[tuple[int, int], str]


def read_kind(text: str) -> CurveKind:
    """Kind of a curve as typed."""
    found = _WORDS.get(" ".join(text.replace("_", " ").split()).casefold())
    if found is None:
        raise InputError("Curve", text, "one of " + ", ".join(KINDS.values()))
    return found


def read_rows(rows: Sequence[Cells], unit: str | None, is_volume: bool, thousands: bool) -> Read:
    """Points of rows of text; curve and value left blank are those of the row above.

    Parameters
    ----------
    rows : sequence of tuple
        Curve, value, flow, pressure ratio as typed.
    unit : str, optional
        Unit of bare flows.
    is_volume : bool
        Whether flows are volume flows.
    thousands : bool
        Whether bare speeds are in 1000 rpm.
    """
    points: list[TypedPoint] = []
    faults: dict[tuple[int, int], str] = {}
    missing: dict[tuple[int, int], str] = {}
    readers = {FLOW: flow(unit, is_volume), RATIO: ratio()}
    kind: CurveKind | None = None
    value: float | None = None
    apart = False
    for number, row in enumerate(rows):
        if not any(cell.strip() for cell in row):
            apart = bool(points)
            continue
        before = len(faults) + len(missing)
        kind, value = _curve_of(number, row, (kind, value), thousands, faults, missing)
        found = {}
        for column, typed in readers.items():
            text = row[column].strip()
            if not text:
                missing[number, column] = f"{typed.label} is missing"
                continue
            try:
                found[column] = typed.read(text, "si")
            except InputError as error:
                faults[number, column] = _said(error)
        if len(faults) + len(missing) == before and kind is not None:
            points.append(TypedPoint(kind, value, found[FLOW], found[RATIO], apart))
            apart = False
    return Read(tuple(points), faults, missing)


def _curve_of(
    number: int,
    row: Cells,
    above: tuple[CurveKind | None, float | None],
    thousands: bool,
    faults: dict[tuple[int, int], str],
    missing: dict[tuple[int, int], str],
) -> tuple[CurveKind | None, float | None]:
    """Kind and value of a row, from the row above where both are blank."""
    kind, value = above
    typed, text = row[CURVE].strip(), row[VALUE].strip()
    if typed:
        try:
            found = read_kind(typed)
        except InputError as error:
            faults[number, CURVE] = _said(error)
            return None, None
        if found != kind:
            value = None
        kind = found
    if kind is None:
        missing[number, CURVE] = "Curve is missing: speed line, surge line, choke line or island"
        return None, None
    if kind not in LABELLED:
        if text:
            faults[number, VALUE] = f"Value: {text} given; allowed: nothing for a {KINDS[kind]}"
        return kind, None
    if not text:
        if value is None:
            what = "Efficiency" if kind == "island" else "Corrected speed"
            missing[number, VALUE] = f"{what} is missing"
        return kind, value
    try:
        value = (efficiency() if kind == "island" else speed(thousands)).read(text, "si")
    except InputError as error:
        faults[number, VALUE] = _said(error)
        return kind, None
    return kind, value


def _said(error: InputError) -> str:
    return f"{error.field}: {error.value} given; allowed: {error.allowed}"


def write_rows(points: Sequence[TypedPoint]) -> list[Cells]:
    """Rows of text of points, a blank row before a new curve where it is told."""
    rows: list[Cells] = []
    for point in points:
        if point.new_curve and rows:
            rows.append(BLANK)
        value = value_text(point.kind, point.value)
        rows.append((KINDS[point.kind], value, f"{point.flow:.8g}", f"{point.pressure_ratio:.6g}"))
    return rows


def table_text(rows: Sequence[Cells], read: Read, unit: str) -> str:
    """Rows as a table that the model reads: row k of the table is line k + 2 of the text.

    Parameters
    ----------
    rows : sequence of tuple
        Rows as typed.
    read : Read
        What they come to; without fault.
    unit : str
        Unit of the flows.
    """
    lines = [f"curve,value,flow [{unit}],pressure_ratio"]
    points = iter(read.points)
    for row in rows:
        if not any(cell.strip() for cell in row):
            lines.append("")
            continue
        point = next(points)
        value = "" if point.value is None else f"{point.value:.10g}"
        lines.append(f"{point.kind},{value},{point.flow!r},{point.pressure_ratio!r}")
    return "\n".join(lines).rstrip("\n") + "\n"


# from a spreadsheet


@dataclass(frozen=True, slots=True)
class Pasted:
    """Rows of a pasted text.

    Parameters
    ----------
    rows : tuple of tuple of str
        Cells of each row, equally many; a blank row parts two curves.
    told : str
        What was done with the text, in words.
    """

    rows: tuple[tuple[str, ...], ...]
    told: str


def read_table(text: str) -> Pasted:
    """Cells of a text copied from a spreadsheet: tabs, semicolons or commas, decimal commas.

    Raises
    ------
    InputError
        When it is no table of one to four columns, in words.
    """
    lines = text.strip("\r\n").splitlines()
    filled = [line for line in lines if line.strip("\t;, ")]
    if not filled:
        raise InputError("paste", "nothing", "rows of points")
    if len(lines) > MOST_ROWS:
        raise InputError("paste", f"{len(lines)} rows", f"up to {MOST_ROWS} rows")
    mark = _mark(filled)
    rows = [_cells(line, mark) if line.strip("\t;, ") else [] for line in lines]
    heading = rows.pop(0) if not any(_is_number(cell) for cell in rows[0]) else []
    if not any(rows):
        raise InputError("paste", "a heading alone", "rows of points")
    width = max(len(row) for row in rows)
    if width > len(NAMES):
        allowed = "up to four: curve, value, flow, pressure ratio"
        raise InputError("paste", f"{width} columns", allowed)
    for number, row in enumerate(rows):
        if row and len(row) < width:
            row[:] = row + [""] * (width - len(row))
        elif not row:
            rows[number] = [""] * width
    count = sum(any(row) for row in rows)
    told = f"{count} row{'s' * (count > 1)} pasted"
    if heading:
        told += ", heading skipped"
        unit = _heading_unit(heading)
        if unit and width > 1:
            told += f", flow in {unit} as it says"
            place = width - 2
            rows = [[*r[:place], _with(r[place], unit), *r[place + 1 :]] for r in rows]
    if mark != "," and any(_has_decimal_comma(cell) for row in rows for cell in row):
        rows = [[_point(cell) for cell in row] for row in rows]
        told += ", commas read as decimal"
    return Pasted(tuple(tuple(row) for row in rows), told)


def _mark(lines: Sequence[str]) -> str:
    """What parts the cells; the same in every line."""
    for mark in ("\t", ";"):
        if any(mark in line for line in lines):
            return mark
    counts = {line.count(",") for line in lines}
    cells = [cell for line in lines for cell in line.split(",")]
    if counts != {0} and not any(re.search(r"[0-9]\s+[0-9.]", cell.strip()) for cell in cells):
        return ","
    return " "


def _cells(line: str, mark: str) -> list[str]:
    if mark != " ":
        cells = line.split(mark)
    else:
        # words at the start are one cell: speed line 46000 0.12 1.5
        words = re.match(r"\s*([^\W\d][^\d]*?)\s+(?=[-+.]?[0-9])", line)
        rest = line[words.end() :] if words else line
        wide = re.search(r"\S\s{2,}\S", rest)
        cells = [words[1]] if words else []
        cells += re.split(r"\s{2,}", rest.strip()) if wide else rest.split()
    cells = [cell.strip().strip('"').strip() for cell in cells]
    while len(cells) > len(NAMES) and not cells[-1]:
        cells.pop()
    return cells


def _is_number(cell: str) -> bool:
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


def _heading_unit(heading: Sequence[str]) -> str:
    """Unit of flow that stands in brackets in a heading."""
    known = {unit.casefold(): unit for kind in ("mass", "volume") for unit in flow_units(kind)}
    for cell in heading:
        match = re.search(r"[\[(]\s*([^\])]+?)\s*[\])]", cell)
        if match and match[1].replace("3", "\u00b3").casefold() in known:
            return known[match[1].replace("3", "\u00b3").casefold()]
    return ""


def _with(cell: str, unit: str) -> str:
    return f"{cell} {unit}" if re.fullmatch(r"[-+]?[0-9.,][0-9.,eE+-]*", cell) else cell
