"""Results of the model: frozen records of read-only arrays, a unit in every name."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from engine_model.inputs import Build, Day

Floats = NDArray[np.float64]

NO_COMPRESSOR, BELT_NOT_DRIVING = 5, 6
"""Region indices of a build without a compressor, and of a belt that does not drive its blower."""

REGION_NAMES = (
    "on the map",
    "below the map",
    "above the map",
    "left of surge",
    "past choke",
    "no compressor",
    "belt not driving",
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
    belt_effective_tension_n: Floats
    belt_grip_used: Floats
    belt_slip: Floats
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

BELT_FIELDS = ("belt_effective_tension_n", "belt_grip_used", "belt_slip")
"""Those that only belts have; nan elsewhere. Grip used is that of the blower without slip."""


@dataclass(frozen=True, slots=True, eq=False)
class LineKnock:
    """The estimate of knock along operating lines, of their axes; nan without a solution.

    Parameters
    ----------
    retard_deg, retard_low_deg, retard_high_deg : ndarray
        Less ignition advance than the stock engine's, and its band. [deg]
    efficiency_factor : ndarray
        Indicated efficiency over that without the retard. [-]
    peak_pressure_pa, peak_pressure_unretarded_pa : ndarray
        Peak cylinder pressure with and without the retard, absolute. [Pa]
    octane_without_retard : ndarray
        Octane number that needs no retard. [-]
    is_beyond : ndarray of bool
        Points that ask for more retard than is sought.
    temperature_without_retard_k : ndarray
        Charge temperature that needs no retard where most is asked for, one a line; nan where
        it was not sought. [K]
    """

    retard_deg: Floats
    retard_low_deg: Floats
    retard_high_deg: Floats
    efficiency_factor: Floats
    peak_pressure_pa: Floats
    peak_pressure_unretarded_pa: Floats
    octane_without_retard: Floats
    is_beyond: NDArray[np.bool_]
    temperature_without_retard_k: Floats

    def part(self, key: object) -> LineKnock:
        """Return the lines with every array indexed by a key of their axes."""
        lead = key[:-1] if isinstance(key, tuple) and len(key) == self.retard_deg.ndim else key
        values = {f.name: getattr(self, f.name) for f in fields(self)}
        last = values.pop("temperature_without_retard_k")
        return LineKnock(
            **{name: array[key] for name, array in values.items()},
            temperature_without_retard_k=last[lead],
        )


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
    without_slip : bool
        Whether it was judged with no slip of the belt because that is the worse.
    numbers : tuple of (str, float)
        Further numbers to tell, SI, the unit in the name.
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
    without_slip: bool = False
    numbers: tuple[tuple[str, float], ...] = ()


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
    line_without_slip : OperatingLine or None
        The line with no slip of the belt, where it slips anywhere.
    knock : LineKnock or None
        The estimate of knock along the line.
    """

    build: Build
    day: Day
    line: OperatingLine
    ledger: tuple[Entry, ...]
    line_without_slip: OperatingLine | None = None
    knock: LineKnock | None = None


STEP_UNITS: dict[str, str] = {
    "pressure": "Pa",
    "boost": "Pa",
    "temperature": "K",
    "temperature_difference": "K",
    "mass_flow": "kg/s",
    "power": "W",
    "torque": "N m",
    "speed": "rpm",
    "dimensionless": "-",
    "share": "-",
    "volume": "m³",
    "length": "m",
    "altitude": "m",
    "velocity": "m/s",
    "density": "kg/m³",
    "volume_flow": "m³/s",
    "pump_flow": "m³/s",
    "fuel_pressure": "Pa",
    "fuel_flow": "kg/s",
    "fuel_density": "kg/m³",
    "energy_per_mass": "J/kg",
    "force": "N",
    "angle": "deg",
    "mass_per_length": "kg/m",
    "specific_heat": "J/(kg K)",
    "specific_fuel_consumption": "kg/J",
}
"""Unit of the value of each kind of step."""


class StepNumber(NamedTuple):
    """A number put into the equation of a step.

    Parameters
    ----------
    symbol : str
        Its letter in the equation.
    value : float
        Its value, SI (speeds in rpm).
    kind : str
        Key of ``STEP_UNITS``.
    assumed : bool
        Whether it is an input of the build that nobody has set.
    """

    symbol: str
    value: float
    kind: str
    assumed: bool = False


@dataclass(frozen=True, slots=True)
class Step:
    """One quantity on the way from the filter to the crankshaft, and how it came about.

    Parameters
    ----------
    key : str
        Stable name.
    station : str
        Where it belongs.
    quantity : str
        Name of the quantity.
    value : float
        Its value, SI (speeds in rpm); nan where it cannot be computed.
    kind : str
        Key of ``STEP_UNITS``.
    symbol : str
        Its letter in the equation.
    equation : str
        The equation in plain letters: ``_`` before a subscript, ``^`` before a power.
    numbers : tuple of StepNumber
        What was put in.
    source : str
        Where the equation comes from.
    note : str
        What else must be said, such as why there is no value; mostly empty.
    """

    key: str
    station: str
    quantity: str
    value: float
    kind: str
    symbol: str
    equation: str
    numbers: tuple[StepNumber, ...]
    source: str
    note: str = ""

    @property
    def unit(self) -> str:
        """Unit of the value."""
        return STEP_UNITS[self.kind]
