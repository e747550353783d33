"""Results of the model: frozen records of read-only arrays, a unit in every name."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from engine_model.inputs import Build, Day

Floats = NDArray[np.float64]

NO_COMPRESSOR = 5
"""Region index of a build without a compressor."""

REGION_NAMES = (
    "on the map",
    "below the map",
    "above the map",
    "left of surge",
    "past choke",
    "no compressor",
)
"""Names of the regions by index."""


@dataclass(frozen=True, slots=True, eq=False)
class OperatingLine:
    """Where engine and compressor agree, across engine speed; any leading axes.

    Fields carry their unit: kg/s, Pa, K, rpm, W, N m; pressures absolute except boost.
    Temperatures and pressures are totals. Values of points without a solution are nan.
    """

    engine_speed_rpm: Floats
    air_flow_kg_s: Floats
    inlet_pressure_pa: Floats
    inlet_temperature_k: Floats
    pressure_ratio: Floats
    corrected_flow_kg_s: Floats
    corrected_speed_rpm: Floats
    impeller_speed_rpm: Floats
    efficiency: Floats
    discharge_temperature_k: Floats
    discharge_pressure_pa: Floats
    manifold_pressure_pa: Floats
    manifold_temperature_k: Floats
    boost_gauge_pa: Floats
    exhaust_pressure_pa: Floats
    bypass_flow_kg_s: Floats
    volumetric_efficiency: Floats
    fuel_flow_kg_s: Floats
    drive_power_w: Floats
    flywheel_power_w: Floats
    wheel_power_w: Floats
    flywheel_torque_nm: Floats
    surge_margin: Floats
    surge_margin_low: Floats
    surge_margin_high: Floats
    choke_margin: Floats
    region_index: NDArray[np.int8]

    def __post_init__(self) -> None:
        for one in fields(self):
            getattr(self, one.name).flags.writeable = False

    @property
    def region(self) -> NDArray[np.str_]:
        """Name of the region of each point."""
        return np.asarray(np.array(REGION_NAMES)[self.region_index])

    def part(self, key: object) -> OperatingLine:
        """Return the line with every array indexed by a key."""
        return OperatingLine(**{f.name: getattr(self, f.name)[key] for f in fields(self)})


LINE_FIELDS: tuple[str, ...] = tuple(
    f.name for f in fields(OperatingLine) if f.name != "region_index"
)
"""Names of the numeric arrays of a line, in order."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One limit as the ledger shows it.

    Parameters
    ----------
    code : str
        Stable name of the limit.
    part : str
        ``parts``, ``target`` or ``trust``.
    state : str
        ``clear``, ``close``, ``over`` or ``blank``.
    used : float
        Share of the limit used up; nan where blank, infinite where the bound is no bound. [-]
    value : float
        What is judged, SI; nan where it has no number.
    bound : float
        What it is judged against, SI; nan where there is none.
    unit : str
        Unit of value and bound.
    engine_speed_rpm : float
        Where it is tightest; nan where it belongs to no speed. [rpm]
    day : str
        The day it is tightest on.
    basis : str
        How it was judged and against whose figure.
    """

    code: str
    part: str
    state: str
    used: float
    value: float
    bound: float
    unit: str
    engine_speed_rpm: float
    day: str
    basis: str


@dataclass(frozen=True, slots=True, eq=False)
class Match:
    """One build on one day.

    Parameters
    ----------
    build : Build
        The build.
    day : Day
        The day.
    line : OperatingLine
        The operating line, one-dimensional over engine speed.
    ledger : tuple of Entry
        Every limit.
    """

    build: Build
    day: Day
    line: OperatingLine
    ledger: tuple[Entry, ...]
