"""Losses of ducts and the flow through an orifice."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def pressure_loss(
    flow: ArrayLike,
    density: ArrayLike,
    reference_loss: ArrayLike,
    reference_flow: ArrayLike,
    reference_density: ArrayLike,
) -> Floats:
    """Total-pressure loss of a duct from one known point, turbulent.

    Parameters
    ----------
    flow : array_like
        Mass flow. [kg/s]
    density : array_like
        Total density at the entry. [kg/m3]
    reference_loss : array_like
        Known loss. [Pa]
    reference_flow : array_like
        Flow of the known loss. [kg/s]
    reference_density : array_like
        Density of the known loss. [kg/m3]

    Returns
    -------
    ndarray
        Loss. [Pa]

    References
    ----------
    dp = K rho v^2/2 with constant K (turbulent minor losses).

    Examples
    --------
    >>> round(float(pressure_loss(0.45, 1.08, 2500.0, 0.3, 1.16)), 1)
    6041.7
    """
    ratio = np.asarray(flow, dtype=float) / np.asarray(reference_flow, dtype=float)
    denser = np.asarray(reference_density, dtype=float) / np.asarray(density, dtype=float)
    return np.asarray(np.asarray(reference_loss, dtype=float) * ratio * ratio * denser)


def critical_pressure_ratio(gamma: ArrayLike) -> Floats:
    """Throat over upstream total pressure at which a nozzle chokes.

    Parameters
    ----------
    gamma : array_like
        Ratio of specific heats. [-] above 1.

    Returns
    -------
    ndarray
        Critical pressure ratio. [-]

    References
    ----------
    Heywood, Internal Combustion Engine Fundamentals, 1st ed., appendix C.

    Examples
    --------
    >>> round(float(critical_pressure_ratio(1.4)), 4)
    0.5283
    """
    g = np.asarray(gamma, dtype=float)
    return np.asarray((2.0 / (g + 1.0)) ** (g / (g - 1.0)))


def orifice_flow(
    effective_area: ArrayLike,
    upstream_pressure: ArrayLike,
    upstream_temperature: ArrayLike,
    downstream_pressure: ArrayLike,
    gas_constant: ArrayLike = 287.053,
    gamma: ArrayLike = 1.4,
) -> Floats:
    """Mass flow through an orifice or throttle plate, compressible, choked where it must.

    Parameters
    ----------
    effective_area : array_like
        Discharge coefficient times area. [m2]
    upstream_pressure : array_like
        Upstream total pressure, absolute. [Pa]
    upstream_temperature : array_like
        Upstream total temperature. [K]
    downstream_pressure : array_like
        Throat static pressure, absolute. [Pa]; at or above upstream gives no flow.
    gas_constant : array_like
        Specific gas constant. [J/(kg K)]
    gamma : array_like
        Ratio of specific heats. [-]

    Returns
    -------
    ndarray
        Mass flow. [kg/s]

    References
    ----------
    Heywood, 1st ed., appendix C, eq. (C.8) and (C.9).

    Examples
    --------
    >>> round(float(orifice_flow(0.8 * 0.00384845, 1e5, 298.15, 95e3)), 4)
    0.3238
    """
    g = np.asarray(gamma, dtype=float)
    ratio = np.asarray(downstream_pressure, dtype=float) / upstream_pressure
    ratio = np.clip(ratio, critical_pressure_ratio(g), 1.0)
    power = ratio ** (1.0 / g)
    speed = np.sqrt(2.0 * g / (g - 1.0) * np.maximum(1.0 - ratio / power, 0.0))
    density_speed = np.asarray(upstream_pressure) / np.sqrt(
        np.asarray(gas_constant) * np.asarray(upstream_temperature)
    )
    return np.asarray(effective_area * density_speed * power * speed)
