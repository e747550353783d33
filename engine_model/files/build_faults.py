"""Faults of a build beyond its structure: everything the build would refuse, all of it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any, Final

from engine_model.defaults import DEFAULTS
from engine_model.engine.stock_fit import check_stock_figures
from engine_model.errors import Fault, InputError
from engine_model.files.belt_record import plan_faults, plan_key, plan_of
from engine_model.files.build_record import SECTIONS
from engine_model.files.keys import FILE_KEYS
from engine_model.files.map_faults import map_faults
from engine_model.files.reading import describe
from engine_model.files.structure import NOTHING, nearest
from engine_model.fuel.fuels import ETHANOL_SHARES, share_allowed
from engine_model.inputs import INPUT_PATHS, NAMED_DAYS, Drive, Engine
from engine_model.plan_layout import check_plan

_STOCK: Final = (
    "engine.stock_torque",
    "engine.stock_torque_speed",
    "engine.stock_power",
    "engine.stock_power_speed",
)
_ABOUT_A_MAP: Final = {
    "blower",
    "blower.compressor_map",
    "blower.compressor_map.format",
    "blower.compressor_map.version",
    "drive",
    "drive.kind",
}


def build_faults(sound: dict[str, Any], structure: tuple[Fault, ...]) -> Iterator[Fault]:
    """Faults of a build's document beyond its structure.

    Parameters
    ----------
    sound : dict
        The document without what is at fault.
    structure : tuple of Fault
        What was found there; figures at fault are not judged again.

    Yields
    ------
    Fault
        One a fault.
    """
    broken = {fault.where for fault in structure}
    yield from _engine(sound, broken)
    yield from _tables(sound)
    yield from _pump(sound, broken)
    compressor_map = _section(sound, "blower").get("compressor_map")
    if compressor_map is not None:
        yield from map_faults(compressor_map, "blower.compressor_map.")
    elif not broken & _ABOUT_A_MAP:
        kind = _value(sound, "drive.kind")
        if kind != "none":
            allowed = f"a compressor map with drive.kind {kind}, or drive.kind none"
            yield Fault("blower.compressor_map", NOTHING, allowed)
    yield from _days(sound)
    yield from _scenes(sound)
    yield from _layout(sound, broken)
    for number, path in enumerate(sound.get("given") or ()):
        if path is not None and path not in INPUT_PATHS:
            yield Fault(f"given[{number}]", describe(path), _known_path(path))


def _section(sound: dict[str, Any], name: str) -> dict[str, Any]:
    found: dict[str, Any] = sound.get(name) or {}
    return found


def _value(sound: dict[str, Any], path: str) -> Any:
    """Value of an input, its default where the file has none."""
    section, _, key = FILE_KEYS[path].partition(".")
    return _section(sound, section).get(key, DEFAULTS[path].value)


def _refusal(check: Callable[[], object]) -> Iterator[Fault]:
    try:
        check()
    except InputError as error:
        yield as_fault(error)


def as_fault(error: InputError, where: str | None = None) -> Fault:
    """Fault of an input that a record refuses.

    Parameters
    ----------
    error : InputError
        What the record said.
    where : str, optional
        Place in the file; else the key of the input.

    Returns
    -------
    Fault
        The same, with the key of the file as the place.
    """
    place = FILE_KEYS.get(error.field, error.field) if where is None else where
    return Fault(place, describe(error.value), error.allowed)


def _engine(sound: dict[str, Any], broken: set[str]) -> Iterator[Fault]:
    if "engine" in broken:
        return

    def sane(*paths: str) -> bool:
        return not any(FILE_KEYS[path] in broken for path in paths)

    if sane(*_STOCK):
        figures = [_value(sound, path) for path in _STOCK]
        yield from _refusal(lambda: check_stock_figures(*figures))
    if sane("engine.fuel", "engine.ethanol_share"):
        name, share = _value(sound, "engine.fuel"), _value(sound, "engine.ethanol_share")
        if share is not None and name not in ETHANOL_SHARES:
            yield Fault(FILE_KEYS["engine.ethanol_share"], describe(share), share_allowed(name))
    if sane("engine.limiter", "engine.over_rev"):
        limiter, over_rev = _value(sound, "engine.limiter"), _value(sound, "engine.over_rev")
        yield from _refusal(lambda: Engine(limiter=limiter, over_rev=over_rev))


_PUMP: Final = ("rail_pressure", "pump_pressure", "pump_shut_off")


def _pump(sound: dict[str, Any], broken: set[str]) -> Iterator[Fault]:
    """Fault of a fuel pump that gives nothing at the pressure its flow is stated at."""
    keys = [f"fuel_system.{name}" for name in _PUMP]
    if {"fuel_system", *(FILE_KEYS[key] for key in keys)} & broken:
        return
    rail, stated, shut_off = (_value(sound, key) for key in keys)
    rated = rail if stated is None else stated
    if shut_off is not None and shut_off <= rated:
        allowed = f"above {describe(rated)}, at which the pump's flow is stated"
        yield Fault(FILE_KEYS[keys[-1]], describe(shut_off), allowed)


def _tables(sound: dict[str, Any]) -> Iterator[Fault]:
    """Tables whose first column does not rise."""
    for path, row in DEFAULTS.items():
        if not row.quantity.startswith("table:") or path.partition(".")[0] not in SECTIONS:
            continue
        last = float("-inf")
        for number, pair in enumerate(_value(sound, path) or ()):
            if pair is None:
                continue
            if pair[0] <= last:
                where = f"{FILE_KEYS[path]}[{number}]"
                value = f"{describe(pair[0])} after {describe(last)}"
                yield Fault(where, value, "a first column that rises")
            last = pair[0]


_LAID_OUT: Final = (
    "drive.kind",
    "drive.crank_pulley_diameter",
    "drive.blower_pulley_diameter",
    "drive.belt_section",
    "drive.pitch_offset",
    "drive.fitted_pulley_diameter",
)
"""Inputs that a layout's path depends on."""


def _layout(sound: dict[str, Any], broken: set[str]) -> Iterator[Fault]:
    """Faults of the belt's layout, then the sentence where the belt cannot run."""
    content = sound.get("layout")
    if content is None:
        return
    found = tuple(plan_faults(content, broken))
    yield from found
    keys = {FILE_KEYS[path] for path in _LAID_OUT} | {"drive"}
    mine = {place for place in broken if place.startswith("layout")}
    if found or mine or keys & broken or _value(sound, "drive.kind") != "belt":
        return
    values = {path.partition(".")[2]: _value(sound, path) for path in _LAID_OUT}
    try:
        check_plan(plan_of(content), Drive(**values))
    except InputError as error:
        if error.field.startswith("layout"):
            yield Fault(plan_key(error.field), str(error.value), error.allowed)


def _days(sound: dict[str, Any]) -> Iterator[Fault]:
    names: dict[str, int] = {}
    for number, day in enumerate(sound.get("days") or ()):
        name = (day or {}).get("name")
        if name is None:
            continue
        where = f"days[{number}].name"
        if not name.strip():
            yield Fault(where, describe(name), "a name")
        elif name in names:
            allowed = f"days of different names (days[{names[name]}])"
            yield Fault(where, f"{describe(name)} again", allowed)
        names.setdefault(name, number)
    target = _section(sound, "target").get("day")
    known = [*NAMED_DAYS, *(name for name in names if name not in NAMED_DAYS and name.strip())]
    if target is not None and target not in known:
        yield Fault("target.day", describe(target), "one of " + ", ".join(known))


def _scenes(sound: dict[str, Any]) -> Iterator[Fault]:
    names: dict[str, int] = {}
    for number, scene in enumerate(sound.get("scenes") or ()):
        name = scene if isinstance(scene, str) else (scene or {}).get("name")
        if name is None:
            continue
        where = f"scenes[{number}]" + ("" if isinstance(scene, str) else ".name")
        if not name.strip():
            yield Fault(where, describe(name), "a name")
        elif name in names:
            allowed = f"scenes of different names (scenes[{names[name]}])"
            yield Fault(where, f"{describe(name)} again", allowed)
        names.setdefault(name, number)


def _known_path(path: str) -> str:
    bare = {key: known for known, key in FILE_KEYS.items()}.get(path)
    near = bare or nearest(path, INPUT_PATHS)
    return f"paths of inputs; {near} is the nearest" if near else "paths of inputs"
