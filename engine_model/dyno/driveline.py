"""From flywheel to wheels and back: a share and a constant lost in the driveline."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def wheel_power(
    flywheel_power: ArrayLike, loss: ArrayLike, constant_loss: ArrayLike = 0.0
) -> Floats:
    """Power at the wheels.

    Parameters
    ----------
    flywheel_power : array_like
        Power at the flywheel. [W]
    loss : array_like
        Share lost in the driveline. [-]
    constant_loss : array_like
        Loss that does not grow with power. [W]

    Returns
    -------
    ndarray
        Power. [W]

    References
    ----------
    Common practice, no source. Going back divides by (1 - loss).

    Examples
    --------
    >>> round(float(wheel_power(470.58824, 0.15)), 3)
    400.0
    """
    kept = 1.0 - np.asarray(loss, dtype=float)
    constant = np.asarray(constant_loss, dtype=float)
    return np.asarray(np.asarray(flywheel_power, dtype=float) * kept - constant)


def flywheel_power(
    wheel_power: ArrayLike, loss: ArrayLike, constant_loss: ArrayLike = 0.0
) -> Floats:
    """Power at the flywheel that belongs to a power at the wheels.

    Parameters
    ----------
    wheel_power : array_like
        Power at the wheels. [W]
    loss : array_like
        Share lost in the driveline. [-]
    constant_loss : array_like
        Loss that does not grow with power. [W]

    Returns
    -------
    ndarray
        Power. [W]

    References
    ----------
    Inverse of :func:`wheel_power`: a division, not a product with (1 + loss).

    Examples
    --------
    >>> round(float(flywheel_power(400.0, 0.15)), 5)
    470.58824
    """
    kept = 1.0 - np.asarray(loss, dtype=float)
    constant = np.asarray(constant_loss, dtype=float)
    return np.asarray((np.asarray(wheel_power, dtype=float) + constant) / kept)
