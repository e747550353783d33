"""A trace made into a compressor map."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any, Final

import numpy as np

from engine_model.compressor.map_data import CompressorMap, Island, Provenance, SpeedLine
from engine_model.errors import FileFaultsError, InputError
from engine_model.files.curves import PEN_NOISE, RATIO_RANGE
from engine_model.files.line_faults import SPEED_RANGE
from engine_model.files.map_file import map_from_document
from engine_model.tracing.document import document_of
from engine_model.tracing.needs import needs
from engine_model.tracing.trace import Trace

PROVISIONAL_STATE: Final = (298.15, 100e3)
"""Temperature [K] and pressure [Pa] a drawing is made with while the reference is not said."""

_LEAST_WIDTH: Final = 0.02  # of a speed line in flow, as a share of the map
_LEAST_ISLAND_POINTS: Final = 6
_LIKE: Final = 2.5  # how far a line's head over speed squared may be from the others'


def trace_to_map(trace: Trace) -> CompressorMap:
    """Compressor map of a trace.

    Parameters
    ----------
    trace : Trace
        A trace without blocking needs and without faults.

    Returns
    -------
    CompressorMap
        At most 40 points a curve, closer where it bends; speed lines from surge to choke.

    Raises
    ------
    FileFaultsError
        With every need, or every fault.
    """
    name = trace.title or "trace"
    missing = tuple(need.fault() for need in needs(trace) if need.blocking)
    if missing:
        raise FileFaultsError(name, missing)
    try:
        return map_from_document(document_of(trace).content)
    except FileFaultsError as error:
        raise FileFaultsError(name, error.faults) from error


@dataclass(frozen=True, slots=True)
class Provisional:
    """The sound part of a trace in the making.

    Parameters
    ----------
    compressor_map : CompressorMap
        Its map, for drawing and review only.
    lines, islands : tuple of int
        Number of the traced curve of each of the map's speed lines and islands.
    """

    compressor_map: CompressorMap
    lines: tuple[int, ...]
    islands: tuple[int, ...]


def provisional_map(trace: Trace) -> Provisional | None:
    """Map of what is sound so far, for the live drawing only; None where that is too little.

    Parameters
    ----------
    trace : Trace
        A trace in the making.

    Returns
    -------
    Provisional or None
        Of the sound speed lines, at least two, and the sound islands; without a sound surge line
        it runs along the beginnings of the speed lines. A reference state not said yet is
        `PROVISIONAL_STATE`.
    """
    try:
        document = document_of(trace)
    except InputError:
        return None  # no calibration or no flow unit: there are no values
    content = document.content
    lines, islands = _lines(content), _islands(content)
    begins = tuple(line.points[0] for line in lines.values())
    surge = _pairs(content.get("surge_line") or ())
    if len(surge) < 2 or not _rises(surge):
        surge = begins
    if len(lines) < 2 or not _rises(surge):
        return None
    choke = _pairs(content.get("choke_line") or ())
    axes = trace.axes
    temperature, pressure = PROVISIONAL_STATE
    compressor_map = CompressorMap(
        title=trace.title,
        provenance=Provenance("traced", trace.provenance_text, trace.date),
        reference_temperature=axes.reference_temperature or temperature,
        reference_pressure=axes.reference_pressure or pressure,
        pressure_basis=axes.pressure_basis or "total_to_total",
        speed_lines=tuple(lines.values()),
        surge_line=surge,
        islands=tuple(islands.values()),
        choke_line=choke if len(choke) >= 2 and _right_of(choke, surge) else None,
        exducer_diameter=trace.exducer_diameter,
        inducer_diameter=trace.inducer_diameter,
        maximum_speed=trace.maximum_speed,
        built_in_step_up=trace.built_in_step_up,
    )
    return Provisional(
        compressor_map,
        tuple(document.curves[f"speed_lines[{n}]"] for n in lines),
        tuple(document.curves[f"islands[{n}]"] for n in islands),
    )


def _lines(content: dict[str, Any]) -> dict[int, SpeedLine]:
    """Speed lines with a speed of their own that run from surge to choke, by their number."""
    table = content["speed_lines"]
    if not table:
        return {}
    span = np.ptp(np.vstack([line["points"] for line in table]), axis=0)
    lines: dict[int, SpeedLine] = {}
    known: set[float] = set()
    low, high = SPEED_RANGE
    for number, line in enumerate(table):
        speed, points = line["corrected_speed_rpm"], np.array(line["points"])
        back = np.max(np.maximum.accumulate(points[:, 0]) - points[:, 0])
        sound = (
            points[-1, 0] - points[0, 0] > _LEAST_WIDTH * span[0]
            and back <= 3.0 * PEN_NOISE * span[0]
            and points[:, 0].min() > 0.0
            and points[:, 1].min() > RATIO_RANGE[0]
            and points[:, 1].max() <= RATIO_RANGE[1]
        )
        if speed is not None and low <= speed <= high and speed not in known and sound:
            known.add(speed)
            lines[number] = SpeedLine(speed, _pairs(line["points"]))
    return _alike(lines)


def _alike(lines: dict[int, SpeedLine]) -> dict[int, SpeedLine]:
    """Lines without those whose head over speed squared shows a slip of the keyboard."""
    if not lines:
        return {}
    heads = {n: float(np.log(one.pressure_ratio().max())) for n, one in lines.items()}
    over = {n: head / lines[n].corrected_speed ** 2 for n, head in heads.items()}
    usual = float(np.median(list(over.values())))
    return {n: one for n, one in lines.items() if 1.0 / _LIKE < over[n] / usual < _LIKE}


def _islands(content: dict[str, Any]) -> dict[int, Island]:
    return {
        number: Island(one["efficiency"], one["closed"], _pairs(one["points"]))
        for number, one in enumerate(content["islands"])
        if len(one["points"]) >= _LEAST_ISLAND_POINTS
    }


def _pairs(points: Any) -> tuple[tuple[float, float], ...]:
    return tuple((float(flow), float(ratio)) for flow, ratio in points)


def _rises(points: tuple[tuple[float, float], ...]) -> bool:
    return all(a[1] < b[1] for a, b in pairwise(points))


def _right_of(
    choke: tuple[tuple[float, float], ...], surge: tuple[tuple[float, float], ...]
) -> bool:
    limit, table = np.array(surge), np.array(choke)
    return bool(np.all(table[:, 0] > np.interp(table[:, 1], limit[:, 1], limit[:, 0])))


def for_build(compressor_map: CompressorMap) -> CompressorMap:
    """Map as a build embeds it: without what only its picture needs."""
    return replace(compressor_map, trace=None)
