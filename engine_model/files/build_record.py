"""What stands in a file of a build; sections and ranges are made from the table of defaults."""

from __future__ import annotations

from dataclasses import fields
from typing import Annotated, Any, Final, Literal

from msgspec import UNSET, Meta, Struct, UnsetType, defstruct, field

from engine_model.defaults import DEFAULTS
from engine_model.files.belt_record import LayoutRecord
from engine_model.files.keys import FILE_KEYS, value_type
from engine_model.files.map_record import MapRecord
from engine_model.inputs import INPUT_PATHS, SHELF_RANGES, Build

BUILD_FORMAT: Final = "pulleywright-build"

SECTIONS: Final[dict[str, Any]] = {
    one.name: one.default_factory
    for one in fields(Build)
    if hasattr(one.default_factory, "SECTION")
}
"""Class of every section of inputs by its name, in the order of the build."""


def _struct(name: str, members: list[Any], told: str, keys: dict[str, str] | None = None) -> Any:
    made = defstruct(
        name, members, rename=keys, forbid_unknown_fields=True, frozen=True, kw_only=True
    )
    made.__doc__ = told
    return made


def _section(name: str) -> Any:
    members: list[Any] = []
    keys: dict[str, str] = {}
    for one in fields(SECTIONS[name]):
        path = f"{name}.{one.name}"
        if path == "blower.compressor_map":
            members.append((one.name, MapRecord | None, None))
            continue
        row = DEFAULTS[path]
        members.append((one.name, value_type(row), _default(row.value)))
        keys[one.name] = FILE_KEYS[path].partition(".")[2]
    return _struct(f"{name.title().replace('_', '')}Record", members, f"Section {name}.", keys)


def _default(value: object) -> Any:
    return field(default_factory=lambda: list(value)) if isinstance(value, tuple) else value


def _day() -> Any:
    members: list[Any] = [("name", Annotated[str, Meta(description="must not be empty")])]
    keys: dict[str, str] = {}
    for name in ("altitude", "pressure", "temperature", "relative_humidity"):
        row = DEFAULTS[f"day.{name}"]
        members.append((name, value_type(row), row.value))
        keys[name] = FILE_KEYS[row.path].partition(".")[2]
    return _struct("DayRecord", members, "The air the engine breathes.", keys)


def _changes() -> Any:
    members: list[Any] = []
    keys: dict[str, str] = {}
    for path in INPUT_PATHS:
        name = path.replace(".", "__")
        members.append((name, value_type(DEFAULTS[path]) | UnsetType, UNSET))
        keys[name] = FILE_KEYS[path]
    return _struct("ChangesRecord", members, "Inputs that differ from the build.", keys)


DayRecord: Any = _day()
ChangesRecord: Any = _changes()


class PinRecord(Struct, forbid_unknown_fields=True, frozen=True, kw_only=True):
    """A line kept for comparison."""

    name: str
    map_title: str | None = None
    changes: ChangesRecord = field(default_factory=ChangesRecord)


class SceneRecord(Struct, forbid_unknown_fields=True, frozen=True, kw_only=True):
    """A saved set-up of surge in time, with its question."""

    name: str
    kind: Literal["lift", "closing", "choke"] = "lift"
    question: str = ""
    knobs: ChangesRecord = field(default_factory=ChangesRecord)


def _sizes(name: str) -> Any:
    low, high = SHELF_RANGES[name]
    return list[Annotated[float, Meta(ge=low, le=high)]]


class ShelfRecord(Struct, forbid_unknown_fields=True, frozen=True, kw_only=True):
    """What the shop had on its shelf when the build was begun."""

    pulley_diameters_m: _sizes("pulleys") = field(default_factory=list)  # type: ignore[valid-type]
    belt_lengths_m: _sizes("belts") = field(default_factory=list)  # type: ignore[valid-type]
    injector_flows_m3_s: _sizes("injectors") = field(default_factory=list)  # type: ignore[valid-type]
    cores: list[str] = field(default_factory=list)
    shop: str = ""


def _build() -> Any:
    records = {name: _section(name) for name in SECTIONS}
    members: list[Any] = [
        ("format", Literal["pulleywright-build"]),
        ("version", Literal[1]),
        ("title", str, "New build"),
        ("notes", str, ""),
        ("invented", bool, False),
        *((name, record, field(default_factory=record)) for name, record in records.items()),
        ("days", list[DayRecord], field(default_factory=list)),
        ("pins", list[PinRecord], field(default_factory=list)),
        ("scenes", list[SceneRecord | str], field(default_factory=list)),
        ("shelf", ShelfRecord, field(default_factory=ShelfRecord)),
        ("layout", LayoutRecord | None, None),
        ("given", Annotated[list[str], Meta(description="paths the user set, without units")],
         field(default_factory=list)),
    ]  # fmt: skip
    return _struct("BuildRecord", members, "Everything bolted together.")


BuildRecord: Any = _build()
"""The whole file."""
