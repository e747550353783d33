"""What a running belt costs: slip, creep, the power paid and the heat made."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.drive.belt_sections import UNSURE, Figure

Floats = NDArray[np.float64]

CREEP = Figure(0.005, UNSURE)
"""Share of the speed lost to the belt's stretch, without slip [-]."""

STEADY_SLIP = Figure(0.03, "common practice, no source")
"""Slip over which a belt does not run steadily and its boost is an upper bound [-]."""


def _numbers(value: ArrayLike) -> Floats:
    return np.asarray(value, dtype=float)


def crank_power(power: ArrayLike, slip: ArrayLike) -> Floats:
    """Power the crank pays for a driven pulley that slips.

    Parameters
    ----------
    power : array_like
        Power the driven pulley takes. [W]
    slip : array_like
        Slip. [-] 0 up to below 1.

    Returns
    -------
    ndarray
        Power; what the driven pulley does not get heats the belt. [W]

    References
    ----------
    F v with F = P/(v (1 - slip)).

    Examples
    --------
    >>> float(crank_power(30e3, 0.25))
    40000.0
    """
    return np.asarray(_numbers(power) / (1.0 - _numbers(slip)))


def belt_heat(power: ArrayLike, slip: ArrayLike) -> Floats:
    """Heat a slipping belt makes.

    Parameters
    ----------
    power : array_like
        Power the driven pulley takes. [W]
    slip : array_like
        Slip. [-] 0 up to below 1.

    Returns
    -------
    ndarray
        Heat flow. [W]

    References
    ----------
    Energy balance: P/(1 - slip) - P.

    Examples
    --------
    >>> float(belt_heat(30e3, 0.25))
    10000.0
    """
    return np.asarray(crank_power(power, slip) * _numbers(slip))


def elastic_creep(effective: ArrayLike, stiffness: ArrayLike) -> Floats:
    """Share of the speed a driven pulley loses because the belt is longer on the tight side.

    Parameters
    ----------
    effective : array_like
        Effective tension. [N]
    stiffness : array_like
        Tensile stiffness of the whole belt, force over strain. [N]

    Returns
    -------
    ndarray
        Creep. [-]

    References
    ----------
    (T1 - T2)/EA, Firbank, Int. J. Mech. Sci. 12 (1970) 1053 (from memory, fairly sure).

    Examples
    --------
    >>> round(float(elastic_creep(900.0 - 400.0, 120e3)), 6)
    0.004167
    """
    return np.asarray(_numbers(effective) / _numbers(stiffness))


def speed_lost(slip: ArrayLike, creep: ArrayLike) -> Floats:
    """Share of its speed a driven pulley loses to slip and to creep.

    Parameters
    ----------
    slip : array_like
        Slip, beyond creep. [-]
    creep : array_like
        Creep. [-]

    Returns
    -------
    ndarray
        1 - (1 - slip)(1 - creep). [-]

    References
    ----------
    Kinematics: both are shares of the speed that arrives.

    Examples
    --------
    >>> round(float(speed_lost(0.02, 0.005)), 6)
    0.0249
    """
    return np.asarray(1.0 - (1.0 - _numbers(slip)) * (1.0 - _numbers(creep)))
