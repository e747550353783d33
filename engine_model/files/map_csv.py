"""Exchange of compressor maps as a table: one row a point, ``curve,value,flow,pressure_ratio``.

The flow's unit stands in the header, ``flow [lb/min]``. ``curve`` is speed_line (value: corrected
speed in rpm), island (value: efficiency), surge_line or choke_line (no value). A closed island
repeats its first point at its end; a blank row ends a curve, which is needed between two of one
value. Where speed lines carry efficiency, a fifth column ``efficiency`` holds it. The reference
state and the impeller are not in the table and are given beside it.
"""

from __future__ import annotations

import csv
import io
import os
import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from typing import Any, Final

from engine_model.compressor.map_data import CompressorMap, Provenance
from engine_model.errors import Fault, FileFaultsError, InputError
from engine_model.files.atomic import write_atomically
from engine_model.files.map_faults import map_faults
from engine_model.files.map_file import map_of, map_to_document
from engine_model.files.map_record import MAP_FORMAT, VERSION, MapRecord
from engine_model.files.reading import decode, describe, read_bytes
from engine_model.files.structure import Opened, nearest, open_record
from engine_model.units import from_si, to_si

CURVES: Final = ("speed_line", "island", "surge_line", "choke_line")
_HEADER: Final = "curve,value,flow [kg/s],pressure_ratio"
_FLOW: Final = re.compile(r"flow\s*\[(?P<unit>[^\]]*)\]")
_NUMBERED: Final = {"speed_line": "a corrected speed in rpm", "island": "an efficiency"}


def load_map_csv(
    path: str | os.PathLike[str],
    *,
    title: str,
    provenance: Provenance,
    reference_temperature: float,
    reference_pressure: float,
    pressure_basis: str = "total_to_total",
    exducer_diameter: float | None = None,
    inducer_diameter: float | None = None,
    maximum_speed: float | None = None,
    built_in_step_up: float = 1.0,
) -> CompressorMap:
    """Compressor map of a table of points.

    Parameters
    ----------
    path : str or path-like
        The CSV file.
    title : str
        Name of the map.
    provenance : Provenance
        Where it comes from.
    reference_temperature : float
        Total temperature that flow and speed are corrected to. [K]
    reference_pressure : float
        Total pressure that flow is corrected to, absolute. [Pa]
    pressure_basis : str
        ``total_to_total`` or ``total_to_static``.
    exducer_diameter, inducer_diameter : float, optional
        Of the impeller. [m]
    maximum_speed : float, optional
        The maker's mechanical limit of the impeller. [rpm]
    built_in_step_up : float
        Speed ratio of a gear inside the blower. [-]

    Returns
    -------
    CompressorMap
        The map.

    Raises
    ------
    FileFaultsError
        With every fault of the file.
    """
    heading = {
        "title": title,
        "provenance": {
            "kind": provenance.kind, "text": provenance.text, "date": provenance.date,
        },
        "reference": {"temperature_k": reference_temperature, "pressure_pa": reference_pressure},
        "pressure_basis": pressure_basis,
        "impeller": {
            "exducer_diameter_m": exducer_diameter,
            "inducer_diameter_m": inducer_diameter,
            "maximum_speed_rpm": maximum_speed,
        },
        "built_in_step_up": built_in_step_up,
    }  # fmt: skip
    name = os.fspath(path)
    opened = open_table(_text(path), heading, name)
    if opened.faults:
        raise FileFaultsError(name, opened.faults)
    return map_of(opened.record)


def csv_faults(path: str | os.PathLike[str]) -> tuple[Fault, ...]:
    """Every fault of a table of points; the reference state is taken as sound.

    Parameters
    ----------
    path : str or path-like
        The CSV file.

    Returns
    -------
    tuple of Fault
        Faults of its rows, then of the map.

    Raises
    ------
    FileFaultsError
        When the file cannot be read.
    """
    heading = {
        "title": "",
        "provenance": {"kind": "traced"},
        "reference": {"temperature_k": 298.15, "pressure_pa": 1e5},
        "pressure_basis": "total_to_total",
    }
    return open_table(_text(path), heading, os.fspath(path)).faults


def _text(path: str | os.PathLike[str]) -> str:
    return decode(os.fspath(path), read_bytes(path), mark_allowed=True)


def open_table(text: str, heading: dict[str, Any], name: str) -> Opened:
    """Map of a table, or every fault, its rows named.

    Parameters
    ----------
    text : str
        The table.
    heading : dict
        What a map's document holds beside its curves.
    name : str
        Where the table comes from.

    Returns
    -------
    Opened
        A `MapRecord`, or the faults.
    """
    try:
        rows = list(_rows(text))
    except csv.Error as error:
        fault = Fault("file", f"a table that cannot be read ({error})", "rows of plain text")
        raise FileFaultsError(name, (fault,)) from error
    reader = _Table(rows)
    document = {"format": MAP_FORMAT, "version": VERSION, **heading, **reader.curves()}
    opened = open_record(document, MapRecord)
    if not reader.unit:
        return replace(opened, faults=tuple(reader.faults))
    # null stands for a cell whose fault is told already
    structure = [fault for fault in opened.faults if fault.value != "null"]
    faults = [*structure, *map_faults(opened.sound or {})]
    placed = tuple(replace(fault, where=reader.place(fault.where)) for fault in faults)
    return replace(opened, faults=(*reader.faults, *placed))


def _rows(text: str) -> Iterator[tuple[int, list[str]]]:
    table = csv.reader(io.StringIO(text, newline=""), strict=True)
    for row in table:
        yield table.line_num, [cell.strip() for cell in row]


class _Table:
    """Rows gathered into curves; remembers the row of every place."""

    def __init__(self, rows: list[tuple[int, list[str]]]) -> None:
        self.faults: list[Fault] = []
        self.rows: dict[str, int] = {}
        self.found: dict[str, list[Any]] = {curve: [] for curve in CURVES}
        header = rows[0][1] if rows else []
        self.unit = self._unit(header)
        self.width = len(header)
        before: tuple[str, str] | None = None
        for number, row in rows[1:] if self.unit else []:
            if not any(row):
                before = None
                continue
            before = self._take(number, row, before)

    def _unit(self, header: list[str]) -> str:
        names = [name.lower() for name in header]
        flow = _FLOW.fullmatch(names[2]) if len(names) > 2 else None
        sound = (
            len(names) in (4, 5)
            and names[:2] == ["curve", "value"]
            and names[3] == "pressure_ratio"
            and names[4:] in ([], ["efficiency"])
        )
        if flow is None or not sound:
            shown = describe(",".join(header)) if header else "nothing"
            self.faults.append(Fault("row 1", shown, f"{_HEADER}, or another unit of flow"))
            return ""
        try:
            to_si(1.0, flow["unit"], "mass_flow")
        except InputError as error:
            self.faults.append(Fault("row 1", f"flow in [{flow['unit']}]", error.allowed))
            return ""
        return flow["unit"]

    def _take(
        self, number: int, row: list[str], before: tuple[str, str] | None
    ) -> tuple[str, str] | None:
        where = f"row {number}"
        if len(row) != self.width:
            self.faults.append(Fault(where, f"{len(row)} columns", f"{self.width} columns"))
            return before
        curve, value = row[0], row[1]
        if curve not in CURVES:
            near = nearest(curve, CURVES)
            words = "one of " + ", ".join(CURVES) + (f"; {near} is the nearest" if near else "")
            self.faults.append(Fault(where, describe(curve), words))
            return before
        level = self._number(f"{where}, value", value, _NUMBERED.get(curve, ""))
        wanted = {2: "a flow", 3: "a pressure ratio"}
        if len(row) > 4 and row[4] and curve == "speed_line":
            wanted[4] = "an efficiency"
        point = [
            self._number(f"{where}, column {column + 1}", row[column], words)
            for column, words in wanted.items()
        ]
        if (curve, value) != before or self._closed(curve):
            self._begin(curve, level, number)
        holder = self.found[curve][-1]["points"] if curve in _NUMBERED else self.found[curve]
        sound = [part for part in point if part is not None]
        if len(sound) == len(point):
            sound[0] = to_si(sound[0], self.unit, "mass_flow")
            self.rows[f"{self._where(curve)}[{len(holder)}]"] = number
            holder.append(sound)
        return curve, value

    def _begin(self, curve: str, level: float | None, number: int) -> None:
        if curve in _NUMBERED:
            key = "corrected_speed_rpm" if curve == "speed_line" else "efficiency"
            # a value at fault is told already; the curve keeps its place without one
            self.found[curve].append({key: level, "points": []})
            self.rows.setdefault(self._where(curve).removesuffix(".points"), number)
        self.rows.setdefault(self._where(curve), number)

    def _where(self, curve: str) -> str:
        if curve not in _NUMBERED:
            return curve
        return f"{curve}s[{len(self.found[curve]) - 1}].points"

    def _closed(self, curve: str) -> bool:
        points = self.found[curve][-1]["points"] if curve == "island" and self.found[curve] else []
        return len(points) > 2 and points[0] == points[-1]

    def _number(self, where: str, text: str, words: str) -> float | None:
        """Return the number of a cell, none where it must be empty or is at fault."""
        if not words:
            if text:
                self.faults.append(Fault(where, describe(text), "nothing for this curve"))
            return None
        try:
            value = float(text) if "_" not in text else float("nan")
        except ValueError:
            value = float("nan")
        if value - value != 0.0:  # not finite
            hint = "; the decimal sign is a point" if re.fullmatch(r"\d+,\d+", text) else ""
            shown = describe(text) if text else "nothing"
            self.faults.append(Fault(where, shown, words + hint))
            return None
        return value

    def curves(self) -> dict[str, Any]:
        """Return the curves as a map's document has them."""
        islands = []
        for island in self.found["island"]:
            points = island["points"]
            closed = len(points) > 3 and points[0] == points[-1]
            islands.append({**island, "closed": closed, "points": points[: -1 if closed else None]})
        choke = self.found["choke_line"]
        found = {
            "speed_lines": self.found["speed_line"],
            "islands": islands,
            "surge_line": self.found["surge_line"],
        }
        return {**found, "choke_line": choke} if choke else found

    def place(self, where: str) -> str:
        """Return a place in the document with the row it came from."""
        known = where
        while known and known not in self.rows:
            known = re.sub(r"(^|\.)?[^.\[]*$|\[\d+\]$", "", known)
        return f"row {self.rows[known]} ({where})" if known else where


def save_map_csv(
    compressor_map: CompressorMap, path: str | os.PathLike[str], *, flow_unit: str = "kg/s"
) -> None:
    """Save a compressor map as a table of points, in one step.

    Parameters
    ----------
    compressor_map : CompressorMap
        The map; its reference state and impeller are not in the table.
    path : str or path-like
        The file.
    flow_unit : str
        Unit of the flow column, such as ``lb/min``.

    Raises
    ------
    InputError
        When it is no unit of flow.
    SaveError
        When the file cannot be written.
    """
    write_atomically(path, map_to_table(compressor_map, flow_unit).encode("utf-8"))


def map_to_table(compressor_map: CompressorMap, flow_unit: str = "kg/s") -> str:
    """Text of a compressor map as a table of points; flow in a unit such as ``lb/min``."""
    to_si(1.0, flow_unit, "mass_flow")
    document = map_to_document(compressor_map)
    curves = [("speed_line", line["corrected_speed_rpm"], line["points"])
              for line in document["speed_lines"]]  # fmt: skip
    for island in document["islands"]:
        points = island["points"] + (island["points"][:1] if island["closed"] else [])
        curves.append(("island", island["efficiency"], points))
    curves.append(("surge_line", "", document["surge_line"]))
    if "choke_line" in document:
        curves.append(("choke_line", "", document["choke_line"]))
    wide = any(len(points[0]) > 2 for _, _, points in curves)
    header = ["curve", "value", f"flow [{flow_unit}]", "pressure_ratio"]
    text = io.StringIO(newline="")
    table = csv.writer(text, lineterminator="\n")
    table.writerow([*header, "efficiency"] if wide else header)
    after = [*pairwise([(curve, value) for curve, value, _ in curves]), (None, None)]
    for (curve, value, points), (here, following) in zip(curves, after, strict=True):
        for point in points:
            flow = from_si(float(point[0]), flow_unit, "mass_flow")
            row = [curve, value, repr(flow), *point[1:]]
            table.writerow([*row, ""] if wide and len(row) < 5 else row)
        if here is not None and here == following:
            text.write("\n")
    return text.getvalue()
