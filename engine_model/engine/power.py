"""Power: indicated, friction, pumping, blower drive."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.constants import CYCLE_GAMMA, RPM_PER_CYCLE
from engine_model.errors import InputError

Floats = NDArray[np.float64]

RICHEST, BEST_MIXTURE = 0.70, 0.90
"""Mixture limits of the power factor [-]; chosen here, no source."""


def cycle_efficiency(compression_ratio: ArrayLike, gamma: float = CYCLE_GAMMA) -> Floats:
    """Efficiency of the ideal constant-volume cycle.

    Parameters
    ----------
    compression_ratio : array_like
        Compression ratio. [-] above 1.
    gamma : float
        Ratio of specific heats. [-]

    Returns
    -------
    ndarray
        Efficiency. [-]

    References
    ----------
    Heywood eq. (5.31).

    Examples
    --------
    >>> round(float(cycle_efficiency(9.0)), 8)
    0.48271814
    """
    return np.asarray(1.0 - np.asarray(compression_ratio, dtype=float) ** (1.0 - gamma))


def mixture_factor(mixture: ArrayLike) -> Floats:
    """Effect of the mixture on indicated efficiency, per fuel.

    Parameters
    ----------
    mixture : array_like
        Air over stoichiometric air. [-] 0.70 and above.

    Returns
    -------
    ndarray
        Factor: 1 at 1 and leaner, air-limited when rich, with a best torque at 0.90. [-]

    Raises
    ------
    InputError
        Below 0.70.

    References
    ----------
    Shape common practice, no source: 2-4 % more torque at 0.88-0.92 than at 1.00.

    Examples
    --------
    >>> round(float(mixture_factor(0.90)), 3)
    0.927
    """
    x = np.asarray(mixture, dtype=float)
    if np.any(~(x >= RICHEST)):
        raise InputError("engine.mixture", float(np.min(x)), f"{RICHEST} or leaner")
    rich = x * (1.0 + 0.03 * (1.0 - ((x - BEST_MIXTURE) / 0.10) ** 2))
    return np.asarray(np.where(x < 1.0, rich, 1.0))


def friction_pressure(engine_speed: ArrayLike) -> Floats:
    """Total motored friction mean effective pressure, pumping included.

    Parameters
    ----------
    engine_speed : array_like
        Engine speed. [rpm]

    Returns
    -------
    ndarray
        Mean effective pressure. [Pa]

    References
    ----------
    Barnes-Moss 1975, Heywood eq. (13.6): 0.97 + 0.15 n + 0.05 n^2 bar, n in 1000 rpm.

    Examples
    --------
    >>> round(float(friction_pressure(3000.0)), 3)
    187000.0
    """
    n = np.asarray(engine_speed, dtype=float) / 1000.0
    return np.asarray((0.97 + 0.15 * n + 0.05 * n * n) * 1e5)


def friction_pressure_chen_flynn(peak_pressure: ArrayLike, piston_speed: ArrayLike) -> Floats:
    """Friction mean effective pressure from cylinder pressure and piston speed.

    Parameters
    ----------
    peak_pressure : array_like
        Peak cylinder pressure. [Pa]
    piston_speed : array_like
        Mean piston speed. [m/s]

    Returns
    -------
    ndarray
        Mean effective pressure. [Pa]

    References
    ----------
    Chen & Flynn, SAE 650733 (1965); constants common practice, origin unsure.

    Examples
    --------
    >>> round(float(friction_pressure_chen_flynn(80e5, 15.0)), 1)
    235250.0
    """
    p = np.asarray(peak_pressure, dtype=float) / 1e5
    s = np.asarray(piston_speed, dtype=float)
    return np.asarray((0.4 + 0.005 * p + 0.09 * s + 0.0009 * s * s) * 1e5)


def power_of_pressure(
    mean_pressure: ArrayLike, displacement: ArrayLike, engine_speed: ArrayLike
) -> Floats:
    """Power of a mean effective pressure in a four-stroke engine.

    Parameters
    ----------
    mean_pressure : array_like
        Mean effective pressure. [Pa]
    displacement : array_like
        Swept volume. [m3]
    engine_speed : array_like
        Engine speed. [rpm]

    Returns
    -------
    ndarray
        Power. [W]

    References
    ----------
    Heywood eq. (2.19).

    Examples
    --------
    >>> float(power_of_pressure(12e5, 0.002, 6000.0))
    120000.0
    """
    return np.asarray(
        np.asarray(mean_pressure, dtype=float)
        * displacement
        * (np.asarray(engine_speed, dtype=float) / RPM_PER_CYCLE)
    )


def drive_power(
    flow: ArrayLike,
    enthalpy_rise: ArrayLike,
    impeller_speed: ArrayLike,
    gear_efficiency: ArrayLike = 0.97,
    bearing_loss: ArrayLike = 800.0,
) -> Floats:
    """Shaft power that a blower takes at its pulley.

    Parameters
    ----------
    flow : array_like
        Mass flow. [kg/s]
    enthalpy_rise : array_like
        Actual enthalpy rise. [J/kg]
    impeller_speed : array_like
        Impeller speed. [rpm]
    gear_efficiency : array_like
        Efficiency of the gear. [-]
    bearing_loss : array_like
        Loss of bearings and oil at 50 000 rpm, rising with the power 1.5 of speed. [W]

    Returns
    -------
    ndarray
        Power. [W]

    References
    ----------
    Energy balance; gear and bearing losses chosen here, no source.

    Examples
    --------
    >>> round(float(drive_power(0.25, 68e3, 50_000.0)), 0)
    18326.0
    """
    air = np.asarray(flow, dtype=float) * np.asarray(enthalpy_rise) / gear_efficiency
    speed = np.asarray(impeller_speed, dtype=float) / 50_000.0
    return np.asarray(air + np.asarray(bearing_loss, dtype=float) * speed * np.sqrt(speed))
