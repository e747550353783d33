"""Grip of a belt on a pulley, its tensions and the balance that its slip obeys.

Two conventions of tensioning. *Sprung*: a spring idler on the slack span holds that span's
tension over the centrifugal one. *Fixed*: rigid centres and an elastic belt hold the mean of the
two actual tensions, (T1 + T2)/2, at its static value. (Some books subtract the centrifugal
tension from that mean; here it is not subtracted.) Slip is taken at the driven pulley: the belt
runs with the crank pulley, so no grip depends on the slip.
"""

from __future__ import annotations

from math import pi, sin

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.drive.belt_sections import Figure, belt_section

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

FRICTION = Figure(0.48, "0.44-0.51: tension ratio 4 or 5 at 180 deg of the arc-of-contact tables")
"""Friction of ribs in their grooves, wedge included [-]."""

BACK_FRICTION = Figure(
    0.48 * sin(20.0 * pi / 180.0), "derived from the ribs' without the wedge of 40 deg, unsure"
)
"""Friction of the belt's back on a flat pulley [-]."""

MASS_PER_RIB = belt_section("PK").mass_per_rib
"""Mass of a rib [kg/m], PK."""

TENSION_ALLOWANCE = belt_section("PK").tension_allowance
"""Allowed tight-side tension of a rib [N], PK."""

SPRUNG_TENSION = belt_section("PK").sprung_tension
"""Slack-span tension over the centrifugal one that a spring idler holds, a rib [N], PK."""

FIXED_TENSION = belt_section("PK").fixed_tension
"""Static tension between fixed centres, a rib [N], PK."""


def _numbers(value: ArrayLike) -> Floats:
    return np.asarray(value, dtype=float)


def _rise(friction: ArrayLike, wrap: ArrayLike) -> Floats:
    """Tension ratio at the limit, less one [-]."""
    with np.errstate(over="ignore"):
        return np.asarray(np.expm1(_numbers(friction) * _numbers(wrap)))


def belt_speed(pitch_diameter: ArrayLike, pulley_speed: ArrayLike) -> Floats:
    """Speed of a belt that does not slip on the pulley.

    Parameters
    ----------
    pitch_diameter : array_like
        Pitch diameter of the pulley, the crank's. [m]
    pulley_speed : array_like
        Its speed. [rpm]

    Returns
    -------
    ndarray
        Belt speed. [m/s]

    References
    ----------
    v = pi d_p N/60, kinematics.

    Examples
    --------
    >>> round(float(belt_speed(0.08, 15000.0)), 6)
    62.831853
    """
    return np.asarray(pi * _numbers(pitch_diameter) * _numbers(pulley_speed) / 60.0)


def centrifugal_tension(mass_per_rib: ArrayLike, ribs: ArrayLike, speed: ArrayLike) -> Floats:
    """Tension that turns a belt's own mass round its pulleys; it presses on none of them.

    Parameters
    ----------
    mass_per_rib : array_like
        Mass of a rib. [kg/m]
    ribs : array_like
        Number of ribs. [-]
    speed : array_like
        Belt speed. [m/s]

    Returns
    -------
    ndarray
        Centrifugal tension of the whole belt. [N]

    References
    ----------
    Shigley, Mechanical Engineering Design, ch. 17: Fc = m' v^2 (sure).

    Examples
    --------
    >>> round(float(centrifugal_tension(0.020, 8, 62.831853)), 3)
    631.655
    """
    v = _numbers(speed)
    return np.asarray(_numbers(mass_per_rib) * _numbers(ribs) * v * v)


def effective_tension(power: ArrayLike, speed: ArrayLike, slip: ArrayLike = 0.0) -> Floats:
    """Effective tension: what the tight side pulls more than the slack side.

    Parameters
    ----------
    power : array_like
        Power the driven pulley takes. [W]
    speed : array_like
        Belt speed. [m/s]
    slip : array_like
        Share of its speed the driven pulley loses to slip. [-] 0-1.

    Returns
    -------
    ndarray
        Effective tension [N]; nan where the driven pulley stands.

    References
    ----------
    F = P/(v (1 - slip)): the driven rim runs at v (1 - slip).

    Examples
    --------
    >>> round(float(effective_tension(40e3, 62.831853)), 3)
    636.62
    """
    rim = _numbers(speed) * (1.0 - _numbers(slip))
    return np.asarray(_numbers(power) / np.where(rim > 0.0, rim, np.nan))


def wedge_friction(friction: ArrayLike, groove_angle: ArrayLike) -> Floats:
    """Friction of a wedge in its groove, by the flanks' normal forces alone.

    Parameters
    ----------
    friction : array_like
        Friction of the flat material. [-]
    groove_angle : array_like
        Angle between the flanks. [rad]

    Returns
    -------
    ndarray
        Effective friction. [-]

    References
    ----------
    mu/sin(alpha/2), Shigley ch. 17 (sure). Ribs reach about half of it: see ``FRICTION``.

    Examples
    --------
    >>> round(float(wedge_friction(0.3, np.deg2rad(40.0))), 4)
    0.8771
    """
    return np.asarray(_numbers(friction) / np.sin(0.5 * _numbers(groove_angle)))


def sprung_grip(set_tension: ArrayLike, friction: ArrayLike, wrap: ArrayLike) -> Floats:
    """Largest effective tension of a belt with a spring idler on its slack span.

    Parameters
    ----------
    set_tension : array_like
        Slack-span tension over the centrifugal one, whole belt. [N]
    friction : array_like
        Effective friction. [-]
    wrap : array_like
        Wrap of the pulley. [rad]

    Returns
    -------
    ndarray
        Grip [N]; it does not depend on speed.

    References
    ----------
    Euler-Eytelwein, (T1 - Tc)/(T2 - Tc) = exp(mu theta), with T2 - Tc kept: Shigley ch. 17.

    Examples
    --------
    >>> round(float(sprung_grip(235.57, 0.5, np.deg2rad(150.0))), 1)
    636.6
    """
    tension = _numbers(set_tension)
    with np.errstate(invalid="ignore"):
        grip = tension * _rise(friction, wrap)
    return np.asarray(np.where(tension == 0.0, 0.0, grip))


def sprung_overrun_grip(set_tension: ArrayLike, friction: ArrayLike, wrap: ArrayLike) -> Floats:
    """Largest effective tension backwards with a spring idler: its span is then the tight one.

    Parameters
    ----------
    set_tension : array_like
        Tension of the idler's span over the centrifugal one, whole belt. [N]
    friction : array_like
        Effective friction. [-]
    wrap : array_like
        Wrap of the pulley. [rad]

    Returns
    -------
    ndarray
        Grip while the driven pulley drives the belt. [N] never above the set tension.

    References
    ----------
    Euler-Eytelwein with T1 - Tc kept: (T1 - Tc)(1 - exp(-mu theta)).

    Examples
    --------
    A tension ratio of five leaves four fifths.

    >>> round(float(sprung_overrun_grip(100.0, np.log(5.0) / np.pi, np.pi)), 6)
    80.0
    """
    return np.asarray(-_numbers(set_tension) * np.expm1(-_numbers(friction) * _numbers(wrap)))


def fixed_grip(
    static_tension: ArrayLike, centrifugal: ArrayLike, friction: ArrayLike, wrap: ArrayLike
) -> Floats:
    """Largest effective tension of an elastic belt between fixed centres, either way round.

    Parameters
    ----------
    static_tension : array_like
        Tension at rest, whole belt; the mean (T1 + T2)/2 of the running spans stays there. [N]
    centrifugal : array_like
        Centrifugal tension. [N]
    friction : array_like
        Effective friction. [-]
    wrap : array_like
        Wrap of the pulley. [rad]

    Returns
    -------
    ndarray
        Grip [N]; at or below 0 the belt does not drive.

    References
    ----------
    Euler-Eytelwein with (T1 + T2)/2 kept: 2 (Ti - Tc) tanh(mu theta/2); Shigley ch. 17 has the
    same form, its Fi being the mean less Tc (from memory, sure).

    Examples
    --------
    A tension ratio of five, (5 - 1)/(5 + 1) of twice the tension.

    >>> round(float(fixed_grip(120.0, 30.0, np.log(5.0) / np.pi, np.pi)), 6)
    120.0
    """
    left = _numbers(static_tension) - _numbers(centrifugal)
    return np.asarray(2.0 * left * np.tanh(0.5 * _numbers(friction) * _numbers(wrap)))


def is_driving(grip: ArrayLike) -> Flags:
    """Whether a belt drives at all.

    Parameters
    ----------
    grip : array_like
        Grip. [N]

    Returns
    -------
    ndarray of bool
        False where the grip is at or below 0: *belt not driving*.
    """
    return np.asarray(_numbers(grip) > 0.0)


def slip_excess(power: ArrayLike, speed: ArrayLike, slip: ArrayLike, grip: ArrayLike) -> Floats:
    """Effective tension over the grip: 0 at the slip that balances them.

    Falls with the slip wherever the torque of the driven machine falls with its speed, since
    the effective tension is that torque over the pulley's pitch radius and the grip does not
    know the slip. So there is one balance where the excess is above 0 without slip, the grip
    above 0 and the torque gone at standstill; none is needed where the excess is at most 0.

    Parameters
    ----------
    power : array_like
        Power the driven pulley takes at this slip. [W]
    speed : array_like
        Belt speed, the crank rim's. [m/s]
    slip : array_like
        Slip. [-] 0 up to below 1.
    grip : array_like
        Grip. [N]

    Returns
    -------
    ndarray
        Excess of the effective tension. [N]

    References
    ----------
    P/(v (1 - slip)) - grip, equilibrium of the driven pulley.

    Examples
    --------
    Power with the cube of speed and a quarter too much tension: 1 - slip = 0.8^0.5.

    >>> s = 1.0 - 0.8**0.5
    >>> abs(float(slip_excess(1250.0 * (1.0 - s) ** 3, 10.0, s, 100.0))) < 1e-12
    True
    """
    return np.asarray(effective_tension(power, speed, slip) - _numbers(grip))
