"""The charge that knock is estimated for: fuel, intake, what is assumed, state at closing."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.constants import GAS_CONSTANT_DRY_AIR
from engine_model.engine.knock_integral import Burn, Charges, closing_volume, log_scale
from engine_model.engine.power import mixture_factor
from engine_model.errors import InputError

Floats = NDArray[np.float64]

SPECIFIC_HEAT = 1005.0
"""Of the fresh charge that the fuel cools [J/(kg K)]; dry air at 300 K."""


class KnockFuel(Protocol):
    """What the estimate needs to know of a fuel."""

    @property
    def stoichiometric_ratio(self) -> float:
        """Stoichiometric air over fuel by mass [-]."""

    @property
    def heating_value(self) -> float:
        """Lower heating value [J/kg]."""

    @property
    def heat_of_vaporisation(self) -> float:
        """Heat of vaporisation [J/kg]."""

    @property
    def octane(self) -> float:
        """Research octane number [-]."""


@dataclass(frozen=True, slots=True)
class KnockSettings:
    """What is assumed; chosen here, no source, where nothing else is said.

    Parameters
    ----------
    burn : Burn
        The burn.
    half_burnt : float
        Crank angle after top centre at which half has burnt in the stock engine at its torque
        peak. [deg] 8 is an engine that is not retarded there, and hopeful if it is.
    residual : float
        Share of residual gas in the stock engine. [-]
    residual_temperature : float
        Of the residual gas when it meets the charge. [K] from memory, unsure.
    heat_share : float
        Share of the heat that raises the pressure. [-]
    band : float
        Either side of the retard, as a share of it. [-]
    latest : float
        Latest angle of half burnt that is sought. [deg]
    """

    burn: Burn = field(default_factory=Burn)
    half_burnt: float = 8.0
    residual: float = 0.05
    residual_temperature: float = 1200.0
    heat_share: float = 0.80
    band: float = 0.30
    latest: float = 45.0

    def __post_init__(self) -> None:
        if not -20.0 <= self.half_burnt < self.latest <= 60.0:
            raise InputError(
                "knock.half_burnt",
                self.half_burnt,
                f"-20 to below the latest angle sought, {self.latest:g}, which is at most 60 deg",
            )


@dataclass(frozen=True, slots=True, eq=False)
class Intake:
    """What the engine draws, arrays that broadcast; pressures absolute.

    Parameters
    ----------
    engine_speed : array_like
        Engine speed. [rpm] above 0.
    manifold_pressure, exhaust_pressure : array_like
        Stations 3 and 4. [Pa]
    manifold_temperature : array_like
        Station 3. [K]
    mixture : array_like
        Air over stoichiometric air. [-] 0.70 and above.
    stock_exhaust_over_intake : array_like
        Exhaust over manifold pressure of the stock engine at that speed. [-]
    """

    engine_speed: ArrayLike
    manifold_pressure: ArrayLike
    manifold_temperature: ArrayLike
    exhaust_pressure: ArrayLike
    mixture: ArrayLike
    stock_exhaust_over_intake: ArrayLike


@dataclass(frozen=True, slots=True, eq=False)
class Points:
    """Intakes made one-dimensional, those that can be computed picked out."""

    shape: tuple[int, ...]
    valid: NDArray[np.intp]
    speed: Floats
    pressure: Floats
    temperature: Floats
    mixture: Floats
    residual: Floats
    ratio: Floats
    stock_angle: Floats

    def only(self, index: NDArray[np.intp]) -> Points:
        """Return some of the points, no longer on the shape of all."""
        return Points(
            (index.size,),
            np.arange(index.size),
            self.speed[index],
            self.pressure[index],
            self.temperature[index],
            self.mixture[index],
            self.residual[index],
            self.ratio[index],
            self.stock_angle[index],
        )

    def spread(self, values: Floats) -> Floats:
        """Values of the valid points on the shape of all, nan elsewhere."""
        result = np.full(int(np.prod(self.shape)), np.nan)
        result[self.valid] = values
        return result.reshape(self.shape)


def points_of(
    intake: Intake,
    compression_ratio: ArrayLike,
    settings: KnockSettings,
    stock_angle: ArrayLike = 0.0,
) -> Points:
    """Intakes made one-dimensional; compression ratio [-] and stock angle [deg] go with them."""
    given = (
        intake.engine_speed,
        intake.manifold_pressure,
        intake.manifold_temperature,
        intake.exhaust_pressure,
        intake.mixture,
        intake.stock_exhaust_over_intake,
        compression_ratio,
        stock_angle,
    )
    whole = np.broadcast_arrays(*(np.asarray(a, dtype=float) for a in given))
    shape = whole[0].shape
    flat = [np.ravel(a) for a in whole]
    finite = np.logical_and.reduce([np.isfinite(a) for a in flat])
    valid = np.flatnonzero(finite)
    if valid.size < finite.size:
        flat = [a[valid] for a in flat]
    speed, p3, t3, p4, mixture, stock, ratio, angle = flat
    for name, values, least in (
        ("engine speed", speed, 0.0),
        ("manifold pressure", p3, 0.0),
        ("manifold temperature", t3, 0.0),
        ("compression ratio", ratio, 1.0),
    ):
        if np.any(values <= least):
            raise InputError(name, float(np.min(values)), f"above {least:g}")
    residual = settings.residual * (p4 / p3) / stock
    return Points(shape, valid, speed, p3, t3, mixture, residual, ratio, angle)


def closing_temperature(
    manifold_temperature: ArrayLike,
    mixture: ArrayLike,
    residual: ArrayLike,
    fuel: KnockFuel,
    residual_temperature: float = 1200.0,
) -> Floats:
    """Temperature of the charge when the inlet valve closes, all of the fuel evaporated.

    Parameters
    ----------
    manifold_temperature : array_like
        Total temperature in the manifold. [K]
    mixture : array_like
        Air over stoichiometric air. [-]
    residual : array_like
        Share of residual gas. [-]
    fuel : KnockFuel
        The fuel.
    residual_temperature : float
        Of the residual gas. [K]

    Returns
    -------
    ndarray
        Temperature; heat from the walls is left out. [K]

    References
    ----------
    Energy balance at equal specific heats, 1005 J/(kg K).

    Examples
    --------
    Petrol's 305 kJ/kg spread over 14.6 kg of air a kg of fuel cool by 20.8 K.

    >>> from engine_model.fuel.fuels import PETROL
    >>> round(float(closing_temperature(300.0, 1.0, 0.0, PETROL)), 1)
    279.2
    """
    air_fuel = fuel.stoichiometric_ratio * np.asarray(mixture, dtype=float)
    cooled = np.asarray(manifold_temperature, dtype=float)
    cooled = cooled - fuel.heat_of_vaporisation / (air_fuel * SPECIFIC_HEAT)
    share = np.asarray(residual, dtype=float)
    return np.asarray(cooled + share * (residual_temperature - cooled))


def charges_of(points: Points, fuel: KnockFuel, settings: KnockSettings, target: float) -> Charges:
    """Charges at the closing of the inlet valve; the target is a logarithm [-]."""
    t0 = closing_temperature(
        points.temperature, points.mixture, points.residual, fuel, settings.residual_temperature
    )
    air_fuel = fuel.stoichiometric_ratio * points.mixture
    heat = fuel.heating_value * mixture_factor(points.mixture) / (1.0 + air_fuel)
    heat *= settings.heat_share * (1.0 - points.residual)
    heat /= GAS_CONSTANT_DRY_AIR * t0
    scale = log_scale(np.full_like(t0, fuel.octane), points.pressure, points.speed)
    volume = closing_volume(points.ratio, settings.burn)
    return Charges(points.ratio, t0, heat, scale, np.full_like(t0, target), volume)
