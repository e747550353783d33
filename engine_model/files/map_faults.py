"""Faults of a compressor map beyond its structure: every one, each a sentence with its place."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import log, pi
from typing import Any, Final

from engine_model.constants import GAS_CONSTANT_DRY_AIR
from engine_model.errors import Fault
from engine_model.files.curves import Chart, chart_of
from engine_model.files.island_faults import island_faults
from engine_model.files.line_faults import limit_faults, line_faults
from engine_model.files.reading import describe
from engine_model.files.trace_faults import trace_faults
from engine_model.units import QUANTITIES, to_si

_TEMPERATURE_RANGE: Final = (233.15, 373.15)
_PRESSURE_RANGE: Final = (50e3, 200e3)
_STANDARD_PRESSURES: Final = (95e3, 103e3)
_DIAMETER_RANGE: Final = (0.015, 1.0)
_SPEED_LIMIT_RANGE: Final = (2000.0, 6e5)
_STEP_UP_RANGE: Final = (0.5, 20.0)

LARGEST_TIP_SPEED: Final = 700.0
"""Tip speed no impeller stands [m/s]; chosen here."""

FLOW_COEFFICIENT_RANGE: Final = (0.01, 0.35)
"""Flow over density, tip speed and diameter squared at the top line [-]; chosen here."""

_USUAL_COEFFICIENT: Final = 0.08
LARGEST_FLOW_UNSIZED: Final = 3.0
"""Corrected flow believed of a blower of unknown diameter [kg/s]; chosen here."""


def map_faults(document: dict[str, Any], where: str = "") -> Iterator[Fault]:
    """Faults of a map's document beyond its structure.

    Parameters
    ----------
    document : dict
        The document, its structure sound; parts at fault may be absent, list items None.
    where : str
        Place of the map in its file, with the dot.

    Yields
    ------
    Fault
        One a fault.
    """
    chart = chart_of(document)
    for faults in (
        _reference(document),
        _impeller(document, chart),
        chart.faults,
        line_faults(document, chart),
        limit_faults(chart),
        island_faults(document, chart),
        trace_faults(document.get("trace")),
    ):
        for fault in faults:
            yield replace(fault, where=where + fault.where)


def _reference(document: dict[str, Any]) -> Iterator[Fault]:
    reference = document.get("reference") or {}
    temperature, pressure = reference.get("temperature_k"), reference.get("pressure_pa")
    low, high = _TEMPERATURE_RANGE
    if temperature is not None and not low <= temperature <= high:
        words = f"{low:g} to {high:g} K"
        for unit, least, most in (("°C", -30.0, 45.0), ("°F", 45.0, 110.0)):
            if least <= temperature < most:
                kelvin = to_si(float(temperature), unit, "temperature")
                words += f"; {temperature:g} {unit} is {kelvin:.2f} K"
        yield Fault("reference.temperature_k", describe(temperature), words)
    low, high = _PRESSURE_RANGE
    if pressure is not None and not low <= pressure <= high:
        words = f"{low:g} to {high:g} Pa"
        for unit in ("kPa", "bar", "mbar", "psi", "inHg", "mmHg"):
            pascal = to_si(float(pressure), unit, "pressure")
            if _STANDARD_PRESSURES[0] <= pascal <= _STANDARD_PRESSURES[1]:
                words += f"; {pressure:g} {unit} is {pascal:.0f} Pa"
        yield Fault("reference.pressure_pa", describe(pressure), words)


def _impeller(document: dict[str, Any], chart: Chart) -> Iterator[Fault]:
    impeller = document.get("impeller") or {}
    sound: dict[str, float] = {}
    low, high = _DIAMETER_RANGE
    for key in ("exducer_diameter_m", "inducer_diameter_m"):
        value = impeller.get(key)
        if value is None:
            continue
        if low <= value <= high:
            sound[key] = value
            continue
        words = f"{low:g} to {high:g} m"
        if low <= value / 1000.0 <= high:
            words += f"; {value:g} mm is {value / 1000.0:.6g} m"
        yield Fault(f"impeller.{key}", describe(value), words)
    outer, inner = sound.get("exducer_diameter_m"), sound.get("inducer_diameter_m")
    if outer is not None and inner is not None and inner >= outer:
        yield Fault(
            "impeller.inducer_diameter_m",
            f"{inner:g} m with an exducer of {outer:g} m",
            "an inducer smaller than the exducer",
        )
    low, high = _SPEED_LIMIT_RANGE
    limit = impeller.get("maximum_speed_rpm")
    if limit is not None and not low <= limit <= high:
        words = f"{low:g} to {high:.0f} rpm"
        if 0.0 < limit < low:
            words += f"; a speed in thousands of rpm is written out ({limit * 1000:.10g})"
        yield Fault("impeller.maximum_speed_rpm", describe(limit), words)
    low, high = _STEP_UP_RANGE
    step_up = document.get("built_in_step_up")
    if step_up is not None and not low <= step_up <= high:
        yield Fault("built_in_step_up", describe(step_up), f"{low:g} to {high:g}")
    yield from _size(document, chart, outer)


def _size(document: dict[str, Any], chart: Chart, diameter: float | None) -> Iterator[Fault]:
    """Tip speed and flow of the top speed line against the impeller's size."""
    low, high = _SPEED_LIMIT_RANGE
    judged = [(n, s, c) for n, s, c in chart.lines if s is not None and low <= s <= high]
    if diameter is None:
        flows = [(float(curve.flow.max()), number) for number, _, curve in chart.lines]
        most, number = max(flows, default=(0.0, 0))
        if most > LARGEST_FLOW_UNSIZED:
            allowed = (
                f"up to {LARGEST_FLOW_UNSIZED:g} kg/s where impeller.exducer_diameter_m is not"
                f" given; {most:.4g} lb/min is {to_si(most, 'lb/min', 'mass_flow'):.4g} kg/s"
            )
            yield Fault(f"speed_lines[{number}].points", f"flows up to {most:.4g} kg/s", allowed)
        return
    if not judged:
        return
    number, speed, curve = max(judged, key=lambda one: one[1])
    tip_speed = pi * diameter * speed / 60.0
    if tip_speed > LARGEST_TIP_SPEED:
        value = f"{diameter:g} m at {speed:.10g} rpm, a tip speed of {tip_speed:.0f} m/s"
        allowed = f"a tip speed up to {LARGEST_TIP_SPEED:g} m/s"
        yield Fault("impeller.exducer_diameter_m", value, allowed)
        return
    density = _density(document)
    if density is None:
        return
    most = float(curve.flow.max())
    coefficient = most / (density * tip_speed * diameter**2)
    low, high = FLOW_COEFFICIENT_RANGE
    if not low <= coefficient <= high:
        value = f"flows up to {most:.4g} kg/s, a flow coefficient of {coefficient:.3g}"
        allowed = f"a flow coefficient of {low:g} to {high:g} with this impeller"
        unit = _slipped_unit(coefficient)
        if unit:
            allowed += f"; in {unit} the flows would fit"
        yield Fault(f"speed_lines[{number}].points", value, allowed)


def _density(document: dict[str, Any]) -> float | None:
    reference = document.get("reference") or {}
    temperature, pressure = reference.get("temperature_k"), reference.get("pressure_pa")
    if temperature is None or pressure is None:
        return None
    sound = (
        _TEMPERATURE_RANGE[0] <= temperature <= _TEMPERATURE_RANGE[1]
        and _PRESSURE_RANGE[0] <= pressure <= _PRESSURE_RANGE[1]
    )
    return float(pressure / (GAS_CONSTANT_DRY_AIR * temperature)) if sound else None


def _slipped_unit(coefficient: float) -> str:
    """Flow unit in which the flows would be those of the impeller; kg/min beside the table."""
    factors = {unit.symbol: unit.factor for unit in QUANTITIES["mass_flow"].units}
    factors = {**factors, "kg/min": 1.0 / 60.0}
    low, high = FLOW_COEFFICIENT_RANGE
    fitting = {
        abs(log(coefficient * factor / _USUAL_COEFFICIENT)): symbol
        for symbol, factor in factors.items()
        if low <= coefficient * factor <= high
    }
    return fitting[min(fitting)] if fitting else ""
