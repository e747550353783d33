"""The headline over the fields: how many inputs are given, and which assumed ones matter."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from html import escape

from app.fields import FIELD, Units, show
from engine_model.inputs import Build
from engine_model.line_judging import count_inputs
from engine_model.studies.sensitivity import Sensitivity, ranked

MOST = 3
"""How many assumed inputs the headline names."""

_LONGER = {
    "engine.stock_torque_speed": "speed of stock peak torque",
    "engine.stock_power_speed": "speed of stock peak power",
    "blower.typed_efficiency": "typed compressor efficiency",
    "cooler.effectiveness": "cooler effectiveness",
    "cooler.capacity_ratio": "cooler capacity ratio",
    "driveline.constant_loss": "constant driveline loss",
}
"""Names of fields whose label says too little away from its group."""

_NUMBERS = {1: "this one matters", 2: "these two matter", 3: "these three matter"}


@dataclass(frozen=True, slots=True)
class Headline:
    """The headline.

    Parameters
    ----------
    text : str
        Plain text.
    markup : str
        The same with every input named as a link whose target is its path.
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


def effect_text(one: Sensitivity, units: Units = "si") -> str:
    """An effect with its sign left out: ``±2.1 kW``."""
    return f"±{show(abs(one.effect_w), 'power', units)}"


def _tells(one: Sensitivity, units: Units) -> bool:
    """Whether an effect is more than nothing in the decimals shown."""
    if math.isnan(one.effect_w):
        return False
    return float(show(abs(one.effect_w), "power", units, unit=False)) > 0.0


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
        return Headline(counts, escape(counts), (), "")
    known = [one for one in ranked(found) if one.path not in build.given]
    telling = [one for one in known if _tells(one, units)]
    named = telling[:MOST]
    if not named:
        words = f"{counts}; none of them moves the power" if known else counts
        return Headline(words, escape(words), (), "")
    head = f"{counts}; {_NUMBERS[len(named)]} most: "
    place = _power_words(build)
    plain, linked = [], []
    for number, one in enumerate(named):
        name = name_of(one.path)
        effect = f" ({effect_text(one, units)}{' ' + place if number == 0 else ''})"
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
        head + ", ".join(plain),
        escape(head) + ", ".join(linked),
        tuple(one.path for one in named),
        detail,
    )
