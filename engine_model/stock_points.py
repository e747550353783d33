"""The stock engine of a build as plain arrays, one element a point where friction is varied."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from engine_model.defaults import INLET_REFERENCE_DENSITY, RATED_FLOW_FACTOR
from engine_model.engine.power import cycle_efficiency, friction_pressure, mixture_factor
from engine_model.engine.stock_fit import StockEngine, StockFigures, fit_stock_engine
from engine_model.fuel.fuels import Fuel, fuel_named
from engine_model.inputs import Build

Floats = NDArray[np.float64]

PORT_SHARE = {"port": 0.25, "direct": 0.0}
"""Share of the fuel that evaporates before the valve closes [-]; chosen here, no source."""


def stock_figures(build: Build) -> StockFigures:
    """Plain numbers of the stock engine of a build."""
    e = build.engine
    return StockFigures(
        e.displacement,
        e.compression_ratio,
        e.stock_torque,
        e.stock_torque_speed,
        e.stock_power,
        e.stock_power_speed,
        e.stock_mixture,
        e.friction_scale,
        e.indicated_constant,
        e.rated_flow,
        RATED_FLOW_FACTOR,
        build.inlet.pressure_loss,
        INLET_REFERENCE_DENSITY,
        build.exhaust.pressure_loss,
        PORT_SHARE[e.injection],
        e.volumetric_efficiency,
    )


def swallowing(stock: StockEngine, exponent: float, swept_rate: Floats) -> Floats:
    """Engine flow times R over the bracket, p3 and T3 terms, of a swept volume a second [m3/s]."""
    reference = stock.bracket * stock.vapour * stock.manifold_temperature**exponent
    return np.asarray(stock.volumetric_efficiency / reference * swept_rate)


def work_per_fuel(build: Build, fuel: Fuel, stock: StockEngine) -> Floats:
    """Indicated work over mass of fuel [J/kg]."""
    e = build.engine
    efficiency = (
        float(cycle_efficiency(e.compression_ratio))
        * stock.indicated_constant
        * float(mixture_factor(e.mixture))
    )
    return np.asarray(fuel.heating_value * efficiency)


@dataclass(frozen=True, slots=True, eq=False)
class StockPoints:
    """What of the stock engine counts at each point; one element a point, or one for all.

    Parameters
    ----------
    swallowing : ndarray
        From :func:`swallowing`.
    friction_power : ndarray
        Friction. [W]
    pumping : ndarray
        Manifold pressure of the stock engine over its exhaust pressure. [Pa]
    work_per_fuel : ndarray
        Indicated work over mass of fuel. [J/kg]
    """

    swallowing: Floats
    friction_power: Floats
    pumping: Floats
    work_per_fuel: Floats


def varied_stock(
    build: Build, rated: float, engine_speed: Floats, swept_rate: Floats, friction_factor: Floats
) -> StockPoints:
    """Stock engine of points with a factor on friction.

    Parameters
    ----------
    build : Build
        The build.
    rated : float
        Rated flow, which stands whatever the factor. [kg/s]
    engine_speed, swept_rate : ndarray
        Engine speed and swept volume a second of each point. [rpm], [m3/s]
    friction_factor : ndarray
        Factor on friction of each point; the stock figures stand. [-]

    Returns
    -------
    StockPoints
        One element a point. SI

    References
    ----------
    As ``fit_stock_engine``.
    """
    e = build.engine
    scale = e.friction_scale * friction_factor
    figures = replace(stock_figures(build), friction_scale=scale)
    stock_fuel = fuel_named(e.stock_fuel, "engine.stock_fuel")
    stock = fit_stock_engine(engine_speed, figures, stock_fuel, rated)
    return StockPoints(
        swallowing(stock, e.ve_temperature_exponent, swept_rate),
        scale * friction_pressure(engine_speed) * swept_rate,
        stock.manifold_pressure - stock.exhaust_pressure,
        np.atleast_1d(work_per_fuel(build, fuel_named(e.fuel), stock)),
    )
