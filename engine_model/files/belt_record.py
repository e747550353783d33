"""The layout of a belt in a file of a build: its record, its faults beyond the structure."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Annotated, Any, Final, Literal

from msgspec import UNSET, Meta, Struct, UnsetType

from engine_model.belt_plan import (
    PLAN_RANGES,
    BeltPlan,
    PlanPulley,
    PlanTensioner,
    Told,
    pulley_told,
    pulleys_told,
    tensioner_told,
)
from engine_model.errors import Fault
from engine_model.files.layout import plain
from engine_model.files.reading import describe


def _figure(name: str) -> Any:
    low, high = PLAN_RANGES[name]
    return Annotated[float, Meta(ge=low, le=high)]


class LayoutPulleyRecord(Struct, forbid_unknown_fields=True, frozen=True, kw_only=True):
    """A pulley; crank and blower have their diameters in the section drive."""

    name: Annotated[str, Meta(description="must not be empty")]
    role: Literal["crank", "blower", "accessory", "idler"]
    x_m: _figure("x")  # type: ignore[valid-type]
    y_m: _figure("y")  # type: ignore[valid-type]
    diameter_m: _figure("diameter") | None = None  # type: ignore[valid-type]
    face: Literal["grooved", "back"] = "grooved"
    power_w: _figure("power") = 0.0  # type: ignore[valid-type]


class TensionerRecord(Struct, forbid_unknown_fields=True, frozen=True, kw_only=True):
    """What moves one pulley; an arm has pivot and degrees, a slide direction and metres."""

    pulley: str
    kind: Literal["arm", "slide"]
    pivot_x_m: _figure("x") | UnsetType = UNSET  # type: ignore[valid-type]
    pivot_y_m: _figure("y") | UnsetType = UNSET  # type: ignore[valid-type]
    low_deg: _figure("swing") | UnsetType = UNSET  # type: ignore[valid-type]
    high_deg: _figure("swing") | UnsetType = UNSET  # type: ignore[valid-type]
    direction_deg: _figure("direction") | UnsetType = UNSET  # type: ignore[valid-type]
    low_m: _figure("travel") | UnsetType = UNSET  # type: ignore[valid-type]
    high_m: _figure("travel") | UnsetType = UNSET  # type: ignore[valid-type]


class LayoutRecord(Struct, forbid_unknown_fields=True, frozen=True, kw_only=True):
    """Pulleys of the belt in its order of travel, the crank first."""

    pulleys: list[LayoutPulleyRecord]
    tensioner: TensionerRecord | None = None
    crank_turns: Literal["left", "right", "either"] = "either"
    back_offset_m: _figure("back_offset") | None = None  # type: ignore[valid-type]


TENSIONER_KEYS: Final[dict[str, dict[str, str]]] = {
    "arm": {
        "pivot_x": "pivot_x_m",
        "pivot_y": "pivot_y_m",
        "low": "low_deg",
        "high": "high_deg",
    },
    "slide": {"direction": "direction_deg", "low": "low_m", "high": "high_m"},
}
"""Keys of a tensioner in a file by its fields, a table a kind."""

_PULLEY_KEYS: Final = {
    "name": "name",
    "role": "role",
    "x": "x_m",
    "y": "y_m",
    "diameter": "diameter_m",
    "face": "face",
    "power": "power_w",
}
_LAST: Final = re.compile(r"\.(\w+)$")


def plan_to_document(plan: BeltPlan) -> dict[str, Any]:
    """Layout of a belt as JSON has it.

    Parameters
    ----------
    plan : BeltPlan
        The layout.

    Returns
    -------
    dict
        Its section of the file.
    """
    written: dict[str, Any] = {"pulleys": [_pulley_to_document(one) for one in plan.pulleys]}
    one = plan.tensioner
    if one is not None:
        figures = {key: plain(getattr(one, f)) for f, key in TENSIONER_KEYS[one.kind].items()}
        written["tensioner"] = {"pulley": one.pulley, "kind": one.kind, **figures}
    written["crank_turns"] = plan.sense
    if plan.back_offset is not None:
        written["back_offset_m"] = plain(plan.back_offset)
    return written


def _pulley_to_document(one: PlanPulley) -> dict[str, Any]:
    written: dict[str, Any] = {
        "name": one.name,
        "role": one.role,
        "x_m": plain(one.x),
        "y_m": plain(one.y),
    }
    if one.diameter is not None:
        written["diameter_m"] = plain(one.diameter)
    written["face"] = one.face
    if one.role == "accessory":
        written["power_w"] = plain(one.power)
    return written


def plan_of(content: dict[str, Any]) -> BeltPlan:
    """Layout of a belt from a section without fault.

    Parameters
    ----------
    content : dict
        The section of the file, as ``plan_faults`` found it sound.

    Returns
    -------
    BeltPlan
        The layout.

    Raises
    ------
    InputError
        Where ``plan_faults`` has one.
    """
    pulleys, tensioner = _pulleys(content), content.get("tensioner")
    return BeltPlan(
        tuple(pulleys.values()),
        None if tensioner is None else _tensioner(tensioner),
        content.get("crank_turns", "either"),
        content.get("back_offset_m"),
    )


def _pulleys(content: dict[str, Any]) -> dict[int, PlanPulley]:
    """Pulleys of a section by their places; what is broken stands at its default."""
    found = {}
    for k, one in enumerate(content.get("pulleys") or ()):
        if one is not None:
            values = {field: one[key] for field, key in _PULLEY_KEYS.items() if key in one}
            found[k] = PlanPulley(**{"name": f"#{k}", "role": "", "x": 0.0, "y": 0.0, **values})
    return found


def _tensioner(content: dict[str, Any]) -> PlanTensioner:
    keys = TENSIONER_KEYS.get(content.get("kind", ""), {})
    values = {field: content[key] for field, key in keys.items() if key in content}
    return PlanTensioner(
        **{
            "pulley": content.get("pulley", ""),
            "kind": content.get("kind", ""),
            "low": 0.0,
            "high": 0.0,
            **values,
        }
    )


def plan_faults(content: dict[str, Any], broken: set[str]) -> Iterator[Fault]:
    """Faults of a belt's layout beyond its structure.

    Parameters
    ----------
    content : dict
        The sound part of the section.
    broken : set of str
        Places at fault in the structure; what stands there is not judged again.

    Yields
    ------
    Fault
        One a fault.
    """
    if "layout.pulleys" in broken:
        return
    pulleys = _pulleys(content)
    for k, one in pulleys.items():
        where = f"layout.pulleys[{k}]"
        yield from _faults(where, pulley_told(one), _PULLEY_KEYS, broken)
    if any(place.startswith("layout.pulleys[") for place in broken):
        return
    order = tuple(pulleys.values())
    for place, value, allowed in pulleys_told(order):
        given = describe(value) if place.endswith((".name", ".role")) else str(value)
        yield Fault(f"layout.{place}", given, allowed)
    tensioner = content.get("tensioner")
    if tensioner is None:
        return
    where, kind = "layout.tensioner", tensioner.get("kind", "")
    keys = TENSIONER_KEYS.get(kind, {})
    lacking = [key for key in keys.values() if key not in tensioner]
    for key in (one for one in lacking if f"{where}.{one}" not in broken):
        yield Fault(f"{where}.{key}", "nothing", f"a number, which kind {kind} needs")
    foreign = [key for k in TENSIONER_KEYS if k != kind for key in TENSIONER_KEYS[k].values()]
    for key in (one for one in tensioner if one in foreign and one not in keys.values() and keys):
        yield Fault(f"{where}.{key}", describe(tensioner[key]), f"nothing: kind is {kind}")
    told = tensioner_told(_tensioner(tensioner), order)
    if lacking:
        told = (one for one in told if one[0] == "pulley")
    yield from _faults(where, told, {"pulley": "pulley", "kind": "kind", **keys}, broken)


def _faults(
    where: str, told: Iterator[Told], keys: dict[str, str], broken: set[str]
) -> Iterator[Fault]:
    for field, value, allowed in told:
        place = f"{where}.{keys[field]}" if field in keys else where
        if place not in broken:
            given = describe(value) if field in keys else str(value)
            yield Fault(place, "nothing" if value is None else given, allowed)


def plan_key(field: str) -> str:
    """Place in a file of a field of the layout, such as ``layout.back_offset``.

    Parameters
    ----------
    field : str
        Path of a field as the layout tells it.

    Returns
    -------
    str
        The place, with the unit in the key's name.
    """
    keys = {**_PULLEY_KEYS, "back_offset": "back_offset_m", "sense": "crank_turns"}
    return _LAST.sub(lambda found: f".{keys.get(found[1], found[1])}", field)
