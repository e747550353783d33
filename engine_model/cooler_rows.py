"""Rows of the table of defaults for a charge cooler's loop and core, and for pull after pull."""

from __future__ import annotations

from typing import Final

from engine_model.default_row import CHOSEN, Default

_D = Default
_STATED = "at the stated air flow and the pump's flow; " + CHOSEN
_ROAD = "0 on the rollers; " + CHOSEN

METAL_HEATS: Final = {"aluminium": 903.0, "copper": 385.0, "brass": 380.0, "stainless": 477.0}
"""Specific heat of core metals [J/(kg K)], 300 K: Incropera & DeWitt, table A.1 (cartridge brass,
AISI 304)."""

LOOP_ROWS: Final[tuple[Default, ...]] = (
    _D("cooler.reservoir_volume", 4e-3, "volume", 1e-4, 0.2, 1e-3, CHOSEN),
    _D("cooler.glycol_share", 0.3, "dimensionless", 0.0, 0.6, 0.1, "by mass; " + CHOSEN),
    _D("cooler.pump_flow", 3e-4, "volume_flow", 0.0, 3e-3, 1e-4, CHOSEN),
    _D("cooler.front_effectiveness", 0.6, "dimensionless", 0.02, 0.95, 0.08, _STATED),
    _D("cooler.front_rated_flow", 0.6, "mass_flow", 0.01, 5.0, 0.1, CHOSEN),
    _D("cooler.front_area", 0.12, "area", 5e-3, 2.0, 0.02, CHOSEN),
    _D("cooler.pull_road_speed", 25.0, "velocity", 0.0, 120.0, 8.0, _ROAD),
    _D("cooler.pause_road_speed", 0.0, "velocity", 0.0, 120.0, 3.0, "waiting; " + CHOSEN),
    _D("cooler.fan_flow", 0.04, "mass_flow", 0.0, 5.0, 0.02, "a draught alone; " + CHOSEN),
    _D("cooler.stated_road_speed", 25.0, "velocity", 1.0, 120.0, 8.0, CHOSEN),
    _D("cooler.core_mass", 2.5, "mass", 0.05, 50.0, 0.7, CHOSEN),
    _D("cooler.core_metal", "aluminium", "choice", choices=tuple(METAL_HEATS)),
    _D("cooler.bay_rise", 35.0, "temperature_difference", 1.0, 120.0, 10.0, CHOSEN),
    _D(
        "cooler.bay_heat",
        250.0,
        "power",
        0.0,
        2e4,
        120.0,
        "into coolant or air-to-air core at the day's temperature; " + CHOSEN,
    ),
    _D("cooler.start_rise", 5.0, "temperature_difference", -40.0, 80.0, 4.0, CHOSEN),
    _D("cooler.ice_mass", 0.0, "mass", 0.0, 100.0, 0.2, "no ice; " + CHOSEN),
    _D("cooler.pull_time", 8.0, "time", 1.0, 120.0, 1.5, CHOSEN),
    _D("cooler.pause_time", 60.0, "time", 0.0, 7200.0, 20.0, CHOSEN),
    _D("cooler.pulls", 5, "integer", 1, 30, 0.0, CHOSEN),
)
"""Figures of a cooler in time: read by the study of heat soak alone, the match does not."""

LOOP_PATHS: Final = frozenset(row.path for row in LOOP_ROWS)
"""Their paths."""

AIR_PATHS: Final = frozenset(
    f"cooler.{name}"
    for name in (
        "front_area",
        "pull_road_speed",
        "pause_road_speed",
        "fan_flow",
        "stated_road_speed",
        "core_mass",
        "core_metal",
        "bay_rise",
        "bay_heat",
        "start_rise",
        "pull_time",
        "pause_time",
        "pulls",
    )
)
"""Those that an air-to-air cooler has."""

UNUSED_LOOP_PATHS: Final = {
    "none": LOOP_PATHS,
    "air": LOOP_PATHS - AIR_PATHS,
    "liquid": frozenset({"cooler.stated_road_speed"}),
}
"""Those that a kind of cooler has no use for."""
