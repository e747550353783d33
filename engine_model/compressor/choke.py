"""Why a speed line ends in a wall: where the work goes along it, and how fast the inducer runs."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engine_model.air.gas import compress, inlet_gas, moist_air
from engine_model.compressor.surface import Surface

Floats = NDArray[np.float64]

NODES = 61


@dataclass(frozen=True, slots=True, eq=False)
class LineLosses:
    """Along one speed line from surge past choke; arrays of one length.

    Parameters
    ----------
    place : ndarray
        s: 0 at surge, 1 at choke, 2 where no head is left. [-]
    corrected_flow : ndarray
        Flow. [kg/s]
    pressure_ratio, efficiency : ndarray
        Of the line. [-]
    work, head, lost : ndarray
        Work put in, the part that became pressure, and the part that became heat. [J/kg]
    discharge_temperature : ndarray
        At the reference inlet temperature. [K]
    lost_power : ndarray
        Loss of the corrected flow. [W]
    """

    place: Floats
    corrected_flow: Floats
    pressure_ratio: Floats
    efficiency: Floats
    work: Floats
    head: Floats
    lost: Floats
    discharge_temperature: Floats
    lost_power: Floats


def line_losses(surface: Surface, corrected_speed: float) -> LineLosses:
    """Where the work of one speed line goes, of dry air at the map's reference.

    Parameters
    ----------
    surface : Surface
        The fitted compressor map.
    corrected_speed : float
        The line. [rpm]

    Returns
    -------
    LineLosses
        Along the line.

    References
    ----------
    Definition of isentropic efficiency (ISO 5389): head over work. Past choke the map has no
    readings; there the work is kept while the head falls to nothing.
    """
    s = np.linspace(0.0, 2.0, NODES)
    flow, ratio, eta = surface.line(corrected_speed, s)
    gas = moist_air(np.zeros(1))
    inlet = inlet_gas(gas, np.array([surface.compressor_map.reference_temperature]))
    outlet, work, _ = compress(inlet, np.log(ratio), eta)
    head = work * eta
    return LineLosses(s, flow, ratio, eta, work, head, work - head, outlet, flow * (work - head))


@dataclass(frozen=True, slots=True)
class InducerMach:
    """Mach numbers at the inducer's tip.

    Parameters
    ----------
    axial : float
        Of the air that comes in. [-] nan where the inducer's area cannot pass the flow
    relative : float
        Of the air against the blade's tip. [-]
    area_used : float
        Flow over the most that the area passes, at Mach 1. [-]
    """

    axial: float
    relative: float
    area_used: float


def inducer_mach(
    flow: float,
    pressure: float,
    temperature: float,
    shaft_speed: float,
    inducer_diameter: float,
    hub_ratio: float = 0.35,
    gamma: float = 1.4,
    gas_constant: float = 287.053,
) -> InducerMach:
    """Mach numbers at an inducer, without swirl, blade thickness or boundary layer.

    Parameters
    ----------
    flow : float
        Mass flow. [kg/s]
    pressure, temperature : float
        Totals before the impeller. [Pa], [K]
    shaft_speed : float
        Impeller speed. [rpm]
    inducer_diameter : float
        Tip diameter. [m]
    hub_ratio : float
        Hub over tip diameter. [-]
    gamma : float
        Ratio of specific heats. [-]
    gas_constant : float
        Specific gas constant. [J/(kg K)]

    Returns
    -------
    InducerMach
        An estimate: choke is felt from a relative Mach number of about 1 to 1.3 (common
        practice, no source).

    References
    ----------
    Flow function of a perfect gas, as in gas tables:
    W sqrt(R T)/(A p) = sqrt(g) M (1 + (g-1)/2 M^2)^(-(g+1)/(2(g-1))).

    Examples
    --------
    W sqrt(R T)/(A p) is 0.5111 at Mach 0.5 (gas tables, g 1.4); no hub, no rotation.

    >>> area = math.pi / 4.0 * 0.06**2
    >>> flow = 0.51111 * area * 1e5 / math.sqrt(287.053 * 300.0)
    >>> round(inducer_mach(flow, 1e5, 300.0, 0.0, 0.06, 0.0).axial, 3)
    0.5
    """
    area = math.pi / 4.0 * inducer_diameter**2 * (1.0 - hub_ratio**2)
    asked = flow * math.sqrt(gas_constant * temperature) / (area * pressure)
    power = -(gamma + 1.0) / (2.0 * (gamma - 1.0))

    def passed(mach: float) -> float:
        inner = 1.0 + 0.5 * (gamma - 1.0) * mach * mach
        return float(math.sqrt(gamma) * mach * inner**power)

    used = asked / passed(1.0)
    if not 0.0 <= used <= 1.0:
        return InducerMach(math.nan, math.nan, used)
    low, high = 0.0, 1.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if passed(middle) < asked else (low, middle)
    axial = 0.5 * (low + high)
    static = temperature / (1.0 + 0.5 * (gamma - 1.0) * axial * axial)
    sound = math.sqrt(gamma * gas_constant * static)
    tip = math.pi * inducer_diameter * shaft_speed / 60.0
    return InducerMach(axial, math.hypot(axial, tip / sound), used)
