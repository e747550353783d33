"""Traces of known compressor maps, without ink: pixels by a projection written down here."""

from __future__ import annotations

import numpy as np

from engine_model.tracing.edits import add_curve
from engine_model.tracing.paths import cut_at_nodes
from engine_model.tracing.trace import Axes, Node, PictureRef, Trace, TracedCurve

# a photo from the side: scale, turn, lean and two vanishing terms, picked by hand
PROJECTION = np.array([[1010.0, 95.0, 140.0], [-60.0, -760.0, 950.0], [0.05, 0.11, 1.0]])
POUND_PER_MINUTE = 0.45359237 / 60.0  # kg/s, international pound of 1959
FRAME = ((0.0, 1.0), (80.0, 1.0), (80.0, 4.0), (0.0, 4.0))  # lb/min, pressure ratio


def to_picture(points, frame=FRAME):
    """Places of flow [unit of the frame] and pressure ratio by the projection alone."""
    low, high = np.min(frame, axis=0), np.max(frame, axis=0)
    unit = (np.asarray(points, dtype=float) - low) / (high - low)
    x, y, w = PROJECTION @ np.vstack([unit.T, np.ones(len(unit))])
    return np.column_stack([x / w, y / w])


def axes(frame=FRAME, **changes):
    said = {
        "flow_kind": "corrected_mass",
        "flow_unit": "lb/min",
        "reference_temperature": 298.15,
        "reference_pressure": 100e3,
        "pressure_basis": "total_to_total",
    }
    places = tuple(map(tuple, to_picture(frame).tolist()))
    return Axes(**{"places_px": places, "values": frame, **said, **changes})


def curve(kind, value, points, closed=False, nodes=4, frame=FRAME, scale=POUND_PER_MINUTE):
    """A curve through corrected flow [kg/s] and pressure ratio, told in fine points."""
    table = np.array(points, dtype=float)
    ring = np.vstack([table, table[:1]]) if closed else table
    place = np.arange(len(ring))
    fine = np.linspace(0.0, len(ring) - 1.0, 40 * (len(ring) - 1) + 1)
    fine = np.column_stack([np.interp(fine, place, column) for column in ring.T])
    pixels = to_picture(fine / (scale, 1.0), frame)
    pixels = pixels[:-1] if closed else pixels
    at = np.linspace(0, len(pixels) - 1, nodes + (1 if closed else 0)).round().astype(int)
    set_nodes = tuple(Node(*pixels[n]) for n in at[: nodes if closed else None])
    path, breaks = cut_at_nodes(pixels, set_nodes, closed)
    return TracedCurve(kind, value, set_nodes, path, closed, breaks)


def trace_of(compressor_map, frame=FRAME, scale=POUND_PER_MINUTE, **changes):
    """A trace whose curves are those of a map."""
    how = {"frame": frame, "scale": scale}
    curves = [
        curve("speed_line", line.corrected_speed, line.points, **how)
        for line in compressor_map.speed_lines
    ]
    curves.append(curve("surge_line", None, compressor_map.surge_line, **how))
    if compressor_map.choke_line is not None:
        curves.append(curve("choke_line", None, compressor_map.choke_line, **how))
    for island in compressor_map.islands:
        curves.append(curve("island", island.efficiency, island.points, island.closed, 9, **how))
    said = {
        "reference_temperature": compressor_map.reference_temperature,
        "reference_pressure": compressor_map.reference_pressure,
        "pressure_basis": compressor_map.pressure_basis,
        **changes,
    }
    return Trace(
        PictureRef("ab" * 32, "page.png", 1600, 1200, 0, 0.5),
        axes(frame, **said),
        tuple(curves),
        compressor_map.title,
        "drawn for the tests",
        "2026-11-25",
        compressor_map.exducer_diameter,
        compressor_map.inducer_diameter,
        compressor_map.maximum_speed,
        compressor_map.built_in_step_up,
        "a note",
    )


def with_nodes(trace, kind, points, value=None, closed=False):
    """A trace with one more curve, drawn through nodes at corrected flow and pressure ratio."""
    table = np.array(points, dtype=float) / (POUND_PER_MINUTE, 1.0)
    nodes = [Node(*place) for place in to_picture(table)]
    return add_curve(trace, kind, nodes, value, closed)
