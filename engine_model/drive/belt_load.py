"""What a running belt loads: tight side, power of a rib, hub load, shifts."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.drive.belt_sections import UNSURE, Figure

Floats = NDArray[np.float64]

IMPELLER_INERTIA = Figure(2e-4, UNSURE)
"""Inertia of impeller and shaft at impeller speed [kg m2]; 1e-4 to 2.5e-4 is usual."""

CLOSE_BELT_SPEED = Figure(55.0, UNSURE)
"""Belt speed from which it is close [m/s]."""

HIGHEST_BELT_SPEED = Figure(65.0, UNSURE)
"""Highest belt speed [m/s]."""


def _numbers(value: ArrayLike) -> Floats:
    return np.asarray(value, dtype=float)


def sprung_tight_side(
    effective: ArrayLike, centrifugal: ArrayLike, set_tension: ArrayLike
) -> Floats:
    """Actual tight-side tension with a spring idler on the slack span.

    Parameters
    ----------
    effective : array_like
        Effective tension. [N]
    centrifugal : array_like
        Centrifugal tension. [N]
    set_tension : array_like
        Slack-span tension over the centrifugal one, whole belt. [N]

    Returns
    -------
    ndarray
        T1; the slack side is the effective tension less. [N]

    References
    ----------
    T1 = Tc + (T2 - Tc) + F, equilibrium.

    Examples
    --------
    >>> float(sprung_tight_side(400.0, 300.0, 150.0))
    850.0
    """
    return np.asarray(_numbers(centrifugal) + _numbers(set_tension) + _numbers(effective))


def fixed_tight_side(effective: ArrayLike, static_tension: ArrayLike) -> Floats:
    """Actual tight-side tension of an elastic belt between fixed centres.

    Parameters
    ----------
    effective : array_like
        Effective tension. [N]
    static_tension : array_like
        Tension at rest, whole belt; the mean of the running spans stays there. [N]

    Returns
    -------
    ndarray
        T1; the slack side is the effective tension less. [N]

    References
    ----------
    T1 = Ti + F/2, elastic belt between rigid centres.

    Examples
    --------
    >>> float(fixed_tight_side(400.0, 720.0))
    920.0
    """
    return np.asarray(_numbers(static_tension) + 0.5 * _numbers(effective))


def least_tensions(
    effective: ArrayLike, centrifugal: ArrayLike, friction: ArrayLike, wrap: ArrayLike
) -> tuple[Floats, Floats]:
    """Least tight and slack tension that carry an effective tension.

    Parameters
    ----------
    effective : array_like
        Effective tension. [N]
    centrifugal : array_like
        Centrifugal tension. [N]
    friction : array_like
        Effective friction. [-]
    wrap : array_like
        Wrap of the pulley. [rad]

    Returns
    -------
    tuple of ndarray
        T1 and T2. [N]

    References
    ----------
    Euler-Eytelwein with centrifugal tension, Shigley ch. 17.

    Examples
    --------
    A tension ratio of five.

    >>> tight, slack = least_tensions(400.0, 50.0, np.log(5.0) / np.pi, np.pi)
    >>> round(float(tight), 6), round(float(slack), 6)
    (550.0, 150.0)
    """
    f, arc = _numbers(effective), _numbers(friction) * _numbers(wrap)
    with np.errstate(over="ignore"):
        slack = _numbers(centrifugal) + f / np.expm1(arc)
    return np.asarray(slack + f), np.asarray(slack)


def rib_power(
    allowance: ArrayLike,
    mass_per_rib: ArrayLike,
    speed: ArrayLike,
    friction: ArrayLike,
    wrap: ArrayLike,
) -> Floats:
    """Power of a rib whose tight side stands at its allowance, at the limit of grip.

    Parameters
    ----------
    allowance : array_like
        Allowed tight-side tension of a rib. [N]
    mass_per_rib : array_like
        Mass of a rib. [kg/m]
    speed : array_like
        Belt speed. [m/s]
    friction : array_like
        Effective friction; infinite where the belt cannot slip. [-]
    wrap : array_like
        Wrap of the pulley. [rad]

    Returns
    -------
    ndarray
        Power. [W]

    References
    ----------
    (T1 - m' v^2)(1 - exp(-mu theta)) v, Shigley ch. 17; greatest where Tc is a third of T1.

    Examples
    --------
    >>> round(float(rib_power(250.0, 0.020, 64.549722, np.inf, np.pi)), 1)
    10758.3
    """
    v = _numbers(speed)
    left = _numbers(allowance) - _numbers(mass_per_rib) * v * v
    return np.asarray(-left * np.expm1(-_numbers(friction) * _numbers(wrap)) * v)


def hub_load(tight: ArrayLike, slack: ArrayLike, centrifugal: ArrayLike, wrap: ArrayLike) -> Floats:
    """Load of the belt on a pulley's shaft.

    Parameters
    ----------
    tight : array_like
        Tight-side tension. [N]
    slack : array_like
        Slack-side tension. [N]
    centrifugal : array_like
        Centrifugal tension, which presses on no pulley. [N]
    wrap : array_like
        Wrap of the pulley. [rad]

    Returns
    -------
    ndarray
        Magnitude of the load. [N]

    References
    ----------
    Vector sum of T1 - Tc and T2 - Tc along their spans (cosine rule).

    Examples
    --------
    >>> round(float(hub_load(1503.8451, 867.22532, 631.65468, np.deg2rad(150.0))), 2)
    1082.63
    """
    a = _numbers(tight) - _numbers(centrifugal)
    b = _numbers(slack) - _numbers(centrifugal)
    half = 0.5 * _numbers(wrap)
    return np.asarray(np.hypot((a + b) * np.sin(half), (a - b) * np.cos(half)))


def shift_tension(
    speed_change: ArrayLike,
    duration: ArrayLike,
    pitch_ratio: ArrayLike,
    step_up: ArrayLike,
    inertia: ArrayLike,
    pitch_diameter: ArrayLike,
) -> Floats:
    """Effective tension of the impeller's inertia while engine speed changes.

    Parameters
    ----------
    speed_change : array_like
        Change of engine speed; negative in a shift or on overrun. [rpm]
    duration : array_like
        Time it takes. [s] above 0.
    pitch_ratio : array_like
        Blower pulley speed over engine speed. [-]
    step_up : array_like
        Ratio of the gear inside the blower. [-]
    inertia : array_like
        Inertia at impeller speed. [kg m2]
    pitch_diameter : array_like
        Pitch diameter of the blower pulley. [m]

    Returns
    -------
    ndarray
        To be added to the effective tension; where the sum is below 0 the tight and the slack
        side change places. [N]

    References
    ----------
    Torque J i^2 d(omega)/dt at the pulley (kinetic energy carried through a gear).

    Examples
    --------
    A hub of 1 kg m2 brought from rest to 30/pi rpm, that is 1 rad/s, in 1 s by a rim of 1 m.

    >>> round(float(shift_tension(30.0 / np.pi, 1.0, 1.0, 1.0, 1.0, 2.0)), 9)
    1.0
    """
    change = np.pi / 30.0 * _numbers(speed_change) * _numbers(pitch_ratio)
    i = _numbers(step_up)
    torque = _numbers(inertia) * i * i * change / _numbers(duration)
    return np.asarray(2.0 * torque / _numbers(pitch_diameter))
