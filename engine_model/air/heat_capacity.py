"""Ideal-gas heat capacities of dry air and water vapour, exact and as fitted polynomials."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.constants import GAS_CONSTANT_DRY_AIR

Floats = NDArray[np.float64]

FIT_RANGE = (220.0, 620.0)
"""Temperatures over which the polynomial is fitted [K]."""

_DEGREE = 4


def dry_air_specific_heat_exact(temperature: ArrayLike) -> Floats:
    """Ideal-gas isobaric specific heat of dry air, from its published equation of state.

    Parameters
    ----------
    temperature : array_like
        Temperature. [K] 60-2000.

    Returns
    -------
    ndarray
        Specific heat. [J/(kg K)]

    References
    ----------
    Lemmon, Jacobsen, Penoncello, Friend, J. Phys. Chem. Ref. Data 29 (2000) 331, ideal-gas
    part (coefficients from memory; checked against CoolProp in the tests).

    Examples
    --------
    >>> round(float(dry_air_specific_heat_exact(300.0)), 0)
    1005.0
    """
    t = np.asarray(temperature, dtype=float)
    tau = 132.6312 / t
    a = (0.605719400e-7, -0.210274769e-4, -0.158860716e-3)
    # -tau^2 d2(alpha0)/dtau2 term by term
    c = 2.490888032 - 1.5 * 0.5 * -0.195363420e-3 * tau**1.5
    for exponent, n in zip((-3.0, -2.0, -1.0), a, strict=True):
        c = c - exponent * (exponent - 1.0) * n * tau**exponent
    for n, theta in ((0.791309509, 25.36365), (0.212236768, 16.90741)):
        x = theta * tau
        c = c + n * x**2 * np.exp(-x) / (1.0 - np.exp(-x)) ** 2
    x = 87.31279 * tau
    c = c + 0.197938904 * x**2 * (2.0 / 3.0) * np.exp(-x) / ((2.0 / 3.0) * np.exp(-x) + 1.0) ** 2
    return np.asarray(GAS_CONSTANT_DRY_AIR * (1.0 + c), dtype=float)


def water_vapour_specific_heat_exact(temperature: ArrayLike) -> Floats:
    """Ideal-gas isobaric specific heat of water vapour.

    Parameters
    ----------
    temperature : array_like
        Temperature. [K] 130-2000.

    Returns
    -------
    ndarray
        Specific heat. [J/(kg K)]

    References
    ----------
    IAPWS R6-95(2018), ideal-gas part of the dimensionless Helmholtz energy, table 1.

    Examples
    --------
    >>> round(float(water_vapour_specific_heat_exact(300.0)), -1)
    1860.0
    """
    t = np.asarray(temperature, dtype=float)
    tau = 647.096 / t
    c = np.full_like(tau, 3.00632)
    for n, gamma in (
        (0.012436, 1.28728967),
        (0.97315, 3.53734222),
        (1.27950, 7.74073708),
        (0.96956, 9.24437796),
        (0.24873, 27.5075105),
    ):
        x = gamma * tau
        c = c + n * x**2 * np.exp(-x) / (1.0 - np.exp(-x)) ** 2
    return np.asarray(461.51805 * (1.0 + c), dtype=float)


def _polynomial(exact: Floats, temperature: Floats) -> Floats:
    theta = temperature / 1000.0
    basis = np.stack([theta**k for k in range(_DEGREE + 1)], axis=1)
    return np.asarray(np.linalg.lstsq(basis, exact, rcond=None)[0], dtype=float)


_NODES = np.mean(FIT_RANGE) + 0.5 * np.ptp(FIT_RANGE) * np.cos(np.pi * (np.arange(80) + 0.5) / 80)
DRY_AIR_TERMS = _polynomial(dry_air_specific_heat_exact(_NODES), _NODES)
"""Polynomial of cp of dry air in T/1000 K, lowest power first [J/(kg K)]."""

WATER_VAPOUR_TERMS = _polynomial(water_vapour_specific_heat_exact(_NODES), _NODES)
"""Polynomial of cp of water vapour in T/1000 K, lowest power first [J/(kg K)]."""
