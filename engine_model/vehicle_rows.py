"""Rows of the table of defaults for the car and for where the engine lives."""

from __future__ import annotations

from typing import Final

from engine_model.default_row import CHOSEN, PRACTICE, USER, Default

_D = Default
_MASS = "with driver and fuel; a figure of the car: enter yours"
_RATIOS = "gear and ratio; figures of the gearbox: enter yours"
_ROLLING = "radial tyres on concrete 0.013, from memory, unsure"
_DRAG = "drag coefficient times frontal area; " + CHOSEN
_TRACTION = "friction 0.9 times 0.6 of the weight on the driven wheels; " + CHOSEN
_LAUNCH = "the clutch slips below it; " + CHOSEN
_ROTATING = "derived: 1.04 + 0.0025 (gear x final drive)^2, Gillespie 1992, from memory"
_LIMITER = "derived: the limiter"

VEHICLE_ROWS: Final[tuple[Default, ...]] = (
    _D("vehicle.mass", 1600.0, "mass", 100.0, 4e4, 80.0, _MASS),
    _D(
        "vehicle.gear_ratios",
        ((1.0, 3.60), (2.0, 2.19), (3.0, 1.41), (4.0, 1.12), (5.0, 0.87), (6.0, 0.69)),
        "table:dimensionless:dimensionless",
        0.1,
        30.0,
        0.01,  # as such figures are rounded in print
        _RATIOS,
    ),
    _D("vehicle.final_drive", 3.70, "dimensionless", 0.5, 20.0, 0.01, USER),
    _D("vehicle.tyre_radius", 0.315, "length", 0.1, 1.0, 0.008, "rolling; " + USER),
    _D("vehicle.rolling_resistance", 0.013, "dimensionless", 0.0, 0.2, 0.003, _ROLLING),
    _D("vehicle.drag_area", 0.70, "area", 0.0, 20.0, 0.08, _DRAG),
    _D("vehicle.rotating_mass", None, "dimensionless", 1.0, 3.0, 0.03, _ROTATING, (), True),
    _D("vehicle.traction", 0.54, "dimensionless", 0.02, 4.0, 0.1, _TRACTION),
    _D("vehicle.launch_speed", 2500.0, "speed", 300.0, 15000.0, 500.0, _LAUNCH),
    _D("vehicle.shift_speed", None, "speed", 500.0, 20000.0, 100.0, _LIMITER, (), True),
    _D("vehicle.shift_time", 0.30, "time", 0.0, 5.0, 0.1, PRACTICE),
)
"""Figures of the car: read by the full-throttle run alone, the match does not."""

WEIGHTING_ROWS: Final[tuple[Default, ...]] = (
    _D("weighting.kind", "flat", "choice", origin=CHOSEN, choices=("flat", "typed", "run")),
    _D(
        "weighting.points",
        ((2500.0, 0.5), (4000.0, 1.0), (6500.0, 1.0)),
        "table:speed:dimensionless",
        0.0,
        1000.0,
        0.2,
        "relative to one another, nothing outside; " + CHOSEN,
    ),
)
"""Where the engine lives: read by the studies that weigh engine speeds, the match does not."""

VEHICLE_PATHS: Final = frozenset(row.path for row in (*VEHICLE_ROWS, *WEIGHTING_ROWS))
"""Their paths."""
