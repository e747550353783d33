"""Equations of the steps of belt and burn, written anew from what *Why* says."""

from __future__ import annotations

import math
from collections.abc import Callable

Numbers = dict[str, float]


def _grip(n: Numbers) -> float:
    """Euler-Eytelwein with ln ratio mu a, each convention in its own closed form."""
    ratio = math.e ** (n["mu"] * n["a"] * math.pi / 180.0)
    if "F_c" in n:
        return 2.0 * (n["z"] * n["F_s"] - n["F_c"]) * (ratio - 1.0) / (ratio + 1.0)
    return n["z"] * n["F_s"] * (ratio - 1.0)


def _slip(n: Numbers) -> float:
    if "u" in n:
        assert n["u"] <= 1.0
        return 0.0
    return 1.0 - n["P_d"] / (n["G"] * n["v"] * (1.0 - n["c"]))


BELT_EQUATIONS: dict[str, Callable[[Numbers], float]] = {
    "belt.speed": lambda n: math.pi * (n["d_c"] + 2.0 * n["b_e"]) * n["N"] / 60.0,
    "belt.centrifugal_tension": lambda n: n["z"] * n["m"] * n["v"] ** 2,
    "belt.grip": _grip,
    "belt.grip_used": lambda n: n["F_h"] / n["G"],
    "belt.slip": _slip,
    "belt.effective_tension": lambda n: n["P_c"] / n["v"],
    "belt.tight_side": lambda n: (
        (n["F_c"] + n["F_k"] + n["F"]) / n["z"]
        if "F_k" in n
        else (n["F_c"] + n["F_i"] + 0.5 * n["F"]) / n["z"]
    ),
    "burn.octane_without_retard": lambda n: n["ON"] * (n["I"] / n["I_0"]) ** (1.0 / 3.402),
    "crank.power_paid": lambda n: n["P_d"] / ((1.0 - n["c"]) * (1.0 - n["s"])),
}
