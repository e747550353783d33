"""Values of fields from typed text, and back."""

from __future__ import annotations

from app.fields.by_mass import DENSITY_OF, parse_by_mass
from app.fields.display import Units, show
from app.fields.field import Field
from engine_model.defaults import DEFAULTS
from engine_model.errors import InputError

IN_PERCENT = ("engine.ethanol_share",)
"""Shares that are spoken of in percent alone: a bare number is one of percent."""

_TWO_WAYS = "percent, such as 10 or 10 %; up to 1 with its %, as it may be read in two ways bare"


def read_value(
    field: Field, text: str, units: Units = "si", density: float | None = None
) -> float | int | str | None:
    """Value, SI, of what was typed into a field; blank where that is allowed.

    ``units`` are those in which a refusal tells the range; what is typed carries its own.
    A flow that is stated by mass too (``DENSITY_OF``) takes its ``density`` [kg/m3], without it
    the density's default.

    Raises
    ------
    InputError
        With the field's path, what was typed and what is allowed.
    """
    row, typed = field.row, text.strip()
    if typed in ("", "blank", "none") and row.optional:
        return None
    if row.quantity == "choice":
        word = typed.replace(" ", "_") if typed.replace(" ", "_") in row.choices else typed
        if word not in row.choices:
            raise InputError(field.path, text, "one of " + ", ".join(row.choices))
        return word
    if row.quantity in ("text", "day"):
        return typed
    if row.quantity == "integer":
        try:
            count = int(typed)
        except ValueError:
            raise InputError(field.path, text, "a whole number") from None
        check_range(field, count, text)
        return count
    if row.quantity.startswith("table:"):
        raise InputError(field.path, text, "a table; edit it in the bench or in the file")
    if density is None and field.path in DENSITY_OF:
        density = float(DEFAULTS[DENSITY_OF[field.path]].value)  # type: ignore[arg-type]
    parsed = parse_by_mass(typed, row.quantity, field.path, density)
    if field.path in IN_PERCENT and parsed.unit_symbol == "-":
        if 0.0 < parsed.value_si <= 1.0:
            raise InputError(field.path, text, _TWO_WAYS)
        check_range(field, parsed.value_si / 100.0, text, units)
        return parsed.value_si / 100.0
    if parsed.pressure_basis == "absolute" and field.display == "boost":
        raise InputError(field.path, text, "a gauge pressure: boost counts from the day's ambient")
    if parsed.pressure_basis == "gauge" and field.basis:
        raise InputError(field.path, text, "an absolute pressure, over a vacuum: 3 bar abs")
    check_range(field, parsed.value_si, text, units)
    return parsed.value_si


def check_range(field: Field, value: float, given: object, units: Units = "si") -> None:
    """Raise an :class:`InputError` in display units where a value is outside its range."""
    row = field.row
    if row.low <= value <= row.high:
        return
    if field.is_number:
        low, high = (show(v, field.display, units) + field.basis for v in (row.low, row.high))
    else:
        low, high = f"{row.low:g}", f"{row.high:g}"
    raise InputError(field.path, given, f"{low} to {high}")


def write_value(field: Field, value: object, units: Units = "si") -> str:
    """Text of a value in a field, with its unit."""
    if value is None:
        return ""
    if isinstance(value, tuple):
        return "1 row" if len(value) == 1 else f"{len(value)} rows"
    if isinstance(value, str) or field.quantity == "integer":
        return str(value)
    return show(float(value), field.display, units) + field.basis  # type: ignore[arg-type]


def write_unit(field: Field, units: Units = "si") -> str:
    """What a bare number typed into a field means: ``bar abs``; empty for a plain number."""
    unit = field.unit(units)
    return "" if unit == "-" else unit + field.basis
