"""What would make the retard unnecessary: a colder charge."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.engine.knock import Anchor
from engine_model.engine.knock_charge import Intake, KnockFuel, Points, charges_of, points_of
from engine_model.engine.knock_integral import Grid, Indices, grid_of, log_integral
from engine_model.roots import bracketed_roots

Floats = NDArray[np.float64]

COLDEST = 200.0
"""Lowest charge temperature that is sought [K]."""


@dataclass(frozen=True, slots=True, eq=False)
class _TemperatureEquations:
    """The integral at the stock angle meets the anchor, over charge temperature."""

    points: Points
    fuel: KnockFuel
    anchor: Anchor
    grid: Grid

    def residual(self, temperature: Floats) -> Floats:
        """Logarithm of integral over the anchor's [-] at a charge temperature [K]."""
        settings, target = self.anchor.settings, self.anchor.log_integral
        points = replace(self.points, temperature=temperature)
        charges = charges_of(points, self.fuel, settings, target)
        return log_integral(charges, points.stock_angle, settings.burn, self.grid) - target

    def only(self, index: Indices) -> Self:
        """Return the equations of some of the points."""
        return type(self)(self.points.only(index), self.fuel, self.anchor, self.grid)


def temperature_without_retard(
    intake: Intake,
    compression_ratio: ArrayLike,
    fuel: KnockFuel,
    anchor: Anchor,
    stock_angle: ArrayLike,
) -> Floats:
    """Charge temperature that would need no retard at the same manifold pressure.

    Parameters
    ----------
    intake : Intake
        What the engine draws, any shape.
    compression_ratio : array_like
        Compression ratio. [-] above 1.
    fuel : KnockFuel
        The fuel.
    anchor : Anchor
        The constant from the stock engine.
    stock_angle : array_like
        Angle of half burnt of the stock engine at that speed. [deg]

    Returns
    -------
    ndarray
        Station 3: the intake's own where no retard is asked for; nan where 200 K would still
        be too warm. [K]

    References
    ----------
    As :func:`engine_model.engine.knock.knock_estimate`.
    """
    settings = anchor.settings
    points = points_of(intake, compression_ratio, settings, stock_angle)
    grid = grid_of(settings.burn, anchor.resolution)
    equations = _TemperatureEquations(points, fuel, anchor, grid)
    result = points.temperature.copy()
    at_own = equations.residual(result)
    tight = np.flatnonzero(at_own > anchor.resolution.tolerance)
    cold = np.full(tight.size, COLDEST)
    at_cold = equations.only(tight).residual(cold)
    result[tight] = np.nan
    found = np.flatnonzero((at_cold <= 0.0) & (points.temperature[tight] > COLDEST))
    if found.size:
        inside = tight[found]
        result[inside] = bracketed_roots(
            equations.only(inside),
            cold[found],
            points.temperature[inside],
            at_cold[found],
            at_own[inside],
            anchor.resolution.tolerance,
        ).x
    return points.spread(result)
