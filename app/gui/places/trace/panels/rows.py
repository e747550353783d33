"""Rows of the panels from a trace and what was found of it."""

from __future__ import annotations

from collections.abc import Sequence

from app.gui.places.trace.panels.curves_model import CurveRow
from app.gui.places.trace.panels.needs_panel import FaultRow, NeedRow
from app.present.trace_words import (
    Finding,
    curve_findings,
    fault_sentence,
    island_finding,
    line_finding,
    need_sentence,
)
from engine_model.tracing.needs import Need, TraceFault
from engine_model.tracing.review import IslandResidual, LineResidual
from engine_model.tracing.trace import Trace

Lines = Sequence[LineResidual]
Islands = Sequence[IslandResidual]


def curve_rows(
    trace: Trace, lines: Lines = (), islands: Islands = (), faults: Sequence[TraceFault] = ()
) -> tuple[CurveRow, ...]:
    """Rows of the list of curves."""
    found: Sequence[Finding] = curve_findings(trace, lines, islands, faults)
    return tuple(
        CurveRow(c.kind, c.value, len(c.nodes), c.closed, one.state, one.off, one.words)
        for c, one in zip(trace.curves, found, strict=True)
    )


def need_rows(trace: Trace, needs: Sequence[Need]) -> tuple[NeedRow, ...]:
    """Rows of what is still needed."""
    return tuple(
        NeedRow(one.code, need_sentence(one, trace), one.get("curve"), one.blocking)
        for one in needs
    )


def fault_rows(
    trace: Trace, faults: Sequence[TraceFault], lines: Lines = (), islands: Islands = ()
) -> tuple[FaultRow, ...]:
    """Rows of what looks wrong: faults, then curves that do not agree with their neighbours."""
    rows = [FaultRow(fault_sentence(one, trace), one.curve, one.node) for one in faults]
    told = [(line_finding(one), one.curve, one.node) for one in lines]
    told += [(island_finding(one), one.curve, one.node) for one in islands]
    for state in ("over", "close"):
        rows += [
            FaultRow(one.words, curve, node, state, False)
            for one, curve, node in told
            if one.state == state
        ]
    return tuple(rows)
