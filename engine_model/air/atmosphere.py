"""The day: standard atmosphere and humidity."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.constants import (
    STANDARD_LAPSE_RATE,
    STANDARD_PRESSURE,
    STANDARD_PRESSURE_EXPONENT,
    STANDARD_TEMPERATURE,
    VAPOUR_MASS_RATIO,
    ZERO_CELSIUS,
)

Floats = NDArray[np.float64]


def standard_temperature(altitude: ArrayLike) -> Floats:
    """Temperature of the standard atmosphere.

    Parameters
    ----------
    altitude : array_like
        Geopotential height above sea level. [m] -1000 to 11000.

    Returns
    -------
    ndarray
        Temperature. [K]

    References
    ----------
    ISO 2533; US Standard Atmosphere 1976.

    Examples
    --------
    >>> float(standard_temperature(1000.0))
    281.65
    """
    return np.asarray(
        STANDARD_TEMPERATURE - STANDARD_LAPSE_RATE * np.asarray(altitude, dtype=float)
    )


def station_pressure(altitude: ArrayLike) -> Floats:
    """Pressure of the standard atmosphere at a height, used as the day's station pressure.

    Parameters
    ----------
    altitude : array_like
        Geopotential height above sea level. [m] -1000 to 11000.

    Returns
    -------
    ndarray
        Pressure, absolute. [Pa]

    References
    ----------
    ISO 2533; US Standard Atmosphere 1976: p = 101325 (T/288.15)^5.25588.

    Examples
    --------
    >>> round(float(station_pressure(1000.0)), -1)
    89870.0
    """
    ratio = standard_temperature(altitude) / STANDARD_TEMPERATURE
    return np.asarray(STANDARD_PRESSURE * ratio**STANDARD_PRESSURE_EXPONENT)


def geopotential_height(geometric_height: ArrayLike) -> Floats:
    """Geopotential height that belongs to a geometric height.

    Parameters
    ----------
    geometric_height : array_like
        Height as a map shows it. [m]

    Returns
    -------
    ndarray
        Geopotential height. [m]

    References
    ----------
    ISO 2533, nominal earth radius 6 356 766 m.

    Examples
    --------
    >>> round(float(geopotential_height(5000.0)), 0)
    4996.0
    """
    z = np.asarray(geometric_height, dtype=float)
    return np.asarray(6_356_766.0 * z / (6_356_766.0 + z))


def saturation_pressure(temperature: ArrayLike) -> Floats:
    """Saturation pressure of water vapour over water.

    Parameters
    ----------
    temperature : array_like
        Air temperature. [K] 233-323.

    Returns
    -------
    ndarray
        Saturation pressure. [Pa]

    References
    ----------
    Buck 1981 in its 1996 form, 611.21 exp((18.678 - t/234.5) t/(257.14 + t)), from memory,
    sure; within 0.3 % of IAPWS SR1-86.

    Examples
    --------
    >>> round(float(saturation_pressure(293.15)), 0)
    2338.0
    """
    t = np.asarray(temperature, dtype=float) - ZERO_CELSIUS
    return np.asarray(611.21 * np.exp((18.678 - t / 234.5) * t / (257.14 + t)))


def humidity_ratio(
    pressure: ArrayLike, temperature: ArrayLike, relative_humidity: ArrayLike
) -> Floats:
    """Mass of water vapour carried by a mass of dry air.

    Parameters
    ----------
    pressure : array_like
        Station pressure, absolute. [Pa]
    temperature : array_like
        Air temperature. [K] 233-323.
    relative_humidity : array_like
        Relative humidity. [-] 0-1.

    Returns
    -------
    ndarray
        Humidity ratio. [-]

    References
    ----------
    ASHRAE Fundamentals: w = 0.622 p_v/(p - p_v).

    Examples
    --------
    >>> round(float(humidity_ratio(101325.0, 293.15, 0.5)), 4)
    0.0073
    """
    vapour = np.asarray(relative_humidity, dtype=float) * saturation_pressure(temperature)
    return np.asarray(VAPOUR_MASS_RATIO * vapour / (np.asarray(pressure, dtype=float) - vapour))
