"""Structure of a file against its record: the fast road, and the walk that lists every fault."""

from __future__ import annotations

import difflib
import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from typing import Any, Final

import msgspec
from msgspec import inspect as kinds

from engine_model.errors import Fault
from engine_model.files.reading import describe, join

NOTHING: Final = "nothing"
UNCLEAR: Final = "what the format refuses"
_BROKEN: Final = object()


@dataclass(frozen=True, slots=True)
class Opened:
    """A file's content held against its record.

    Parameters
    ----------
    record : Struct, optional
        The content as a record; none where the structure has a fault.
    sound : dict, optional
        The content without what is at fault, list items at fault None; none where nothing
        can be judged.
    faults : tuple of Fault
        Every fault of the structure.
    """

    record: Any
    sound: dict[str, Any] | None
    faults: tuple[Fault, ...]


@cache
def _kind_of(record: type[msgspec.Struct]) -> kinds.Type:
    return kinds.type_info(record)


def open_record(content: object, record: type[msgspec.Struct], *, ordinary: bool = False) -> Opened:
    """Content of a file as its record, or every fault of its structure.

    Parameters
    ----------
    content : object
        What stands in the file.
    record : type of Struct
        What should stand there.
    ordinary : bool
        Whether every number is known to be finite and every text whole; else the content is
        walked through.

    Returns
    -------
    Opened
        The record, the sound part, the faults.
    """
    if not isinstance(content, dict):
        return Opened(None, None, (Fault("file", describe(content), "a group of keys in braces"),))
    failure = ""
    if ordinary:
        try:
            return Opened(msgspec.convert(content, record), content, ())
        except (msgspec.ValidationError, UnicodeEncodeError) as error:
            failure = str(error)
    faults: list[Fault] = []
    sound = _walk(content, _kind_of(record), "", faults)
    if failure and not faults:  # the tests show that the walk finds what the record refuses
        faults.append(Fault("file", UNCLEAR, failure))
    if faults:
        return Opened(None, None if sound is _BROKEN else sound, tuple(faults))
    return Opened(msgspec.convert(sound, record), sound, ())


def _walk(value: object, kind: kinds.Type, where: str, faults: list[Fault]) -> Any:
    """Return the sound part of a value, or `_BROKEN`; append every fault on the way."""
    if isinstance(kind, kinds.UnionType) and isinstance(value, str):
        # what was text once may stay text
        texts = [one for one in kind.types if isinstance(one, kinds.StrType)]
        kind = texts[0] if texts else kind
    kind, blank_allowed = _plain(kind)
    if value is None and blank_allowed:
        return None
    if isinstance(kind, kinds.StructType) and isinstance(value, dict):
        return _walk_group(value, kind, where, faults)
    if isinstance(kind, kinds.ListType) and isinstance(value, (list, tuple)):
        items = [kind.item_type] * len(value)
        return _walk_list(value, items, kind, where, faults)
    if isinstance(kind, kinds.TupleType) and isinstance(value, (list, tuple)):
        before = len(faults)
        if len(value) == len(kind.item_types):
            part = _walk_list(value, kind.item_types, kind, where, faults)
            return part if len(faults) == before else _BROKEN
    elif _fits(value, kind):
        return value
    words = expected(kind) + (", or null" if blank_allowed else "")
    faults.append(Fault(where or "file", describe(value), words))
    return _BROKEN


def _plain(kind: kinds.Type) -> tuple[kinds.Type, bool]:
    """Return the kind without its notes, and whether null is allowed beside it."""
    if isinstance(kind, kinds.Metadata):
        return _plain(kind.type)
    if isinstance(kind, kinds.UnionType):
        some = [one for one in kind.types if not isinstance(one, kinds.NoneType)]
        some.sort(key=lambda one: isinstance(one, kinds.StrType))
        return _plain(some[0])[0], len(some) < len(kind.types)
    return kind, False


def _walk_list(
    value: list[Any] | tuple[Any, ...],
    items: Iterable[kinds.Type],
    kind: kinds.Type,
    where: str,
    faults: list[Fault],
) -> Any:
    if isinstance(kind, kinds.ListType):
        low, high = kind.min_length or 0, kind.max_length
        if len(value) < low or (high is not None and len(value) > high):
            faults.append(Fault(where, describe(value), expected(kind)))
            if _is_point(kind) or len(value) > low:
                return _BROKEN
    before = len(faults)
    parts = [
        _walk(part, item, f"{where}[{number}]", faults)
        for number, (part, item) in enumerate(zip(value, items, strict=True))
    ]
    if _is_point(kind) and len(faults) > before:  # with one bad number it is no point
        return _BROKEN
    return [None if part is _BROKEN else part for part in parts]


def _is_point(kind: kinds.Type) -> bool:
    return isinstance(kind, kinds.ListType) and isinstance(kind.item_type, kinds.FloatType)


def _walk_group(
    value: dict[str, Any], kind: kinds.StructType, where: str, faults: list[Fault]
) -> Any:
    known = {field.encode_name: field for field in kind.fields}
    for heading in ("format", "version"):
        if heading in known and heading in value:
            one, _ = _plain(known[heading].type)
            if not _fits(value[heading], one):
                # another format or a later version: its other keys cannot be judged
                place = join(where, heading)
                faults.append(Fault(place, describe(value[heading]), expected(one)))
                return _BROKEN
    sound: dict[str, Any] = {}
    for key, item in value.items():
        if key in known:
            part = _walk(item, known[key].type, join(where, key), faults)
            if part is not _BROKEN:
                sound[key] = part
        else:
            faults.append(Fault(join(where, str(key)), "an unknown key", _nearest(key, known)))
    for key, field in known.items():
        if field.required and key not in value:
            faults.append(Fault(join(where, key), NOTHING, expected(_plain(field.type)[0])))
    return sound


def _nearest(key: str, known: Iterable[str]) -> str:
    near = nearest(key, known)
    return f"{near}, the nearest known key" if near else ", ".join(known)


def nearest(word: str, known: Iterable[str]) -> str:
    """Known word that a mistyped one may stand for.

    Parameters
    ----------
    word : str
        What stands in the file.
    known : iterable of str
        What may stand there.

    Returns
    -------
    str
        The nearest, or nothing where none is near.
    """
    found = difflib.get_close_matches(word, list(known), n=1, cutoff=0.6)
    return found[0] if found else ""


def _fits(value: object, kind: kinds.Type) -> bool:
    """Whether a value without parts is what its kind allows."""
    if isinstance(kind, kinds.LiteralType):
        return any(type(value) is type(one) and value == one for one in kind.values)
    if isinstance(kind, kinds.StrType):
        return isinstance(value, str) and not any("\ud800" <= one <= "\udfff" for one in value)
    if isinstance(kind, kinds.BoolType):
        return isinstance(value, bool)
    if not isinstance(kind, (kinds.FloatType, kinds.IntType)) or isinstance(value, bool):
        return False
    if not isinstance(value, int if isinstance(kind, kinds.IntType) else (int, float)):
        return False
    if not math.isfinite(value):
        return False
    return (kind.ge is None or value >= kind.ge) and (kind.le is None or value <= kind.le)


def expected(kind: kinds.Type) -> str:
    """Words for what a kind allows.

    Parameters
    ----------
    kind : msgspec.inspect.Type
        The kind of a value.

    Returns
    -------
    str
        What may stand there.
    """
    if isinstance(kind, kinds.LiteralType):
        words = ", ".join(str(one) for one in kind.values)
        return words if len(kind.values) == 1 else f"one of {words}"
    if isinstance(kind, (kinds.FloatType, kinds.IntType)):
        noun = "a number" if isinstance(kind, kinds.FloatType) else "a whole number"
        return noun if kind.ge is None else f"{noun} from {kind.ge:g} to {kind.le:g}"
    if isinstance(kind, kinds.ListType):
        low, high = kind.min_length or 0, kind.max_length
        if _is_point(kind):
            return f"{low} or {high} numbers"
        if high is not None:
            return f"a list of {low} to {high}" if low else f"a list of up to {high}"
        return f"a list of {low} or more" if low else "a list"
    if isinstance(kind, kinds.TupleType):
        return f"{len(kind.item_types)} numbers"
    if isinstance(kind, kinds.StrType):
        return "text"
    if isinstance(kind, kinds.StructType):
        needed = [field.encode_name for field in kind.fields if field.required]
        return f"a group with {', '.join(needed)}" if needed else "a group of keys"
    return "true or false"
