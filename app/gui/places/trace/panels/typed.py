"""How the values of the Trace panels are typed and written; no Qt.

A physical value is SI inside; a flow is a number in the unit of the picture's axis.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass

from app.fields import (
    Units,
    decimals_of,
    is_bare,
    quantity_of,
    show,
    step_of,
    unit_of,
)
from app.present.trace_words import share_text, speed_text
from engine_model.errors import InputError
from engine_model.files.island_faults import ISLAND_EFFICIENCY
from engine_model.files.line_faults import SPEED_RANGE
from engine_model.units import from_si, parse_quantity, to_si

MOST_FLOW, MOST_RATIO = 1e6, 20.0
"""Largest flow [unit of the axis] and pressure ratio [-] typed; chosen here."""

SPEEDS = SPEED_RANGE
"""Corrected speeds taken, as in a file [rpm]."""

SHARES = ISLAND_EFFICIENCY
"""Efficiencies taken, as in a file [-]."""

_EXACT = 1e-9  # how near a shown value is to be called whole
_ZERO_COMMA = re.compile(r"^([-+]?0),(?=[0-9])")
_MORE = 3  # decimals shown over the usual ones where they make it whole


@dataclass(frozen=True, slots=True)
class Typed:
    """How one value is typed and written.

    Parameters
    ----------
    label : str
        Its name.
    read : callable
        Value of a text in units of display; an InputError says what is allowed.
    write : callable
        Text of a value.
    step : callable, optional
        Value some steps of the arrow keys on.
    blank : callable, optional
        What stands in an empty box.
    """

    label: str
    read: Callable[[str, Units], float]
    write: Callable[[float, Units], str]
    step: Callable[[float, int, Units], float] | None = None
    blank: Callable[[Units], str] | None = None


def _number(text: str, quantity: str, label: str) -> tuple[float, str]:
    """Value, SI, and unit of a text; what was typed is told as typed."""
    try:
        # a comma after a lone zero parts no thousands
        typed = _ZERO_COMMA.sub(r"\1.", text.strip())
        parsed = parse_quantity(typed, quantity, field=label)
    except InputError as error:
        raise InputError(label, text, error.allowed) from None
    if parsed.pressure_basis == "gauge":
        raise InputError(label, text, "an absolute pressure")
    return parsed.value_si, parsed.unit_symbol


def _within(value: float, low: float, high: float, label: str, text: str, words: str) -> float:
    if not low <= value <= high:
        raise InputError(label, text, words)
    return value


def physical(label: str, kind: str, low: float, high: float, factor: float = 1.0) -> Typed:
    """Physical value of a kind of display; a bare number is in the unit shown.

    Parameters
    ----------
    label : str
        Its name.
    kind : str
        Kind of display, such as ``pressure``.
    low, high : float
        What is taken, SI.
    factor : float
        Steps of the arrow keys over the usual ones of the kind.
    """
    quantity = quantity_of(kind)

    def read(text: str, units: Units) -> float:
        symbol = unit_of(kind, units)
        typed = f"{text} {symbol}" if is_bare(text) and symbol != "-" else text
        try:
            value, _ = _number(typed, quantity, label)
        except InputError as error:
            raise InputError(label, text, error.allowed) from None
        words = f"{show(low, kind, units)} to {show(high, kind, units)}"
        return _within(value, low, high, label, text, words)

    def write(value: float, units: Units) -> str:
        symbol = unit_of(kind, units)
        number = float(from_si(value, symbol, quantity))
        usual = decimals_of(kind, units)
        for decimals in range(usual, usual + _MORE + 1):
            text = f"{number:.{decimals}f}"
            if math.isclose(float(text), number, rel_tol=_EXACT):
                return text if symbol == "-" else f"{text} {symbol}"
        return show(value, kind, units)

    def step(value: float, steps: int, units: Units) -> float:
        symbol = unit_of(kind, units)
        shown = float(from_si(value, symbol, quantity)) + steps * factor * step_of(kind, units)
        moved = float(to_si(shown, symbol, quantity))
        return _within(moved, low, high, label, f"{shown:g} {symbol}", "no further")

    def blank(units: Units) -> str:
        symbol = unit_of(kind, units)
        return "" if symbol == "-" else symbol

    return Typed(label, read, write, step, blank)


def flow(unit: str | None, is_volume: bool = False, label: str = "Flow") -> Typed:
    """Flow at a known point; a bare number is in the unit of the axis."""
    quantity = "volume_flow" if is_volume else "mass_flow"

    def read(text: str, _: Units) -> float:
        if is_bare(text):
            value, _unit = _number(text, "dimensionless", label)
        elif unit is None:
            raise InputError(label, text, "a number; say the unit of the flow axis first")
        else:
            found, _unit = _number(text, quantity, label)
            value = float(from_si(found, unit, quantity))
        words = f"0 to {MOST_FLOW:.0f} {unit or ''}".rstrip()
        return _within(value, 0.0, MOST_FLOW, label, text, words)

    return Typed(label, read, lambda value, _: f"{value:.8g}")


def ratio(label: str = "Pressure ratio") -> Typed:
    """Pressure ratio at a known point."""

    def read(text: str, _: Units) -> float:
        value, unit = _number(text, "dimensionless", label)
        words = f"0 to {MOST_RATIO:g}, without a unit"
        if unit != "-":
            raise InputError(label, text, words)
        return _within(value, 0.0, MOST_RATIO, label, text, words)

    return Typed(label, read, lambda value, _: f"{value:.6g}")


def speed(in_thousands: bool = False, label: str = "Corrected speed") -> Typed:
    """Corrected speed [rpm]; a bare number may be in 1000 rpm."""
    size = 1000.0 if in_thousands else 1.0

    def read(text: str, _: Units) -> float:
        value, _unit = _number(text, "speed", label)
        value *= size if is_bare(text) else 1.0
        low, high = SPEEDS
        words = f"{speed_text(low)} to {speed_text(high)}"
        if is_bare(text) and in_thousands:
            words = f"{low / size:g} to {high / size:g} in 1000 rpm"
        elif is_bare(text) and low <= value * 1000.0 <= high:
            words += f"; thousands are written out, {speed_text(value * 1000.0)}"
        return _within(value, low, high, label, text, words)

    def write(value: float, _: Units) -> str:
        return f"{value / size:.8g}" if in_thousands else speed_text(value)

    def step(value: float, steps: int, _: Units) -> float:
        moved = value + steps * 1000.0
        return _within(moved, *SPEEDS, label, speed_text(moved), "no further")

    return Typed(label, read, write, step)


def efficiency(label: str = "Efficiency") -> Typed:
    """Efficiency [-] from ``72 %``, ``72`` or ``0.72``."""

    def read(text: str, _: Units) -> float:
        value, unit = _number(text, "dimensionless", label)
        words = f"{share_text(SHARES[0])} to {share_text(SHARES[1])}"
        if unit == "-" and value > 1.0:
            value /= 100.0
        return _within(value, *SHARES, label, text, words)

    def step(value: float, steps: int, _: Units) -> float:
        moved = round(value + 0.01 * steps, 9)
        return _within(moved, *SHARES, label, share_text(moved), "no further")

    return Typed(label, read, lambda value, _: share_text(value), step)


# within what a file takes
REFERENCE_TEMPERATURE = physical("Reference temperature", "temperature", 233.15, 373.15)
REFERENCE_PRESSURE = physical("Reference pressure", "pressure", 50e3, 200e3)
DENSITY = physical("Density of the stated flow", "density", 0.2, 5.0)
EXDUCER = physical("Exducer diameter", "length", 0.015, 1.0)
INDUCER = physical("Inducer diameter", "length", 0.005, 1.0)
MAXIMUM_SPEED = physical("Maximum impeller speed", "speed", 2000.0, 600e3, 20.0)
STEP_UP = physical("Built-in step-up", "dimensionless", 0.5, 20.0)


@dataclass(frozen=True, slots=True)
class ReferencePair:
    """A reference state that is often met; common practice, no source.

    Parameters
    ----------
    words : str
        Its values.
    temperature : float
        Total temperature. [K]
    pressure : float
        Total pressure, absolute. [Pa]
    """

    words: str
    temperature: float
    pressure: float


_INCH_OF_MERCURY = 3386.389  # Pa, conventional, at 0 °C: NIST SP 811, appendix B
_PSI = 6894.757  # Pa: NIST SP 811, appendix B
PAIRS: tuple[ReferencePair, ...] = (
    ReferencePair("15 °C, 101.325 kPa", 288.15, 101325.0),
    ReferencePair("20 °C, 101.325 kPa", 293.15, 101325.0),
    ReferencePair("25 °C, 100 kPa", 298.15, 1e5),
    ReferencePair("25 °C, 101.325 kPa", 298.15, 101325.0),
    ReferencePair("85 °F, 13.95 psi", (85.0 + 459.67) * 5 / 9, 13.95 * _PSI),
    ReferencePair("545 °R, 28.4 inHg", 545.0 * 5 / 9, 28.4 * _INCH_OF_MERCURY),
)
"""Reference states offered."""
