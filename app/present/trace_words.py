"""Words of the Trace place: curves, what is still needed, what looks wrong, the check point."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from engine_model.tracing.trace import CurveKind, PictureRef, Trace, TracedCurve

if TYPE_CHECKING:
    from engine_model.digitise.axes import CheckPoint
    from engine_model.tracing.needs import Need, TraceFault
    from engine_model.tracing.review import IslandResidual, LineResidual

NARROW: Final = "\u202f"
"""Space between thousands that does not break."""

KINDS: Final[dict[CurveKind, str]] = {
    "speed_line": "speed line",
    "surge_line": "surge line",
    "choke_line": "choke line",
    "island": "island",
}
"""Names of the kinds of curves."""

FLOW_KINDS: Final[dict[str, str]] = {
    "mass": "mass flow",
    "corrected_mass": "corrected mass flow",
    "volume": "volume flow",
}
"""Names of the kinds of flow axes."""

PRESSURE_BASES: Final[dict[str, str]] = {
    "total_to_total": "total to total",
    "total_to_static": "total to static",
}
"""Names of what the pressure ratio is taken between."""

CHECK_CLEAR, CHECK_CLOSE = 0.25, 0.5
"""Errors of the check point up to which it is clear, and close [% of span]; chosen here."""

LINE_CLOSE, OUTER_CLOSE, ISLAND_CLOSE = 0.8, 2.4, 0.8
"""Residuals from which a curve is called close: of a line between others, of the lowest and the
highest line [% of the map], of an island [points]; 0.8 of those from which one is suspect."""

SURGE_NEAR: Final = 2.0
"""How far a line may begin from the surge line without a word [% of the map]; chosen here."""

_WHOLE: Final = re.compile(r"(?<![0-9.])([0-9]{2,3})([0-9]{3})(?=(?:\.[0-9]+)? rpm)")


def speed_text(speed: float) -> str:
    """Corrected speed [rpm] as text.

    Examples
    --------
    >>> speed_text(46000.0).replace(NARROW, " ")
    '46 000 rpm'
    """
    return f"{speed:,.10g} rpm".replace(",", NARROW)


def share_text(share: float) -> str:
    """Efficiency [-] as text.

    Examples
    --------
    >>> share_text(0.725)
    '72.5 %'
    """
    return f"{100.0 * share:.4g} %"


def value_text(kind: str, value: float | None) -> str:
    """Value of a curve as text; nothing where it has none."""
    if value is None:
        return ""
    return share_text(value) if kind == "island" else speed_text(value)


def curve_title(kind: CurveKind, value: float | None) -> str:
    """A curve as the head of a row.

    Examples
    --------
    >>> curve_title("island", 0.72), curve_title("surge_line", None)
    ('island 72 %', 'surge line')
    """
    if kind in ("surge_line", "choke_line"):
        return KINDS[kind]
    if value is None:
        return f"{KINDS[kind]} without a value"
    return speed_text(value) if kind == "speed_line" else f"island {share_text(value)}"


def curve_name(curve: TracedCurve) -> str:
    """A curve within a sentence, such as ``the 46 000 rpm line``."""
    if curve.kind in ("surge_line", "choke_line"):
        return f"the {KINDS[curve.kind]}"
    noun = "line" if curve.kind == "speed_line" else "island"
    if curve.value is None:
        return f"the {noun} without a value"
    return f"the {value_text(curve.kind, curve.value)} {noun}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _spaced(text: str) -> str:
    """Text with the thousands of its speeds apart."""
    return _WHOLE.sub(lambda match: f"{match[1]}{NARROW}{match[2]}", text)


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


# what is still needed

_NEEDS: Final[dict[str, str]] = {
    "flow_kind": "Say what the flow axis shows: mass, corrected mass or volume flow",
    "flow_unit": "Say the unit of the flow axis",
    "density": "Say the density at which the volume flow is stated",
    "reference_temperature": "Say the reference temperature that flow and speed are corrected to",
    "reference_pressure": "Say the reference pressure, absolute, that the flow is corrected to",
    "pressure_basis": "Say what the pressure ratio is taken between: total to total, or static",
    "surge_line": "Trace the surge line",
    "efficiency": (
        "Trace the islands; without them an efficiency typed in the build is used everywhere"
    ),
    "title": "Give the compressor map a name",
}


def need_sentence(need: Need, trace: Trace) -> str:
    """What a usable compressor map still needs, as a sentence."""
    code, number = need.code, need.get("curve")
    curve = None if number is None else trace.curves[number]
    if code == "calibration":
        return f"Mark known points of the axes: {need.get('given')} of {need.get('wanted')} so far"
    if code == "calibration_fault":
        return f"The known points do not fit together; needed: {need.get('allowed')}"
    if code in ("speed_lines", "more_speed_lines"):
        return _lines_sentence(need.get("given"), need.get("wanted"), code)
    if curve is not None and code == "label":
        what = "efficiency" if curve.kind == "island" else "corrected speed"
        return f"Say the {what} of {_ordinal(trace, number)}"
    if curve is not None and code == "unfinished":
        have, wanted = len(curve.nodes), 3 if curve.closed else 2
        return (
            f"Go on with {_ordinal(trace, number)}: it has {_count(have, 'point')}, "
            f"{wanted} are needed"
        )
    if curve is not None and code == "one_of_its_kind":
        name = KINDS[curve.kind]
        return f"There is more than one {name}: join them, or delete the others"
    if need.get("allowed") is not None:
        return f"{_capital(code.replace('_', ' '))}: {need.get('given')} given; allowed: " + str(
            need.get("allowed")
        )
    return _NEEDS[code]


def _lines_sentence(given: int, wanted: int, code: str) -> str:
    if code == "speed_lines":
        return f"Trace speed lines: {given} of at least {wanted} so far"
    return f"Trace a speed line more: with {given} nothing tells which one is wrong"


def _ordinal(trace: Trace, number: int) -> str:
    """A curve by its place among its kind, where its label does not tell it."""
    curve = trace.curves[number]
    if curve.value is not None or curve.kind in ("surge_line", "choke_line"):
        return curve_name(curve)
    return f"{KINDS[curve.kind]} {trace.of_kind(curve.kind).index(number) + 1}"


def ready_sentence(lines: int, islands: int, needs: int, faults: int) -> str:
    """Whether the compressor map can be used, from what is missing and wrong."""
    if needs or faults:
        missing = f"{_count(needs, 'thing')} still needed" if needs else ""
        wrong = f"{_count(faults, 'fault')} to be mended" if faults else ""
        return "The compressor map cannot be used yet: " + ", ".join(
            part for part in (missing, wrong) if part
        )
    return (
        f"The compressor map can be used: {_count(lines, 'speed line')}, "
        f"{_count(islands, 'island')}"
    )


# what looks wrong


def fault_sentence(found: TraceFault, trace: Trace) -> str:
    """A fault with its curve and, where it is about a place, the point nearest to it."""
    where = "" if found.node is None else f", at point {found.node + 1}"
    head = "" if found.curve is None else f"{_capital(curve_name(trace.curves[found.curve]))}"
    start = f"{head}{where}: " if head else ""
    return _spaced(f"{start}{found.words}; allowed: {found.allowed}")


@dataclass(frozen=True, slots=True)
class Finding:
    """What is found of one curve, in words.

    Parameters
    ----------
    state : str
        ``clear``, ``close``, ``over`` or ``blank``.
    off : str
        How far it lies off its neighbours, for a cell.
    words : str
        The same as a sentence; empty where nothing can be said yet.
    """

    state: str = "blank"
    off: str = ""
    words: str = ""


def line_finding(found: LineResidual) -> Finding:
    """How far a speed line lies off what the others say, and where."""
    off = f"{found.median_percent:.1f} %"
    name = f"The {speed_text(found.speed)} line"
    begins = ""
    if found.surge_percent > SURGE_NEAR:
        begins = f" It begins {found.surge_percent:.1f} % of the map from the surge line."
    others = "its neighbours" if found.between else "the other lines"
    close = found.median_percent > (LINE_CLOSE if found.between else OUTER_CLOSE)
    if not found.suspect and not close:
        return Finding("clear", off, f"{name} agrees with {others} within {off}.{begins}")
    side = "beyond" if found.above else "short of"
    words = f"{name} lies {off} off what {others} say: look at point {found.node + 1} "
    words += f"({found.worst_percent:.1f} % {side} there).{_fitting(found)}{begins}"
    return Finding("over" if found.suspect else "close", off, words)


def _fitting(found: LineResidual) -> str:
    speed = found.fitting_speed
    if speed is None or abs(speed / found.speed - 1.0) < 0.01:
        return ""
    return f" To them it is a line of about {speed_text(float(f'{speed:.3g}'))}."


def island_finding(found: IslandResidual) -> Finding:
    """How far an island lies off what the others say, and where."""
    off = f"{found.median_points:.1f} points"
    short = f"{found.median_points:.1f} pts"
    name = f"The {share_text(found.efficiency)} island"
    others = "its neighbours" if found.between else "the other islands"
    close = found.between and found.median_points > ISLAND_CLOSE
    if not found.suspect and not close:
        return Finding("clear", short, f"{name} agrees with {others} within {off}.")
    words = f"{name} lies {off} off what {others} say: look at point {found.node + 1} "
    words += f"({found.worst_points:.1f} points there)."
    return Finding("over" if found.suspect else "close", short, words)


def curve_findings(
    trace: Trace,
    lines: Sequence[LineResidual],
    islands: Sequence[IslandResidual],
    faults: Sequence[TraceFault],
) -> tuple[Finding, ...]:
    """What is found of every curve of a trace: a fault stands before a residual."""
    found = {one.curve: line_finding(one) for one in lines}
    found |= {one.curve: island_finding(one) for one in islands}
    for fault in reversed(faults):
        if fault.curve is not None:
            off = found.get(fault.curve, Finding()).off
            found[fault.curve] = Finding("over", off or "fault", fault_sentence(fault, trace))
    return tuple(found.get(number, Finding()) for number in range(len(trace.curves)))


# axes and picture


def check_state(check: CheckPoint) -> str:
    """State of the check point: clear, close or over."""
    worst = check.worst_percent
    if worst <= CHECK_CLEAR:
        return "clear"
    return "close" if worst <= CHECK_CLOSE else "over"


def check_sentence(check: CheckPoint, unit: str) -> str:
    """Error at the check point in units and in per cent of the known points' span."""
    flow = f"flow {check.flow_error:+.3g} {unit}".rstrip()
    found = (
        f"Check point: {flow} ({abs(check.flow_percent):.2f} % of span), "
        f"pressure ratio {check.pressure_ratio_error:+.3g} "
        f"({abs(check.pressure_ratio_percent):.2f} %)"
    ).replace("-", "\u2212")
    return f"{found}. {_CHECKED[check_state(check)]}"


_CHECKED: Final[dict[str, str]] = {
    "clear": "The axes are good.",
    "close": "Usable; marking the known points again may better it.",
    "over": "Mark the known points again, and look at the values typed.",
}


def picture_facts(picture: PictureRef, pages: int = 1) -> str:
    """Size and scale of a picture."""
    words = f"{picture.width} \u00d7 {picture.height} px"
    if picture.scale != 1.0:
        whole = (round(side / picture.scale) for side in (picture.width, picture.height))
        words += f", {100.0 * picture.scale:.3g} % of " + " \u00d7 ".join(str(s) for s in whole)
    if pages > 1:
        words += f", page {picture.page + 1} of {pages}"
    return words


def pen_hint(kind: CurveKind, nodes: int, *, closable: bool = False) -> str:
    """What the next click of the pen does.

    Parameters
    ----------
    kind : str
        Kind of the curve that is drawn.
    nodes : int
        Points set so far.
    closable : bool
        Whether a click on the first point closes it.
    """
    name = KINDS[kind]
    if nodes == 0:
        return f"Click where the {name} begins{_BEGINS[kind]}."
    words = f"Click further along the {name}: the path follows the ink; with Shift it does not."
    if kind == "island" and closable:
        return words + " A click on the first point closes it, Enter leaves it open at the frame."
    return words + (" Enter ends it." if nodes > 1 else "")


_BEGINS: Final[dict[CurveKind, str]] = {
    "speed_line": ", at its surge end",
    "surge_line": ", at its lower end",
    "choke_line": ", at its lower end",
    "island": ", or at the frame where it is cut off",
}
