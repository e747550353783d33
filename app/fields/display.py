"""Units in which quantities are shown: two systems, and a unit of the user's own for any kind."""

from __future__ import annotations

import math
from dataclasses import dataclass

from engine_model.errors import InputError
from engine_model.units import QUANTITIES, from_si


@dataclass(frozen=True, slots=True)
class Display:
    """How a kind of quantity is shown: unit, decimals and step of the arrow keys in each system."""

    si: str
    us: str
    si_decimals: int
    us_decimals: int
    si_step: float
    us_step: float


_DISPLAYS: dict[str, Display] = {
    "length": Display("mm", "in", 1, 3, 0.5, 0.02),
    "volume": Display("L", "cu in", 3, 1, 0.05, 2.0),
    "pressure": Display("kPa", "psi", 2, 2, 0.5, 0.1),
    "cylinder": Display("bar", "psi", 0, 0, 1.0, 20.0),
    "bound_pressure": Display("bar", "psi", 2, 1, 0.05, 0.5),
    "boost": Display("bar", "psi", 2, 1, 0.02, 0.2),
    "temperature": Display("°C", "°F", 1, 1, 1.0, 2.0),
    "temperature_difference": Display("K", "°F", 1, 1, 1.0, 2.0),
    "mass_flow": Display("kg/s", "lb/min", 4, 2, 0.005, 0.5),
    "volume_flow": Display("cc/min", "cc/min", 0, 0, 10.0, 10.0),
    "pump_flow": Display("L/h", "gal/h", 0, 1, 5.0, 1.0),
    "fuel_pressure": Display("bar", "psi", 2, 1, 0.1, 1.0),
    "power": Display("kW", "hp", 1, 1, 1.0, 1.0),
    "torque": Display("N m", "lb ft", 0, 0, 5.0, 5.0),
    "speed": Display("rpm", "rpm", 0, 0, 50.0, 50.0),
    "angle": Display("deg", "deg", 0, 0, 5.0, 5.0),
    "velocity": Display("m/s", "ft/s", 1, 1, 0.5, 1.0),
    "dimensionless": Display("-", "-", 3, 3, 0.01, 0.01),
    "altitude": Display("m", "ft", 0, 0, 50.0, 100.0),
    "octane": Display("-", "-", 1, 1, 1.0, 1.0),
    "share": Display("%", "%", 1, 1, 1.0, 1.0),
    "force": Display("N", "lbf", 0, 1, 5.0, 1.0),
    "inertia": Display("kg cm²", "lb in²", 2, 3, 0.1, 0.05),
    "mass_per_length": Display("g/m", "lb/ft", 1, 4, 0.5, 0.0005),
    "time": Display("s", "s", 2, 2, 0.01, 0.01),
    "density": Display("kg/m³", "lb/ft³", 3, 4, 0.01, 0.001),
    "fuel_flow": Display("g/s", "lb/h", 3, 2, 0.1, 1.0),
    "fuel_density": Display("kg/m³", "lb/ft³", 0, 1, 5.0, 0.5),
    "mass": Display("kg", "lb", 2, 2, 0.1, 0.2),
    "area": Display("m²", "sq in", 3, 0, 0.01, 10.0),
    "small_area": Display("cm²", "sq in", 1, 2, 1.0, 0.1),
    "coolant_flow": Display("L/min", "gal/min", 1, 2, 1.0, 0.2),
    "road_speed": Display("km/h", "mph", 0, 0, 5.0, 5.0),
    "duration": Display("s", "s", 1, 1, 1.0, 1.0),
    "small_power": Display("W", "W", 0, 0, 50.0, 50.0),
    "coolant_volume": Display("L", "gal", 2, 2, 0.5, 0.1),
    "vehicle_mass": Display("kg", "lb", 0, 0, 10.0, 20.0),
    "drag_area": Display("m²", "sq ft", 3, 2, 0.01, 0.1),
    "gear": Display("-", "-", 0, 0, 1.0, 1.0),
    "specific_fuel_consumption": Display("g/(kW h)", "lb/(hp h)", 0, 3, 1.0, 0.01),
}

_QUANTITIES = {
    "boost": "pressure",
    "bound_pressure": "pressure",
    "octane": "dimensionless",
    "cylinder": "pressure",
    "fuel_pressure": "pressure",
    "altitude": "length",
    "share": "dimensionless",
    "pump_flow": "volume_flow",
    "fuel_flow": "mass_flow",
    "fuel_density": "density",
    "coolant_flow": "volume_flow",
    "road_speed": "velocity",
    "duration": "time",
    "coolant_volume": "volume",
    "small_power": "power",
    "vehicle_mass": "mass",
    "drag_area": "area",
    "gear": "dimensionless",
    "small_area": "area",
}

NOTHING = "--"
"""Text of a number that cannot be computed."""

TRIMMED = ("octane",)
"""Kinds whose decimals are shown where they are not zero."""

LEFT_OUT = {"power": ("W",), "octane": ("%",)}
"""Units of a kind that nobody in a shop would choose."""

LEAST_DECIMALS, MOST_DECIMALS = -2, 5
"""Decimals outside which a unit is too fine or too coarse for a kind and not offered."""

_SPARE = 0.3
"""Share of a decimal given away before another is shown [-]."""


@dataclass(frozen=True, slots=True)
class UnitChoice:
    """Units of display: a system, and units of the user's own on top of it.

    Accepted wherever the name of a system is.

    Parameters
    ----------
    system : str
        ``si`` or ``us``.
    overrides : tuple of (str, str)
        Kind of display and symbol of its unit, such as ``("boost", "inHg")``.
    """

    system: str = "si"
    overrides: tuple[tuple[str, str], ...] = ()

    def __post_init__(self) -> None:
        if self.system not in ("si", "us"):
            raise InputError("system", self.system, "si or us")
        for kind, symbol in self.overrides:
            if kind not in _DISPLAYS:
                raise InputError("units", kind, "one of " + ", ".join(_DISPLAYS))
            if symbol not in units_of(kind):
                raise InputError(f"units.{kind}", symbol, "one of " + ", ".join(units_of(kind)))

    def own(self, kind: str) -> str | None:
        """Unit of the user's own for a kind, or nothing."""
        return dict(self.overrides).get(kind)

    def with_unit(self, kind: str, symbol: str | None) -> UnitChoice:
        """Return the choice with another unit for a kind; none goes back to the system's."""
        others = tuple(pair for pair in self.overrides if pair[0] != kind)
        return UnitChoice(self.system, others + (((kind, symbol),) if symbol else ()))


Units = str | UnitChoice
"""``si``, ``us``, or a choice of units."""


def kinds() -> tuple[str, ...]:
    """Kinds of display, in the order of their table."""
    return tuple(_DISPLAYS)


def display_of(kind: str) -> Display:
    """Units and decimals of a kind of display in the two systems, such as ``boost``."""
    return _DISPLAYS[kind]


def quantity_of(kind: str) -> str:
    """Physical quantity of a kind of display, such as ``pressure`` of ``boost``."""
    return _QUANTITIES.get(kind, kind)


def system_of(units: Units) -> str:
    """``si`` or ``us``."""
    return units.system if isinstance(units, UnitChoice) else units


def unit_of(kind: str, units: Units = "si") -> str:
    """Symbol of the unit in which a kind is shown."""
    if isinstance(units, UnitChoice):
        own = units.own(kind)
        if own is not None:
            return own
    display = _DISPLAYS[kind]
    return display.us if system_of(units) == "us" else display.si


def units_of(kind: str) -> tuple[str, ...]:
    """Symbols of the units in which a kind may be shown."""
    symbols = (unit.symbol for unit in QUANTITIES[quantity_of(kind)].units)
    known = (symbol for symbol in symbols if symbol not in LEFT_OUT.get(kind, ()))
    return tuple(s for s in known if LEAST_DECIMALS <= _decimals(kind, s) <= MOST_DECIMALS)


def _size(kind: str, symbol: str) -> float:
    """One display unit over one SI unit, without the zero of a temperature scale."""
    quantity = quantity_of(kind)
    return 1.0 / float(from_si(1.0, symbol, quantity) - from_si(0.0, symbol, quantity))


def _decimals(kind: str, symbol: str) -> int:
    """Decimals that resolve as much as the kind's SI unit does."""
    display = _DISPLAYS[kind]
    resolved = 10.0**-display.si_decimals * _size(kind, display.si) / _size(kind, symbol)
    return math.ceil(-math.log10(resolved) - _SPARE)


def decimals_of(kind: str, units: Units = "si") -> int:
    """Decimals of a kind in the unit in which it is shown."""
    display, symbol = _DISPLAYS[kind], unit_of(kind, units)
    us = system_of(units) == "us"
    if symbol == (display.us if us else display.si):
        return display.us_decimals if us else display.si_decimals
    return max(0, _decimals(kind, symbol))


def step_of(kind: str, units: Units = "si") -> float:
    """Step of the arrow keys for a kind, in the unit in which it is shown."""
    display, symbol = _DISPLAYS[kind], unit_of(kind, units)
    us = system_of(units) == "us"
    if symbol == (display.us if us else display.si):
        return display.us_step if us else display.si_step
    wanted = display.si_step * _size(kind, display.si) / _size(kind, symbol)
    power = 10.0 ** math.floor(math.log10(wanted))
    part = min((1.0, 2.0, 5.0, 10.0), key=lambda one: abs(math.log(one * power / wanted)))
    return max(part * power, 10.0 ** -max(0, _decimals(kind, symbol)))


def show(value: float, kind: str, units: Units = "si", *, unit: bool = True) -> str:
    """Text of an SI value as a kind of display, such as ``0.55 bar``."""
    if value != value:
        return NOTHING
    symbol = unit_of(kind, units)
    number = float(from_si(value, symbol, quantity_of(kind)))
    text = f"{number:.{decimals_of(kind, units)}f}"
    if kind in TRIMMED:
        text = text.rstrip("0").rstrip(".")
    if float(text) == 0.0:
        text = text.lstrip("-")
    return f"{text} {symbol}" if unit and symbol != "-" else text
