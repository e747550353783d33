"""Water that a cold charge core takes out of a humid charge."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.air.atmosphere import saturation_pressure
from engine_model.constants import VAPOUR_MASS_RATIO, ZERO_CELSIUS

Floats = NDArray[np.float64]

CONDENSES_BELOW = 373.15
"""Surfaces at or above this stay dry [K]: no charge is that humid."""


def saturated_humidity_ratio(pressure: ArrayLike, temperature: ArrayLike) -> Floats:
    """Most vapour that air carries beside a surface, over its dry mass.

    Parameters
    ----------
    pressure : array_like
        Pressure of the charge, absolute. [Pa]
    temperature : array_like
        Of the surface. [K] 233-323.

    Returns
    -------
    ndarray
        Humidity ratio; infinite where water boils. [-]

    References
    ----------
    ASHRAE Fundamentals: w = 0.622 p_v/(p - p_v). Over water also below 0 degC.

    Examples
    --------
    ASHRAE's tables give 0.014758 at 20 degC and 101325 Pa.

    >>> round(float(saturated_humidity_ratio(101325.0, 293.15)), 4)
    0.0147
    """
    p = np.asarray(pressure, dtype=float)
    t = np.asarray(temperature, dtype=float)
    vapour = saturation_pressure(np.minimum(t, CONDENSES_BELOW))
    left = p - vapour
    boils = (t >= CONDENSES_BELOW) | (left <= 0.0)
    safe = np.where(boils, 1.0, left)
    return np.asarray(np.where(boils, np.inf, VAPOUR_MASS_RATIO * vapour / safe))


def dew_point(pressure: ArrayLike, humidity_ratio: ArrayLike) -> Floats:
    """Temperature of a surface on which the vapour of a charge begins to condense.

    Parameters
    ----------
    pressure : array_like
        Pressure of the charge, absolute. [Pa]
    humidity_ratio : array_like
        Mass of vapour over mass of dry air. [-]

    Returns
    -------
    ndarray
        Dew point; 0 K for dry air. [K] 233-323

    References
    ----------
    Inverse of Buck's saturation pressure (:func:`engine_model.air.atmosphere.
    saturation_pressure`), a quadratic in the temperature.

    Examples
    --------
    Vapour of 2338 Pa, saturated at 20 degC (steam tables: 2339 Pa).

    >>> round(float(dew_point(101325.0, 0.622 * 2338.0 / (101325.0 - 2338.0))), 1)
    293.1
    """
    w = np.asarray(humidity_ratio, dtype=float)
    vapour = w * np.asarray(pressure, dtype=float) / (VAPOUR_MASS_RATIO + w)
    dry = vapour <= 0.0
    level = np.log(np.where(dry, 611.21, vapour) / 611.21)
    slope = 18.678 - level
    celsius = 117.25 * (slope - np.sqrt(slope * slope - 4.0 * 257.14 / 234.5 * level))
    return np.asarray(np.where(dry, 0.0, celsius + ZERO_CELSIUS))


def heat_of_condensation(temperature: ArrayLike) -> Floats:
    """Heat that a mass of vapour gives when it condenses.

    Parameters
    ----------
    temperature : array_like
        Where it condenses. [K] 273-323.

    Returns
    -------
    ndarray
        Heat. [J/kg]

    References
    ----------
    ASHRAE Fundamentals, psychrometrics: 2501 - 2.326 t kJ/kg (t in degC).

    Examples
    --------
    >>> round(float(heat_of_condensation(273.15)), 0)
    2501000.0
    """
    t = np.asarray(temperature, dtype=float) - ZERO_CELSIUS
    return np.asarray(2.501e6 - 2326.0 * t)


def condensate_flow(
    dry_flow: ArrayLike,
    humidity_ratio: ArrayLike,
    pressure: ArrayLike,
    surface_temperature: ArrayLike,
    contact: ArrayLike = 1.0,
) -> Floats:
    """Water condensing on a surface colder than the dew point.

    Parameters
    ----------
    dry_flow : array_like
        Dry air. [kg/s]
    humidity_ratio : array_like
        Mass of vapour over mass of dry air, before the surface. [-]
    pressure : array_like
        Pressure of the charge, absolute. [Pa]
    surface_temperature : array_like
        Of the surface. [K]
    contact : array_like
        Share of the air that takes the state of the surface, 1 less the bypass factor. [-]

    Returns
    -------
    ndarray
        Water; 0 on a dry surface. [kg/s]

    References
    ----------
    Apparatus dew point and bypass factor, ASHRAE Fundamentals (coils); Lewis number 1.

    Examples
    --------
    A surface at the charge's own saturation takes nothing.

    >>> float(condensate_flow(0.4, 0.010, 101325.0, 293.15))
    0.0
    """
    w = np.asarray(humidity_ratio, dtype=float)
    over = np.maximum(w - saturated_humidity_ratio(pressure, surface_temperature), 0.0)
    return np.asarray(np.asarray(dry_flow, dtype=float) * np.asarray(contact) * over)
