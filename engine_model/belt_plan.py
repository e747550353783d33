"""Where the pulleys of a build's belt stand, as the user tells it.

The diameters of crank and blower are inputs of the drive and stand there alone. Angles are in
degrees, as they are typed and kept in files.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import isfinite, radians

import numpy as np
from numpy.typing import NDArray

from engine_model.drive.belt_geometry import BeltPath, Pulley
from engine_model.drive.belt_layout import ArmTensioner, Layout, SlideTensioner, path_now
from engine_model.drive.belt_tried import likely_sense, tried_paths
from engine_model.errors import InputError
from engine_model.sections import Drive

Floats = NDArray[np.float64]

ROLES = ("crank", "blower", "accessory", "idler")
"""What a pulley of a belt does."""

FACES = ("grooved", "back")
"""Which side of the belt runs on a pulley."""

SENSES = {"either": 0, "left": 1, "right": -1}
"""Ways the crank turns as drawn, anticlockwise being left."""

PLAN_RANGES = {
    "x": (-3.0, 3.0),
    "y": (-3.0, 3.0),
    "diameter": (0.02, 0.5),
    "power": (0.0, 3e4),
    "back_offset": (0.0, 0.01),
    "travel": (-1.0, 1.0),
    "swing": (-180.0, 180.0),
    "direction": (-360.0, 360.0),
}
"""Figures read in a belt's layout [m, m, m, W, m, m, deg, deg]; chosen here."""

MOST_PULLEYS = 12
"""Most pulleys of a belt; chosen here."""

_TRIED = np.linspace(0.04, 0.25, 43)
"""Blower pulleys with which a belt is asked to run at all: the range of the input [m]."""

_FIELDS = {"drive.pulleys": "layout.pulleys", "drive.belt_tensioner": "layout.tensioner"}

Told = tuple[str, object, str]
"""Which figure, what was given, what is allowed."""


@dataclass(frozen=True, slots=True)
class PlanPulley:
    """A pulley of a belt's layout.

    Parameters
    ----------
    name : str
        Its name.
    role : str
        ``crank``, ``blower``, ``accessory`` or ``idler``.
    x, y : float
        Centre. [m]
    diameter : float, optional
        Outside diameter; none of crank and blower, whose diameters are inputs of the drive. [m]
    face : str
        ``grooved`` or ``back``; crank and blower run in the grooves.
    power : float
        Of an accessory: what it takes at the limiter, as a constant torque (chosen here). [W]
    """

    name: str
    role: str
    x: float
    y: float
    diameter: float | None = None
    face: str = "grooved"
    power: float = 0.0


@dataclass(frozen=True, slots=True)
class PlanTensioner:
    """What moves one of the pulleys; 0 is where it stands.

    Parameters
    ----------
    pulley : str
        The pulley it carries.
    kind : str
        ``arm`` swings it about a pivot, ``slide`` moves it straight.
    low, high : float
        Ends of the travel. [deg] anticlockwise of an arm, [m] of a slide
    pivot_x, pivot_y : float
        Pivot of an arm. [m]
    direction : float
        Direction in which a slide's travel counts, from the x axis. [deg]
    """

    pulley: str
    kind: str
    low: float
    high: float
    pivot_x: float = 0.0
    pivot_y: float = 0.0
    direction: float = 0.0


def pulley_told(pulley: PlanPulley) -> Iterator[Told]:
    """Yield what is wrong with a pulley by itself: field, what is given, what is allowed."""
    if not pulley.name.strip():
        yield "name", pulley.name, "a name"
    if pulley.role not in ROLES:
        yield "role", pulley.role, "one of " + ", ".join(ROLES)
    if pulley.face not in FACES:
        yield "face", pulley.face, "one of " + ", ".join(FACES)
    for key in ("x", "y", "diameter", "power"):
        value = getattr(pulley, key)
        low, high = PLAN_RANGES[key]
        if value is not None and not (isfinite(value) and low <= value <= high):
            yield key, value, f"{low:g} to {high:g}, SI"
    if pulley.role in ("crank", "blower"):
        if pulley.diameter is not None:
            allowed = f"nothing: the {pulley.role} has drive.{pulley.role}_pulley_diameter"
            yield "diameter", pulley.diameter, allowed
        if pulley.face == "back":
            yield "face", pulley.face, f"grooved: the {pulley.role} runs in the ribs"
    elif pulley.role in ROLES and pulley.diameter is None:
        yield "diameter", None, f"an outside diameter of the {pulley.role}"
    if pulley.role != "accessory" and pulley.power:
        yield "power", pulley.power, "0; only an accessory takes power told here"


def pulleys_told(pulleys: tuple[PlanPulley, ...]) -> Iterator[Told]:
    """Yield what is wrong with the pulleys together: place, what is given, what is allowed."""
    if not 2 <= len(pulleys) <= MOST_PULLEYS:
        yield "pulleys", f"{len(pulleys)} pulleys", f"2 to {MOST_PULLEYS} pulleys"
    roles = [p.role for p in pulleys]
    for role in ("crank", "blower"):
        if roles.count(role) != 1:
            given = f"{roles.count(role)} with role {role}"
            yield "pulleys", given, f"one pulley with role {role}"
    if roles.count("crank") == 1 and roles[0] != "crank":
        yield "pulleys[0].role", roles[0], "crank: the order of travel begins there"
    seen: dict[str, int] = {}
    for k, one in enumerate(pulleys):
        if one.name in seen:
            allowed = f"a name of its own (pulleys[{seen[one.name]}] has it)"
            yield f"pulleys[{k}].name", one.name, allowed
        seen.setdefault(one.name, k)


def tensioner_told(one: PlanTensioner, pulleys: tuple[PlanPulley, ...]) -> Iterator[Told]:
    """Yield what is wrong with a tensioner: field, what is given, what is allowed."""
    movable = [p.name for p in pulleys if p.role != "crank"]
    if one.pulley not in movable:
        yield "pulley", one.pulley, "one of " + ", ".join(movable)
    if one.kind not in ("arm", "slide"):
        yield "kind", one.kind, "one of arm, slide"
        return
    low, high = PLAN_RANGES["swing" if one.kind == "arm" else "travel"]
    unit = "deg" if one.kind == "arm" else "m"
    for key in ("low", "high"):
        value = getattr(one, key)
        if not (isfinite(value) and low <= value <= high):
            yield key, value, f"{low:g} to {high:g} {unit}"
    if not one.low <= 0.0 <= one.high or one.low == one.high:
        allowed = "low at most 0 (as it stands now), high at least 0, and not both 0"
        yield "travel", f"{one.low:g} to {one.high:g} {unit}", allowed
    elif one.kind == "arm" and one.high - one.low > 180.0:
        yield "travel", f"{one.high - one.low:g} deg", "half a turn (180 deg) or less"
    if one.kind == "slide":
        low, high = PLAN_RANGES["direction"]
        if not (isfinite(one.direction) and low <= one.direction <= high):
            yield "direction", one.direction, f"{low:g} to {high:g} deg"
        return
    for key in ("pivot_x", "pivot_y"):
        low, high = PLAN_RANGES[key[-1]]
        if not (isfinite(getattr(one, key)) and low <= getattr(one, key) <= high):
            yield key, getattr(one, key), f"{low:g} to {high:g}, SI"
    at = {p.name: (p.x, p.y) for p in pulleys}.get(one.pulley)
    if at == (one.pivot_x, one.pivot_y):
        yield "pivot", "the centre of its pulley", "a place beside it, so that the arm moves it"


@dataclass(frozen=True, slots=True)
class BeltPlan:
    """Pulleys of a belt in its order of travel, the crank first, and what moves one of them.

    Parameters
    ----------
    pulleys : tuple of PlanPulley
        The pulleys as they stand.
    tensioner : PlanTensioner, optional
        What moves one of them; none where all stand still.
    sense : str
        Way the crank turns as drawn: ``left`` (anticlockwise), ``right`` or ``either``.
    back_offset : float, optional
        Height of the pitch line over a pulley on the belt's back; the section's where none. [m]
    """

    pulleys: tuple[PlanPulley, ...]
    tensioner: PlanTensioner | None = None
    sense: str = "either"
    back_offset: float | None = None

    def __post_init__(self) -> None:
        for where, value, allowed in self.told():
            raise InputError(f"layout.{where}", value, allowed)

    def told(self) -> Iterator[Told]:
        """Yield everything that is wrong: place, what is given, what is allowed."""
        for k, pulley in enumerate(self.pulleys):
            for key, value, allowed in pulley_told(pulley):
                yield f"pulleys[{k}].{key}", value, allowed
        yield from pulleys_told(self.pulleys)
        if self.tensioner is not None:
            for key, value, allowed in tensioner_told(self.tensioner, self.pulleys):
                yield f"tensioner.{key}", value, allowed
        if self.sense not in SENSES:
            yield "sense", self.sense, "one of " + ", ".join(SENSES)
        low, high = PLAN_RANGES["back_offset"]
        if self.back_offset is not None and not low <= self.back_offset <= high:
            yield "back_offset", self.back_offset, f"{low:g} to {high:g}, SI"

    def place_of(self, role: str) -> int:
        """Return where the first pulley of a role stands in the order."""
        return [p.role for p in self.pulleys].index(role)

    @property
    def blower(self) -> str:
        """Name of the blower's pulley."""
        return self.pulleys[self.place_of("blower")].name

    def diameters(self, crank: float, blower: float) -> tuple[float, ...]:
        """Outside diameters in order, with those of crank and blower [m]."""
        own = {"crank": crank, "blower": blower}
        return tuple(own[p.role] if p.diameter is None else p.diameter for p in self.pulleys)


def fitted_diameter(drive: Drive) -> float:
    """Outside diameter of the blower's pulley with which the layout stands as told.

    Parameters
    ----------
    drive : Drive
        The drive.

    Returns
    -------
    float
        The fitted pulley's where given, else the present one's. [m]

    References
    ----------
    Definition.
    """
    fitted = drive.fitted_pulley_diameter
    return drive.blower_pulley_diameter if fitted is None else fitted


def layout_of(plan: BeltPlan, drive: Drive, blower_diameter: float | None = None) -> Layout:
    """Layout of a belt with the pulleys of a drive.

    Parameters
    ----------
    plan : BeltPlan
        Where the pulleys stand.
    drive : Drive
        Diameters and section.
    blower_diameter : float, optional
        Outside diameter of the blower's pulley; the fitted one where none. [m]

    Returns
    -------
    Layout
        For the functions of ``drive.belt_layout``. [m], [rad]

    References
    ----------
    Definition.
    """
    blower = fitted_diameter(drive) if blower_diameter is None else blower_diameter
    diameters = plan.diameters(drive.crank_pulley_diameter, blower)
    pulleys = tuple(
        Pulley(p.name, p.x, p.y, d, p.face) for p, d in zip(plan.pulleys, diameters, strict=True)
    )
    back = plan.back_offset
    if back is None:
        own = drive.section.back_offset
        on_back = any(p.face == "back" for p in plan.pulleys)
        back = own.known("layout.back_offset") if on_back else (own.value or 0.0)
    tensioner: ArmTensioner | SlideTensioner | None = None
    told = plan.tensioner
    if told is not None and told.kind == "arm":
        ends = radians(told.low), radians(told.high)
        tensioner = ArmTensioner(told.pulley, told.pivot_x, told.pivot_y, *ends)
    elif told is not None:
        tensioner = SlideTensioner(told.pulley, radians(told.direction), told.low, told.high)
    return Layout(pulleys, drive.pitch_line, back, tensioner, SENSES[plan.sense])


def told_path(plan: BeltPlan, drive: Drive) -> BeltPath:
    """Path of the belt as told, or the sentence why there is none.

    Parameters
    ----------
    plan : BeltPlan
        Where the pulleys stand.
    drive : Drive
        Diameters and section.

    Returns
    -------
    BeltPath
        The path. [m], [rad]

    References
    ----------
    Plane geometry, see ``solve_path``.
    """
    try:
        return path_now(layout_of(plan, drive))
    except InputError as error:
        raise InputError(_field(error.field), error.value, error.allowed) from None


def _field(field: str) -> str:
    for own, shown in _FIELDS.items():
        if field.startswith(own):
            return shown + field[len(own) :]
    return field


def belt_sense(plan: BeltPlan, drive: Drive) -> int:
    """Way the crank turns, for every pulley tried: the told one, else that of the belt as told.

    Parameters
    ----------
    plan : BeltPlan
        Where the pulleys stand.
    drive : Drive
        Diameters and section.

    Returns
    -------
    int
        1 where the crank turns left, -1 where right. [-]

    References
    ----------
    The rule of ``solve_path``.
    """
    if plan.sense != "either":
        return SENSES[plan.sense]
    layout = layout_of(plan, drive)
    try:
        return path_now(layout).sense
    except InputError:
        return likely_sense(layout)


def check_plan(plan: BeltPlan, drive: Drive) -> None:
    """Raise an :class:`InputError` where the belt can run round no blower pulley at all.

    A blower pulley tried that the belt cannot run round is no fault of the layout, unless it is
    told to be the one that fits.

    Parameters
    ----------
    plan : BeltPlan
        Where the pulleys stand.
    drive : Drive
        Diameters and section.
    """
    try:
        told_path(plan, drive)
    except InputError:
        if drive.fitted_pulley_diameter is not None:
            raise
        layout = layout_of(plan, drive)
        crank = drive.crank_pulley_diameter
        tried = np.array([plan.diameters(crank, float(d)) for d in _TRIED])
        senses = (SENSES[plan.sense],) if layout.sense else (1, -1)
        if not any(np.any(tried_paths(layout, tried, sense)[1]) for sense in senses):
            raise
