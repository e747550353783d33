"""Units of the charts from the units chosen for the bench."""

from __future__ import annotations

from app.fields import Units, unit_of
from app.present.series_axes import ChartUnits


def chart_units(units: Units) -> ChartUnits:
    """Units of the charts; in ``si`` and ``us`` the two records of :mod:`series_axes`.

    Examples
    --------
    >>> chart_units("us").flow
    'lb/min'
    """
    return ChartUnits(
        flow=unit_of("mass_flow", units),
        pressure=unit_of("boost", units),
        power=unit_of("power", units),
        torque=unit_of("torque", units),
        temperature=unit_of("temperature", units),
    )
