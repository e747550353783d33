"""Physical constants, each with its source."""

from __future__ import annotations

from typing import Final

GAS_CONSTANT_DRY_AIR: Final = 287.053
"""Specific gas constant of dry air [J/(kg K)], ISO 2533 (287.05287 there)."""

GAS_CONSTANT_WATER_VAPOUR: Final = 461.523
"""Specific gas constant of water vapour [J/(kg K)], R/M with M = 18.01527 g/mol."""

VAPOUR_MASS_RATIO: Final = 0.622
"""Molar mass of water over that of dry air [-], psychrometric convention."""

VAPOUR_GAS_RATIO: Final = 1.6078
"""Gas constant of water vapour over that of dry air [-], reciprocal of 0.622."""

STANDARD_GRAVITY: Final = 9.80665
"""Standard acceleration of free fall [m/s2], definition."""

QUARTER_MILE: Final = 402.336
"""Quarter of a mile [m]: 1320 ft of 0.3048 m, definition."""

MOLAR_MASS_AIR: Final = 28.97
"""Molar mass of dry air [g/mol], ISO 2533 (28.964420 there)."""

STANDARD_TEMPERATURE: Final = 288.15
"""Sea-level temperature of the standard atmosphere [K], ISO 2533."""

STANDARD_PRESSURE: Final = 101325.0
"""Sea-level pressure of the standard atmosphere [Pa], ISO 2533."""

STANDARD_LAPSE_RATE: Final = 0.0065
"""Temperature lapse of the standard troposphere [K/m], ISO 2533."""

STANDARD_PRESSURE_EXPONENT: Final = 5.25588
"""Pressure exponent of the standard troposphere [-], ISO 2533 (g0/(R L))."""

ZERO_CELSIUS: Final = 273.15
"""0 degC [K], definition."""

STOCK_DAY_PRESSURE: Final = 99_000.0
"""Dry pressure of the stock day [Pa], reference air of SAE J1349 and ISO 1585."""

STOCK_DAY_TEMPERATURE: Final = 298.15
"""Temperature of the stock day [K], reference air of SAE J1349 (25 degC)."""

CYCLE_GAMMA: Final = 1.3
"""Ratio of specific heats in the ideal-cycle and breathing terms [-], Heywood eq. (6.2)."""

RPM_PER_CYCLE: Final = 120.0
"""Engine speed [rpm] over cycles per second of a four-stroke [rpm s], definition."""
