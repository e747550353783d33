"""Words of the ledger's entries of fuel system, engine bounds and sensors."""

from __future__ import annotations

import math

from app.fields import Units, show
from app.present.sentence_parts import Sentence, against, at_speed, numbers_of
from engine_model.inputs import Build
from engine_model.results import Entry

FUEL_TITLES: dict[str, str] = {
    "injector_duty": "Injector duty",
    "fuel_pump": "Fuel pump",
    "torque": "Flywheel torque",
    "power_bound": "Flywheel power",
    "exhaust_pressure": "Exhaust pressure",
    "manifold_sensor": "Manifold sensor",
    "air_meter": "Air meter",
}
"""Title of each entry."""

FUEL_SUBJECTS: dict[str, str] = {
    "injector_duty": "Fuel",
    "fuel_pump": "Fuel",
    "torque": "Engine",
    "power_bound": "Engine",
    "exhaust_pressure": "Engine",
    "manifold_sensor": "Sensors",
    "air_meter": "Sensors",
}
"""Subject row that an entry unfolds from."""

FUEL_WITHIN: dict[str, str] = {
    "injector_duty": "Injector duty",
    "fuel_pump": "Pump",
    "torque": "Torque",
    "power_bound": "Power",
    "exhaust_pressure": "Exhaust",
    "manifold_sensor": "Manifold",
    "air_meter": "Air meter",
}
"""Short title of each entry under its subject."""


def _size(entry: Entry, build: Build, system: Units) -> str:
    """The injector that keeps the bound, from the shelf where it has one."""
    numbers = numbers_of(entry)
    needed = numbers.get("flow_needed_m3_s", math.nan)
    if math.isnan(needed):
        return ""
    if math.isinf(needed):
        return "no injector serves: boost leaves no pressure across it"
    keeps = f"would keep {100 * build.bounds.injector_duty:.0f} %"
    words = f"{_up(needed, system)} each {keeps}"
    shelf = numbers.get("shelf_flow_m3_s", math.nan)
    if not math.isnan(shelf):
        return f"{words}, on the shelf {show(shelf, 'volume_flow', system)}"
    return f"{words}, none on the shelf" if build.shelf.injectors else words


def _up(flow: float, system: Units) -> str:
    """Text of a flow that is needed, never rounded under it where the unit has no decimals."""
    text = show(flow, "volume_flow", system)
    if not text.endswith(" cc/min"):
        return text
    return f"{math.ceil(flow * 60e6 - 1e-6)} cc/min"


def _duty(entry: Entry, build: Build, system: Units) -> str:
    size = _size(entry, build, system)
    if entry.state == "blank":
        return f"{entry.basis}; {size}" if size else entry.basis
    if math.isinf(entry.value):
        return f"no pressure is left across the injectors{at_speed(entry)}; {size}"
    words = f"duty {100 * entry.value:.1f} %{at_speed(entry)}, most {100 * entry.bound:.0f} %"
    return f"{words}; {size}" if entry.state == "over" and size else words


def _pump(entry: Entry, build: Build, system: Units) -> str:
    if math.isnan(entry.value):
        return entry.basis
    numbers = numbers_of(entry)
    here, stated = (numbers.get(name, math.nan) for name in ("pressure_pa", "stated_pressure_pa"))
    flow, at = show(entry.value, "pump_flow", system), show(here, "fuel_pressure", system)
    words = f"{flow} asked of the pump against {at}{at_speed(entry)}, reserve included"
    if math.isnan(entry.bound):
        return f"{words}; {entry.basis}"
    if math.isinf(entry.used):
        return f"{words}; it gives nothing there"
    words += f", of {show(entry.bound, 'pump_flow', system)}"
    if build.fuel_system.pump_shut_off is not None:
        words += " that it gives there"
    elif here > stated:
        words += f" stated at {show(stated, 'fuel_pressure', system)}; it gives less at {at}"
    return words


def _manifold(entry: Entry, build: Build, system: Units) -> str:
    words = against("bound_pressure", "manifold")(entry, build, system)
    return f"{words}, both absolute"


FUEL_SENTENCES: dict[str, Sentence] = {
    "injector_duty": _duty,
    "fuel_pump": _pump,
    "torque": against("torque", "torque"),
    "power_bound": against("power", "power"),
    "exhaust_pressure": against("bound_pressure", "exhaust"),
    "manifold_sensor": _manifold,
    "air_meter": against("mass_flow", "air"),
}
"""Sentence of each entry."""
