"""Rows of the table of defaults: the fuel system, and the engine's bounds."""

from __future__ import annotations

from typing import Final

from engine_model.default_row import PRACTICE, Default

_D = Default

_UNITS: Final = "by definition of the units: there 10.5 cc/min go on 1 lb/h"
_BLANK: Final = "blank: not judged"
_SHUT_OFF: Final = "blank: the flow as stated, at every pressure"

FUEL_SYSTEM_ROWS: Final[tuple[Default, ...]] = (
    _D("fuel_system.injector_flow", None, "volume_flow", 1e-7, 1e-4, 2e-7, _BLANK, (), True),
    _D("fuel_system.injectors", None, "integer", 1, 48, 0.0, "derived: one a cylinder", (), True),
    _D("fuel_system.injector_rating_pressure", 3e5, "pressure", 5e4, 2e6, 1e4, PRACTICE),
    _D("fuel_system.injector_rating_density", 720.0, "density", 600.0, 900.0, 10.0, _UNITS),
    _D("fuel_system.rail_pressure", 3e5, "pressure", 5e4, 2e6, 2e4, PRACTICE),
    _D(
        "fuel_system.rail_reference",
        "manifold",
        "choice",
        origin=PRACTICE,
        choices=("manifold", "ambient"),
    ),
    _D("fuel_system.pump_flow", None, "volume_flow", 1e-6, 1e-3, 3e-6, _BLANK, (), True),
    _D(
        "fuel_system.pump_pressure",
        None,
        "pressure",
        5e4,
        2e6,
        1e4,
        "derived: the rail pressure",
        (),
        True,
    ),
    _D("fuel_system.pump_shut_off", None, "pressure", 1e5, 3e6, 2e4, _SHUT_OFF, (), True),
    _D(
        "fuel_system.pump_reserve",
        0.15,
        "dimensionless",
        0.0,
        1.0,
        0.03,
        "15-20 %: common practice, no source",
    ),
)
"""Section ``fuel_system``."""

ENGINE_BOUND_ROWS: Final[tuple[Default, ...]] = (
    _D(
        "bounds.injector_duty",
        0.85,
        "dimensionless",
        0.2,
        1.0,
        0.0,
        "80-85 %: common practice, no source",
    ),
    _D("bounds.torque", None, "torque", 5.0, 5000.0, 0.0, _BLANK, (), True),
    _D("bounds.power", None, "power", 1e3, 2e6, 0.0, _BLANK, (), True),
    _D("bounds.exhaust_pressure", None, "pressure", 1e3, 5e5, 0.0, _BLANK, (), True),
    _D("bounds.manifold_sensor", None, "pressure", 5e4, 1e6, 0.0, _BLANK, (), True),
    _D("bounds.air_meter", None, "mass_flow", 0.01, 5.0, 0.0, _BLANK, (), True),
)
"""Bounds of fuel system, engine and sensors, of section ``bounds``."""
