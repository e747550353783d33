"""Steps of the engine's breathing: station 3 to station 4, and the fuel."""

from __future__ import annotations

import numpy as np

from engine_model.constants import CYCLE_GAMMA, MOLAR_MASS_AIR
from engine_model.engine.breathing import engine_flow, pressure_bracket, vapour_factor
from engine_model.engine.stock_fit import vapour_terms
from engine_model.results import Step, StepNumber
from engine_model.steps.point import Point
from engine_model.steps.stock_steps import fuel_numbers
from engine_model.stock_points import PORT_SHARE

ENGINE = "3→4 engine"

_HEYWOOD = "Heywood, Internal Combustion Engine Fundamentals, 1st ed."


def _exhaust(point: Point, fuel: StepNumber, flow: StepNumber) -> Step:
    equation = "p_4 = p_0 + dp_ex ((W_e + W_fuel)/W_ref)^2"
    numbers = [
        StepNumber("p_0", point.ambient_pressure, "pressure"),
        point.given("dp_ex", "exhaust.pressure_loss"),
        flow,
        fuel,
        point.rated_flow,
    ]
    source = "Exhaust loss from one known point, quadratic in flow"
    if point.is_free_shaft:
        equation += " + k (p_2 - p_1)"
        numbers += [
            point.given("k", "exhaust.turbine_back_pressure"),
            point.of_line("p_2", "discharge_pressure_pa", "pressure"),
            point.of_line("p_1", "inlet_pressure_pa", "pressure"),
        ]
        source += "; back pressure of the turbine chosen here, no source"
    return Step(
        "engine.exhaust_pressure", ENGINE, "Exhaust pressure", point.at("exhaust_pressure_pa"),
        "pressure", "p_4", equation, tuple(numbers), source,
    )  # fmt: skip


def _bracket(point: Point) -> Step:
    stock = point.plan.stock
    r = point.given("r", "engine.compression_ratio")
    p3 = point.of_line("p_3", "manifold_pressure_pa", "pressure")
    p4 = point.of_line("p_4", "exhaust_pressure_pa", "pressure")
    here = float(pressure_bracket(r.value, p4.value / p3.value))
    return Step(
        "engine.pressure_factor", ENGINE, "Pressure factor on VE",
        here / float(stock.bracket[0]), "dimensionless", "B",
        "B = b(p_4/p_3)/b(p_4s/p_3s), b(x) = r/(r - 1) - (x + g - 1)/(g (r - 1))",
        (
            r,
            p3,
            p4,
            StepNumber("p_3s", float(stock.manifold_pressure[0]), "pressure"),
            StepNumber("p_4s", float(stock.exhaust_pressure[0]), "pressure"),
            StepNumber("g", CYCLE_GAMMA, "dimensionless"),
        ),
        f"{_HEYWOOD}, eq. (6.2), bracket only",
    )  # fmt: skip


def _charge_factor(point: Point) -> Step:
    exponent = point.given("x", "engine.ve_temperature_exponent")
    t3 = point.of_line("T_3", "manifold_temperature_k", "temperature")
    stock = float(point.plan.stock.manifold_temperature[0])
    return Step(
        "engine.temperature_factor", ENGINE, "Temperature factor on VE",
        (t3.value / stock) ** exponent.value, "dimensionless", "C",
        "C = (T_3/T_3s)^x", (t3, StepNumber("T_3s", stock, "temperature"), exponent),
        f"{_HEYWOOD}, section 6.2, from memory; the exponent is an input",
    )  # fmt: skip


def _vapour(point: Point) -> list[Step]:
    engine, fuel = point.build.engine, point.plan.fuel
    share = PORT_SHARE[engine.injection]
    heat, moles = vapour_terms(fuel, engine.mixture, share)
    t3 = point.of_line("T_3", "manifold_temperature_k", "temperature")
    cp = point.specific_heat(t3.value)
    here = float(vapour_factor(np.array(t3.value), heat / cp, moles))
    stock = float(point.plan.stock.vapour[0])
    ratio, mix, _ = fuel_numbers(point, fuel, "engine.fuel", "engine.mixture")
    return [
        Step(
            "engine.vapour", ENGINE, "Vapour of this fuel", here, "dimensionless", "F",
            "F = sqrt(T_3/(T_3 - f h_vap/(AFR lambda cp)))/(1 + f M/(AFR lambda))",
            (
                t3,
                StepNumber("f", share, "share", "engine.injection" not in point.build.given),
                StepNumber("h_vap", fuel.heat_of_vaporisation, "energy_per_mass"),
                ratio,
                mix,
                StepNumber("cp", cp, "specific_heat"),
                StepNumber("M", MOLAR_MASS_AIR / fuel.molar_mass, "dimensionless"),
            ),
            f"Ideal mixing: evaporating {fuel.name} cools the air and displaces it; M is molar "
            "mass of air over fuel, f the share that evaporates in the port (chosen here)",
        ),
        Step(
            "engine.vapour_factor", ENGINE, "Vapour factor on VE", here / stock,
            "dimensionless", "V", "V = F/F_s",
            (
                StepNumber("F", here, "dimensionless"),
                StepNumber("F_s", stock, "dimensionless"),
            ),
            "Relative to the stock fuel and mixture",
        ),
    ]  # fmt: skip


def engine_steps(point: Point) -> list[Step]:
    """Steps from the manifold to the exhaust port."""
    flow = StepNumber("W_e", point.engine_flow, "mass_flow")
    fuel = point.of_line("W_fuel", "fuel_flow_kg_s", "mass_flow")
    bracket, charge, vapour = _bracket(point), _charge_factor(point), _vapour(point)
    reference = float(point.plan.stock.volumetric_efficiency[0])
    eta = point.of_line("eta_v", "volumetric_efficiency", "dimensionless")
    p3 = point.of_line("p_3", "manifold_pressure_pa", "pressure")
    t3 = point.of_line("T_3", "manifold_temperature_k", "temperature")
    swept = point.given("V_d", "engine.displacement")
    taken = float(
        engine_flow(
            eta.value, p3.value, t3.value, swept.value, point.engine_speed.value,
            point.gas_constant,
        )
    )  # fmt: skip
    factors = (
        StepNumber("eta_v,ref", reference, "dimensionless"),
        StepNumber("B", bracket.value, "dimensionless"),
        StepNumber("C", charge.value, "dimensionless"),
        StepNumber("V", vapour[1].value, "dimensionless"),
    )
    balance = "equal to the compressor's flow"
    if point.bypass_open:
        balance += " less the bypass's"
    ratio, mix, _ = fuel_numbers(point, point.plan.fuel, "engine.fuel", "engine.mixture")
    return [
        _exhaust(point, fuel, flow),
        bracket,
        charge,
        *vapour,
        Step(
            "engine.volumetric_efficiency", ENGINE, "Volumetric efficiency", eta.value,
            "dimensionless", "eta_v", "eta_v = eta_v,ref B C V", factors,
            "Stock volumetric efficiency (VE, on manifold density) times what has changed",
        ),
        Step(
            "engine.air_flow", ENGINE, "Engine air flow", taken, "mass_flow", "W_e",
            "W_e = eta_v p_3/(R T_3) V_d N/120",
            (
                eta,
                p3,
                StepNumber("R", point.gas_constant, "specific_heat"),
                t3,
                swept,
                point.engine_speed,
            ),
            f"Definition of volumetric efficiency, Heywood eq. (2.27); "
            f"{balance if point.has_blower else 'drawn through the filter'}",
        ),
        Step(
            "engine.fuel_flow", ENGINE, "Fuel flow", fuel.value, "mass_flow", "W_fuel",
            "W_fuel = W_e/((1 + w) AFR lambda)",
            (flow, StepNumber("w", point.humidity, "dimensionless"), ratio, mix),
            f"Definition of the mixture; {point.plan.fuel.name} burns with the dry part of the air",
        ),
    ]  # fmt: skip
