"""Steps of power: from the fuel to the flywheel and the wheels."""

from __future__ import annotations

import numpy as np

from engine_model.air.gas import compress
from engine_model.drive.belt_loss import belt_heat, speed_lost
from engine_model.dyno.driveline import wheel_power
from engine_model.engine.power import cycle_efficiency, drive_power, mixture_factor
from engine_model.results import Step, StepNumber
from engine_model.steps.burn_steps import spark_factor
from engine_model.steps.point import Point
from engine_model.steps.stock_steps import (
    EFFICIENCY_SOURCE,
    fuel_numbers,
    indicated,
)

CRANK = "crankshaft"


def _indicated(point: Point) -> list[Step]:
    engine, constant = point.build.engine, float(point.plan.stock.indicated_constant)
    eta = float(cycle_efficiency(engine.compression_ratio) * mixture_factor(engine.mixture))
    eta *= constant
    equation, numbers = indicated(point, "engine.mixture", constant)
    heating = fuel_numbers(point, point.plan.fuel, "engine.fuel", "engine.mixture")[2]
    fuel = point.of_line("W_fuel", "fuel_flow_kg_s", "mass_flow")
    counted: tuple[StepNumber, ...] = ()
    kept = 1.0
    if engine.spark == "estimated" and point.is_solved:
        kept = spark_factor(point)
        counted = (StepNumber("s", kept, "share"),)
    note = ""
    if engine.volumetric_efficiency is not None:
        note = "c is scaled once, so that the typed volumetric efficiency gives the stock power."
    return [
        Step(
            "crank.indicated_efficiency", CRANK, "Indicated efficiency", eta, "share", "eta_i",
            equation, numbers, EFFICIENCY_SOURCE, note,
        ),
        Step(
            "crank.indicated_power", CRANK, "Indicated power",
            fuel.value * point.plan.work_per_fuel * kept, "power", "P_i",
            "P_i = W_fuel LHV eta_i s" if counted else "P_i = W_fuel LHV eta_i",
            (fuel, heating, StepNumber("eta_i", eta, "share"), *counted),
            "Definition of indicated efficiency, "
            + ("s for the advance given up" if counted else "as the stock engine's spark"),
        ),
    ]  # fmt: skip


def _friction(point: Point) -> Step:
    return Step(
        "crank.friction_power", CRANK, "Friction power", float(point.plan.friction_power[0]),
        "power", "P_f",
        "P_f = k (0.97 + 0.15 n + 0.05 n^2) 10^5 V_d N/120, n = N/1000",
        (
            point.given("k", "engine.friction_scale"),
            point.given("V_d", "engine.displacement"),
            point.engine_speed,
        ),
        "Barnes-Moss 1975, Heywood eq. (13.6), in bar; pumping of the stock engine included",
    )  # fmt: skip


def _pumping(point: Point) -> Step:
    stock = point.plan.stock
    p3 = point.of_line("p_3", "manifold_pressure_pa", "pressure")
    p4 = point.of_line("p_4", "exhaust_pressure_pa", "pressure")
    p3s, p4s = float(stock.manifold_pressure[0]), float(stock.exhaust_pressure[0])
    power = ((p3.value - p4.value) - (p3s - p4s)) * float(point.plan.swept_rate[0])
    return Step(
        "crank.pumping_power", CRANK, "Change of pumping", power, "power", "dP",
        "dP = ((p_3 - p_4) - (p_3s - p_4s)) V_d N/120",
        (
            p3,
            p4,
            StepNumber("p_3s", p3s, "pressure"),
            StepNumber("p_4s", p4s, "pressure"),
            point.given("V_d", "engine.displacement"),
            point.engine_speed,
        ),
        "Work of the gas exchange against the stock engine's, which friction holds already",
    )  # fmt: skip


def _drive(point: Point) -> Step:
    """Power that the compressor takes at its pulley, or asks of a turbine."""
    efficiency = np.array([point.at("efficiency")])
    log_ratio = np.array([np.log(point.at("pressure_ratio"))])
    rise = float(compress(point.inlet, log_ratio, efficiency)[1][0])
    flow = point.of_line("W", "air_flow_kg_s", "mass_flow")
    speed = point.of_line("N_imp", "impeller_speed_rpm", "speed")
    gear = point.given("eta_g", "blower.gear_efficiency", "share")
    loss = point.given("P_b", "blower.bearing_loss")
    power = float(drive_power(flow.value, rise, speed.value, gear.value, loss.value))
    free = point.is_free_shaft
    return Step(
        "crank.drive_power", CRANK, "Shaft power asked for" if free else "Drive power",
        power, "power", "P_d",
        "P_d = W dh/eta_g + P_b (N_imp/50000)^1.5",
        (flow, StepNumber("dh", rise, "energy_per_mass"), gear, loss, speed),
        "Energy balance; losses of gear and bearings chosen here, no source",
        "Taken from the exhaust, not from the crankshaft; no turbine is modelled." if free else "",
    )  # fmt: skip


def _paid(point: Point, power: float) -> Step:
    """Power that the crank pays for what the blower takes, creep and slip included."""
    creep = point.given("c", "drive.belt_creep", "share")
    slip = StepNumber("s", point.at("belt_slip"), "share")
    lost = float(speed_lost(slip.value, creep.value))
    heat = float(belt_heat(power, lost)) if lost < 1.0 else float("nan")
    return Step(
        "crank.power_paid", CRANK, "Power the crank pays", power + heat, "power", "P_c",
        "P_c = P_d/((1 - c) (1 - s))",
        (StepNumber("P_d", power, "power"), creep, slip),
        "Energy balance of the belt: the rest heats it",
        f"Heat in the belt {heat:.0f} W." if heat == heat else "",
    )  # fmt: skip


def crank_steps(point: Point) -> list[Step]:
    """Steps from the fuel's heat to flywheel and wheels."""
    steps = [*_indicated(point), _friction(point), _pumping(point)]
    numbers = [
        StepNumber("P_i", steps[1].value, "power"),
        StepNumber("P_f", steps[2].value, "power"),
        StepNumber("dP", steps[3].value, "power"),
    ]
    equation = "P = P_i - P_f + dP"
    if point.has_blower:
        steps.append(_drive(point))
        if not point.is_free_shaft:
            steps.append(_paid(point, steps[-1].value))
            numbers.append(StepNumber("P_c", steps[-1].value, "power"))
            equation += " - P_c"
    flywheel = sum(n.value for n in numbers[::2]) - sum(n.value for n in numbers[1::2])
    at_flywheel = StepNumber("P", flywheel, "power")
    line = point.build.driveline
    return [
        *steps,
        Step(
            "crank.flywheel_power", CRANK, "Flywheel power", flywheel, "power", "P",
            equation, tuple(numbers), "Balance of power, as on the day, uncorrected",
        ),
        Step(
            "crank.torque", CRANK, "Flywheel torque", point.at("flywheel_torque_nm"),
            "torque", "T", "T = P/(pi N/30)", (at_flywheel, point.engine_speed),
            "Definition of power",
        ),
        Step(
            "crank.wheel_power", CRANK, "Wheel power",
            float(wheel_power(flywheel, line.loss, line.constant_loss)), "power", "P_wh",
            "P_wh = P (1 - z) - P_const",
            (
                at_flywheel,
                point.given("z", "driveline.loss", "share"),
                point.given("P_const", "driveline.constant_loss"),
            ),
            "Common practice, no source; as on the day, uncorrected",
        ),
    ]  # fmt: skip
