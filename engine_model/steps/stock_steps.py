"""Steps of the stock engine: the breathing that explains its stock figures."""

from __future__ import annotations

import numpy as np

from engine_model.constants import GAS_CONSTANT_DRY_AIR, STOCK_DAY_PRESSURE, STOCK_DAY_TEMPERATURE
from engine_model.defaults import INLET_REFERENCE_DENSITY, RATED_FLOW_FACTOR
from engine_model.engine.power import (
    cycle_efficiency,
    friction_pressure,
    mixture_factor,
    power_of_pressure,
)
from engine_model.fuel.fuels import Fuel, fuel_named
from engine_model.results import Step, StepNumber
from engine_model.steps.point import Point

STOCK = "stock engine"

_EFFICIENCY = "eta_i = (1 - r^-0.3) c lambda (1 + 0.03 (1 - ((lambda - 0.9)/0.1)^2))"
_LEAN = "eta_i = (1 - r^-0.3) c"
EFFICIENCY_SOURCE = (
    "Ideal cycle at g = 1.3, Heywood eq. (5.31), times the indicated constant; "
    "effect of the mixture common practice, no source"
)

_DAY = (
    StepNumber("p_day", STOCK_DAY_PRESSURE, "pressure"),
    StepNumber("T_day", STOCK_DAY_TEMPERATURE, "temperature"),
)
_DRY = (StepNumber("R_dry", GAS_CONSTANT_DRY_AIR, "specific_heat"), _DAY[1])
_DAY_SOURCE = "stock day: 99 kPa dry, 298.15 K, reference air of SAE J1349 and ISO 1585"


def _fuel(point: Point) -> Fuel:
    return fuel_named(point.build.engine.stock_fuel, "engine.stock_fuel")


def fuel_numbers(point: Point, fuel: Fuel, path: str, mixture: str) -> tuple[StepNumber, ...]:
    """Stoichiometric ratio, mixture and heating value of a fuel, to put into an equation."""
    assumed = point.fuel_assumed if path == "engine.fuel" else path not in point.build.given
    return (
        StepNumber("AFR", fuel.stoichiometric_ratio, "dimensionless", assumed),
        point.given("lambda", mixture),
        StepNumber("LHV", fuel.heating_value, "energy_per_mass", assumed),
    )


def indicated(
    point: Point, mixture: str, constant: float | None = None
) -> tuple[str, tuple[StepNumber, ...]]:
    """Equation of indicated efficiency at a mixture, and the numbers put in.

    Parameters
    ----------
    point : Point
        The point.
    mixture : str
        Path of the mixture.
    constant : float, optional
        Indicated constant, where it is not the build's. [-]

    Returns
    -------
    equation : str
        Without the mixture where that is lean.
    numbers : tuple of StepNumber
        What is put in.
    """
    mix = point.given("lambda", mixture)
    numbers = (
        point.given("r", "engine.compression_ratio"),
        point.given("c", "engine.indicated_constant", value=constant),
    )
    return (_LEAN, numbers) if mix.value >= 1.0 else (_EFFICIENCY, (*numbers, mix))


def _fuel_numbers(point: Point) -> tuple[StepNumber, ...]:
    return fuel_numbers(point, _fuel(point), "engine.stock_fuel", "engine.stock_mixture")


def _efficiency(point: Point) -> StepNumber:
    e = point.build.engine
    value = float(cycle_efficiency(e.compression_ratio) * mixture_factor(e.stock_mixture))
    return StepNumber("eta_i", value * e.indicated_constant, "share")


def _friction(point: Point, speed: float) -> StepNumber:
    e = point.build.engine
    power = float(power_of_pressure(friction_pressure(speed), e.displacement, speed))
    return StepNumber("P_f", e.friction_scale * power, "power")


def _interpolated(
    point: Point, speed: float
) -> tuple[float, tuple[float, float], tuple[float, float]]:
    """Typed volumetric efficiency at a speed, and the two rows around it."""
    table = point.build.engine.volumetric_efficiency or ()
    speeds = [row[0] for row in table]
    row = min(max(int(np.searchsorted(speeds, speed)), 1), len(table) - 1) if table[1:] else 0
    value = float(np.interp(speed, speeds, [pair[1] for pair in table]))
    return value, table[max(row - 1, 0)], table[row]


def _rated(point: Point) -> Step:
    rated = point.rated_flow
    e, factor = point.build.engine, StepNumber("k", RATED_FLOW_FACTOR, "dimensionless")
    source = "1.5 times the air of the stock engine at its peak power; chosen here, no source"
    if e.rated_flow is not None:
        equation, source = "W_ref = W_typed", "An input of the build"
        numbers: tuple[StepNumber, ...] = (rated._replace(symbol="W_typed"),)
    elif e.volumetric_efficiency is not None:
        equation = (
            "W_ref = k eta_v V_d N_P/120 (rho - dp_in/k^2 rho_in/p_day), rho = p_day/(R_dry T_day)"
        )
        eta, assumed = _interpolated(point, e.stock_power_speed)[0], "engine.volumetric_efficiency"
        numbers = (
            factor,
            StepNumber("eta_v", eta, "dimensionless", assumed not in point.build.given),
            point.given("V_d", "engine.displacement"),
            point.given("N_P", "engine.stock_power_speed"),
            point.given("dp_in", "inlet.pressure_loss"),
            StepNumber("rho_in", INLET_REFERENCE_DENSITY, "density"),
            _DAY[0],
            *_DRY,
        )
    else:
        equation = "W_ref = k (P + P_f) AFR lambda/(LHV eta_i), at the stock power speed"
        numbers = (
            factor,
            point.given("P", "engine.stock_power"),
            _friction(point, point.build.engine.stock_power_speed),
            *_fuel_numbers(point),
            _efficiency(point),
        )
    return Step(
        "stock.rated_flow", STOCK, "Rated flow", rated.value, "mass_flow",
        "W_ref", equation, numbers, source,
    )  # fmt: skip


def _torque(point: Point) -> Step:
    """Stock torque by the piece of its curve that the engine speed lies on."""
    e, speed = point.build.engine, point.engine_speed
    top = point.given("T_max", "engine.stock_torque")
    flat = e.stock_power >= top.value * e.stock_power_speed * np.pi / 30.0
    numbers = [
        speed,
        point.given("P", "engine.stock_power"),
        point.given("N_P", "engine.stock_power_speed"),
    ]
    rest = ", T_P = P/(pi N_P/30)"
    if flat:
        numbers, curve, rest = [top], "T_stock = T_max", ""
    elif speed.value > e.stock_power_speed:
        curve = "T_stock = T_P (1 - (N - N_P)/N_P), at least 0"
    else:
        numbers += [top, point.given("N_T", "engine.stock_torque_speed")]
        curve = (
            "T_stock = T_max - d x^k, d = T_max - T_P, x = (N - N_T)/(N_P - N_T), "
            "k = max(1, (T_P/N_P) (N_P - N_T)/d)"
        )
        if speed.value < e.stock_torque_speed:
            curve = "T_stock = T_max - (T_max - T_P) ((N - N_T)/(N_P - N_T))^2, at least 0.75 T_max"
    return Step(
        "stock.torque", STOCK, "Stock torque", float(point.plan.stock.torque[0]), "torque",
        "T_stock", curve + rest, tuple(numbers),
        "Curve through the four stock figures; its shape chosen here, no source",
    )  # fmt: skip


def _figures(point: Point) -> list[Step]:
    """From the four stock figures to the air flow they need."""
    torque = _torque(point)
    efficiency = _efficiency(point)
    equation, numbers = indicated(point, "engine.stock_mixture")
    return [
        torque,
        Step(
            "stock.efficiency", STOCK, "Stock efficiency", efficiency.value, "share",
            "eta_i", equation, numbers, EFFICIENCY_SOURCE,
        ),
        Step(
            "stock.flow", STOCK, "Stock air flow", float(point.plan.stock.flow[0]),
            "mass_flow", "W_stock",
            "W_stock = (T_stock pi N/30 + P_f) AFR lambda/(LHV eta_i)",
            (
                StepNumber("T_stock", torque.value, "torque"),
                point.engine_speed,
                _friction(point, point.engine_speed.value),
                *_fuel_numbers(point),
                efficiency,
            ),
            f"Power fixes fuel, fuel fixes air; {_DAY_SOURCE}",
        ),
    ]  # fmt: skip


def _typed(point: Point) -> list[Step]:
    """Volumetric efficiency as typed, and the air flow that follows."""
    stock = point.plan.stock
    n = point.engine_speed
    _, low, high = _interpolated(point, n.value)
    assumed = "engine.volumetric_efficiency" not in point.build.given
    eta = float(stock.volumetric_efficiency[0])
    return [
        Step(
            "stock.volumetric_efficiency", STOCK, "Stock VE", eta,
            "dimensionless", "eta_v,ref",
            "eta_v,ref = eta_a + (eta_b - eta_a) (N - N_a)/(N_b - N_a), held at the ends",
            (
                n,
                StepNumber("N_a", low[0], "speed", assumed),
                StepNumber("eta_a", low[1], "dimensionless", assumed),
                StepNumber("N_b", high[0], "speed", assumed),
                StepNumber("eta_b", high[1], "dimensionless", assumed),
            ),
            "The table typed into the build, straight between its rows",
        ),
        Step(
            "stock.flow", STOCK, "Stock air flow", float(stock.flow[0]), "mass_flow", "W_stock",
            "W_stock = eta_v,ref p_3s/(R_dry T_day) V_d N/120",
            (
                StepNumber("eta_v,ref", eta, "dimensionless"),
                StepNumber("p_3s", float(stock.manifold_pressure[0]), "pressure"),
                *_DRY,
                point.given("V_d", "engine.displacement"),
                n,
            ),
            f"Definition of volumetric efficiency; {_DAY_SOURCE}",
        ),
    ]  # fmt: skip


def _pressures(point: Point) -> list[Step]:
    stock, rated = point.plan.stock, point.rated_flow
    flow = StepNumber("W_stock", float(stock.flow[0]), "mass_flow")
    return [
        Step(
            "stock.pressure", STOCK, "Stock manifold pressure",
            float(stock.manifold_pressure[0]), "pressure", "p_3s",
            "p_3s = p_day - dp_in (W_stock/W_ref)^2 rho_in R_dry T_day/p_day",
            (
                _DAY[0],
                point.given("dp_in", "inlet.pressure_loss"),
                flow,
                rated,
                StepNumber("rho_in", INLET_REFERENCE_DENSITY, "density"),
                *_DRY,
            ),
            f"The build's own inlet loss, no blower; {_DAY_SOURCE}",
        ),
        Step(
            "stock.exhaust_pressure", STOCK, "Stock exhaust pressure",
            float(stock.exhaust_pressure[0]), "pressure", "p_4s",
            "p_4s = p_day + dp_ex ((1 + 1/(AFR lambda)) W_stock/W_ref)^2",
            (
                _DAY[0],
                point.given("dp_ex", "exhaust.pressure_loss"),
                *_fuel_numbers(point)[:2],
                flow,
                rated,
            ),
            "The build's own exhaust loss, quadratic in the flow of air and fuel",
        ),
    ]  # fmt: skip


def stock_steps(point: Point) -> list[Step]:
    """Steps of the stock engine at the engine speed; the same on every day."""
    stock = point.plan.stock
    if point.build.engine.volumetric_efficiency is not None:
        return [_rated(point), *_typed(point), *_pressures(point)]
    fitted = Step(
        "stock.volumetric_efficiency", STOCK, "Stock VE",
        float(stock.volumetric_efficiency[0]), "dimensionless", "eta_v,ref",
        "eta_v,ref = W_stock R_dry T_day/(p_3s V_d N/120)",
        (
            StepNumber("W_stock", float(stock.flow[0]), "mass_flow"),
            *_DRY,
            StepNumber("p_3s", float(stock.manifold_pressure[0]), "pressure"),
            point.given("V_d", "engine.displacement"),
            point.engine_speed,
        ),
        "Fitted: the value with which the unblown engine gives its stock torque",
    )  # fmt: skip
    return [_rated(point), *_figures(point), *_pressures(point), fitted]
