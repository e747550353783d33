"""Heat soak in words: what was driven, what it costs, and the table of pulls."""

from __future__ import annotations

import math

from app.fields import FIELD, Units, show, unit_of, write_value
from engine_model.inputs import Build
from engine_model.studies.soak_records import NO_COOLER, NO_MATCH, HeatSoak, PullFigures
from engine_model.studies.soak_table import pull_speeds

NONE_THERE = "No charge cooler, so none that soaks: the charge is as hot in every pull."

_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth",
             "tenth")  # fmt: skip

LEAST_TOLD = 50.0
"""Change of power that is told as one [W]."""

LEAST_WATER = 1e-4
"""Water that is told [kg]."""

ASSUMPTIONS = (
    "An estimate: full throttle from the lowest engine speed to the limiter, rising evenly; "
    "between pulls the charge stands while pump, fan and road go on."
)

AIR_ASSUMPTIONS = (
    "An estimate: full throttle from the lowest engine speed to the limiter, rising evenly; "
    "between pulls the charge stands while fan and road go on. The core's metal has one "
    "temperature. At the road speed at which its effectiveness is stated the cooler settles "
    "where the match has it."
)


def soaking(found: HeatSoak) -> str:
    """What soaks: the coolant, or the core of an air-to-air cooler."""
    return "core" if found.is_air else "coolant"


def ordinal(number: int) -> str:
    """Word of a pull, counted from 0: ``first``; from the eleventh on ``no. 11``."""
    return _ORDINALS[number] if number < len(_ORDINALS) else f"no. {number + 1}"


def _field(build: Build, path: str, units: Units) -> str:
    return write_value(FIELD[path], build.value(path), units)


def driven_words(found: HeatSoak, units: Units = "si") -> str:
    """What was driven: pulls, pauses, coolant, day."""
    build, cooler = found.build, found.build.cooler
    each = f"of {cooler.pull_time:g} s"
    pulls = f"One pull {each}"
    if cooler.pulls > 1:
        pulls = f"{cooler.pulls} pulls {each}, {cooler.pause_time:g} s between"
    ice = ""
    if cooler.ice_mass > 0.0:
        ice = f" with {_field(build, 'cooler.ice_mass', units)} of ice"
    coolant = f"{_field(build, 'cooler.reservoir_volume', units)} of coolant{ice}"
    if found.is_air:
        mass = _field(build, "cooler.core_mass", units)
        coolant = f"an air-to-air core of {mass} {cooler.core_metal}"
    low = pull_speeds(build)[0]
    return (
        f"{pulls}, on the {found.day.name} day, {coolant}; {low:.0f} to "
        f"{build.engine.limiter:.0f} rpm at full throttle."
    )


def pull_words(pulls: PullFigures, number: int, units: Units = "si") -> str:
    """One pull: manifold at its start and at most, and what it costs at the limiter."""
    start = show(float(pulls.manifold_start[number]), "temperature", units)
    peak = show(float(pulls.manifold_peak[number]), "temperature", units)
    words = f"In the {ordinal(number)} pull: {start} in the manifold at the start, {peak} at most"
    if number == 0:
        power = show(float(pulls.wheel_power[0]), "power", units)
        return f"{words}; {power} at the wheels at the limiter."
    lost = float(pulls.lost[number])
    if abs(lost) < LEAST_TOLD:
        return f"{words}; the power is that of the first."
    amount = show(abs(lost), "power", units)
    more = "less" if lost > 0.0 else "more"
    return f"{words}; {amount} {more} at the limiter than in the first."


def bound_words(found: HeatSoak, units: Units = "si") -> str:
    """Whether the manifold passes its bound, and when."""
    bound = show(found.build.bounds.charge_temperature, "temperature", units)
    pulls = found.build.cooler.pulls
    if found.over_at is not None:
        return f"The manifold passes its bound of {bound} in the {ordinal(found.over_at)} pull."
    if pulls == 1:
        return f"The manifold stays under its bound of {bound}."
    return f"The manifold stays under its bound of {bound} in all {pulls} pulls."


def settled_words(found: HeatSoak, units: Units = "si") -> str:
    """Where the cooler would settle at the limiter, beside what the match takes."""
    settled, cooler = found.settled, found.build.cooler
    if found.is_air and settled is not None:
        return _air_settled(settled.manifold, settled.matched, units)
    taken = show(cooler.coolant_over_day, "temperature_difference", units)
    whose = "as given" if "cooler.coolant_rise" in found.build.given else "assumed"
    match = f"the match takes {taken} ({whose})"
    if settled is None or math.isnan(settled.coolant_rise):
        return f"Nothing takes the heat away in a pull: the loop would not settle; {match}."
    rise = show(settled.coolant_rise, "temperature_difference", units)
    manifold = show(settled.manifold, "temperature", units)
    return (
        f"Held at the limiter the loop would settle with its coolant {rise} over the day and "
        f"{manifold} in the manifold; {match}."
    )


def _air_settled(settled: float, matched: float, units: Units) -> str:
    """The same of an air-to-air cooler, in the air that it gets in a pull."""
    match = f"the match has {show(matched, 'temperature', units)}"
    if math.isnan(settled):
        return f"No air takes the heat away in a pull: the cooler would not settle; {match}."
    then = show(settled, "temperature", units)
    if then == show(matched, "temperature", units):
        return f"Held at the limiter the cooler would settle as the match has it, at {then}."
    return f"Held at the limiter the cooler would settle with {then} in the manifold; {match}."


def water_words(pulls: PullFigures, units: Units = "si") -> str:
    """Ice and condensation, where there are any."""
    told = []
    water = float(pulls.condensed.sum())
    if water >= LEAST_WATER:
        amount = f"{1e3 * water:.0f} g"
        if unit_of("mass", units) == "lb":
            amount = show(water, "mass", units)
        told.append(f"{amount} of water condense out of the charge in the cold core.")
    return " ".join(told)


def soak_lines(found: HeatSoak, units: Units = "si") -> tuple[str, ...]:
    """Everything that is said of a study, a sentence or two a line."""
    if found.pulls is None:
        if found.reason == NO_MATCH:
            speed = f"{found.fault_speed:.0f} rpm"
            return (f"No pull: engine and compressor do not meet at {speed} with every coolant.",)
        return (NONE_THERE,) if found.reason == NO_COOLER else ()
    last = found.pulls.wheel_power.size - 1
    numbers = dict.fromkeys((0, min(2, last), last))
    lines = [
        driven_words(found, units),
        *(pull_words(found.pulls, number, units) for number in numbers),
        bound_words(found, units),
        water_words(found.pulls, units),
        settled_words(found, units),
        AIR_ASSUMPTIONS if found.is_air else ASSUMPTIONS,
    ]
    return tuple(line for line in lines if line)


def pull_table(found: HeatSoak, units: Units = "si") -> list[list[str]]:
    """Rows of the pulls, titles with units first; titles alone where there are none."""
    degrees, power = unit_of("temperature", units), unit_of("power", units)
    titles = [
        "pull",
        f"manifold, start [{degrees}]",
        f"manifold, most [{degrees}]",
        f"manifold, end [{degrees}]",
        f"{soaking(found)}, start [{degrees}]",
        f"{soaking(found)}, end [{degrees}]",
        f"wheel power, limiter [{power}]",
        f"power, lost [{power}]",
        "heat [kJ]",
    ]
    pulls = found.pulls
    if pulls is None:
        return [titles]
    iced = found.build.cooler.ice_mass > 0.0 and not found.is_air
    soaks = (pulls.coolant_start, pulls.coolant_end)
    if found.is_air:
        soaks = (pulls.core_start, pulls.core_end)
    rows = [[*titles, f"ice left [{unit_of('mass', units)}]"] if iced else titles]
    for k in range(pulls.wheel_power.size):
        degrees_of = (
            pulls.manifold_start,
            pulls.manifold_peak,
            pulls.manifold_end,
            *soaks,
        )
        cells = [show(float(one[k]), "temperature", units, unit=False) for one in degrees_of]
        cells += [
            show(float(one[k]), "power", units, unit=False)
            for one in (pulls.wheel_power, pulls.lost)
        ]
        cells.append(f"{1e-3 * pulls.heat[k]:.1f}")
        if iced:
            cells.append(show(float(pulls.ice_left[k]), "mass", units, unit=False))
        rows.append([str(k + 1), *cells])
    return rows
