"""Correction factors of the dyno standards, one function each."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.constants import STANDARD_PRESSURE
from engine_model.errors import InputError

Floats = NDArray[np.float64]

MECHANICAL_EFFICIENCY: Final = 0.85
"""Mechanical efficiency of the 2004 form [-]; SAE J1349 (2004), read second hand."""

FRICTION_SHARE_1990: Final = 0.18
"""Friction over power of the 1990 form [-]; SAE J1349 (1990), read second hand."""

INCH_OF_MERCURY: Final = 3386.389
"""Conventional inch of mercury [Pa], NIST SP 811."""

RANKINE: Final = 1.8
"""Degrees Rankine in a kelvin, definition: 77 degF is 537 degR, not 1.8 times 77."""

WHOLE_ZERO: Final = 273.0
"""0 degC as SAE J1349 (1990) rounds it [K]: it divides by 298, not by 298.15."""

LEAN_FUEL, RICH_FUEL = 40.0, 65.0
"""Fuel of a compression-ignition engine between which f_m rises [mg/(L cycle)]; ISO 1585."""


@dataclass(frozen=True, slots=True, eq=False)
class Air:
    """Air that the engine drew, as the standards ask for it.

    Parameters
    ----------
    pressure : ndarray
        Station pressure, absolute. [Pa]
    vapour_pressure : ndarray
        Partial pressure of water vapour. [Pa]
    temperature : ndarray
        At the air intake. [K]
    mechanical_efficiency : float
        Of the engine, for the 2004 form of SAE J1349. [-] above 0, at most 1
    fuel_per_litre : ndarray or float
        Fuel of a compression-ignition engine per litre and cycle; nan where not known.
        [mg/(L cycle)]
    """

    pressure: Floats
    vapour_pressure: Floats
    temperature: Floats
    mechanical_efficiency: float = MECHANICAL_EFFICIENCY
    fuel_per_litre: ArrayLike = np.nan

    @property
    def dry_pressure(self) -> Floats:
        """Pressure of the dry part [Pa]."""
        return np.asarray(self.pressure - self.vapour_pressure)


def _indicated_ratio(air: Air, warm: Floats) -> Floats:
    """Ratio f of SAE J1349: reference over measured indicated power [-]."""
    return np.asarray(99_000.0 / air.dry_pressure * np.sqrt(warm))


def _with_friction(ratio: Floats, share: float) -> Floats:
    """Factor of a brake power whose friction does not change [-]."""
    return np.asarray((1.0 + share) * ratio - share)


def sae_1990(air: Air) -> Floats:
    """Correction factor of SAE J1349, 1990 form.

    Parameters
    ----------
    air : Air
        The air.

    Returns
    -------
    ndarray
        Corrected over measured power. [-]

    References
    ----------
    SAE J1349 (1990): 1.180 (990/p_dry) sqrt((t + 273)/298) - 0.18, read second hand.

    Examples
    --------
    950 mbar dry at 35 degC:

    >>> round(float(sae_1990(Air(95e3, 0.0, 308.15))), 7)
    1.0701463
    """
    warm = np.asarray((air.temperature - 273.15 + WHOLE_ZERO) / 298.0)
    return _with_friction(_indicated_ratio(air, warm), FRICTION_SHARE_1990)


def sae_2004(air: Air) -> Floats:
    """Correction factor of SAE J1349, 2004 form: friction from a mechanical efficiency.

    Parameters
    ----------
    air : Air
        The air, with the mechanical efficiency.

    Returns
    -------
    ndarray
        Corrected over measured power. [-]

    References
    ----------
    SAE J1349 (2004): (1 + k) f - k, k = (1 - eta)/eta, eta 0.85; read second hand.

    Examples
    --------
    >>> round(float(sae_2004(Air(95e3, 0.0, 308.15))), 7)
    1.0699263
    """
    eta = air.mechanical_efficiency
    if not 0.0 < eta <= 1.0:
        raise InputError("mechanical_efficiency", eta, "above 0, at most 1")
    ratio = _indicated_ratio(air, np.asarray(air.temperature / 298.15))
    return _with_friction(ratio, (1.0 - eta) / eta)


def sae_j607(air: Air) -> Floats:
    """Correction factor of SAE J607, the older standard: cool, dense reference air, no friction.

    Parameters
    ----------
    air : Air
        The air.

    Returns
    -------
    ndarray
        Corrected over measured power. [-]

    References
    ----------
    SAE J607: (29.92 inHg/p_dry) sqrt(T/519.67 degR), reference 60 degF; read second hand.

    Examples
    --------
    Its own reference air gives 1:

    >>> round(float(sae_j607(Air(29.92 * 3386.389, 0.0, 519.67 / 1.8))), 12)
    1.0
    """
    warm = air.temperature * RANKINE / 519.67
    return np.asarray(29.92 * INCH_OF_MERCURY / air.dry_pressure * np.sqrt(warm))


def iso_spark(air: Air) -> Floats:
    """Correction factor of ISO 1585 for spark ignition.

    Parameters
    ----------
    air : Air
        The air.

    Returns
    -------
    ndarray
        Corrected over measured power. [-]

    References
    ----------
    ISO 1585: (99/p_dry)^1.2 (T/298)^0.6, read second hand.

    Examples
    --------
    >>> round(float(iso_spark(Air(95e3, 0.0, 308.0))), 7)
    1.0717527
    """
    return np.asarray((99_000.0 / air.dry_pressure) ** 1.2 * (air.temperature / 298.0) ** 0.6)


def atmospheric_factor(air: Air) -> Floats:
    """Atmospheric factor of ISO 1585 for compression ignition, mechanically charged or unblown.

    Parameters
    ----------
    air : Air
        The air.

    Returns
    -------
    ndarray
        f_a. [-]

    References
    ----------
    ISO 1585: (99/p_dry) (T/298)^0.7, from memory, sure.

    Examples
    --------
    >>> round(float(atmospheric_factor(Air(95e3, 0.0, 308.0))), 7)
    1.0664628
    """
    return np.asarray(99_000.0 / air.dry_pressure * (air.temperature / 298.0) ** 0.7)


def engine_exponent(fuel_per_litre: ArrayLike) -> Floats:
    """Engine factor of ISO 1585 for compression ignition.

    Parameters
    ----------
    fuel_per_litre : array_like
        Fuel per litre and cycle over the boost pressure ratio. [mg/(L cycle)]

    Returns
    -------
    ndarray
        f_m. [-]

    References
    ----------
    ISO 1585: 0.036 q_c - 1.14; 0.3 below 40, 1.2 above 65; from memory, sure.

    Examples
    --------
    >>> [round(float(engine_exponent(q)), 2) for q in (30.0, 50.0, 80.0)]
    [0.3, 0.66, 1.2]
    """
    q = np.asarray(fuel_per_litre, dtype=float)
    f = np.where(q < LEAN_FUEL, 0.3, np.where(q > RICH_FUEL, 1.2, 0.036 * q - 1.14))
    return np.where(np.isnan(q), np.nan, f)


def iso_compression(air: Air) -> Floats:
    """Correction factor of ISO 1585 for compression ignition, mechanically charged or unblown.

    Parameters
    ----------
    air : Air
        The air, with the fuel per litre.

    Returns
    -------
    ndarray
        Corrected over measured power; nan where the fuel is not known. [-]

    References
    ----------
    ISO 1585: f_a^f_m, from memory, sure.

    Examples
    --------
    >>> round(float(iso_compression(Air(95e3, 0.0, 308.0, fuel_per_litre=50.0))), 6)
    1.043384
    """
    return np.asarray(atmospheric_factor(air) ** engine_exponent(air.fuel_per_litre))


def din_70020(air: Air) -> Floats:
    """Correction factor of DIN 70020: the whole pressure, vapour left in.

    Parameters
    ----------
    air : Air
        The air.

    Returns
    -------
    ndarray
        Corrected over measured power. [-]

    References
    ----------
    DIN 70020: (1013.25/p) sqrt(T/293.15), from memory, sure of the form.

    Examples
    --------
    >>> round(float(din_70020(Air(96e3, 0.0, 305.15))), 7)
    1.0768547
    """
    return np.asarray(STANDARD_PRESSURE / air.pressure * np.sqrt(air.temperature / 293.15))


def uncorrected(air: Air) -> Floats:
    """Factor of power as on the day.

    Parameters
    ----------
    air : Air
        The air.

    Returns
    -------
    ndarray
        Ones. [-]

    References
    ----------
    None: a definition.

    Examples
    --------
    >>> float(uncorrected(Air(95e3, 0.0, 308.0)))
    1.0
    """
    return np.ones(np.broadcast_shapes(np.shape(air.pressure), np.shape(air.temperature)))
