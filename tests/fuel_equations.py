"""Equations of the fuel system's steps, written once more from the numbers put in; SI floats."""

from __future__ import annotations

import math
from collections.abc import Callable

Numbers = dict[str, float]


def _across(n: Numbers) -> float:
    return max(n["p_rail"] - n.get("b", 0.0), 0.0)


def _held_open(n: Numbers) -> float:
    """Rated mass flow, corrected for pressure and for density one after the other."""
    rated = n["Q_r"] * n["rho_r"]
    return rated * (n["dp_inj"] / n["dp_r"]) ** 0.5 * (n["rho_f"] / n["rho_r"]) ** 0.5


def _needed(n: Numbers) -> float:
    by_volume = n["W_fuel"] / (n["n_inj"] * n["D_max"]) / n["rho_f"]
    return by_volume / math.sqrt(n["dp_inj"] / n["dp_r"]) * math.sqrt(n["rho_f"] / n["rho_r"])


def _falling(n: Numbers) -> float:
    lost = (n["p_pump"] - n["p_s"]) / (n["p_off"] - n["p_s"])
    return n["Q_s"] * (1.0 - min(max(lost, 0.0), 1.0))


FUEL_EQUATIONS: dict[str, Callable[[Numbers], float]] = {
    "fuel.pressure_across": _across,
    "fuel.injector_flow": _held_open,
    "fuel.injector_duty": lambda n: n["W_fuel"] / n["W_inj"] / n["n_inj"],
    "fuel.injector_needed": _needed,
    "fuel.pump_pressure": lambda n: n["p_rail"] + n.get("b", 0.0),
    "fuel.pump_flow": lambda n: n["W_fuel"] * (1.0 + n["x"]) / n["rho_f"],
    "fuel.pump_gives": _falling,
    "fuel.pump_used": lambda n: n["Q_pump"] / n.get("Q_s", n.get("Q_p")),
}
