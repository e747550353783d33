"""Breathing: volumetric efficiency on manifold density and what changes it."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.constants import CYCLE_GAMMA, RPM_PER_CYCLE

Floats = NDArray[np.float64]


def pressure_bracket(
    compression_ratio: ArrayLike, exhaust_over_intake: ArrayLike, gamma: float = CYCLE_GAMMA
) -> Floats:
    """Effect of the pressures on both sides on volumetric efficiency, ideal cycle.

    Parameters
    ----------
    compression_ratio : array_like
        Compression ratio. [-] above 1.
    exhaust_over_intake : array_like
        Exhaust port pressure over manifold pressure, absolute. [-]
    gamma : float
        Ratio of specific heats. [-]

    Returns
    -------
    ndarray
        Factor, 1 at equal pressures. [-]

    References
    ----------
    Heywood, Internal Combustion Engine Fundamentals, 1st ed., eq. (6.2), bracket only.

    Examples
    --------
    >>> round(float(pressure_bracket(9.5, 0.6)), 7)
    1.0361991
    """
    r = np.asarray(compression_ratio, dtype=float)
    x = np.asarray(exhaust_over_intake, dtype=float)
    return np.asarray(r / (r - 1.0) - (x + gamma - 1.0) / (gamma * (r - 1.0)))


def engine_flow(
    volumetric_efficiency: ArrayLike,
    manifold_pressure: ArrayLike,
    manifold_temperature: ArrayLike,
    displacement: ArrayLike,
    engine_speed: ArrayLike,
    gas_constant: ArrayLike = 287.053,
) -> Floats:
    """Air flow of a four-stroke engine.

    Parameters
    ----------
    volumetric_efficiency : array_like
        On manifold density. [-]
    manifold_pressure : array_like
        Total pressure in the manifold, absolute. [Pa]
    manifold_temperature : array_like
        Total temperature in the manifold. [K]
    displacement : array_like
        Swept volume of all cylinders. [m3]
    engine_speed : array_like
        Engine speed. [rpm]
    gas_constant : array_like
        Specific gas constant of the air. [J/(kg K)]

    Returns
    -------
    ndarray
        Mass flow. [kg/s]

    References
    ----------
    Definition of volumetric efficiency, Heywood eq. (2.27).

    Examples
    --------
    >>> round(float(engine_flow(0.95, 180e3, 320.0, 0.005, 6000.0)), 4)
    0.4654
    """
    density = np.asarray(manifold_pressure, dtype=float) / (
        np.asarray(gas_constant) * np.asarray(manifold_temperature)
    )
    cycles = np.asarray(engine_speed, dtype=float) / RPM_PER_CYCLE
    return np.asarray(np.asarray(volumetric_efficiency) * density * displacement * cycles)


def vapour_factor(
    manifold_temperature: Floats, cooling: ArrayLike, vapour_share: ArrayLike
) -> Floats:
    """Effect of fuel evaporating before the valve closes: it cools the air and displaces it.

    Parameters
    ----------
    manifold_temperature : ndarray
        Total temperature in the manifold. [K]
    cooling : array_like
        Temperature drop by the share that evaporates in the port. [K]
    vapour_share : array_like
        Moles of evaporated fuel over moles of air. [-]

    Returns
    -------
    ndarray
        Factor on volumetric efficiency. [-]

    References
    ----------
    Ideal mixing; the square root of temperature as in Heywood section 6.2 (from memory).

    Examples
    --------
    >>> float(vapour_factor(np.array(300.0), 0.0, 0.0))
    1.0
    """
    t = np.asarray(manifold_temperature, dtype=float)
    return np.asarray(np.sqrt(t / (t - cooling)) / (1.0 + np.asarray(vapour_share)))
