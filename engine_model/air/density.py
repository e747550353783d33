"""Density of humid air."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.air.gas import moist_air


def moist_density(
    pressure: ArrayLike, temperature: ArrayLike, humidity_ratio: ArrayLike
) -> NDArray[np.float64]:
    """Density of humid air as a mixture of ideal gases.

    Parameters
    ----------
    pressure : array_like
        Pressure, absolute. [Pa]
    temperature : array_like
        Air temperature. [K] 200-400.
    humidity_ratio : array_like
        Mass of water vapour over mass of dry air. [-] 0-0.2.

    Returns
    -------
    ndarray
        Mass of air and vapour together over volume. [kg/m3]

    References
    ----------
    Ideal gas, p/(R T). Check value: ISO 2533, 1.225 kg/m3 at sea level.

    Examples
    --------
    >>> round(float(moist_density(101325.0, 288.15, 0.0)), 3)
    1.225
    """
    gas_constant = moist_air(humidity_ratio).gas_constant
    return np.asarray(
        np.asarray(pressure, dtype=float) / (gas_constant * np.asarray(temperature, dtype=float))
    )
