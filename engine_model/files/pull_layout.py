"""What a log looks like: headers, units and a guess of which column is what."""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from engine_model.files.pull_channels import (
    AIR_TO_FUEL,
    BASES,
    CHANNELS,
    basis_of,
    plain,
    standard_of,
    unit_of_text,
)
from engine_model.files.pull_record import ColumnUse, PullLayout, PullMapping
from engine_model.files.pull_text import (
    cells_of,
    decimal_of,
    delimiter_of,
    fault,
    head_of,
    is_number,
    number_of,
)

Floats = NDArray[np.float64]

LOOKED_AT: Final = 200
"""Rows looked at for the guess."""

SHOWN: Final = 8
"""Rows shown at the mapping step."""

_IN_BRACKETS: Final = re.compile(r"[\[\(]([^\]\)]*)[\]\)]\s*$")


def open_layout(path: str | os.PathLike[str], remembered: Sequence[PullMapping] = ()) -> PullLayout:
    """What a log looks like, with the guessed or remembered mapping of its columns.

    Parameters
    ----------
    path : str or path-like
        The log.
    remembered : sequence of PullMapping
        Mappings kept from earlier logs; the one with these headers is taken.

    Returns
    -------
    PullLayout
        For the mapping step, and for :func:`engine_model.files.pull_log.load_pull`.

    Raises
    ------
    FileFaultsError
        Where the file is no table of numbers.
    """
    name = Path(path).name
    encoding, text = head_of(path, name)
    lines = text.splitlines()[:LOOKED_AT]
    body = [line for line in lines if line.strip() and not is_remark(line)]
    delimiter = delimiter_of(body)
    rows = [cells_of(line, delimiter) for line in lines]
    first = _first_values(lines, rows)
    if first is None:
        allowed = "rows of numbers parted by comma, semicolon or tab"
        raise fault(name, "file", f"no row of numbers in the first {len(lines)}", allowed)
    header_at, units_at = _headings(lines, rows, first)
    if header_at is None:
        allowed = "a row of headers above the numbers"
        raise fault(name, f"row {first + 1}", "numbers without headers", allowed)
    headers = tuple(_trimmed(rows[header_at]))
    width = len(headers)
    values = [row[:width] for row in rows[first:] if len(row) >= 2 and any(map(is_number, row))]
    decimal = decimal_of(values, delimiter)
    told = rows[units_at] if units_at is not None else []
    units = tuple(_unit_told(h, told[i] if i < len(told) else "") for i, h in enumerate(headers))
    known = next((one for one in remembered if one.headers == headers), None)
    columns = [_column(values, i, decimal) for i in range(width)]
    mapping = guess_mapping(headers, units, columns, decimal) if known is None else known
    sample = tuple(tuple(row) for row in values[:SHOWN])
    return PullLayout(
        name, encoding, delimiter, decimal, headers, units, header_at + 1, first + 1, sample,
        mapping, known is not None,
    )  # fmt: skip


def is_remark(line: str) -> bool:
    """Whether a line is a remark."""
    return line.lstrip().startswith(("#", "//", "%%", "sep="))


def _trimmed(row: list[str]) -> list[str]:
    end = len(row)
    while end > 1 and not row[end - 1]:
        end -= 1
    return [cell.strip('"') for cell in row[:end]]


def _first_values(lines: list[str], rows: list[list[str]]) -> int | None:
    """First row of values: two numbers at least, and half of its cells."""
    for at, (line, row) in enumerate(zip(lines, rows, strict=True)):
        filled = [cell for cell in row if cell]
        numbers = sum(is_number(cell) for cell in filled)
        if not is_remark(line) and numbers >= 2 and 2 * numbers >= len(filled):
            ahead = rows[at + 1 : at + 6]
            # a heading such as "2026, 11, 28" stands above words
            if not ahead or any(sum(is_number(c) for c in row) >= 2 for row in ahead[:3]):
                return at
    return None


def _headings(lines: list[str], rows: list[list[str]], first: int) -> tuple[int | None, int | None]:
    """Row of the headers and row of the units above the values."""
    above = [
        at
        for at in range(first)
        if not is_remark(lines[at]) and sum(bool(cell) for cell in rows[at]) >= 2
    ]
    above = [at for at in above if not all(is_number(c) for c in rows[at] if c)]
    if not above:
        return None, None
    if len(above) >= 2 and _are_units(rows[above[-1]]) and not _are_units(rows[above[-2]]):
        return above[-2], above[-1]
    return above[-1], None


def _are_units(row: list[str]) -> bool:
    filled = [cell for cell in row if cell]
    known = sum(any(unit_of_text(cell, row.key) for row in CHANNELS) for cell in filled)
    return bool(filled) and 2 * known >= len(filled)


def is_units_row(row: list[str], units: tuple[str, ...]) -> bool:
    """Whether a row amid the values is the units row again."""
    filled = [cell for cell in row if cell]
    return bool(filled) and not any(map(is_number, filled)) and _are_units(row) and bool(units)


def _unit_told(header: str, below: str) -> str:
    found = _IN_BRACKETS.search(header)
    return below.strip() or (found[1].strip() if found else "")


def _column(rows: list[list[str]], at: int, decimal: str) -> Floats:
    numbers = [number_of(row[at], decimal) for row in rows if at < len(row)]
    return np.array([one for one in numbers if one is not None], dtype=float)


def guess_mapping(
    headers: Sequence[str], units: Sequence[str], columns: Sequence[Floats], decimal: str
) -> PullMapping:
    """Guess which column is what, from headers, units and the size of the numbers.

    Parameters
    ----------
    headers, units : sequence of str
        As written.
    columns : sequence of ndarray
        The first numbers of each column. [unit of the column]
    decimal : str
        The decimal sign: who writes a comma writes kilowatts.

    Returns
    -------
    PullMapping
        One column a channel at most.
    """
    taken: set[int] = set()
    uses: list[ColumnUse] = []
    standard = "none"
    for channel in CHANNELS:
        at = _best(channel.words, channel.never, headers, columns, taken)
        if at is None:
            continue
        taken.add(at)
        guessed = []
        unit = unit_of_text(units[at], channel.key) or _unit_in_words(headers[at], channel.key)
        if not unit:
            unit = unit_by_size(channel.key, headers[at], columns[at], decimal)
            guessed.append("unit")
        basis = basis_of(channel.key, headers[at], units[at])
        if not basis and channel.key in BASES:
            basis = basis_by_size(channel.key, unit, columns[at])
            guessed.append("basis")
        use = ColumnUse(at, headers[at], channel.key, unit, basis, tuple(guessed))
        uses.append(use)
        if channel.key == "power":
            standard = standard_of(headers[at]) or standard
    if not any(use.channel == "power" for use in uses):
        torque = next((use for use in uses if use.channel == "torque"), None)
        standard = "none" if torque is None else standard_of(torque.header) or "none"
    return PullMapping(tuple(headers), tuple(uses), standard)


def _best(
    words: Sequence[str],
    never: str,
    headers: Sequence[str],
    columns: Sequence[Floats],
    taken: set[int],
) -> int | None:
    """Column whose header meets the surest pattern; one without numbers does not count."""
    for pattern in words:
        for at, header in enumerate(headers):
            text = plain(header)
            if at in taken or columns[at].size == 0 or re.search(never, text):
                continue
            if re.search(pattern, text):
                return at
    return None


def _unit_in_words(header: str, channel: str) -> str:
    """Unit that stands as a word in a header, such as ``Power kW`` or ``MAP_kPa``."""
    if channel in ("relative_humidity", "throttle") and "%" in header:
        return "%"
    if channel == "mixture" and re.search(r"\bafr\b", plain(header)):
        return AIR_TO_FUEL
    words = plain(header).split()
    for word in reversed([*words, " ".join(words[-2:])]):
        if word in ("t", "m", "c", "f", "k", "in", "s", "w", "g", "p", "run") and len(words) == 1:
            continue
        if word in ("whp", "rwhp"):
            return "hp"
        unit = unit_of_text(word, channel)
        if unit and unit not in ("-", "rpm"):
            return unit
    return "rpm" if channel == "engine_speed" and "rpm" in words else ""


_SIZES: Final = {
    "manifold_pressure": ((4.5, "bar"), (45.0, "psi"), (450.0, "kPa"), (5e3, "mbar"), (1e9, "Pa")),
    "ambient_pressure": ((1.2, "bar"), (16.0, "psi"), (33.0, "inHg"), (120.0, "kPa"),
                         (1200.0, "mbar"), (1e9, "Pa")),
    "charge_temperature": ((150.0, "°C"), (1e9, "K")),
    "discharge_temperature": ((230.0, "°C"), (1e9, "K")),
    "ambient_temperature": ((55.0, "°C"), (130.0, "°F"), (1e9, "K")),
    "mixture": ((2.0, "-"), (1e9, AIR_TO_FUEL)),
    "throttle": ((1.5, "-"), (1e9, "%")),
    "relative_humidity": ((1.0, "-"), (1e9, "%")),
    "power": ((3000.0, "hp"), (1e9, "W")),
    "torque": ((1e9, "N m"),),
    "engine_speed": ((1e9, "rpm"),),
    "time": ((1e9, "s"),),
    "run": ((1e9, "-"),),
}  # fmt: skip
"""Unit guessed from the greatest number of a column; chosen here, no source."""


def unit_by_size(channel: str, header: str, numbers: Floats, decimal: str) -> str:
    """Unit guessed from the size of the numbers, where neither header nor units row tells it."""
    size = float(np.max(np.abs(numbers))) if numbers.size else 0.0
    if channel == "power" and size < 3000.0:
        return "kW" if decimal == "," or "leistung" in header.casefold() else "hp"
    if channel == "time" and numbers.size > 1:
        return "ms" if float(np.median(np.abs(np.diff(numbers)))) >= 2.0 else "s"
    return next(unit for most, unit in _SIZES[channel] if size <= most)


def basis_by_size(channel: str, unit: str, numbers: Floats) -> str:
    """Basis guessed where the header does not tell it."""
    if channel != "manifold_pressure":
        return BASES[channel][0]
    atmosphere = {"bar": 1.0, "psi": 14.5, "kPa": 100.0, "mbar": 1000.0, "hPa": 1000.0}
    least = float(np.min(numbers)) / atmosphere.get(unit, 1e5) if numbers.size else 1.0
    return "gauge" if least < 0.25 else "absolute"


def with_use(mapping: PullMapping, use: ColumnUse | None, channel: str) -> PullMapping:
    """Mapping with another column for a channel, or with none.

    Parameters
    ----------
    mapping : PullMapping
        The mapping.
    use : ColumnUse or None
        What is taken for the channel.
    channel : str
        The channel.

    Returns
    -------
    PullMapping
        One column a channel, one channel a column.
    """
    at = None if use is None else use.column
    kept = tuple(one for one in mapping.uses if one.channel != channel and one.column != at)
    return replace(mapping, uses=kept if use is None else (*kept, use))


def use_for(layout: PullLayout, column: int, channel: str) -> ColumnUse:
    """Use of a column for a channel of the user's choice; unit and basis as told, else guessed.

    Parameters
    ----------
    layout : PullLayout
        The file.
    column : int
        The column, the first 0.
    channel : str
        What it is taken for.

    Returns
    -------
    ColumnUse
        With what of it is guessed.
    """
    header = layout.headers[column]
    numbers = _column([list(row) for row in layout.sample], column, layout.decimal)
    told = layout.units[column] if column < len(layout.units) else ""
    unit = unit_of_text(told, channel) or _unit_in_words(header, channel)
    guessed = [] if unit else ["unit"]
    unit = unit or unit_by_size(channel, header, numbers, layout.decimal)
    basis = basis_of(channel, header, told)
    if channel in BASES and not basis:
        guessed.append("basis")
        basis = basis_by_size(channel, unit, numbers)
    return ColumnUse(column, header, channel, unit, basis, tuple(guessed))
