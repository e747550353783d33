"""Review of a trace: known slips are found where they are, sound traces pass, nothing breaks."""

from __future__ import annotations

import statistics
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from invented_compressor import SPAN, TOP, efficiency, flow, pressure_ratio
from invented_compressor import Trace as Recipe
from invented_compressor import trace as invented_map
from tracing_cases import POUND_PER_MINUTE, trace_of

from engine_model.compressor.lines import log_pressure_ratio
from engine_model.tracing import edits
from engine_model.tracing.overlay import overlay
from engine_model.tracing.review import line_residuals, review
from engine_model.tracing.to_map import provisional_map
from engine_model.tracing.trace import Trace

NAMES = ("turbo-52", "frame-95-large", "frame-95-small")


@pytest.fixture(scope="module")
def traces(sample_map):
    return {name: trace_of(sample_map(name)) for name in NAMES}


@pytest.mark.parametrize("name", NAMES)
def test_a_sound_trace_is_not_suspected(traces, name):
    found = review(traces[name])
    assert len(found.lines) == len(traces[name].of_kind("speed_line"))
    assert len(found.islands) == len(traces[name].of_kind("island"))
    assert not [one for one in found.lines if one.suspect]
    assert not [one for one in found.islands if one.suspect]
    assert max(one.surge_percent for one in found.lines) < 1.0


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("slip", [0.97, 1.03])
def test_a_wrong_speed_is_found_and_the_right_one_told(traces, name, slip):
    trace = traces[name]
    for index in trace.of_kind("speed_line")[1:-1]:
        right = trace.curves[index].value
        found = review(edits.relabel(trace, index, "speed_line", slip * right)).lines
        (suspect,) = [one for one in found if one.suspect]
        assert suspect.curve == index
        assert suspect.fitting_speed == pytest.approx(right, rel=0.012)
        assert suspect.median_percent > LEAST_SLIP


LEAST_SLIP = 1.0  # 3 % of speed are about 6 % of head, and its line is a fraction of the map's


@pytest.mark.parametrize("name", NAMES)
def test_a_bump_is_found_at_its_node(traces, name):
    trace = traces[name]
    index = trace.of_kind("speed_line")[4]
    node = trace.curves[index].nodes[1]
    moved = edits.move_node(trace, index, 1, node.x + 4.0, node.y - 25.0)
    one = next(one for one in review(moved).lines if one.curve == index)
    assert one.node == 1
    assert one.above
    assert one.between
    # 25 pixels up a frame about 700 tall that spans three units of pressure ratio
    span = np.ptp(np.vstack([line.points for line in _lines(moved)]), axis=0)[1]
    assert one.worst_percent == pytest.approx(100.0 * 25.0 / 700.0 * 3.0 / span, rel=0.4)
    before = next(one for one in review(trace).lines if one.curve == index)
    assert one.worst_percent > 4.0 * before.worst_percent


def _lines(trace):
    return provisional_map(trace).compressor_map.speed_lines


@pytest.mark.parametrize("name", NAMES)
def test_a_wrong_efficiency_is_suspected(traces, name):
    trace = traces[name]
    index = trace.of_kind("island")[3]
    wrong = edits.relabel(trace, index, "island", trace.curves[index].value + 0.015)
    found = {one.curve: one for one in review(wrong).islands}
    assert found[index].suspect
    assert found[index].median_points == pytest.approx(1.5, abs=0.3)


def test_the_overlay_is_the_compressor():
    """Predicted lines and islands against a compressor known in closed form."""
    trace = trace_of(invented_map(Recipe()))
    found = review(trace).overlay
    fresh = [line for line in found.lines if not line.traced]
    assert len(fresh) >= 4
    assert [line.speed for line in found.lines] == sorted(line.speed for line in found.lines)
    for line in fresh:
        x = np.linspace(0.0, 1.0, 400)
        truth = np.column_stack([flow(line.speed, x), pressure_ratio(line.speed, x)]) / SPAN
        points = line.points * (POUND_PER_MINUTE, 1.0) / SPAN
        apart = np.hypot(*(points[:, None, :] - truth[None, :, :]).transpose(2, 0, 1)).min(axis=1)
        assert np.median(apart) < 0.005
        assert line.speed < TOP
    fresh = [island for island in found.islands if not island.traced]
    assert fresh
    for island in fresh:
        for piece in island.pieces:
            eta = efficiency(*(piece * (POUND_PER_MINUTE, 1.0)).T)
            assert np.median(np.abs(eta - island.efficiency)) < 0.002


def test_nothing_is_drawn_or_said_too_early(traces):
    trace = traces["turbo-52"]
    assert review(Trace()).surface is None
    one = review(replace(trace, curves=trace.curves[:1]))
    assert (one.provisional, one.lines, one.islands) == (None, (), ())
    two = review(replace(trace, curves=trace.curves[:2]))
    assert two.surface is not None
    assert two.lines == ()
    assert two.overlay.islands == ()


def test_residuals_name_the_curves_of_the_trace(traces):
    trace = traces["turbo-52"]
    turned = replace(trace, curves=trace.curves[::-1])
    provisional = provisional_map(turned)
    lines = line_residuals(turned, provisional, review(turned).surface)
    assert [turned.curves[one.curve].value for one in lines] == [one.speed for one in lines]


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_no_trace_in_the_making_breaks_the_review(traces_of_one, data):
    """Curves left out, nodes anywhere, labels wrong: always a review, never an exception."""
    trace = traces_of_one
    kept = data.draw(st.lists(st.sampled_from(trace.curves), min_size=1, max_size=9, unique=True))
    trace = replace(trace, curves=tuple(kept))
    for _ in range(data.draw(st.integers(0, 4))):
        index = data.draw(st.integers(0, len(trace.curves) - 1))
        curve = trace.curves[index]
        if data.draw(st.booleans()):
            node = data.draw(st.integers(0, len(curve.nodes) - 1))
            x, y = data.draw(st.integers(0, 1400)), data.draw(st.integers(0, 1100))
            trace = edits.move_node(trace, index, node, float(x), float(y))
        elif curve.kind == "speed_line":
            trace = edits.relabel(trace, index, "speed_line", data.draw(st.floats(1.0, 1e7)))
        elif curve.kind == "island":
            trace = edits.relabel(trace, index, "island", data.draw(st.floats(0.01, 0.99)))
    found = review(trace)
    for one in (*found.lines, *found.islands):
        assert 0 <= one.node < len(trace.curves[one.curve].nodes)
    if found.surface is not None:
        drawn = overlay(found.surface, trace.axes)
        assert all(np.all(np.isfinite(line.points)) for line in drawn.lines)


@pytest.fixture(scope="module")
def traces_of_one(traces):
    return traces["turbo-52"]


def test_medians_are_those_of_measured_compressors(traces):
    """A sound line is nearer to its neighbours than the NASA ones of the left-out test, 0.8 %."""
    for trace in traces.values():
        lines = review(trace).lines[1:-1]
        assert statistics.median(one.median_percent for one in lines) < 0.3


def test_a_head_that_no_air_has_is_read_as_the_least():
    """A mislabelled line can ask for less head than an expansion to nothing gives."""
    found = log_pressure_ratio(np.array([-4e5, -1e9, 3e4]), 298.15)
    assert np.all(np.isfinite(found))
    assert found[0] == found[1] < 0.0 < found[2]
