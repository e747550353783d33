"""Every published or library case of references/ against the model's function for its topic.

A topic without a function, or an expected quantity the function does not give, is an error.
units.json is read by test_units.py.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from pathlib import Path

import numpy as np
import pytest

from engine_model.air import atmosphere, corrected, flow
from engine_model.air.gas import compress, inlet_gas, moist_air
from engine_model.air.heat_capacity import dry_air_specific_heat_exact
from engine_model.constants import VAPOUR_GAS_RATIO
from engine_model.cooling import charge_cooler
from engine_model.drive import ratio
from engine_model.dyno import driveline
from engine_model.engine import breathing, cylinder, power
from engine_model.fuel import demand, fuels, pump
from tests import belt_cases, dyno_cases, strip_cases, surge_cases

FOLDER = Path(__file__).parent / "references"
FILES = sorted(path for path in FOLDER.glob("*.json") if path.name != "units.json")
CASES = [
    pytest.param(case, id=f"{path.stem}-{case['id']}")
    for path in FILES
    for case in json.loads(path.read_text("utf-8"))["cases"]
]

# unit of the files -> factor to SI and offset [SI = factor value + offset]
TO_SI: dict[str, tuple[float, float]] = {
    **dict.fromkeys(("-", "m", "m2", "m3", "K", "Pa", "m/s", "rpm", "W", "g/mol"), (1.0, 0.0)),
    **dict.fromkeys(("kg/s", "kg/m3", "J/kg", "J/(kg K)", "W/K"), (1.0, 0.0)),
    "degC": (1.0, 273.15),
    "kPa": (1e3, 0.0),
    "bar": (1e5, 0.0),
    "MJ/kg": (1e6, 0.0),
    "kJ/kg": (1e3, 0.0),
    "hp": (745.6998715822702, 0.0),  # 550 ft lbf/s, definition
    "lb/min": (0.45359237 / 60.0, 0.0),  # definition of the pound
    **dict.fromkeys(("N", "rad", "kg/m", "Hz"), (1.0, 0.0)),
    "deg": (float(np.pi) / 180.0, 0.0),
    "in": (0.0254, 0.0),  # definition
    "ft/min": (0.3048 / 60.0, 0.0),
    "lb/ft": (0.45359237 / 0.3048, 0.0),
    "lb/h": (0.45359237 / 3600.0, 0.0),
    "lb/(hp h)": (0.45359237 / 3600.0 / 745.6998715822702, 0.0),
    "cc/min": (1e-6 / 60.0, 0.0),
    "L/h": (1e-3 / 3600.0, 0.0),
    "g/cm3": (1e3, 0.0),
    "ms": (1e-3, 0.0),
    "atm": (101325.0, 0.0),  # definition
    "lb": (0.45359237, 0.0),  # definition
    "s": (1.0, 0.0),
    "mbar": (1e2, 0.0),
    "degF": (1.0 / 1.8, 459.67 / 1.8),
    "inHg": (3386.389, 0.0),  # conventional, NIST SP 811
    "mg/(L cycle)": (1.0, 0.0),
    "mph": (0.44704, 0.0),  # 1609.344 m in an hour, definition
    "lbf": (4.4482216152605, 0.0),  # 0.45359237 kg x 9.80665 m/s2, definitions
}

Values = Mapping[str, float]
IDEAL_GAMMA = 1.4


def si(quantity: Mapping[str, float | str]) -> float:
    factor, offset = TO_SI[str(quantity["unit"])]
    return factor * float(quantity["value"]) + offset


def standard_atmosphere(x: Values) -> Values:
    if "Z_geometric" in x:
        height = atmosphere.geopotential_height(x["Z_geometric"])
    else:
        height = np.asarray(x["H_geopotential"])
    t, p = atmosphere.standard_temperature(height), atmosphere.station_pressure(height)
    rho = p / (moist_air(0.0).gas_constant * t)
    one = {"T": t, "p": p, "rho": rho}
    return one | {f"{k}_{name}": v for k, v in one.items() for name in ("ambiance", "fluids")}


def saturation(x: Values) -> Values:
    p = atmosphere.saturation_pressure(x.get("T", x.get("t")))
    return {"p_sat": p, "buck1996": p, "iapws_sr1_86": p}


def humid_air(x: Values) -> Values:
    w = atmosphere.humidity_ratio(x["p"], x["t"], x["RH"])
    p_v = x["RH"] * atmosphere.saturation_pressure(x["t"])
    rho = x["p"] / (moist_air(w).gas_constant * x["t"])
    one = {"W": w, "p_v": p_v, "rho": rho}
    moles = VAPOUR_GAS_RATIO * w
    libraries = ("CoolProp", "psychrolib", "metpy")
    every = {f"{k}_{name}": v for k, v in one.items() for name in libraries}
    return one | every | {"xH2O_CoolProp": moles / (1.0 + moles)}


def air_properties(x: Values) -> Values:
    air, t = moist_air(0.0), np.asarray(x["T"])
    gamma, r = air.ratio_of_specific_heats(t), air.gas_constant
    return {
        "cp": air.specific_heat(t),
        "gamma": gamma,
        "R": r,
        "rho": x["p"] / (r * t),
        "a": np.sqrt(gamma * r * t),
    }


def hot_air(x: Values) -> Values:
    return {"cp": dry_air_specific_heat_exact(x["T"])}


def compression(x: Values) -> Values:
    w = atmosphere.humidity_ratio(x["p1"], x["T1"], x.get("RH", 0.0))
    inlet = inlet_gas(moist_air(np.atleast_1d(w)), np.array([x["T1"]]))
    t2, rise, t2s = compress(inlet, np.log([x["PR"]]), np.array([x["eta_is"]]))
    return {"T2": t2[0], "T2s": t2s[0], "work": rise[0], "humidity_ratio": w}


def corrected_quantities(x: Values) -> Values:
    # the rows take one ratio of specific heats for both states
    gas = (x["T01"], moist_air(0.0).gas_constant, corrected.reference_gamma(x["Tref"]))
    flow_factor = corrected.flow_correction(*gas, x["Tref"], x["pref"])
    speed_factor = corrected.speed_correction(*gas, x["Tref"])
    return {"Wc": x["W"] / x["p01"] * flow_factor, "Nc": x["N"] * speed_factor}


def reference_change(x: Values) -> Values:
    a, b = (x["Tref_A"], x["pref_A"]), (x["Tref_B"], x["pref_B"])
    return {
        "WcB_over_WcA": corrected.flow_at_reference(1.0, *a, *b),
        "NcB_over_NcA": corrected.speed_at_reference(1.0, a[0], b[0]),
    }


def duct_loss(x: Values) -> Values:
    reference = (x["dp_ref"], x["W_ref"], x["rho_ref"])
    return {"dp": flow.pressure_loss(x["W"], x["rho"], *reference)}


def orifice(x: Values) -> Values:
    if "D" in x:
        area, p_t = np.pi / 4.0 * x["D"] ** 2 * x["Cd"], x["p0"] * x["p_ratio"]
    else:
        area, p_t = x["A"] * x["Cd"], x["pT"]
    m = flow.orifice_flow(area, x["p0"], x["T0"], p_t, gamma=IDEAL_GAMMA)
    ratio_at_choke = flow.critical_pressure_ratio(IDEAL_GAMMA)
    return {
        "m_dot": m,
        "m_dot_ideal14": m,
        "m_dot_real": m,
        "critical_ratio_fluids": ratio_at_choke,
        "critical_ratio_real": ratio_at_choke,
    }


def choked_nozzle(x: Values) -> Values:
    return {
        "choked_flow_function": flow.orifice_flow(1.0, 1.0, 1.0, 0.1, 1.0, x["gamma"]),
        "critical_pressure_ratio": flow.critical_pressure_ratio(x["gamma"]),
    }


def effectiveness(x: Values) -> Values:
    arguments = (x["NTU"], x["Cr"])
    crossflow = charge_cooler.crossflow_effectiveness(*arguments)
    got = {"crossflow_unmixed_formula": crossflow, "crossflow_unmixed_exact_series": crossflow}
    if x["Cr"] < 1.0:  # the range of the counter-flow function
        got["counterflow"] = charge_cooler.counterflow_effectiveness(*arguments)
    return got


def crossflow_size(x: Values) -> Values:
    water = x["m_w"] * x["cp_w"]
    gas = water * (x["T_w_out"] - x["T_w_in"]) / (x["T_g_in"] - x["T_g_out"])
    assert gas < water  # the gas is the smaller capacity flow
    return {"C_min": gas, "NTU": charge_cooler.transfer_units(x["eps"], gas / water)}


def cooler(x: Values) -> Values:
    charge, cool = x["m_charge"] * x["cp_charge"], x["m_cool"] * x["cp_cool"]
    # the smaller capacity flow, here not always the charge
    least, most = min(charge, cool), max(charge, cool)
    eps = charge_cooler.crossflow_effectiveness(x["UA"] / least, least / most)
    out = charge_cooler.outlet_temperature(x["T_charge_in"], x["T_cool_in"], eps * least / charge)
    return {"effectiveness": eps, "T_charge_out": out}


def cooler_outlet(x: Values) -> Values:
    arguments = (x["T_charge_in"], x["T_cool_in"], x["effectiveness"])
    return {"T_charge_out": charge_cooler.outlet_temperature(*arguments)}


def liquid_coupled(x: Values) -> Values:
    front = min(x["C_ambient"], x["C_liquid"])
    heat = charge_cooler.liquid_coupled_heat(
        x["eps_charge"], x["C_charge"], x["eps_front"], front, x["C_liquid"]
    )
    return {"Q_over_dTin": heat, "eps_overall_on_charge": heat / x["C_charge"]}


def bracket(x: Values) -> Values:
    return {"bracket": breathing.pressure_bracket(x["r_c"], x["pe_over_pi"], x["gamma"])}


def engine_flow(x: Values) -> Values:
    w = breathing.engine_flow(x["eta_v_man"], x["p_man"], x["T_man"], x["Vd"], x["N"])
    return {"W_air": w, "W_lb_min": w}


def blend(x: Values) -> Values:
    petrol, ethanol = fuels.PETROL, fuels.ETHANOL
    given = (petrol.density, ethanol.density, petrol.stoichiometric_ratio)
    assert given == (x["rho_gas"], x["rho_eth"], x["AFR_gas"])
    assert ethanol.stoichiometric_ratio == x["AFR_eth"]
    assert (petrol.heating_value, ethanol.heating_value) == (x["LHV_gas"], x["LHV_eth"])
    fuel = fuels.blend("mixed", petrol, ethanol, x["vol_frac_ethanol"], 95.0)
    # the mass share shows in any property that is blended by mass
    share = (fuel.heating_value - petrol.heating_value) / (
        ethanol.heating_value - petrol.heating_value
    )
    return {
        "mass_frac": share,
        "rho": fuel.density,
        "AFR_st": fuel.stoichiometric_ratio,
        "LHV": fuel.heating_value,
        "h_vap": fuel.heat_of_vaporisation,
    }


def stoichiometric(x: Values) -> Values:
    fuel = {(2, 6, 1): "ethanol", (1, 4, 1): "methanol"}[(x["C"], x["H"], x["O"])]
    return {"AFR_st": fuels.fuel_named(fuel).stoichiometric_ratio}


def liquid(x: Values) -> Values:
    if "EN_228" in x:
        return {"rho": fuels.PETROL.density}
    fuel = {(2, 6, 1): fuels.ETHANOL, (1, 4, 1): fuels.METHANOL}[(x["C"], x["H"], x["O"])]
    return {"rho": fuel.density, "M": fuel.molar_mass}


def of_share(x: Values) -> Values:
    fuel, parts = fuels.petrol_with_ethanol(x["share"]), (fuels.PETROL, fuels.ETHANOL)
    low, high = (one.heat_of_vaporisation for one in parts)
    return {
        "mass_frac": (fuel.heat_of_vaporisation - low) / (high - low),
        "mole_frac": fuels.molar_share(*parts, x["share"]),
        "rho": fuel.density,
        "AFR_st": fuel.stoichiometric_ratio,
        "LHV": fuel.heating_value,
        "h_vap": fuel.heat_of_vaporisation,
        "M": fuel.molar_mass,
    }


def injector_size(x: Values) -> Values:
    burnt = x["P"] * x["BSFC"]
    rating = demand.RATING_PRESSURE, demand.RATING_DENSITY
    volume = demand.injector_flow_needed(burnt, x["n"], x["duty"], *rating)
    return {
        "static_flow": volume * demand.RATING_DENSITY,
        "pump_L_h_at_0.745": pump.pump_flow(burnt, 745.0, 0.0),
    }


def pitch(x: Values) -> Values:
    pulleys = (x["d_e_crank"], x["d_e_driven"])
    return {
        "ratio_pitch": ratio.pitch_ratio(*pulleys, x["b_e"]),
        "ratio_effective": ratio.pitch_ratio(*pulleys, 0.0),
    }


FUNCTIONS: dict[str, Callable[[Values], Values]] = {
    "standard atmosphere": standard_atmosphere,
    "saturation pressure": saturation,
    "humid air": humid_air,
    "air properties": air_properties,
    "air above the fitted range": hot_air,
    "compression": compression,
    "corrected flow and speed": corrected_quantities,
    "change of reference": reference_change,
    "duct loss": duct_loss,
    "orifice flow": orifice,
    "choked nozzle": choked_nozzle,
    "effectiveness": effectiveness,
    "cross-flow transfer units": crossflow_size,
    "charge cooler": cooler,
    "charge cooler outlet": cooler_outlet,
    "liquid-coupled heat": liquid_coupled,
    "pressure bracket": bracket,
    "engine flow": engine_flow,
    "friction, Barnes-Moss": lambda x: {"tfmep": power.friction_pressure(x["N"])},
    "friction, Chen-Flynn": lambda x: {
        "fmep": power.friction_pressure_chen_flynn(x["p_max"], x["Sp"])
    },
    "ideal cycle": lambda x: {"eta": power.cycle_efficiency(x["r"], x["gamma"])},
    "fuel blend": blend,
    "stoichiometric ratio of a fuel": stoichiometric,
    "density and molar mass of a fuel": liquid,
    "fuel of an ethanol share": of_share,
    "volume flow of a mass flow": lambda x: {
        "volume_flow": pump.pump_flow(x["flow"], x["rho"], 0.0)
    },
    "injector at a pressure": lambda x: {
        "Q2": demand.flow_at_pressure(x["Q1"], x["dp1"], x["dp2"])
    },
    "injector and pump size": injector_size,
    "injector duty": lambda x: {"duty": demand.duty_of_opening(x["pw_ms"], x["N"])},
    "induction time": lambda x: {"tau": cylinder.induction_time(x["ON"], x["p"], x["T"])},
    "equal delay": lambda x: {"dT": cylinder.equal_delay_temperature(x["dp_over_p"], x["T"])},
    "driveline": lambda x: {"P_crank": driveline.flywheel_power(x["P_hub"], x["loss"])},
    "pitch ratio": pitch,
    "tip speed": lambda x: {"U2": ratio.tip_speed(x["N"], x["D2"])},
    "quarter mile": strip_cases.quarter_mile,
    **belt_cases.FUNCTIONS,
    **dyno_cases.FUNCTIONS,
    **surge_cases.FUNCTIONS,
}


@pytest.mark.parametrize("case", CASES)
def test_reference(case):
    got = FUNCTIONS[case["topic"]]({name: si(q) for name, q in case["inputs"].items()})
    assert case["expect"]
    assert case["source"]
    for name, expected in case["expect"].items():
        assert ("rel_tol" in expected) != ("abs_tol" in expected), name
        tolerance = {"rel": 0.0, "abs": 0.0}
        if "rel_tol" in expected:
            tolerance["rel"] = expected["rel_tol"]
        else:
            tolerance["abs"] = expected["abs_tol"] * TO_SI[expected["unit"]][0]
        assert float(got[name]) == pytest.approx(si(expected), **tolerance), name


def test_every_function_has_a_case():
    asked = {case.values[0]["topic"] for case in CASES}
    assert asked == set(FUNCTIONS)
