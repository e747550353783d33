"""Edits of a trace: each takes a trace and returns another.

Stretches that an edit does not touch keep their path; those it touches are drawn smoothly
through the nodes until they are followed again (`stale_stretches` says which).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import hypot
from typing import Final

from engine_model.errors import InputError
from engine_model.tracing.paths import (
    Key,
    Piece,
    drawn,
    foot_on,
    known_paths,
    stretch_ends,
    stretch_paths,
)
from engine_model.tracing.trace import LABELLED, CurveKind, Node, Trace, TracedCurve

SAME_PLACE: Final = 0.5
"""How near two nodes must be to be one [pixel]; chosen here."""

ON_THE_PATH: Final = 3.0
"""How near the path a new node leaves it as it is [pixel]; chosen here."""


def add_curve(
    trace: Trace,
    kind: CurveKind,
    nodes: Sequence[Node],
    value: float | None = None,
    closed: bool = False,
) -> Trace:
    """Trace with one more curve, the last.

    Parameters
    ----------
    trace : Trace
        The trace.
    kind : str
        One of `CURVE_KINDS`.
    nodes : sequence of Node
        One or more, in order along the curve.
    value : float, optional
        Corrected speed [rpm] or efficiency [-, a share]; None if not known yet.
    closed : bool
        Whether it returns to the first node; islands only.

    Returns
    -------
    Trace
        With the curve drawn smoothly through its nodes.
    """
    if not nodes:
        raise InputError("trace.nodes", "no node", "one node or more")
    curve = _made(TracedCurve(kind, value), nodes, closed, {})
    return replace(trace, curves=(*trace.curves, curve))


def delete_curve(trace: Trace, index: int) -> Trace:
    """Trace without a curve."""
    curve_at(trace, index)
    return replace(trace, curves=(*trace.curves[:index], *trace.curves[index + 1 :]))


def relabel(trace: Trace, index: int, kind: CurveKind, value: float | None = None) -> Trace:
    """Trace with a curve of another kind or value (speed in rpm, efficiency as a share)."""
    return _with(trace, index, replace(curve_at(trace, index), kind=kind, value=value))


def move_node(trace: Trace, index: int, node: int, x: float, y: float) -> Trace:
    """Trace with a node of a curve at another place [pixel]."""
    nodes = list(curve_at(trace, index).nodes)
    _number("trace.node", node, len(nodes))
    nodes[node] = replace(nodes[node], x=x, y=y)
    return _redrawn(trace, index, nodes)


def insert_node(
    trace: Trace, index: int, stretch: int, x: float, y: float, free: bool | None = None
) -> Trace:
    """Trace with one more node [pixel] on a stretch of a curve, from 0, which is cut in two.

    Near the path the path stays as it is. Both halves are free as said, or else as the stretch
    was.
    """
    curve = curve_at(trace, index)
    _number("trace.stretch", stretch, curve.stretches)
    after = (stretch + 1) % len(curve.nodes)
    flag = curve.nodes[after].free if free is None else free
    node = Node(x, y, flag)
    nodes = list(curve.nodes)
    nodes[after] = replace(nodes[after], free=flag)
    nodes.insert(stretch + 1, node)
    known = known_paths(curve)
    piece = stretch_paths(curve)[stretch] if curve.path else ()
    if len(piece) > 1 and flag == curve.nodes[after].free:
        apart, foot, row = foot_on(piece, node.place)
        if apart <= ON_THE_PATH:
            start, end, _ = stretch_ends(curve)[stretch]
            known[start, node.place, flag] = (*piece[: row + 1], foot)
            known[node.place, end, flag] = (foot, *piece[row + 1 :])
    return _with(trace, index, _made(curve, nodes, curve.closed, known))


def append_node(trace: Trace, index: int, x: float, y: float, free: bool = False) -> Trace:
    """Trace with one more node [pixel] at the end of an open curve."""
    curve = _open(trace, index)
    return _redrawn(trace, index, [*curve.nodes, Node(x, y, free)])


def delete_node(trace: Trace, index: int, node: int) -> Trace:
    """Trace without a node of a curve; without the curve, if it was its last."""
    curve = curve_at(trace, index)
    _number("trace.node", node, len(curve.nodes))
    nodes = list(curve.nodes)
    del nodes[node]
    if not nodes:
        return delete_curve(trace, index)
    return _redrawn(trace, index, nodes)


def set_free(trace: Trace, index: int, stretch: int, free: bool) -> Trace:
    """Trace with a stretch of a curve drawn freely, or following the ink."""
    curve = curve_at(trace, index)
    _number("trace.stretch", stretch, curve.stretches)
    nodes = list(curve.nodes)
    after = (stretch + 1) % len(nodes)
    nodes[after] = replace(nodes[after], free=free)
    return _redrawn(trace, index, nodes)


def split_at(trace: Trace, index: int, node: int) -> Trace:
    """Trace with a curve cut in two at an inner node, which both halves keep.

    The second half comes right after the first. A closed curve is opened at any of its nodes,
    which then stands at both its ends.
    """
    curve = curve_at(trace, index)
    known = known_paths(curve)
    if curve.closed:
        _number("trace.node", node, len(curve.nodes))
        nodes = (*curve.nodes[node:], *curve.nodes[:node], curve.nodes[node])
        return _with(trace, index, _made(curve, nodes, False, known))
    if not 0 < node < len(curve.nodes) - 1:
        raise InputError("trace.node", node, f"an inner node, 1 to {len(curve.nodes) - 2}")
    halves = (curve.nodes[: node + 1], curve.nodes[node:])
    made = [_made(curve, half, False, known) for half in halves]
    return replace(trace, curves=(*trace.curves[:index], *made, *trace.curves[index + 1 :]))


def join(trace: Trace, index: int, other: int) -> Trace:
    """Trace with two open curves of a kind made one, at their nearest ends.

    The first keeps its direction, its value if it has one, and its place in the list; the other
    goes.
    """
    one, two = _open(trace, index), _open(trace, other)
    if index == other:
        raise InputError("trace.join", (index, other), "two curves; one is closed, not joined")
    if one.kind != two.kind:
        raise InputError("trace.join", f"{one.kind} and {two.kind}", "two curves of one kind")
    ends = [
        (_apart(a, b), ours, theirs)
        for ours, a in ((-1, one.nodes[-1]), (0, one.nodes[0]))
        for theirs, b in ((0, two.nodes[0]), (-1, two.nodes[-1]))
    ]
    apart, ours, theirs = min(ends, key=lambda end: end[0])
    # the other runs on from our end, or leads to our beginning
    turned = (ours == -1) != (theirs == 0)
    added = _reversed(two).nodes if turned else two.nodes
    first, second = (one.nodes, added) if ours == -1 else (added, one.nodes)
    nodes = (*first, *second[1 if apart <= SAME_PLACE else 0 :])
    value = two.value if one.value is None else one.value
    joined = _made(replace(one, value=value), nodes, False, known_paths(one, two))
    return delete_curve(_with(trace, index, joined), other)


def reverse(trace: Trace, index: int) -> Trace:
    """Trace with a curve running the other way; a closed one still begins at its first node."""
    return _with(trace, index, _reversed(curve_at(trace, index)))


def close_curve(trace: Trace, index: int, free: bool = False) -> Trace:
    """Trace with an island closed, by a stretch that is free or follows the ink."""
    curve = _open(trace, index)
    if curve.kind != "island":
        raise InputError("trace.closed", curve.kind, "islands only")
    nodes = list(curve.nodes)
    if len(nodes) > 1 and _apart(nodes[0], nodes[-1]) <= SAME_PLACE:
        # a node that stands twice: its stretch becomes the closing one
        free = nodes.pop().free
    if len(nodes) < 3:
        raise InputError("trace.closed", f"{len(nodes)} nodes", "three nodes or more")
    nodes[0] = replace(nodes[0], free=free)
    return _with(trace, index, _made(curve, nodes, True, known_paths(curve)))


def open_curve(trace: Trace, index: int, stretch: int | None = None) -> Trace:
    """Trace with a closed curve opened by taking a stretch away; the closing one if not given."""
    curve = curve_at(trace, index)
    if not curve.closed:
        raise InputError("trace.closed", "an open curve", "a closed curve")
    last = len(curve.nodes) - 1 if stretch is None else stretch
    _number("trace.stretch", last, curve.stretches)
    nodes = (*curve.nodes[last + 1 :], *curve.nodes[: last + 1])
    return _with(trace, index, _made(curve, nodes, False, known_paths(curve)))


def stale_stretches(before: TracedCurve | None, after: TracedCurve) -> tuple[int, ...]:
    """Stretches of a curve that must be followed again.

    Parameters
    ----------
    before : TracedCurve, optional
        The curve whose stretches are followed already; none for a new one.
    after : TracedCurve
        The curve after edits.

    Returns
    -------
    tuple of int
        Numbers of the stretches whose ends are not those of one before, free ones left out.
    """
    known = set() if before is None else set(known_paths(before))
    return tuple(
        number
        for number, ends in enumerate(stretch_ends(after))
        if not ends[2] and ends not in known
    )


def next_label(trace: Trace, kind: CurveKind) -> float | None:
    """Guess of the next value of a kind: one step on from the last two that differ.

    Parameters
    ----------
    trace : Trace
        The trace.
    kind : str
        One of `CURVE_KINDS`.

    Returns
    -------
    float or None
        Corrected speed [rpm] or efficiency [-, a share]; None where there is nothing to go by.
    """
    if kind not in LABELLED:
        return None
    values = [c.value for c in trace.curves if c.kind == kind and c.value is not None]
    distinct = [v for v, w in zip(values, [None, *values], strict=False) if v != w]
    if len(distinct) < 2:
        return None
    step = distinct[-1] - distinct[-2]
    guess = round(distinct[-1] + step, 6)
    while guess in values:
        guess = round(guess + step, 6)
    return guess if guess > 0.0 and (kind != "island" or guess < 1.0) else None


def curve_at(trace: Trace, index: int) -> TracedCurve:
    """Curve of a number, counted from 0."""
    _number("trace.curve", index, len(trace.curves))
    return trace.curves[index]


def _number(where: str, given: int, count: int) -> None:
    if not 0 <= given < count:
        allowed = f"0 to {count - 1}" if count else "nothing, there is none"
        raise InputError(where, given, allowed)


def _open(trace: Trace, index: int) -> TracedCurve:
    curve = curve_at(trace, index)
    if curve.closed:
        raise InputError("trace.closed", "a closed curve", "an open curve")
    return curve


def _with(trace: Trace, index: int, curve: TracedCurve) -> Trace:
    return replace(trace, curves=(*trace.curves[:index], curve, *trace.curves[index + 1 :]))


def _redrawn(trace: Trace, index: int, nodes: Sequence[Node]) -> Trace:
    curve = trace.curves[index]
    closed = curve.closed and len(nodes) > 2
    return _with(trace, index, _made(curve, nodes, closed, known_paths(curve)))


def _made(
    curve: TracedCurve, nodes: Sequence[Node], closed: bool, known: Mapping[Key, Piece]
) -> TracedCurve:
    path, breaks = drawn(nodes, closed, known)
    return replace(curve, nodes=tuple(nodes), closed=closed, path=path, breaks=breaks)


def _reversed(curve: TracedCurve) -> TracedCurve:
    old, count = curve.nodes, len(curve.nodes)
    if curve.closed:
        # the first stays the first; the flag goes with the stretch
        nodes = [replace(old[-n % count], free=old[(1 - n) % count].free) for n in range(count)]
    else:
        nodes = [replace(old[count - 1 - n], free=old[-n % count].free) for n in range(count)]
    return _made(curve, nodes, curve.closed, known_paths(curve))


def _apart(one: Node, other: Node) -> float:
    return hypot(one.x - other.x, one.y - other.y)
