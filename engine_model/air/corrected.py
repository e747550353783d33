"""Corrected flow and speed: compressor quantities freed of the day's air."""

from __future__ import annotations

import functools

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.air.gas import moist_air
from engine_model.constants import GAS_CONSTANT_DRY_AIR

Floats = NDArray[np.float64]


def reference_gamma(reference_temperature: ArrayLike) -> Floats:
    """Ratio of specific heats of dry air at a compressor map's reference temperature.

    Parameters
    ----------
    reference_temperature : array_like
        Reference temperature. [K]

    Returns
    -------
    ndarray
        Ratio of specific heats. [-]

    References
    ----------
    Ideal-gas cp(T) of :mod:`engine_model.air.gas`.

    Examples
    --------
    >>> round(float(reference_gamma(288.15)), 2)
    1.4
    """
    t = np.asarray(reference_temperature, dtype=float)
    if t.ndim == 0:
        return np.asarray(_gamma_at(float(t)))
    return moist_air(np.zeros_like(t)).ratio_of_specific_heats(t)


@functools.lru_cache(maxsize=64)
def _gamma_at(temperature: float) -> float:
    """Ratio of specific heats of dry air at one temperature [K]: every match asks for it anew."""
    t = np.asarray(temperature)
    return float(moist_air(np.zeros_like(t)).ratio_of_specific_heats(t))


def flow_correction(
    temperature: ArrayLike,
    gas_constant: ArrayLike,
    gamma: ArrayLike,
    reference_temperature: ArrayLike,
    reference_pressure: ArrayLike,
) -> Floats:
    """Corrected flow times inlet pressure over actual flow.

    Parameters
    ----------
    temperature : array_like
        Inlet total temperature. [K]
    gas_constant : array_like
        Specific gas constant of the (humid) air. [J/(kg K)]
    gamma : array_like
        Its ratio of specific heats. [-]
    reference_temperature : array_like
        The compressor map's reference temperature. [K]
    reference_pressure : array_like
        The compressor map's reference pressure, absolute. [Pa]

    Returns
    -------
    ndarray
        W_c p1/W. [Pa]

    Notes
    -----
    Flow similarity in Mach number is W sqrt(R T/g)/p, not W sqrt(g R T)/p.

    References
    ----------
    Similarity of compressible flow; the reduction of the NASA HECC readings confirms the form.

    Examples
    --------
    Dry air at 308.15 K against 298.15 K and 100 kPa: 0.3 kg/s at 95 kPa is 0.32104 kg/s.

    >>> air = 287.053, 1.4
    >>> k = flow_correction(308.15, *air, 298.15, 1e5) * (1.4 / reference_gamma(298.15)) ** 0.5
    >>> round(float(0.3 / 95e3 * k), 4)
    0.321
    """
    g_ref = reference_gamma(reference_temperature)
    actual = np.asarray(gas_constant) * np.asarray(temperature) / np.asarray(gamma)
    reference = GAS_CONSTANT_DRY_AIR * np.asarray(reference_temperature) / g_ref
    return np.asarray(np.sqrt(actual / reference) * reference_pressure)


def speed_correction(
    temperature: ArrayLike,
    gas_constant: ArrayLike,
    gamma: ArrayLike,
    reference_temperature: ArrayLike,
) -> Floats:
    """Corrected speed over actual speed.

    Parameters
    ----------
    temperature : array_like
        Inlet total temperature. [K]
    gas_constant : array_like
        Specific gas constant of the (humid) air. [J/(kg K)]
    gamma : array_like
        Its ratio of specific heats. [-]
    reference_temperature : array_like
        The compressor map's reference temperature. [K]

    Returns
    -------
    ndarray
        N_c/N. [-]

    References
    ----------
    Similarity of compressible flow: N/sqrt(g R T).

    Examples
    --------
    >>> g = float(reference_gamma(298.15))
    >>> round(50000 * float(speed_correction(308.15, 287.053, g, 298.15)), 0)
    49182.0
    """
    g_ref = reference_gamma(reference_temperature)
    actual = np.asarray(gas_constant) * np.asarray(temperature) * np.asarray(gamma)
    return np.asarray(
        np.sqrt(GAS_CONSTANT_DRY_AIR * np.asarray(reference_temperature) * g_ref / actual)
    )


def flow_at_reference(
    corrected_flow: ArrayLike,
    temperature_from: float,
    pressure_from: float,
    temperature_to: float,
    pressure_to: float,
) -> Floats:
    """Corrected flow moved from one reference state to another.

    Parameters
    ----------
    corrected_flow : array_like
        Corrected flow at the first reference. [kg/s]
    temperature_from, temperature_to : float
        Reference temperatures. [K]
    pressure_from, pressure_to : float
        Reference pressures, absolute. [Pa]

    Returns
    -------
    ndarray
        Corrected flow at the second reference. [kg/s]

    References
    ----------
    W_cB = W_cA sqrt(T_A/T_B) (p_B/p_A), by definition.

    Examples
    --------
    >>> round(float(flow_at_reference(1.0, 302.6, 96e3, 298.15, 100e3)), 5)
    1.04941
    """
    factor = np.sqrt(temperature_from / temperature_to) * pressure_to / pressure_from
    return np.asarray(np.asarray(corrected_flow, dtype=float) * factor)


def speed_at_reference(
    corrected_speed: ArrayLike, temperature_from: float, temperature_to: float
) -> Floats:
    """Corrected speed moved from one reference temperature to another.

    Parameters
    ----------
    corrected_speed : array_like
        Corrected speed at the first reference. [rpm]
    temperature_from, temperature_to : float
        Reference temperatures. [K]

    Returns
    -------
    ndarray
        Corrected speed at the second reference. [rpm]

    References
    ----------
    N_cB = N_cA sqrt(T_B/T_A), by definition.

    Examples
    --------
    >>> round(float(speed_at_reference(1.0, 302.6, 298.15)), 5)
    0.99262
    """
    factor = np.sqrt(temperature_to / temperature_from)
    return np.asarray(np.asarray(corrected_speed, dtype=float) * factor)
