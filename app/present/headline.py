"""The headline over the fields: how many inputs are given, and which assumed ones matter."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from html import escape

from app.fields import FIELD, Units, show, write_value
from engine_model.cooler_rows import LOOP_PATHS
from engine_model.counted_inputs import assumed_inputs, count_inputs, unused_inputs
from engine_model.inputs import Build
from engine_model.results import Entry
from engine_model.studies.sensitivity import Sensitivity, derived_value, ranked

MOST = 3
"""How many assumed inputs the headline names."""

ASSUMED = "assumed"
"""Target of the link from the count of the assumed inputs to their list."""

UNUSED = {
    "belt": "Not used with a belt",
    "free_shaft": "Not used by a turbocharger",
    "none": "Not used without a blower",
}
"""Heading of the fields that a kind of drive has no use for."""

UNUSED_BY_BUILD = "Not used by this build"
"""The same where the kind of charge cooler has no use for some either."""

_LONGER = {
    "engine.stock_torque_speed": "speed of stock peak torque",
    "engine.stock_power_speed": "speed of stock peak power",
    "blower.typed_efficiency": "typed compressor efficiency",
    "cooler.effectiveness": "cooler effectiveness",
    "cooler.capacity_ratio": "cooler capacity ratio",
    "cooler.reservoir_volume": "coolant volume",
    "cooler.glycol_share": "glycol in the coolant",
    "cooler.front_effectiveness": "front exchanger effectiveness",
    "cooler.front_rated_flow": "air flow at which the front exchanger is stated",
    "cooler.front_area": "face that meets the outside air",
    "cooler.pause_road_speed": "road speed between pulls",
    "cooler.fan_flow": "fan at the cooler",
    "cooler.stated_road_speed": "road speed at which the cooler is stated",
    "cooler.start_rise": "cooler over the day at the start",
    "driveline.constant_loss": "constant driveline loss",
    "fuel_system.injector_rating_pressure": "pressure of the injectors' rating",
    "fuel_system.injector_rating_density": "density of the injectors' rating",
    "fuel_system.pump_pressure": "pressure of the pump's flow",
    "fuel_system.pump_shut_off": "pressure at which the pump gives nothing",
    "engine.ethanol_share": "ethanol in the fuel",
}
"""Names of fields whose label says too little away from its group."""

_MATTER = {1: "this one matters", 2: "these two matter", 3: "these matter"}


@dataclass(frozen=True, slots=True)
class Headline:
    """The headline.

    Parameters
    ----------
    text : str
        Plain text.
    markup : str
        The same, an input a line; each is a link whose target is its path, and so is the count
        of the assumed ones.
    paths : tuple of str
        Paths of the inputs named, in the order of the text.
    detail : str
        What the figures are, and every input that has an effect, one a line.
    """

    text: str
    markup: str
    paths: tuple[str, ...]
    detail: str


def name_of(path: str) -> str:
    """Name of an input within a sentence."""
    label = _LONGER.get(path, FIELD[path].label)
    return label if label[:2].isupper() else label[0].lower() + label[1:]


def counts_of(build: Build) -> str:
    """How many inputs are given and assumed: ``22 given, 36 assumed``."""
    assumed, every = count_inputs(build)
    return f"{every - assumed} given, {assumed or 'none'} assumed"


def is_blank(path: str, value: object) -> bool:
    """Whether an input left without a value means nothing is judged or done: no assumption."""
    return value is None and FIELD[path].row.origin.startswith("blank")


def unused_heading(build: Build) -> str:
    """Heading of the fields that a build has no use for."""
    by_cooler = unused_inputs(build) & LOOP_PATHS
    return UNUSED_BY_BUILD if by_cooler else UNUSED[build.drive.kind]


def assumed_markup(build: Build, units: Units = "si") -> str:
    """Every assumed input with its value, by group; each is a link whose target is its path."""
    groups: dict[str, list[str]] = {}
    for path in assumed_inputs(build):
        value, derived = build.value(path), derived_value(build, path)
        if value is not None:
            text = write_value(FIELD[path], value, units)
        elif derived is not None:
            text = f"{write_value(FIELD[path], derived, units)}, derived"
        else:
            text = "derived"
        row = f'<a href="{escape(path)}">{escape(name_of(path))}</a>: {escape(text)}'
        groups.setdefault(FIELD[path].group, []).append(row)
    return "".join(
        f"<p><b>{escape(group)}</b><br>{'<br>'.join(rows)}</p>" for group, rows in groups.items()
    )


def whole_markup(entry: Entry, build: Build, about: str, units: Units = "si") -> str:
    """Markup of an entry without an engine speed: how it is judged, or what is assumed."""
    if entry.code == "assumed_inputs":
        return f"<p>{about}</p>{assumed_markup(build, units)}"
    basis = "" if entry.basis in about else f"<p>Basis: {escape(entry.basis)}.</p>"
    return f"<p>{about}</p>{basis}"


def effect_text(one: Sensitivity, units: Units = "si") -> str:
    """An effect with its sign left out: ``±2.1 kW``."""
    return f"±{show(abs(one.effect_w), 'power', units)}"


def _tells(one: Sensitivity, units: Units) -> bool:
    """Whether an effect is more than nothing in the decimals shown."""
    if math.isnan(one.effect_w):
        return False
    return float(show(abs(one.effect_w), "power", units, unit=False)) > 0.0


def _linked_counts(counts: str) -> str:
    """Counts with the assumed ones as a link to their list."""
    given, assumed = counts.split(", ")
    if assumed.startswith("none"):
        return counts
    return f'{given}, <a href="{ASSUMED}">{assumed}</a>'


def _power_words(build: Build) -> str:
    target = build.target
    if target.power is not None and target.basis == "flywheel":
        return "at the flywheel"
    return "at the wheel"


def headline_of(
    build: Build, found: Iterable[Sensitivity] | None = None, units: Units = "si"
) -> Headline:
    """The headline of a build.

    Parameters
    ----------
    build : Build
        The build as it is now; inputs given since the study are left out.
    found : iterable of Sensitivity, optional
        Effects of the assumed inputs; without them only the counts are told.
    units : str or UnitChoice
        ``si``, ``us``, or a choice of units.

    Returns
    -------
    Headline
        Text, links and paths.
    """
    counts = counts_of(build)
    if found is None:
        return Headline(counts, _linked_counts(counts), (), "")
    known = [one for one in ranked(found) if one.path not in build.given]
    telling = [one for one in known if _tells(one, units)]
    named = telling[:MOST]
    if not named:
        tail = "; none of them moves the power" if known else ""
        return Headline(counts + tail, _linked_counts(counts) + tail, (), "")
    place = _power_words(build)
    head = f"; {place} {_MATTER[len(named)]} most: "
    plain, linked = [], []
    for one in named:
        name = name_of(one.path)
        effect = f" ({effect_text(one, units)})"
        plain.append(name + effect)
        linked.append(f'<a href="{escape(one.path)}">{escape(name)}</a>{escape(effect)}')
    every = [f"{name_of(one.path)}: {effect_text(one, units)}" for one in telling]
    day = build.target.day if build.target.power is not None else None
    when = f"on the {day} day" if day else "on the day shown"
    detail = "\n".join(
        [
            f"Change of the highest power {place}, {when}, with one assumed input moved by its",
            "usual spread and all others kept:",
            *every,
        ]
    )
    return Headline(
        counts + head + ", ".join(plain),
        "<br>".join([_linked_counts(counts) + head.rstrip(), *linked]),
        tuple(one.path for one in named),
        detail,
    )
