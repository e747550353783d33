"""Charge cooler (intercooler): effectiveness and outlet temperature."""

from __future__ import annotations

import functools

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.errors import InputError

Floats = NDArray[np.float64]

FLOW_EXPONENT = -0.4
"""NTU over flow: UA grows with W^0.6 [-], turbulent tube-side convection, from memory."""


def crossflow_effectiveness(transfer_units: ArrayLike, capacity_ratio: ArrayLike) -> Floats:
    """Effectiveness of a cross-flow exchanger, both streams unmixed.

    Parameters
    ----------
    transfer_units : array_like
        Number of transfer units UA/C_min. [-] above 0.
    capacity_ratio : array_like
        C_min/C_max. [-] above 0 to 1.

    Returns
    -------
    ndarray
        Effectiveness. [-]

    References
    ----------
    Incropera & DeWitt, Fundamentals of Heat and Mass Transfer, table 11.3; off the exact
    series by up to 3.3 % from NTU 0.5 (3.8 % at NTU 0.3), at C_r 0.5 and under by 1.7 %.

    Examples
    --------
    >>> round(float(crossflow_effectiveness(1.0, 0.5)), 5)
    0.54476
    """
    ntu = np.asarray(transfer_units, dtype=float)
    return effectiveness_from_log(np.log(ntu), np.asarray(capacity_ratio, dtype=float))


def effectiveness_from_log(log_transfer_units: Floats, capacity_ratio: Floats) -> Floats:
    """Effectiveness of a cross-flow exchanger [-] from the logarithm of its NTU [-]."""
    inner = np.exp(0.78 * log_transfer_units)
    inner *= -capacity_ratio
    inner = np.expm1(inner)
    inner *= np.exp(0.22 * log_transfer_units)
    inner /= capacity_ratio
    return np.asarray(-np.expm1(inner))


def counterflow_effectiveness(transfer_units: ArrayLike, capacity_ratio: ArrayLike) -> Floats:
    """Effectiveness of a counter-flow exchanger.

    Parameters
    ----------
    transfer_units : array_like
        Number of transfer units UA/C_min. [-]
    capacity_ratio : array_like
        C_min/C_max. [-] 0 to 1.

    Returns
    -------
    ndarray
        Effectiveness. [-]

    References
    ----------
    Incropera & DeWitt, table 11.3.

    Examples
    --------
    >>> round(float(counterflow_effectiveness(1.0, 0.5)), 5)
    0.56473
    """
    ntu, cr = np.asarray(transfer_units, dtype=float), np.asarray(capacity_ratio, dtype=float)
    even = cr == 1.0
    ratio = np.where(even, 0.5, cr)
    e = np.exp(-ntu * (1.0 - ratio))
    return np.asarray(np.where(even, ntu / (1.0 + ntu), (1.0 - e) / (1.0 - ratio * e)))


@functools.lru_cache(maxsize=1024)
def transfer_units(effectiveness: float, capacity_ratio: float) -> float:
    """Transfer units of a cross-flow exchanger of known effectiveness.

    Parameters
    ----------
    effectiveness : float
        Effectiveness at one known flow. [-] 0.01-0.99, less than the arrangement can reach.
    capacity_ratio : float
        C_min/C_max. [-] above 0 to 1.

    Returns
    -------
    float
        NTU. [-]

    Raises
    ------
    InputError
        When no size of exchanger reaches the effectiveness.

    References
    ----------
    Inverse of :func:`crossflow_effectiveness`.

    Examples
    --------
    >>> round(transfer_units(0.54476371, 0.5), 5)
    1.0
    """
    _check_reached(effectiveness, capacity_ratio)
    # halving: this stands on the road, and scipy's roots would cost a tenth of a second at start
    low, high = np.log(1e-4), np.log(1e4)
    for _ in range(60):
        middle = 0.5 * (low + high)
        reached = float(crossflow_effectiveness(np.exp(middle), capacity_ratio))
        low, high = (middle, high) if reached < effectiveness else (low, middle)
    return float(np.exp(0.5 * (low + high)))


def transfer_units_of(effectiveness: Floats, capacity_ratio: float) -> Floats:
    """Transfer units of cross-flow exchangers of known effectiveness, many at once.

    Parameters
    ----------
    effectiveness : ndarray
        Effectiveness at one known flow. [-] 0.01-0.99, less than the arrangement can reach.
    capacity_ratio : float
        C_min/C_max. [-] above 0 to 1.

    Returns
    -------
    ndarray
        NTU. [-]; each is the same as of :func:`transfer_units`, to the last bit.

    Raises
    ------
    InputError
        When no size of exchanger reaches an effectiveness.

    References
    ----------
    Inverse of :func:`crossflow_effectiveness`.

    Examples
    --------
    >>> round(float(transfer_units_of(np.array([0.54476371]), 0.5)[0]), 5)
    1.0
    """
    wanted = np.asarray(effectiveness, dtype=float)
    _check_reached(float(wanted.min()), capacity_ratio)
    _check_reached(float(wanted.max()), capacity_ratio)
    low, high = np.full(wanted.shape, np.log(1e-4)), np.full(wanted.shape, np.log(1e4))
    for _ in range(60):
        middle = 0.5 * (low + high)
        under = crossflow_effectiveness(np.exp(middle), capacity_ratio) < wanted
        low, high = np.where(under, middle, low), np.where(under, high, middle)
    return np.asarray(np.exp(0.5 * (low + high)))


def _check_reached(effectiveness: float, capacity_ratio: float) -> None:
    """Refuse an effectiveness [-] that no size of exchanger reaches."""
    most = float(crossflow_effectiveness(1e4, capacity_ratio))
    least = float(crossflow_effectiveness(1e-4, capacity_ratio))
    if not least < effectiveness < most:
        raise InputError(
            "cooler.effectiveness",
            effectiveness,
            f"above {least:.4f} and below {most:.3f} at a capacity ratio of {capacity_ratio:g}",
        )


def outlet_temperature(
    inlet_temperature: ArrayLike, coolant_temperature: ArrayLike, effectiveness: ArrayLike
) -> Floats:
    """Charge temperature after the cooler, the charge being the smaller capacity flow.

    Parameters
    ----------
    inlet_temperature : array_like
        Charge before the cooler. [K]
    coolant_temperature : array_like
        Coolant at its inlet. [K]
    effectiveness : array_like
        Effectiveness on the charge side. [-]

    Returns
    -------
    ndarray
        Charge after the cooler. [K]

    References
    ----------
    Definition of effectiveness.

    Examples
    --------
    >>> float(outlet_temperature(400.0, 300.0, 0.7))
    330.0
    """
    t = np.asarray(inlet_temperature, dtype=float)
    return np.asarray(t - np.asarray(effectiveness) * (t - np.asarray(coolant_temperature)))


def liquid_coupled_heat(
    charge_effectiveness: ArrayLike,
    charge_capacity: ArrayLike,
    front_effectiveness: ArrayLike,
    front_capacity: ArrayLike,
    liquid_capacity: ArrayLike,
) -> Floats:
    """Heat through a liquid loop per kelvin between charge inlet and ambient air, steady.

    Parameters
    ----------
    charge_effectiveness, front_effectiveness : array_like
        Effectiveness of charge core and front exchanger on their smaller capacity flow. [-]
    charge_capacity, front_capacity : array_like
        The smaller capacity flow of each, the liquid's where that is smaller. [W/K]
    liquid_capacity : array_like
        Capacity flow of the liquid. [W/K]

    Returns
    -------
    ndarray
        Heat per kelvin. [W/K]

    References
    ----------
    Kays & London, Compact Heat Exchangers, liquid-coupled indirect type.

    Examples
    --------
    >>> round(float(liquid_coupled_heat(0.75, 300.0, 0.65, 700.0, 700.0)), 3)
    191.803
    """
    charge = np.asarray(charge_effectiveness) * np.asarray(charge_capacity, dtype=float)
    front = np.asarray(front_effectiveness) * np.asarray(front_capacity, dtype=float)
    return np.asarray(1.0 / (1.0 / charge + 1.0 / front - 1.0 / np.asarray(liquid_capacity)))
