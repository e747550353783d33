"""Where speed lines turn unstable for small motions, beside the traced surge line of a map."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from engine_model.air.corrected import reference_gamma
from engine_model.compressor.surface import Surface
from engine_model.compressor.surge_characteristic import (
    Curve,
    apart,
    characteristic,
    peak_of,
    zero_flow_ratio,
)
from engine_model.compressor.surge_orifice import two_way_orifice
from engine_model.compressor.surge_small_signal import slope_of
from engine_model.constants import GAS_CONSTANT_DRY_AIR

NODES = 129
LEAST_LOOK = 0.05
"""Least flow looked at, over the traced surge flow [-]."""


@dataclass(frozen=True, slots=True, eq=False)
class Limit:
    """Where a speed line turns unstable for small motions, beside the traced surge line.

    Parameters
    ----------
    corrected_speed : float
        The line. [rpm]
    flow, pressure_ratio : float
        The limit, corrected. [kg/s], [-]
    traced_flow : float
        Flow on the traced surge line. [kg/s]
    peak_flow : float
        Flow of the characteristic's highest point. [kg/s]
    """

    corrected_speed: float
    flow: float
    pressure_ratio: float
    traced_flow: float
    peak_flow: float

    @property
    def gap(self) -> float:
        """Limit less traced flow, over the traced flow; below 0 it lies left [-]."""
        return self.flow / self.traced_flow - 1.0


def stability_limit(
    ratio: Curve,
    ends: tuple[float, float],
    excess: Callable[[float, float, float], float],
    steps: int = 240,
) -> float:
    """Largest flow of a line at which small motions begin to grow.

    Parameters
    ----------
    ratio : Curve
        Pressure ratio over flow. [-], [kg/s]
    ends : tuple of float
        Least and largest flow looked at. [kg/s]
    excess : callable
        Of flow, pressure ratio and its slope: above 0 where motions grow. [1/s]
    steps : int
        Steps of the first look.

    Returns
    -------
    float
        Flow [kg/s]; nan where nothing grows between the ends.

    References
    ----------
    None: bisection from the right.
    """
    low, high = ends

    def grows(flow: float) -> bool:
        return excess(flow, ratio.value(flow), ratio.slope(flow)) > 0.0

    places: list[float] = np.linspace(high, low, steps + 1).tolist()
    last = places[0]
    for place in places:
        if grows(place):
            if place == last:
                return place
            left, right = place, last
            for _ in range(50):
                middle = 0.5 * (left + right)
                left, right = (middle, right) if grows(middle) else (left, middle)
            return 0.5 * (left + right)
        last = place
    return math.nan


def throttled_excess(
    inertance: float,
    stiffness: float,
    pressure: float,
    back: float,
    to_actual: float = 1.0,
    gamma: float = 1.4,
) -> Callable[[float, float, float], float]:
    """Growth of small motions on a speed line, throttled to a constant pressure.

    Parameters
    ----------
    inertance : float
        Area over length of the duct. [m]
    stiffness : float
        a^2/V of the plenum. [Pa/kg]
    pressure : float
        Total pressure at the compressor's inlet. [Pa]
    back : float
        Pressure behind the throttle. [Pa]
    to_actual : float
        Actual over corrected flow. [-]
    gamma : float
        Ratio of specific heats. [-]

    Returns
    -------
    callable
        For :func:`stability_limit`: of corrected flow, pressure ratio and its slope. [1/s]

    References
    ----------
    Trace of the linearised model: (A/L) dp_c/dW - (a^2/V) dW_T/dp_p.
    """
    orifice = two_way_orifice(gamma)

    def excess(flow: float, ratio: float, slope: float) -> float:
        plenum = ratio * pressure
        unit = orifice(1.0, plenum, back)
        if unit <= 0.0:
            return 1.0
        step = 1e-4 * abs(plenum - back)
        per_unit = slope_of(lambda p: orifice(1.0, p, back), plenum, step)
        passed = per_unit / unit * flow * to_actual
        driven = slope * pressure / to_actual
        grows = inertance * driven - stiffness * passed
        return max(grows, driven - 1.0 / passed if passed > 0.0 else grows)

    return excess


@dataclass(frozen=True, slots=True)
class Rig:
    """Impeller and ducts that a map's small motions are told for.

    Parameters
    ----------
    exducer_diameter : float
        Impeller outlet. [m]
    inducer_diameter : float
        Twice the radius that counts at the inlet; 0 for none. [m]
    duct_length, duct_area : float
        Of the air that moves as one. [m], [m2]
    plenum_volume : float
        Up to the throttle. [m3]
    sound_speed : float
        In the plenum. [m/s]
    """

    exducer_diameter: float
    inducer_diameter: float
    duct_length: float
    duct_area: float
    plenum_volume: float
    sound_speed: float


def map_characteristic(surface: Surface, corrected_speed: float, rig: Rig) -> Curve:
    """Pressure ratio over corrected flow of a map's line, from reverse flow to choke.

    Parameters
    ----------
    surface : Surface
        The fitted map.
    corrected_speed : float
        The line. [rpm]
    rig : Rig
        Its impeller.

    Returns
    -------
    Curve
        Pressure ratio. [-]

    References
    ----------
    :func:`engine_model.compressor.surge_characteristic.characteristic`.
    """
    temperature = surface.compressor_map.reference_temperature
    gamma = float(reference_gamma(temperature))
    heat = gamma / (gamma - 1.0) * GAS_CONSTANT_DRY_AIR
    turn = corrected_speed * math.pi / 60.0
    at_no_flow = zero_flow_ratio(
        turn * rig.exducer_diameter, turn * rig.inducer_diameter, temperature, heat, gamma
    )
    flow, ratio, _ = surface.line(corrected_speed, np.linspace(0.0, 2.0, NODES))
    return characteristic(apart(flow, float(flow[-1])), ratio, float(at_no_flow))


def map_limits(surface: Surface, corrected_speeds: ArrayLike, rig: Rig) -> tuple[Limit, ...]:
    """Limits for small motions of a map's lines, throttled to the reference pressure.

    Parameters
    ----------
    surface : Surface
        The fitted map.
    corrected_speeds : array_like
        The lines. [rpm]
    rig : Rig
        Impeller and ducts.

    Returns
    -------
    tuple of Limit
        One a line; the gap to the traced surge line is told, the traced line is not moved.

    References
    ----------
    :func:`stability_limit`.
    """
    pressure = surface.compressor_map.reference_pressure
    inertance = rig.duct_area / rig.duct_length
    stiffness = rig.sound_speed**2 / rig.plenum_volume
    excess = throttled_excess(inertance, stiffness, pressure, pressure)
    found = []
    for speed in np.atleast_1d(np.asarray(corrected_speeds, dtype=float)).tolist():
        ratio = map_characteristic(surface, speed, rig)
        traced = float(surface.surge_flow(speed))
        least, most = LEAST_LOOK * traced, float(surface.choke_flow(speed))
        flow = stability_limit(ratio, (least, most), excess)
        height = math.nan if math.isnan(flow) else ratio.value(flow)
        found.append(Limit(speed, flow, height, traced, peak_of(ratio, least, most)))
    return tuple(found)
