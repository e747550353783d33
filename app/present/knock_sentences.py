"""Sentences of knock: always less advance than stock, about, with a band; never an advance to set.

Pre-ignition is outside the model, and so is everything that makes one engine differ from
another.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from app.fields import Units, show
from app.present.sentence_parts import numbers_of
from engine_model.fuel_choice import fuel_of
from engine_model.inputs import Build
from engine_model.results import Entry

MOST_OCTANE = 110.0
"""Octane number over which the delay, measured at 80-100, only says much more [-]."""

LITTLE = 0.25
"""Retard under which nothing is asked for [deg]."""


def _at(entry: Entry) -> str:
    speed = entry.engine_speed_rpm
    return "" if math.isnan(speed) else f" at {speed:.0f} rpm"


def _coldest(entry: Entry, build: Build) -> float:
    """Temperature under which no charge comes on the day of an entry without ice [K]."""
    day = build.known_days().get(entry.day)
    return -math.inf if day is None else day.temperature


def _retard(entry: Entry, build: Build, system: Units) -> str:
    told = numbers_of(entry)
    allowed = "" if math.isnan(entry.bound) else f", most {entry.bound:.1f} deg"
    note = "; told, not judged" if math.isnan(entry.bound) else ""
    if math.isinf(entry.value):
        words = f"more than the estimate seeks{_at(entry)}{allowed}"
        return f"{words}: this fuel or charge will not do{note}"
    if entry.value < LITTLE:
        return (
            f"about none on {fuel_of(build.engine).name}, as this estimate sees it{allowed}{note}"
        )
    low, high = told["retard_low_deg"], told["retard_high_deg"]
    words = f"about {entry.value:.1f} deg (band {low:.1f} to {high:.1f}){_at(entry)}{allowed}"
    cost = 100.0 * (1.0 - told["efficiency_factor"])
    if not math.isnan(cost):
        counted = "" if build.engine.spark == "estimated" else "not "
        words += f"; it costs about {cost:.1f} % of the indicated power, "
        words += f"{counted}counted in the power shown"
    octane, cool = told["octane_without_retard"], told["temperature_without_retard_k"]
    ways = []
    if not math.isnan(octane):
        enough = math.ceil(octane - 1e-6)  # rounded down it would not do
        ways.append(f"octane {enough}" if octane <= MOST_OCTANE else "a fuel of much more octane")
    if not math.isnan(cool) and cool >= _coldest(entry, build):
        ways.append(f"{show(cool, 'temperature', system)} in the manifold")
    if ways:
        words += f"; {' or '.join(ways)} would avoid it"
    return words + note


def _pressure(entry: Entry, build: Build, system: Units) -> str:
    with_it = numbers_of(entry)["peak_pressure_retarded_pa"]
    words = f"about {show(entry.value, 'cylinder', system)}{_at(entry)} with the stock spark"
    if not math.isnan(with_it) and with_it < 0.995 * entry.value:
        words += f", {show(with_it, 'cylinder', system)} with the advance given up"
    if math.isnan(entry.bound):
        return f"{words}; told, not judged"
    return f"{words}, most {show(entry.bound, 'cylinder', system)}"


KNOCK_SENTENCES: dict[str, Callable[[Entry, Build, Units], str]] = {
    "knock_retard": _retard,
    "cylinder_pressure": _pressure,
}
"""Sentence of each entry by its code."""
