"""A trace made into a map: numbers worked by hand, known maps seen through a known projection."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from tracing_cases import FRAME, axes, trace_of, with_nodes

from engine_model.errors import FileFaultsError, InputError
from engine_model.tracing import edits
from engine_model.tracing.document import document_of, flow_scale, to_axes
from engine_model.tracing.needs import faults, needs
from engine_model.tracing.to_map import provisional_map, trace_to_map
from engine_model.tracing.trace import Axes, Node, Trace

NAMES = ("turbo-52", "frame-95-large")


@pytest.fixture(scope="module")
def trace(sample_map):
    return trace_of(sample_map("turbo-52"))


def gap(one, other, span, closed=False):
    """Farthest that points of one curve lie from another, in per cent of span."""
    ring = np.array([*other, other[0]] if closed else other) / span
    line = shapely.LineString(ring)
    return 100.0 * max(line.distance(shapely.Point(np.array(p) / span)) for p in one)


@pytest.mark.parametrize("name", NAMES)
def test_a_known_map_comes_back_from_its_picture(sample_map, name):
    known = sample_map(name)
    found = trace_to_map(trace_of(known))
    span = np.ptp(np.array(FRAME), axis=0) * (0.45359237 / 60.0, 1.0)
    assert found.reference_temperature == known.reference_temperature
    assert found.exducer_diameter == known.exducer_diameter
    assert found.provenance.kind == "traced"
    speeds = [line.corrected_speed for line in known.speed_lines]
    assert [line.corrected_speed for line in found.speed_lines] == speeds
    worst = []
    for one, other in zip(found.speed_lines, known.speed_lines, strict=True):
        worst.append(gap(one.points, other.points, span))
        ends = np.array([one.points[0], one.points[-1]])
        truth = np.array([other.points[0], other.points[-1]])
        assert np.abs((ends - truth) / span).max() < 1e-4
    for one, other in zip(found.islands, known.islands, strict=True):
        assert (one.efficiency, one.closed) == (other.efficiency, other.closed)
        worst.append(gap(one.points, other.points, span, one.closed))
    worst.append(gap(found.surge_line, known.surge_line, span))
    # a stored place is told to 0.1 pixel of a frame 1000 wide: 0.01 %
    assert max(worst) < 0.03
    curves = [*found.speed_lines, *found.islands]
    assert max(len(curve.points) for curve in curves) <= 40


def test_direction_and_order_of_drawing_do_not_matter(trace):
    turned = trace
    for index in range(len(trace.curves)):
        turned = edits.reverse(turned, index)
    shuffled = replace(turned, curves=turned.curves[::-1])
    one, other = trace_to_map(trace), trace_to_map(shuffled)
    for a, b in zip(one.speed_lines, other.speed_lines, strict=True):
        assert a.corrected_speed == b.corrected_speed
        assert b.points[0] == pytest.approx(a.points[0], rel=1e-4)
        assert b.points[-1] == pytest.approx(a.points[-1], rel=1e-4)
    assert other.surge_line[0] == pytest.approx(one.surge_line[0], rel=1e-4)


# one unit of each flow axis in kg/s: the pound is 0.45359237 kg, the foot 0.3048 m, by definition
SCALES = [
    ("corrected_mass", "lb/min", None, 0.45359237 / 60.0),
    ("mass", "kg/h", None, 1.0 / 3600.0),
    ("volume", "cfm", 1.2, 0.3048**3 / 60.0 * 1.2),
    ("volume", "m³/h", 1.1839, 1.1839 / 3600.0),
]


@pytest.mark.parametrize(("kind", "unit", "density", "factor"), SCALES)
def test_flow_axes(kind, unit, density, factor):
    said = Axes(flow_kind=kind, flow_unit=unit, density=density)
    assert flow_scale(said) == pytest.approx(factor, rel=1e-12)
    assert to_axes(said, [(factor, 2.0)])[0] == pytest.approx((1.0, 2.0))


def test_a_square_picture_by_hand():
    """A page whose pixels are 100 to the lb/min and 200 to the unit of pressure ratio."""
    said = axes(places_px=((0, 600), (8000, 600), (8000, 0), (0, 0)))
    trace = Trace(axes=said)
    lines = {40e3: [(1000, 500), (2000, 480), (3000, 400)], 60e3: [(1500, 300), (4000, 200)]}
    for speed, at in lines.items():
        trace = edits.add_curve(trace, "speed_line", [Node(*p) for p in at], speed)
    trace = edits.add_curve(trace, "surge_line", [Node(1500, 300), Node(1000, 500)])
    found = trace_to_map(trace)
    pound = 0.45359237 / 60.0
    assert found.speed_lines[0].points[0] == pytest.approx((10.0 * pound, 1.5), rel=1e-6)
    assert found.speed_lines[0].points[-1] == pytest.approx((30.0 * pound, 2.0), rel=1e-6)
    assert found.speed_lines[1].points[-1] == pytest.approx((40.0 * pound, 3.0), rel=1e-6)
    assert found.surge_line[-1] == pytest.approx((15.0 * pound, 2.5), rel=1e-6)
    ratios = [p[1] for p in found.surge_line]
    assert ratios == sorted(ratios)


def codes(trace):
    return [need.code for need in needs(trace)]


def test_needs_go_one_by_one():
    trace = Trace()
    assert codes(trace) == [
        "calibration", "flow_kind", "flow_unit", "reference_temperature", "reference_pressure",
        "pressure_basis", "speed_lines", "surge_line", "efficiency", "title",
    ]  # fmt: skip
    assert [need.code for need in needs(trace) if not need.blocking] == ["efficiency", "title"]
    trace = replace(trace, axes=axes(flow_kind="volume", flow_unit="cfm"), title="one")
    assert codes(trace) == ["density", "speed_lines", "surge_line", "efficiency"]
    trace = replace(trace, axes=replace(trace.axes, flow_unit="lb/min"))
    assert codes(trace)[0] == "flow_unit"
    assert "volume flow" in needs(trace)[0].get("allowed")
    trace = replace(trace, axes=axes())
    for number, speed in enumerate((40e3, 60e3, None)):
        at = [(0.1 + 0.05 * number, 1.5 + 0.4 * number), (0.3 + 0.05 * number, 1.2 + 0.4 * number)]
        trace = with_nodes(trace, "speed_line", at, speed)
    trace = with_nodes(trace, "surge_line", [(0.1, 1.5), (0.2, 2.3)])
    assert codes(trace) == ["label", "more_speed_lines", "efficiency"]
    assert needs(trace)[0].get("curve") == 2
    assert not needs(trace)[1].blocking
    trace = edits.relabel(trace, 2, "speed_line", 80e3)
    assert codes(trace) == ["efficiency"]
    trace = with_nodes(trace, "surge_line", [(0.1, 1.5), (0.2, 2.3)])
    assert codes(trace) == ["one_of_its_kind", "efficiency"]
    trace = edits.add_curve(edits.delete_curve(trace, 4), "island", [Node(1, 1)], 0.7)
    assert codes(trace) == ["unfinished", "efficiency"]


def test_a_bad_calibration_is_a_need(trace):
    line = replace(trace.axes, places_px=((0, 0), (1, 1), (2, 2), (3, 3)))
    (need,) = needs(replace(trace, axes=line))
    assert need.code == "calibration_fault"
    assert "no three lie on a line" in need.get("allowed")
    assert faults(replace(trace, axes=line)) == ()
    crossed = replace(trace.axes, places_px=trace.axes.places_px[::-1])
    assert codes(replace(trace, axes=crossed)) == ["calibration_fault"]


def test_every_blocking_need_is_told_before_there_is_a_map(trace):
    with pytest.raises(FileFaultsError) as caught:
        trace_to_map(replace(trace, axes=replace(trace.axes, reference_pressure=None), curves=()))
    told = [fault.sentence() for fault in caught.value.faults]
    assert len(told) == 3
    assert "no reference pressure given" in told[0]
    with pytest.raises(InputError, match="flow_unit"):
        document_of(replace(trace, axes=replace(trace.axes, flow_unit=None)))


def lines_of(trace):
    return trace.of_kind("speed_line")


def test_a_sound_trace_has_no_faults(trace):
    assert faults(trace) == ()
    assert needs(trace) == ()


def test_swapped_labels_are_told(trace):
    a, b = lines_of(trace)[3:5]
    slow, fast = trace.curves[a].value, trace.curves[b].value
    wrong = edits.relabel(edits.relabel(trace, a, "speed_line", fast), b, "speed_line", slow)
    found = faults(wrong)
    assert any(one.curve == a and b in one.others for one in found)
    assert any("swapped with the 100000 rpm line?" in one.allowed for one in found)


def test_swapped_islands_are_told_closed_or_not(trace):
    islands = trace.of_kind("island")
    for a, b in ((islands[0], islands[1]), (islands[-2], islands[-1])):
        low, high = trace.curves[a].value, trace.curves[b].value
        wrong = edits.relabel(edits.relabel(trace, a, "island", high), b, "island", low)
        assert {a, b} & {one.curve for one in faults(wrong)}, (low, high)


def test_crossing_islands_are_told_where_they_cross(trace, sample_map):
    island = sample_map("turbo-52").islands[-1]
    across = np.array([(-0.01, -0.1), (0.05, 0.6)]) + np.array(island.points).mean(axis=0)
    wrong = with_nodes(trace, "island", across.tolist(), 0.74)
    inner = trace.of_kind("island")[-1]
    found = [one for one in faults(wrong) if one.others == (inner,)]
    assert len(found) == 1
    assert found[0].curve == len(trace.curves)
    assert "crosses the 75 % island" in found[0].words
    crossing = shapely.Point(found[0].place)
    for curve in (wrong.curves[-1], wrong.curves[found[0].others[0]]):
        # the words tell flow and pressure ratio to four and three digits
        assert shapely.LineString(curve.path).distance(crossing) < 3.0


def test_a_second_rise_is_told_at_its_node():
    trace = Trace(axes=axes())
    at = [(0.10, 1.8), (0.13, 1.9), (0.16, 1.8), (0.19, 1.9), (0.22, 1.6)]
    trace = with_nodes(trace, "speed_line", [(0.1, 1.2), (0.2, 1.1)], 40e3)
    (found,) = faults(with_nodes(trace, "speed_line", at, 60e3))
    assert "second rise" in found.words
    assert (found.curve, found.node) == (1, 3)
    assert found.fault.where.startswith("speed_lines[1].points[")


def test_a_surge_line_that_misses_the_lines_is_told(trace):
    (index,) = trace.of_kind("surge_line")
    moved = trace
    for number, node in enumerate(trace.curves[index].nodes):
        moved = edits.move_node(moved, index, number, node.x - 70.0, node.y)
    found = faults(moved)
    assert set(lines_of(trace)[4:]) <= {one.curve for one in found}
    assert all(one.others == (index,) for one in found if "away from" in one.words)


def test_a_map_in_the_making(trace):
    assert provisional_map(Trace()) is None
    assert provisional_map(replace(trace, curves=trace.curves[:1])) is None
    bare = Axes(trace.axes.places_px, FRAME, "mass", "lb/min")
    made = provisional_map(replace(trace, axes=bare, curves=(*trace.curves[:4], trace.curves[-1])))
    assert made.lines == (0, 1, 2, 3)
    assert made.islands == (4,)
    begins = tuple(line.points[0] for line in made.compressor_map.speed_lines)
    assert made.compressor_map.surge_line == begins
    # a line of no width, one of a speed that is there already
    odd = with_nodes(trace, "speed_line", [(0.1, 1.2), (0.1, 1.6)], 77e3)
    odd = with_nodes(odd, "speed_line", [(0.1, 1.2), (0.3, 1.1)], 100e3)
    assert provisional_map(odd).lines == lines_of(trace)
