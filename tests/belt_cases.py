"""The belt's functions for the topics of references/belt.json."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np
from scipy.optimize import minimize_scalar

from engine_model.drive import belt_grip, belt_load, belt_loss
from engine_model.drive.belt_geometry import path_arrays
from engine_model.drive.belt_sections import belt_section

Values = Mapping[str, float]


def open_belt(x: Values) -> Values:
    path = path_arrays([0.0, x["C"]], 0.0, [0.5 * x["D"], 0.5 * x["d"]], 1.0)
    return {"L": path.length, "L_approx": path.length, "wrap_small": path.wraps[1]}


def tangents(x: Values) -> Values:
    spans = {
        name: path_arrays([0.0, x["C"]], 0.0, [x["r1"], x["r2"]], [1.0, other]).span_lengths
        for name, other in (("same_side_span", 1.0), ("crossed_span", -1.0))
    }
    assert all(one[0] == one[1] for one in spans.values())
    return {name: one[0] for name, one in spans.items()}


def arc_of_contact(x: Values) -> Values:
    """Power of a rib at standstill's centrifugal tension, against that of half a turn."""

    def factor(ratio):
        friction = np.log(ratio) / np.pi
        power = belt_load.rib_power(100.0, 0.0, 1.0, friction, [x["wrap"], np.pi])
        return power[0] / power[1]

    return {"K_theta_R5": factor(5.0), "K_theta_R4": factor(4.0)}


def at_the_limit(x: Values) -> Values:
    v = belt_grip.belt_speed(x["d_pitch"], x["N"])
    f = belt_grip.effective_tension(x["P"], v)
    away = belt_grip.centrifugal_tension(x["m_rib"], x["ribs"], v)
    tight, slack = belt_load.least_tensions(f, away, x["mu_eff"], x["wrap"])
    return {
        "v": v,
        "T_eff": f,
        "T_centrifugal": away,
        "T1_min": tight,
        "T2_min": slack,
        "hub_load": belt_load.hub_load(tight, slack, away, x["wrap"]),
        "T1_per_rib": tight / x["ribs"],
    }


def shigley(x: Values) -> Values:
    v = belt_grip.belt_speed(x["d"], x["N"])
    f = belt_grip.effective_tension(x["P_design"], v)
    away = belt_grip.centrifugal_tension(x["m"], 1, v)
    # his F_i is the mean less Tc; ours is the mean itself
    tight = belt_load.fixed_tight_side(f, x["F_i"] + away)
    return {
        "exp_mu_theta": belt_grip.sprung_grip(1.0, x["mu"], x["wrap"]) + 1.0,
        "v": v,
        "T_centrifugal": away,
        "T_eff": f,
        "T1": tight,
        "T2": tight - f,
    }


def wedge(x: Values) -> Values:
    angle = x["groove_angle"]
    return {
        "1_over_sin_half": belt_grip.wedge_friction(1.0, angle),
        "mu_eff": belt_grip.wedge_friction(x["mu_rubber"], angle),
    }


def most_power(x: Values) -> Values:
    def lost(v):
        return -float(belt_load.rib_power(x["T_allow_rib"], x["m_rib"], v, np.inf, np.pi))

    best = minimize_scalar(lost, bounds=(1.0, 110.0), method="bounded", options={"xatol": 1e-9})
    return {"v_max_power": best.x, "P_rib_at_vopt_mu_inf": -best.fun}


def pk_section(_: Values) -> Values:
    row = belt_section("PK")
    names = ("rib_pitch", "groove_angle", "pitch_offset", "smallest_pulley")
    return {name: getattr(row, name).known(name) for name in names}


FUNCTIONS: dict[str, Callable[[Values], Values]] = {
    "open belt": open_belt,
    "common tangents": tangents,
    "arc of contact": arc_of_contact,
    "belt at the limit of grip": at_the_limit,
    "flat belt of Shigley": shigley,
    "wedge": wedge,
    "creep": lambda x: {"creep": belt_loss.elastic_creep(x["T1"] - x["T2"], x["EA"])},
    "belt speed of most power": most_power,
    "PK section": pk_section,
}
