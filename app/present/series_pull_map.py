"""The measured line on the axes of the compressor map, with its interval."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from app.present.series_axes import MapAxes
from app.present.series_line import LineSeries, line_series
from engine_model.results import REGION_NAMES, OperatingLine
from engine_model.studies.measured_line import MeasuredLine
from engine_model.studies.reconcile_records import INTERVAL

Floats = NDArray[np.float64]

NAME = "measured"


def measured_series(found: MeasuredLine, expected: OperatingLine, axes: MapAxes) -> LineSeries:
    """Series of the measured line; the expected one is at the same engine speeds."""
    size = found.engine_speed_rpm.size
    line = replace(
        expected,
        engine_speed_rpm=found.engine_speed_rpm,
        corrected_flow_kg_s=found.corrected_flow_kg_s,
        pressure_ratio=found.pressure_ratio,
        region_index=np.full(size, REGION_NAMES.index("on the map"), dtype=np.int8),
        belt_slip=np.full(size, np.nan),
    )
    return line_series(line, axes, NAME)


def measured_ring(found: MeasuredLine, axes: MapAxes) -> tuple[Floats, ...]:
    """Polygon of the 95 % interval of the flow about the measured line."""
    flow, ratio = found.corrected_flow_kg_s * axes.flow_scale, found.pressure_ratio
    apart = INTERVAL * found.corrected_flow_error_kg_s * axes.flow_scale
    good = np.isfinite(flow) & np.isfinite(ratio)
    if int(good.sum()) < 2:
        return ()
    low = np.column_stack([flow - apart, ratio])[good]
    high = np.column_stack([flow + apart, ratio])[good][::-1]
    return (np.concatenate([low, high, low[:1]]),)


def measured_words(found: MeasuredLine) -> str:
    """How the measured line came about, and how far it may be trusted."""
    told = found.mixture_measured
    mixture = "the log's mixture" if told else "the build's mixture (none in the log)"
    share = np.nanmedian(found.corrected_flow_error_kg_s / found.corrected_flow_kg_s)
    flow, ratio = INTERVAL * share, INTERVAL * np.nanmedian(found.pressure_ratio_error)
    return (
        f"Measured: flow inferred from power and {mixture}, ± {100.0 * flow:.0f} %; "
        f"pressure ratio from manifold pressure, ± {ratio:.2f} (95 %). A leak or slip shows as a "
        "line that leaves the expected one."
    )
