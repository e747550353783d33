"""The measured line on the axes of the compressor map, with its interval."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from app.present.series_axes import MapAxes
from app.present.series_line import LineSeries, line_series
from engine_model.studies.pull_on_map import MeasuredOnMap

Floats = NDArray[np.float64]

NAME = "measured"


def measured_series(found: MeasuredOnMap, axes: MapAxes) -> LineSeries:
    """Series of the measured line."""
    return line_series(found.line, axes, NAME)


def measured_ring(found: MeasuredOnMap, axes: MapAxes) -> tuple[Floats, ...]:
    """Polygon of the 95 % interval of the flow about the measured line."""
    flow, ratio = found.line.corrected_flow_kg_s * axes.flow_scale, found.line.pressure_ratio
    good = np.isfinite(flow) & np.isfinite(ratio)
    if int(good.sum()) < 2:
        return ()
    low = np.column_stack([flow[good] * (1.0 - found.flow_error), ratio[good]])
    high = np.column_stack([flow[good] * (1.0 + found.flow_error), ratio[good]])[::-1]
    return (np.concatenate([low, high, low[:1]]),)


def measured_words(found: MeasuredOnMap) -> str:
    """How the measured line came about, and how far it may be trusted."""
    mixture = "the log's mixture" if found.mixture_told else "the build's mixture (none in the log)"
    return (
        f"Measured: flow inferred from power and {mixture}, ± {100.0 * found.flow_error:.0f} %; "
        f"pressure ratio from manifold pressure, ± {found.ratio_error:.2f} (95 %). A leak or slip "
        "shows as a line that leaves the expected one."
    )
