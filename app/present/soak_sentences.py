"""The sentence of the ledger's entry of heat soak."""

from __future__ import annotations

import math

from app.fields import NOTHING, Units, show
from app.present.sentence_parts import numbers_of
from engine_model.inputs import Build
from engine_model.results import Entry


def soak_sentence(entry: Entry, build: Build, system: Units = "si") -> str:
    """Highest manifold temperature of all pulls, and where the cooler would settle."""
    n = numbers_of(entry)
    value, bound = (show(x, "temperature", system) for x in (entry.value, entry.bound))
    words = f"manifold {value} in pull {n['pull']:.0f}, most {bound}"
    if not math.isnan(n["matched_manifold_k"]):
        return f"{words}; {_of_air(n['settled_manifold_k'], n['matched_manifold_k'], system)}"
    settled, taken = (
        show(n[name], "temperature_difference", system)
        for name in ("settled_coolant_rise_k", "taken_coolant_rise_k")
    )
    if settled == NOTHING:
        return (
            f"{words}; the loop would not settle, the match takes the coolant {taken} over the day"
        )
    return f"{words}; the coolant would settle {settled} over the day, the match takes {taken}"


def _of_air(settled: float, matched: float, system: Units) -> str:
    """Where an air-to-air cooler would settle in its own air, beside the match."""
    then, taken = show(settled, "temperature", system), show(matched, "temperature", system)
    if then == NOTHING:
        return f"no air takes the heat away, the match has {taken}"
    if then == taken:
        return f"held at the limiter it would settle at {then}, as the match has it"
    return f"held at the limiter it would settle at {then}, the match has {taken}"
