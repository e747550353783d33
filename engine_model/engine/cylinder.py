"""The cylinder: its volume over crank angle, the burn, and the delay of the end gas.

Crank angles are degrees after top centre of compression.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.constants import STANDARD_PRESSURE

Floats = NDArray[np.float64]

ROD_OVER_CRANK = 3.5
"""Length of the connecting rod over the crank's radius [-]; 3-4 (Heywood section 2.2)."""

DELAY_FACTOR, DELAY_OCTANE_EXPONENT = 17.68, 3.402
DELAY_PRESSURE_EXPONENT, DELAY_TEMPERATURE = 1.7, 3800.0


def volume_ratio(
    crank_angle: ArrayLike, compression_ratio: ArrayLike, rod_over_crank: float = ROD_OVER_CRANK
) -> Floats:
    """Cylinder volume over clearance volume.

    Parameters
    ----------
    crank_angle : array_like
        Crank angle after top centre. [deg]
    compression_ratio : array_like
        Compression ratio. [-] above 1.
    rod_over_crank : float
        Length of the connecting rod over the crank's radius. [-]

    Returns
    -------
    ndarray
        Volume: 1 at top centre, the compression ratio at bottom centre. [-]

    References
    ----------
    Heywood eq. (2.6).

    Examples
    --------
    Half a turn from the top the whole swept volume is open.

    >>> float(volume_ratio(180.0, 9.8))
    9.8
    """
    cosine = np.cos(np.asarray(crank_angle, dtype=float) * (np.pi / 180.0))
    return ratio_from_cosine(cosine, np.asarray(compression_ratio, dtype=float), rod_over_crank)


def ratio_from_cosine(cosine: Floats, compression_ratio: Floats, rod_over_crank: float) -> Floats:
    """Volume over clearance volume [-] from the cosine of the crank angle [-]."""
    lift = cosine * cosine
    lift += rod_over_crank * rod_over_crank - 1.0
    lift = np.sqrt(lift)
    lift += cosine
    lift -= 1.0 + rod_over_crank
    lift = lift * (-0.5 * (compression_ratio - 1.0))
    lift += 1.0
    return np.asarray(lift)


def burnt_share(
    share_of_duration: ArrayLike, efficiency_factor: float = 5.0, form_factor: float = 2.0
) -> Floats:
    """Share of the charge that has burnt (Wiebe).

    Parameters
    ----------
    share_of_duration : array_like
        Crank angle since the start of burning over the duration of the burn. [-] 0-1.
    efficiency_factor : float
        The a of the formula. [-]
    form_factor : float
        The m of the formula. [-]

    Returns
    -------
    ndarray
        Share burnt. [-]

    References
    ----------
    Heywood eq. (9.80), a 5 and m 2.

    Examples
    --------
    At the end 1 - exp(-5) has burnt.

    >>> round(float(burnt_share(1.0)), 4)
    0.9933
    """
    y = np.clip(np.asarray(share_of_duration, dtype=float), 0.0, 1.0)
    return np.asarray(-np.expm1(-efficiency_factor * y ** (form_factor + 1.0)))


def induction_time(
    octane: ArrayLike, pressure: ArrayLike, end_gas_temperature: ArrayLike
) -> Floats:
    """Delay until the end gas ignites by itself.

    Parameters
    ----------
    octane : array_like
        Octane number. [-] 80-100 in the experiments (from memory).
    pressure : array_like
        Cylinder pressure, absolute. [Pa]
    end_gas_temperature : array_like
        Temperature of the unburnt gas. [K]

    Returns
    -------
    ndarray
        Delay. [s]

    References
    ----------
    Douaud & Eyzat, SAE 780080 (1978), pressure in atm; Heywood section 9.6.2.

    Examples
    --------
    >>> round(float(induction_time(95.0, 40 * 101325.0, 800.0)), 9)
    0.003244104
    """
    p = np.asarray(pressure, dtype=float) / STANDARD_PRESSURE
    t = np.asarray(end_gas_temperature, dtype=float)
    octane_effect = (np.asarray(octane, dtype=float) / 100.0) ** DELAY_OCTANE_EXPONENT
    factor = 1e-3 * DELAY_FACTOR * octane_effect
    return np.asarray(factor * p**-DELAY_PRESSURE_EXPONENT * np.exp(DELAY_TEMPERATURE / t))


def equal_delay_temperature(pressure_rise: ArrayLike, end_gas_temperature: ArrayLike) -> Floats:
    """Change of end-gas temperature that makes up for a small rise of pressure.

    Parameters
    ----------
    pressure_rise : array_like
        Rise of pressure over pressure. [-]
    end_gas_temperature : array_like
        Temperature of the unburnt gas. [K]

    Returns
    -------
    ndarray
        Change of temperature at the same delay, negative for a rise. [K]

    References
    ----------
    Douaud & Eyzat, SAE 780080 (1978): differential of :func:`induction_time`.

    Examples
    --------
    >>> round(float(equal_delay_temperature(0.1, 800.0)), 2)
    -28.63
    """
    t = np.asarray(end_gas_temperature, dtype=float)
    slope = DELAY_PRESSURE_EXPONENT * t * t / DELAY_TEMPERATURE
    return np.asarray(-slope * np.asarray(pressure_rise, dtype=float))
