"""Limits of engine, charge and ducts."""

from __future__ import annotations

import numpy as np

from engine_model.limits.judging import Judged, Verdict, blank, share_used, single, worst


def judge_charge_temperature(judged: Judged) -> Verdict:
    """Charge temperature in the manifold, counted from the day's temperature."""
    value = judged.line.manifold_temperature_k
    bound = judged.build.bounds.charge_temperature
    rest = judged.ambient_temperature[..., None]
    used = share_used(value, rest, bound)
    return worst(judged, used, value, bound, "station 3, counted from the day's temperature")


def judge_inlet_depression(judged: Judged) -> Verdict:
    """Depression before the compressor."""
    value = judged.ambient_pressure[..., None] - judged.line.inlet_pressure_pa
    bound = judged.build.bounds.inlet_depression
    return worst(judged, share_used(value, 0.0, bound), value, bound, "ambient less station 1")


def judge_piston_speed(judged: Judged) -> Verdict:
    """Mean piston speed at the limiter."""
    engine = judged.build.engine
    speed = 2.0 * engine.piston_stroke * engine.limiter / 60.0
    whose = "stroke of a square engine" if engine.stroke is None else "the stroke given"
    return single(
        judged,
        speed,
        judged.build.bounds.piston_speed,
        engine.limiter,
        f"at the limiter; {whose}",
    )


def judge_boost(judged: Judged) -> Verdict:
    """Boost against the user's bound."""
    bound = judged.build.bounds.boost
    if bound is None:
        return blank(judged, "no bound given: not judged")
    value = judged.line.boost_gauge_pa
    return worst(judged, np.asarray(value / bound), value, bound, "gauge to the day's ambient")
