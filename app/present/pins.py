"""Pins: lines kept for comparison, made from a build and put back on it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from app.fields import FIELD, Units, check_range, show, write_list, write_value
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
"""Sections whose inputs make the line; bounds, target and fuel system only judge it."""

ROAD_PATHS: tuple[str, ...] = tuple(p for p in INPUT_PATHS if p.partition(".")[0] in ROAD_SECTIONS)
"""Every input of the line. The compressor map is not among them: it stays the build's."""

BLOWER_PULLEY = "drive.blower_pulley_diameter"


def make_pin(build: Build, name: str) -> Pin:
    """Pin of the present line: every input of the road, so that later edits do not move it."""
    return Pin(name, tuple((path, build.value(path)) for path in ROAD_PATHS))


def is_whole(pin: Pin) -> bool:
    """Whether a pin holds every input of the road; others take what they lack from the build."""
    return {path for path, _ in pin.changes}.issuperset(ROAD_PATHS)


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
    changes: dict[str, Any] = dict(pin.changes)
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
    if drive.kind == "belt":
        name = write_list((drive.blower_pulley_diameter,), "length", units)
    elif drive.kind == "free_shaft":
        basis = " abs" if drive.boost_schedule_basis == "absolute" else ""
        name = show(max(boost for _, boost in drive.boost_schedule), "boost", units) + basis
    else:
        name = "unblown"
    return unique_name(name, taken)


def shelf_pins(build: Build, pulleys: Sequence[float], units: Units = "si") -> tuple[Pin, ...]:
    """Pins of the build with each blower pulley of a shelf [m]; those pinned already are left out.

    Raises
    ------
    InputError
        Where a pulley is out of range.
    """
    held = {pin.changes for pin in build.pins}
    taken = [pin.name for pin in build.pins]
    made = []
    for diameter in pulleys:
        pin = make_pin(build.with_value(BLOWER_PULLEY, diameter), "")
        if pin.changes not in held:
            name = unique_name(write_list((diameter,), "length", units), taken)
            made.append(Pin(name, pin.changes))
            taken.append(name)
            held.add(pin.changes)
    return tuple(made)


def with_pins(build: Build, pins: Iterable[Pin]) -> Build:
    """Return the build with other pins."""
    return replace(build, pins=tuple(pins))
