"""Inputs of the model: the build, the day, and variations. SI, speeds in rpm."""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from engine_model.belt_plan import BeltPlan
from engine_model.cooler_section import ChargeCooler
from engine_model.default_row import Value
from engine_model.defaults import DEFAULTS
from engine_model.errors import InputError
from engine_model.plan_layout import check_plan
from engine_model.section_base import check_value
from engine_model.sections import (
    NAMED_DAYS,
    Blower,
    Bounds,
    Bypass,
    Day,
    Drive,
    Driveline,
    Engine,
    Exhaust,
    FuelSystem,
    Inlet,
    Target,
)
from engine_model.surge_section import Scene, Surge
from engine_model.vehicle_sections import Vehicle, Weighting

Floats = NDArray[np.float64]

__all__ = [
    "INPUT_PATHS",
    "NAMED_DAYS",
    "BeltPlan",
    "Blower",
    "Bounds",
    "Build",
    "Bypass",
    "ChargeCooler",
    "Day",
    "Drive",
    "Driveline",
    "Engine",
    "Exhaust",
    "FuelSystem",
    "Inlet",
    "Pin",
    "Scene",
    "Shelf",
    "Surge",
    "Target",
    "Variation",
    "Vehicle",
    "Weighting",
    "check_value",
]


@dataclass(frozen=True, slots=True)
class Pin:
    """A line kept for comparison.

    Parameters
    ----------
    name : str
        Its name.
    changes : tuple of (str, Value)
        Paths that differ from the build, and their values. [SI]
    map_title : str, optional
        Title of the compressor map it was made on.
    """

    name: str
    changes: tuple[tuple[str, Value], ...] = ()
    map_title: str | None = None

    @property
    def values(self) -> dict[str, Value]:
        """Its inputs by path [SI]; the share of ethanol goes with the name of the fuel.

        Versions before that share kept the name alone: there it is blank, not the build's.
        """
        values = dict(self.changes)
        if "engine.fuel" in values:
            values.setdefault("engine.ethanol_share", None)
        return values


SHELF_RANGES = {"pulleys": (0.02, 0.5), "belts": (0.3, 6.0), "injectors": (1e-7, 1e-4)}
"""Sizes read on a shelf [m, m, m3/s]; chosen here."""


@dataclass(frozen=True, slots=True)
class Shelf:
    """What the shop had on its shelf when the build was begun.

    Parameters
    ----------
    pulleys : tuple of float
        Blower pulleys, outside diameters. [m]
    belts : tuple of float
        Belt lengths. [m]
    injectors : tuple of float
        Static flows. [m3/s]
    cores : tuple of str
        Charge cooler cores, by name.
    shop : str
        Name of the shop.
    """

    pulleys: tuple[float, ...] = ()
    belts: tuple[float, ...] = ()
    injectors: tuple[float, ...] = ()
    cores: tuple[str, ...] = ()
    shop: str = ""

    def __post_init__(self) -> None:
        for name, (low, high) in SHELF_RANGES.items():
            for size in getattr(self, name):
                if not low <= size <= high:
                    raise InputError(f"shelf.{name}", size, f"{low:g} to {high:g}, SI")


@dataclass(frozen=True, slots=True)
class Build:
    """Everything bolted together. ``given`` lists the paths the user set."""

    title: str = "New build"
    engine: Engine = field(default_factory=Engine)
    blower: Blower = field(default_factory=Blower)
    drive: Drive = field(default_factory=Drive)
    bypass: Bypass = field(default_factory=Bypass)
    inlet: Inlet = field(default_factory=Inlet)
    cooler: ChargeCooler = field(default_factory=ChargeCooler)
    exhaust: Exhaust = field(default_factory=Exhaust)
    fuel_system: FuelSystem = field(default_factory=FuelSystem)
    driveline: Driveline = field(default_factory=Driveline)
    vehicle: Vehicle = field(default_factory=Vehicle)
    weighting: Weighting = field(default_factory=Weighting)
    bounds: Bounds = field(default_factory=Bounds)
    target: Target = field(default_factory=Target)
    days: tuple[Day, ...] = ()
    notes: str = ""
    invented: bool = False
    pins: tuple[Pin, ...] = ()
    scenes: tuple[Scene, ...] = ()
    given: frozenset[str] = frozenset()
    shelf: Shelf = field(default_factory=Shelf)
    layout: BeltPlan | None = None
    surge: Surge = field(default_factory=Surge)

    def __post_init__(self) -> None:
        if self.drive.kind != "none" and self.blower.compressor_map is None:
            raise InputError("blower.compressor_map", None, "a compressor map, or drive.kind none")
        unknown = sorted(self.given - set(INPUT_PATHS))
        if unknown:
            raise InputError("given", unknown[0], "paths of inputs")
        names = [day.name for day in self.days]
        if len(set(names)) != len(names):
            raise InputError("days", names, "days of different names")
        if self.target.day is not None and self.target.day not in self.known_days():
            known = ", ".join(self.known_days())
            raise InputError("target.day", self.target.day, f"one of {known}")
        scenes = [scene.name for scene in self.scenes]
        if len(set(scenes)) != len(scenes):
            raise InputError("scenes", scenes, "scenes of different names")
        if self.layout is not None and self.drive.kind == "belt":
            check_plan(self.layout, self.drive)

    def known_days(self) -> dict[str, Day]:
        """Days by name: the named ones, and the build's own, which win."""
        return {**NAMED_DAYS, **{day.name: day for day in self.days}}

    def value(self, path: str) -> Any:
        """Value of an input by its path, as stored (``None`` where derived or blank)."""
        section, name = _split(path)
        return getattr(getattr(self, section), name)

    def with_value(self, path: str, value: object) -> Build:
        """Return the build with one input changed and marked as given.

        Raises
        ------
        InputError
            When there is no such input, or the value is not allowed.
        """
        return self.with_values({path: value})

    def with_values(self, changes: dict[str, object]) -> Build:
        """Return the build with several inputs changed at once and marked as given."""
        sections: dict[str, dict[str, object]] = {}
        for path, value in changes.items():
            section, name = _split(path)
            sections.setdefault(section, {})[name] = value
        new = {s: _replace(getattr(self, s), values) for s, values in sections.items()}
        changed: Build = _replace(self, {**new, "given": self.given | set(changes)})
        return changed


def _replace(record: Any, changes: dict[str, Any]) -> Any:
    values = {one.name: getattr(record, one.name) for one in fields(record)}
    return type(record)(**{**values, **changes})


INPUT_PATHS: tuple[str, ...] = tuple(p for p in DEFAULTS if not p.startswith("day."))
"""Paths of the editable inputs of a build."""


_PARTS: dict[str, tuple[str, str]] = {
    p: (p.partition(".")[0], p.partition(".")[2]) for p in INPUT_PATHS
}


def _split(path: str) -> tuple[str, str]:
    if path not in _PARTS:
        raise InputError("path", path, "one of " + ", ".join(INPUT_PATHS))
    return _PARTS[path]


@dataclass(frozen=True, slots=True, eq=False)
class Variation:
    """Named arrays that replace or shift inputs point by point; axes (..., day, engine speed).

    Parameters
    ----------
    blower_pulley_diameter, crank_pulley_diameter : ndarray, optional
        Outside diameters instead of the build's. [m]
    boost_gauge : ndarray, optional
        Boost of a free shaft instead of its schedule. [Pa]
    boost_factor : ndarray, optional
        Factor on the boost that a free shaft is asked for. [-]
    slip : ndarray, optional
        Belt slip beyond creep. [-]
    throttle_area : ndarray, optional
        Effective throttle area, discharge coefficient included; none is wide open. [m2]
    volumetric_efficiency_factor : ndarray, optional
        Factor on volumetric efficiency. [-]
    compressor_efficiency_shift : ndarray, optional
        Added to the compressor's efficiency; past choke it fades as that does. [-]
    compressor_flow_factor : ndarray, optional
        Factor on the compressor's corrected flow. [-]
    cooler_effectiveness : ndarray, optional
        Effectiveness at the rated flow instead of the build's. [-]
    cooler_pressure_loss : ndarray, optional
        Loss of cooler and ducts at the rated flow instead of the build's. [Pa]
    surge_flow_shift : ndarray, optional
        Where surge lies in the band around it, in half-widths of the band: 0 on a traced line
        whatever the shift. Surge is then judged there and not at the band's edge. [-]
    friction_factor : ndarray, optional
        Factor on friction; the stock figures stand, so that the stock engine is fitted anew, at
        the same rated flow. [-]
    driveline_loss : ndarray, optional
        Share lost between flywheel and wheels instead of the build's. [-]
    day_temperature_shift, day_pressure_shift, day_humidity_shift : ndarray, optional
        Added to the day's temperature, station pressure and relative humidity, which stays
        within 0 and 1. [K], [Pa], [-]
    """

    blower_pulley_diameter: Floats | None = None
    crank_pulley_diameter: Floats | None = None
    boost_gauge: Floats | None = None
    slip: Floats | None = None
    throttle_area: Floats | None = None
    volumetric_efficiency_factor: Floats | None = None
    compressor_efficiency_shift: Floats | None = None
    compressor_flow_factor: Floats | None = None
    cooler_effectiveness: Floats | None = None
    boost_factor: Floats | None = None
    cooler_pressure_loss: Floats | None = None
    surge_flow_shift: Floats | None = None
    friction_factor: Floats | None = None
    driveline_loss: Floats | None = None
    day_temperature_shift: Floats | None = None
    day_pressure_shift: Floats | None = None
    day_humidity_shift: Floats | None = None
