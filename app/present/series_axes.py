"""Units and axes that the series of the charts share."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.map_data import CompressorMap
from engine_model.errors import InputError
from engine_model.results import OperatingLine
from engine_model.units import QUANTITIES, from_si

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class ChartUnits:
    """Display units of the charts, one a quantity; symbols as in the table of units."""

    flow: str = "kg/s"
    pressure: str = "bar"
    power: str = "kW"
    torque: str = "N m"
    temperature: str = "°C"


SI_CHARTS = ChartUnits()
"""SI units."""

US_CHARTS = ChartUnits("lb/min", "psi", "hp", "lb ft", "°F")
"""US units."""


@dataclass(frozen=True, slots=True)
class MapAxes:
    """The two axes of a compressor map as displayed; make them with :func:`map_axes`.

    Parameters
    ----------
    flow_unit : str
        Symbol of the flow's unit.
    flow_scale : float
        Displayed flow over corrected flow. [unit s/kg]
    flow_label, ratio_label : str
        Axis labels with their units.
    """

    flow_unit: str
    flow_scale: float
    flow_label: str
    ratio_label: str

    @property
    def flow_decimals(self) -> int:
        """Digits after the point that tell flows apart on this axis."""
        return max(0, 3 - round(math.log10(max(self.flow_scale, 1e-6))))


def reference_text(compressor_map: CompressorMap, units: ChartUnits = SI_CHARTS) -> str:
    """Words for the state that flow and speed are corrected to, such as "25 °C, 100 kPa".

    Where boost is in psi, this absolute pressure is in psia.
    """
    shown = from_si(compressor_map.reference_temperature, units.temperature, "temperature")
    degrees = f"{shown:.4g} {units.temperature}"
    if units.pressure == "psi":
        pounds = from_si(compressor_map.reference_pressure, "psi", "pressure")
        return f"{degrees}, {pounds:.2f} psia"
    pressure = from_si(compressor_map.reference_pressure, "kPa", "pressure")
    return f"{degrees}, {pressure:.5g} kPa"


def volume_per_flow(line: OperatingLine, inlet_density: Floats | float) -> float:
    """Actual volume flow at the compressor's inlet over corrected flow, as on the line's day.

    Parameters
    ----------
    line : OperatingLine
        An operating line of the day.
    inlet_density : ndarray or float
        Density at station 1 along the line. [kg/m3]

    Returns
    -------
    float
        Volume flow over corrected flow; the same all over the map. [m3/kg]
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        shares = line.air_flow_kg_s / (line.corrected_flow_kg_s * inlet_density)
    good = shares[np.isfinite(shares)]
    if not good.size:
        raise InputError("inlet_density", inlet_density, "a line with flow somewhere")
    return float(np.median(good))


def map_axes(
    compressor_map: CompressorMap,
    flow_unit: str = "kg/s",
    volume_over_flow: float | None = None,
    units: ChartUnits = SI_CHARTS,
) -> MapAxes:
    """Axes of a compressor map in a unit of mass flow, or of volume flow as on a day.

    Parameters
    ----------
    compressor_map : CompressorMap
        The map.
    flow_unit : str
        Symbol of a unit of mass flow or volume flow.
    volume_over_flow : float, optional
        From :func:`volume_per_flow`; needed for a unit of volume flow. [m3/kg]
    units : ChartUnits
        Units of the state that flow is corrected to.

    Returns
    -------
    MapAxes
        Scale and labels.
    """
    volumes = {unit.symbol for unit in QUANTITIES["volume_flow"].units}
    if flow_unit in volumes:
        if volume_over_flow is None:
            raise InputError("volume_over_flow", None, "a number where flow is a volume flow")
        scale = from_si(volume_over_flow, flow_unit, "volume_flow")
        flow_label = f"Air flow at the compressor inlet, as on the day [{flow_unit}]"
    else:
        scale = from_si(1.0, flow_unit, "mass_flow")
        flow_label = f"Corrected air flow [{flow_unit}] at {reference_text(compressor_map, units)}"
    basis = compressor_map.pressure_basis.replace("_", " ")
    return MapAxes(flow_unit, scale, flow_label, f"Pressure ratio, {basis} [-]")


def nice_step(span: float, parts: int) -> float:
    """Round step (1, 2, 2.5 or 5 times a power of ten) that makes about so many parts.

    Examples
    --------
    >>> nice_step(0.47, 5)
    0.1
    """
    if not (math.isfinite(span) and span > 0.0):
        return 1.0
    rough = span / parts
    power = 10.0 ** math.floor(math.log10(rough))
    for factor in (1.0, 2.0, 2.5, 5.0):
        if rough <= factor * power * 1.0001:
            return factor * power
    return 10.0 * power


def nice_range(low: float, high: float, parts: int = 4) -> tuple[float, float]:
    """Range that begins and ends on a round step and holds both values.

    Examples
    --------
    >>> nice_range(0.0, 187.0)
    (0.0, 200.0)
    """
    if not (math.isfinite(low) and math.isfinite(high)):
        return 0.0, 1.0
    if high <= low:
        high = low + max(abs(low) * 0.1, 1.0)
    step = nice_step(high - low, parts)
    return math.floor(low / step + 1e-9) * step, math.ceil(high / step - 1e-9) * step
