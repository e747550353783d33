"""*Why*: the steps of a match as rows in display units, with equation, numbers and source."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from app.fields import NOTHING, Units, show, system_of, unit_of
from engine_model.results import STEP_UNITS, Step, StepNumber
from engine_model.units import from_si

ASSUMED_MARK = "\u25cb"
"""Hollow dot of an input that nobody has set."""

STATION_TITLES: dict[str, str] = {
    "0 day": "0 Day",
    "0→1 inlet": "0→1 Filter and duct",
    "drive": "Drive",
    "1→2 compressor": "1→2 Compressor",
    "2→3 charge cooler": "2→3 Charge cooler",
    "stock engine": "Stock engine",
    "3→4 engine": "3→4 Engine",
    "fuel": "Fuel system",
    "burn": "Burn (estimate)",
    "crankshaft": "Crankshaft",
    "limits": "Limits",
}
"""Heading of each station."""

STEP_OF_ENTRY: dict[str, str] = {
    "impeller_speed": "drive.impeller_without_slip",
    "impeller_speed_over_rev": "drive.impeller_without_slip",
    "tip_speed": "limits.tip_speed",
    "surge_margin": "limits.surge_margin_low",
    "choke_margin": "limits.choke_margin",
    "charge_temperature": "charge.temperature",
    "inlet_depression": "limits.inlet_depression",
    "piston_speed": "limits.piston_speed",
    "boost": "charge.boost",
    "belt_grip": "belt.grip_used",
    "belt_slip": "belt.slip",
    "belt_tension": "belt.tight_side",
    "belt_speed": "belt.speed",
    "smallest_pulley": "drive.pulley_ratio",
    "hub_load": "belt.tight_side",
    "belt_shift": "belt.grip",
    "same_belt": "drive.pulley_ratio",
    "injector_duty": "fuel.injector_duty",
    "fuel_pump": "fuel.pump_flow",
    "torque": "crank.torque",
    "power_bound": "crank.flywheel_power",
    "exhaust_pressure": "engine.exhaust_pressure",
    "manifold_sensor": "charge.pressure",
    "air_meter": "engine.air_flow",
    "knock_retard": "burn.octane_without_retard",
    "cylinder_pressure": "burn.octane_without_retard",
    "target_power": "crank.wheel_power",
    "share_off_map": "compressor.place",
    "power_sanity": "limits.fuel_consumption",
    "map_quality": "compressor.efficiency",
}
"""Step that an entry of the ledger is judged on, by code."""

# kinds that no input has, and so not in the table of fields
_MORE: dict[str, tuple[str, str]] = {"energy_per_mass": ("kJ/kg", "Btu/lb")}
_SIGNIFICANT = 4


@dataclass(frozen=True, slots=True)
class WhyRow:
    """One step as a row.

    Parameters
    ----------
    station : str
        Heading it stands under.
    key : str
        Stable name of the step.
    title : str
        Name of the quantity.
    symbol : str
        Its letter.
    value_text : str
        Value with its unit.
    equation : str
        Equation; ``_`` before a subscript, ``^`` before a power.
    numbers_text : str
        What was put in, a line a number.
    source : str
        Where the equation comes from.
    note : str
        What else must be said; mostly empty.
    """

    station: str
    key: str
    title: str
    symbol: str
    value_text: str
    equation: str
    numbers_text: str
    source: str
    note: str

    @property
    def detail(self) -> str:
        """Everything under the row, as plain text."""
        parts = (self.note, self.equation, self.numbers_text, f"Source: {self.source}")
        return "\n".join(part for part in parts if part)


_GREEK = {
    "eta": "\N{GREEK SMALL LETTER ETA}",
    "lambda": "\N{GREEK SMALL LETTER LAMDA}",
    "rho": "\N{GREEK SMALL LETTER RHO}",
    "eps": "\N{GREEK SMALL LETTER EPSILON}",
    "mu": "\N{GREEK SMALL LETTER MU}",
    "pi": "\N{GREEK SMALL LETTER PI}",
}
_LETTER = re.compile(r"\b(" + "|".join(_GREEK) + r")(?![A-Za-z])")
_CHANGE = re.compile(r"\bd([pThP])(?![A-Za-z])")


def written(text: str) -> str:
    """Equation in the letters of a blackboard: Greek, signs of difference, root and minus."""
    text = _LETTER.sub(lambda found: _GREEK[found[1]], text)
    text = _CHANGE.sub("\N{GREEK CAPITAL LETTER DELTA}\\1", text)
    return text.replace("sqrt(", "\u221a(").replace("-", "\N{MINUS SIGN}")


def _four_digits(value: float) -> str:
    """Four digits that count, without a power of ten."""
    if value == 0.0:
        return "0"
    decimals = _SIGNIFICANT - 1 - math.floor(math.log10(abs(value)))
    return f"{value:.{max(decimals, 0)}f}"


def value_text(value: float, kind: str, units: Units = "si") -> str:
    """Text of the value of a step, with its unit; plain numbers to four digits."""
    if math.isnan(value):
        return NOTHING
    if kind in _MORE:
        unit = _MORE[kind][system_of(units) == "us"]
        return f"{_four_digits(float(from_si(value, unit, kind)))} {unit}"
    if kind == "dimensionless":
        text = _four_digits(value)
        return text.rstrip("0").rstrip(".") if "." in text else text
    if kind == "specific_heat":
        return f"{_four_digits(value)} {STEP_UNITS[kind]}"
    return show(value, kind, units)


def _in_equation(number: StepNumber, units: Units) -> str:
    """A number as shown, with the SI value behind it where the equation needs another."""
    text = value_text(number.value, number.kind, units)
    si = value_text(number.value, number.kind)
    if number.kind == "temperature":
        unit = unit_of("temperature", units)
        si = text if unit == "K" else f"{number.value:.2f} K"
    behind = f" ({si})" if si != text and text != NOTHING else ""
    mark = f" {ASSUMED_MARK}" if number.assumed else ""
    return f"{written(number.symbol)} = {text}{behind}{mark}"


def why_row(step: Step, units: Units = "si") -> WhyRow:
    """Row of one step, in the units chosen."""
    return WhyRow(
        STATION_TITLES[step.station],
        step.key,
        step.quantity,
        written(step.symbol),
        value_text(step.value, step.kind, units),
        written(step.equation),
        "\n".join(_in_equation(number, units) for number in step.numbers),
        step.source,
        step.note,
    )


def why_rows(steps: tuple[Step, ...], units: Units = "si") -> tuple[WhyRow, ...]:
    """Rows of steps in their order, in the units chosen."""
    return tuple(why_row(step, units) for step in steps)


def why_text(rows: tuple[WhyRow, ...], title: str = "") -> str:
    """All rows as plain text, to copy."""
    lines = [title] if title else []
    station = ""
    for row in rows:
        if row.station != station:
            station = row.station
            lines += ["", station]
        lines.append(f"{row.title}: {row.symbol} = {row.value_text}")
        lines += [f"    {line}" for line in row.detail.split("\n")]
    return "\n".join(lines).lstrip("\n")
