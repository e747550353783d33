"""What a fuel pump must deliver, and at which pressure."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.errors import InputError

Floats = NDArray[np.float64]


def pump_flow(fuel_flow: ArrayLike, fuel_density: ArrayLike, reserve: ArrayLike = 0.15) -> Floats:
    """Flow that the fuel pump must deliver, a reserve included.

    Parameters
    ----------
    fuel_flow : array_like
        Fuel of the whole engine. [kg/s]
    fuel_density : array_like
        Density of the fuel. [kg/m3]
    reserve : array_like
        Reserve over what the engine burns. [-] common practice: 0.15-0.20

    Returns
    -------
    ndarray
        Flow by volume, at :func:`pump_pressure`. [m3/s]

    References
    ----------
    Mass balance.

    Examples
    --------
    300 lb/h of petrol at 745 kg/m3 are 182.65 L/h.

    >>> round(float(pump_flow(300 * 0.45359237 / 3600, 745.0, 0.0)) * 3.6e6, 2)
    182.65
    """
    volume = np.asarray(fuel_flow, dtype=float) / np.asarray(fuel_density, dtype=float)
    return np.asarray(volume * (1.0 + np.asarray(reserve, dtype=float)))


def pump_pressure(
    regulated_pressure: ArrayLike,
    manifold_pressure: ArrayLike,
    ambient_pressure: ArrayLike,
    referenced: ArrayLike,
) -> Floats:
    """Pressure that the fuel pump works against, gauge.

    Parameters
    ----------
    regulated_pressure : array_like
        What the regulator holds, gauge: over the manifold where it is referenced, over the
        ambient where not. [Pa]
    manifold_pressure : array_like
        Manifold, absolute. [Pa]
    ambient_pressure : array_like
        Ambient, absolute. [Pa]
    referenced : array_like of bool
        Whether the regulator feels the manifold. [-]

    Returns
    -------
    ndarray
        Rail pressure over the ambient; losses of lines and filter are left out. [Pa]

    References
    ----------
    Pressure balance.

    Examples
    --------
    >>> float(pump_pressure(3e5, 181325.0, 101325.0, True))
    380000.0
    """
    regulated = np.asarray(regulated_pressure, dtype=float)
    boost = np.asarray(manifold_pressure, dtype=float) - np.asarray(ambient_pressure)
    felt = np.asarray(referenced, dtype=bool)
    return np.asarray(np.where(felt, regulated + boost, regulated + 0.0 * boost))


def pump_flow_at(pressure: ArrayLike, rated_pressures: ArrayLike, rated_flows: ArrayLike) -> Floats:
    """Flow of a pump at a pressure, from the points it is rated at.

    Parameters
    ----------
    pressure : array_like
        Gauge pressure. [Pa]
    rated_pressures : array_like, shape (n,)
        Gauge pressures of its points, rising. [Pa]
    rated_flows : array_like, shape (n,)
        Flows there. [m3/s]

    Returns
    -------
    ndarray
        Flow, straight between points, the first one's below it; nan above the last, where
        nothing is known of the pump. [m3/s]

    Raises
    ------
    InputError
        When the pressures do not rise or the lists differ in length.

    References
    ----------
    Interpolation.

    Examples
    --------
    >>> float(pump_flow_at(3.5e5, [3e5, 4e5], [8e-5, 6e-5]))
    7e-05
    """
    at = np.asarray(rated_pressures, dtype=float)
    flows = np.asarray(rated_flows, dtype=float)
    if at.ndim != 1 or at.size == 0 or at.shape != flows.shape or not np.all(np.diff(at) > 0.0):
        raise InputError(
            "fuel_system.pump", rated_pressures, "rising pressures, as many as there are flows"
        )
    return np.asarray(np.interp(np.asarray(pressure, dtype=float), at, flows, right=np.nan))


def pump_flow_to_shut_off(
    pressure: ArrayLike, rated_pressure: float, rated_flow: float, shut_off: float | None
) -> Floats:
    """Flow of a pump known at one pressure, and at most at that against which it gives nothing.

    Parameters
    ----------
    pressure : array_like
        Gauge pressure. [Pa]
    rated_pressure : float
        Gauge pressure at which its flow is stated. [Pa]
    rated_flow : float
        Flow there. [m3/s]
    shut_off : float or None
        Gauge pressure against which it gives nothing, above the stated one. [Pa]

    Returns
    -------
    ndarray
        Flow, straight from the stated one to nothing, the stated one below, nothing above;
        without a shut-off the stated one everywhere; nan where the pressure is. [m3/s]

    References
    ----------
    Interpolation; a straight fall is chosen here, no source.

    Examples
    --------
    >>> float(pump_flow_to_shut_off(4e5, 3e5, 9e-5, 6e5))
    6e-05
    """
    at = np.asarray(pressure, dtype=float)
    if shut_off is None:
        return np.asarray(rated_flow + 0.0 * at)
    return pump_flow_at(np.minimum(at, shut_off), [rated_pressure, shut_off], [rated_flow, 0.0])


def check_shut_off(shut_off: float | None, rated_pressure: float) -> None:
    """Raise an :class:`InputError` where a pump gives nothing at the pressure it is stated at.

    Parameters
    ----------
    shut_off : float or None
        Gauge pressure against which it gives nothing; blank is always allowed. [Pa]
    rated_pressure : float
        Gauge pressure at which its flow is stated. [Pa]
    """
    if shut_off is not None and not shut_off > rated_pressure:
        stated = f"above {rated_pressure / 1e5:g} bar, at which the pump's flow is stated"
        raise InputError("fuel_system.pump_shut_off", f"{shut_off / 1e5:g} bar", stated)
