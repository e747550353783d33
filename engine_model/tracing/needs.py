"""What a trace still needs before it is a map, and what is wrong with it: codes and places."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from engine_model.errors import Fault, InputError
from engine_model.files.map_faults import map_faults
from engine_model.tracing.document import (
    MapDocument,
    calibration_of,
    document_of,
    flow_scale,
    path_of,
)
from engine_model.tracing.trace import LABELLED, Point, Trace, TracedCurve

LEAST_LINES: Final = 2
"""Speed lines a map must have."""

GOOD_LINES: Final = 3
"""Speed lines a map should have; with two nothing tells a wrong one."""

_STATE: Final = ("reference_temperature", "reference_pressure", "pressure_basis")
_WORDS: Final = {
    "calibration": "four known points or more, each with its values",
    "calibration_fault": "known points that fit together",
    "flow_kind": "mass, corrected_mass or volume",
    "flow_unit": "a unit of flow of its kind",
    "density": "the density of the stated volume flow",
    "reference_temperature": "the total temperature flow and speed are corrected to",
    "reference_pressure": "the total pressure flow is corrected to, absolute",
    "pressure_basis": "total_to_total or total_to_static",
    "speed_lines": f"{LEAST_LINES} speed lines or more",
    "more_speed_lines": f"{GOOD_LINES} speed lines or more, so that one checks the others",
    "surge_line": "a surge line",
    "one_of_its_kind": "one surge line and one choke line; join or delete the other",
    "label": "a corrected speed, an efficiency",
    "unfinished": "two nodes or more, three if closed",
    "efficiency": "islands, or an efficiency typed in the build",
    "title": "a name",
}
_PLACES: Final = re.compile(r"(?:speed_lines|islands)\[\d+\]|surge_line|choke_line")
_POINT: Final = re.compile(r"(?:\.points|_line)\[(\d+)\]")
_NEAR: Final = re.compile(r"near (\S+) kg/s and pressure ratio (\S+)$")


@dataclass(frozen=True, slots=True)
class Need:
    """Something a trace still needs.

    Parameters
    ----------
    code : str
        What, such as ``calibration`` or ``label``.
    params : tuple of (str, object)
        ``given`` and ``wanted`` counts, ``curve`` (its number), ``kind``, ``unit``, ``allowed``
        (words of a refusal), as the code has them.
    blocking : bool
        Whether there is no map without it; else the map is poorer.
    """

    code: str
    params: tuple[tuple[str, object], ...] = ()
    blocking: bool = True

    def get(self, name: str) -> Any:
        """Value of a parameter; None if the code has none of that name."""
        return dict(self.params).get(name)

    def fault(self) -> Fault:
        """The need as a fault of the trace's file."""
        curve = self.get("curve")
        where = "trace" if curve is None else f"trace.curves[{curve}]"
        given = self.get("given")
        counted = "known points" if self.code == "calibration" else "speed lines"
        value = f"{given} {counted}" if isinstance(given, int) else f"no {self.code}"
        if given is not None and not isinstance(given, int):
            value = str(given)
        return Fault(where, value.replace("_", " "), self.get("allowed") or _WORDS[self.code])


@dataclass(frozen=True, slots=True)
class TraceFault:
    """Something wrong with a trace, as the check of its map's file says it, with its place.

    Parameters
    ----------
    fault : Fault
        The verdict, its place that in the map's file.
    words : str
        What is wrong, the curves named by their labels.
    allowed : str
        What is allowed, the curves named by their labels.
    curve : int, optional
        Number of the curve; none where it is about none.
    point : int, optional
        Number of the nearest point of its path, where it is about a place.
    node : int, optional
        Number of the nearest node.
    place : (float, float), optional
        The place itself. [pixel]
    others : tuple of int
        Numbers of the other curves it is about.
    """

    fault: Fault
    words: str
    allowed: str
    curve: int | None = None
    point: int | None = None
    node: int | None = None
    place: Point | None = None
    others: tuple[int, ...] = ()


def needs(trace: Trace) -> tuple[Need, ...]:
    """What a usable map still needs, in the order of the work.

    Parameters
    ----------
    trace : Trace
        The trace.

    Returns
    -------
    tuple of Need
        Empty where nothing is missing; without blocking ones there is a map.
    """
    found = [*axes_needs(trace), *_curve_needs(trace)]
    if not trace.title.strip():
        found.append(Need("title", blocking=False))
    return tuple(found)


def axes_needs(trace: Trace) -> list[Need]:
    """What the axes still need: calibration, flow unit, reference state."""
    axes, found = trace.axes, []
    known = min(len(axes.places_px), len(axes.values))
    if known < 4 or len(axes.places_px) != len(axes.values):
        found.append(Need("calibration", (("given", known), ("wanted", 4))))
    else:
        try:
            calibration_of(axes)
        except InputError as error:
            given = (("given", str(error.value)), ("allowed", error.allowed))
            found.append(Need("calibration_fault", given))
    if axes.flow_kind is None:
        found.append(Need("flow_kind"))
    if axes.flow_unit is None:
        found.append(Need("flow_unit"))
    elif axes.flow_kind is not None:
        try:
            flow_scale(axes)
        except InputError as error:
            code = error.field.removeprefix("trace.")
            given = (("given", str(error.value)), ("allowed", error.allowed))
            found.append(Need(code, () if code == "density" else given))
    found += [Need(name) for name in _STATE if getattr(axes, name) is None]
    return found


def _curve_needs(trace: Trace) -> list[Need]:
    found = []
    lines = [n for n in trace.of_kind("speed_line") if _counts(trace.curves[n])]
    for number, curve in enumerate(trace.curves):
        where = (("curve", number), ("kind", curve.kind))
        if not curve.whole:
            given = f"a curve of {len(curve.nodes)} nodes"
            found.append(Need("unfinished", (*where, ("given", given))))
        elif curve.kind in LABELLED and curve.value is None:
            found.append(Need("label", where))
        elif number in trace.of_kind(curve.kind)[1:] and curve.kind not in LABELLED:
            given = f"a second {curve.kind.replace('_', ' ')}"
            found.append(Need("one_of_its_kind", (*where, ("given", given))))
    if len(lines) < GOOD_LINES:
        few = len(lines) < LEAST_LINES
        counts = (("given", len(lines)), ("wanted", LEAST_LINES if few else GOOD_LINES))
        found.append(Need("speed_lines" if few else "more_speed_lines", counts, few))
    if not any(trace.curves[n].whole for n in trace.of_kind("surge_line")):
        found.append(Need("surge_line"))
    if not any(_counts(trace.curves[n]) for n in trace.of_kind("island")):
        found.append(Need("efficiency", blocking=False))
    return found


def _counts(curve: TracedCurve) -> bool:
    return curve.whole and curve.value is not None


def faults(trace: Trace) -> tuple[TraceFault, ...]:
    """What is wrong with a trace: the verdicts the check of its map's file would give.

    Parameters
    ----------
    trace : Trace
        The trace; only what is there is judged.

    Returns
    -------
    tuple of TraceFault
        Empty where nothing is wrong, or while calibration or flow unit are missing.
    """
    if any(need.code in _BEFORE_VALUES for need in axes_needs(trace)):
        return ()
    document = document_of(trace)
    return tuple(_placed(trace, document, one) for one in map_faults(document.content))


_BEFORE_VALUES: Final = ("calibration", "calibration_fault", "flow_kind", "flow_unit", "density")


def _placed(trace: Trace, document: MapDocument, fault: Fault) -> TraceFault:
    names = document.curves

    def named(text: str) -> str:
        return _PLACES.sub(
            lambda m: curve_name(trace.curves[names[m[0]]]) if m[0] in names else m[0], text
        )

    at = _PLACES.match(fault.where)
    curve = names.get(at[0]) if at else None
    texts = _PLACES.findall(f"{fault.value} {fault.allowed}")
    others = dict.fromkeys(names[name] for name in texts if name in names)
    if curve is not None:
        others.pop(curve, None)
    words, allowed = named(fault.value), named(fault.allowed)
    value = _value_at(document, fault, at[0] if at else "")
    if value is None or curve is None:
        return TraceFault(fault, words, allowed, curve, others=tuple(others))
    point = (value[0] / flow_scale(trace.axes), value[1])
    x, y = calibration_of(trace.axes).to_pixels(point).tolist()
    return TraceFault(
        fault, words, allowed, curve, *nearest(trace.curves[curve], (x, y)), (x, y), tuple(others)
    )


def _value_at(document: MapDocument, fault: Fault, name: str) -> Point | None:
    """Flow [kg/s] and pressure ratio [-] that a fault is about."""
    crossing = _NEAR.search(fault.value)
    if crossing:
        return float(crossing[1]), float(crossing[2])
    number = _POINT.search(fault.where)
    if number is None:
        return None
    curve: Any = document.content
    for part in re.findall(r"[a-z_]+|\d+", name):
        curve = curve[int(part) if part.isdigit() else part]
    points = curve if isinstance(curve, list) else curve["points"]
    flow, ratio = points[int(number[1])]
    return flow, ratio


def nearest(curve: TracedCurve, place: Point) -> tuple[int, int]:
    """Point of a curve's path, and node of it, nearest to a place [pixel]."""
    apart = np.hypot(*(path_of(curve) - np.array(place)).T)
    nodes = np.array([node.place for node in curve.nodes])
    return int(np.argmin(apart)), int(np.argmin(np.hypot(*(nodes - np.array(place)).T)))


def curve_name(curve: TracedCurve) -> str:
    """A curve by its label, such as "the 46000 rpm line"."""
    if curve.kind in ("surge_line", "choke_line"):
        return "the " + curve.kind.replace("_", " ")
    noun = "line" if curve.kind == "speed_line" else "island"
    if curve.value is None:
        return f"the {noun} without a value"
    if curve.kind == "speed_line":
        return f"the {curve.value:.10g} rpm line"
    return f"the {100.0 * curve.value:.4g} % island"
