"""Lists of lengths or flows as people type them: ``60 mm, 63 mm, 2.5 in``."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

from app.fields.by_mass import parse_by_mass
from app.fields.display import Units, decimals_of, quantity_of, unit_of
from engine_model.errors import InputError
from engine_model.units import from_si, to_si

# a comma parts two items unless digits stand close on both its sides: 2,5 in
_PART = re.compile(r"[;\n]|,(?=\s)|(?<![0-9]),|,(?![0-9])")
_KEPT = 10
"""Digits that count of a value typed: in two units it is the same one; chosen here."""

_SAME = 3e-7
"""Relative distance under which a rounded text stands for a value [-]; chosen here."""

_BY_MASS = "lb/h"
"""Unit in which the trade states flows by mass."""

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
    text: str, quantity: str, label: str, low: float, high: float, density: float | None = None
) -> tuple[tuple[float, ...], tuple[InputError, ...]]:
    """SI values of a typed list as :func:`read_list`, and what is wrong, in the order typed.

    With a density, a volume flow may be typed as the mass flow of that liquid.
    """
    items = [item.strip() for item in _PART.split(text) if item.strip()]
    unit = ""
    found: set[float] = set()
    faults: list[InputError] = []
    for item in reversed(items):
        typed = f"{item} {unit}" if _BARE.fullmatch(item) and unit else item
        try:
            parsed = parse_by_mass(typed, quantity, label, density)
        except InputError as error:
            faults.append(error)
            continue
        unit = parsed.unit_symbol
        if not low <= parsed.value_si <= high:
            by = 1.0 if parsed.by_density is None else parsed.by_density
            kind = quantity if parsed.by_density is None else "mass_flow"
            ends = (f"{float(from_si(by * end, unit, kind)):.4g} {unit}" for end in (low, high))
            faults.append(InputError(label, item, " to ".join(ends)))
            continue
        found.add(_kept(parsed.value_si))
    return tuple(sorted(found)), tuple(reversed(faults))


def _kept(value: float) -> float:
    return float(f"{value:.{_KEPT}g}")


def write_list(
    values: Sequence[float], kind: str, units: Units = "si", density: float | None = None
) -> str:
    """Text of a list of SI values, each with its unit; :func:`read_list` reads the same back.

    A value is written in the other system's unit where only that shows it whole: 2.5 in. So is a
    volume flow of a density by mass: 42 lb/h.
    """
    return ", ".join(_write(value, kind, units, density) for value in values)


def _write(value: float, kind: str, units: Units, density: float | None) -> str:
    quantity = quantity_of(kind)
    for one in (units, "si", "us"):
        symbol, decimals = unit_of(kind, one), decimals_of(kind, one)
        number = float(from_si(value, symbol, quantity))
        text = f"{number:.{decimals}f}"
        if math.isclose(float(text), number, rel_tol=_SAME):
            text = text.rstrip("0").rstrip(".") if "." in text else text
            return f"{text} {symbol}"
    if density is not None:
        mass = float(from_si(value * density, _BY_MASS, "mass_flow"))
        if math.isclose(round(mass, 1), mass, rel_tol=_SAME):
            return f"{round(mass, 1):g} {_BY_MASS}"
    symbol = unit_of(kind, units)
    number, text = float(from_si(value, symbol, quantity)), ""
    for digits in range(6, 18):
        text = f"{number:.{digits}g}"
        if _kept(float(to_si(float(text), symbol, quantity))) == _kept(value):
            break
    return f"{text} {symbol}"
