"""Limits of engine, charge and ducts."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from engine_model.limits.judging import Judged, Verdict, blank, share_used, single, worst

Floats = NDArray[np.float64]

NO_BOUND = "no bound given: not judged"


def judge_charge_temperature(judged: Judged) -> Verdict:
    """Charge temperature in the manifold, counted from the day's temperature."""
    value = judged.line.manifold_temperature_k
    bound = judged.build.bounds.charge_temperature
    rest = judged.ambient_temperature[..., None]
    used = share_used(value, rest, bound)
    basis = "station 3, counted from the day's temperature"
    told = worst(judged, used, value, bound, basis)
    over = value > bound
    first = np.argmax(over, axis=-1)[..., None]
    some = np.any(over, axis=-1)

    def there(array: Floats) -> Floats:
        whole = np.broadcast_to(array, over.shape)
        return np.where(some, np.take_along_axis(whole, first, axis=-1)[..., 0], np.nan)

    numbers = {
        "passed_at_rpm": there(judged.line.engine_speed_rpm),
        "passed_wheel_power_w": there(judged.line.wheel_power_w),
    }
    return Verdict(told.used, told.value, told.bound, told.engine_speed, basis, numbers=numbers)


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


def _bounded(judged: Judged, value: Floats, bound: float | None, basis: str) -> Verdict:
    """Highest value on the line over a bound of the user's; blank without one."""
    if bound is None:
        return blank(judged, NO_BOUND)
    return worst(judged, np.asarray(value / bound), value, bound, basis)


def judge_boost(judged: Judged) -> Verdict:
    """Boost against the user's bound."""
    value = judged.line.boost_gauge_pa
    return _bounded(judged, value, judged.build.bounds.boost, "gauge to the day's ambient")


def judge_torque(judged: Judged) -> Verdict:
    """Flywheel torque against what gearbox and crank are trusted with."""
    value = judged.line.flywheel_torque_nm
    basis = "at the flywheel, as on the day, uncorrected"
    return _bounded(judged, value, judged.build.bounds.torque, basis)


def judge_power_bound(judged: Judged) -> Verdict:
    """Flywheel power against what engine and driveline are trusted with."""
    value = judged.line.flywheel_power_w
    basis = "at the flywheel, as on the day, uncorrected"
    return _bounded(judged, value, judged.build.bounds.power, basis)


def judge_exhaust_pressure(judged: Judged) -> Verdict:
    """Pressure at the exhaust port, gauge, against the user's bound."""
    value = judged.line.exhaust_pressure_pa - judged.ambient_pressure[..., None]
    bound = judged.build.bounds.exhaust_pressure
    return _bounded(judged, value, bound, "at the port, gauge to the day's ambient")


def judge_manifold_sensor(judged: Judged) -> Verdict:
    """Manifold pressure, absolute, against what its sensor reads."""
    value = judged.line.manifold_pressure_pa
    return _bounded(judged, value, judged.build.bounds.manifold_sensor, "station 3, absolute")


def judge_air_meter(judged: Judged) -> Verdict:
    """Air through the filter against what the air meter reads."""
    line = judged.line
    value = line.air_flow_kg_s
    basis = "air through the filter"
    if judged.build.bypass.vent == "recirculated":
        value = value - line.bypass_flow_kg_s
        basis += "; what the bypass sends back is not metered again"
    return _bounded(judged, value, judged.build.bounds.air_meter, basis)
