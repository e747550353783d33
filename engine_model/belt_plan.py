"""Where the pulleys of a build's belt stand, as the user tells it.

The diameters of crank and blower are inputs of the drive and stand there alone. Angles are in
degrees, as they are typed and kept in files.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import isfinite

from engine_model.errors import InputError

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
            allowed = f"nothing: the drive has the diameter of the {pulley.role} pulley"
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
        count = {0: "none", 1: "one"}.get(len(pulleys), f"{len(pulleys)} of them")
        yield "pulleys", count, f"2 to {MOST_PULLEYS} pulleys"
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
    movable = list(dict.fromkeys(p.name for p in pulleys if p.role != "crank" and p.name))
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
