"""Sections of a build for the car and for where the engine lives. SI, speeds in rpm."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Final

from engine_model.section_base import Section, Table, default_of

DEFAULT_RATIOS: Final[Table] = default_of("vehicle.gear_ratios")
DEFAULT_POINTS: Final[Table] = default_of("weighting.points")

ROTATING_BASE: Final = 1.04
"""Equivalent mass over mass without the engine's share [-]; Gillespie 1992, from memory."""

ROTATING_PER_RATIO: Final = 0.0025
"""The engine's share over (gear x final drive)^2 [-]; Gillespie 1992, from memory."""


@dataclass(frozen=True, slots=True)
class Vehicle(Section):
    """The car that a full-throttle run moves."""

    SECTION: ClassVar[str] = "vehicle"
    mass: float = default_of("vehicle.mass")
    gear_ratios: Table = DEFAULT_RATIOS
    final_drive: float = default_of("vehicle.final_drive")
    tyre_radius: float = default_of("vehicle.tyre_radius")
    rolling_resistance: float = default_of("vehicle.rolling_resistance")
    drag_area: float = default_of("vehicle.drag_area")
    rotating_mass: float | None = None
    traction: float = default_of("vehicle.traction")
    launch_speed: float = default_of("vehicle.launch_speed")
    shift_speed: float | None = None
    shift_time: float = default_of("vehicle.shift_time")

    @property
    def coasting_factor(self) -> float:
        """Equivalent mass over mass with the engine disconnected [-]."""
        return ROTATING_BASE if self.rotating_mass is None else self.rotating_mass

    def mass_factor(self, gear_ratio: float) -> float:
        """Equivalent mass over mass in a gear [-]; the ratio is the gear's own."""
        if self.rotating_mass is not None:
            return self.rotating_mass
        return ROTATING_BASE + ROTATING_PER_RATIO * (gear_ratio * self.final_drive) ** 2


@dataclass(frozen=True, slots=True)
class Weighting(Section):
    """Where the engine lives: a weighting over engine speed."""

    SECTION: ClassVar[str] = "weighting"
    kind: str = default_of("weighting.kind")
    points: Table = DEFAULT_POINTS
