"""What is said of a trace: needs, faults, residuals, and what the fit draws over it."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from app.gui.places.trace.panels.curves_model import CurveRow
from app.gui.places.trace.panels.needs_panel import FaultRow, NeedRow
from app.gui.places.trace.panels.rows import curve_rows, fault_rows, need_rows
from app.present.trace_words import fault_sentence, island_finding, line_finding
from engine_model.tracing.needs import TraceFault, faults, needs
from engine_model.tracing.review import Review, review
from engine_model.tracing.trace import Point, Trace

Floats = NDArray[np.float64]
Sign = tuple[Point, str, str]


@dataclass(frozen=True, slots=True, eq=False)
class Verdicts:
    """Everything that is said of a trace.

    Parameters
    ----------
    needs : tuple of NeedRow
        What is missing.
    faults : tuple of FaultRow
        What looks wrong.
    rows : tuple of CurveRow
        The list of curves.
    signs : dict
        Place on the picture [pixel], state and words of each sign, by curve.
    lines : tuple of (ndarray, str)
        What the fit draws, in values of the axes, with the style of the canvas.
    counts : tuple of int
        Speed lines and islands.
    usable : bool
        Whether nothing blocks the compressor map.
    """

    needs: tuple[NeedRow, ...] = ()
    faults: tuple[FaultRow, ...] = ()
    rows: tuple[CurveRow, ...] = ()
    signs: dict[int, list[Sign]] = field(default_factory=dict)
    lines: tuple[tuple[Floats, str], ...] = ()
    counts: tuple[int, int] = (0, 0)
    usable: bool = False


def verdicts_of(trace: Trace) -> Verdicts:
    """Judge a trace in the making; some 50 ms for a whole map."""
    missing, wrong = needs(trace), faults(trace)
    found = review(trace) if trace.curves else Review()
    return Verdicts(
        need_rows(trace, missing),
        fault_rows(trace, wrong, found.lines, found.islands),
        curve_rows(trace, found.lines, found.islands, wrong),
        _signs(trace, wrong, found),
        _lines(found),
        (len(trace.of_kind("speed_line")), len(trace.of_kind("island"))),
        not wrong and not any(one.blocking for one in missing),
    )


def _signs(trace: Trace, wrong: tuple[TraceFault, ...], found: Review) -> dict[int, list[Sign]]:
    signs: dict[int, list[Sign]] = {}
    for one in wrong:
        if one.curve is not None and one.place is not None:
            signs.setdefault(one.curve, []).append((one.place, "over", fault_sentence(one, trace)))
    told = [(line_finding(line), line.curve, line.place) for line in found.lines]
    told += [(island_finding(island), island.curve, island.place) for island in found.islands]
    for finding, curve, place in told:
        if finding.state in ("close", "over"):
            signs.setdefault(curve, []).append((place, finding.state, finding.words))
    return signs


def _lines(found: Review) -> tuple[tuple[Floats, str], ...]:
    if found.overlay is None:
        return ()
    lines = [(line.points, "speed") for line in found.overlay.lines]
    for island in found.overlay.islands:
        lines += [(piece, "island") for piece in island.pieces]
    return tuple(lines)
