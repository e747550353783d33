"""Reading of a JSON file from outside: what is not plain JSON is answered in a sentence."""

from __future__ import annotations

import json
import math
import os
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from engine_model.errors import Fault, FileFaultsError

LARGEST_FILE: Final = 20_000_000
"""Largest file read [bytes]."""

_MEGABYTES: Final = LARGEST_FILE // 1_000_000
_LONGEST_WHOLE_NUMBER: Final = 30
_LONGEST_SHOWN: Final = 40
_MARKS: Final = (
    (b"\xff\xfe", "UTF-16 text"),
    (b"\xfe\xff", "UTF-16 text"),
    (b"\xef\xbb\xbf", "a byte order mark"),
)


@dataclass(frozen=True, slots=True)
class Document:
    """Content of a file as JSON has it.

    Parameters
    ----------
    name : str
        The file's name.
    content : object
        What stands in it.
    faults : tuple of Fault
        Keys that stand twice.
    ordinary : bool
        Whether every number is known to be finite and every text whole.
    """

    name: str
    content: object
    faults: tuple[Fault, ...]
    ordinary: bool


def describe(value: object) -> str:
    """Words for what stands at a place of a file.

    Parameters
    ----------
    value : object
        Any value that JSON may hold.

    Returns
    -------
    str
        The value, shortened.
    """
    if value is None:
        return "null"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int) and value.bit_length() > 100:
        return "a number too large"
    if isinstance(value, float) and not math.isfinite(value):
        return "NaN" if math.isnan(value) else "a number too large"
    if isinstance(value, (int, float)):
        return repr(value)
    if isinstance(value, str) and any("\ud800" <= one <= "\udfff" for one in value):
        return "text with half a character"
    if isinstance(value, str):
        return f"the text {value[:_LONGEST_SHOWN]!r}" + ("…" * (len(value) > _LONGEST_SHOWN))
    if isinstance(value, (list, tuple)):
        return f"a list of {len(value)}"
    return "a group of keys" if isinstance(value, dict) else f"a {type(value).__name__}"


def join(where: str, key: str) -> str:
    """Place of a key inside a group.

    Parameters
    ----------
    where : str
        Place of the group; empty for the whole file.
    key : str
        The key as written in the file.

    Returns
    -------
    str
        The place, an unusual key in quotes.
    """
    shown = (
        key
        if key.replace("_", "").replace(".", "").isalnum() and len(key) <= 60
        else repr(key[:60])
    )
    return f"{where}.{shown}" if where else shown


def refuse(name: str, where: str, value: str, allowed: str) -> FileFaultsError:
    """Error of a file with one fault.

    Parameters
    ----------
    name : str
        The file's name.
    where : str
        The place.
    value : str
        What stands there.
    allowed : str
        What is allowed.

    Returns
    -------
    FileFaultsError
        To be raised.
    """
    return FileFaultsError(name, (Fault(where, value, allowed),))


def read_bytes(path: str | os.PathLike[str]) -> bytes:
    """Content of a file of at most `LARGEST_FILE` bytes.

    Parameters
    ----------
    path : str or path-like
        The file.

    Returns
    -------
    bytes
        Its content.

    Raises
    ------
    FileFaultsError
        When there is no such file, or it cannot be read.
    """
    name = os.fspath(path)
    try:
        with open(path, "rb") as file:
            data = file.read(LARGEST_FILE + 1)
    except FileNotFoundError as error:
        raise refuse(name, "file", "the name of no file", "an existing file") from error
    except IsADirectoryError as error:
        raise refuse(name, "file", "a folder", "a file") from error
    except PermissionError as error:
        raise refuse(name, "file", "one without permission to read", "a readable file") from error
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else str(error)
        value = f"one that cannot be read ({reason})"
        raise refuse(name, "file", value, "a readable file") from error
    if len(data) > LARGEST_FILE:
        raise refuse(name, "file", f"more than {_MEGABYTES} MB", f"up to {_MEGABYTES} MB")
    return data


def decode(name: str, data: bytes, *, mark_allowed: bool = False) -> str:
    """Text of a file's bytes, which must be UTF-8.

    Parameters
    ----------
    name : str
        The file's name.
    data : bytes
        Its content.
    mark_allowed : bool
        Whether a UTF-8 byte order mark is taken, as spreadsheets write it.

    Returns
    -------
    str
        The text.

    Raises
    ------
    FileFaultsError
        When it is another encoding.
    """
    for mark, words in _MARKS:
        if data.startswith(mark) and not (mark_allowed and len(mark) == 3):
            raise refuse(name, "start of the file", words, "UTF-8 without a byte order mark")
    if b"\0" in data[:4]:
        raise refuse(name, "start of the file", "UTF-16 or UTF-32 text", "UTF-8")
    try:
        return data.decode("utf-8-sig" if mark_allowed else "utf-8")
    except UnicodeDecodeError as error:
        where = f"byte {error.start + 1}"
        raise refuse(name, where, "a byte that is not UTF-8", "UTF-8 text") from error


def read_document(path: str | os.PathLike[str]) -> Document:
    """Content of a JSON file.

    Parameters
    ----------
    path : str or path-like
        The file.

    Returns
    -------
    Document
        What stands in it; keys that stand twice are kept as faults.

    Raises
    ------
    FileFaultsError
        When the file cannot be read or is not JSON.
    """
    name = os.fspath(path)
    return parse_document(decode(name, read_bytes(path)), name)


def parse_document(text: str, name: str) -> Document:
    """Content of a JSON text.

    Parameters
    ----------
    text : str
        The text.
    name : str
        Name of the file it stands in.

    Returns
    -------
    Document
        What stands in it; keys that stand twice are kept as faults.

    Raises
    ------
    FileFaultsError
        When the text is not JSON.
    """
    if not text.strip():
        raise refuse(name, "file", "nothing", "JSON")
    twice: list[tuple[dict[str, Any], str]] = []
    unusual: list[float] = []

    def group(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        found = dict(pairs)
        if len(found) < len(pairs):
            seen: set[str] = set()
            for key, _ in pairs:
                if key in seen:
                    twice.append((found, key))
                seen.add(key)
        return found

    def number(written: str) -> float:
        value = float(written)
        if not math.isfinite(value):
            unusual.append(value)
        return value

    def whole(written: str) -> float | int:
        return int(written) if len(written) <= _LONGEST_WHOLE_NUMBER else number(written)

    try:
        content = json.loads(
            text, object_pairs_hook=group, parse_constant=number, parse_float=number,
            parse_int=whole,
        )  # fmt: skip
    except json.JSONDecodeError as error:
        where = f"line {error.lineno}, column {error.colno}"
        reason = error.msg[:1].lower() + error.msg[1:]
        raise refuse(name, where, f"text that is not JSON ({reason})", "JSON") from error
    except RecursionError as error:
        raise refuse(name, "file", "brackets nested too deep", "a few levels") from error
    ordinary = not unusual and "\\ud" not in text.lower()  # \\ud800 and on: half a character
    return Document(name, content, tuple(_twice(content, twice)), ordinary)


def _twice(content: object, twice: list[tuple[dict[str, Any], str]]) -> Iterator[Fault]:
    """Faults of keys that stand twice, with the place of their group."""
    if not twice:
        return
    places = {id(value): where for where, value in _groups(content)}
    for holder, key in twice:
        where = join(places.get(id(holder), "in a group written twice"), key)
        yield Fault(where, "the same key twice", "each key once")


def _groups(content: object) -> Iterator[tuple[str, object]]:
    waiting: list[tuple[str, object]] = [("", content)]
    while waiting:
        where, value = waiting.pop()
        if isinstance(value, dict):
            yield where, value
            waiting += [(join(where, key), item) for key, item in value.items()]
        elif isinstance(value, list):
            waiting += [(f"{where}[{number}]", item) for number, item in enumerate(value)]
