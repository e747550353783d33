"""Knock, as an estimate: how much less ignition advance than stock a charge asks for.

The Livengood-Wu integral of Douaud and Eyzat's delay over compression and burn is held at the
value it has in the stock engine at its torque peak. Pre-ignition is outside the model, and so
is everything that makes one engine differ from another; nothing here is an advance to set.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.engine.cylinder import DELAY_OCTANE_EXPONENT
from engine_model.engine.knock_charge import (
    Intake,
    KnockFuel,
    KnockSettings,
    charges_of,
    points_of,
)
from engine_model.engine.knock_integral import (
    FULL,
    Charges,
    Grid,
    Resolution,
    RetardEquations,
    cycle_share,
    grid_of,
    log_integral,
    peak_ratio,
)
from engine_model.errors import InputError
from engine_model.roots import bracketed_roots

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

FIRST_REACH = 14.0
"""First upper bound of the retard over the excess of the integral's logarithm [deg]."""


@dataclass(frozen=True, slots=True)
class Anchor:
    """The one constant of the estimate, from :func:`anchor_of`.

    Parameters
    ----------
    log_integral : float
        Logarithm of the Livengood-Wu integral of the stock engine at its torque peak. [-]
    settings : KnockSettings
        What was assumed for it, and is for every other point.
    resolution : Resolution
        Likewise.
    """

    log_integral: float
    settings: KnockSettings
    resolution: Resolution


@dataclass(frozen=True, slots=True, eq=False)
class KnockEstimate:
    """The estimate, arrays of the shape of the points; nan where it cannot be made.

    Parameters
    ----------
    retard, retard_low, retard_high : ndarray
        Less advance than the stock engine's at that speed, and the band. [deg]
    efficiency_factor : ndarray
        Indicated efficiency over the same without the retard. [-]
    peak_pressure, peak_pressure_unretarded : ndarray
        Peak cylinder pressure with and without the retard, absolute. [Pa]
    octane_without_retard : ndarray
        Octane number that needs no retard, everything else as it is. [-] The delay was
        measured at 80-100; far above that it only says "much more".
    beyond : ndarray of bool
        Points that ask for more retard than is sought.
    """

    retard: Floats
    retard_low: Floats
    retard_high: Floats
    efficiency_factor: Floats
    peak_pressure: Floats
    peak_pressure_unretarded: Floats
    octane_without_retard: Floats
    beyond: Flags


def anchor_of(
    stock: Intake,
    compression_ratio: float,
    fuel: KnockFuel,
    settings: KnockSettings | None = None,
    resolution: Resolution = FULL,
) -> Anchor:
    """Livengood-Wu integral of the stock engine at its torque peak, the one constant.

    Parameters
    ----------
    stock : Intake
        The stock engine at its torque peak, one point.
    compression_ratio : float
        Of the stock engine. [-]
    fuel : KnockFuel
        The stock fuel.
    settings : KnockSettings
        What is assumed.
    resolution : Resolution
        How finely the crank turns.

    Returns
    -------
    Anchor
        The constant with what was assumed for it. [-]

    References
    ----------
    Livengood & Wu, 5th Symposium on Combustion (1955) 347; Heywood section 9.6.2.
    """
    assumed = KnockSettings() if settings is None else settings
    points = points_of(stock, compression_ratio, assumed)
    if points.valid.size != 1:
        raise InputError("stock", points.valid.size, "one point with numbers in it")
    grid = grid_of(assumed.burn, resolution)
    angle = np.full(1, assumed.half_burnt)
    value = log_integral(charges_of(points, fuel, assumed, 0.0), angle, assumed.burn, grid)
    return Anchor(float(value[0]), assumed, resolution)


def _angles(
    charges: Charges, anchor: Anchor, grid: Grid, least: Floats, at_least: Floats
) -> tuple[Floats, Flags]:
    """Angle of half burnt that meets the anchor [deg], and where it is later than is sought.

    No earlier than the least angle [deg], where the residual's logarithm [-] is given.
    """
    latest, tolerance = anchor.settings.latest, anchor.resolution.tolerance
    angle = least.copy()
    beyond = np.zeros(least.size, dtype=bool)
    tight = np.flatnonzero(at_least > tolerance)
    if tight.size == 0:
        return angle, beyond
    equations = RetardEquations(charges.only(tight), anchor.settings.burn, grid)
    low, f_low = least[tight], at_least[tight]
    high = np.minimum(low + FIRST_REACH * f_low, latest)
    f_high = equations.residual(high)
    short = np.flatnonzero(f_high > tolerance)
    if short.size:
        low[short], f_low[short] = high[short], f_high[short]
        high[short] = latest
        f_high[short] = equations.only(short).residual(high[short])
    found = f_high <= tolerance
    beyond[tight] = ~found
    inside = np.flatnonzero(found)
    angle[tight] = latest
    angle[tight[inside]] = bracketed_roots(
        equations if inside.size == tight.size else equations.only(inside),
        low[inside],
        high[inside],
        f_low[inside],
        f_high[inside],
        tolerance,
    ).x
    return angle, beyond


def stock_angles(
    stock: Intake, compression_ratio: float, fuel: KnockFuel, anchor: Anchor
) -> Floats:
    """Angle of half burnt of the stock engine at other speeds than the anchor's.

    Parameters
    ----------
    stock : Intake
        The stock engine, any shape.
    compression_ratio : float
        Of the stock engine. [-]
    fuel : KnockFuel
        The stock fuel.
    anchor : Anchor
        The constant of the same engine.

    Returns
    -------
    ndarray
        Angle after top centre: the anchor's, or later where its integral asks for it (at low
        engine speed), no later than is sought; nan where the intake is. [deg]

    References
    ----------
    As :func:`knock_estimate`.
    """
    settings = anchor.settings
    points = points_of(stock, compression_ratio, settings)
    charges = charges_of(points, fuel, settings, anchor.log_integral)
    grid = grid_of(settings.burn, anchor.resolution)
    least = np.full_like(charges.temperature, settings.half_burnt)
    at_least = RetardEquations(charges, settings.burn, grid).residual(least)
    return points.spread(_angles(charges, anchor, grid, least, at_least)[0])


def knock_estimate(
    intake: Intake,
    compression_ratio: ArrayLike,
    fuel: KnockFuel,
    anchor: Anchor,
    stock_angle: ArrayLike,
) -> KnockEstimate:
    """Less ignition advance than stock, and what it costs; an estimate.

    Parameters
    ----------
    intake : Intake
        What the engine draws, any shape; nan points stay nan.
    compression_ratio : array_like
        Compression ratio. [-] above 1.
    fuel : KnockFuel
        The fuel.
    anchor : Anchor
        The constant from the stock engine.
    stock_angle : array_like
        Angle of half burnt of the stock engine at that speed, from :func:`stock_angles`. [deg]

    Returns
    -------
    KnockEstimate
        Retard [deg], efficiency factor [-], peak pressures [Pa], octane number [-].

    References
    ----------
    Livengood & Wu (1955) with the delay of Douaud & Eyzat, SAE 780080 (1978); Heywood
    section 9.6.2. Held at the anchor's value: chosen here, no source.
    """
    settings, burn = anchor.settings, anchor.settings.burn
    points = points_of(intake, compression_ratio, settings, stock_angle)
    charges = charges_of(points, fuel, settings, anchor.log_integral)
    grid = grid_of(burn, anchor.resolution)
    least = points.stock_angle
    at_stock = RetardEquations(charges, burn, grid).residual(least)
    angle, beyond = _angles(charges, anchor, grid, least, at_stock)
    # with and without the retard, in one go
    count = angle.size
    twice = charges.only(np.concatenate((np.arange(count), np.arange(count))))
    both = np.concatenate((angle, least))
    share = cycle_share(twice.compression_ratio, both, burn, grid)
    ratio = peak_ratio(twice, both, burn, grid)
    kept = share[:count] / share[count:]
    peak, unretarded = points.pressure * ratio[:count], points.pressure * ratio[count:]
    retard = angle - least
    for lost in (retard, kept, peak):
        lost[beyond] = np.nan
    retard = points.spread(retard)
    return KnockEstimate(
        retard,
        retard * (1.0 - settings.band),
        retard * (1.0 + settings.band),
        points.spread(kept),
        points.spread(peak),
        points.spread(unretarded),
        points.spread(fuel.octane * np.exp(at_stock / DELAY_OCTANE_EXPONENT)),
        points.spread(beyond.astype(float)) > 0.0,
    )


def retard_factor(
    retard: ArrayLike, compression_ratio: ArrayLike, stock_angle: ArrayLike, anchor: Anchor
) -> Floats:
    """Effect of a retard on indicated efficiency, such as of either end of its band.

    Parameters
    ----------
    retard : array_like
        Less advance than stock. [deg]
    compression_ratio : array_like
        Compression ratio. [-] above 1.
    stock_angle : array_like
        Angle of half burnt of the stock engine at that speed. [deg]
    anchor : Anchor
        What was assumed of the burn.

    Returns
    -------
    ndarray
        Efficiency over the same without the retard; nan where the retard is. [-]

    References
    ----------
    Sum of constant-volume cycles over the burn, each of Heywood eq. (5.31) with the expansion
    left to it.
    """
    given = (np.asarray(a, dtype=float) for a in (retard, compression_ratio, stock_angle))
    whole = np.broadcast_arrays(*given)
    late, ratio, angle = (np.ravel(a) for a in whole)
    burn = anchor.settings.burn
    grid = grid_of(burn, anchor.resolution)
    kept = cycle_share(ratio, angle + late, burn, grid) / cycle_share(ratio, angle, burn, grid)
    return np.asarray(kept.reshape(whole[0].shape))
