"""The section of a build that only surge in time reads, and a scene saved with its question."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from engine_model.default_row import Value
from engine_model.errors import InputError
from engine_model.section_base import Section, default_of

SCENE_KINDS = ("lift", "closing", "choke")
"""Throttle shut in a moment; shut slowly until it surges; speed added with the throttle open."""


@dataclass(frozen=True, slots=True)
class Surge(Section):
    """Ducts, throttle and bypass valve of surge in time."""

    SECTION: ClassVar[str] = "surge"
    duct_length: float = default_of("surge.duct_length")
    duct_area: float | None = None
    plenum_volume: float = default_of("surge.plenum_volume")
    manifold_volume: float | None = None
    throttle_diameter: float | None = None
    throttle_leak: float = default_of("surge.throttle_leak")
    discharge_coefficient: float = default_of("surge.discharge_coefficient")
    lift_time: float = default_of("surge.lift_time")
    closing_time: float = default_of("surge.closing_time")
    duration: float = default_of("surge.duration")
    engine_speed: float | None = None
    speed_fall: float = default_of("surge.speed_fall")
    valve_diameter: float | None = None
    valve_opening_pressure: float = default_of("surge.valve_opening_pressure")
    valve_lag: float = default_of("surge.valve_lag")
    valve_feels: str = default_of("surge.valve_feels")
    inducer_hub_ratio: float = default_of("surge.inducer_hub_ratio")
    zero_flow_radius: str = default_of("surge.zero_flow_radius")
    characteristic_lag: float = default_of("surge.characteristic_lag")


@dataclass(frozen=True, slots=True)
class Scene:
    """A saved set-up of surge in time, with its question.

    Parameters
    ----------
    name : str
        Its name.
    kind : str
        One of ``SCENE_KINDS``.
    knobs : tuple of (str, Value)
        Paths of inputs that differ from the build, and their values. [SI]
    question : str
        What it asks.
    """

    name: str
    kind: str = "lift"
    knobs: tuple[tuple[str, Value], ...] = ()
    question: str = ""

    def __post_init__(self) -> None:
        if not isinstance(self.name, str) or not self.name.strip():
            raise InputError("scene.name", self.name, "a name")
        if self.kind not in SCENE_KINDS:
            raise InputError("scene.kind", self.kind, "one of " + ", ".join(SCENE_KINDS))
