"""The sentence of every ledger entry: its only home."""

from __future__ import annotations

import math

from app.fields import NOTHING, Units, show
from app.present.fuel_sentences import FUEL_SENTENCES, FUEL_SUBJECTS, FUEL_TITLES, FUEL_WITHIN
from app.present.knock_sentences import KNOCK_SENTENCES
from app.present.sentence_parts import Sentence, against, at_speed, numbers_of
from app.present.study_sentences import (
    STUDY_SENTENCES,
    STUDY_SUBJECTS,
    STUDY_TITLES,
    STUDY_WITHIN,
)
from engine_model.defaults import CLOSE_FROM, SANITY_BSFC
from engine_model.errors import InputError
from engine_model.inputs import Build
from engine_model.results import Entry

TITLES: dict[str, str] = {
    "impeller_speed": "Impeller speed at the limiter",
    "impeller_speed_over_rev": "Impeller speed at the over-rev",
    "tip_speed": "Tip speed",
    "surge_margin": "Surge margin",
    "choke_margin": "Choke margin",
    "charge_temperature": "Charge temperature",
    **STUDY_TITLES,
    "inlet_depression": "Inlet depression",
    "piston_speed": "Mean piston speed",
    "boost": "Boost",
    "belt_grip": "Belt grip",
    "belt_slip": "Belt slip",
    "belt_tension": "Tight side of a rib",
    "belt_speed": "Belt speed",
    "smallest_pulley": "Smallest pulley",
    "hub_load": "Hub load",
    "belt_shift": "Belt in a hard shift",
    "same_belt": "Same belt?",
    **FUEL_TITLES,
    "knock_retard": "Less advance than stock",
    "cylinder_pressure": "Peak cylinder pressure",
    "target_power": "Power asked by the target",
    "share_off_map": "Share of the line off the map",
    "assumed_inputs": "Assumed inputs",
    "power_sanity": "Fuel consumption at peak power",
    "map_quality": "Quality of the compressor map",
}
"""Title of each entry."""

SUBJECTS: dict[str, str] = {
    "impeller_speed": "Impeller",
    "impeller_speed_over_rev": "Impeller",
    "tip_speed": "Impeller",
    "surge_margin": "Surge",
    "choke_margin": "Choke",
    "charge_temperature": "Charge air",
    **STUDY_SUBJECTS,
    "inlet_depression": "Inlet",
    "piston_speed": "Engine",
    "boost": "Boost",
    "belt_grip": "Belt",
    "belt_slip": "Belt",
    "belt_tension": "Belt",
    "belt_speed": "Belt",
    "smallest_pulley": "Belt",
    "hub_load": "Belt",
    "belt_shift": "Belt",
    "same_belt": "Belt",
    **FUEL_SUBJECTS,
    "knock_retard": "Burn",
    "cylinder_pressure": "Burn",
    "target_power": "Asked",
    "share_off_map": "On the map",
    "assumed_inputs": "Inputs",
    "power_sanity": "Power",
    "map_quality": "Compressor map",
}
"""Subject row that an entry unfolds from."""

WITHIN: dict[str, str] = {
    "impeller_speed": "At limiter",
    "impeller_speed_over_rev": "At over-rev",
    "tip_speed": "Tip speed",
    "surge_margin": "Margin",
    "choke_margin": "Margin",
    "charge_temperature": "Temperature",
    **STUDY_WITHIN,
    "inlet_depression": "Depression",
    "piston_speed": "Piston speed",
    "boost": "Gauge",
    "belt_grip": "Grip",
    "belt_slip": "Slip",
    "belt_tension": "Tight side",
    "belt_speed": "Speed",
    "smallest_pulley": "Least pulley",
    "hub_load": "Hub load",
    "belt_shift": "In a shift",
    "same_belt": "Same belt?",
    **FUEL_WITHIN,
    "knock_retard": "Less advance",
    "cylinder_pressure": "Pressure",
    "target_power": "Of the power",
    "share_off_map": "Off the map",
    "assumed_inputs": "Assumed",
    "power_sanity": "Fuel burnt",
    "map_quality": "Quality",
}
"""Short title of each entry under its subject, where its own would be cut."""

PARTS = ("parts", "target", "trust")
"""The three parts of the ledger, in order."""

PART_TITLES = {
    "parts": "Parts: what breaks",
    "target": "Target: what was promised",
    "trust": "Trust: how far to believe it",
}


_NEAR = ((1.0, 0.006), (CLOSE_FROM, 0.0051))
_MOST_DECIMALS = 2


def percent(used: float) -> str:
    """Share used as text: ``87 %``, ``100.04 %``, ``no room``, ``--``.

    Decimals are added near the bound, and near what counts as close, until the text stands on
    the side of it that the share does.
    """
    if math.isnan(used):
        return NOTHING
    if math.isinf(used):
        return "no room"
    for bound, reach in _NEAR:
        if abs(used - bound) < reach:
            return f"{_beside(used, bound)} %"
    return f"{100.0 * used:.0f} %"


def _beside(used: float, bound: float) -> str:
    """Text of a share in per cent that rounding does not put onto the bound."""
    for decimals in range(1, _MOST_DECIMALS + 1):
        text = f"{100.0 * used:.{decimals}f}"
        if used == bound or float(text) != 100.0 * bound:
            return text
    last = math.copysign(10.0**-_MOST_DECIMALS, used - bound)
    return f"{100.0 * bound + last:.{_MOST_DECIMALS}f}"


def state_words(entry: Entry) -> str:
    """State and share used of an entry in short: ``close 92 %``, ``62 % assumed``."""
    if entry.code == "assumed_inputs":
        # a clear state would read as praise for guessing
        return f"{100.0 * entry.used:.0f} % assumed"
    return f"{entry.state} {percent(entry.used)}".replace(f" {NOTHING}", "")


def refusal(error: InputError) -> str:
    """What was given and what is allowed, for a place that names the input itself."""
    given = str(error.value).strip()
    if not given:
        return f"nothing given; allowed: {error.allowed.removesuffix('; the text is empty')}"
    return f"{given} given; allowed: {error.allowed}"


def _margin(entry: Entry, build: Build, side: str, least: str) -> str:
    if math.isnan(entry.value):
        return f"engine and compressor do not meet{at_speed(entry)}: the line lies {side}"
    return f"margin {100 * entry.value:.1f} %{at_speed(entry)}, at least {least} asked"


def _surge(entry: Entry, build: Build, system: Units) -> str:
    least = f"{100 * build.bounds.surge_margin:.0f} %"
    return _margin(entry, build, "left of surge", least)


def _choke(entry: Entry, build: Build, system: Units) -> str:
    least = f"{100 * build.bounds.choke_margin:.0f} %"
    return _margin(entry, build, "past choke", least)


def _target(entry: Entry, build: Build, system: Units) -> str:
    have, want = show(entry.value, "power", system), show(entry.bound, "power", system)
    gap = entry.value - entry.bound
    short = show(abs(gap), "power", system)
    verdict = f"{short} short" if gap < 0 else f"{short} in hand"
    if float(short.split()[0]) == 0.0:
        verdict = "just missed" if gap < 0 else "just reached"
    there = f"{have} at the {build.target.basis}{at_speed(entry)} on the {entry.day} day"
    if entry.value <= 0.0:
        return f"{there}; {want} promised: {verdict}"
    return f"{there}; the {want} promised ask {percent(entry.used)} of it: {verdict}"


def _share_off(entry: Entry, build: Build, system: Units) -> str:
    if entry.value == 0.0:
        return "the whole line lies on the map or harmlessly below it"
    start = f", first{at_speed(entry)}" if at_speed(entry) else ""
    return f"{100 * entry.value:.0f} % of the line off the map{start}"


def _assumed(entry: Entry, build: Build, system: Units) -> str:
    given = entry.bound - entry.value
    return f"{given:.0f} given, {entry.value:.0f} assumed"


def _sanity(entry: Entry, build: Build, system: Units) -> str:
    low, high = SANITY_BSFC[build.drive.kind]
    return (
        f"{entry.value:.3f} lb/(hp h) as petrol{at_speed(entry)}; plausible is {low:g} to {high:g}"
    )


def _quality(entry: Entry, build: Build, system: Units) -> str:
    return entry.basis


def _grip(entry: Entry, build: Build, system: Units) -> str:
    if math.isnan(entry.value):
        return f"the belt does not drive the blower{at_speed(entry)}: no grip is left"
    asked, grip = show(entry.value, "force", system), show(entry.bound, "force", system)
    return f"effective tension {asked}{at_speed(entry)}, grip {grip}"


def _slip(entry: Entry, build: Build, system: Units) -> str:
    if entry.value == 0.0:
        return "no slip beyond creep anywhere on the line"
    most = f"{100 * entry.bound:.0f} %"
    if entry.value >= 1.0:
        words = f"the belt does not drive the blower{at_speed(entry)}"
    else:
        words = f"slip {100 * entry.value:.1f} %{at_speed(entry)}, steady up to {most}"
        if entry.value > entry.bound:
            words += "; the boost shown is an upper bound"
    return f"{words}. {if_it_holds(entry, system)}"


def if_it_holds(entry: Entry, system: Units = "si") -> str:
    """What happens if the belt stops slipping, in numbers, from the entry of the slip."""
    n = numbers_of(entry)
    parts = []
    for what, kind, found, held in (
        ("boost", "boost", "boost_gauge_pa", "boost_without_slip_pa"),
        ("impeller", "speed", "impeller_speed_rpm", "impeller_speed_without_slip_rpm"),
    ):
        now, then = (show(n.get(name, math.nan), kind, system) for name in (found, held))
        parts.append(f"{what} {then} instead of {now}")
    return f"If the belt stops slipping: {', '.join(parts)}"


def _charge(entry: Entry, build: Build, system: Units) -> str:
    words = against("temperature", "manifold")(entry, build, system)
    passed = numbers_of(entry).get("passed_wheel_power_w", math.nan)
    if math.isnan(passed):
        return words
    return f"{words}, passed from {show(passed, 'power', system)} at the wheel"


def _least_pulley(entry: Entry, build: Build, system: Units) -> str:
    value, least = show(entry.value, "length", system), show(entry.bound, "length", system)
    return f"smallest pulley {value}, at least {least}"


def _hub(entry: Entry, build: Build, system: Units) -> str:
    load = f"hub load {show(entry.value, 'force', system)}{at_speed(entry)}"
    if math.isnan(entry.bound):
        return f"{load}; the part maker's figure is not given: not judged"
    return f"{load}, most {show(entry.bound, 'force', system)}"


def _shift(entry: Entry, build: Build, system: Units) -> str:
    pull, grip = show(entry.value, "force", system), show(entry.bound, "force", system)
    slips = entry.value > entry.bound
    verdict = "the belt slips for a moment" if slips else "the belt holds"
    words = f"inertia pulls {pull} backwards, grip {grip}: {verdict}"
    return f"{words}; told, not judged" if entry.state == "blank" else words


def _same_belt(entry: Entry, build: Build, system: Units) -> str:
    """Whether the belt still fits, and the length that would."""
    longer = show(abs(entry.value), "length", system)
    change = f"the path is {longer} {'longer' if entry.value > 0.0 else 'shorter'}"
    if abs(entry.value) < 5e-5:
        change = "the path is as long as before"
    if entry.bound == 1.0:
        return f"{change}: the same belt fits"
    lengths = numbers_of(entry)
    wanted, near = lengths.get("length_wanted_m", math.nan), lengths.get("next_length_m", math.nan)
    words = f"{change}: another belt is needed"
    if not math.isnan(wanted):
        words += f", about {show(wanted, 'length', system)}"
    if not math.isnan(near):
        words += f"; on the shelf {show(near, 'length', system)}"
    return words


TOLD = ("hub_load", "belt_shift", "injector_duty", "fuel_pump", *KNOCK_SENTENCES)
"""Entries that tell their numbers even where they are not judged."""


_SENTENCES: dict[str, Sentence] = {
    "impeller_speed": against("speed", "impeller"),
    "impeller_speed_over_rev": against("speed", "impeller"),
    "tip_speed": against("velocity", "tip"),
    "surge_margin": _surge,
    "choke_margin": _choke,
    "charge_temperature": _charge,
    **STUDY_SENTENCES,
    "inlet_depression": against("pressure", "depression"),
    "piston_speed": against("velocity", "mean piston speed"),
    "boost": against("boost", "boost"),
    "belt_grip": _grip,
    "belt_slip": _slip,
    "belt_tension": against("force", "tight side of a rib"),
    "belt_speed": against("velocity", "belt"),
    "smallest_pulley": _least_pulley,
    "hub_load": _hub,
    "belt_shift": _shift,
    "same_belt": _same_belt,
    **FUEL_SENTENCES,
    **KNOCK_SENTENCES,
    "target_power": _target,
    "share_off_map": _share_off,
    "assumed_inputs": _assumed,
    "power_sanity": _sanity,
    "map_quality": _quality,
}


def sentence(entry: Entry, build: Build, system: Units = "si") -> str:
    """Sentence of an entry, in the units of a system (``si`` or ``us``)."""
    lost = entry.code in ("surge_margin", "choke_margin", "belt_grip")
    told = entry.code in TOLD and bool(entry.numbers or not math.isnan(entry.value))
    judged = entry.state != "blank" and (lost or not math.isnan(entry.value))
    if not (told or judged):
        return entry.basis
    words = _SENTENCES[entry.code](entry, build, system)
    return f"{words}, if the belt stops slipping" if entry.without_slip else words
