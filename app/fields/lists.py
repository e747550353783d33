"""Lists of lengths or flows as people type them: ``60 mm, 63 mm, 2.5 in``."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

from app.fields.display import Units, decimals_of, quantity_of, unit_of
from engine_model.errors import InputError
from engine_model.units import from_si, parse_quantity

# a comma parts two items unless digits stand close on both its sides: 2,5 in
_PART = re.compile(r"[;\n]|,(?=\s)|(?<![0-9]),|,(?![0-9])")
_BARE = re.compile(r"[-+0-9.,\s]+")


def read_list(text: str, quantity: str, label: str, low: float, high: float) -> tuple[float, ...]:
    """SI values of a typed list, rising, each once; bare numbers take the next unit.

    Raises
    ------
    InputError
        With the list's label, the item at fault and what is allowed.
    """
    values, faults = try_list(text, quantity, label, low, high)
    if faults:
        raise faults[0]
    return values


def try_list(
    text: str, quantity: str, label: str, low: float, high: float
) -> tuple[tuple[float, ...], tuple[InputError, ...]]:
    """SI values of a typed list as :func:`read_list`, and what is wrong, in the order typed."""
    items = [item.strip() for item in _PART.split(text) if item.strip()]
    unit = ""
    found: set[float] = set()
    faults: list[InputError] = []
    for item in reversed(items):
        typed = f"{item} {unit}" if _BARE.fullmatch(item) and unit else item
        try:
            parsed = parse_quantity(typed, quantity, field=label)
        except InputError as error:
            faults.append(error)
            continue
        unit = parsed.unit_symbol
        if not low <= parsed.value_si <= high:
            ends = (f"{float(from_si(end, unit, quantity)):.4g} {unit}" for end in (low, high))
            faults.append(InputError(label, item, " to ".join(ends)))
            continue
        found.add(round(parsed.value_si, 12))
    return tuple(sorted(found)), tuple(reversed(faults))


def write_list(values: Sequence[float], kind: str, units: Units = "si") -> str:
    """Text of a list of SI values, each with its unit; :func:`read_list` reads the same back.

    A value is written in the other system's unit where only that shows it whole: 2.5 in.
    """
    return ", ".join(_write(value, kind, units) for value in values)


def _write(value: float, kind: str, units: Units) -> str:
    quantity = quantity_of(kind)
    for one in (units, "si", "us"):
        symbol, decimals = unit_of(kind, one), decimals_of(kind, one)
        number = float(from_si(value, symbol, quantity))
        text = f"{number:.{decimals}f}"
        if math.isclose(float(text), number, rel_tol=1e-9):
            text = text.rstrip("0").rstrip(".") if "." in text else text
            return f"{text} {symbol}"
    symbol = unit_of(kind, units)
    return f"{float(from_si(value, symbol, quantity)):.12g} {symbol}"
