"""Section of a build for the charge cooler. SI."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from engine_model.defaults import COOLANT_RISE
from engine_model.section_base import Section, default_of


@dataclass(frozen=True, slots=True)
class ChargeCooler(Section):
    """The charge cooler (intercooler) and the ducts around it."""

    SECTION: ClassVar[str] = "cooler"
    kind: str = default_of("cooler.kind")
    effectiveness: float = default_of("cooler.effectiveness")
    capacity_ratio: float = default_of("cooler.capacity_ratio")
    coolant_rise: float | None = None
    pressure_loss: float = default_of("cooler.pressure_loss")
    reservoir_volume: float = default_of("cooler.reservoir_volume")
    glycol_share: float = default_of("cooler.glycol_share")
    pump_flow: float = default_of("cooler.pump_flow")
    front_effectiveness: float = default_of("cooler.front_effectiveness")
    front_rated_flow: float = default_of("cooler.front_rated_flow")
    front_area: float = default_of("cooler.front_area")
    pull_road_speed: float = default_of("cooler.pull_road_speed")
    pause_road_speed: float = default_of("cooler.pause_road_speed")
    fan_flow: float = default_of("cooler.fan_flow")
    stated_road_speed: float = default_of("cooler.stated_road_speed")
    core_mass: float = default_of("cooler.core_mass")
    core_metal: str = default_of("cooler.core_metal")
    bay_rise: float = default_of("cooler.bay_rise")
    bay_heat: float = default_of("cooler.bay_heat")
    start_rise: float = default_of("cooler.start_rise")
    ice_mass: float = default_of("cooler.ice_mass")
    pull_time: float = default_of("cooler.pull_time")
    pause_time: float = default_of("cooler.pause_time")
    pulls: int = default_of("cooler.pulls")

    @property
    def coolant_over_day(self) -> float:
        """Coolant temperature over the day's [K]."""
        return COOLANT_RISE[self.kind] if self.coolant_rise is None else self.coolant_rise
