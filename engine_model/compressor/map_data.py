"""A digitised compressor map as the user traced it."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from engine_model.errors import InputError

Point = tuple[float, float]
Floats = NDArray[np.float64]


def _require(condition: bool, where: str, value: object, allowed: str) -> None:
    if not condition:
        raise InputError(where, value, allowed)


@dataclass(frozen=True, slots=True)
class Provenance:
    """Where a compressor map comes from.

    Parameters
    ----------
    kind : str
        ``invented``, ``measured`` or ``traced``.
    text : str
        In words.
    date : str
        As written by the user.
    """

    kind: str
    text: str = ""
    date: str = ""


@dataclass(frozen=True, slots=True)
class SpeedLine:
    """One line of constant corrected speed, from surge to choke.

    Parameters
    ----------
    corrected_speed : float
        Corrected impeller speed. [rpm] above 0.
    points : tuple of (float, float)
        Corrected flow [kg/s] and total pressure ratio [-], from surge to choke.
    efficiency : tuple of float, optional
        Isentropic efficiency at each point. [-] 0-1.
    """

    corrected_speed: float
    points: tuple[Point, ...]
    efficiency: tuple[float, ...] | None = None

    def __post_init__(self) -> None:
        _require(self.corrected_speed > 0.0, "corrected_speed", self.corrected_speed, "above 0")
        _require(len(self.points) >= 2, "points", len(self.points), "two points or more")

    def flow(self) -> Floats:
        """Corrected flow of the points [kg/s]."""
        return np.array([p[0] for p in self.points], dtype=float)

    def pressure_ratio(self) -> Floats:
        """Total pressure ratio of the points [-]."""
        return np.array([p[1] for p in self.points], dtype=float)


@dataclass(frozen=True, slots=True)
class Island:
    """One outline of constant efficiency.

    Parameters
    ----------
    efficiency : float
        Isentropic efficiency. [-] 0-1.
    closed : bool
        Whether the outline closes on itself or is cut off by the frame of the map.
    points : tuple of (float, float)
        Corrected flow [kg/s] and total pressure ratio [-].
    """

    efficiency: float
    closed: bool
    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Trace:
    """How a map was traced from a picture, kept so that the work can be taken up again.

    Parameters
    ----------
    picture_sha256 : str
        Hash of the picture.
    corners_px : tuple of (float, float)
        Four corners of the plot frame in pixels.
    flow_unit : str
        Unit of the flow axis of the picture.
    picture_png_base64 : str, optional
        The picture itself.
    """

    picture_sha256: str
    corners_px: tuple[Point, ...]
    flow_unit: str
    picture_png_base64: str | None = None


@dataclass(frozen=True, slots=True)
class CompressorMap:
    """A digitised compressor map with its reference state.

    Parameters
    ----------
    title : str
        Its name.
    provenance : Provenance
        Where it comes from.
    reference_temperature : float
        Total temperature that flow and speed are corrected to. [K]
    reference_pressure : float
        Total pressure that flow is corrected to, absolute. [Pa]
    pressure_basis : str
        ``total_to_total`` or ``total_to_static``.
    speed_lines : tuple of SpeedLine
        At least two, by rising corrected speed.
    surge_line : tuple of (float, float)
        Corrected flow [kg/s] and pressure ratio [-], rising.
    islands : tuple of Island
        Efficiency outlines; may be empty.
    choke_line : tuple of (float, float), optional
        The choke side.
    exducer_diameter : float, optional
        Impeller outlet diameter. [m]
    inducer_diameter : float, optional
        Impeller inlet diameter. [m]
    maximum_speed : float, optional
        The maker's mechanical limit of the impeller. [rpm]
    built_in_step_up : float
        Speed ratio of a gear inside the blower. [-]
    trace : Trace, optional
        How it was traced.
    """

    title: str
    provenance: Provenance
    reference_temperature: float
    reference_pressure: float
    pressure_basis: str
    speed_lines: tuple[SpeedLine, ...]
    surge_line: tuple[Point, ...]
    islands: tuple[Island, ...] = ()
    choke_line: tuple[Point, ...] | None = None
    exducer_diameter: float | None = None
    inducer_diameter: float | None = None
    maximum_speed: float | None = None
    built_in_step_up: float = 1.0
    trace: Trace | None = field(default=None)

    def __post_init__(self) -> None:
        _require(len(self.speed_lines) >= 2, "speed_lines", len(self.speed_lines), "two or more")
        speeds = [line.corrected_speed for line in self.speed_lines]
        rising = all(a < b for a, b in pairwise(speeds))
        _require(rising, "speed_lines", speeds, "rising corrected speeds")
        _require(
            len(self.surge_line) >= 2, "surge_line", len(self.surge_line), "two points or more"
        )
        _require(
            self.reference_temperature > 0.0,
            "reference.temperature",
            self.reference_temperature,
            "above 0 K",
        )
        _require(
            self.reference_pressure > 0.0,
            "reference.pressure",
            self.reference_pressure,
            "above 0 Pa",
        )

    @property
    def has_efficiency(self) -> bool:
        """Whether the map carries efficiency, as islands or on its lines."""
        return bool(self.islands) or all(line.efficiency for line in self.speed_lines)

    @property
    def lines_have_efficiency(self) -> bool:
        """Whether every speed line carries efficiency at its points."""
        return all(line.efficiency for line in self.speed_lines)
