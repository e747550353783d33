"""Operating lines written out by hand, and the ledger's entries for them."""

from __future__ import annotations

import numpy as np

from engine_model.compressor.map_data import CompressorMap, Island, Provenance, SpeedLine
from engine_model.inputs import Blower, Build
from engine_model.limits.judging import Judged
from engine_model.limits.ledger import entries_of_worst_day, judge_all
from engine_model.results import OperatingLine

ON, BELOW, ABOVE, LEFT, PAST = range(5)
MAP = CompressorMap(
    "two lines",
    Provenance("invented"),
    298.15,
    1e5,
    "total_to_total",
    (
        SpeedLine(40e3, ((0.10, 1.20), (0.20, 1.05))),
        SpeedLine(60e3, ((0.16, 1.50), (0.30, 1.20))),
        SpeedLine(90e3, ((0.28, 2.40), (0.45, 1.70))),
    ),
    ((0.10, 1.20), (0.16, 1.50), (0.28, 2.40)),
    (Island(0.70, True, ((0.2, 1.4), (0.3, 1.6), (0.28, 1.9), (0.2, 1.6))),),
    exducer_diameter=0.095,
    maximum_speed=80e3,
    built_in_step_up=3.6,
)
BUILD = Build(blower=Blower(compressor_map=MAP))
RPM = np.array([3000.0, 5000.0, 6800.0])
PLAIN = {
    "engine_speed_rpm": RPM,
    "air_flow_kg_s": [0.10, 0.20, 0.30],
    "inlet_pressure_pa": [100e3, 99e3, 97.5e3],
    "inlet_temperature_k": 298.15,
    "pressure_ratio": [1.2, 1.5, 1.8],
    "corrected_flow_kg_s": [0.10, 0.20, 0.30],
    "corrected_speed_rpm": [30e3, 50e3, 68e3],
    "impeller_speed_rpm": [30e3, 50e3, 68e3],
    "efficiency": 0.7,
    "discharge_temperature_k": 350.0,
    "discharge_pressure_pa": 150e3,
    "manifold_pressure_pa": 145e3,
    "manifold_temperature_k": [300.0, 310.0, 325.15],
    "boost_gauge_pa": [10e3, 40e3, 30e3],
    "exhaust_pressure_pa": 120e3,
    "bypass_flow_kg_s": 0.0,
    "volumetric_efficiency": 0.95,
    "fuel_flow_kg_s": [0.008, 0.016, 0.024],
    "drive_power_w": 10e3,
    "flywheel_power_w": [100e3, 200e3, 280e3],
    "wheel_power_w": [85e3, 170e3, 238e3],
    "flywheel_torque_nm": 300.0,
    "surge_margin": [0.30, 0.25, 0.35],
    "surge_margin_low": [0.25, 0.20, 0.31],
    "surge_margin_high": [0.35, 0.30, 0.39],
    "choke_margin": [0.50, 0.30, 0.20],
    "belt_effective_tension_n": [150.0, 250.0, 300.0],
    "belt_grip_used": [0.40, 0.65, 0.80],
    "belt_slip": 0.0,
    "region_index": [ON, ON, ON],
}
DAY_TEMPERATURE, DAY_PRESSURE = 293.15, 101_325.0


def line_of(days=1, **changes):
    values = {**PLAIN, **changes}
    shape = (days, RPM.size)
    arrays = {k: np.array(np.broadcast_to(v, shape)) for k, v in values.items()}
    arrays["region_index"] = arrays["region_index"].astype(np.int8)
    return OperatingLine(**arrays)


def judged_of(build=BUILD, line=None, temperatures=(DAY_TEMPERATURE,), **other):
    line = line_of(len(temperatures)) if line is None else line
    days = len(temperatures)
    values = {
        "impeller_at_limiter": np.full(days, 60e3),
        "impeller_at_over_rev": np.full(days, 66e3),
        "assumed": 30,
        "inputs": 50,
        "heating_value": 44e6,
        **other,
    }
    names = tuple(f"day {k}" for k in range(days))
    return Judged(
        build=build,
        line=line,
        ambient_temperature=np.array(temperatures),
        ambient_pressure=np.full(days, DAY_PRESSURE),
        day_names=names,
        **values,
    )


def entries(judged):
    ledger = entries_of_worst_day(judge_all(judged), judged.day_names)
    return {entry.code: entry for entry in ledger}


def used(code, build=BUILD, **changes):
    return entries(judged_of(build, line_of(**changes)))[code]
