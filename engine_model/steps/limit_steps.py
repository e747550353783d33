"""Steps of what the ledger judges at the engine speed."""

from __future__ import annotations

import numpy as np

from engine_model.compressor.surface import Surface
from engine_model.drive.ratio import tip_speed
from engine_model.results import Step, StepNumber
from engine_model.steps.point import Point

LIMITS = "limits"

_PETROL = 44.0e6
"""Heating value that fuel consumption is compared at [J/kg], petrol."""


def _surge(point: Point, surface: Surface) -> list[Step]:
    n = point.of_line("N_c", "corrected_speed_rpm", "speed")
    flow = point.of_line("W_c", "corrected_flow_kg_s", "mass_flow")
    surge = StepNumber("W_s", point.of_speed_line(surface.surge_flow), "mass_flow")
    width = StepNumber("u", point.of_speed_line(surface.surge_uncertainty), "share")
    lines = surface.line_speeds
    above = int(np.clip(np.searchsorted(lines, n.value), 1, lines.size - 1))
    steps = [
        Step(
            "limits.surge_flow", LIMITS, "Surge flow", surge.value, "mass_flow", "W_s",
            "W_s = map(N_c, s = 0)", (n,),
            "The traced surge line; its flow over speed between the lines",
        ),
        Step(
            "limits.surge_band", LIMITS, "Surge band", width.value, "share", "u",
            "u = 0.10 min(1, 2 d/(N_b - N_a)), d = distance of N_c to the nearer of N_a, N_b",
            (
                n,
                StepNumber("N_a", float(lines[above - 1]), "speed"),
                StepNumber("N_b", float(lines[above]), "speed"),
            ),
            "Half-width: about 10 % was seen on lines left out of the NASA CC3 maps, none on a "
            "traced line",
        ),
    ]  # fmt: skip
    why = "" if point.is_free_shaft else "; a belt fixes the speed"
    for name, title, sign, word in (
        ("surge_margin", "Surge margin", "", ""),
        ("surge_margin_low", "Surge margin, worst edge", " (1 + u)", ", worst edge"),
        ("surge_margin_high", "Surge margin, best edge", " (1 - u)", ", best edge"),
    ):
        numbers = (surge, flow, width) if sign else (surge, flow)
        steps.append(
            Step(
                f"limits.{name}", LIMITS, title, point.at(name), "share", "m",
                f"m = 1 - W_s{sign}/W_c", numbers,
                f"Margin at equal speed{word}{why}",
            )
        )  # fmt: skip
    return steps


def _choke(point: Point, surface: Surface) -> list[Step]:
    n = point.of_line("N_c", "corrected_speed_rpm", "speed")
    flow = point.of_line("W_c", "corrected_flow_kg_s", "mass_flow")
    choke = StepNumber("W_ch", point.of_speed_line(surface.choke_flow), "mass_flow")
    return [
        Step(
            "limits.choke_flow", LIMITS, "Choke flow", choke.value, "mass_flow", "W_ch",
            "W_ch = map(N_c, s = 1)", (n,),
            "The ends of the speed lines at choke; flow over speed between the lines",
        ),
        Step(
            "limits.choke_margin", LIMITS, "Choke margin", point.at("choke_margin"), "share",
            "m", "m = W_ch/W_c - 1", (choke, flow), "Margin at equal speed",
        ),
    ]  # fmt: skip


def _tip(point: Point, surface: Surface) -> list[Step]:
    diameter = surface.compressor_map.exducer_diameter
    if diameter is None:
        return []
    speed = point.of_line("N_imp", "impeller_speed_rpm", "speed")
    return [
        Step(
            "limits.tip_speed", LIMITS, "Tip speed", float(tip_speed(speed.value, diameter)),
            "velocity", "U_2", "U_2 = pi D_2 N_imp/60",
            (StepNumber("D_2", diameter, "length"), speed), "Kinematics",
        )
    ]  # fmt: skip


def _engine(point: Point) -> list[Step]:
    engine = point.build.engine
    stroke = point.given("S", "engine.stroke", value=engine.piston_stroke)
    fuel, power = point.at("fuel_flow_kg_s"), point.at("flywheel_power_w")
    heating = point.plan.fuel.heating_value
    p0, p1 = point.ambient_pressure, point.at("inlet_pressure_pa")
    steps = [
        Step(
            "limits.inlet_depression", LIMITS, "Inlet depression", p0 - p1, "pressure", "dp_1",
            "dp_1 = p_0 - p_1",
            (StepNumber("p_0", p0, "pressure"), StepNumber("p_1", p1, "pressure")),
            "Ambient less station 1",
        ),
        Step(
            "limits.piston_speed", LIMITS, "Mean piston speed",
            2.0 * stroke.value * point.engine_speed.value / 60.0, "velocity", "U_p",
            "U_p = 2 S N/60", (stroke, point.engine_speed), "Kinematics",
        ),
    ]  # fmt: skip
    if power > 0.0 or np.isnan(power):
        steps.append(
            Step(
                "limits.fuel_consumption", LIMITS, "Consumption as petrol",
                fuel / power * heating / _PETROL, "specific_fuel_consumption", "b_f",
                "b_f = W_fuel/P LHV/(44 10^6)",
                (
                    StepNumber("W_fuel", fuel, "mass_flow"),
                    StepNumber("P", power, "power"),
                    StepNumber("LHV", heating, "energy_per_mass"),
                ),
                "Definition; judged at peak power only",
            )
        )  # fmt: skip
    return steps


def limit_steps(point: Point) -> list[Step]:
    """Steps of the limits; those of the compressor only where there is one."""
    surface = point.surface
    if surface is None:
        return _engine(point)
    return [
        *_surge(point, surface),
        *_choke(point, surface),
        *_tip(point, surface),
        *_engine(point),
    ]
