"""Edge units: every row of the table against pint and references; texts and their way back."""

from __future__ import annotations

import functools
import json
import math
from pathlib import Path

import numpy as np
import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine_model.units import (
    QUANTITIES,
    UNITS,
    Unit,
    format_quantity,
    from_si,
    parse_quantity,
    to_si,
)

REFERENCE = Path(__file__).parent / "references" / "units.json"
CASES = json.loads(REFERENCE.read_text("utf-8"))["cases"]

# Our symbol in pint's words, where they differ; the canonical unit of each quantity likewise.
PINT_NAMES = {
    "cc": "cm^3",
    "cu in": "inch^3",
    "m²": "m^2",
    "cm²": "cm^2",
    "sq in": "inch^2",
    "sq ft": "foot^2",
    "gal/min": "gallon/min",
    "gal": "gallon",
    "m³": "m^3",
    "°C": "degC",
    "°F": "degF",
    "m³/s": "m^3/s",
    "m³/h": "m^3/h",
    "m³/min": "m^3/min",
    "cfm": "ft^3/min",
    "cc/min": "cm^3/min",
    "hp": "horsepower",
    "PS": "metric_horsepower",
    "N m": "N*m",
    "lb ft": "lbf*ft",
    "kgf m": "kgf*m",
    "Btu/lb": "Btu_it/lb",  # pint's plain Btu is the ISO one
    "kg/m³": "kg/m^3",
    "g/cc": "g/cm^3",
    "lb/ft³": "lb/ft^3",
    "kg m²": "kg*m^2",
    "lb ft²": "lb*ft^2",
    "-": "dimensionless",
    "%": "percent",
    "g/(kW h)": "g/(kW*h)",
    "lb/(hp h)": "lb/(horsepower*h)",
}
DIFFERENCES = {"K": "kelvin", "°C": "delta_degC", "°F": "delta_degF"}


@functools.cache
def registry() -> pint.UnitRegistry:
    return pint.UnitRegistry()


def pint_name(symbol: str, quantity: str) -> str:
    if quantity == "temperature_difference":
        return DIFFERENCES[symbol]
    return PINT_NAMES.get(symbol, symbol)


def row_name(unit: Unit) -> str:
    return f"{unit.quantity}-{unit.symbol}"


every_row = pytest.mark.parametrize("unit", UNITS, ids=row_name)
moderate = st.floats(-1e6, 1e6, allow_subnormal=False)
quick = settings(max_examples=25, deadline=None, database=None)


@every_row
@quick
@given(value=moderate)
def test_row_agrees_with_pint_both_ways(unit: Unit, value: float) -> None:
    canonical = pint_name(QUANTITIES[unit.quantity].canonical, unit.quantity)
    name = pint_name(unit.symbol, unit.quantity)
    # identities: 1e-12; a temperature with its offset cannot be closer than the eps of 1e6 K
    close = functools.partial(
        math.isclose, rel_tol=1e-12, abs_tol=1e-9 if unit.quantity == "temperature" else 1e-290
    )
    inside = registry().Quantity(value, name).to(canonical).magnitude
    assert close(to_si(value, unit.symbol, unit.quantity), inside)
    outside = registry().Quantity(value, canonical).to(name).magnitude
    assert close(from_si(value, unit.symbol, unit.quantity), outside)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["id"])
def test_reference(case: dict[str, object]) -> None:
    inside = to_si(case["value"], case["from"], case["quantity"])
    result = from_si(inside, case["to"], case["quantity"]) / case.get("over_density", 1.0)
    assert result == pytest.approx(case["expected"], rel=case["rel_tol"], abs=0.0)


def test_all_reference_rows_are_there() -> None:
    assert sum(case["source"].startswith("pint") for case in CASES) == 16
    assert {"unit_lbmin", "unit_lbmin_volume", "inH2O"} <= {case["id"] for case in CASES}


def test_definitions() -> None:
    # Printed digits of NIST SP 811 (2008), appendix B.8; half a unit of the last digit.
    printed = [
        ("psi", "pressure", 6894.757, 5e-4),
        ("inHg", "pressure", 3386.389, 5e-4),
        ("mmHg", "pressure", 133.3224, 5e-5),
        ("inH2O", "pressure", 249.0889, 5e-5),
        ("hp", "power", 745.6999, 5e-5),
        ("PS", "power", 735.4988, 5e-5),
        ("lb ft", "torque", 1.355818, 5e-7),
        ("lb/ft3", "density", 16.01846, 5e-6),
        ("lb ft2", "inertia", 0.04214011, 5e-9),
        ("cu in", "volume", 1.638706e-5, 5e-12),
        ("gal", "volume", 3.785412e-3, 5e-10),
        ("mph", "velocity", 0.44704, 1e-15),
        ("ft/min", "velocity", 0.00508, 1e-17),
        ("lb/(hp h)", "specific_fuel_consumption", 1.689659e-7, 5e-14),
    ]
    for symbol, quantity, value, half_digit in printed:
        assert to_si(1.0, symbol, quantity) == pytest.approx(value, rel=0.0, abs=half_digit), symbol


@every_row
def test_every_spelling_reads_as_its_row(unit: Unit) -> None:
    bases = {"": None, " g": "gauge", "g": "gauge", " a": "absolute", " abs": "absolute"}
    suffixes = bases if unit.quantity == "pressure" else {"": None}
    for spelling in (unit.symbol, *unit.aliases):
        for suffix, basis in suffixes.items():
            parsed = parse_quantity(f"2 {spelling}{suffix}", unit.quantity)
            assert parsed.unit_symbol == unit.symbol
            assert parsed.pressure_basis == basis
            assert parsed.value_si == (2.0 + unit.offset) * unit.factor


def test_no_two_rows_share_a_spelling_in_any_case() -> None:
    for quantity in QUANTITIES.values():
        spellings = [
            {text.casefold().replace(" ", "") for text in (unit.symbol, *unit.aliases)}
            for unit in quantity.units
        ]
        assert len(set().union(*spellings)) == sum(map(len, spellings)), quantity.name


def test_quantities_hold_every_row_and_a_canonical_unit() -> None:
    assert sum(len(quantity.units) for quantity in QUANTITIES.values()) == len(UNITS)
    suffixes = [quantity.key_suffix for quantity in QUANTITIES.values()]
    assert sorted({s for s in suffixes if suffixes.count(s) > 1}) == ["_k"]
    for name, quantity in QUANTITIES.items():
        canonical = quantity.units[0]
        assert quantity.name == name
        assert (canonical.symbol, canonical.factor, canonical.offset) == (quantity.canonical, 1, 0)
    keys = {"length": "_m", "pressure": "_pa", "temperature": "_k", "mass_flow": "_kg_s"}
    keys |= {"power": "_w", "torque": "_nm", "speed": "_rpm", "angle": "_deg"}
    assert {name: QUANTITIES[name].key_suffix for name in keys} == keys


@every_row
@quick
@given(shown=moderate, decimals=st.integers(0, 9))
def test_formatted_text_is_read_back(unit: Unit, shown: float, decimals: int) -> None:
    value_si = to_si(shown, unit.symbol, unit.quantity)
    text = format_quantity(value_si, unit.quantity, unit.symbol, decimals)
    parsed = parse_quantity(text, unit.quantity)
    assert parsed.unit_symbol == unit.symbol
    # half a unit of the last digit, and the rounding of a value of 1e6
    half_digit = 0.5 * 10.0**-decimals + 1e-9
    assert abs(parsed.value_si - value_si) <= half_digit * unit.factor * (1 + 1e-9)


@pytest.mark.parametrize(
    ("value_si", "quantity", "unit", "decimals", "text"),
    [
        (0.084582, "length", "in", 2, "3.33 in"),
        (55158.05834534691, "pressure", "psi", 1, "8.0 psi"),
        (55158.05834534691, "pressure", "psig", 1, "8.0 psi gauge"),
        (110000.0, "pressure", "bar abs", 2, "1.10 bar abs"),
        (293.15, "temperature", "F", 0, "68 °F"),
        (268.15, "temperature", "°C", 1, "-5.0 °C"),
        (273.15 - 1e-4, "temperature", "°C", 1, "0.0 °C"),
        (0.15, "dimensionless", "%", 0, "15 %"),
        (0.15, "dimensionless", "-", 2, "0.15"),
        (math.nan, "length", "mm", 1, "nan mm"),
    ],
)
def test_format(value_si: float, quantity: str, unit: str, decimals: int, text: str) -> None:
    assert format_quantity(value_si, quantity, unit, decimals) == text


def test_pressure_basis_survives_a_round_trip() -> None:
    for unit, basis in (("psig", "gauge"), ("bar abs", "absolute"), ("kPa", None)):
        text = format_quantity(120000.0, "pressure", unit, 4)
        assert parse_quantity(text, "pressure").pressure_basis == basis


def test_arrays_keep_their_shape() -> None:
    fahrenheit = np.array([[32.0, 68.0], [212.0, -40.0]])
    kelvin = to_si(fahrenheit, "°F", "temperature")
    np.testing.assert_allclose(kelvin, [[273.15, 293.15], [373.15, 233.15]], rtol=1e-14)
    np.testing.assert_allclose(from_si(kelvin, "°F", "temperature"), fahrenheit, atol=1e-10)
