"""Correction of dyno power to a standard's reference air: a table of standards.

A factor is made for an engine that breathes the day's air unaided. Behind a belt-driven
centrifugal blower it is an approximation: the impeller keeps its mechanical speed, but its boost
changes with the air.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.air.atmosphere import station_pressure
from engine_model.constants import STANDARD_PRESSURE
from engine_model.dyno.factors import (
    INCH_OF_MERCURY,
    RANKINE,
    Air,
    din_70020,
    iso_compression,
    iso_spark,
    sae_1990,
    sae_2004,
    sae_j607,
    uncorrected,
)
from engine_model.errors import InputError

Floats = NDArray[np.float64]

LEAST_FACTOR: Final = 0.93
MOST_FACTOR: Final = 1.07
"""Factors outside these are flagged [-]; SAE J1349 and ISO 1585, from memory, sure."""


@dataclass(frozen=True, slots=True)
class Standard:
    """One correction standard.

    Parameters
    ----------
    key : str
        Its name here.
    factor : callable
        From the air to the factor.
    reference_pressure : float
        Dry pressure of its reference air; whole pressure where it takes no note of vapour. [Pa]
    reference_temperature : float
        Temperature of its reference air. [K]
    source : str
        Its equation and where it was read.
    """

    key: str
    factor: Callable[[Air], Floats]
    reference_pressure: float
    reference_temperature: float
    source: str


_HEARD = "read second hand"
_ROWS: Final = (
    Standard("none", uncorrected, float("nan"), float("nan"), "as on the day"),
    Standard(
        "sae_j1349_1990", sae_1990, 99_000.0, 298.15,
        f"SAE J1349 (1990): 1.180 (99 kPa/p_dry) sqrt((t + 273)/298) - 0.18, {_HEARD}",
    ),
    Standard(
        "sae_j1349_2004", sae_2004, 99_000.0, 298.15,
        f"SAE J1349 (2004): (1 + k) f - k, k from a mechanical efficiency of 0.85, {_HEARD}",
    ),
    Standard(
        "sae_j607", sae_j607, 29.92 * INCH_OF_MERCURY, 519.67 / RANKINE,
        f"SAE J607: (29.92 inHg/p_dry) sqrt(T/519.67 degR), {_HEARD}",
    ),
    Standard(
        "iso_1585_spark", iso_spark, 99_000.0, 298.0,
        f"ISO 1585, spark ignition: (99 kPa/p_dry)^1.2 (T/298)^0.6, {_HEARD}",
    ),
    Standard(
        "iso_1585_compression", iso_compression, 99_000.0, 298.0,
        "ISO 1585, compression ignition, mechanically charged or unblown: f_a^f_m, from memory",
    ),
    Standard(
        "din_70020", din_70020, STANDARD_PRESSURE, 293.15,
        "DIN 70020: (1013.25 mbar/p) sqrt(T/293.15), whole pressure, from memory",
    ),
)  # fmt: skip

STANDARDS: Final[Mapping[str, Standard]] = MappingProxyType({row.key: row for row in _ROWS})
"""Correction standards by key, uncorrected first."""


def standard_named(key: str) -> Standard:
    """Row of a standard, or an :class:`InputError` that lists them."""
    if key not in STANDARDS:
        raise InputError("standard", key, "one of " + ", ".join(STANDARDS))
    return STANDARDS[key]


def is_flagged(factor: ArrayLike) -> NDArray[np.bool_]:
    """Whether a correction factor [-] is outside 0.93-1.07, where the standards do not reach."""
    f = np.asarray(factor, dtype=float)
    return np.asarray((f < LEAST_FACTOR) | (f > MOST_FACTOR))


def pressure_at_station(sea_level_pressure: ArrayLike, altitude: ArrayLike) -> Floats:
    """Station pressure from the pressure of a weather report, reduced to sea level.

    Parameters
    ----------
    sea_level_pressure : array_like
        As a weather report or an airfield tells it, absolute. [Pa]
    altitude : array_like
        Geopotential height of the station. [m] -1000 to 11000.

    Returns
    -------
    ndarray
        Pressure at the station, absolute. [Pa]

    References
    ----------
    ISO 2533: pressures over the standard atmosphere's keep their ratio, as an altimeter setting
    assumes.

    Examples
    --------
    The standard atmosphere at 1000 m, 898.75 hPa in its table:

    >>> round(float(pressure_at_station(101325.0, 1000.0)) / 100.0, 1)
    898.8
    """
    reduced = np.asarray(sea_level_pressure, dtype=float) / STANDARD_PRESSURE
    return np.asarray(reduced * station_pressure(altitude))
