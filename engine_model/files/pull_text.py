"""The text of a log: its encoding, what parts its columns, its decimal sign, lines one by one."""

from __future__ import annotations

import codecs
import csv
import io
import os
import re
from collections import Counter
from collections.abc import Iterator
from typing import Final

from engine_model.errors import Fault, FileFaultsError

SAMPLE_BYTES: Final = 65_536
"""Bytes looked at before the file is read."""

LONGEST_LINE: Final = 20_000
"""Longest line that is read [characters]."""

DELIMITERS: Final = (";", "\t", ",", "|")
_NUMBER: Final = re.compile(r"[+-]?(\d+([.,' ]\d+)*|[.,]\d+)([eE][+-]?\d+)?%?")
_SURE_COMMA: Final = re.compile(
    r"[+-]?(0,\d+|\d+,(\d{1,2}|\d{4,})|\d{1,3}(\.\d{3})+,\d+)([eE][+-]?\d+)?"
)
_SURE_POINT: Final = re.compile(r"[+-]?(\d*\.(\d{1,2}|\d{4,})|0\.\d+|\d{1,3}(,\d{3})+\.\d+)")
_MAYBE_COMMA: Final = re.compile(r"[+-]?\d{1,3},\d{3}")


def fault(name: str, where: str, value: str, allowed: str) -> FileFaultsError:
    """Error of a log that cannot be read as a whole."""
    return FileFaultsError(name, (Fault(where, value, allowed),))


def head_of(path: str | os.PathLike[str], name: str) -> tuple[str, str]:
    """Encoding and the first text of a file.

    Parameters
    ----------
    path : str or path-like
        The file.
    name : str
        Its name, for the sentence.

    Returns
    -------
    tuple of (str, str)
        Encoding and text.

    Raises
    ------
    FileFaultsError
        Where it is empty or no text.
    """
    with open(path, "rb") as file:
        head = file.read(SAMPLE_BYTES)
        whole = not file.read(1)
    if not head.strip(b"\x00\xff\xfe\xef\xbb\xbf \r\n\t"):
        raise fault(name, "file", "nothing", "rows of a pull, engine speed and power or torque")
    encoding = _encoding(head)
    decoder = codecs.getincrementaldecoder(encoding)("replace")
    text = decoder.decode(head, final=whole)
    strange = sum(1 for one in text if ord(one) < 32 and one not in "\r\n\t\x1a")
    if strange > 0.02 * len(text):
        raise fault(name, "file", "bytes that are no text", "a table as text (CSV)")
    return encoding, text


def _encoding(head: bytes) -> str:
    if head.startswith(codecs.BOM_UTF8):
        return "utf-8-sig"
    if head.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    even, odd = head[0::2].count(0), head[1::2].count(0)
    if odd > 0.3 * len(head) / 2 and even < 0.05 * len(head):
        return "utf-16-le"
    if even > 0.3 * len(head) / 2 and odd < 0.05 * len(head):
        return "utf-16-be"
    try:
        codecs.getincrementaldecoder("utf-8")("strict").decode(head)
    except UnicodeDecodeError:
        return "cp1252"
    return "utf-8"


def cells_of(line: str, delimiter: str) -> list[str]:
    """Cells of a line; a quoted cell may hold the delimiter, but no end of a line."""
    if '"' not in line:
        return [cell.strip() for cell in line.split(delimiter)]
    try:
        row = next(csv.reader([line], delimiter=delimiter, skipinitialspace=True), [])
    except csv.Error:
        row = line.replace('"', "").split(delimiter)
    return [cell.strip() for cell in row]


def is_number(cell: str) -> bool:
    """Whether a cell reads like a number, whatever its decimal sign."""
    return bool(_NUMBER.fullmatch(cell))


def delimiter_of(lines: list[str]) -> str:
    """What parts the columns: what cuts most lines into the same number of mostly numeric cells."""
    best, found = -1.0, ","
    for one in DELIMITERS:
        rows = [cells_of(line, one) for line in lines if line.strip()]
        counts = Counter(len(row) for row in rows if len(row) > 1)
        if not counts:
            continue
        width = max(counts, key=lambda n: (counts[n] * min(n, 4), n))
        even = [row for row in rows if len(row) == width]
        numbers = sum(is_number(cell) for row in even for cell in row)
        share = numbers / (width * len(even))
        score = len(even) * (0.2 + share)
        if score > best * 1.0001:
            best, found = score, one
    return found


def decimal_of(rows: list[list[str]], delimiter: str) -> str:
    """Decimal sign; commas before three digits alone are thousands."""
    cells = [cell for row in rows for cell in row]
    commas = sum(bool(_SURE_COMMA.fullmatch(cell)) for cell in cells)
    points = sum(bool(_SURE_POINT.fullmatch(cell)) for cell in cells)
    maybe = sum(bool(_MAYBE_COMMA.fullmatch(cell)) for cell in cells)
    if commas > points:
        return ","
    return "," if maybe and not points and commas and delimiter != "," else "."


def number_of(cell: str, decimal: str) -> float | None:
    """Number of a cell; nothing where it is none.

    Parameters
    ----------
    cell : str
        The cell.
    decimal : str
        The decimal sign of the file.

    Returns
    -------
    float or None
        Its value, in the unit of its column.
    """
    text = cell.strip().replace("\u2212", "-").replace("\u00a0", "").removesuffix("%").strip()
    other = "." if decimal == "," else ","
    grouped = re.fullmatch(rf"[+-]?\d{{1,3}}([{other} '\u202f]\d{{3}})+(\{decimal}\d*)?", text)
    if grouped:
        text = re.sub(rf"[{other} '\u202f]", "", text)
    if decimal == ",":
        if "." in text and "," in text:
            return None
        text = text.replace(",", ".")
    if not re.fullmatch(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", text):
        return None
    return float(text)


def lines_of(path: str | os.PathLike[str], encoding: str) -> Iterator[tuple[str, int]]:
    """Lines of a file without their end, and bytes read so far; a line too long is cut.

    Parameters
    ----------
    path : str or path-like
        The file.
    encoding : str
        Its encoding; what is no text in it becomes a mark.

    Yields
    ------
    tuple of (str, int)
        A line, cut after ``LONGEST_LINE`` characters and one more, and bytes read.
    """
    with open(path, "rb") as raw, io.TextIOWrapper(raw, encoding, "replace") as file:
        while True:
            line = file.readline(LONGEST_LINE + 1)
            if not line:
                return
            if len(line) > LONGEST_LINE and not line.endswith("\n"):
                while True:
                    more = file.readline(LONGEST_LINE)
                    if not more or more.endswith("\n"):
                        break
            yield line.rstrip("\n").replace("\x00", ""), raw.tell()
