"""What the two long sliders set, and over which range."""

from __future__ import annotations

import math
from collections.abc import Sequence

from app.fields import FIELD, Field

PULLEY = FIELD["drive.blower_pulley_diameter"]
BOOST = Field(
    "bounds.boost",
    "Boost at",
    "Sliders",
    "Boost in the manifold at the engine speed beside it",
    "boost",
)
PULLEY_RANGE = (0.045, 0.130)
MARGIN, LEAST_MARGIN = 0.12, 0.005
"""Room beyond the shelf at either end: share of its span [-], and at least so much [m]."""
BOOST_RANGE = (0.0, 1.5e5)

END_GRID = 1e-3
"""The ends of the pulley's slider are whole multiples of this [m]."""


def pulley_range(shelf: Sequence[float], present: float) -> tuple[float, float]:
    """Ends of the pulley's slider: the shelf's sizes and the present one, with a margin [m]."""
    if not shelf:
        return min(PULLEY_RANGE[0], present), max(PULLEY_RANGE[1], present)
    low, high = min(shelf), max(shelf)
    margin = max(MARGIN * (high - low), LEAST_MARGIN)
    least, most = PULLEY.row.low, PULLEY.row.high
    low, high = min(low - margin, present), max(high + margin, present)
    # a hair off a multiple is that multiple
    first = END_GRID * math.floor(low / END_GRID + 1e-6)
    last = END_GRID * math.ceil(high / END_GRID - 1e-6)
    return max(least, round(first, 6)), min(most, round(last, 6))


def tick_text(size: float, unit: str) -> str:
    """Number at a tick: two decimals of an inch, else as short as it is whole."""
    return f"{size:.2f}" if unit == "in" else f"{size:.4g}"
