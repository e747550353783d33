"""What injectors must deliver, and how long they are open for it."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.constants import RPM_PER_CYCLE
from engine_model.errors import InputError

Floats = NDArray[np.float64]

RATING_DENSITY = 720.0
"""Density at which 10.5 cc/min go on 1 lb/h [kg/m3], by the definition of the units."""

RATING_PRESSURE = 3.0e5
"""Pressure across an injector at which its static flow is stated [Pa]; common practice."""


def pressure_across(
    regulated_pressure: ArrayLike,
    manifold_pressure: ArrayLike,
    ambient_pressure: ArrayLike,
    referenced: ArrayLike,
) -> Floats:
    """Pressure across an injector, rail less manifold.

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
        Pressure difference, never below 0. [Pa]

    References
    ----------
    Pressure balance.

    Examples
    --------
    3 bar held over the ambient leave 2.2 bar at 0.8 bar of boost.

    >>> float(pressure_across(3e5, 181325.0, 101325.0, False))
    220000.0
    """
    regulated = np.asarray(regulated_pressure, dtype=float)
    boost = np.asarray(manifold_pressure, dtype=float) - np.asarray(ambient_pressure)
    left = np.where(np.asarray(referenced, dtype=bool), regulated + 0.0 * boost, regulated - boost)
    return np.asarray(np.maximum(left, 0.0))


def flow_at_pressure(
    rated_flow: ArrayLike, rated_pressure: ArrayLike, pressure: ArrayLike
) -> Floats:
    """Static flow of an injector at another pressure across it.

    Parameters
    ----------
    rated_flow : array_like
        Flow at the rating pressure, by volume or by mass. [m3/s]
    rated_pressure : array_like
        Pressure across it there. [Pa] above 0.
    pressure : array_like
        Pressure across it. [Pa] 0 and above.

    Returns
    -------
    ndarray
        Flow, in the unit of the rated one. [m3/s]

    References
    ----------
    Bernoulli: flow goes with the square root of the pressure difference.

    Examples
    --------
    >>> round(float(flow_at_pressure(440.0, 300e3, 400e3)), 5)
    508.06824
    """
    ratio = np.asarray(pressure, dtype=float) / np.asarray(rated_pressure, dtype=float)
    return np.asarray(np.asarray(rated_flow, dtype=float) * np.sqrt(ratio))


def injector_mass_flow(
    rated_flow: ArrayLike,
    pressure: ArrayLike,
    fuel_density: ArrayLike,
    rated_pressure: ArrayLike = RATING_PRESSURE,
    rated_density: ArrayLike = RATING_DENSITY,
) -> Floats:
    """Mass flow of an injector held open.

    Parameters
    ----------
    rated_flow : array_like
        Static flow by volume at rating pressure and density. [m3/s]
    pressure : array_like
        Pressure across it. [Pa]
    fuel_density : array_like
        Density of the fuel. [kg/m3]
    rated_pressure : array_like
        Pressure across it of the rating. [Pa]
    rated_density : array_like
        Density of the rating. [kg/m3]

    Returns
    -------
    ndarray
        Mass flow. [kg/s]

    References
    ----------
    Bernoulli: mass flow goes with the square root of density times pressure difference.

    Examples
    --------
    By definition 10.5 cc/min are 1 lb/h at 0.720 g/cc: 60 lb/h are 7.56 g/s.

    >>> round(1e3 * float(injector_mass_flow(60 * 10.5e-6 / 60, 3e5, 720.0)), 2)
    7.56
    """
    volume = flow_at_pressure(rated_flow, rated_pressure, pressure)
    density = np.asarray(fuel_density, dtype=float) * np.asarray(rated_density, dtype=float)
    return np.asarray(volume * np.sqrt(density))


def injector_duty(fuel_flow: ArrayLike, count: ArrayLike, mass_flow: ArrayLike) -> Floats:
    """Share of the time that the injectors are open.

    Parameters
    ----------
    fuel_flow : array_like
        Fuel of the whole engine. [kg/s]
    count : array_like
        Number of injectors. [-]
    mass_flow : array_like
        Of one injector held open. [kg/s]

    Returns
    -------
    ndarray
        Duty; over 1 is more than they can deliver, infinite where no pressure is left. [-]

    References
    ----------
    Mass balance; opening and closing times are left out.

    Examples
    --------
    500 hp at 0.6 lb/(hp h) from eight injectors of 46.875 lb/h: 0.8.

    >>> round(float(injector_duty(300.0, 8, 46.875)), 3)
    0.8
    """
    most = np.asarray(count, dtype=float) * np.asarray(mass_flow, dtype=float)
    asked = np.asarray(fuel_flow, dtype=float)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(asked / most)


def duty_of_opening(opening_time: ArrayLike, engine_speed: ArrayLike) -> Floats:
    """Duty of an injector that opens once a cycle of a four-stroke engine.

    Parameters
    ----------
    opening_time : array_like
        Time open in each cycle. [s]
    engine_speed : array_like
        Engine speed. [rpm]

    Returns
    -------
    ndarray
        Duty. [-]

    References
    ----------
    Definition: a cycle is two turns.

    Examples
    --------
    >>> round(float(duty_of_opening(0.012, 6500.0)), 3)
    0.65
    """
    cycles = np.asarray(engine_speed, dtype=float) / RPM_PER_CYCLE
    return np.asarray(np.asarray(opening_time, dtype=float) * cycles)


def injector_flow_needed(
    fuel_flow: ArrayLike,
    count: ArrayLike,
    duty_limit: ArrayLike,
    pressure: ArrayLike,
    fuel_density: ArrayLike,
    rated_pressure: ArrayLike = RATING_PRESSURE,
    rated_density: ArrayLike = RATING_DENSITY,
) -> Floats:
    """Static flow that an injector must be rated at to keep a duty.

    Parameters
    ----------
    fuel_flow : array_like
        Fuel of the whole engine. [kg/s]
    count : array_like
        Number of injectors. [-]
    duty_limit : array_like
        Highest duty. [-] common practice: 0.80-0.85
    pressure : array_like
        Pressure across it. [Pa]
    fuel_density : array_like
        Density of the fuel. [kg/m3]
    rated_pressure : array_like
        Pressure across it of the rating. [Pa]
    rated_density : array_like
        Density of the rating. [kg/m3]

    Returns
    -------
    ndarray
        Static flow by volume at rating pressure and density; infinite where no pressure is
        left. [m3/s]

    References
    ----------
    Inverse of :func:`injector_duty` and :func:`injector_mass_flow`.

    Examples
    --------
    500 hp at 0.6 lb/(hp h), eight injectors, 0.8: 46.875 lb/h, or 492.2 cc/min.

    >>> pound_per_hour = 0.45359237 / 3600
    >>> flow = injector_flow_needed(300.0 * pound_per_hour, 8, 0.8, 3e5, 720.0)
    >>> round(float(flow) * 60e6, 1)
    492.2
    """
    one = injector_mass_flow(1.0, pressure, fuel_density, rated_pressure, rated_density)
    flow = injector_duty(fuel_flow, count, one)
    return np.asarray(flow / np.asarray(duty_limit, dtype=float))


def smallest_size(shelf: ArrayLike, needed: ArrayLike) -> Floats:
    """Smallest size of a shelf that is enough.

    Parameters
    ----------
    shelf : array_like, shape (n,)
        Sizes to be had, in any order. [m3/s]
    needed : array_like
        What is needed, in the same unit; over an engine's speeds its maximum. [m3/s]

    Returns
    -------
    ndarray
        The size; nan where none is enough, or what is needed is unknown. [m3/s]

    Raises
    ------
    InputError
        For an empty shelf.

    References
    ----------
    Definition.

    Examples
    --------
    >>> float(smallest_size([60.0, 42.0, 80.0], 46.875))
    60.0
    """
    sizes = np.sort(np.ravel(np.asarray(shelf, dtype=float)))
    if sizes.size == 0 or not np.all(np.isfinite(sizes)):
        raise InputError("shelf", shelf, "one size or more, all of them numbers")
    asked = np.asarray(needed, dtype=float)
    place = np.searchsorted(sizes, asked, side="left")
    enough = (place < sizes.size) & np.isfinite(asked)
    return np.asarray(np.where(enough, sizes[np.minimum(place, sizes.size - 1)], np.nan))
