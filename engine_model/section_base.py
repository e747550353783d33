"""What every section of a build shares: its fields are checked against the table of defaults."""

from __future__ import annotations

from dataclasses import fields
from typing import Any, ClassVar

import numpy as np

from engine_model.default_row import Default
from engine_model.defaults import DEFAULTS
from engine_model.errors import InputError

Table = tuple[tuple[float, float], ...]


def check_value(row: Default, value: object) -> None:
    """Raise an :class:`InputError` where a value is not what its row allows."""
    if value is None:
        if not row.optional:
            raise InputError(row.path, value, "a value; this one cannot be blank")
        return
    if row.quantity == "choice":
        if value not in row.choices:
            raise InputError(row.path, value, "one of " + ", ".join(row.choices))
    elif row.quantity in ("text", "day"):
        if not isinstance(value, str):
            raise InputError(row.path, value, "text")
    elif row.quantity.startswith("table:"):
        _check_table(row, value)
    else:
        number = _number(row, value)
        if not row.low <= number <= row.high:
            raise InputError(row.path, value, f"{row.low:g} to {row.high:g}")


def _number(row: Default, value: object) -> float:
    whole = row.quantity == "integer"
    kind: tuple[type, ...] = (int, np.integer) if whole else (float, int, np.floating, np.integer)
    if isinstance(value, bool) or not isinstance(value, kind):
        raise InputError(row.path, value, "a whole number" if whole else "a number")
    number = float(value)  # type: ignore[arg-type]
    if not np.isfinite(number):
        raise InputError(row.path, value, "a finite number")
    return number


def _check_table(row: Default, value: object) -> None:
    if not isinstance(value, tuple) or not value:
        raise InputError(row.path, value, "rows of two numbers")
    last = float("-inf")
    for number, pair in enumerate(value):
        where = f"{row.path}[{number}]"
        if not isinstance(pair, tuple) or len(pair) != 2:
            raise InputError(where, pair, "two numbers")
        for part in pair:
            if isinstance(part, bool) or not isinstance(part, (int, float)):
                raise InputError(where, pair, "two numbers")
            if not np.isfinite(part):
                raise InputError(where, pair, "finite numbers")
        if pair[0] <= last:
            raise InputError(where, pair, f"a first column that rises (above {last:g})")
        if not row.low <= pair[1] <= row.high:
            raise InputError(where, pair[1], f"{row.low:g} to {row.high:g}")
        last = pair[0]


def default_of(path: str) -> Any:
    """Return the default of an input [SI]."""
    return DEFAULTS[path].value


class Section:
    """Base of the sections: checks every field against its row."""

    __slots__ = ()
    SECTION: ClassVar[str]

    def __post_init__(self) -> None:
        for one in fields(self):  # type: ignore[arg-type]
            check_value(DEFAULTS[f"{self.SECTION}.{one.name}"], getattr(self, one.name))
