"""Speed ratio of a belt drive."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def pitch_ratio(
    crank_pulley_diameter: ArrayLike,
    blower_pulley_diameter: ArrayLike,
    pitch_offset: ArrayLike,
) -> Floats:
    """Speed ratio of two ribbed pulleys by their pitch diameters, no slip.

    Parameters
    ----------
    crank_pulley_diameter : array_like
        Outside diameter of the driving pulley. [m] above 0.
    blower_pulley_diameter : array_like
        Outside diameter of the driven pulley. [m] above 0.
    pitch_offset : array_like
        Height of the belt's pitch line over the outside diameter. [m] about 0.002.

    Returns
    -------
    ndarray
        Driven speed over driving speed. [-]

    References
    ----------
    d_p = d_e + 2 b_e, ISO 9982 (form sure; 2 mm for the PK section from memory, unsure).

    Examples
    --------
    >>> round(float(pitch_ratio(0.180, 0.080, 0.002)), 4)
    2.1905
    """
    offset = 2.0 * np.asarray(pitch_offset, dtype=float)
    return np.asarray(
        (np.asarray(crank_pulley_diameter) + offset) / (np.asarray(blower_pulley_diameter) + offset)
    )


def impeller_speed(
    engine_speed: ArrayLike, ratio: ArrayLike, step_up: ArrayLike, slip: ArrayLike = 0.0
) -> Floats:
    """Impeller speed of a belt-driven blower.

    Parameters
    ----------
    engine_speed : array_like
        Engine speed. [rpm]
    ratio : array_like
        Pulley speed ratio. [-]
    step_up : array_like
        Ratio of the gear inside the blower. [-]
    slip : array_like
        Slip and creep of the belt, share of the speed lost. [-] 0-1.

    Returns
    -------
    ndarray
        Impeller speed. [rpm]

    References
    ----------
    Kinematics.

    Examples
    --------
    >>> float(impeller_speed(6000.0, 2.0, 4.0, 0.005))
    47760.0
    """
    return np.asarray(
        np.asarray(engine_speed, dtype=float)
        * np.asarray(ratio)
        * np.asarray(step_up)
        * (1.0 - np.asarray(slip))
    )


def tip_speed(impeller_speed: ArrayLike, exducer_diameter: ArrayLike) -> Floats:
    """Circumferential speed at the impeller outlet.

    Parameters
    ----------
    impeller_speed : array_like
        Impeller speed. [rpm]
    exducer_diameter : array_like
        Impeller outlet diameter. [m]

    Returns
    -------
    ndarray
        Tip speed. [m/s]

    References
    ----------
    U2 = pi D2 N/60.

    Examples
    --------
    >>> round(float(tip_speed(62000.0, 0.1)), 2)
    324.63
    """
    return np.asarray(
        np.pi * np.asarray(exducer_diameter) * np.asarray(impeller_speed, dtype=float) / 60.0
    )
