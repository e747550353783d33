"""From records to plain arrays: what a build and its days mean to the solvers."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from engine_model.air.atmosphere import humidity_ratio, station_pressure
from engine_model.air.corrected import flow_correction, speed_correction
from engine_model.air.density import moist_density
from engine_model.air.gas import MoistAir, inlet_gas, moist_air
from engine_model.compressor.surface import Surface
from engine_model.constants import CYCLE_GAMMA, RPM_PER_CYCLE
from engine_model.cooling.charge_cooler import FLOW_EXPONENT, transfer_units, transfer_units_of
from engine_model.defaults import (
    COOLER_REFERENCE_DENSITY,
    INLET_REFERENCE_DENSITY,
)
from engine_model.engine.power import friction_pressure
from engine_model.engine.stock_fit import (
    StockEngine,
    fit_stock_engine,
    rated_flow,
    vapour_terms,
)
from engine_model.fuel.fuels import Fuel, fuel_named
from engine_model.fuel_choice import fuel_of
from engine_model.inputs import Build, Day
from engine_model.results import OperatingLine
from engine_model.solvers.chain import Breathing, Points
from engine_model.stock_points import (
    PORT_SHARE,
    StockPoints,
    stock_figures,
    swallowing,
    varied_stock,
    work_per_fuel,
)

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Air:
    """Days as arrays: pressure [Pa], temperature [K], humidity ratio and relative humidity [-]."""

    pressure: Floats
    temperature: Floats
    humidity: Floats
    relative_humidity: Floats

    @staticmethod
    def of(pressure: Floats, temperature: Floats, relative_humidity: Floats) -> Air:
        """Air with the humidity ratio that belongs to it."""
        ratio = humidity_ratio(pressure, temperature, relative_humidity)
        return Air(pressure, temperature, ratio, relative_humidity)

    def part(self, index: object) -> Air:
        """Return the days of an index."""
        return Air(*(getattr(self, one.name)[index] for one in fields(self)))

    def shifted(
        self, temperature: Floats | float, pressure: Floats | float, humidity: Floats | float
    ) -> Air:
        """Return the air with shifts of temperature [K], pressure [Pa], relative humidity [-]."""
        shifted = np.clip(self.relative_humidity + humidity, 0.0, 1.0)
        return Air.of(self.pressure + pressure, self.temperature + temperature, shifted)

    @property
    def density(self) -> Floats:
        """Density of the air [kg/m3]."""
        return moist_density(self.pressure, self.temperature, self.humidity)


def air_of(days: Sequence[Day]) -> Air:
    """Station pressure [Pa], temperature [K] and humidity ratio [-] of days."""
    altitude = np.array([day.altitude for day in days], dtype=float)
    typed = np.array([np.nan if d.pressure is None else d.pressure for d in days], dtype=float)
    pressure = np.where(np.isnan(typed), station_pressure(altitude), typed)
    temperature = np.array([day.temperature for day in days], dtype=float)
    humidity = np.array([day.relative_humidity for day in days], dtype=float)
    return Air.of(pressure, temperature, humidity)


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """A build as plain numbers, with everything that depends on engine speed alone.

    Parameters
    ----------
    build : Build
        The build.
    engine_speed : ndarray
        Engine speed. [rpm]
    stock : StockEngine
        The stock engine there.
    fuel : Fuel
        The fuel it runs on.
    rated : float
        Rated flow. [kg/s]
    swept_rate : ndarray
        Swept volume a second. [m3/s]
    fuel_per_dry_air : float
        Mass of fuel over mass of dry air. [-]
    work_per_fuel : float
        Indicated work over mass of fuel. [J/kg]
    friction_power : ndarray
        Friction. [W]
    """

    build: Build
    engine_speed: Floats
    stock: StockEngine
    fuel: Fuel
    rated: float
    swept_rate: Floats
    fuel_per_dry_air: float
    work_per_fuel: float
    friction_power: Floats


def plan_of(build: Build, engine_speed: Floats) -> Plan:
    """Unpack a build for a set of engine speeds [rpm]."""
    e = build.engine
    figures = stock_figures(build)
    stock_fuel, fuel = fuel_named(e.stock_fuel, "engine.stock_fuel"), fuel_of(e)
    rated = rated_flow(figures, stock_fuel)
    stock = fit_stock_engine(engine_speed, figures, stock_fuel, rated)
    swept = e.displacement * engine_speed / RPM_PER_CYCLE
    return Plan(
        build,
        engine_speed,
        stock,
        fuel,
        rated,
        swept,
        1.0 / (fuel.stoichiometric_ratio * e.mixture),
        float(work_per_fuel(build, fuel, stock)),
        e.friction_scale * friction_pressure(engine_speed) * swept,
    )


def breathing_of(plan: Plan) -> Breathing:
    """The engine's constants in the chain; its arrays are filled point by point."""
    e = plan.build.engine
    r, g = e.compression_ratio, CYCLE_GAMMA
    heat, moles = vapour_terms(plan.fuel, e.mixture, PORT_SHARE[e.injection])
    x = plan.build.exhaust
    free = plan.build.drive.kind == "free_shaft"
    none = np.zeros(1)
    return Breathing(
        none,
        r / (r - 1.0) - (g - 1.0) / (g * (r - 1.0)),
        1.0 / (g * (r - 1.0)),
        e.ve_temperature_exponent,
        heat,
        moles,
        none,
        x.pressure_loss / plan.rated**2,
        x.turbine_back_pressure if free else 0.0,
    )


def swallowing_of(plan: Plan) -> Floats:
    """Engine flow times R over the bracket, p3 and T3 terms, at the plan's speeds."""
    return swallowing(plan.stock, plan.build.engine.ve_temperature_exponent, plan.swept_rate)


def stock_points(
    plan: Plan, at: NDArray[np.intp], friction_factor: Floats | None = None
) -> StockPoints:
    """Stock engine of points given by the index of their engine speed, friction varied or not."""
    if friction_factor is not None:
        n, swept = plan.engine_speed[at], plan.swept_rate[at]
        return varied_stock(plan.build, plan.rated, n, swept, friction_factor)
    stock = plan.stock
    pumping = (stock.manifold_pressure - stock.exhaust_pressure)[at]
    work = np.array([plan.work_per_fuel])
    return StockPoints(swallowing_of(plan)[at], plan.friction_power[at], pumping, work)


@dataclass(frozen=True, slots=True, eq=False)
class BlockAir:
    """The air of a block of points; arrays of one element, or one a point."""

    pressure: Floats
    temperature: Floats
    humidity: Floats
    gas: MoistAir


def block_air(air: Air, day_index: NDArray[np.intp] | slice) -> BlockAir:
    """Pick days for a block; one index serves all points of a block on one day."""
    humidity = air.humidity[day_index]
    return BlockAir(
        air.pressure[day_index], air.temperature[day_index], humidity, moist_air(humidity)
    )


def inlet_temperature(plan: Plan, air: BlockAir) -> Floats:
    """Fresh air at station 1 [K]."""
    return air.temperature + plan.build.inlet.temperature_rise


@dataclass(frozen=True, slots=True, eq=False)
class BlockInputs:
    """Point-by-point inputs of a block; arrays of one element, or one a point.

    Parameters
    ----------
    impeller_speed : ndarray
        Actual impeller speed; ignored for a free shaft. [rpm]
    engine_factor : ndarray
        From :func:`swallowing_of`, with any factor on volumetric efficiency.
    efficiency_shift, flow_factor : ndarray
        Shift of the compressor's efficiency, factor on its flow. [-]
    throttle_area : ndarray
        Effective throttle area, infinite when wide open. [m2]
    log_transfer_units : ndarray
        ln NTU at 1 kg/s. [-]
    cooler_loss : ndarray
        Loss of cooler and ducts at the rated flow. [Pa]
    surge_shift : ndarray
        Where surge lies in its band, in half-widths; nan where it is not told. [-]
    driveline_loss : ndarray
        Share lost between flywheel and wheels. [-]
    stock : StockPoints
        The stock engine.
    """

    impeller_speed: Floats
    engine_factor: Floats
    efficiency_shift: Floats
    flow_factor: Floats
    throttle_area: Floats
    log_transfer_units: Floats
    cooler_loss: Floats
    surge_shift: Floats
    driveline_loss: Floats
    stock: StockPoints

    def take(self, pick: Callable[[Floats], Floats]) -> BlockInputs:
        """Return the same with every array passed through a function."""
        stock = self.stock
        taken = StockPoints(*(pick(getattr(stock, one.name)) for one in fields(stock)))
        own = {f.name: pick(getattr(self, f.name)) for f in fields(self) if f.name != "stock"}
        return BlockInputs(**own, stock=taken)


FEW = 4
"""Coolers whose transfer units are looked up one by one; the many are worked out at once."""


def log_units_at_unit_flow(plan: Plan, effectiveness: Floats) -> Floats:
    """Logarithm of the cooler's NTU at a flow of 1 kg/s [-], from effectiveness at rated flow."""
    ratio = plan.build.cooler.capacity_ratio
    if effectiveness.size <= FEW:
        flat = [np.log(transfer_units(float(e), ratio)) for e in effectiveness.ravel()]
        at_rated = np.array(flat).reshape(effectiveness.shape)
    else:
        at_rated = np.log(transfer_units_of(effectiveness, ratio))
    return np.asarray(at_rated - FLOW_EXPONENT * np.log(plan.rated))


def make_points(
    plan: Plan, surface: Surface, air: BlockAir, inputs: BlockInputs, temperature: Floats
) -> Points:
    """Points of the chain at a temperature of station 1.

    Parameters
    ----------
    plan : Plan
        The build.
    surface : Surface
        Its compressor.
    air : BlockAir
        The day of each point.
    inputs : BlockInputs
        Inputs of each point.
    temperature : ndarray
        Total temperature at station 1. [K]

    Returns
    -------
    Points
        One element a point, or one for all. SI

    References
    ----------
    Similarity of compressors; losses from one known point.
    """
    b, cmap = plan.build, surface.compressor_map
    gas = air.gas
    gamma = gas.ratio_of_specific_heats(temperature)
    to_corrected = flow_correction(
        temperature, gas.gas_constant, gamma, cmap.reference_temperature, cmap.reference_pressure
    )
    speed_factor = speed_correction(
        temperature, gas.gas_constant, gamma, cmap.reference_temperature
    )
    corrected_speed = np.asarray(inputs.impeller_speed * speed_factor)
    row, share = surface.speed_position(corrected_speed)
    entry = gas.gas_constant * temperature / air.pressure
    cooled = b.cooler.kind != "none"
    return Points(
        ambient_pressure=air.pressure,
        inlet=inlet_gas(gas, temperature),
        inlet_factor=b.inlet.pressure_loss / plan.rated**2 * INLET_REFERENCE_DENSITY * entry,
        flow_factor=np.asarray(inputs.flow_factor / to_corrected),
        corrected_speed=corrected_speed,
        speed_row=row,
        speed_share=share,
        efficiency_shift=inputs.efficiency_shift,
        coolant_temperature=air.temperature + b.cooler.coolant_over_day,
        log_transfer_units=inputs.log_transfer_units,
        capacity_ratio=np.array([b.cooler.capacity_ratio if cooled else 1.0]),
        cooler_factor=inputs.cooler_loss / plan.rated**2 * COOLER_REFERENCE_DENSITY,
        throttle_area=inputs.throttle_area,
        engine_factor=np.asarray(inputs.engine_factor / gas.gas_constant),
        fuel_share=plan.fuel_per_dry_air / (1.0 + air.humidity),
    )


def inlet_density(line: OperatingLine, day: Day) -> Floats:
    """Total density of the air at the compressor's inlet.

    Parameters
    ----------
    line : OperatingLine
        Lines of that day, any leading axes. [SI]
    day : Day
        The day.

    Returns
    -------
    ndarray
        Density at station 1. [kg/m3]

    References
    ----------
    Ideal gas of dry air and vapour, p/(R T).
    """
    gas_constant = float(moist_air(float(air_of([day]).humidity[0])).gas_constant)
    return np.asarray(line.inlet_pressure_pa / (gas_constant * line.inlet_temperature_k))
