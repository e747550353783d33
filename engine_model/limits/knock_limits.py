"""Limits of the burn: less advance than stock, peak cylinder pressure; both estimates."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from engine_model.limits.judging import Judged, Verdict, blank, worst

Floats = NDArray[np.float64]

NOT_ESTIMATED = "knock is not estimated here"


def judge_knock_retard(judged: Judged) -> Verdict:
    """Less ignition advance than stock that the charge asks for, against the most allowed."""
    knock, bound = judged.knock, judged.build.bounds.knock_retard
    if knock is None:
        return blank(judged, NOT_ESTIMATED)
    basis = "estimate from the delay of Douaud and Eyzat, held at the stock engine's torque peak"
    asked = np.where(knock.is_beyond, np.inf, knock.retard_deg)
    limit = np.nan if bound is None else bound
    told = worst(judged, asked, asked, limit, basis)
    at = np.argmax(np.where(np.isnan(asked), -1.0, asked), axis=-1)[..., None]
    pairs = {
        "retard_low_deg": knock.retard_low_deg,
        "retard_high_deg": knock.retard_high_deg,
        "efficiency_factor": knock.efficiency_factor,
        "octane_without_retard": knock.octane_without_retard,
        "manifold_temperature_k": judged.line.manifold_temperature_k,
    }
    numbers = {k: np.take_along_axis(v, at, axis=-1)[..., 0] for k, v in pairs.items()}
    numbers["temperature_without_retard_k"] = knock.temperature_without_retard_k
    used = np.full(judged.lead_shape, np.nan) if bound is None else told.value / bound
    ground = f"{basis}; told, not judged" if bound is None else basis
    return Verdict(used, told.value, told.bound, told.engine_speed, ground, numbers=numbers)


def judge_cylinder_pressure(judged: Judged) -> Verdict:
    """Peak cylinder pressure as if the spark were the stock engine's, since retard may fail."""
    knock, bound = judged.knock, judged.build.bounds.cylinder_pressure
    if knock is None:
        return blank(judged, NOT_ESTIMATED)
    basis = "estimate without the retard, since nothing makes sure of it"
    value = knock.peak_pressure_unretarded_pa
    limit = np.nan if bound is None else bound
    told = worst(judged, value, value, limit, basis)
    at = np.argmax(np.where(np.isnan(value), -1.0, value), axis=-1)[..., None]
    retarded = np.take_along_axis(knock.peak_pressure_pa, at, axis=-1)[..., 0]
    used = np.full(judged.lead_shape, np.nan) if bound is None else told.value / bound
    ground = f"{basis}; told, not judged" if bound is None else basis
    numbers = {"peak_pressure_retarded_pa": retarded}
    return Verdict(used, told.value, told.bound, told.engine_speed, ground, numbers=numbers)
