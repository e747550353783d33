"""Files of compressor maps, ``*.map.json``."""

from __future__ import annotations

import os
from typing import Any

from engine_model.compressor.map_data import (
    CompressorMap,
    Island,
    Point,
    Provenance,
    SpeedLine,
    Trace,
)
from engine_model.errors import Fault, FileFaultsError
from engine_model.files.atomic import write_atomically
from engine_model.files.layout import plain, to_bytes
from engine_model.files.map_faults import map_faults
from engine_model.files.map_record import MAP_FORMAT, VERSION, MapRecord
from engine_model.files.reading import Document, read_document
from engine_model.files.structure import open_record


def load_map(path: str | os.PathLike[str]) -> CompressorMap:
    """Compressor map of a file.

    Parameters
    ----------
    path : str or path-like
        A ``*.map.json`` file.

    Returns
    -------
    CompressorMap
        The map.

    Raises
    ------
    FileFaultsError
        With every fault of the file.
    """
    return _read(read_document(path))


def save_map(compressor_map: CompressorMap, path: str | os.PathLike[str]) -> None:
    """Save a compressor map in one step.

    Parameters
    ----------
    compressor_map : CompressorMap
        The map. Of how it was traced only what the map itself holds is saved: with all that is
        needed to take the work up again `engine_model.tracing.trace_file` saves it.
    path : str or path-like
        The file.

    Raises
    ------
    FileFaultsError
        When the map could not be loaded again, with every fault; nothing is written.
    SaveError
        When the file cannot be written.
    """
    document = map_to_document(compressor_map)
    faults = map_document_faults(Document(os.fspath(path), document, (), False))
    if faults:
        raise FileFaultsError(os.fspath(path), faults)
    write_atomically(path, to_bytes(document))


def map_from_document(document: dict[str, Any]) -> CompressorMap:
    """Compressor map of a document, as JSON has it.

    Parameters
    ----------
    document : dict
        Content of a map's file.

    Returns
    -------
    CompressorMap
        The map.

    Raises
    ------
    FileFaultsError
        With every fault.
    """
    return _read(Document("compressor map", document, (), False))


def map_document_faults(document: Document) -> tuple[Fault, ...]:
    """Every fault of a map's document.

    Parameters
    ----------
    document : Document
        What stands in a file.

    Returns
    -------
    tuple of Fault
        Faults of JSON, of the structure, then of the meaning.
    """
    return _open(document)[1]


def _open(document: Document) -> tuple[Any, tuple[Fault, ...]]:
    opened = open_record(document.content, MapRecord, ordinary=document.ordinary)
    meaning = () if opened.sound is None else map_faults(opened.sound)
    return opened.record, (*document.faults, *opened.faults, *meaning)


def _read(document: Document) -> CompressorMap:
    record, faults = _open(document)
    if faults:
        raise FileFaultsError(document.name, faults)
    return map_of(record)


def map_of(record: Any) -> CompressorMap:
    """Compressor map of a record.

    Parameters
    ----------
    record : MapRecord
        Content of a map's file, without faults.

    Returns
    -------
    CompressorMap
        The map.
    """
    trace = record.trace
    return CompressorMap(
        title=record.title,
        provenance=Provenance(
            record.provenance.kind, record.provenance.text, record.provenance.date
        ),
        reference_temperature=record.reference.temperature_k,
        reference_pressure=record.reference.pressure_pa,
        pressure_basis=record.pressure_basis,
        speed_lines=tuple(
            SpeedLine(
                line.corrected_speed_rpm,
                tuple((point[0], point[1]) for point in line.points),
                tuple(point[2] for point in line.points) if len(line.points[0]) > 2 else None,
            )
            for line in record.speed_lines
        ),
        surge_line=tuple(record.surge_line),
        islands=tuple(
            Island(one.efficiency, one.closed, tuple(one.points)) for one in record.islands
        ),
        choke_line=None if record.choke_line is None else tuple(record.choke_line),
        exducer_diameter=record.impeller.exducer_diameter_m,
        inducer_diameter=record.impeller.inducer_diameter_m,
        maximum_speed=record.impeller.maximum_speed_rpm,
        built_in_step_up=record.built_in_step_up,
        trace=None
        if trace is None
        else Trace(
            trace.picture_sha256,
            tuple(trace.corners_px),
            trace.flow_unit or "",
            trace.picture_png_base64,
        ),
    )


def map_to_document(compressor_map: CompressorMap, *, picture: bool = True) -> dict[str, Any]:
    """Document of a compressor map, as JSON has it.

    Parameters
    ----------
    compressor_map : CompressorMap
        The map.
    picture : bool
        Whether the picture it was traced from goes along.

    Returns
    -------
    dict
        Content of its file.
    """
    one = compressor_map
    document: dict[str, Any] = {
        "format": MAP_FORMAT,
        "version": VERSION,
        "title": one.title,
        "provenance": {
            "kind": one.provenance.kind,
            "text": one.provenance.text,
            "date": one.provenance.date,
        },
        "reference": {
            "temperature_k": plain(one.reference_temperature),
            "pressure_pa": plain(one.reference_pressure),
        },
        "pressure_basis": one.pressure_basis,
        "impeller": {
            "exducer_diameter_m": _or_null(one.exducer_diameter),
            "inducer_diameter_m": _or_null(one.inducer_diameter),
            "maximum_speed_rpm": _or_null(one.maximum_speed),
        },
        "built_in_step_up": plain(one.built_in_step_up),
        "speed_lines": [_line(line) for line in one.speed_lines],
        "islands": [
            {"efficiency": plain(i.efficiency), "closed": i.closed, "points": _pairs(i.points)}
            for i in one.islands
        ],
        "surge_line": _pairs(one.surge_line),
    }
    if one.choke_line is not None:
        document["choke_line"] = _pairs(one.choke_line)
    if one.trace is not None:
        document["trace"] = {
            "picture_sha256": one.trace.picture_sha256,
            "corners_px": _pairs(one.trace.corners_px),
            "flow_unit": one.trace.flow_unit,
        }
        if picture and one.trace.picture_png_base64 is not None:
            document["trace"]["picture_png_base64"] = one.trace.picture_png_base64
    return document


def _line(line: SpeedLine) -> dict[str, Any]:
    points = _pairs(line.points)
    if line.efficiency is not None:
        points = [[*p, plain(e)] for p, e in zip(points, line.efficiency, strict=True)]
    return {"corrected_speed_rpm": plain(line.corrected_speed), "points": points}


def _pairs(points: tuple[Point, ...]) -> list[list[float | int]]:
    return [[plain(flow), plain(ratio)] for flow, ratio in points]


def _or_null(value: float | None) -> float | int | None:
    return None if value is None else plain(value)
