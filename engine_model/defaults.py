"""The one table of editable inputs: default, allowed range, usual spread, origin.

``inputs.py`` takes its defaults and ranges from here, ``app/fields.py`` its tooltips, the
files their keys. Values are SI (speeds in rpm); ``quantity`` names the kind of unit at the
edges. ``None`` as a value means: derived, or not judged; the origin says which.
"""

from __future__ import annotations

from typing import Final

from engine_model.cooler_rows import LOOP_ROWS
from engine_model.default_row import (
    ACCESSORIES,
    BELT_NAMES,
    BELT_SPEED,
    CHOSEN,
    ENGINE,
    ETHANOL,
    FITTED,
    FUEL_NAMES,
    HALF_BURNT,
    MEMORY_UNSURE,
    OCTANE,
    PRACTICE,
    SECTION_CALIBRATED,
    SECTION_MASS,
    SECTION_PITCH,
    SECTION_SMALLEST,
    SHIFTS,
    TENSION_RATIO,
    TOLD,
    TWO_PULLEYS,
    USER,
    Default,
)
from engine_model.fuel_rows import ENGINE_BOUND_ROWS, FUEL_SYSTEM_ROWS
from engine_model.surge_rows import SURGE_ROWS
from engine_model.vehicle_rows import VEHICLE_ROWS, WEIGHTING_ROWS

_D = Default

_ROWS: tuple[Default, ...] = (
    # engine: figures of an invented 3.2-litre six stand in until the user's are typed
    _D("engine.displacement", 3.2e-3, "volume", 5e-5, 0.03, 3e-4, ENGINE),
    _D("engine.cylinders", 6, "integer", 1, 24, 0.0, USER),
    _D("engine.stroke", None, "length", 0.02, 0.3, 0.003, "derived: square engine", (), True),
    _D("engine.compression_ratio", 9.8, "dimensionless", 5.0, 20.0, 0.2, USER),
    _D("engine.limiter", 6800.0, "speed", 1000.0, 20000.0, 50.0, USER),
    _D(
        "engine.over_rev",
        None,
        "speed",
        1000.0,
        24000.0,
        150.0,
        "derived: 1.10 times the limiter, " + CHOSEN,
        (),
        True,
    ),
    _D("engine.stock_torque", 310.0, "torque", 5.0, 3000.0, 30.0, ENGINE),
    _D("engine.stock_torque_speed", 3900.0, "speed", 500.0, 15000.0, 150.0, USER),
    _D("engine.stock_power", 170e3, "power", 2e3, 1.5e6, 17e3, ENGINE),
    _D("engine.stock_power_speed", 6200.0, "speed", 1000.0, 18000.0, 100.0, USER),
    _D("engine.stock_fuel", "petrol", "choice", origin=PRACTICE, choices=FUEL_NAMES),
    _D("engine.stock_mixture", 0.88, "dimensionless", 0.70, 1.5, 0.02, PRACTICE),
    _D("engine.fuel", "petrol", "choice", origin=PRACTICE, choices=FUEL_NAMES),
    _D("engine.ethanol_share", None, "dimensionless", 0.0, 1.0, 0.1, ETHANOL, (), True),
    _D("engine.mixture", 0.82, "dimensionless", 0.70, 1.5, 0.02, PRACTICE),
    _D("engine.injection", "port", "choice", origin=CHOSEN, choices=("port", "direct")),
    _D(
        "engine.friction_scale",
        0.8,
        "dimensionless",
        0.2,
        2.0,
        0.1,
        "Barnes-Moss 1975 overstates modern engines at speed; " + CHOSEN,
    ),
    _D("engine.indicated_constant", 0.80, "dimensionless", 0.5, 1.0, 0.02, "from memory"),
    _D(
        "engine.ve_temperature_exponent",
        0.5,
        "dimensionless",
        0.0,
        1.0,
        0.1,
        "Heywood section 6.2, from memory",
    ),
    _D(
        "engine.rated_flow",
        None,
        "mass_flow",
        1e-3,
        5.0,
        0.03,
        "derived: 1.5 times the stock engine's air flow at its power speed, " + CHOSEN,
        (),
        True,
    ),
    _D(
        "engine.volumetric_efficiency",
        None,
        "table:speed:dimensionless",
        0.3,
        1.5,
        0.03,
        "derived: fitted from the stock figures",
        (),
        True,
    ),
    _D("engine.octane", None, "dimensionless", 60.0, 140.0, 2.0, OCTANE, (), True),
    _D("engine.stock_half_burnt", 8.0, "angle", -5.0, 40.0, 2.0, HALF_BURNT),
    _D("engine.spark", "as stock", "choice", origin=CHOSEN, choices=("as stock", "estimated")),
    # blower
    _D(
        "blower.step_up",
        None,
        "dimensionless",
        0.5,
        20.0,
        0.01,  # as such figures are rounded in print
        "derived: the compressor map's",
        (),
        True,
    ),
    _D(
        "blower.maximum_impeller_speed",
        None,
        "speed",
        1e3,
        4e5,
        1e3,  # as such figures are rounded in print
        "derived: the compressor map's",
        (),
        True,
    ),
    _D("blower.gear_efficiency", 0.97, "dimensionless", 0.7, 1.0, 0.01, CHOSEN),
    _D(
        "blower.bearing_loss",
        800.0,
        "power",
        0.0,
        2e4,
        300.0,
        "at 50 000 rpm, rising with the power 1.5 of speed; " + CHOSEN,
    ),
    _D(
        "blower.typed_efficiency",
        0.70,
        "dimensionless",
        0.3,
        0.9,
        0.04,
        "for a compressor map without efficiency; " + CHOSEN,
    ),
    # drive
    _D("drive.kind", "belt", "choice", choices=("belt", "free_shaft", "none")),
    _D("drive.crank_pulley_diameter", 0.180, "length", 0.04, 0.5, 2e-4, USER),
    _D("drive.blower_pulley_diameter", 0.080, "length", 0.04, 0.25, 2e-4, USER),
    _D("drive.belt_section", "PK", "choice", origin=PRACTICE, choices=BELT_NAMES),
    _D("drive.pitch_offset", None, "length", 0.0, 0.01, 5e-4, SECTION_PITCH, (), True),
    _D("drive.ribs", 6, "integer", 1, 20, 0.0, USER),
    _D("drive.tensioner", "sprung", "choice", choices=("sprung", "fixed")),
    _D("drive.wrap", 150.0, "angle", 30.0, 270.0, 8.0, CHOSEN),
    _D("drive.crank_wrap", None, "angle", 30.0, 330.0, 8.0, TWO_PULLEYS, (), True),
    _D("drive.belt_friction", 0.48, "dimensionless", 0.1, 2.0, 0.035, TENSION_RATIO),
    _D("drive.mass_per_rib", None, "mass_per_length", 1e-3, 0.5, 0.003, SECTION_MASS, (), True),
    _D("drive.sprung_tension", None, "force", 0.0, 2e3, 3.0, SECTION_CALIBRATED, (), True),
    _D("drive.fixed_tension", None, "force", 0.0, 2e3, 12.0, SECTION_CALIBRATED, (), True),
    _D("drive.tension_allowance", None, "force", 1.0, 2e4, 15.0, SECTION_CALIBRATED, (), True),
    _D("drive.smallest_pulley", None, "length", 0.005, 0.5, 2e-3, SECTION_SMALLEST, (), True),
    _D("drive.belt_creep", 0.005, "dimensionless", 0.0, 0.05, 0.003, MEMORY_UNSURE),
    _D("drive.accessory_power", 0.0, "power", 0.0, 3e4, 300.0, ACCESSORIES),
    _D("drive.impeller_inertia", 2e-4, "inertia", 1e-6, 0.1, 5e-5, MEMORY_UNSURE),
    _D("drive.shift_drop", 2000.0, "speed", 0.0, 1e4, 500.0, CHOSEN),
    _D("drive.shift_time", 0.15, "time", 0.01, 5.0, 0.05, CHOSEN),
    _D("drive.fitted_pulley_diameter", None, "length", 0.02, 0.5, 2e-4, FITTED, (), True),
    _D("drive.belt_take_up", None, "length", 0.0, 0.5, 2e-3, FITTED, (), True),
    _D(
        "drive.boost_schedule",
        ((0.25, 0.0), (0.5, 0.8e5)),
        "table:dimensionless:pressure",
        0.0,
        5e5,
        1e4,
        "share of the limiter and boost; " + CHOSEN,
    ),
    _D("drive.boost_schedule_basis", "gauge", "choice", choices=("gauge", "absolute")),
    # bypass
    _D("bypass.boost_cap", None, "pressure", 1e3, 5e5, 5e3, "blank: no cap", (), True),
    _D("bypass.vent", "recirculated", "choice", choices=("recirculated", "atmosphere")),
    # inlet
    _D("inlet.temperature_rise", 5.0, "temperature_difference", 0.0, 60.0, 5.0, CHOSEN),
    _D(
        "inlet.pressure_loss",
        2.5e3,
        "pressure",
        0.0,
        3e4,
        1e3,
        "at the rated flow and 1.16 kg/m3; " + CHOSEN,
    ),
    # cooler
    _D("cooler.kind", "air", "choice", choices=("none", "air", "liquid")),
    _D(
        "cooler.effectiveness",
        0.70,
        "dimensionless",
        0.02,
        0.95,
        0.05,
        "at the rated flow; " + CHOSEN,
    ),
    _D("cooler.capacity_ratio", 0.4, "dimensionless", 0.01, 1.0, 0.1, CHOSEN),
    _D(
        "cooler.coolant_rise",
        None,
        "temperature_difference",
        -40.0,
        80.0,
        5.0,
        "derived: 5 K over the day for air, 12 K for liquid, " + CHOSEN,
        (),
        True,
    ),
    _D(
        "cooler.pressure_loss",
        8e3,
        "pressure",
        0.0,
        6e4,
        3e3,
        "at the rated flow and 1.60 kg/m3; " + CHOSEN,
    ),
    *LOOP_ROWS,
    # exhaust
    _D(
        "exhaust.pressure_loss",
        20e3,
        "pressure",
        0.0,
        2e5,
        5e3,
        "at the rated flow, stock engine the same; " + CHOSEN,
    ),
    _D(
        "exhaust.turbine_back_pressure",
        1.0,
        "dimensionless",
        0.0,
        4.0,
        0.3,
        "free shaft only: share of the compressor's pressure rise; " + CHOSEN,
    ),
    # fuel system
    *FUEL_SYSTEM_ROWS,
    # driveline
    _D("driveline.loss", 0.15, "dimensionless", 0.0, 0.5, 0.03, PRACTICE),
    _D("driveline.constant_loss", 0.0, "power", 0.0, 1e5, 2e3, PRACTICE),
    # the car, and where the engine lives
    *VEHICLE_ROWS,
    *WEIGHTING_ROWS,
    # surge in time
    *SURGE_ROWS,
    # bounds
    _D("bounds.boost", None, "pressure", 1e3, 5e5, 0.0, "blank: not judged", (), True),
    _D("bounds.surge_margin", 0.08, "dimensionless", 0.0, 0.5, 0.0, CHOSEN),
    _D("bounds.choke_margin", 0.03, "dimensionless", 0.0, 0.5, 0.0, CHOSEN),
    _D("bounds.surge_judged_above", 1.30, "dimensionless", 1.0, 3.0, 0.0, CHOSEN),
    _D("bounds.charge_temperature", 333.15, "temperature", 250.0, 500.0, 0.0, PRACTICE),
    _D("bounds.inlet_depression", 5e3, "pressure", 100.0, 5e4, 0.0, PRACTICE),
    _D("bounds.piston_speed", 25.0, "velocity", 5.0, 60.0, 0.0, PRACTICE),
    _D("bounds.tip_speed", 500.0, "velocity", 100.0, 700.0, 0.0, "cast aluminium, from memory"),
    _D("bounds.belt_speed", 65.0, "velocity", 10.0, 120.0, 0.0, BELT_SPEED),
    _D("bounds.belt_slip", 0.03, "dimensionless", 1e-3, 0.2, 0.0, PRACTICE),
    _D("bounds.hub_load", None, "force", 10.0, 1e5, 0.0, "blank: told, not judged", (), True),
    _D("bounds.belt_shift", "told", "choice", origin=SHIFTS, choices=("told", "judged")),
    *ENGINE_BOUND_ROWS,
    _D("bounds.knock_retard", None, "angle", 0.5, 40.0, 0.0, TOLD, (), True),
    _D("bounds.cylinder_pressure", None, "pressure", 1e6, 4e7, 0.0, TOLD, (), True),
    # target
    _D("target.power", None, "power", 1e3, 2e6, 0.0, "blank: not judged", (), True),
    _D("target.basis", "wheel", "choice", choices=("wheel", "flywheel")),
    _D("target.day", None, "day", origin="blank: the day shown", optional=True),
    # a day of the user's own
    _D("day.altitude", 0.0, "length", -500.0, 6000.0, 50.0, "geopotential height; sea level"),
    _D(
        "day.pressure",
        None,
        "pressure",
        3e4,
        1.1e5,
        500.0,
        "derived: standard atmosphere at the altitude",
        (),
        True,
    ),
    _D("day.temperature", 293.15, "temperature", 223.15, 333.15, 3.0, "mild day"),
    _D("day.relative_humidity", 0.5, "dimensionless", 0.0, 1.0, 0.2, "mild day"),
)

DEFAULTS: Final[dict[str, Default]] = {row.path: row for row in _ROWS}
"""Every editable input by its path."""

RATED_FLOW_FACTOR: Final = 1.5
"""Rated flow over the stock engine's flow at its power speed [-]; chosen here, no source."""

OVER_REV_FACTOR: Final = 1.10
"""Over-rev over the limiter [-]; chosen here, no source."""

INLET_REFERENCE_DENSITY: Final = 1.16
"""Density of the known inlet loss [kg/m3]; chosen here, no source."""

COOLER_REFERENCE_DENSITY: Final = 1.60
"""Density of the known cooler loss [kg/m3]; chosen here, no source."""

COOLANT_RISE: Final = {"none": 0.0, "air": 5.0, "liquid": 12.0}
"""Coolant over the day's temperature [K]; chosen here, no source."""

OFF_MAP_SHARE: Final = 0.10
"""Share of an operating line off the compressor map at which trust ends [-]; chosen here."""

CLOSE_FROM: Final = 0.90
"""Share of a limit from which it is close [-]; chosen here, no source."""

SANITY_BSFC: Final = {"belt": (0.44, 0.62), "free_shaft": (0.40, 0.56), "none": (0.42, 0.56)}
"""Plausible BSFC x LHV/44 at peak power [lb/(hp h)]; common practice, widened."""

LOWEST_ENGINE_SPEED: Final = 1500.0
"""First engine speed of a line unless asked otherwise [rpm]; chosen here."""

ENGINE_SPEED_STEP: Final = 50.0
"""Step of a line unless asked otherwise [rpm]; chosen here."""

PULLEY_SEARCH: Final = (0.040, 0.250)
"""Range of blower pulleys searched [m]; chosen here."""

PULLEY_SPAN: Final = (0.045, 0.130)
"""Range of blower pulleys that a pulley span looks at [m]; chosen here, 45 mm is the smallest of
the PK section (from memory)."""
