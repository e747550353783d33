"""The stock engine: torque curve from four figures, and the breathing that explains it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.air.gas import moist_air
from engine_model.constants import (
    GAS_CONSTANT_DRY_AIR,
    RPM_PER_CYCLE,
    STOCK_DAY_PRESSURE,
    STOCK_DAY_TEMPERATURE,
)
from engine_model.engine.breathing import pressure_bracket, vapour_factor
from engine_model.engine.power import (
    cycle_efficiency,
    friction_pressure,
    mixture_factor,
    power_of_pressure,
)
from engine_model.errors import InputError

Floats = NDArray[np.float64]


class Fuel(Protocol):
    """What the engine needs to know of a fuel."""

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
    def vapour_share_at_stoichiometric(self) -> float:
        """Moles of fuel over moles of air at stoichiometric mixture [-]."""


def check_stock_figures(
    torque: float, torque_speed: float, power: float, power_speed: float
) -> None:
    """Refuse four stock figures that no engine has.

    Parameters
    ----------
    torque : float
        Peak torque. [N m]
    torque_speed : float
        Engine speed of peak torque. [rpm]
    power : float
        Peak power. [W]
    power_speed : float
        Engine speed of peak power. [rpm]

    Raises
    ------
    InputError
        With the field at fault and what is allowed.

    References
    ----------
    Kinematics of power and torque.
    """
    if power_speed <= torque_speed:
        raise InputError(
            "engine.stock_power_speed",
            power_speed,
            f"above the engine speed of peak torque, {torque_speed:g} rpm",
        )
    torque_at_power = power / (power_speed * np.pi / 30.0)
    if torque_at_power > torque:
        raise InputError(
            "engine.stock_torque",
            torque,
            f"{torque_at_power:.1f} N m or more, which the peak power needs at {power_speed:g} rpm",
        )
    if torque * torque_speed * np.pi / 30.0 > power:
        most = torque * torque_speed * np.pi / 30.0
        raise InputError(
            "engine.stock_power",
            power,
            f"{most:.0f} W or more, which the peak torque gives at {torque_speed:g} rpm",
        )


def stock_torque(
    engine_speed: ArrayLike,
    torque: float,
    torque_speed: float,
    power: float,
    power_speed: float,
) -> Floats:
    """Torque curve of the stock engine at full throttle, from its four figures.

    Parameters
    ----------
    engine_speed : array_like
        Engine speed. [rpm]
    torque : float
        Peak torque. [N m]
    torque_speed : float
        Engine speed of peak torque. [rpm]
    power : float
        Peak power. [W]
    power_speed : float
        Engine speed of peak power. [rpm]

    Returns
    -------
    ndarray
        Torque. [N m]; power peaks at its speed and torque never exceeds its peak.

    References
    ----------
    Shape chosen here, no source: T_max - d x^k between the two speeds.

    Examples
    --------
    >>> t = stock_torque([3900.0, 6200.0], 310.0, 3900.0, 170e3, 6200.0)
    >>> float(t[0]), round(float(t[1] * 6200.0 * np.pi / 30.0), 3)
    (310.0, 170000.0)
    """
    n = np.asarray(engine_speed, dtype=float)
    at_power = power / (power_speed * np.pi / 30.0)
    drop = torque - at_power
    span = power_speed - torque_speed
    x = (n - torque_speed) / span
    exponent = 1.0
    if drop > 0.0:
        exponent = max(1.0, (at_power / power_speed) * span / drop)
    between = torque - drop * np.clip(x, 0.0, 1.0) ** exponent
    below = np.maximum(torque - drop * np.minimum(x, 0.0) ** 2, 0.75 * torque)
    above = at_power * (1.0 - (n - power_speed) / power_speed)
    if drop <= 0.0:
        above = np.full_like(n, torque)
    result = np.where(x < 0.0, below, np.where(x > 1.0, above, between))
    return np.asarray(np.maximum(result, 0.0))


@dataclass(frozen=True, slots=True, eq=False)
class StockEngine:
    """What the stock engine does at each engine speed; constants on every day.

    Parameters
    ----------
    volumetric_efficiency : ndarray
        On manifold density. [-]
    flow : ndarray
        Air flow, dry. [kg/s]
    manifold_pressure, manifold_temperature, exhaust_pressure : ndarray
        Stations 3 and 4. [Pa], [K], [Pa]
    bracket : ndarray
        Pressure bracket. [-]
    vapour : ndarray
        Fuel vapour factor. [-]
    torque : ndarray
        Torque. [N m]
    indicated_constant : float or ndarray
        The build's, or scaled to the stock power where volumetric efficiency is typed; an array
        where the friction scale is one. [-]
    """

    volumetric_efficiency: Floats
    flow: Floats
    manifold_pressure: Floats
    manifold_temperature: Floats
    exhaust_pressure: Floats
    bracket: Floats
    vapour: Floats
    torque: Floats
    indicated_constant: float | Floats


@dataclass(frozen=True, slots=True)
class StockFigures:
    """Plain numbers for :func:`fit_stock_engine`; SI, rpm; friction scale one or one a speed."""

    displacement: float
    compression_ratio: float
    torque: float
    torque_speed: float
    power: float
    power_speed: float
    mixture: float
    friction_scale: float | Floats
    indicated_constant: float
    rated_flow: float | None
    rated_flow_factor: float
    inlet_loss: float
    inlet_density: float
    exhaust_loss: float
    port_share: float
    typed_efficiency: tuple[tuple[float, float], ...] | None = None


def vapour_terms(fuel: Fuel, mixture: float, port_share: float) -> tuple[float, float]:
    """Evaporation before the valve closes: heat per mass of air [J/kg] and moles per mole [-].

    Parameters
    ----------
    fuel : Fuel
        The fuel.
    mixture : float
        Air over stoichiometric air. [-]
    port_share : float
        Share of the fuel that evaporates in the port. [-]

    Returns
    -------
    heat : float
        Heat taken from the air. [J/kg]
    moles : float
        Moles of vapour over moles of air. [-]

    References
    ----------
    Mass and mole balance.
    """
    air_fuel = fuel.stoichiometric_ratio * mixture
    heat = port_share * fuel.heat_of_vaporisation / air_fuel
    return heat, port_share * fuel.vapour_share_at_stoichiometric / mixture


def required_dry_flow(
    engine_speed: Floats, brake_power: Floats, figures: StockFigures, fuel: Fuel
) -> Floats:
    """Dry air flow [kg/s] that a brake power [W] needs at an engine speed [rpm], unblown."""
    friction = figures.friction_scale * power_of_pressure(
        friction_pressure(engine_speed), figures.displacement, engine_speed
    )
    efficiency = (
        cycle_efficiency(figures.compression_ratio)
        * figures.indicated_constant
        * mixture_factor(figures.mixture)
    )
    fuel_flow = (brake_power + friction) / (fuel.heating_value * efficiency)
    return np.asarray(fuel_flow * fuel.stoichiometric_ratio * figures.mixture)


def rated_flow(figures: StockFigures, fuel: Fuel) -> float:
    """Flow at which the losses of ducts, cooler and exhaust are stated [kg/s]."""
    if figures.rated_flow is not None:
        return figures.rated_flow
    at = np.array([figures.power_speed])
    if figures.typed_efficiency is None:
        flow = required_dry_flow(at, np.array([figures.power]), figures, fuel)
        return figures.rated_flow_factor * float(flow[0])
    # the loss at the stock flow is its share of the rated loss, whatever that flow is
    table = np.array(figures.typed_efficiency)
    density = STOCK_DAY_PRESSURE / (GAS_CONSTANT_DRY_AIR * STOCK_DAY_TEMPERATURE)
    loss = figures.inlet_loss / figures.rated_flow_factor**2 * figures.inlet_density / density
    efficiency = float(np.interp(figures.power_speed, table[:, 0], table[:, 1]))
    rate = figures.displacement * figures.power_speed / RPM_PER_CYCLE
    manifold = density * (1.0 - loss / STOCK_DAY_PRESSURE)
    return figures.rated_flow_factor * efficiency * rate * manifold


_STOCK_AIR = moist_air(np.zeros(1))


def fit_stock_engine(
    engine_speed: Floats, figures: StockFigures, fuel: Fuel, rated: float
) -> StockEngine:
    """Fit volumetric efficiency so that the unblown chain returns the stock figures.

    Parameters
    ----------
    engine_speed : ndarray
        Engine speed. [rpm]
    figures : StockFigures
        The stock engine. [SI]
    fuel : Fuel
        The stock fuel.
    rated : float
        Flow at which the losses are stated, from :func:`rated_flow`. [kg/s]

    Returns
    -------
    StockEngine
        Breathing and pressures at each engine speed, on the stock day (99 kPa dry, 298.15 K).

    References
    ----------
    Reference air of SAE J1349 and ISO 1585; the chain of the match without blower, explicit
    because power fixes fuel, fuel fixes air.
    """
    n = np.asarray(engine_speed, dtype=float)
    p0, t0 = STOCK_DAY_PRESSURE, STOCK_DAY_TEMPERATURE
    air = _STOCK_AIR
    r = float(air.gas_constant[0])
    torque = stock_torque(
        n, figures.torque, figures.torque_speed, figures.power, figures.power_speed
    )
    loss = figures.inlet_loss / rated**2 * figures.inlet_density * r * t0 / p0
    volume_rate = figures.displacement * n / RPM_PER_CYCLE / (r * t0)
    constant: float | Floats = figures.indicated_constant
    if figures.typed_efficiency is None:
        flow = required_dry_flow(n, torque * n * np.pi / 30.0, figures, fuel)
        p3 = p0 - loss * flow**2
        if np.any(p3 <= 0.2 * p0):
            raise InputError(
                "inlet.pressure_loss",
                figures.inlet_loss,
                "a loss that the stock engine can draw its air through",
            )
        efficiency = flow / (p3 * volume_rate)
    else:
        table = np.array(figures.typed_efficiency)
        efficiency = np.interp(n, table[:, 0], table[:, 1])
        flow, p3 = _typed_flow(efficiency * volume_rate, loss, p0)
        at = np.array([figures.power_speed])
        at_rate = np.interp(at, table[:, 0], table[:, 1]) * figures.displacement * at
        at_flow, _ = _typed_flow(at_rate / RPM_PER_CYCLE / (r * t0), loss, p0)
        needed = required_dry_flow(at, np.array([figures.power]), figures, fuel)
        scale = needed / at_flow[0]
        constant = constant * (float(scale[0]) if scale.size == 1 else scale)
    exhaust_flow = flow * (1.0 + 1.0 / (fuel.stoichiometric_ratio * figures.mixture))
    p4 = p0 + figures.exhaust_loss * (exhaust_flow / rated) ** 2
    heat, moles = vapour_terms(fuel, figures.mixture, figures.port_share)
    t3 = np.full_like(n, t0)
    cp = air.specific_heat(np.array([t0]))
    return StockEngine(
        efficiency,
        flow,
        p3,
        t3,
        p4,
        pressure_bracket(figures.compression_ratio, p4 / p3),
        vapour_factor(t3, heat / cp, moles),
        torque,
        constant,
    )


def _typed_flow(flow_per_pressure: Floats, loss: float, p0: float) -> tuple[Floats, Floats]:
    p3 = 2.0 * p0 / (1.0 + np.sqrt(1.0 + 4.0 * loss * flow_per_pressure**2 * p0))
    return flow_per_pressure * p3, p3
