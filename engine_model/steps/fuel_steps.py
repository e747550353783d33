"""Steps of the fuel system: from fuel flow to injector duty and to what the pump must give."""

from __future__ import annotations

import numpy as np

from engine_model.fuel.demand import injector_mass_flow
from engine_model.fuel_run import FuelRun, fuel_run, injector_count
from engine_model.results import Step, StepNumber
from engine_model.steps.point import Point

FUEL = "fuel"

_BERNOULLI = "Bernoulli: flow goes with the square root of density times pressure difference"


def fuel_steps(point: Point) -> list[Step]:
    """Steps of injectors and fuel pump; injectors into the cylinder are not walked."""
    run = fuel_run(point.build, point.line)
    burnt = point.of_line("W_fuel", "fuel_flow_kg_s", "fuel_flow")
    density = StepNumber("rho_f", point.plan.fuel.density, "fuel_density", point.fuel_assumed)
    pump = _pump_steps(point, run, burnt, density)
    if point.build.engine.injection == "direct":
        return pump
    return [*_injector_steps(point, run, burnt, density), *pump]


def _rail(point: Point) -> tuple[StepNumber, StepNumber, bool]:
    """Rail, boost, and whether the regulator feels the manifold."""
    return (
        point.given("p_rail", "fuel_system.rail_pressure", "fuel_pressure"),
        point.of_line("b", "boost_gauge_pa", "boost"),
        point.build.fuel_system.feels_manifold,
    )


def _injector_steps(
    point: Point, run: FuelRun, burnt: StepNumber, density: StepNumber
) -> list[Step]:
    system = point.build.fuel_system
    rail, boost, felt = _rail(point)
    across = StepNumber("dp_inj", float(run.pressure_across), "fuel_pressure")
    rating = (
        point.given("dp_r", "fuel_system.injector_rating_pressure", "fuel_pressure"),
        point.given("rho_r", "fuel_system.injector_rating_density", "fuel_density"),
    )
    count = point.given(
        "n_inj", "fuel_system.injectors", "dimensionless", injector_count(point.build)
    )  # fmt: skip
    bound = point.given("D_max", "bounds.injector_duty", "share")
    steps = [
        Step(
            "fuel.pressure_across", FUEL, "Pressure across an injector", across.value,
            "fuel_pressure", "dp_inj",
            "dp_inj = p_rail" if felt else "dp_inj = p_rail - b, at least 0",
            (rail,) if felt else (rail, boost),
            "Pressure balance: the regulator holds the rail over the "
            + ("manifold" if felt else "ambient, so that boost works against the injectors"),
        ),
    ]  # fmt: skip
    if system.injector_flow is not None:
        rated = point.given("Q_r", "fuel_system.injector_flow")
        values = [n.value for n in (rated, across, density, *rating)]
        one = StepNumber("W_inj", float(injector_mass_flow(*values)), "fuel_flow")
        steps += [
            Step(
                "fuel.injector_flow", FUEL, "Flow of an injector held open", one.value,
                "fuel_flow", "W_inj", "W_inj = Q_r sqrt(rho_f rho_r dp_inj/dp_r)",
                (rated, density, rating[1], across, rating[0]), _BERNOULLI,
            ),
            Step(
                "fuel.injector_duty", FUEL, "Injector duty", float(run.duty), "share", "D",
                "D = W_fuel/(n_inj W_inj)", (burnt, count, one),
                "Mass balance; from fuel flow, not from power; opening times are left out",
            ),
        ]  # fmt: skip
    return [
        *steps,
        Step(
            "fuel.injector_needed", FUEL, "Injector needed", float(run.flow_needed),
            "volume_flow", "Q_n",
            "Q_n = W_fuel/(n_inj D_max sqrt(rho_f rho_r dp_inj/dp_r))",
            (burnt, count, bound, density, rating[1], across, rating[0]),
            f"{_BERNOULLI}; static flow as rated that keeps the bound of duty at this speed",
        ),
    ]  # fmt: skip


def _pump_steps(point: Point, run: FuelRun, burnt: StepNumber, density: StepNumber) -> list[Step]:
    system = point.build.fuel_system
    rail, boost, felt = _rail(point)
    reserve = point.given("x", "fuel_system.pump_reserve", "share")
    asked = StepNumber("Q_pump", float(run.pump_flow), "pump_flow")
    steps = [
        Step(
            "fuel.pump_pressure", FUEL, "Pressure the pump works against",
            float(run.pump_pressure), "fuel_pressure", "p_pump",
            "p_pump = p_rail + b" if felt else "p_pump = p_rail",
            (rail, boost) if felt else (rail,),
            "Pressure balance, gauge; losses of lines and filter are left out",
        ),
        Step(
            "fuel.pump_flow", FUEL, "Flow asked of the pump", asked.value,
            "pump_flow", "Q_pump", "Q_pump = (1 + x) W_fuel/rho_f",
            (reserve, burnt, density), "Mass balance with a reserve",
        ),
    ]  # fmt: skip
    if system.pump_flow is None:
        return steps
    rated = point.given("Q_s", "fuel_system.pump_flow", "pump_flow")
    if system.pump_shut_off is not None:
        return [*steps, *_falling_pump(point, run, asked, rated)]
    return [
        *steps,
        Step(
            "fuel.pump_used", FUEL, "Pump used", asked.value / rated.value, "share", "u_p",
            "u_p = Q_pump/Q_s", (asked, rated),
            "Q_s as stated, at one pressure",
            "Against more pressure than it is stated at the pump gives less.",
        ),
    ]  # fmt: skip


def _falling_pump(
    point: Point, run: FuelRun, asked: StepNumber, rated: StepNumber
) -> tuple[Step, Step]:
    """Flow of the pump at the pressure here, and the share of it that is asked."""
    stated = point.build.fuel_system.rated_pump_pressure
    gives = StepNumber("Q_p", float(run.pump_gives), "pump_flow")
    with np.errstate(divide="ignore"):
        used = float(run.pump_flow / run.pump_gives)
    return (
        Step(
            "fuel.pump_gives", FUEL, "Flow that the pump gives", gives.value, "pump_flow", "Q_p",
            "Q_p = Q_s (p_off - p_pump)/(p_off - p_s), at most Q_s, at least 0",
            (
                rated,
                point.given("p_off", "fuel_system.pump_shut_off", "fuel_pressure"),
                StepNumber("p_pump", float(run.pump_pressure), "fuel_pressure"),
                point.given("p_s", "fuel_system.pump_pressure", "fuel_pressure", stated),
            ),
            "Straight from the flow stated to none at the shut-off, chosen here, no source",
        ),
        Step(
            "fuel.pump_used", FUEL, "Pump used", used, "share", "u_p",
            "u_p = Q_pump/Q_p", (asked, gives), "What is asked over what it gives there",
        ),
    )  # fmt: skip
