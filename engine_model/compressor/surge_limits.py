"""Where speed lines turn unstable for small motions, beside the traced surge line of a map."""

from __future__ import annotations

import math
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
from engine_model.compressor.surge_small_signal import Limit, stability_limit, throttled_excess
from engine_model.constants import GAS_CONSTANT_DRY_AIR

NODES = 129
LEAST_LOOK = 0.05
"""Least flow looked at, over the traced surge flow [-]."""


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
    :func:`engine_model.compressor.surge_small_signal.stability_limit`.
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
