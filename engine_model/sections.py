"""Sections of a build and the day: frozen records that check themselves. SI, speeds in rpm."""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from typing import Any, ClassVar

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.map_data import CompressorMap
from engine_model.defaults import COOLANT_RISE, DEFAULTS, OVER_REV_FACTOR, Default
from engine_model.engine.stock_fit import check_stock_figures
from engine_model.errors import InputError

Floats = NDArray[np.float64]
Table = tuple[tuple[float, float], ...]


def check_value(row: Default, value: object) -> None:
    """Raise an :class:`InputError` where a value is not what its row allows."""
    if value is None:
        if not row.optional:
            raise InputError(row.path, value, "a value; this one cannot be blank")
        return
    if row.quantity == "choice":
        if value not in row.choices:
            raise InputError(row.path, value, "one of " + ", ".join(row.choices))
    elif row.quantity in ("text", "day"):
        if not isinstance(value, str):
            raise InputError(row.path, value, "text")
    elif row.quantity.startswith("table:"):
        _check_table(row, value)
    else:
        number = _number(row, value)
        if not row.low <= number <= row.high:
            raise InputError(row.path, value, f"{row.low:g} to {row.high:g}")


def _number(row: Default, value: object) -> float:
    whole = row.quantity == "integer"
    kind: tuple[type, ...] = (int, np.integer) if whole else (float, int, np.floating, np.integer)
    if isinstance(value, bool) or not isinstance(value, kind):
        raise InputError(row.path, value, "a whole number" if whole else "a number")
    number = float(value)  # type: ignore[arg-type]
    if not np.isfinite(number):
        raise InputError(row.path, value, "a finite number")
    return number


def _check_table(row: Default, value: object) -> None:
    if not isinstance(value, tuple) or not value:
        raise InputError(row.path, value, "rows of two numbers")
    last = float("-inf")
    for number, pair in enumerate(value):
        where = f"{row.path}[{number}]"
        if not isinstance(pair, tuple) or len(pair) != 2:
            raise InputError(where, pair, "two numbers")
        for part in pair:
            if isinstance(part, bool) or not isinstance(part, (int, float)):
                raise InputError(where, pair, "two numbers")
            if not np.isfinite(part):
                raise InputError(where, pair, "finite numbers")
        if pair[0] <= last:
            raise InputError(where, pair, f"a first column that rises (above {last:g})")
        if not row.low <= pair[1] <= row.high:
            raise InputError(where, pair[1], f"{row.low:g} to {row.high:g}")
        last = pair[0]


def _default(path: str) -> Any:
    return DEFAULTS[path].value


class _Section:
    """Base of the sections: checks every field against its row."""

    __slots__ = ()
    SECTION: ClassVar[str]

    def __post_init__(self) -> None:
        for one in fields(self):  # type: ignore[arg-type]
            check_value(DEFAULTS[f"{self.SECTION}.{one.name}"], getattr(self, one.name))


@dataclass(frozen=True, slots=True)
class Day(_Section):
    """The air the engine breathes. Fields as in the table of defaults, section ``day``."""

    SECTION: ClassVar[str] = "day"
    altitude: float = _default("day.altitude")
    temperature: float = _default("day.temperature")
    relative_humidity: float = _default("day.relative_humidity")
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
class Engine(_Section):
    """The engine; stock figures are flywheel figures on the stock day."""

    SECTION: ClassVar[str] = "engine"
    displacement: float = _default("engine.displacement")
    cylinders: int = _default("engine.cylinders")
    compression_ratio: float = _default("engine.compression_ratio")
    limiter: float = _default("engine.limiter")
    stock_torque: float = _default("engine.stock_torque")
    stock_torque_speed: float = _default("engine.stock_torque_speed")
    stock_power: float = _default("engine.stock_power")
    stock_power_speed: float = _default("engine.stock_power_speed")
    stroke: float | None = None
    over_rev: float | None = None
    stock_fuel: str = _default("engine.stock_fuel")
    stock_mixture: float = _default("engine.stock_mixture")
    fuel: str = _default("engine.fuel")
    mixture: float = _default("engine.mixture")
    injection: str = _default("engine.injection")
    friction_scale: float = _default("engine.friction_scale")
    indicated_constant: float = _default("engine.indicated_constant")
    ve_temperature_exponent: float = _default("engine.ve_temperature_exponent")
    rated_flow: float | None = None
    volumetric_efficiency: Table | None = None

    def __post_init__(self) -> None:
        _Section.__post_init__(self)
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
class Blower(_Section):
    """The blower (or a turbocharger's compressor) with its compressor map."""

    SECTION: ClassVar[str] = "blower"
    compressor_map: CompressorMap | None = None
    step_up: float | None = None
    maximum_impeller_speed: float | None = None
    gear_efficiency: float = _default("blower.gear_efficiency")
    bearing_loss: float = _default("blower.bearing_loss")
    typed_efficiency: float = _default("blower.typed_efficiency")

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


DEFAULT_SCHEDULE: Table = _default("drive.boost_schedule")


@dataclass(frozen=True, slots=True)
class Drive(_Section):
    """How the compressor is driven: by a belt, by a free shaft, or not at all."""

    SECTION: ClassVar[str] = "drive"
    kind: str = _default("drive.kind")
    crank_pulley_diameter: float = _default("drive.crank_pulley_diameter")
    blower_pulley_diameter: float = _default("drive.blower_pulley_diameter")
    pitch_offset: float = _default("drive.pitch_offset")
    ribs: int = _default("drive.ribs")
    tensioner: str = _default("drive.tensioner")
    wrap: float = _default("drive.wrap")
    boost_schedule: Table = DEFAULT_SCHEDULE
    boost_schedule_basis: str = _default("drive.boost_schedule_basis")


@dataclass(frozen=True, slots=True)
class Bypass(_Section):
    """A bypass valve that holds boost at a cap."""

    SECTION: ClassVar[str] = "bypass"
    boost_cap: float | None = None
    vent: str = _default("bypass.vent")


@dataclass(frozen=True, slots=True)
class Inlet(_Section):
    """Filter and duct before the compressor."""

    SECTION: ClassVar[str] = "inlet"
    temperature_rise: float = _default("inlet.temperature_rise")
    pressure_loss: float = _default("inlet.pressure_loss")


@dataclass(frozen=True, slots=True)
class ChargeCooler(_Section):
    """The charge cooler (intercooler) and the ducts around it."""

    SECTION: ClassVar[str] = "cooler"
    kind: str = _default("cooler.kind")
    effectiveness: float = _default("cooler.effectiveness")
    capacity_ratio: float = _default("cooler.capacity_ratio")
    coolant_rise: float | None = None
    pressure_loss: float = _default("cooler.pressure_loss")

    @property
    def coolant_over_day(self) -> float:
        """Coolant temperature over the day's [K]."""
        return COOLANT_RISE[self.kind] if self.coolant_rise is None else self.coolant_rise


@dataclass(frozen=True, slots=True)
class Exhaust(_Section):
    """The exhaust."""

    SECTION: ClassVar[str] = "exhaust"
    pressure_loss: float = _default("exhaust.pressure_loss")
    turbine_back_pressure: float = _default("exhaust.turbine_back_pressure")


@dataclass(frozen=True, slots=True)
class FuelSystem(_Section):
    """Injectors."""

    SECTION: ClassVar[str] = "fuel_system"
    injector_flow: float | None = None
    injectors: int | None = None


@dataclass(frozen=True, slots=True)
class Driveline(_Section):
    """From flywheel to wheels."""

    SECTION: ClassVar[str] = "driveline"
    loss: float = _default("driveline.loss")
    constant_loss: float = _default("driveline.constant_loss")


@dataclass(frozen=True, slots=True)
class Bounds(_Section):
    """What the ledger judges against."""

    SECTION: ClassVar[str] = "bounds"
    boost: float | None = None
    surge_margin: float = _default("bounds.surge_margin")
    choke_margin: float = _default("bounds.choke_margin")
    surge_judged_above: float = _default("bounds.surge_judged_above")
    charge_temperature: float = _default("bounds.charge_temperature")
    inlet_depression: float = _default("bounds.inlet_depression")
    piston_speed: float = _default("bounds.piston_speed")
    tip_speed: float = _default("bounds.tip_speed")


@dataclass(frozen=True, slots=True)
class Target(_Section):
    """What was promised."""

    SECTION: ClassVar[str] = "target"
    power: float | None = None
    basis: str = _default("target.basis")
    day: str | None = None
