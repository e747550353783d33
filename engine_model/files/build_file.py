"""Files of builds, ``*.build.json``: the build with its compressor map, without the picture."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Iterator
from dataclasses import fields, replace
from typing import Any

import numpy as np

from engine_model.defaults import DEFAULTS
from engine_model.errors import Fault, FileFaultsError, InputError
from engine_model.files.atomic import write_atomically
from engine_model.files.belt_record import plan_of, plan_to_document
from engine_model.files.build_faults import as_fault, build_faults
from engine_model.files.build_record import BUILD_FORMAT, SECTIONS, BuildRecord
from engine_model.files.keys import FILE_KEYS, PATHS
from engine_model.files.layout import plain, to_bytes
from engine_model.files.map_file import map_of, map_to_document
from engine_model.files.map_record import VERSION
from engine_model.files.reading import Document, describe, read_document
from engine_model.files.structure import open_record
from engine_model.inputs import INPUT_PATHS, Build, Day, Pin, Scene, Shelf

_PIN = re.compile(r"pins\[(\d+)\]")
_DAY = ("altitude", "pressure", "temperature", "relative_humidity")


def load_build(path: str | os.PathLike[str]) -> Build:
    """Build of a file; keys it does not have take their defaults.

    Parameters
    ----------
    path : str or path-like
        A ``*.build.json`` file.

    Returns
    -------
    Build
        The build.

    Raises
    ------
    FileFaultsError
        With every fault of the file.
    """
    document = read_document(path)
    build, faults = open_build(document)
    if build is None:
        raise FileFaultsError(document.name, faults)
    return build


def save_build(build: Build, path: str | os.PathLike[str]) -> None:
    """Save a build in one step, every input written out.

    Parameters
    ----------
    build : Build
        The build.
    path : str or path-like
        The file.

    Raises
    ------
    FileFaultsError
        When the build could not be loaded again, with every fault; nothing is written.
    SaveError
        When the file cannot be written.
    """
    document = build_to_document(build)
    _, faults = open_build(Document(os.fspath(path), document, (), False))
    if faults:
        raise FileFaultsError(os.fspath(path), faults)
    write_atomically(path, to_bytes(document))


def build_from_document(document: dict[str, Any]) -> Build:
    """Build of a document, as JSON has it.

    Parameters
    ----------
    document : dict
        Content of a build's file.

    Returns
    -------
    Build
        The build.

    Raises
    ------
    FileFaultsError
        With every fault.
    """
    build, faults = open_build(Document("build", document, (), False))
    if build is None:
        raise FileFaultsError("build", faults)
    return build


def open_build(document: Document) -> tuple[Build | None, tuple[Fault, ...]]:
    """Build of a document, or every fault.

    Parameters
    ----------
    document : Document
        What stands in a file.

    Returns
    -------
    Build or None
        The build, where there is no fault.
    tuple of Fault
        Faults of JSON, of the structure, then of the meaning.
    """
    opened = open_record(document.content, BuildRecord, ordinary=document.ordinary)
    faults = [*document.faults, *_with_pin_names(opened.faults, document.content)]
    if opened.sound is not None:
        faults += build_faults(opened.sound, opened.faults)
    if faults or opened.sound is None:
        return None, tuple(faults)
    try:
        build = _build_of(opened.record, opened.sound)
    except InputError as error:
        return None, (as_fault(error),)
    return build, ()


def pin_misfits(build: Build) -> tuple[Fault, ...]:
    """Pins that cannot be put on their build, such as an over-rev under a limiter raised since.

    They are told, but stop neither loading nor saving: the build is whole without them.

    Parameters
    ----------
    build : Build
        The build.

    Returns
    -------
    tuple of Fault
        One a pin, which it names.
    """
    misfits = []
    for number, pin in enumerate(build.pins):
        try:
            build.with_values(dict(pin.values))
        except InputError as error:
            key = FILE_KEYS.get(error.field, error.field)
            misfits.append(_of_pin(as_fault(error, f"pins[{number}].changes.{key}"), pin.name))
    return tuple(misfits)


def _of_pin(fault: Fault, name: object) -> Fault:
    """Fault of a pin that says its name too."""
    told = describe(name).removeprefix("the text ")
    return replace(fault, where=f"{fault.where} (pin {told})")


def _with_pin_names(faults: Iterable[Fault], content: object) -> Iterator[Fault]:
    """Faults, those of a pin with its name, where it has one."""
    pins = content.get("pins") if isinstance(content, dict) else None
    for fault in faults:
        found = _PIN.match(fault.where)
        pin = pins[int(found[1])] if found and isinstance(pins, list) else None
        name = pin.get("name") if isinstance(pin, dict) else None
        yield _of_pin(fault, name) if isinstance(name, str) else fault


def _build_of(record: Any, content: dict[str, Any]) -> Build:
    values: dict[str, Any] = {}
    for name, section in SECTIONS.items():
        read = getattr(record, name)
        parts = {one.name: _tuples(getattr(read, one.name)) for one in fields(section)}
        if parts.get("compressor_map") is not None:
            parts["compressor_map"] = map_of(parts["compressor_map"])
        values[name] = section(**parts)
    return Build(
        title=record.title,
        notes=record.notes,
        invented=record.invented,
        days=tuple(
            Day(name=day.name, **{key: getattr(day, key) for key in _DAY}) for day in record.days
        ),
        pins=tuple(
            Pin(pin.name, tuple(_changes(pin.changes, written.get("changes", {}))), pin.map_title)
            for pin, written in zip(record.pins, content.get("pins", ()), strict=True)
        ),
        scenes=tuple(
            _scene_of(scene, written)
            for scene, written in zip(record.scenes, content.get("scenes", ()), strict=True)
        ),
        shelf=_shelf_of(record.shelf),
        layout=None if record.layout is None else plan_of(content["layout"]),
        given=frozenset(record.given),
        **values,
    )


def _scene_of(record: Any, written: Any) -> Scene:
    """Scene of a file; text alone, as scenes once were, is its name."""
    if isinstance(record, str):
        return Scene(record)
    knobs = tuple(_changes(record.knobs, written.get("knobs", {})))
    return Scene(record.name, record.kind, knobs, record.question)


def _changes(record: Any, written: dict[str, Any]) -> list[tuple[str, Any]]:
    """Changes of a pin in the order of the file."""
    paths = [PATHS[key] for key in written]
    return [(path, _tuples(getattr(record, path.replace(".", "__")))) for path in paths]


def _tuples(value: Any) -> Any:
    return tuple(map(tuple, value)) if isinstance(value, list) else value


def build_to_document(build: Build) -> dict[str, Any]:
    """Document of a build, as JSON has it.

    Parameters
    ----------
    build : Build
        The build.

    Returns
    -------
    dict
        Content of its file; the picture of its compressor map stays behind.
    """
    document: dict[str, Any] = {
        "format": BUILD_FORMAT,
        "version": VERSION,
        "title": build.title,
        "notes": build.notes,
        "invented": build.invented,
    }
    for name, section in SECTIONS.items():
        document[name] = {}
        for one in fields(section):
            path = f"{name}.{one.name}"
            value = getattr(getattr(build, name), one.name)
            if path == "blower.compressor_map":
                written = None if value is None else map_to_document(value, picture=False)
                document[name][one.name] = written
            else:
                document[name][FILE_KEYS[path].partition(".")[2]] = _written(path, value)
    document["days"] = [
        {"name": day.name, **{_day_key(key): _written(f"day.{key}", getattr(day, key))
                              for key in _DAY}}
        for day in build.days
    ]  # fmt: skip
    document["pins"] = [
        {
            "name": pin.name,
            **({} if pin.map_title is None else {"map_title": pin.map_title}),
            "changes": {FILE_KEYS[p]: _written(p, v) for p, v in pin.changes},
        }
        for pin in build.pins
    ]
    document["scenes"] = [
        {
            "name": scene.name,
            "kind": scene.kind,
            "question": scene.question,
            "knobs": {FILE_KEYS[p]: _written(p, v) for p, v in scene.knobs},
        }
        for scene in build.scenes
    ]
    if build.shelf != Shelf():
        document["shelf"] = _shelf_to_document(build.shelf)
    if build.layout is not None:
        document["layout"] = plan_to_document(build.layout)
    document["given"] = [path for path in INPUT_PATHS if path in build.given]
    return document


def _shelf_to_document(shelf: Shelf) -> dict[str, Any]:
    return {
        "pulley_diameters_m": [plain(size) for size in shelf.pulleys],
        "belt_lengths_m": [plain(size) for size in shelf.belts],
        "injector_flows_m3_s": [plain(flow) for flow in shelf.injectors],
        "cores": list(shelf.cores),
        "shop": shelf.shop,
    }


def _shelf_of(record: Any) -> Shelf:
    return Shelf(
        pulleys=tuple(record.pulley_diameters_m),
        belts=tuple(record.belt_lengths_m),
        injectors=tuple(record.injector_flows_m3_s),
        cores=tuple(record.cores),
        shop=record.shop,
    )


def _day_key(name: str) -> str:
    return FILE_KEYS[f"day.{name}"].partition(".")[2]


def _written(path: str, value: Any) -> Any:
    """Value as it stands in a file, of plain Python type."""
    if isinstance(value, tuple):
        return [[plain(one) for one in pair] for pair in value]
    if DEFAULTS[path].quantity == "integer" and value is not None:
        return int(value)
    return (
        plain(float(value)) if isinstance(value, (float, int, np.integer, np.floating)) else value
    )
