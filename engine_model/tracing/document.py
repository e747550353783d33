"""A trace as the document of a map: pixels into corrected flow and pressure ratio, few points."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import ceil, log10
from typing import Any, Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.digitise.axes import Calibration
from engine_model.digitise.thin import thinned
from engine_model.errors import InputError
from engine_model.files.curves import PEN_NOISE
from engine_model.files.flow_units import flow_factor
from engine_model.files.map_record import MAP_FORMAT, VERSION
from engine_model.tracing.paths import drawn
from engine_model.tracing.trace import Axes, Trace, TracedCurve

Floats = NDArray[np.float64]

_DIGITS: Final = 7  # of a stored value
_FEWEST: Final = 3  # points a path is thinned from


@dataclass(frozen=True, slots=True)
class MapDocument:
    """A trace as the document of a map, as far as it goes.

    Parameters
    ----------
    content : dict
        What a map's file would hold; what has not been said yet is absent or null.
    curves : dict
        Number of the traced curve of every curve of the document, by its place.
    """

    content: dict[str, Any]
    curves: dict[str, int]


@lru_cache(maxsize=16)
def calibration_of(axes: Axes) -> Calibration:
    """Calibration of the picture; an InputError where the points are too few or no use."""
    return Calibration(axes.places_px, axes.values)


def flow_scale(axes: Axes) -> float:
    """Corrected flow of one unit of the flow axis [kg/s]; an InputError if not known yet."""
    if axes.flow_kind is None:
        raise InputError("trace.flow_kind", None, "mass, corrected_mass or volume")
    if axes.flow_unit is None:
        raise InputError("trace.flow_unit", None, "a unit of flow")
    return flow_factor(axes.flow_kind, axes.flow_unit, axes.density)


def to_axes(axes: Axes, points: ArrayLike) -> Floats:
    """Corrected flow [kg/s] and pressure ratio [-], shape (..., 2), in the picture's flow unit."""
    return np.asarray(points, dtype=float) * (1.0 / flow_scale(axes), 1.0)


def path_of(curve: TracedCurve) -> Floats:
    """Points along a curve [pixel]; through its nodes where it has no path."""
    path = curve.path or drawn(curve.nodes, curve.closed, {})[0]
    return np.array(path, dtype=float).reshape(-1, 2)


def document_of(trace: Trace) -> MapDocument:
    """Document of a trace.

    Parameters
    ----------
    trace : Trace
        A trace with a sound calibration and a flow unit.

    Returns
    -------
    MapDocument
        Speed lines by rising speed, those without one last; islands as they were made, those
        without an efficiency left out; curves without nodes enough left out.

    Raises
    ------
    InputError
        When calibration or flow unit are missing or no use.
    """
    calibration, scale = calibration_of(trace.axes), flow_scale(trace.axes)
    found: dict[str, list[tuple[int, Floats]]] = {}
    for number, curve in enumerate(trace.curves):
        points = _values(curve, calibration, scale)
        if points is not None:
            found.setdefault(curve.kind, []).append((number, points))
    content, curves = heading_of(trace), {}

    def speed(one: tuple[int, Floats]) -> float:
        value = trace.curves[one[0]].value
        return float("inf") if value is None else value

    content["speed_lines"] = []
    for number, points in sorted(found.get("speed_line", ()), key=speed):
        curves[f"speed_lines[{len(content['speed_lines'])}]"] = number
        content["speed_lines"].append(
            {"corrected_speed_rpm": trace.curves[number].value, "points": points.tolist()}
        )
    content["islands"] = []
    for number, points in found.get("island", ()):
        curve = trace.curves[number]
        if curve.value is not None:
            curves[f"islands[{len(content['islands'])}]"] = number
            content["islands"].append(
                {"efficiency": curve.value, "closed": curve.closed, "points": points.tolist()}
            )
    for kind in ("surge_line", "choke_line"):
        if kind in found:
            number, points = found[kind][0]
            curves[kind] = number
            content[kind] = points.tolist()
    return MapDocument(content, curves)


def heading_of(trace: Trace) -> dict[str, Any]:
    """What a map's document holds beside its curves; what has not been said yet is absent."""
    axes = trace.axes
    content: dict[str, Any] = {
        "format": MAP_FORMAT,
        "version": VERSION,
        "title": trace.title,
        "provenance": {"kind": "traced", "text": trace.provenance_text, "date": trace.date},
    }
    state = {"temperature_k": axes.reference_temperature, "pressure_pa": axes.reference_pressure}
    content["reference"] = {key: value for key, value in state.items() if value is not None}
    if axes.pressure_basis is not None:
        content["pressure_basis"] = axes.pressure_basis
    content["impeller"] = {
        "exducer_diameter_m": trace.exducer_diameter,
        "inducer_diameter_m": trace.inducer_diameter,
        "maximum_speed_rpm": trace.maximum_speed,
    }
    content["built_in_step_up"] = trace.built_in_step_up
    return content


def _values(curve: TracedCurve, calibration: Calibration, scale: float) -> Floats | None:
    """Corrected flow [kg/s] and pressure ratio [-] of a curve in the map's direction."""
    if not curve.whole:
        return None
    values = calibration.to_values(path_of(curve))
    values = values[np.all(np.isfinite(values), axis=1)]
    if len(values) < 2 or not np.ptp(values, axis=0).any():
        return None
    (low, high), (floor, ceiling) = calibration.limits
    spans = np.array([high - low, ceiling - floor])
    if len(values) < _FEWEST:
        share = np.linspace(0.0, 1.0, _FEWEST)[:, None]
        values = values[0] + share * (values[-1] - values[0])
    points = thinned(values, spans, curve.closed)
    axis = 0 if curve.kind == "speed_line" else 1
    if curve.kind != "island" and points[-1, axis] < points[0, axis]:
        points = points[::-1]
    if curve.kind == "surge_line":
        points = _rising(points, PEN_NOISE * spans[1])
    points = points * (scale, 1.0)
    decimals = [_DIGITS - ceil(log10(max(1e-9, most))) for most in np.abs(points).max(axis=0)]
    return np.column_stack([np.round(points[:, n], decimals[n]) for n in (0, 1)])


def _rising(points: Floats, noise: float) -> Floats:
    """Points of a surge line without those that fall by no more than the noise of a pen."""
    kept = [0]
    for row in range(1, len(points)):
        rise = points[row, 1] - points[kept[-1], 1]
        if rise > 0.0 or rise < -noise:
            kept.append(row)
    return np.asarray(points[kept if len(kept) > 1 else slice(None)])
