"""Edits of a build's days: each returns another record of the build."""

from __future__ import annotations

from dataclasses import replace

from engine_model.errors import InputError
from engine_model.inputs import NAMED_DAYS, Build, Day, Pin

LONGEST_NAME = 40


def own_day(build: Build, name: str) -> bool:
    """Whether a day of a name is the build's own, not only a named one."""
    return any(day.name == name for day in build.days)


def free_name(build: Build, wanted: str) -> str:
    """A name like the one wanted that no day of the build has."""
    known = build.known_days()
    names = (wanted, *(f"{wanted} {number}" for number in range(2, len(known) + 3)))
    return next(name for name in names if name not in known)


def put_day(build: Build, day: Day) -> Build:
    """Put a day in place of the one of its name, or at the end."""
    if own_day(build, day.name):
        days = tuple(day if one.name == day.name else one for one in build.days)
    else:
        days = (*build.days, day)
    return replace(build, days=days)


def change_day(build: Build, name: str, path: str, value: object) -> Build:
    """Change one input (``day.altitude``) of a day; a named day becomes the build's own.

    Raises
    ------
    InputError
        When the value is not allowed.
    """
    day = build.known_days()[name]
    return put_day(build, replace(day, **{path.partition(".")[2]: value}))


def rename_day(build: Build, name: str, new: str) -> Build:
    """Rename a day of the user's; the target and the pins follow it.

    Raises
    ------
    InputError
        When the name is empty, too long or taken, or the day is a named one.
    """
    new = new.strip()
    if name in NAMED_DAYS:
        raise InputError("day.name", name, "a day of your own; duplicate this one first")
    if not new or len(new) > LONGEST_NAME:
        raise InputError("day.name", new or "nothing", f"a name of 1 to {LONGEST_NAME} letters")
    if new != name and new in build.known_days():
        raise InputError("day.name", new, "a name that no other day has")
    days = tuple(replace(day, name=new) if day.name == name else day for day in build.days)
    target = build.target
    if target.day == name:
        target = replace(target, day=new)
    pins = tuple(_follow(pin, name, new) for pin in build.pins)
    return replace(build, days=days, target=target, pins=pins)


def _follow(pin: Pin, name: str, new: str) -> Pin:
    changes = tuple(
        (path, new) if (path, value) == ("target.day", name) else (path, value)
        for path, value in pin.changes
    )
    return replace(pin, changes=changes)


def remove_day(build: Build, name: str) -> Build:
    """Delete a day of the user's, or reset a named day.

    Raises
    ------
    InputError
        When the target, or the target of a pin, is for this day and it would be gone.
    """
    if name not in NAMED_DAYS:
        if build.target.day == name:
            raise InputError("days", name, "a day the target is not for; change the target first")
        for pin in build.pins:
            if ("target.day", name) in pin.changes:
                words = f"a day that no pin is for; remove the pin {pin.name} first"
                raise InputError("days", name, words)
    return replace(build, days=tuple(day for day in build.days if day.name != name))
