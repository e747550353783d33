"""Curves of a trace that follow the ink of pictures whose truth is known, through edits and files.

The bound is that of the tracer's own bench, stated there; the calibration here is exact, so that
only following, storing and thinning are measured.
"""

from __future__ import annotations

import functools

import numpy as np
import pytest
import shapely
from trace_pictures import click_values, curve_errors, pixels, spans, variant

from engine_model.errors import InputError
from engine_model.tracing import edits
from engine_model.tracing.document import calibration_of, document_of
from engine_model.tracing.edits import stale_stretches
from engine_model.tracing.follow import follow_between, prepare_picture, refollow, snapped
from engine_model.tracing.trace import Axes, Node, Trace

NAME = "colour, perspective"
KINDS = {"speed": "speed_line", "surge": "surge_line", "island": "island"}
P95, WORST = {"island": 0.3, "speed": 0.25, "surge": 0.25}, 0.8


@functools.cache
def page():
    """Picture, axes with its true corners, and the picture made ready."""
    picture = variant(NAME)
    corners = tuple(map(tuple, np.asarray(picture.corners(), dtype=float).tolist()))
    places = tuple(map(tuple, picture.to_pixels(picture.corners()).tolist()))
    axes = Axes(places, corners, "corrected_mass", "kg/s")
    return picture, axes, prepare_picture(pixels(picture), axes)


@functools.cache
def followed():
    """Trace of every curve of the picture, clicks moved by 1.5 pixels, and the true curves."""
    picture, axes, ready = page()
    draw = np.random.default_rng(11)
    trace, truth = Trace(axes=axes), []
    for curve in picture.curves:
        if curve.kind not in KINDS:
            continue
        values = click_values(picture, curve, 10 if curve.kind == "island" else 3)
        clicks = picture.to_pixels(values) + draw.normal(0.0, 1.5, values.shape)
        value = None if curve.kind == "surge" else curve.value
        trace = edits.add_curve(
            trace, KINDS[curve.kind], [Node(*place) for place in clicks], value, curve.closed
        )
        trace = refollow(trace, len(trace.curves) - 1, ready)
        truth.append(curve)
    return trace, truth


def errors(curve, points):
    picture = page()[0]
    return curve_errors(curve.points, np.array(points), spans(picture), curve.closed)


def values_of(curve):
    return calibration_of(page()[1]).to_values(np.array(curve.path))


@pytest.mark.parametrize("kind", KINDS)
def test_paths_lie_on_the_printed_curves(kind):
    trace, truth = followed()
    found = [
        errors(true, values_of(curve))
        for curve, true in zip(trace.curves, truth, strict=True)
        if true.kind == kind
    ]
    every = np.concatenate(found)
    assert np.quantile(every, 0.95) <= P95[kind]
    assert every.max() <= WORST


def test_the_document_keeps_what_was_followed():
    trace, truth = followed()
    document = document_of(trace)
    islands = [place for place in document.curves if place.startswith("islands")]
    assert len(islands) == len(trace.of_kind("island"))
    for place in islands:
        number = document.curves[place]
        points = document.content["islands"][int(place[8:-1])]["points"]
        off = errors(truth[number], points)
        assert np.quantile(off, 0.95) <= P95["island"] + 0.05
        assert len(points) <= 40


def test_nodes_and_path_belong_together():
    trace, _ = followed()
    for curve in trace.curves:
        assert len(curve.breaks) == len(curve.nodes)
        at = np.array([curve.path[n] for n in curve.breaks])
        nodes = np.array([node.place for node in curve.nodes])
        assert np.hypot(*(at - nodes).T).max() < 8.0  # clicks were moved by 1.5
        assert list(curve.breaks) == sorted(set(curve.breaks))
        assert len(curve.path) < 400


def test_only_the_stale_part_is_followed_again():
    trace, truth = followed()
    index = next(n for n, one in enumerate(truth) if one.kind == "island" and one.closed)
    ready = page()[2]
    before = trace.curves[index]
    node = before.nodes[4]
    moved = edits.move_node(trace, index, 4, node.x + 2.0, node.y - 2.0)
    stale = stale_stretches(before, moved.curves[index])
    assert stale == (3, 4)
    again = refollow(moved, index, ready, stale).curves[index]
    kept = before.path[: before.breaks[3] + 1][1:-1]
    assert set(kept) <= set(again.path)
    assert np.quantile(errors(truth[index], values_of(again)), 0.95) <= P95["island"] + 0.1
    assert refollow(moved, index, ready, ()) is moved


def test_a_free_stretch_does_not_follow():
    trace, truth = followed()
    index = next(n for n, one in enumerate(truth) if one.kind == "surge")
    free = trace
    for stretch in range(trace.curves[index].stretches):
        free = edits.set_free(free, index, stretch, True)
    curve = refollow(free, index, page()[2]).curves[index]
    nodes = np.array([node.place for node in curve.nodes])
    # drawn through the clicks themselves, which lie off the ink
    assert shapely.LineString(curve.path).distance(shapely.Point(nodes[1])) < 0.2
    followed_path = trace.curves[index].path
    assert curve.path != followed_path


def test_live_segments():
    picture, _, ready = page()
    true = next(one for one in picture.curves if one.kind == "speed")
    places = picture.to_pixels(click_values(picture, true, 5))
    piece = follow_between(
        ready, tuple(places[1]), tuple(places[2]), tuple(places[0]), tuple(places[3])
    )
    line = shapely.LineString(picture.to_pixels(true.points))
    off = [line.distance(shapely.Point(point)) for point in piece]
    assert max(off) < 1.5
    # the pointer still where the click was, and far off the page
    assert follow_between(ready, (5.0, 5.0), (5.0, 5.2)) == ((5.0, 5.0), (5.0, 5.2))
    assert len(follow_between(ready, (300.0, 300.0), (-4000.0, 90_000.0))) >= 2
    straight = follow_between(ready, tuple(places[1]), tuple(places[2]), free=True)
    assert straight[0] == pytest.approx(places[1], abs=0.1)


def test_snapping_and_both_ways_between_the_pictures():
    picture, _, ready = page()
    true = next(one for one in picture.curves if one.kind == "surge")
    spot = picture.to_pixels(true.points[len(true.points) // 2][None, :])[0]
    line = shapely.LineString(picture.to_pixels(true.points))
    assert line.distance(shapely.Point(snapped(ready, (spot[0] + 2.0, spot[1] + 1.0)))) < 1.0
    there = ready.to_straight(spot)
    assert ready.to_picture(there) == pytest.approx(spot, abs=1e-6)


def test_nodes_on_one_another_are_answered_in_a_sentence():
    trace = edits.add_curve(Trace(axes=page()[1]), "surge_line", [Node(300, 300), Node(300, 300)])
    with pytest.raises(InputError, match="half a pixel"):
        refollow(trace, 0, page()[2])
    one = edits.add_curve(Trace(axes=page()[1]), "surge_line", [Node(300, 300)])
    assert refollow(one, 0, page()[2]) is one
