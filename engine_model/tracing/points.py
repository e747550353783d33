"""A map without a picture: a table of points typed or pasted, and other reference states."""

from __future__ import annotations

import csv
import io
import re
from contextlib import suppress
from dataclasses import replace
from typing import Any, Final

from engine_model.air.corrected import flow_at_reference, speed_at_reference
from engine_model.compressor.map_data import CompressorMap
from engine_model.errors import Fault, FileFaultsError, InputError
from engine_model.files.map_csv import open_table
from engine_model.files.map_file import map_of
from engine_model.files.structure import Opened
from engine_model.tracing.document import flow_scale, heading_of
from engine_model.tracing.needs import axes_needs
from engine_model.tracing.trace import Axes, Trace

TABLE: Final = "table of points"
HEADER: Final = ("curve", "value", "flow [kg/s]", "pressure_ratio")

_NAMES: Final = {
    "speed": "speed_line", "line": "speed_line", "speed_line": "speed_line",
    "surge": "surge_line", "surge_line": "surge_line",
    "choke": "choke_line", "choke_line": "choke_line",
    "island": "island", "efficiency": "island",
}  # fmt: skip
_BLANKS: Final = str.maketrans(dict.fromkeys("\u00a0\u2007\u2009\u202f", " "))
_GROUPED: Final = re.compile(r"\d{1,3}(?: \d{3})+(?:[.,]\d+)?")
_COMMA: Final = re.compile(r"-?\d+,\d+")
_SURE_COMMA: Final = re.compile(r"-?(?:0,\d+|\d+,\d{1,2}|\d+,\d{4,})")
_POINTED: Final = re.compile(r"-?\d[\d,]*\.\d+")
_THOUSANDS: Final = re.compile(r"\d{1,3}(?:,\d{3})+(?:\.\d+)?")
_FLOW_UNIT: Final = re.compile(r"flow\s*\[(.*)\]")
_ROW: Final = re.compile(r"\brow (\d+)")


def map_from_points(text: str, about: Trace, kind: str = "measured") -> CompressorMap:
    """Compressor map of a table of points ``curve, value, flow, pressure_ratio``.

    Parameters
    ----------
    text : str
        Rows typed or pasted, parted by tabs, semicolons or commas, with or without a header;
        decimal points, or decimal commas where the columns are not parted by commas.
    about : Trace
        What else is known: flow kind and unit, reference state, pressure basis, title,
        provenance, impeller; its picture and curves are not looked at.
    kind : str
        Kind of the provenance: ``measured``, ``traced`` or ``invented``.

    Returns
    -------
    CompressorMap
        The map.

    Raises
    ------
    FileFaultsError
        With everything that is missing, or every fault, its row named.
    """
    missing = tuple(need.fault() for need in axes_needs(about) if need.code not in _PICTURE)
    if missing:
        raise FileFaultsError(TABLE, missing)
    opened = _opened(text, about, kind)
    if opened.faults:
        raise FileFaultsError(TABLE, opened.faults)
    return map_of(opened.record)


_PICTURE: Final = ("calibration", "calibration_fault")


def points_faults(text: str, about: Trace) -> tuple[Fault, ...]:
    """Every fault of a table of points, its row named; what is not said yet is no fault.

    Parameters
    ----------
    text : str
        The table.
    about : Trace
        What else is known; without a flow unit the rows cannot be judged.

    Returns
    -------
    tuple of Fault
        Empty where the table is sound.
    """
    try:
        flow_scale(about.axes)
    except InputError:
        return ()
    told = _opened(text, about, "measured").faults
    return tuple(fault for fault in told if not fault.where.startswith(_HEADING))


_HEADING: Final = ("reference", "pressure_basis", "title", "provenance")


def _opened(text: str, about: Trace, kind: str) -> Opened:
    heading = heading_of(about)
    heading["provenance"]["kind"] = kind
    table, shift = standard_table(text, about.axes)
    opened = open_table(table, heading, TABLE)

    def told(where: str) -> str:
        return _ROW.sub(lambda match: f"row {int(match[1]) - shift}", where)

    return replace(
        opened, faults=tuple(replace(one, where=told(one.where)) for one in opened.faults)
    )


def standard_table(text: str, axes: Axes) -> tuple[str, int]:
    """Table as `engine_model.files.map_csv` reads it, flows in kg/s, and rows put before it.

    Parameters
    ----------
    text : str
        Rows typed or pasted.
    axes : Axes
        Flow kind, unit and density of the flow column.

    Returns
    -------
    text : str
        With a header; cells that cannot be read stay as they are.
    shift : int
        1 where the header was not in the text, else 0.
    """
    rows = _rows(text)
    header = next((row for row in rows if any(row)), [])
    named = bool(header) and header[0].casefold().strip() == "curve"
    if named:
        _same_unit(header, axes)
    body = rows[rows.index(header) + 1 :] if named else rows
    comma = _decimal_comma(body)
    wide = any(len(row) > len(HEADER) for row in body) or len(header) > len(HEADER)
    scale = flow_scale(axes)
    above = rows.index(header) if named else 0
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([*HEADER, "efficiency"] if wide else HEADER)
    for row in [*[[""]] * above, *body]:
        cells = _cells(row, comma, scale)
        if wide and len(cells) == len(HEADER):
            cells.append("")
        writer.writerow(cells if any(cells) else [])
    return out.getvalue(), 0 if named else 1


def _rows(text: str) -> list[list[str]]:
    text = text.translate(_BLANKS)
    parted = "\t" if "\t" in text else ";" if ";" in text else ","
    return [[cell.strip() for cell in line.split(parted)] for line in text.splitlines()]


def _same_unit(header: list[str], axes: Axes) -> None:
    """Refuse a header whose flow unit is not the one said."""
    unit = _FLOW_UNIT.fullmatch(header[2].casefold()) if len(header) > 2 else None
    if unit is None or axes.flow_unit is None:
        return
    own = flow_scale(axes)
    try:
        same = abs(flow_scale(replace(axes, flow_unit=unit[1])) / own - 1.0) < 1e-9
    except InputError:
        same = False
    if not same:
        fault = Fault("row 1", f"flow in [{unit[1]}]", f"{axes.flow_unit}, as said beside it")
        raise FileFaultsError(TABLE, (fault,))


def _decimal_comma(rows: list[list[str]]) -> bool | None:
    """Whether commas are decimal signs (True) or part thousands (False); None if unclear."""
    cells = [cell for row in rows for cell in row[1:]]
    if any(_POINTED.fullmatch(cell) for cell in cells):
        return False
    return True if any(_SURE_COMMA.fullmatch(cell) for cell in cells) else None


def _cells(row: list[str], comma: bool | None, scale: float) -> list[str]:
    cells = list(row)
    name = re.sub(r"[\s-]+", "_", cells[0].casefold())
    cells[0] = _NAMES.get(name) or _NAMES.get(name.removesuffix("s")) or cells[0]
    for column in range(1, len(cells)):
        cells[column] = _number(cells[column], comma)
    if len(cells) > 2:
        # what is no number is told by the reader of the table, as it stands
        with suppress(ValueError):
            cells[2] = repr(float(cells[2]) * scale) if "_" not in cells[2] else cells[2]
    return cells


def _number(cell: str, comma: bool | None) -> str:
    share = cell.endswith("%")
    text = cell.removesuffix("%").strip() if share else cell
    if _GROUPED.fullmatch(text):
        text = text.replace(" ", "")
    if comma is True and _COMMA.fullmatch(text):
        text = text.replace(",", ".")
    if comma is False and _THOUSANDS.fullmatch(text):
        text = text.replace(",", "")
    if share:
        try:
            return repr(round(float(text) / 100.0, 12))
        except ValueError:
            return cell
    return text


def convert_reference(
    compressor_map: CompressorMap, temperature: float, pressure: float
) -> CompressorMap:
    """Map with flow and speed corrected to another reference state.

    Parameters
    ----------
    compressor_map : CompressorMap
        The map; pressure ratios, efficiencies and the impeller's own limit stay.
    temperature : float
        New total reference temperature. [K] 233-373
    pressure : float
        New total reference pressure, absolute. [Pa] 50e3-200e3

    Returns
    -------
    CompressorMap
        The same compressor; its provenance tells of the change.

    References
    ----------
    W_cB = W_cA sqrt(T_A/T_B) (p_B/p_A) and N_cB = N_cA sqrt(T_B/T_A), by definition.
    """
    if not 233.15 <= temperature <= 373.15:
        raise InputError("reference.temperature", temperature, "233.15 to 373.15 K")
    if not 50e3 <= pressure <= 200e3:
        raise InputError("reference.pressure", pressure, "50000 to 200000 Pa")
    one = compressor_map
    before = (one.reference_temperature, one.reference_pressure)
    if before == (temperature, pressure):
        return one
    flow = float(flow_at_reference(1.0, *before, temperature, pressure))
    speed = float(speed_at_reference(1.0, before[0], temperature))

    def moved(points: Any) -> tuple[tuple[float, float], ...]:
        return tuple((w * flow, ratio) for w, ratio in points)

    note = f"reference state changed from {before[0]:.7g} K and {before[1]:.7g} Pa"
    text = f"{one.provenance.text}; {note}" if one.provenance.text else note
    return replace(
        one,
        provenance=replace(one.provenance, text=text),
        reference_temperature=temperature,
        reference_pressure=pressure,
        speed_lines=tuple(
            replace(line, corrected_speed=line.corrected_speed * speed, points=moved(line.points))
            for line in one.speed_lines
        ),
        surge_line=moved(one.surge_line),
        islands=tuple(replace(island, points=moved(island.points)) for island in one.islands),
        choke_line=None if one.choke_line is None else moved(one.choke_line),
    )
