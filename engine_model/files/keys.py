"""The table of paths and file keys: a key is its field's name and the suffix of its unit.

A table of pairs takes the suffix of its second column.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import Annotated, Any, Final, Literal, Optional

from msgspec import Meta

from engine_model.default_row import Default
from engine_model.defaults import DEFAULTS
from engine_model.units import QUANTITIES

_INFINITE: Final = float("inf")


def key_suffix(quantity: str) -> str:
    """Suffix of a key.

    Parameters
    ----------
    quantity : str
        Kind of unit, as in the table of defaults.

    Returns
    -------
    str
        Such as ``_kg_s``; nothing for plain numbers, choices and text.
    """
    known = QUANTITIES.get(quantity.rpartition(":")[2])
    return known.key_suffix if known else ""


FILE_KEYS: Final = MappingProxyType(
    {path: path + key_suffix(row.quantity) for path, row in DEFAULTS.items()}
)
"""Key of every input in a build's file, by path: section, dot, key."""

PATHS: Final = MappingProxyType({key: path for path, key in FILE_KEYS.items()})
"""Path of every key."""


def value_type(row: Default) -> Any:
    """Type of an input's value in a file, with its range.

    Parameters
    ----------
    row : Default
        Row of the table of defaults.

    Returns
    -------
    type
        As msgspec reads it; the origin of the default is its description.
    """
    kind: Any
    note = row.origin
    if row.quantity == "choice":
        kind = Literal[row.choices]
    elif row.quantity == "integer":
        kind = Annotated[int, Meta(ge=int(row.low), le=int(row.high))]
    elif row.quantity in ("text", "day"):
        kind = str
    elif row.quantity.startswith("table:"):
        second: Any = _number(row)
        kind = Annotated[list[tuple[float, second]], Meta(min_length=1)]
        columns = [QUANTITIES[part].canonical for part in row.quantity.split(":")[1:]]
        note = f"pairs, first column rising, units {columns[0]} and {columns[1]}; {note}"
    else:
        kind = _number(row)
    blank = Optional[kind] if row.optional else kind  # noqa: UP045 - a type made at run time
    return Annotated[blank, Meta(description=note)]


def _number(row: Default) -> Any:
    if row.low == -_INFINITE:
        return float
    return Annotated[float, Meta(ge=row.low, le=row.high)]
