"""The table of edge units: every unit the program reads or shows, one row each.

Inside the program everything is SI, but engine and rotor speeds are in rpm and angles in degrees,
as their keys in files say (``_rpm``, ``_deg``). "SI value" below means in `Quantity.canonical`.
A new unit is one row of `UNITS`, its factor written as the definition, with the source.

References
----------
.. [1] A. Thompson and B. N. Taylor, Guide for the Use of the International System of Units,
   NIST SP 811, 2008, appendix B.
.. [2] Refinement of values for the yard and the pound, Federal Register 24 FR 5348, 1959.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit of one quantity: SI value = (value + offset) * factor.

    An alias stands for its variants by space, dot, hyphen, product sign, superscript, ``^``
    ("lb ft", "lb-ft", "lb·ft"), and by case unless `exact_case` is set.
    """

    symbol: str
    quantity: str
    factor: float
    offset: float = 0.0
    aliases: tuple[str, ...] = ()
    source: str = "decimal multiple of an SI unit"
    exact_case: bool = False


@dataclass(frozen=True, slots=True)
class Quantity:
    """A physical quantity, its canonical unit, and the suffix of its keys in files."""

    name: str
    noun: str
    canonical: str
    key_suffix: str
    units: tuple[Unit, ...]


_INCH = 0.0254  # m, exact: international inch, 1959 [2]
_FOOT = 0.3048  # m, exact: 12 inches [2]
_POUND = 0.45359237  # kg, exact: international pound, 1959 [2]
_GRAVITY = 9.80665  # m/s2, exact: standard acceleration of free fall [1]
_LBF = _POUND * _GRAVITY  # N: pound-force
_PSI = _LBF / _INCH**2  # Pa: pound-force per square inch
_MMHG = 13595.1 * _GRAVITY * 1e-3  # Pa: conventional millimetre of mercury, 13 595.1 kg/m3 [1]
_INH2O = 1000.0 * _GRAVITY * _INCH  # Pa: conventional inch of water (4 degC), 1000 kg/m3 [1]
_HORSEPOWER = 550.0 * _FOOT * _LBF  # W: 550 ft lbf/s [1]
_GALLON = 231.0 * _INCH**3  # m3, exact: US liquid gallon, 231 cubic inches [1]
_YARD_POUND = "from the international inch or pound of 1959 [2]"
_NIST = "NIST SP 811, appendix B [1]"
_SI = "SI unit"

# fmt: off
UNITS: tuple[Unit, ...] = (
    Unit("m", "length", 1.0, 0.0, ("metre", "meter", "metres", "meters"), _SI, exact_case=True),
    Unit("mm", "length", 1e-3),
    Unit("cm", "length", 1e-2),
    Unit("in", "length", _INCH, 0.0, ('"', "''", "inch", "inches"), _YARD_POUND),
    Unit("ft", "length", _FOOT, 0.0, ("'", "foot", "feet"), _YARD_POUND),
    Unit("m²", "area", 1.0, 0.0, (), _SI),
    Unit("cm²", "area", 1e-4, 0.0, ("sq cm",)),
    Unit("sq in", "area", _INCH**2, 0.0, ("in2",), _YARD_POUND),
    Unit("sq ft", "area", _FOOT**2, 0.0, ("ft2",), _YARD_POUND),
    Unit("m³", "volume", 1.0, 0.0, (), _SI),
    Unit("L", "volume", 1e-3, 0.0, ("litre", "liter", "litres", "liters", "dm3")),
    Unit("cc", "volume", 1e-6, 0.0, ("cm3", "ccm", "mL")),
    Unit("cu in", "volume", _INCH**3, 0.0, ("in3", "ci", "cid"), _YARD_POUND),
    Unit("gal", "volume", _GALLON, 0.0, ("gallon", "gallons", "US gal"), _NIST),
    Unit("Pa", "pressure", 1.0, 0.0, (), _SI),
    Unit("kPa", "pressure", 1e3),
    Unit("MPa", "pressure", 1e6, exact_case=True),
    Unit("bar", "pressure", 1e5, 0.0, (), _NIST),
    Unit("mbar", "pressure", 1e2, 0.0, (), _NIST),
    Unit("hPa", "pressure", 1e2),
    Unit("psi", "pressure", _PSI, 0.0, ("lbf/in2", "lb/in2"), _YARD_POUND),
    Unit("inHg", "pressure", 25.4 * _MMHG, 0.0, ('"Hg',), _NIST),
    Unit("mmHg", "pressure", _MMHG, 0.0, (), _NIST),
    Unit("inH2O", "pressure", _INH2O, 0.0, ('"H2O',), _NIST),
    Unit("atm", "pressure", 101325.0, 0.0, (), _NIST),
    Unit("K", "temperature", 1.0, 0.0, ("kelvin",), _SI),
    Unit("°C", "temperature", 1.0, 273.15, ("C", "degC", "celsius"), _NIST),
    Unit("°F", "temperature", 5 / 9, 459.67, ("F", "degF", "fahrenheit"), _NIST),
    Unit("K", "temperature_difference", 1.0, 0.0, ("kelvin",), _SI),
    Unit("°C", "temperature_difference", 1.0, 0.0, ("C", "degC", "celsius"), _NIST),
    Unit("°F", "temperature_difference", 5 / 9, 0.0, ("F", "degF", "fahrenheit"), _NIST),
    Unit("kg/s", "mass_flow", 1.0, 0.0, (), _SI),
    Unit("g/s", "mass_flow", 1e-3),
    Unit("kg/h", "mass_flow", 1 / 3600, 0.0, ("kg/hr",), _NIST),
    Unit("lb/min", "mass_flow", _POUND / 60, 0.0, ("lbs/min", "lbm/min"), _YARD_POUND),
    Unit("lb/s", "mass_flow", _POUND, 0.0, ("lbs/s", "lbm/s", "lb/sec"), _YARD_POUND),
    Unit("lb/h", "mass_flow", _POUND / 3600, 0.0, ("lb/hr", "lbs/h", "lbs/hr", "pph"), _YARD_POUND),
    Unit("m³/s", "volume_flow", 1.0, 0.0, (), _SI),
    Unit("m³/h", "volume_flow", 1 / 3600, 0.0, ("m3/hr",), _NIST),
    Unit("m³/min", "volume_flow", 1 / 60, 0.0, (), _NIST),
    Unit("cfm", "volume_flow", _FOOT**3 / 60, 0.0, ("ft3/min", "cu ft/min"), _YARD_POUND),
    Unit("L/min", "volume_flow", 1e-3 / 60, 0.0, ("lpm",), _NIST),
    Unit("L/h", "volume_flow", 1e-3 / 3600, 0.0, ("L/hr", "lph"), _NIST),
    Unit("gal/h", "volume_flow", _GALLON / 3600, 0.0, ("gal/hr", "gph"), _NIST),
    Unit("gal/min", "volume_flow", _GALLON / 60, 0.0, ("gpm", "US gal/min"), _NIST),
    Unit("cc/min", "volume_flow", 1e-6 / 60, 0.0, ("cm3/min", "ccm/min", "mL/min"), _NIST),
    Unit("W", "power", 1.0, 0.0, ("watt",), _SI),
    Unit("kW", "power", 1e3),
    Unit("hp", "power", _HORSEPOWER, 0.0, ("bhp", "horsepower"), _NIST),
    Unit("PS", "power", 75.0 * _GRAVITY, 0.0, ("cv", "CV"), _NIST, exact_case=True),
    Unit("N m", "torque", 1.0, 0.0, (), _SI),
    Unit("lb ft", "torque", _FOOT * _LBF, 0.0, ("lbf ft", "lbs ft", "ft lb", "ft lbf", "ft lbs"),
         _YARD_POUND),
    Unit("kgf m", "torque", _GRAVITY, 0.0, ("m kgf",), _NIST),
    Unit("rpm", "speed", 1.0, 0.0, ("", "1/min", "/min", "min-1", "r/min", "rev/min"), _NIST),
    Unit("deg", "angle", 1.0, 0.0, ("°", "degree", "degrees"), _NIST),
    Unit("rad", "angle", 180.0 / math.pi, 0.0, ("radian", "radians"), _SI),
    Unit("kg", "mass", 1.0, 0.0, (), _SI),
    Unit("g", "mass", 1e-3),
    Unit("lb", "mass", _POUND, 0.0, ("lbs", "lbm"), _YARD_POUND),
    Unit("J/kg", "energy_per_mass", 1.0, 0.0, (), _SI),
    Unit("kJ/kg", "energy_per_mass", 1e3),
    Unit("MJ/kg", "energy_per_mass", 1e6, exact_case=True),
    Unit("Btu/lb", "energy_per_mass", 2326.0, 0.0, (), "International Table, exact [1]"),
    Unit("kg/m³", "density", 1.0, 0.0, (), _SI),
    Unit("g/cc", "density", 1e3, 0.0, ("g/cm3", "g/mL", "kg/L")),
    Unit("lb/ft³", "density", _POUND / _FOOT**3, 0.0, ("lbs/ft3", "lb/cu ft"), _YARD_POUND),
    Unit("m/s", "velocity", 1.0, 0.0, (), _SI),
    Unit("km/h", "velocity", 1 / 3.6, 0.0, ("kph", "kmh", "km/hr"), _NIST),
    Unit("mph", "velocity", 5280 * _FOOT / 3600, 0.0, ("mi/h",), _YARD_POUND),
    Unit("ft/s", "velocity", _FOOT, 0.0, ("fps", "ft/sec"), _YARD_POUND),
    Unit("ft/min", "velocity", _FOOT / 60, 0.0, ("fpm",), _YARD_POUND),
    Unit("N", "force", 1.0, 0.0, (), _SI),
    Unit("lbf", "force", _LBF, 0.0, (), _YARD_POUND),
    Unit("kgf", "force", _GRAVITY, 0.0, ("kp",), _NIST),
    Unit("kg m²", "inertia", 1.0, 0.0, (), _SI),
    Unit("kg cm²", "inertia", 1e-4),
    Unit("lb ft²", "inertia", _POUND * _FOOT**2, 0.0, ("lbm ft2",), _YARD_POUND),
    Unit("lb in²", "inertia", _POUND * _INCH**2, 0.0, ("lbm in2",), _YARD_POUND),
    Unit("kg/m", "mass_per_length", 1.0, 0.0, (), _SI),
    Unit("g/m", "mass_per_length", 1e-3),
    Unit("lb/ft", "mass_per_length", _POUND / _FOOT, 0.0, ("lbs/ft", "lbm/ft"), _YARD_POUND),
    Unit("-", "dimensionless", 1.0, 0.0, ("",), "plain number"),
    Unit("%", "dimensionless", 1e-2, 0.0, ("percent",), _NIST),
    Unit("s", "time", 1.0, 0.0, ("sec", "second", "seconds"), _SI),
    Unit("ms", "time", 1e-3),
    Unit("min", "time", 60.0, 0.0, ("minute", "minutes"), _NIST),
    Unit("kg/J", "specific_fuel_consumption", 1.0, 0.0, (), _SI),
    Unit("g/(kW h)", "specific_fuel_consumption", 1e-3 / 3.6e6, 0.0, ("g/kWh", "g/kW/h"), _NIST),
    Unit("lb/(hp h)", "specific_fuel_consumption", _POUND / (_HORSEPOWER * 3600), 0.0,
         ("lb/hp h", "lb/hp hr", "lb/(hp hr)", "lb/bhp h", "lb/bhp hr"), _YARD_POUND),
)
# fmt: on

_QUANTITY_ROWS = (
    ("length", "a length", "_m"),
    ("area", "an area", "_m2"),
    ("volume", "a volume", "_m3"),
    ("pressure", "a pressure", "_pa"),
    ("temperature", "a temperature", "_k"),
    ("temperature_difference", "a temperature difference", "_k"),
    ("mass_flow", "a mass flow", "_kg_s"),
    ("volume_flow", "a volume flow", "_m3_s"),
    ("power", "a power", "_w"),
    ("torque", "a torque", "_nm"),
    ("speed", "an engine or rotor speed", "_rpm"),
    ("angle", "an angle", "_deg"),
    ("mass", "a mass", "_kg"),
    ("energy_per_mass", "an energy per mass", "_j_kg"),
    ("density", "a density", "_kg_m3"),
    ("velocity", "a velocity", "_m_s"),
    ("force", "a force", "_n"),
    ("inertia", "a moment of inertia", "_kg_m2"),
    ("mass_per_length", "a mass per length", "_kg_m"),
    ("dimensionless", "a plain number or share", ""),
    ("time", "a time", "_s"),
    ("specific_fuel_consumption", "a specific fuel consumption", "_kg_j"),
)


def _quantity(name: str, noun: str, key_suffix: str) -> Quantity:
    units = tuple(unit for unit in UNITS if unit.quantity == name)
    return Quantity(name, noun, units[0].symbol, key_suffix, units)


QUANTITIES: Mapping[str, Quantity] = MappingProxyType(
    {row[0]: _quantity(*row) for row in _QUANTITY_ROWS}
)
