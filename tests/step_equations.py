"""The equations of the steps, written once more from the numbers put in; SI, plain floats.

The oracle of ``test_steps.py``. It shares with the model the polynomial of cp(T) and the fitted
surface of the compressor map, nothing else; each function reads only the numbers of its step.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from belt_equations import BELT_EQUATIONS
from fuel_equations import FUEL_EQUATIONS
from scipy.optimize import brentq

from engine_model.air.gas import moist_air

Numbers = dict[str, float]


def _enthalpy(t: float, w: float) -> float:
    return float(moist_air(w).enthalpy(np.array(t)))


def _entropy(t: float, w: float) -> float:
    return float(moist_air(w).entropy(np.array(t), np.array(math.log(t))))


def _vapour_pressure(n: Numbers) -> float:
    t = n["T_0"] - 273.15
    return n["RH"] * 611.21 * math.exp((18.678 - t / 234.5) * t / (257.14 + t))


def _station_pressure(n: Numbers) -> float:
    if "p_typed" in n:
        return n["p_typed"]
    return 101325.0 * (1.0 - 0.0065 * n["H"] / 288.15) ** 5.25588


def _inlet_temperature(n: Numbers) -> float:
    fresh = n["T_0"] + n["dT_in"]
    if "W_b" not in n:
        return fresh
    return (n["W_e"] * fresh + n["W_b"] * n["T_3"]) / (n["W_e"] + n["W_b"])


def _between(n: Numbers, x: float, left: str, right: str, a: str, b: str) -> float:
    """Straight between two rows, held at the ends."""
    if n[left] == n[right]:
        return n[a]
    share = min(max((x - n[left]) / (n[right] - n[left]), 0.0), 1.0)
    return n[a] + (n[b] - n[a]) * share


def _boost_asked(n: Numbers) -> float:
    asked = _between(n, n["N"] / n["N_lim"], "x_a", "x_b", "b_a", "b_b")
    return max(asked - n["p_0"], 0.0) if "p_0" in n else asked


def _sound(n: Numbers) -> float:
    """Speed of sound at the inlet over that at the reference."""
    return math.sqrt(n["g"] * n["R"] * n["T_1"] / (n["g_ref"] * n["R_dry"] * n["T_ref"]))


def _impeller(n: Numbers) -> float:
    if "N_c" in n:
        return n["N_c"] * _sound(n)
    return n["N_h"] * (1.0 - n["s"])


def _pulley_ratio(n: Numbers) -> float:
    return (n["d_c"] + 2.0 * n["b_e"]) / (n["d_b"] + 2.0 * n["b_e"])


def _corrected_flow(n: Numbers) -> float:
    actual, reference = n["R"] * n["T_1"] / n["g"], n["R_dry"] * n["T_ref"] / n["g_ref"]
    return n["W"] * math.sqrt(actual / reference) * n["p_ref"] / n["p_1"]


def _isentropic_rise(n: Numbers) -> float:
    goal = _entropy(n["T_1"], n["w"]) + n["R"] * math.log(n["PR"])
    t2s = brentq(lambda t: _entropy(t, n["w"]) - goal, 150.0, 900.0, xtol=1e-11)
    return _enthalpy(t2s, n["w"]) - _enthalpy(n["T_1"], n["w"])


def _outlet_temperature(n: Numbers) -> float:
    goal = _enthalpy(n["T_1"], n["w"]) + n["dh"]
    return brentq(lambda t: _enthalpy(t, n["w"]) - goal, 150.0, 900.0, xtol=1e-11)


def _crossflow(ntu: float, c: float) -> float:
    return 1.0 - math.exp(ntu**0.22 / c * (math.exp(-c * ntu**0.78) - 1.0))


def _rated_units(n: Numbers) -> float:
    return brentq(lambda ntu: _crossflow(ntu, n["C_r"]) - n["eps_ref"], 1e-4, 1e4, xtol=1e-13)


def _cooler_loss(n: Numbers) -> float:
    density = n["p_2"] / (n["R"] * n["T_2"])
    return n["dp_cool"] * (n["W"] / n["W_ref"]) ** 2 * n["rho_cool"] / density


def _bypass(n: Numbers) -> float:
    if "b_cap" in n:
        assert n["b"] <= n["b_cap"]
        return 0.0
    return n["W"] - n["W_e"]


def _rated_flow(n: Numbers) -> float:
    if "W_typed" in n:
        return n["W_typed"]
    if "eta_v" in n:
        density = n["p_day"] / (n["R_dry"] * n["T_day"])
        loss = n["dp_in"] / n["k"] ** 2 * n["rho_in"] / density
        manifold = (n["p_day"] - loss) / (n["R_dry"] * n["T_day"])
        return n["k"] * n["eta_v"] * n["V_d"] * n["N_P"] / 120.0 * manifold
    heat = n["LHV"] * n["eta_i"]
    return n["k"] * (n["P"] + n["P_f"]) * n["AFR"] * n["lambda"] / heat


def _stock_torque(n: Numbers) -> float:
    if "P" not in n:
        return n["T_max"]
    at_power = n["P"] / (math.pi * n["N_P"] / 30.0)
    if "T_max" not in n:
        return max(at_power * (1.0 - (n["N"] - n["N_P"]) / n["N_P"]), 0.0)
    span, d = n["N_P"] - n["N_T"], n["T_max"] - at_power
    x = (n["N"] - n["N_T"]) / span
    if x < 0.0:
        return max(n["T_max"] - d * x * x, 0.75 * n["T_max"])
    return n["T_max"] - d * x ** max(1.0, at_power / n["N_P"] * span / d)


def _indicated_efficiency(n: Numbers) -> float:
    mix, rich = n.get("lambda", 1.0), 1.0
    if mix < 1.0:
        rich = mix * (1.0 + 0.03 * (1.0 - ((mix - 0.9) / 0.1) ** 2))
    return (1.0 - n["r"] ** -0.3) * n["c"] * rich


def _stock_flow(n: Numbers) -> float:
    if "eta_v,ref" in n:
        return n["eta_v,ref"] * n["p_3s"] * n["V_d"] * n["N"] / 120.0 / (n["R_dry"] * n["T_day"])
    power = n["T_stock"] * math.pi * n["N"] / 30.0 + n["P_f"]
    return power * n["AFR"] * n["lambda"] / (n["LHV"] * n["eta_i"])


def _stock_pressure(n: Numbers) -> float:
    density = n["p_day"] / (n["R_dry"] * n["T_day"])
    return n["p_day"] - n["dp_in"] * (n["W_stock"] / n["W_ref"]) ** 2 * n["rho_in"] / density


def _stock_exhaust(n: Numbers) -> float:
    total = n["W_stock"] * (1.0 + 1.0 / (n["AFR"] * n["lambda"]))
    return n["p_day"] + n["dp_ex"] * (total / n["W_ref"]) ** 2


def _stock_efficiency(n: Numbers) -> float:
    if "N_a" in n:
        return _between(n, n["N"], "N_a", "N_b", "eta_a", "eta_b")
    swept = n["V_d"] * n["N"] / 120.0
    return n["W_stock"] * n["R_dry"] * n["T_day"] / (n["p_3s"] * swept)


def _exhaust(n: Numbers) -> float:
    p4 = n["p_0"] + n["dp_ex"] * ((n["W_e"] + n["W_fuel"]) / n["W_ref"]) ** 2
    return p4 + n["k"] * (n["p_2"] - n["p_1"]) if "k" in n else p4


def _bracket(n: Numbers) -> float:
    def b(x: float) -> float:
        r, g = n["r"], n["g"]
        return r / (r - 1.0) - (x + g - 1.0) / (g * (r - 1.0))

    return b(n["p_4"] / n["p_3"]) / b(n["p_4s"] / n["p_3s"])


def _vapour(n: Numbers) -> float:
    per_air = n["f"] / (n["AFR"] * n["lambda"])
    cooled = n["T_3"] - per_air * n["h_vap"] / n["cp"]
    return math.sqrt(n["T_3"] / cooled) / (1.0 + per_air * n["M"])


def _friction(n: Numbers) -> float:
    krpm = n["N"] / 1000.0
    bar = 0.97 + 0.15 * krpm + 0.05 * krpm**2
    return n["k"] * bar * 1e5 * n["V_d"] * n["N"] / 120.0


def _pumping(n: Numbers) -> float:
    change = (n["p_3"] - n["p_4"]) - (n["p_3s"] - n["p_4s"])
    return change * n["V_d"] * n["N"] / 120.0


def _surge_band(n: Numbers) -> float:
    near = min(abs(n["N_c"] - n["N_a"]), abs(n["N_c"] - n["N_b"]))
    return 0.10 * min(1.0, 2.0 * near / (n["N_b"] - n["N_a"]))


EQUATIONS: dict[str, Callable[[Numbers], float]] = {
    **FUEL_EQUATIONS,
    "day.pressure": _station_pressure,
    "day.temperature": lambda n: n["T_day"],
    "day.vapour_pressure": _vapour_pressure,
    "day.humidity_ratio": lambda n: 0.622 * n["p_v"] / (n["p_0"] - n["p_v"]),
    "day.gas_constant": lambda n: 287.053 * (1.0 + 1.6078 * n["w"]) / (1.0 + n["w"]),
    "inlet.temperature": _inlet_temperature,
    "inlet.density": lambda n: n["p_0"] / (n["R"] * (n["T_0"] + n["dT_in"])),
    "inlet.loss": lambda n: n["dp_in"] * (n["W_in"] / n["W_ref"]) ** 2 * n["rho_in"] / n["rho_0"],
    "inlet.pressure": lambda n: n["p_0"] - n["dp_01"],
    "drive.pulley_ratio": _pulley_ratio,
    "drive.boost_asked": _boost_asked,
    "drive.impeller_speed": _impeller,
    "drive.impeller_without_slip": lambda n: (
        n["N"] * n["i_gear"] * _pulley_ratio(n) * (1.0 - n["c"])
    ),
    **BELT_EQUATIONS,
    "compressor.gamma": lambda n: n["cp"] / (n["cp"] - n["R"]),
    "compressor.corrected_speed": lambda n: n["N_imp"] / _sound(n),
    "compressor.corrected_flow": _corrected_flow,
    "compressor.flow_share": lambda n: (n["W_c"] - n["W_s"]) / (n["W_ch"] - n["W_s"]),
    "compressor.isentropic_rise": _isentropic_rise,
    "compressor.rise": lambda n: n["dh_s"] / n["eta"],
    "compressor.outlet_temperature": _outlet_temperature,
    "compressor.outlet_pressure": lambda n: n["PR"] * n["p_1"],
    "cooler.rated_transfer_units": _rated_units,
    "cooler.transfer_units": lambda n: n["NTU_ref"] * (n["W"] / n["W_ref"]) ** -0.4,
    "cooler.effectiveness": lambda n: _crossflow(n["NTU"], n["C_r"]),
    "cooler.coolant_temperature": lambda n: n["T_0"] + n["dT_cool"],
    "cooler.loss": _cooler_loss,
    "charge.boost": lambda n: n["p_3"] - n["p_0"],
    "bypass.flow": _bypass,
    "stock.rated_flow": _rated_flow,
    "stock.torque": _stock_torque,
    "stock.efficiency": _indicated_efficiency,
    "stock.flow": _stock_flow,
    "stock.pressure": _stock_pressure,
    "stock.exhaust_pressure": _stock_exhaust,
    "stock.volumetric_efficiency": _stock_efficiency,
    "engine.exhaust_pressure": _exhaust,
    "engine.ethanol_by_mass": lambda n: (
        1.0 / (1.0 + n["rho_p"] / n["rho_e"] * (1.0 - n["v"]) / n["v"])
    ),
    "engine.blend_stoichiometric_ratio": lambda n: n["AFR_p"] + n["m"] * (n["AFR_e"] - n["AFR_p"]),
    "engine.blend_heating_value": lambda n: n["LHV_p"] + n["m"] * (n["LHV_e"] - n["LHV_p"]),
    "engine.ethanol_by_moles": lambda n: (
        1.0 / (1.0 + n["rho_p"] / n["rho_e"] * n["M_e"] / n["M_p"] * (1.0 - n["v"]) / n["v"])
    ),
    "engine.blend_octane": lambda n: (
        n["ON_a"] + (n["x"] - n["x_a"]) / (n["x_b"] - n["x_a"]) * (n["ON_b"] - n["ON_a"])
    ),
    "engine.pressure_factor": _bracket,
    "engine.temperature_factor": lambda n: (n["T_3"] / n["T_3s"]) ** n["x"],
    "engine.vapour": _vapour,
    "engine.vapour_factor": lambda n: n["F"] / n["F_s"],
    "engine.volumetric_efficiency": lambda n: n["eta_v,ref"] * n["B"] * n["C"] * n["V"],
    "engine.air_flow": lambda n: (
        n["eta_v"] * n["p_3"] / (n["R"] * n["T_3"]) * n["V_d"] * n["N"] / 120.0
    ),
    "engine.fuel_flow": lambda n: n["W_e"] / ((1.0 + n["w"]) * n["AFR"] * n["lambda"]),
    "crank.indicated_efficiency": _indicated_efficiency,
    "crank.indicated_power": lambda n: n["W_fuel"] * n["LHV"] * n["eta_i"] * n.get("s", 1.0),
    "crank.friction_power": _friction,
    "crank.pumping_power": _pumping,
    "crank.drive_power": lambda n: (
        n["W"] * n["dh"] / n["eta_g"] + n["P_b"] * (n["N_imp"] / 50000.0) ** 1.5
    ),
    "crank.flywheel_power": lambda n: n["P_i"] - n["P_f"] + n["dP"] - n.get("P_c", 0.0),
    "crank.torque": lambda n: n["P"] / (math.pi * n["N"] / 30.0),
    "crank.wheel_power": lambda n: n["P"] * (1.0 - n["z"]) - n["P_const"],
    "limits.surge_band": _surge_band,
    "limits.surge_margin": lambda n: 1.0 - n["W_s"] / n["W_c"],
    "limits.surge_margin_low": lambda n: 1.0 - n["W_s"] * (1.0 + n["u"]) / n["W_c"],
    "limits.surge_margin_high": lambda n: 1.0 - n["W_s"] * (1.0 - n["u"]) / n["W_c"],
    "limits.choke_margin": lambda n: n["W_ch"] / n["W_c"] - 1.0,
    "limits.tip_speed": lambda n: math.pi * n["D_2"] * n["N_imp"] / 60.0,
    "limits.inlet_depression": lambda n: n["p_0"] - n["p_1"],
    "limits.piston_speed": lambda n: 2.0 * n["S"] * n["N"] / 60.0,
    "limits.fuel_consumption": lambda n: n["W_fuel"] / n["P"] * n["LHV"] / 44.0e6,
}
"""Equations by the key of their step."""


def _charge_temperature(n: Numbers) -> float:
    if "eps" in n:
        return n["T_2"] - n["eps"] * (n["T_2"] - n["T_cool"])
    return n["T_2"] if "T_2" in n else n["T_1"]


def _charge_pressure(n: Numbers) -> float:
    if "dp_23" in n:
        return n["p_2"] - n["dp_23"]
    return n["p_2"] if "p_2" in n else n["p_1"]


EQUATIONS["charge.temperature"] = _charge_temperature
EQUATIONS["charge.pressure"] = _charge_pressure


def _place(surface, n: Numbers) -> float:
    """Place of a flow on a line by bisection; past choke, where flow stays, of a ratio."""

    def at(s: float) -> tuple[float, float]:
        flow, ratio, _ = surface.line(n["N_c"], s)
        return float(flow), float(ratio)

    if at(1.0)[0] <= n["W_c"] * (1.0 + 1e-12):
        return brentq(lambda s: at(s)[1] - n["PR"], 1.0, 2.0, xtol=1e-13)
    return brentq(lambda s: at(s)[0] - n["W_c"], -2.0, 1.0, xtol=1e-13)


def _efficiency(surface, n: Numbers) -> float:
    if "eta_typed" in n:
        return n["eta_typed"] * min(1.0, 2.0 - n["s"])
    return float(surface.line(n["N_c"], n["s"])[2])


FROM_MAP: dict[str, Callable[..., float]] = {
    "compressor.corrected_speed": lambda surface, n: float(
        surface.corrected_speed(n["W_c"], n["PR"])
    ),
    "compressor.place": _place,
    "compressor.pressure_ratio": lambda surface, n: float(surface.line(n["N_c"], n["s"])[1]),
    "compressor.efficiency": _efficiency,
    "limits.surge_flow": lambda surface, n: float(surface.line(n["N_c"], 0.0)[0]),
    "limits.choke_flow": lambda surface, n: float(surface.line(n["N_c"], 1.0)[0]),
}
"""Steps that read the compressor map, by key."""


def evaluate(step, surface) -> float:
    """Value of a step from the numbers put in."""
    numbers = {n.symbol: n.value for n in step.numbers}
    if step.key in FROM_MAP and not (
        step.key == "compressor.corrected_speed" and "N_imp" in numbers
    ):
        return FROM_MAP[step.key](surface, numbers)
    return EQUATIONS[step.key](numbers)
