"""Steps of the drive and of the compressor: from the crank pulley to station 2."""

from __future__ import annotations

import numpy as np

from engine_model.air.corrected import flow_correction, reference_gamma, speed_correction
from engine_model.air.gas import compress
from engine_model.compressor.surface import Surface
from engine_model.constants import GAS_CONSTANT_DRY_AIR
from engine_model.results import Step, StepNumber
from engine_model.steps.belt_steps import DRIVE, belt_steps
from engine_model.steps.point import Point

COMPRESSOR = "1→2 compressor"

_ON_LINES = "shape-preserving between the speed lines traced, similarity beyond them"


def drive_steps(point: Point) -> list[Step]:
    """Steps from engine speed to impeller speed; none without a blower."""
    if point.surface is None:
        return []
    if point.is_free_shaft:
        return [_boost_asked(point), _free_speed(point, point.surface)]
    return belt_steps(point)


def _boost_asked(point: Point) -> Step:
    """Boost of a free shaft by its schedule."""
    build = point.build
    table = build.drive.boost_schedule
    limiter = point.given("N_lim", "engine.limiter")
    x = point.engine_speed.value / limiter.value
    shares = [row[0] for row in table]
    row = min(max(int(np.searchsorted(shares, x)), 1), len(table) - 1) if len(table) > 1 else 0
    low, high = table[max(row - 1, 0)], table[row]
    asked = float(np.interp(x, shares, [pair[1] for pair in table]))
    assumed = "drive.boost_schedule" not in build.given
    numbers = [
        point.engine_speed,
        limiter,
        StepNumber("x_a", low[0], "share", assumed),
        StepNumber("b_a", low[1], "boost", assumed),
        StepNumber("x_b", high[0], "share", assumed),
        StepNumber("b_b", high[1], "boost", assumed),
    ]
    equation = "b = b_a + (b_b - b_a) (N/N_lim - x_a)/(x_b - x_a), held at the ends"
    if build.drive.boost_schedule_basis == "absolute":
        asked = max(asked - point.ambient_pressure, 0.0)
        numbers.append(StepNumber("p_0", point.ambient_pressure, "pressure"))
        equation += ", less p_0"
    return Step(
        "drive.boost_asked", DRIVE, "Boost asked", asked, "boost", "b", equation,
        tuple(numbers),
        "The boost schedule, straight between its rows; no turbine is modelled",
        "Whether a turbine could give this is not judged.",
    )  # fmt: skip


def _gas_numbers(point: Point, surface: Surface, gamma: float) -> tuple[StepNumber, ...]:
    """Both gases and temperatures of the similarity, to put into an equation."""
    reference = surface.compressor_map.reference_temperature
    return (
        StepNumber("g", gamma, "dimensionless"),
        StepNumber("R", point.gas_constant, "specific_heat"),
        StepNumber("T_1", point.inlet_temperature, "temperature"),
        StepNumber("g_ref", float(reference_gamma(reference)), "dimensionless"),
        StepNumber("R_dry", GAS_CONSTANT_DRY_AIR, "specific_heat"),
        StepNumber("T_ref", reference, "temperature"),
    )


def _gamma(point: Point) -> float:
    temperature = np.array(point.inlet_temperature)
    return float(point.gas.ratio_of_specific_heats(temperature))


def _free_speed(point: Point, surface: Surface) -> Step:
    """Impeller speed of a free shaft from its corrected speed."""
    return Step(
        "drive.impeller_speed", DRIVE, "Impeller speed",
        point.at("impeller_speed_rpm"), "speed", "N_imp",
        "N_imp = N_c sqrt(g R T_1/(g_ref R_dry T_ref))",
        (
            point.of_line("N_c", "corrected_speed_rpm", "speed"),
            *_gas_numbers(point, surface, _gamma(point)),
        ),
        f"Similarity; N_c is the line of {surface.compressor_map.title} that gives the boost",
    )  # fmt: skip


def _corrected_speed(point: Point, surface: Surface, gamma: float) -> Step:
    flow = point.of_line("W_c", "corrected_flow_kg_s", "mass_flow")
    if point.is_free_shaft:
        return Step(
            "compressor.corrected_speed", COMPRESSOR, "Corrected speed",
            point.at("corrected_speed_rpm"), "speed", "N_c",
            "N_c = speed line through (W_c, PR)",
            (flow, point.of_line("PR", "pressure_ratio", "dimensionless")),
            "The compressor map: the line on which engine flow and boost asked are met together",
        )  # fmt: skip
    factor = float(
        speed_correction(
            point.inlet_temperature,
            point.gas_constant,
            gamma,
            surface.compressor_map.reference_temperature,
        )
    )
    return Step(
        "compressor.corrected_speed", COMPRESSOR, "Corrected speed",
        point.at("impeller_speed_rpm") * factor, "speed", "N_c",
        "N_c = N_imp sqrt(g_ref R_dry T_ref/(g R T_1))",
        (
            point.of_line("N_imp", "impeller_speed_rpm", "speed"),
            *_gas_numbers(point, surface, gamma),
        ),
        "Similarity of compressible flow: N/sqrt(g R T) as at the map's reference state",
    )  # fmt: skip


def _corrected_flow(point: Point, surface: Surface, gamma: float) -> Step:
    cmap = surface.compressor_map
    p1, flow = point.at("inlet_pressure_pa"), point.at("air_flow_kg_s")
    factor = float(
        flow_correction(
            point.inlet_temperature,
            point.gas_constant,
            gamma,
            cmap.reference_temperature,
            cmap.reference_pressure,
        )
    )
    return Step(
        "compressor.corrected_flow", COMPRESSOR, "Corrected flow", flow * factor / p1,
        "mass_flow", "W_c",
        "W_c = W sqrt((R T_1/g)/(R_dry T_ref/g_ref)) p_ref/p_1",
        (
            StepNumber("W", flow, "mass_flow"),
            *_gas_numbers(point, surface, gamma),
            StepNumber("p_ref", cmap.reference_pressure, "pressure"),
            StepNumber("p_1", p1, "pressure"),
        ),
        "Similarity of compressible flow: W sqrt(R T/g)/p as at the map's reference state",
    )  # fmt: skip


def _efficiency(point: Point, surface: Surface, numbers: tuple[StepNumber, ...]) -> Step:
    cmap = surface.compressor_map
    equation, note = "eta = map(N_c, s)", ""
    if cmap.lines_have_efficiency:
        source = f"Efficiency traced on the speed lines: work interpolated, {_ON_LINES}"
    elif cmap.islands:
        source = "Efficiency islands of the map: a smooth surface through their outlines"
    else:
        equation = "eta = eta_typed, past choke (s > 1) times (2 - s)"
        numbers = (numbers[1], point.given("eta_typed", "blower.typed_efficiency", "share"))
        source = "Typed: the compressor map carries no efficiency"
        note = "Assumed: the compressor map carries no efficiency."
    return Step(
        "compressor.efficiency", COMPRESSOR, "Isentropic efficiency", point.at("efficiency"),
        "share", "eta", equation, numbers, source, note,
    )  # fmt: skip


def _on_map(point: Point, surface: Surface) -> list[Step]:
    """Where on its speed line the compressor runs, and what the map says there."""
    speed = point.of_line("N_c", "corrected_speed_rpm", "speed")
    flow = point.of_line("W_c", "corrected_flow_kg_s", "mass_flow")
    ratio = point.of_line("PR", "pressure_ratio", "dimensionless")
    ends = (
        StepNumber("W_s", point.of_speed_line(surface.surge_flow), "mass_flow"),
        StepNumber("W_ch", point.of_speed_line(surface.choke_flow), "mass_flow"),
    )
    place = StepNumber("s", point.place, "dimensionless")
    share = (flow.value - ends[0].value) / (ends[1].value - ends[0].value)
    return [
        Step(
            "compressor.place", COMPRESSOR, "Place on the speed line", point.place,
            "dimensionless", "s",
            "s of (W_c, PR) on the line of N_c, where W = W_e + W_b; surge is 0, choke 1",
            (speed, flow, ratio),
            "Mass balance: what the compressor passes is what engine and bypass take",
            f"Region: {point.line.region}.",
        ),
        Step(
            "compressor.flow_share", COMPRESSOR, "Share surge to choke", share,
            "share", "x",
            "x = (W_c - W_s)/(W_ch - W_s)", (flow, *ends),
            "Where the corrected flow lies between the two ends of the speed line",
        ),
        Step(
            "compressor.pressure_ratio", COMPRESSOR, "Pressure ratio", ratio.value,
            "dimensionless", "PR", "PR = map(N_c, s)", (speed, place),
            f"Compressor map {surface.compressor_map.title}: {_ON_LINES}",
        ),
        _efficiency(point, surface, (speed, place)),
    ]  # fmt: skip


def _work(point: Point) -> list[Step]:
    """Enthalpy rise and the state at station 2."""
    inlet = point.inlet
    log_ratio = np.array([np.log(point.at("pressure_ratio"))])
    efficiency = np.array([point.at("efficiency")])
    _, ideal, _ = compress(inlet, log_ratio, np.ones(1))
    _, rise, _ = compress(inlet, log_ratio, efficiency)
    t1 = StepNumber("T_1", point.inlet_temperature, "temperature")
    ratio = point.of_line("PR", "pressure_ratio", "dimensionless")
    humidity = StepNumber("w", point.humidity, "dimensionless")
    cp = "cp(T) of dry air from Lemmon et al. 2000, of vapour from IAPWS-95"
    return [
        Step(
            "compressor.isentropic_rise", COMPRESSOR, "Isentropic rise",
            float(ideal[0]), "energy_per_mass", "dh_s",
            "dh_s = h(T_2s, w) - h(T_1, w), entropy(T_2s, w) - entropy(T_1, w) = R ln PR",
            (t1, ratio, humidity, StepNumber("R", point.gas_constant, "specific_heat")),
            f"Isentropic compression of humid air; {cp}",
        ),
        Step(
            "compressor.rise", COMPRESSOR, "Enthalpy rise", float(rise[0]),
            "energy_per_mass", "dh", "dh = dh_s/eta",
            (
                StepNumber("dh_s", float(ideal[0]), "energy_per_mass"),
                point.of_line("eta", "efficiency", "share"),
            ),
            "Definition of isentropic efficiency, total to total: ISO 5389, ASME PTC 10",
        ),
        Step(
            "compressor.outlet_temperature", COMPRESSOR, "Outlet temperature",
            point.at("discharge_temperature_k"), "temperature", "T_2",
            "h(T_2, w) = h(T_1, w) + dh",
            (t1, StepNumber("dh", float(rise[0]), "energy_per_mass"), humidity),
            f"Energy balance, no heat lost; {cp}",
        ),
        Step(
            "compressor.outlet_pressure", COMPRESSOR, "Outlet pressure",
            point.at("discharge_pressure_pa"), "pressure", "p_2", "p_2 = PR p_1",
            (ratio, point.of_line("p_1", "inlet_pressure_pa", "pressure")),
            "Definition of the compressor's pressure ratio: p2 over p1, totals",
        ),
    ]  # fmt: skip


def compressor_steps(point: Point) -> list[Step]:
    """Steps from station 1 to station 2; none without a blower."""
    surface = point.surface
    if surface is None:
        return []
    gamma = _gamma(point)
    t1 = StepNumber("T_1", point.inlet_temperature, "temperature")
    cp = point.specific_heat(t1.value)
    ratio = Step(
        "compressor.gamma", COMPRESSOR, "Ratio of specific heats", gamma, "dimensionless", "g",
        "g = cp/(cp - R)",
        (
            StepNumber("cp", cp, "specific_heat"),
            StepNumber("R", point.gas_constant, "specific_heat"),
        ),
        "Ideal gas; cp(T_1) of humid air",
    )  # fmt: skip
    return [
        ratio,
        _corrected_speed(point, surface, gamma),
        _corrected_flow(point, surface, gamma),
        *_on_map(point, surface),
        *_work(point),
    ]
