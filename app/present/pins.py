"""Pins: lines kept for comparison, made from a build and put back on it."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Any

from app.fields import (
    FIELD,
    UnitChoice,
    Units,
    check_range,
    show,
    units_of,
    write_list,
    write_value,
)
from engine_model.errors import InputError
from engine_model.inputs import INPUT_PATHS, Build, Pin

ROAD_SECTIONS = (
    "engine",
    "blower",
    "drive",
    "bypass",
    "inlet",
    "cooler",
    "exhaust",
    "driveline",
)
"""Sections whose inputs make the line; bounds, target, fuel system and surge only judge it."""

ROAD_PATHS: tuple[str, ...] = tuple(p for p in INPUT_PATHS if p.partition(".")[0] in ROAD_SECTIONS)
"""Every input of the line. The compressor map is not among them: it stays the build's."""

_NUMBERED = re.compile(r"(.*?)( \(\d+\))?", re.DOTALL)
"""A name and the number that keeps it apart from an equal one."""

BLOWER_PULLEY = "drive.blower_pulley_diameter"


def make_pin(build: Build, name: str) -> Pin:
    """Pin of the present line: every input of the road, so that later edits do not move it."""
    compressor = build.blower.compressor_map
    title = None if compressor is None else compressor.title
    return Pin(name, tuple((path, build.value(path)) for path in ROAD_PATHS), title)


def is_whole(pin: Pin) -> bool:
    """Whether a pin holds every input of the road; others take what they lack from the build."""
    return pin.values.keys() >= set(ROAD_PATHS)


def pinned_build(build: Build, pin: Pin) -> Build:
    """Build of a pin: the pin's inputs with the build's compressor map, bounds and target.

    Raises
    ------
    InputError
        Where the pin cannot be put on this build.
    """
    for path, value in pin.changes:
        if path not in FIELD or path not in INPUT_PATHS:
            raise InputError(path, value, "inputs of this version")
    changes: dict[str, Any] = dict(pin.values)
    # what counts as given is the build's: a pin does not say where its values come from
    return replace(build.with_values(changes), given=build.given, pins=())


def pin_fault(error: InputError, units: Units = "si") -> str:
    """Sentence of a pin that cannot be drawn."""
    field = FIELD.get(error.field)
    if field is None:
        if error.field == "blower.compressor_map":
            return "Not drawn: the pin is blown, and the build has no compressor map."
        return f"Not drawn: {error.field} is no input that this version knows."
    number = isinstance(error.value, (int, float)) and not isinstance(error.value, bool)
    if not number:
        return f"Not drawn: {field.label} {error.value!r} given; allowed: {error.allowed}."
    given, allowed = write_value(field, error.value, units), error.allowed
    try:
        check_range(field, float(error.value), given, units)  # type: ignore[arg-type]
    except InputError as ranged:
        allowed = ranged.allowed
    return f"Not drawn: {field.label} {given} given; allowed: {allowed}."


def unique_name(name: str, taken: Iterable[str]) -> str:
    """Name as it is, or with the first free number behind it.

    Examples
    --------
    >>> unique_name("63 mm", ["63 mm", "63 mm (2)"])
    '63 mm (3)'
    """
    known = set(taken)
    number, free = 1, name
    while free in known:
        number += 1
        free = f"{name} ({number})"
    return free


def default_pin_name(build: Build, taken: Iterable[str], units: Units = "si") -> str:
    """Name for a pin of the present line: by its pulley, its boost, or ``unblown``."""
    drive = build.drive
    told = ("kind", "blower_pulley_diameter", "boost_schedule", "boost_schedule_basis")
    changes = {f"drive.{name}": getattr(drive, name) for name in told}
    return unique_name(_own_name(changes, units) or "", taken)


def _size(diameter: float, units: Units) -> str:
    """Size of a pulley without idle zeros: ``60 mm``, ``2.362 in``."""
    number, _, unit = show(diameter, "length", units).partition(" ")
    return f"{number.rstrip('0').rstrip('.') if '.' in number else number} {unit}"


def _own_name(changes: Mapping[str, Any], units: Units) -> str | None:
    """Name that a pin's own inputs give it; nothing where they do not tell."""
    kind = changes.get("drive.kind", "belt")
    if kind == "none":
        return "unblown"
    if kind == "belt":
        diameter = changes.get(BLOWER_PULLEY)
        return None if diameter is None else _size(diameter, units)
    schedule = changes.get("drive.boost_schedule")
    if not schedule:
        return None
    basis = " abs" if changes.get("drive.boost_schedule_basis") == "absolute" else ""
    return show(max(boost for _, boost in schedule), "boost", units) + basis


@lru_cache(maxsize=512)
def _own_names(pin: Pin) -> frozenset[str]:
    """Names that a pin's own inputs may have given it, in any unit."""
    changes = dict(pin.changes)
    choices = [UnitChoice("si", ((kind, symbol),))
               for kind in ("length", "boost") for symbol in units_of(kind)]  # fmt: skip
    names = {_own_name(changes, one) or "" for one in choices}
    diameter = changes.get(BLOWER_PULLEY)
    if diameter is not None and changes.get("drive.kind", "belt") == "belt":
        # as earlier versions wrote them
        names |= {write_list((float(diameter),), "length", one) for one in choices}  # type: ignore[arg-type]
    return frozenset(names) - {""}


def _shown_name(pin: Pin, units: Units) -> str:
    """Name of a pin in the units shown, where it says no more than its own size or boost."""
    found = _NUMBERED.fullmatch(pin.name)
    if found is None or found[1] not in _own_names(pin):
        return pin.name
    return f"{_own_name(dict(pin.changes), units)}{found[2] or ''}"


def shown_names(pins: Iterable[Pin], units: Units = "si") -> tuple[str, ...]:
    """Names of pins in the units shown: a size or boost follows the units, other names stand."""
    names: list[str] = []
    for pin in pins:
        names.append(unique_name(_shown_name(pin, units), names))
    return tuple(names)


def _gives(pin: Pin, wanted: Build) -> bool:
    """Whether a pin, put on a build, is that build: the same inputs of the road as they are shown.

    What differs by less than the fields show is the same; pulleys are compared as they are.
    """
    try:
        pinned = pinned_build(wanted, pin)
    except InputError:
        return False
    for path in ROAD_PATHS:
        mine, others = pinned.value(path), wanted.value(path)
        if path == BLOWER_PULLEY:
            same = math.isclose(mine, others, abs_tol=1e-6)
        elif isinstance(mine, tuple):
            same = mine == others
        else:
            same = write_value(FIELD[path], mine) == write_value(FIELD[path], others)
        if not same:
            return False
    return True


def shelf_pins(build: Build, pulleys: Sequence[float], units: Units = "si") -> tuple[Pin, ...]:
    """Pins of the build with each pulley of a shelf [m], by size, but for those pinned already.

    Raises
    ------
    InputError
        Where a pulley is out of range.
    """
    taken = [pin.name for pin in build.pins]
    made: list[Pin] = []
    for diameter in sorted(pulleys):
        wanted = build.with_value(BLOWER_PULLEY, diameter)
        if not any(_gives(pin, wanted) for pin in (*build.pins, *made)):
            made.append(make_pin(wanted, unique_name(_size(diameter, units), taken)))
            taken.append(made[-1].name)
    return tuple(made)


def by_size(pins: Iterable[Pin]) -> tuple[Pin, ...]:
    """Pins by their blower pulley, the smallest first; those without one behind, as they stand."""

    def size(pin: Pin) -> float:
        value = dict(pin.changes).get(BLOWER_PULLEY)
        return value if isinstance(value, float) else math.inf

    return tuple(sorted(pins, key=size))


def with_pins(build: Build, pins: Iterable[Pin]) -> Build:
    """Return the build with other pins."""
    return replace(build, pins=tuple(pins))
