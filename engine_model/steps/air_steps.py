"""Steps of the day and of the way through the filter: stations 0 and 1."""

from __future__ import annotations

from engine_model.air.atmosphere import saturation_pressure
from engine_model.air.flow import pressure_loss
from engine_model.constants import VAPOUR_MASS_RATIO
from engine_model.defaults import INLET_REFERENCE_DENSITY
from engine_model.results import Step, StepNumber
from engine_model.steps.point import Point

DAY = "0 day"
INLET = "0→1 inlet"


def day_steps(point: Point) -> list[Step]:
    """Steps of the day's air."""
    p0, t0, w = point.ambient_pressure, point.ambient_temperature, point.humidity
    day = point.day
    vapour = day.relative_humidity * float(saturation_pressure(t0))
    pressure = StepNumber("p_0", p0, "pressure")
    if day.pressure is None:
        equation = "p_0 = 101325 (1 - 0.0065 H/288.15)^5.25588"
        put_in = StepNumber("H", day.altitude, "altitude")
        source = "ISO 2533; US Standard Atmosphere 1976; H is geopotential height"
    else:
        equation, put_in = "p_0 = p_typed", StepNumber("p_typed", day.pressure, "pressure")
        source = "Typed with the day: at the place itself, not reduced to sea level"
    return [
        Step(
            "day.pressure", DAY, "Station pressure", p0, "pressure", "p_0",
            equation, (put_in,), source,
        ),
        Step(
            "day.temperature", DAY, "Air temperature", t0, "temperature", "T_0",
            "T_0 = T_day", (StepNumber("T_day", day.temperature, "temperature"),),
            "Given with the day",
        ),
        Step(
            "day.vapour_pressure", DAY, "Vapour pressure", vapour, "pressure", "p_v",
            "p_v = RH 611.21 exp((18.678 - t/234.5) t/(257.14 + t)), t = T_0 - 273.15",
            (
                StepNumber("RH", day.relative_humidity, "share"),
                StepNumber("T_0", t0, "temperature"),
            ),
            "Buck 1981 in its 1996 form, from memory, sure",
        ),
        Step(
            "day.humidity_ratio", DAY, "Humidity ratio", w, "dimensionless", "w",
            f"w = {VAPOUR_MASS_RATIO} p_v/(p_0 - p_v)",
            (StepNumber("p_v", vapour, "pressure"), pressure),
            "ASHRAE Fundamentals, psychrometrics",
        ),
        Step(
            "day.gas_constant", DAY, "Gas constant", point.gas_constant, "specific_heat", "R",
            "R = 287.053 (1 + 1.6078 w)/(1 + w)",
            (StepNumber("w", w, "dimensionless"),),
            "Mixture of ideal gases; dry air as in ISO 2533",
        ),
    ]  # fmt: skip


def _inlet_temperature(point: Point) -> Step:
    t1 = point.inlet_temperature
    rise = point.given("dT_in", "inlet.temperature_rise")
    ambient = StepNumber("T_0", point.ambient_temperature, "temperature")
    equation, numbers = "T_1 = T_0 + dT_in", [ambient, rise]
    source = "Air is warmed on its way to the compressor: an input of the build"
    if point.bypass_open and point.build.bypass.vent == "recirculated":
        equation = "T_1 = (W_e (T_0 + dT_in) + W_b T_3)/(W_e + W_b)"
        numbers += [
            StepNumber("W_e", point.engine_flow, "mass_flow"),
            point.of_line("W_b", "bypass_flow_kg_s", "mass_flow"),
            point.of_line("T_3", "manifold_temperature_k", "temperature"),
        ]
        source = "Mixing of fresh air with what the open bypass blows back, equal specific heats"
    return Step(
        "inlet.temperature", INLET, "Inlet temperature",
        t1, "temperature", "T_1", equation, tuple(numbers), source,
    )  # fmt: skip


def inlet_steps(point: Point) -> list[Step]:
    """Steps from the filter to station 1."""
    p0, flow = point.ambient_pressure, point.filter_flow
    density = p0 / (point.gas_constant * point.fresh_temperature)
    loss_input = point.given("dp_in", "inlet.pressure_loss")
    rated = point.rated_flow
    loss = float(
        pressure_loss(flow, density, loss_input.value, rated.value, INLET_REFERENCE_DENSITY)
    )
    filtered = StepNumber("W_in", flow, "mass_flow")
    return [
        _inlet_temperature(point),
        Step(
            "inlet.density", INLET, "Density of fresh air", density, "density", "rho_0",
            "rho_0 = p_0/(R (T_0 + dT_in))",
            (
                StepNumber("p_0", p0, "pressure"),
                StepNumber("R", point.gas_constant, "specific_heat"),
                StepNumber("T_0", point.ambient_temperature, "temperature"),
                point.given("dT_in", "inlet.temperature_rise"),
            ),
            "Ideal gas",
        ),
        Step(
            "inlet.loss", INLET, "Inlet loss", loss, "pressure", "dp_01",
            "dp_01 = dp_in (W_in/W_ref)^2 rho_in/rho_0",
            (
                loss_input,
                filtered,
                rated,
                StepNumber("rho_in", INLET_REFERENCE_DENSITY, "density"),
                StepNumber("rho_0", density, "density"),
            ),
            "Turbulent loss from one known point; W_in is the flow found at the end of the chain",
        ),
        Step(
            "inlet.pressure", INLET, "Inlet pressure",
            point.at("inlet_pressure_pa"), "pressure", "p_1",
            "p_1 = p_0 - dp_01",
            (StepNumber("p_0", p0, "pressure"), StepNumber("dp_01", loss, "pressure")),
            "Balance of total pressure; with the flow proportional to p_1 one quadratic",
        ),
    ]  # fmt: skip
