"""Steps of the charge cooler, boost and bypass: station 2 to station 3."""

from __future__ import annotations

import numpy as np

from engine_model.air.flow import pressure_loss
from engine_model.cooling.charge_cooler import (
    FLOW_EXPONENT,
    crossflow_effectiveness,
    outlet_temperature,
    transfer_units,
)
from engine_model.defaults import COOLER_REFERENCE_DENSITY
from engine_model.results import Step, StepNumber
from engine_model.steps.point import Point

CHARGE = "2→3 charge cooler"

_CROSSFLOW = "1 - exp(NTU^0.22/C_r (exp(-C_r NTU^0.78) - 1))"


def charge_steps(point: Point) -> list[Step]:
    """Steps from the compressor outlet to the manifold."""
    steps = [*_cooling(point), *_pressure(point)] if point.has_cooler else _straight(point)
    p3, p0 = point.of_line("p_3", "manifold_pressure_pa", "pressure"), point.ambient_pressure
    steps.append(
        Step(
            "charge.boost", CHARGE, "Boost", point.at("boost_gauge_pa"), "boost", "b",
            "b = p_3 - p_0", (p3, StepNumber("p_0", p0, "pressure")),
            "Gauge pressure in the manifold, to the day's ambient",
        )
    )  # fmt: skip
    return steps + _bypass(point)


def _straight(point: Point) -> list[Step]:
    """Station 3 where no charge cooler stands before it."""
    before = "2" if point.has_blower else "1"
    name = "discharge" if point.has_blower else "inlet"
    why = "No charge cooler" if point.has_blower else "No blower and no charge cooler"
    return [
        Step(
            "charge.temperature", CHARGE, "Charge temperature",
            point.at("manifold_temperature_k"), "temperature", "T_3", f"T_3 = T_{before}",
            (point.of_line(f"T_{before}", f"{name}_temperature_k", "temperature"),), why,
        ),
        Step(
            "charge.pressure", CHARGE, "Manifold pressure",
            point.at("manifold_pressure_pa"), "pressure", "p_3", f"p_3 = p_{before}",
            (point.of_line(f"p_{before}", f"{name}_pressure_pa", "pressure"),), why,
        ),
    ]  # fmt: skip


def _cooling(point: Point) -> list[Step]:
    flow = point.of_line("W", "air_flow_kg_s", "mass_flow")
    rated = point.rated_flow
    known = point.given("eps_ref", "cooler.effectiveness", "share")
    capacity = point.given("C_r", "cooler.capacity_ratio")
    at_rated = transfer_units(known.value, capacity.value)
    here = at_rated * (flow.value / rated.value) ** FLOW_EXPONENT
    share = float(crossflow_effectiveness(here, capacity.value))
    over = point.build.cooler.coolant_over_day
    coolant = point.ambient_temperature + over
    t2 = point.of_line("T_2", "discharge_temperature_k", "temperature")
    t3 = float(outlet_temperature(t2.value, coolant, share))
    effectiveness = StepNumber("eps", share, "share")
    return [
        Step(
            "cooler.rated_transfer_units", CHARGE, "NTU at rated flow", at_rated,
            "dimensionless", "NTU_ref",
            f"eps_ref = {_CROSSFLOW.replace('NTU', 'NTU_ref')}", (known, capacity),
            "Number of transfer units of a cross-flow exchanger, both streams unmixed: "
            "Incropera & DeWitt, table 11.3",
        ),
        Step(
            "cooler.transfer_units", CHARGE, "NTU at this flow", here,
            "dimensionless", "NTU",
            f"NTU = NTU_ref (W/W_ref)^{FLOW_EXPONENT}",
            (StepNumber("NTU_ref", at_rated, "dimensionless"), flow, rated),
            "Number of transfer units; UA grows with W^0.6: turbulent convection in tubes, "
            "from memory",
        ),
        Step(
            "cooler.effectiveness", CHARGE, "Effectiveness", share, "share",
            "eps", f"eps = {_CROSSFLOW}",
            (StepNumber("NTU", here, "dimensionless"), capacity),
            "Cross-flow, both streams unmixed: Incropera & DeWitt, table 11.3",
        ),
        Step(
            "cooler.coolant_temperature", CHARGE, "Coolant temperature", coolant,
            "temperature", "T_cool", "T_cool = T_0 + dT_cool",
            (
                StepNumber("T_0", point.ambient_temperature, "temperature"),
                point.given("dT_cool", "cooler.coolant_rise", value=over),
            ),
            "Coolant at the charge core's inlet: an input of the build",
        ),
        Step(
            "charge.temperature", CHARGE, "Charge temperature", t3, "temperature", "T_3",
            "T_3 = T_2 - eps (T_2 - T_cool)",
            (t2, effectiveness, StepNumber("T_cool", coolant, "temperature")),
            "Definition of effectiveness; the charge is the smaller heat capacity flow",
        ),
    ]  # fmt: skip


def _pressure(point: Point) -> list[Step]:
    p2 = point.of_line("p_2", "discharge_pressure_pa", "pressure")
    t2 = point.of_line("T_2", "discharge_temperature_k", "temperature")
    flow = point.of_line("W", "air_flow_kg_s", "mass_flow")
    density = p2.value / (point.gas_constant * t2.value)
    loss_input = point.given("dp_cool", "cooler.pressure_loss")
    rated = point.rated_flow
    reference = COOLER_REFERENCE_DENSITY
    loss = float(pressure_loss(flow.value, density, loss_input.value, rated.value, reference))
    return [
        Step(
            "cooler.loss", CHARGE, "Cooler loss", loss, "pressure", "dp_23",
            "dp_23 = dp_cool (W/W_ref)^2 rho_cool/rho_2, rho_2 = p_2/(R T_2)",
            (
                loss_input,
                flow,
                rated,
                StepNumber("rho_cool", reference, "density"),
                p2,
                StepNumber("R", point.gas_constant, "specific_heat"),
                t2,
            ),
            "Turbulent loss from one known point",
        ),
        Step(
            "charge.pressure", CHARGE, "Manifold pressure", p2.value - loss, "pressure", "p_3",
            "p_3 = p_2 - dp_23", (p2, StepNumber("dp_23", loss, "pressure")),
            "Balance of total pressure",
        ),
    ]  # fmt: skip


def _bypass(point: Point) -> list[Step]:
    """The bypass, where the build has a cap on boost."""
    cap = point.build.bypass.boost_cap
    if cap is None or not point.has_blower:
        return []
    flow = point.at("bypass_flow_kg_s")
    if point.bypass_open or np.isnan(flow):
        equation = "W_b = W - W_e"
        numbers = (
            point.of_line("W", "air_flow_kg_s", "mass_flow"),
            StepNumber("W_e", point.engine_flow, "mass_flow"),
        )
        note = "Open: boost is held at the cap."
    else:
        equation = "W_b = 0 while b <= b_cap"
        numbers = (
            point.of_line("b", "boost_gauge_pa", "boost"),
            point.given("b_cap", "bypass.boost_cap", "boost"),
        )
        note = "Shut: boost is under the cap."
    where = {"recirculated": "back to the compressor inlet", "atmosphere": "to atmosphere"}
    return [
        Step(
            "bypass.flow", CHARGE, "Bypass flow", flow, "mass_flow", "W_b", equation, numbers,
            f"Mass balance; the valve vents {where[point.build.bypass.vent]}", note,
        )
    ]  # fmt: skip
