"""Edits of a trace: what each does to the nodes, that inverses undo it, which paths stay."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine_model.errors import InputError
from engine_model.tracing import edits
from engine_model.tracing.edits import stale_stretches
from engine_model.tracing.trace import Axes, Node, Trace, TracedCurve

SQUARE = ((0.0, 0.0), (100.0, 0.0), (100.0, 80.0), (0.0, 80.0))


def nodes(*places, free=()):
    return [Node(x, y, number in free) for number, (x, y) in enumerate(places)]


def places(curve):
    return [node.place for node in curve.nodes]


def flags(curve):
    return [node.free for node in curve.nodes]


def with_line(*at, free=()):
    return edits.add_curve(Trace(), "speed_line", nodes(*at, free=free), 46e3)


LINE = with_line((0, 0), (50, 4), (100, 9), (150, 30))
RING = edits.add_curve(Trace(), "island", nodes(*SQUARE, free=(0, 2)), 0.7, closed=True)


def test_a_curve_is_added_last_and_drawn_through_its_nodes():
    both = edits.add_curve(LINE, "surge_line", nodes((0, 0), (10, 40)))
    assert [curve.kind for curve in both.curves] == ["speed_line", "surge_line"]
    curve = both.curves[0]
    assert [curve.path[n] for n in curve.breaks] == places(curve)
    assert edits.delete_curve(both, 1) == LINE


def test_two_nodes_are_joined_straight():
    curve = with_line((0, 0), (30, 40)).curves[0]
    assert curve.path == ((0.0, 0.0), (30.0, 40.0))


def test_a_node_moves_and_comes_back():
    moved = edits.move_node(LINE, 0, 1, 60.0, -3.0)
    assert places(moved.curves[0])[1] == (60.0, -3.0)
    assert edits.move_node(moved, 0, 1, 50.0, 4.0).curves[0].nodes == LINE.curves[0].nodes
    # both stretches that meet there, and no other
    assert stale_stretches(LINE.curves[0], moved.curves[0]) == (0, 1)


def test_what_an_edit_does_not_touch_keeps_its_path():
    followed = replace(
        LINE.curves[0],
        path=((0.0, 1.0), (25.0, 9.0), (50.0, 4.0), (75.0, 1.0), (100.0, 9.0), (150.0, 31.0)),
        breaks=(0, 2, 4, 5),
    )
    trace = replace(LINE, curves=(followed,))
    last = edits.move_node(trace, 0, 3, 160.0, 40.0).curves[0]
    assert last.path[: last.breaks[2] + 1] == followed.path[:5]
    first = edits.move_node(trace, 0, 0, 2.0, 2.0).curves[0]
    assert first.path[first.breaks[1] :] == followed.path[2:]
    # a node put on the path leaves all of it
    more = edits.insert_node(trace, 0, 1, 75.2, 1.5).curves[0]
    assert set(followed.path) <= set(more.path)
    assert len(more.breaks) == 5
    # one put far off it draws its two halves anew
    far = edits.insert_node(trace, 0, 1, 75.0, 20.0).curves[0]
    assert (75.0, 1.0) not in far.path
    assert far.path[: far.breaks[1] + 1] == followed.path[:3]
    assert stale_stretches(followed, far) == (1, 2)


def test_a_node_is_inserted_and_deleted():
    more = edits.insert_node(LINE, 0, 2, 120.0, 15.0)
    assert places(more.curves[0])[2:] == [(100, 9), (120, 15), (150, 30)]
    assert edits.delete_node(more, 0, 3).curves[0].nodes == LINE.curves[0].nodes
    # into the stretch that closes
    ring = edits.insert_node(RING, 0, 3, 0.0, 40.0).curves[0]
    assert places(ring) == [*map(tuple, SQUARE), (0.0, 40.0)]
    assert flags(ring) == [True, False, True, False, True]


def test_the_last_node_takes_its_curve_along():
    one = edits.add_curve(Trace(), "island", nodes((3, 4)))
    assert edits.delete_node(one, 0, 0).curves == ()
    ring = edits.add_curve(Trace(), "island", nodes(*SQUARE[:3]), 0.7, closed=True)
    assert not edits.delete_node(ring, 0, 1).curves[0].closed


def test_a_stretch_is_set_free_and_its_own_alone():
    free = edits.set_free(LINE, 0, 1, True)
    assert flags(free.curves[0]) == [False, False, True, False]
    assert stale_stretches(LINE.curves[0], free.curves[0]) == ()  # nothing to follow
    assert edits.set_free(free, 0, 1, False).curves[0].nodes == LINE.curves[0].nodes
    assert stale_stretches(free.curves[0], LINE.curves[0]) == (1,)
    assert flags(edits.set_free(RING, 0, 3, False).curves[0]) == [False, False, True, False]


def test_reversing_carries_free_stretches_along():
    line = with_line((0, 0), (1, 5), (2, 9), (3, 30), free=(1,))  # 0 to 1 is free
    turned = edits.reverse(line, 0).curves[0]
    assert places(turned) == [(3, 30), (2, 9), (1, 5), (0, 0)]
    assert flags(turned)[1:] == [False, False, True]
    # the ring's free stretches are 3 to 0 and 1 to 2; walked the other way from 0: 0, 3, 2, 1
    ring = edits.reverse(RING, 0).curves[0]
    assert places(ring) == [SQUARE[0], SQUARE[3], SQUARE[2], SQUARE[1]]
    assert flags(ring) == [False, True, False, True]


def test_halves_share_the_node_they_were_cut_at():
    cut = edits.split_at(LINE, 0, 2)
    first, second = cut.curves
    assert places(first) == [(0, 0), (50, 4), (100, 9)]
    assert places(second) == [(100, 9), (150, 30)]
    assert first.value == second.value == 46e3
    assert edits.join(cut, 0, 1) == LINE


def test_curves_are_joined_at_their_nearest_ends():
    for far_first in (False, True):
        at = [(160, 33), (200, 60)]
        two = edits.add_curve(LINE, "speed_line", nodes(*(at[::-1] if far_first else at)), 5e4)
        joined = edits.join(two, 0, 1)
        assert places(joined.curves[0]) == [*places(LINE.curves[0]), *at]
        assert joined.curves[0].value == 46e3
        before = edits.join(two, 1, 0).curves
        assert len(before) == 1
        assert before[0].value == 5e4
        assert places(before[0])[0] == ((200, 60) if far_first else (0, 0))


def test_a_ring_is_opened_and_closed():
    opened = edits.open_curve(RING, 0)
    assert places(opened.curves[0]) == list(SQUARE)
    assert edits.close_curve(opened, 0, free=True) == RING
    elsewhere = edits.open_curve(RING, 0, 1).curves[0]
    assert places(elsewhere) == [SQUARE[2], SQUARE[3], SQUARE[0], SQUARE[1]]
    at_node = edits.split_at(RING, 0, 1)
    assert places(at_node.curves[0]) == [*SQUARE[1:], SQUARE[0], SQUARE[1]]
    assert places(edits.close_curve(at_node, 0).curves[0]) == [*SQUARE[1:], SQUARE[0]]


def test_labels():
    assert edits.relabel(LINE, 0, "speed_line", 5e4).curves[0].value == 5e4
    assert edits.relabel(LINE, 0, "surge_line").curves[0].value is None
    refused = [
        ("island", 72.0, "72 % is 0.72"),
        ("surge_line", 3.0, "no value"),
        ("speed_line", -1.0, "above 0"),
        ("sped_line", None, "one of speed_line"),
    ]
    for kind, value, words in refused:
        with pytest.raises(InputError, match=words):
            edits.relabel(LINE, 0, kind, value)


@pytest.mark.parametrize(
    ("kind", "values", "guess"),
    [
        ("speed_line", [], None),
        ("speed_line", [40e3], None),
        ("speed_line", [40e3, 46e3], 52e3),
        ("speed_line", [90e3, 80e3], 70e3),
        ("speed_line", [52e3, 40e3, 46e3], 58e3),  # 52 is there already
        ("speed_line", [20e3, 10e3], None),
        ("island", [0.7, 0.72], 0.74),
        ("island", [0.7, 0.7, 0.68, 0.68], 0.66),  # outlines in two pieces
        ("island", [0.7, 0.9], None),
        ("surge_line", [], None),
    ],
)
def test_next_label(kind, values, guess):
    curves = tuple(TracedCurve(kind, value) for value in values)
    assert edits.next_label(Trace(curves=curves), kind) == guess


def test_wrong_numbers_are_answered_in_a_sentence():
    wrong = [
        (lambda: edits.delete_curve(LINE, 1), "trace.curve: 1 given; allowed: 0 to 0"),
        (lambda: edits.delete_curve(Trace(), 0), "trace.curve: 0 given; allowed: nothing"),
        (lambda: edits.move_node(LINE, 0, 4, 1, 1), "trace.node: 4 given; allowed: 0 to 3"),
        (lambda: edits.move_node(LINE, 0, 1, float("nan"), 1), "allowed: finite numbers"),
        (lambda: edits.insert_node(LINE, 0, 3, 1, 1), "trace.stretch: 3 given; allowed: 0 to 2"),
        (lambda: edits.split_at(LINE, 0, 3), "allowed: an inner node, 1 to 2"),
        (lambda: edits.close_curve(LINE, 0), "allowed: islands only"),
        (lambda: edits.open_curve(LINE, 0), "allowed: a closed curve"),
        (lambda: edits.append_node(RING, 0, 1, 1), "allowed: an open curve"),
        (lambda: edits.join(LINE, 0, 0), "allowed: two curves"),
        (lambda: edits.add_curve(LINE, "island", []), "allowed: one node or more"),
        (lambda: Axes(flow_kind="weight"), "one of mass, corrected_mass, volume"),
        (lambda: Axes(density=0.0), "allowed: a number above 0"),
    ]
    for made, words in wrong:
        with pytest.raises(InputError) as caught:
            made()
        assert words in str(caught.value)
    mixed = edits.add_curve(LINE, "surge_line", nodes((0, 0), (1, 9)))
    with pytest.raises(InputError, match="two curves of one kind"):
        edits.join(mixed, 0, 1)


coordinate = st.integers(0, 400).map(float)
node = st.builds(Node, coordinate, coordinate, st.booleans())


@st.composite
def traces(draw):
    trace = Trace()
    for _ in range(draw(st.integers(1, 3))):
        some = draw(st.lists(node, min_size=2, max_size=6, unique_by=lambda n: n.place))
        closed = len(some) > 2 and draw(st.booleans())
        kind = "island" if closed else draw(st.sampled_from(["speed_line", "island"]))
        trace = edits.add_curve(trace, kind, some, draw(st.none() | st.just(0.5)), closed)
    return trace


@st.composite
def edited(draw):
    """A trace, an edit of it, and what undoes the edit."""
    trace = draw(traces())
    index = draw(st.integers(0, len(trace.curves) - 1))
    curve = trace.curves[index]
    number = draw(st.integers(0, len(curve.nodes) - 1))
    stretch = draw(st.integers(0, curve.stretches - 1))
    x, y = draw(coordinate), draw(coordinate)
    old = curve.nodes[number]
    ways = {
        "move": (
            lambda t: edits.move_node(t, index, number, x, y),
            lambda t: edits.move_node(t, index, number, old.x, old.y),
        ),
        "insert": (
            lambda t: edits.insert_node(t, index, stretch, x, y),
            lambda t: edits.delete_node(t, index, stretch + 1),
        ),
        "reverse": (lambda t: edits.reverse(t, index), lambda t: edits.reverse(t, index)),
        "free": (
            lambda t: edits.set_free(t, index, stretch, True),
            lambda t: edits.set_free(
                t, index, stretch, curve.nodes[(stretch + 1) % len(curve.nodes)].free
            ),
        ),
        "label": (
            lambda t: edits.relabel(t, index, curve.kind, 0.25),
            lambda t: edits.relabel(t, index, curve.kind, curve.value),
        ),
        "add": (
            lambda t: edits.add_curve(t, "island", [Node(x, y)]),
            lambda t: edits.delete_curve(t, len(t.curves) - 1),
        ),
    }
    if curve.closed:
        ways["open"] = (
            lambda t: edits.open_curve(t, index),
            lambda t: edits.close_curve(t, index, curve.nodes[0].free),
        )
    elif len(curve.nodes) > 2:
        inner = draw(st.integers(1, len(curve.nodes) - 2))
        ways["split"] = (
            lambda t: edits.split_at(t, index, inner),
            lambda t: edits.join(t, index, index + 1),
        )
    name = draw(st.sampled_from(sorted(ways)))
    return trace, *ways[name], name


def bare(trace):
    """What a user set, without the paths drawn through it."""
    return [
        (c.kind, c.value, c.closed, places(c), flags(c) if c.closed else flags(c)[1:])
        for c in trace.curves
    ]


@settings(max_examples=300, deadline=None)
@given(edited())
def test_an_edit_and_its_inverse_change_nothing(case):
    trace, do, undo, _ = case
    after = do(trace)
    assert bare(undo(after)) == bare(trace)
    for curve in after.curves:
        assert len(curve.breaks) == len(curve.nodes)
        assert np.all(np.isfinite(curve.path))
        # every node lies on the path drawn through it
        at = np.array([curve.path[n] for n in curve.breaks])
        assert np.abs(at - np.array(places(curve))).max() <= edits.ON_THE_PATH + 0.01
