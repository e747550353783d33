"""Files of traces: inside a map's file, or as a draft ``*.trace.json`` while it is no map yet."""

from __future__ import annotations

import base64
import os
from dataclasses import replace
from typing import Any

from engine_model.compressor.map_data import CompressorMap
from engine_model.errors import Fault, FileFaultsError
from engine_model.files.atomic import write_atomically
from engine_model.files.layout import plain, to_bytes
from engine_model.files.map_file import map_document_faults, map_from_document, map_to_document
from engine_model.files.map_record import VERSION, MapRecord
from engine_model.files.reading import LARGEST_FILE, Document, read_document
from engine_model.files.structure import open_record
from engine_model.files.trace_faults import open_draft, picture_bytes
from engine_model.files.trace_record import TRACE_FORMAT
from engine_model.tracing.trace import Axes, Node, PictureRef, Point, Trace, TracedCurve


def load_map_with_trace(
    path: str | os.PathLike[str],
) -> tuple[CompressorMap | None, Trace | None]:
    """Compressor map and trace of a file.

    Parameters
    ----------
    path : str or path-like
        A map's file or a draft.

    Returns
    -------
    CompressorMap or None
        None for a draft.
    Trace or None
        None for a map that holds no trace that could be taken up again.

    Raises
    ------
    FileFaultsError
        With every fault of the file.
    """
    document = read_document(path)
    if _is_draft(document):
        opened = open_draft(document)
        if opened.faults:
            raise FileFaultsError(document.name, opened.faults)
        return None, trace_of_record(opened.record, document.name)
    faults = map_document_faults(document)
    if faults:
        raise FileFaultsError(document.name, faults)
    compressor_map = map_from_document(document.content)  # type: ignore[arg-type]
    record = open_record(document.content, MapRecord, ordinary=document.ordinary).record
    if record.trace is None or record.trace.axes is None:
        return compressor_map, None
    return compressor_map, trace_of_record(record, document.name)


def load_embedded_picture(path: str | os.PathLike[str]) -> bytes | None:
    """PNG file of the picture that a map's file or a draft holds; None where it holds none.

    Its size may be less than the trace's working size: it is scaled up to that for use.
    """
    document = read_document(path)
    content: Any = document.content
    section = content.get("trace") if isinstance(content, dict) else None
    text = section.get("picture_png_base64") if isinstance(section, dict) else None
    if text is None:
        return None
    data = picture_bytes(text) if isinstance(text, str) else None
    if data is None:
        fault = Fault("trace.picture_png_base64", "what is no picture", "text in base 64")
        raise FileFaultsError(document.name, (fault,))
    return data


def save_map_with_trace(
    compressor_map: CompressorMap,
    path: str | os.PathLike[str],
    *,
    trace: Trace,
    picture_png: bytes | None = None,
) -> None:
    """Save a compressor map with its trace in one step.

    Parameters
    ----------
    compressor_map : CompressorMap
        The map.
    path : str or path-like
        The file.
    trace : Trace
        How it was traced.
    picture_png : bytes, optional
        PNG file of the picture, scaled down.

    Raises
    ------
    FileFaultsError
        When the file could not be loaded again, with every fault; nothing is written.
    SaveError
        When the file cannot be written.
    """
    document = map_to_document(replace(compressor_map, trace=None))
    document["trace"] = section_of(trace, picture_png)
    faults = map_document_faults(Document(os.fspath(path), document, (), False))
    _write(document, path, faults)


def save_draft(
    trace: Trace, path: str | os.PathLike[str], *, picture_png: bytes | None = None
) -> None:
    """Save a trace that need be no map yet, in one step.

    Parameters
    ----------
    trace : Trace
        The trace.
    path : str or path-like
        The file.
    picture_png : bytes, optional
        PNG file of the picture, scaled down.

    Raises
    ------
    FileFaultsError
        When the file could not be loaded again; nothing is written.
    SaveError
        When the file cannot be written.
    """
    document = draft_document(trace, picture_png)
    faults = open_draft(Document(os.fspath(path), document, (), False)).faults
    _write(document, path, faults)


def draft_document(trace: Trace, picture_png: bytes | None = None) -> dict[str, Any]:
    """Document of a draft, as JSON has it; for the file and for a journal."""
    return {
        "format": TRACE_FORMAT,
        "version": VERSION,
        "title": trace.title,
        "provenance": {"kind": "traced", "text": trace.provenance_text, "date": trace.date},
        "impeller": {
            "exducer_diameter_m": _or_null(trace.exducer_diameter),
            "inducer_diameter_m": _or_null(trace.inducer_diameter),
            "maximum_speed_rpm": _or_null(trace.maximum_speed),
        },
        "built_in_step_up": plain(trace.built_in_step_up),
        "trace": section_of(trace, picture_png),
    }


def trace_from_document(document: dict[str, Any]) -> Trace:
    """Trace of a draft's document, as JSON has it; a FileFaultsError with every fault."""
    opened = open_draft(Document("trace", document, (), False))
    if opened.faults:
        raise FileFaultsError("trace", opened.faults)
    return trace_of_record(opened.record, "trace")


def section_of(trace: Trace, picture_png: bytes | None = None) -> dict[str, Any]:
    """Section ``trace`` of a file."""
    axes, picture = trace.axes, trace.picture
    section: dict[str, Any] = {
        "picture_sha256": "" if picture is None else picture.sha256,
        "corners_px": _pairs(axes.places_px),
        "flow_unit": axes.flow_unit,
    }
    if picture is not None:
        section["picture"] = {
            "name": picture.name,
            "width_px": picture.width,
            "height_px": picture.height,
            "page": picture.page,
            "scale": plain(picture.scale),
        }
    section["axes"] = {
        "corner_values": _pairs(axes.values),
        "flow_kind": axes.flow_kind,
        "density_kg_m3": _or_null(axes.density),
        "reference_temperature_k": _or_null(axes.reference_temperature),
        "reference_pressure_pa": _or_null(axes.reference_pressure),
        "pressure_basis": axes.pressure_basis,
        "check_px": None if axes.check_px is None else _pairs((axes.check_px,))[0],
        "check_value": None if axes.check_value is None else _pairs((axes.check_value,))[0],
    }
    section["curves"] = [_curve(curve) for curve in trace.curves]
    section["notes"] = trace.notes
    if picture_png is not None:
        section["picture_png_base64"] = base64.b64encode(picture_png).decode("ascii")
    return section


def _curve(curve: TracedCurve) -> dict[str, Any]:
    speed = curve.value if curve.kind == "speed_line" else None
    efficiency = curve.value if curve.kind == "island" else None
    return {
        "kind": curve.kind,
        "corrected_speed_rpm": _or_null(speed),
        "efficiency": _or_null(efficiency),
        "closed": curve.closed,
        "nodes_px": _pairs(tuple(node.place for node in curve.nodes)),
        "free_nodes": [number for number, node in enumerate(curve.nodes) if node.free],
        "path_px": _pairs(curve.path),
        "breaks": list(curve.breaks) if curve.path else [],
    }


def trace_of_record(record: Any, name: str) -> Trace:
    """Trace of a record without faults.

    Parameters
    ----------
    record : MapRecord or DraftRecord
        Content of a file with a whole section ``trace``.
    name : str
        Name of the file.

    Returns
    -------
    Trace
        The trace.
    """
    section, impeller = record.trace, record.impeller
    picture = None
    if section.picture is not None:
        one = section.picture
        picture = PictureRef(
            section.picture_sha256, one.name, one.width_px, one.height_px, one.page, one.scale
        )
    return Trace(
        picture,
        _axes_of(section),
        tuple(_curve_of(one) for one in section.curves),
        record.title,
        record.provenance.text,
        record.provenance.date,
        impeller.exducer_diameter_m,
        impeller.inducer_diameter_m,
        impeller.maximum_speed_rpm,
        record.built_in_step_up,
        section.notes,
    )


def _axes_of(section: Any) -> Axes:
    places, axes = tuple(section.corners_px), section.axes
    if axes is None:
        return Axes(places, flow_unit=section.flow_unit)
    return Axes(
        places,
        tuple(axes.corner_values),
        axes.flow_kind,
        section.flow_unit,
        axes.density_kg_m3,
        axes.reference_temperature_k,
        axes.reference_pressure_pa,
        axes.pressure_basis,
        axes.check_px,
        axes.check_value,
    )


def _curve_of(record: Any) -> TracedCurve:
    free = set(record.free_nodes)
    nodes = tuple(Node(x, y, number in free) for number, (x, y) in enumerate(record.nodes_px))
    value = record.corrected_speed_rpm if record.kind == "speed_line" else record.efficiency
    path, breaks = tuple(record.path_px), tuple(record.breaks)
    return TracedCurve(record.kind, value, nodes, path, record.closed, breaks)


def _write(
    document: dict[str, Any], path: str | os.PathLike[str], faults: tuple[Fault, ...]
) -> None:
    if faults:
        raise FileFaultsError(os.fspath(path), faults)
    data = to_bytes(document)
    if len(data) > LARGEST_FILE:
        most = f"a picture that keeps the file under {LARGEST_FILE // 1_000_000} MB; scale it down"
        fault = Fault("trace.picture_png_base64", f"a file of {len(data) / 1e6:.1f} MB", most)
        raise FileFaultsError(os.fspath(path), (fault,))
    write_atomically(path, data)


def _is_draft(document: Document) -> bool:
    content = document.content
    return isinstance(content, dict) and content.get("format") == TRACE_FORMAT


def _pairs(points: tuple[Point, ...]) -> list[list[float | int]]:
    return [[plain(x), plain(y)] for x, y in points]


def _or_null(value: float | None) -> float | int | None:
    return None if value is None else plain(value)
