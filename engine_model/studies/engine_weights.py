"""Weights over engine speed for the study of compressors."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.inputs import Build

Floats = NDArray[np.float64]


def engine_speed_weights(build: Build, engine_speed: ArrayLike, wheel_power: ArrayLike) -> Floats:
    """Share of time at each engine speed: every speed counts the same.

    Parameters
    ----------
    build : Build
        The build.
    engine_speed : array_like
        Engine speed. [rpm]
    wheel_power : array_like
        Power at the wheels; last axis engine speed. [W]

    Returns
    -------
    ndarray
        Weights of the shape of the power; they sum to 1 over the last axis. [-]

    References
    ----------
    None: flat weights, chosen here.
    """
    power = np.asarray(wheel_power, dtype=float)
    return np.full(power.shape, 1.0 / np.asarray(engine_speed).size)
