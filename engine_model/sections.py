"""Sections of a build and the day: frozen records that check themselves. SI, speeds in rpm."""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.map_data import CompressorMap
from engine_model.defaults import DEFAULTS, OVER_REV_FACTOR
from engine_model.drive.belt_sections import BeltSection, belt_section
from engine_model.engine.stock_fit import check_stock_figures
from engine_model.errors import InputError
from engine_model.fuel.fuels import check_ethanol_share
from engine_model.fuel.pump import check_shut_off
from engine_model.section_base import Section, Table, check_value, default_of

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Day(Section):
    """The air the engine breathes. Fields as in the table of defaults, section ``day``."""

    SECTION: ClassVar[str] = "day"
    altitude: float = default_of("day.altitude")
    temperature: float = default_of("day.temperature")
    relative_humidity: float = default_of("day.relative_humidity")
    pressure: float | None = None
    name: str = field(default="mild", kw_only=True)

    def __post_init__(self) -> None:
        for key in ("altitude", "temperature", "relative_humidity", "pressure"):
            check_value(DEFAULTS[f"day.{key}"], getattr(self, key))
        if not isinstance(self.name, str) or not self.name.strip():
            raise InputError("day.name", self.name, "a name")


NAMED_DAYS: dict[str, Day] = {
    day.name: day
    for day in (
        Day(0.0, 293.15, 0.50, name="mild"),
        Day(0.0, 311.15, 0.40, name="hot"),
        Day(0.0, 263.15, 0.80, name="freezing"),
        Day(1800.0, 305.15, 0.20, name="hot and high"),
    )
}
"""The days every build knows."""


@dataclass(frozen=True, slots=True)
class Engine(Section):
    """The engine; stock figures are flywheel figures on the stock day."""

    SECTION: ClassVar[str] = "engine"
    displacement: float = default_of("engine.displacement")
    cylinders: int = default_of("engine.cylinders")
    compression_ratio: float = default_of("engine.compression_ratio")
    limiter: float = default_of("engine.limiter")
    stock_torque: float = default_of("engine.stock_torque")
    stock_torque_speed: float = default_of("engine.stock_torque_speed")
    stock_power: float = default_of("engine.stock_power")
    stock_power_speed: float = default_of("engine.stock_power_speed")
    stroke: float | None = None
    over_rev: float | None = None
    stock_fuel: str = default_of("engine.stock_fuel")
    stock_mixture: float = default_of("engine.stock_mixture")
    fuel: str = default_of("engine.fuel")
    ethanol_share: float | None = None
    mixture: float = default_of("engine.mixture")
    injection: str = default_of("engine.injection")
    friction_scale: float = default_of("engine.friction_scale")
    indicated_constant: float = default_of("engine.indicated_constant")
    ve_temperature_exponent: float = default_of("engine.ve_temperature_exponent")
    rated_flow: float | None = None
    volumetric_efficiency: Table | None = None
    octane: float | None = None
    stock_half_burnt: float = default_of("engine.stock_half_burnt")
    spark: str = default_of("engine.spark")

    def __post_init__(self) -> None:
        Section.__post_init__(self)
        check_ethanol_share(self.fuel, self.ethanol_share)
        check_stock_figures(
            self.stock_torque, self.stock_torque_speed, self.stock_power, self.stock_power_speed
        )
        if self.over_rev is not None and self.over_rev < self.limiter:
            raise InputError("engine.over_rev", self.over_rev, f"{self.limiter:g} (the limiter) up")

    @property
    def over_rev_speed(self) -> float:
        """Engine speed of a missed shift [rpm]."""
        return self.limiter * OVER_REV_FACTOR if self.over_rev is None else self.over_rev

    @property
    def piston_stroke(self) -> float:
        """Stroke [m]; of a square engine where not given."""
        if self.stroke is not None:
            return self.stroke
        return float((4.0 * self.displacement / self.cylinders / np.pi) ** (1.0 / 3.0))


@dataclass(frozen=True, slots=True)
class Blower(Section):
    """The blower (or a turbocharger's compressor) with its compressor map."""

    SECTION: ClassVar[str] = "blower"
    compressor_map: CompressorMap | None = None
    step_up: float | None = None
    maximum_impeller_speed: float | None = None
    gear_efficiency: float = default_of("blower.gear_efficiency")
    bearing_loss: float = default_of("blower.bearing_loss")
    typed_efficiency: float = default_of("blower.typed_efficiency")

    def __post_init__(self) -> None:
        for one in fields(self):
            if one.name != "compressor_map":
                check_value(DEFAULTS[f"blower.{one.name}"], getattr(self, one.name))

    @property
    def gear_ratio(self) -> float:
        """Step-up between blower pulley and impeller [-]."""
        if self.step_up is not None:
            return self.step_up
        return self.compressor_map.built_in_step_up if self.compressor_map else 1.0


DEFAULT_SCHEDULE: Table = default_of("drive.boost_schedule")


@dataclass(frozen=True, slots=True)
class Drive(Section):
    """How the compressor is driven: by a belt, by a free shaft, or not at all."""

    SECTION: ClassVar[str] = "drive"
    kind: str = default_of("drive.kind")
    crank_pulley_diameter: float = default_of("drive.crank_pulley_diameter")
    blower_pulley_diameter: float = default_of("drive.blower_pulley_diameter")
    pitch_offset: float | None = None
    ribs: int = default_of("drive.ribs")
    tensioner: str = default_of("drive.tensioner")
    wrap: float = default_of("drive.wrap")
    boost_schedule: Table = DEFAULT_SCHEDULE
    boost_schedule_basis: str = default_of("drive.boost_schedule_basis")
    belt_section: str = default_of("drive.belt_section")
    crank_wrap: float | None = None
    belt_friction: float = default_of("drive.belt_friction")
    mass_per_rib: float | None = None
    sprung_tension: float | None = None
    fixed_tension: float | None = None
    tension_allowance: float | None = None
    smallest_pulley: float | None = None
    belt_creep: float = default_of("drive.belt_creep")
    accessory_power: float = default_of("drive.accessory_power")
    impeller_inertia: float = default_of("drive.impeller_inertia")
    shift_drop: float = default_of("drive.shift_drop")
    shift_time: float = default_of("drive.shift_time")
    fitted_pulley_diameter: float | None = None
    belt_take_up: float | None = None

    def __post_init__(self) -> None:
        Section.__post_init__(self)
        if self.kind == "belt" and self.pitch_offset is None:
            self.section.pitch_offset.known("drive.pitch_offset")

    @property
    def section(self) -> BeltSection:
        """The belt's section."""
        return belt_section(self.belt_section)

    @property
    def pitch_line(self) -> float:
        """Height of the belt's pitch line over a pulley's outside [m]."""
        own = self.section.pitch_offset.value or 0.0
        return own if self.pitch_offset is None else self.pitch_offset

    @property
    def crank_arc(self) -> float:
        """Wrap of the crank pulley, where no layout tells it [deg]."""
        return 360.0 - self.wrap if self.crank_wrap is None else self.crank_wrap

    @property
    def rib_mass(self) -> float | None:
        """Mass of a rib [kg/m]; nothing where no figure is known."""
        return self.section.mass_per_rib.value if self.mass_per_rib is None else self.mass_per_rib

    @property
    def rib_tension(self) -> float | None:
        """Tension that the tensioning keeps, of a rib [N]; nothing where no figure is known.

        Sprung: over the centrifugal one; fixed: at rest.
        """
        section = self.section
        if self.tensioner == "sprung":
            typed, own = self.sprung_tension, section.sprung_tension
        else:
            typed, own = self.fixed_tension, section.fixed_tension
        return own.value if typed is None else typed

    @property
    def rib_allowance(self) -> float | None:
        """Allowed tight-side tension of a rib [N]; nothing where no figure is known."""
        own = self.section.tension_allowance.value
        return own if self.tension_allowance is None else self.tension_allowance

    @property
    def least_pulley(self) -> float | None:
        """Smallest pulley of the section, outside [m]; nothing where no figure is known."""
        own = self.section.smallest_pulley.value
        return own if self.smallest_pulley is None else self.smallest_pulley


@dataclass(frozen=True, slots=True)
class Bypass(Section):
    """A bypass valve that holds boost at a cap."""

    SECTION: ClassVar[str] = "bypass"
    boost_cap: float | None = None
    vent: str = default_of("bypass.vent")


@dataclass(frozen=True, slots=True)
class Inlet(Section):
    """Filter and duct before the compressor."""

    SECTION: ClassVar[str] = "inlet"
    temperature_rise: float = default_of("inlet.temperature_rise")
    pressure_loss: float = default_of("inlet.pressure_loss")


@dataclass(frozen=True, slots=True)
class Exhaust(Section):
    """The exhaust."""

    SECTION: ClassVar[str] = "exhaust"
    pressure_loss: float = default_of("exhaust.pressure_loss")
    turbine_back_pressure: float = default_of("exhaust.turbine_back_pressure")


@dataclass(frozen=True, slots=True)
class FuelSystem(Section):
    """Injectors, rail and fuel pump."""

    SECTION: ClassVar[str] = "fuel_system"
    injector_flow: float | None = None
    injectors: int | None = None
    injector_rating_pressure: float = default_of("fuel_system.injector_rating_pressure")
    injector_rating_density: float = default_of("fuel_system.injector_rating_density")
    rail_pressure: float = default_of("fuel_system.rail_pressure")
    rail_reference: str = default_of("fuel_system.rail_reference")
    pump_flow: float | None = None
    pump_pressure: float | None = None
    pump_shut_off: float | None = None
    pump_reserve: float = default_of("fuel_system.pump_reserve")

    def __post_init__(self) -> None:
        Section.__post_init__(self)
        check_shut_off(self.pump_shut_off, self.rated_pump_pressure)

    @property
    def feels_manifold(self) -> bool:
        """Whether the regulator holds the rail over the manifold rather than the ambient."""
        return self.rail_reference == "manifold"

    @property
    def rated_pump_pressure(self) -> float:
        """Gauge pressure at which the pump's flow is stated [Pa]."""
        return self.rail_pressure if self.pump_pressure is None else self.pump_pressure


@dataclass(frozen=True, slots=True)
class Driveline(Section):
    """From flywheel to wheels."""

    SECTION: ClassVar[str] = "driveline"
    loss: float = default_of("driveline.loss")
    constant_loss: float = default_of("driveline.constant_loss")


@dataclass(frozen=True, slots=True)
class Bounds(Section):
    """What the ledger judges against."""

    SECTION: ClassVar[str] = "bounds"
    boost: float | None = None
    surge_margin: float = default_of("bounds.surge_margin")
    choke_margin: float = default_of("bounds.choke_margin")
    surge_judged_above: float = default_of("bounds.surge_judged_above")
    charge_temperature: float = default_of("bounds.charge_temperature")
    inlet_depression: float = default_of("bounds.inlet_depression")
    piston_speed: float = default_of("bounds.piston_speed")
    tip_speed: float = default_of("bounds.tip_speed")
    belt_speed: float = default_of("bounds.belt_speed")
    belt_slip: float = default_of("bounds.belt_slip")
    hub_load: float | None = None
    belt_shift: str = default_of("bounds.belt_shift")
    injector_duty: float = default_of("bounds.injector_duty")
    torque: float | None = None
    power: float | None = None
    exhaust_pressure: float | None = None
    manifold_sensor: float | None = None
    air_meter: float | None = None
    knock_retard: float | None = None
    cylinder_pressure: float | None = None


@dataclass(frozen=True, slots=True)
class Target(Section):
    """What was promised."""

    SECTION: ClassVar[str] = "target"
    power: float | None = None
    basis: str = default_of("target.basis")
    day: str | None = None
