"""Faults of the tracing in a file, and drafts: files of a trace that is no map yet."""

from __future__ import annotations

import base64
import binascii
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from typing import Any, Final, Literal

from msgspec import Struct, field

from engine_model.errors import Fault
from engine_model.files.map_record import ImpellerRecord, ProvenanceRecord
from engine_model.files.reading import Document, describe
from engine_model.files.structure import Opened, open_record
from engine_model.files.trace_record import MOST_PLACES, TraceRecord

LEAST_CORNERS: Final = 4
"""Known points of a picture that a map was traced from."""

_VALUES: Final = {"speed_line": "corrected_speed_rpm", "island": "efficiency"}
_POSITIVE: Final = (
    "density_kg_m3", "reference_temperature_k", "reference_pressure_pa"
)  # fmt: skip
_IMPELLER: Final = ("exducer_diameter_m", "inducer_diameter_m", "maximum_speed_rpm")


class DraftRecord(Struct, forbid_unknown_fields=True, frozen=True, kw_only=True):
    """A trace that is no map yet."""

    format: Literal["pulleywright-trace"]
    version: Literal[1]
    title: str = ""
    provenance: ProvenanceRecord = field(default_factory=lambda: ProvenanceRecord(kind="traced"))
    impeller: ImpellerRecord = field(default_factory=ImpellerRecord)
    built_in_step_up: float = 1.0
    trace: TraceRecord


def open_draft(document: Document) -> Opened:
    """Draft of a document.

    Parameters
    ----------
    document : Document
        What stands in a file.

    Returns
    -------
    Opened
        A `DraftRecord`, and every fault that keeps it from being taken up again; what the trace
        still needs to be a map is no fault here.
    """
    opened = open_record(document.content, DraftRecord, ordinary=document.ordinary)
    sound = opened.sound or {}
    meaning = [*_heading(sound), *trace_faults(sound.get("trace"), 0)]
    return replace(opened, faults=(*document.faults, *opened.faults, *meaning))


def _heading(sound: dict[str, Any]) -> Iterator[Fault]:
    impeller = sound.get("impeller") or {}
    for key in _IMPELLER:
        yield from _positive(f"impeller.{key}", impeller.get(key))
    yield from _positive("built_in_step_up", sound.get("built_in_step_up"))


def trace_faults(trace: dict[str, Any] | None, least: int = LEAST_CORNERS) -> Iterator[Fault]:
    """Faults of the tracing in a map's file.

    Parameters
    ----------
    trace : dict, optional
        The section, its structure sound; parts at fault may be absent, list items None.
    least : int
        Known points it must have. [-]

    Yields
    ------
    Fault
        One a fault.
    """
    if not trace:
        return
    corners = trace.get("corners_px")
    if corners is not None and len(corners) < least:
        allowed = f"{least} to {MOST_PLACES} known points of the picture"
        yield Fault("trace.corners_px", describe(corners), allowed)
    axes = trace.get("axes")
    if axes:
        yield from _axes(axes, corners if least else None)
    picture = trace.get("picture_png_base64")
    if axes is not None and picture is not None and picture_bytes(picture) is None:
        yield Fault("trace.picture_png_base64", describe(picture), "text in base 64")
    scale = (trace.get("picture") or {}).get("scale")
    yield from _positive("trace.picture.scale", scale)
    for number, curve in enumerate(trace.get("curves") or ()):
        if curve is not None:
            yield from _curve(f"trace.curves[{number}]", curve)


def picture_bytes(text: str) -> bytes | None:
    """Bytes of a picture as it stands in a file; None where it is not base 64."""
    try:
        return base64.b64decode(text, validate=True)
    except (binascii.Error, ValueError):
        return None


def _axes(axes: dict[str, Any], corners: list[Any] | None) -> Iterator[Fault]:
    values = axes.get("corner_values") or []
    # in a draft values may still be missing
    if corners is not None and len(values) != len(corners):
        value = f"{len(values)} values for {len(corners)} points"
        yield Fault("trace.axes.corner_values", value, "one pair of values for each point")
    for key in _POSITIVE:
        yield from _positive(f"trace.axes.{key}", axes.get(key))


def _positive(where: str, value: float | None) -> Iterator[Fault]:
    if value is not None and not value > 0.0:
        yield Fault(where, describe(value), "a number above 0")


def _curve(where: str, curve: dict[str, Any]) -> Iterator[Fault]:
    kind = curve.get("kind")
    if kind is None:
        return
    for of_kind, key in _VALUES.items():
        value = curve.get(key)
        if value is not None and kind != of_kind:
            yield Fault(f"{where}.{key}", describe(value), f"nothing for a {kind}")
        else:
            yield from _positive(f"{where}.{key}", value)
    efficiency = curve.get("efficiency")
    if kind == "island" and efficiency is not None and efficiency >= 1.0:
        allowed = "an efficiency as a share"
        if 1.0 < efficiency < 100.0:
            allowed += f" ({efficiency:g} % is {efficiency / 100.0:.6g})"
        yield Fault(f"{where}.efficiency", describe(efficiency), allowed)
    if curve.get("closed") and kind != "island":
        yield Fault(f"{where}.closed", "true", "closed islands only")
    nodes, path = curve.get("nodes_px"), curve.get("path_px") or []
    if nodes is None:
        return
    for number in curve.get("free_nodes") or ():
        if number is not None and number >= len(nodes):
            yield Fault(f"{where}.free_nodes", describe(number), f"0 to {len(nodes) - 1}")
    breaks = curve.get("breaks") or []
    if None in breaks:
        return
    if len(breaks) != (len(nodes) if path else 0):
        value = f"{len(breaks)} for {len(nodes)} nodes"
        yield Fault(f"{where}.breaks", value, "one for every node where there is a path")
    elif breaks and (breaks[-1] >= len(path) or any(a > b for a, b in pairwise(breaks))):
        allowed = f"rising numbers of points, 0 to {len(path) - 1}"
        yield Fault(f"{where}.breaks", describe(breaks), allowed)
