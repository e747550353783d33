"""Values as people type and read them, to and from the SI values inside (a small parser).

The units are rows of `engine_model.unit_table`. "SI value" means a value in the canonical unit of
its quantity there: SI, but rpm for engine and rotor speeds and degrees for angles.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, NoReturn, TypeVar

from engine_model.errors import InputError
from engine_model.unit_table import QUANTITIES, UNITS, Quantity, Unit

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = [
    "QUANTITIES",
    "UNITS",
    "Parsed",
    "PressureBasis",
    "Quantity",
    "Unit",
    "format_quantity",
    "from_si",
    "parse_quantity",
    "to_si",
]

PressureBasis = Literal["gauge", "absolute"]
Value = TypeVar("Value", float, "NDArray[np.float64]")


@dataclass(frozen=True, slots=True)
class Parsed:
    """A typed value. `pressure_basis` is None where the text does not say it."""

    value_si: float
    unit_symbol: str
    pressure_basis: PressureBasis | None


_PLAIN = str.maketrans({
    **dict.fromkeys("\u00a0\u2007\u2009\u202f", " "),  # no-break, figure, thin spaces
    **dict.fromkeys("\u2212\u2013", "-"),  # minus, en dash
    **dict.fromkeys("\u2033\u201d", '"'), **dict.fromkeys("\u2032\u2019", "'"),  # primes, quotes
    "\u00ba": "°", "\u2103": "°C", "\u2109": "°F",
    "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8",
})  # fmt: skip
_BASES: dict[str, PressureBasis | None] = {
    "": None,
    **dict.fromkeys(("g", "(g)", "gauge", "(gauge)", "gage"), "gauge"),
    **dict.fromkeys(("a", "(a)", "abs", "(abs)", "absolute"), "absolute"),
}  # fmt: skip
_SUPERSCRIPT = str.maketrans("²³¹⁻", "231-")
_JOINER = re.compile(r"\s*[·⋅\u00d7*]\s*|(?<=[^\W\d])\s*-\s*(?=[^\W\d])|(?<=[^\W\d])\.|\s+|\^")
_NUMBER = re.compile(
    r"(?P<sign>[+-]?)\s*(?:"
    r"(?:(?P<whole>[0-9]+)(?:\s+|-))?(?P<top>[1-9][0-9]?)\s*/\s*(?P<below>[0-9]{1,3})(?![0-9.,])"
    r"|(?P<decimal>[0-9]{1,3}(?:\ [0-9]{3})+(?![0-9])(?:[.,][0-9]+)?|[0-9.,]+)"
    r"(?P<exponent>[eE][+-]?[0-9]+)?)"
)


def _key(spelling: str) -> str:
    """Drop what does not tell units apart: spaces, product signs, superscripts."""
    return _JOINER.sub("", spelling.translate(_PLAIN).translate(_SUPERSCRIPT).strip())


_SPELLINGS = {
    name: {
        _key(text) + suffix: (unit, basis)
        for unit in quantity.units
        for text in (unit.symbol, *unit.aliases)
        for suffix, basis in (_BASES if name == "pressure" else {"": None}).items()
    }
    for name, quantity in QUANTITIES.items()
}
_ANY_CASE = {
    name: {key.casefold(): found for key, found in known.items() if not found[0].exact_case}
    for name, known in _SPELLINGS.items()
}


def _find(key: str, quantity: str) -> tuple[Unit, PressureBasis | None] | None:
    return _SPELLINGS[quantity].get(key) or _ANY_CASE[quantity].get(key.casefold())


def _refuse(field: str, given: str, quantity: str, why: str) -> NoReturn:
    wanted = QUANTITIES[quantity]
    symbols = ("no unit" if unit.symbol == "-" else unit.symbol for unit in wanted.units)
    raise InputError(field, given, f"{wanted.noun} ({', '.join(symbols)}); {why}")


def _why_no_unit(spelling: str, quantity: str) -> str:
    """Say why a spelling is no unit of the quantity."""
    key = _key(spelling)
    if not key:
        return "a bare number has no unit"
    for name, other in QUANTITIES.items():
        if _find(key, name):
            return f"{spelling} is {other.noun}, {QUANTITIES[quantity].noun} is needed"
    for known, (unit, _) in _SPELLINGS[quantity].items():
        if known.casefold() == key.casefold():
            return f"{spelling} is not read as {unit.symbol}: capitals matter here"
    if re.search(r"(?:^|\s)[+*/^-]?\s*[.,]?[0-9]", spelling):
        return "there must be one number only"
    return f"{spelling} is not a unit known here"


def _unit(
    spelling: str, quantity: str, field: str = "unit", given: str | None = None
) -> tuple[Unit, PressureBasis | None]:
    found = _find(_key(spelling), quantity)
    if found is None:
        why = _why_no_unit(spelling, quantity)
        _refuse(field, spelling if given is None else given, quantity, why)
    return found


def to_si(value: Value, unit: str, quantity: str) -> Value:
    """SI value of a value in any unit of its quantity.

    Parameters
    ----------
    value : float or ndarray
        Value in `unit`. A gauge pressure stays gauge; no ambient pressure is added.
    unit : str
        Symbol or alias of a unit, as in `UNITS`.
    quantity : str
        Key of `QUANTITIES`.

    Returns
    -------
    float or ndarray
        Value in the canonical unit of the quantity.

    Examples
    --------
    >>> to_si(3.0, "in", "length")  # 1 in = 25.4 mm by definition
    0.0762
    """
    found, _ = _unit(unit, quantity)
    return (value + found.offset) * found.factor


def from_si(value: Value, unit: str, quantity: str) -> Value:
    """Value in any unit of its quantity, from the SI value; `to_si` backwards.

    Parameters
    ----------
    value : float or ndarray
        Value in the canonical unit of the quantity.
    unit : str
        Symbol or alias of a unit, as in `UNITS`.
    quantity : str
        Key of `QUANTITIES`.

    Returns
    -------
    float or ndarray
        Value in `unit`.
    """
    found, _ = _unit(unit, quantity)
    return value / found.factor - found.offset


def _number(match: re.Match[str]) -> tuple[float, str]:
    """Return the value of a matched number, or nan and the sentence that refuses it."""
    sign = -1.0 if match["sign"] == "-" else 1.0
    if match["decimal"] is None:
        whole, top, below = float(match["whole"] or 0), float(match["top"]), float(match["below"])
        if below == 0.0:
            return math.nan, "a fraction cannot have zero below the line"
        if match["whole"] and top >= below:
            return math.nan, "a fraction after a whole number must be less than one"
        return sign * (whole + top / below), ""
    digits = match["decimal"].replace(" ", "")
    if re.fullmatch(r"[0-9]+,[0-9]{3}", digits):
        both = f"{digits.replace(',', '.')} or {digits.replace(',', '').lstrip('0') or '0'}"
        return math.nan, f"a comma before three digits may be read in two ways; write {both}"
    if not re.fullmatch(r"[0-9]+\.?|[0-9]*[.,][0-9]+", digits):
        return math.nan, f"{digits} is not one number; write at most one point or comma"
    return sign * float(digits.replace(",", ".") + (match["exponent"] or "")), ""


def parse_quantity(text: str, quantity: str, *, field: str = "value") -> Parsed:
    """SI value of a typed text such as "3 1/3 in" or "0,55 bar".

    One number (decimal point or comma, thousands by spaces, a fraction, a power of ten), then its
    unit. What can be read in two ways is refused by an `InputError` that says why.

    Parameters
    ----------
    text : str
        What was typed.
    quantity : str
        Key of `QUANTITIES`.
    field : str
        Name of the input, for the message.

    Returns
    -------
    Parsed
        SI value, symbol of the unit, and "gauge" or "absolute" where the text says so.

    Examples
    --------
    >>> parse_quantity("3 1/2 in", "length")
    Parsed(value_si=0.0889, unit_symbol='in', pressure_basis=None)
    """
    plain = text.translate(_PLAIN).strip()
    match = _NUMBER.match(plain)
    if match is None:
        why = "a finite number must come first" if plain else "the text is empty"
        _refuse(field, text, quantity, why)
    number, fault = _number(match)
    if fault:
        _refuse(field, text, quantity, fault)
    unit, basis = _unit(plain[match.end() :].strip(), quantity, field, text)
    value_si = (number + unit.offset) * unit.factor
    if not math.isfinite(value_si):
        _refuse(field, text, quantity, "the number must be finite")
    return Parsed(value_si, unit.symbol, basis)


def format_quantity(value_si: float, quantity: str, unit: str, decimals: int) -> str:
    """Text of an SI value in a display unit; `parse_quantity` reads it back.

    Parameters
    ----------
    value_si : float
        Value in the canonical unit of the quantity.
    quantity : str
        Key of `QUANTITIES`.
    unit : str
        Display unit; a pressure basis in it is written out ("psig" gives "psi gauge").
    decimals : int
        Digits after the point.

    Returns
    -------
    str
        Number and unit symbol; a plain number stands alone.
    """
    found, basis = _unit(unit, quantity)
    number = f"{value_si / found.factor - found.offset:z.{decimals}f}"
    said = {None: "", "gauge": " gauge", "absolute": " abs"}[basis]
    return number if found.symbol == "-" else f"{number} {found.symbol}{said}"
