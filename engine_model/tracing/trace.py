"""A trace: everything known of a compressor map being traced, as plain frozen records.

All places are pixels of the picture as it was opened, at its working size; they count from the
centre of the top left one, x to the right and y down. Nothing here needs the picture itself.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise
from math import isfinite
from typing import Any, Final, Literal

from engine_model.errors import InputError

Point = tuple[float, float]
CurveKind = Literal["speed_line", "surge_line", "choke_line", "island"]
FlowKind = Literal["mass", "corrected_mass", "volume"]
PressureBasis = Literal["total_to_total", "total_to_static"]

CURVE_KINDS: Final[tuple[CurveKind, ...]] = ("speed_line", "surge_line", "choke_line", "island")
"""Kinds of curves."""

LABELLED: Final = ("speed_line", "island")
"""Kinds that carry a value: corrected speed [rpm], efficiency [-]."""

FLOW_KINDS: Final[tuple[FlowKind, ...]] = ("mass", "corrected_mass", "volume")
"""Kinds of flow axes; a mass flow is one with the reference state at the inlet."""

PRESSURE_BASES: Final[tuple[PressureBasis, ...]] = ("total_to_total", "total_to_static")
"""What the pressure ratio is taken between."""

MOST_PLACES: Final = 24
"""Known points of one calibration at most."""


@dataclass(frozen=True, slots=True)
class Axes:
    """What is known of the axes; None is what has not been said yet.

    Parameters
    ----------
    places_px : tuple of (float, float)
        Places of the known points. [pixel]
    values : tuple of (float, float)
        Flow in `flow_unit` and pressure ratio [-] at each, in the same order.
    flow_kind : str, optional
        One of `FLOW_KINDS`.
    flow_unit : str, optional
        Unit of the flow axis, such as ``lb/min`` or ``cfm``.
    density : float, optional
        Density at which a volume flow is stated. [kg/m3] above 0
    reference_temperature : float, optional
        Total temperature that flow and speed are corrected to. [K] above 0
    reference_pressure : float, optional
        Total pressure that flow is corrected to, absolute. [Pa] above 0
    pressure_basis : str, optional
        One of `PRESSURE_BASES`.
    check_px, check_value : (float, float), optional
        A further known point that tests the calibration: its place [pixel], its values.
    """

    places_px: tuple[Point, ...] = ()
    values: tuple[Point, ...] = ()
    flow_kind: FlowKind | None = None
    flow_unit: str | None = None
    density: float | None = None
    reference_temperature: float | None = None
    reference_pressure: float | None = None
    pressure_basis: PressureBasis | None = None
    check_px: Point | None = None
    check_value: Point | None = None

    def __post_init__(self) -> None:
        for name in ("places_px", "values"):
            points = tuple(_point(f"trace.{name}", one) for one in getattr(self, name))
            object.__setattr__(self, name, points)
            if len(points) > MOST_PLACES:
                raise InputError(f"trace.{name}", len(points), f"up to {MOST_PLACES} points")
        for name in ("check_px", "check_value"):
            one = getattr(self, name)
            if one is not None:
                object.__setattr__(self, name, _point(f"trace.{name}", one))
        for name in ("density", "reference_temperature", "reference_pressure"):
            _positive(f"trace.{name}", getattr(self, name))
        _choice("trace.flow_kind", self.flow_kind, FLOW_KINDS)
        _choice("trace.pressure_basis", self.pressure_basis, PRESSURE_BASES)


@dataclass(frozen=True, slots=True)
class Node:
    """A place where the pen was set.

    Parameters
    ----------
    x, y : float
        Place. [pixel]
    free : bool
        Whether the stretch that leads to it is drawn smoothly, without following the ink; of
        the first node of a closed curve: the stretch that closes it.
    """

    x: float
    y: float
    free: bool = False

    def __post_init__(self) -> None:
        x, y = _point("trace.node", (self.x, self.y))
        object.__setattr__(self, "x", x)
        object.__setattr__(self, "y", y)

    @property
    def place(self) -> Point:
        """Its place [pixel]."""
        return (self.x, self.y)


@dataclass(frozen=True, slots=True)
class TracedCurve:
    """One curve.

    Parameters
    ----------
    kind : str
        One of `CURVE_KINDS`.
    value : float, optional
        Corrected speed of a speed line [rpm], efficiency of an island [-, a share]; None for
        the limits and where it has not been said yet.
    nodes : tuple of Node
        In order along the curve.
    path : tuple of (float, float)
        Points along the curve; a closed one does not repeat its first. [pixel]
    closed : bool
        Whether the curve returns to its first node.
    breaks : tuple of int
        For every node the point of the path nearest to it, rising. Empty where there is no path.
    """

    kind: CurveKind
    value: float | None = None
    nodes: tuple[Node, ...] = ()
    path: tuple[Point, ...] = ()
    closed: bool = False
    breaks: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        _choice("trace.kind", self.kind, CURVE_KINDS)
        if self.value is not None:
            if self.kind not in LABELLED:
                raise InputError("trace.value", self.value, f"no value for a {self.kind}")
            _positive("trace.value", self.value)
            if self.kind == "island" and self.value >= 1.0:
                allowed = "an efficiency as a share (72 % is 0.72)"
                raise InputError("trace.value", self.value, allowed)
            object.__setattr__(self, "value", float(self.value))
        if self.closed and self.kind != "island":
            raise InputError("trace.closed", self.kind, "closed islands only")
        if self.path and len(self.breaks) != len(self.nodes):
            raise InputError("trace.breaks", len(self.breaks), "one for every node")
        if self.breaks:
            inside = self.breaks[0] >= 0 and self.breaks[-1] < len(self.path)
            if not inside or any(a > b for a, b in pairwise(self.breaks)):
                raise InputError("trace.breaks", self.breaks, "rising numbers of path points")

    @property
    def stretches(self) -> int:
        """Stretches between nodes; that of a closed curve's last back to its first counts."""
        return len(self.nodes) if self.closed else max(0, len(self.nodes) - 1)

    @property
    def whole(self) -> bool:
        """Whether it has nodes enough: two, closed three."""
        return len(self.nodes) >= (3 if self.closed else 2)


@dataclass(frozen=True, slots=True)
class PictureRef:
    """Which picture was traced.

    Parameters
    ----------
    sha256 : str
        Hash of its file.
    name : str
        Name of its file.
    width, height : int
        Its working size, in which all places are told. [pixel]
    page : int
        Its page, from 0.
    scale : float
        Pixels of the working size to one of the original. [-]
    """

    sha256: str
    name: str = ""
    width: int = 0
    height: int = 0
    page: int = 0
    scale: float = 1.0


@dataclass(frozen=True, slots=True)
class Trace:
    """A compressor map being traced.

    Parameters
    ----------
    picture : PictureRef, optional
        Which picture.
    axes : Axes
        What is known of its axes.
    curves : tuple of TracedCurve
        In the order they were made.
    title : str
        Name of the map.
    provenance_text, date : str
        Where the picture comes from, as the user says.
    exducer_diameter, inducer_diameter : float, optional
        Of the impeller. [m] above 0
    maximum_speed : float, optional
        The maker's mechanical limit of the impeller. [rpm] above 0
    built_in_step_up : float
        Speed ratio of a gear inside the blower. [-] above 0
    notes : str
        The user's own.
    """

    picture: PictureRef | None = None
    axes: Axes = field(default_factory=Axes)
    curves: tuple[TracedCurve, ...] = ()
    title: str = ""
    provenance_text: str = ""
    date: str = ""
    exducer_diameter: float | None = None
    inducer_diameter: float | None = None
    maximum_speed: float | None = None
    built_in_step_up: float = 1.0
    notes: str = ""

    def __post_init__(self) -> None:
        for name in ("exducer_diameter", "inducer_diameter", "maximum_speed", "built_in_step_up"):
            _positive(f"trace.{name}", getattr(self, name))

    def of_kind(self, kind: CurveKind) -> tuple[int, ...]:
        """Numbers of the curves of a kind."""
        return tuple(n for n, curve in enumerate(self.curves) if curve.kind == kind)


def _point(where: str, value: Any) -> Point:
    try:
        x, y = (float(part) for part in value)
    except (TypeError, ValueError) as error:
        raise InputError(where, value, "a pair of numbers") from error
    if not (isfinite(x) and isfinite(y)):
        raise InputError(where, value, "finite numbers")
    return (x, y)


def _positive(where: str, value: float | None) -> None:
    if value is not None and not (isfinite(value) and value > 0.0):
        raise InputError(where, value, "a number above 0")


def _choice(where: str, value: str | None, known: tuple[str, ...]) -> None:
    if value is not None and value not in known:
        raise InputError(where, value, "one of " + ", ".join(known))
