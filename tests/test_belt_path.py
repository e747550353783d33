"""Path of a belt: tangents, wraps, length, against closed forms, shapely and virtual work."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, event, given, settings
from hypothesis import strategies as st
from shapely import Point, union_all
from shapely.geometry import LinearRing

from engine_model.drive.belt_geometry import Pulley, path_arrays
from engine_model.drive.belt_path import effective_length, pitch_length, solve_path
from engine_model.errors import InputError
from tests.belt_layouts import pair, pulley, rings, serpentines, three

OFFSETS = (0.002, 0.001)
RANDOM = settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow],
)


CLEAR = 1e-5  # how far a disc lies inside the others' hull before that is sure [m]


def disc(one, grown=0.0):
    return Point(one.x, one.y).buffer(0.5 * one.diameter + OFFSETS[0] + grown, quad_segs=512)


def hull(pulleys, left_out=None):
    return union_all([disc(p) for p in pulleys if p.name != left_out]).convex_hull


@RANDOM
@given(pulleys=rings())
def test_inside_belt_is_the_hull_of_its_pulleys(pulleys):
    # shapely: the shortest loop round discs is their convex hull; polygons of 2048 corners
    # a disc are 4e-7 short
    whole = hull(pulleys).length
    least = min(1.0 - hull(pulleys, p.name).length / whole for p in pulleys)
    hidden = any(hull(pulleys, p.name).contains(disc(p, CLEAR)) for p in pulleys)
    assume(least > 1e-6 or hidden)
    if hidden:  # a disc within the hull of the others
        event("not touched")
        with pytest.raises(InputError, match="wrap above 0"):
            solve_path(pulleys, *OFFSETS)
        return
    event("touched")
    path = solve_path(pulleys, *OFFSETS)
    assert path.length == pytest.approx(whole, rel=1e-6)
    other = solve_path((pulleys[0], *pulleys[:0:-1]), *OFFSETS)
    assert (path.sense, other.sense) == (1, -1)
    assert other.length == pytest.approx(path.length, rel=1e-12)


@pytest.mark.parametrize(
    ("crank", "blower", "apart"), [(0.18, 0.08, 0.3), (0.15, 0.15, 0.25), (0.2, 0.05, 0.13)]
)
def test_two_pulleys_by_the_closed_form(crank, blower, apart):
    # Shigley ch. 17, open belt: theta = pi -+ 2 asin((D - d)/(2C)),
    # L = (4C^2 - (D - d)^2)^0.5 + (D theta_D + d theta_d)/2
    lean = 2.0 * np.arcsin((crank - blower) / (2.0 * apart))
    arcs = 0.5 * (crank * (np.pi + lean) + blower * (np.pi - lean))
    length = np.sqrt(4.0 * apart**2 - (crank - blower) ** 2) + arcs
    path = solve_path(pair(crank, blower, apart), 0.0, 0.0)
    assert path.length == pytest.approx(length, rel=1e-12)
    np.testing.assert_allclose(path.wraps, [np.pi + lean, np.pi - lean], rtol=1e-12)


def test_back_idler_by_hand():
    # two discs of 30 mm radius at +-130 mm, an idler of 20 mm in the middle of the line: half
    # the distance is 130 = (120, 50) long, so the crossed tangent is 120 mm and leans asin(5/13)
    pulleys = (
        pulley("crank", -0.13, 0.0, 0.06),
        pulley("blower", 0.13, 0.0, 0.06),
        pulley("idler", 0.0, 0.0, 0.04, "back"),
    )
    lean = np.arcsin(5.0 / 13.0)
    path = solve_path(pulleys, 0.0, 0.0)
    np.testing.assert_allclose(path.wraps, [np.pi + lean, np.pi + lean, 2.0 * lean], rtol=1e-12)
    np.testing.assert_allclose(path.span_lengths, [0.26, 0.12, 0.12], rtol=1e-12)
    length = 0.26 + 0.24 + 0.06 * (np.pi + lean) + 0.04 * lean
    assert path.length == pytest.approx(length, rel=1e-12)
    np.testing.assert_array_equal(path.turns, path.sense * np.array([1.0, 1.0, -1.0]))


def test_pitch_line_runs_over_the_pulley():
    # 2 mm over grooved pulleys, 1 mm over those on the back
    path = solve_path(three(0.1), *OFFSETS)
    np.testing.assert_allclose(path.pitch_radii, [0.092, 0.042, 0.036], rtol=1e-12)


@RANDOM
@given(pulleys=serpentines())
def test_signed_wraps_are_one_turn(pulleys):
    path = solve_path(pulleys, *OFFSETS)
    assert float(np.sum(path.turns * path.wraps)) == pytest.approx(2.0 * np.pi, rel=1e-12)
    assert float(np.min(path.wraps)) > 0.0


@RANDOM
@given(pulleys=serpentines(), k=st.integers(0, 3), step=st.sampled_from([1e-6, -1e-6]))
def test_slopes_by_virtual_work(pulleys, k, step):
    # a belt at 1 N everywhere loads a hub by u_out - u_in, and that is -dL/dcentre; the slope
    # over a radius is the wrap
    path = solve_path(pulleys, *OFFSETS)
    angle = path.span_angles
    for key, slope in (
        ("x", np.cos(angle[k - 1]) - np.cos(angle[k])),
        ("y", np.sin(angle[k - 1]) - np.sin(angle[k])),
        ("diameter", 0.5 * path.wraps[k]),
    ):
        moved = replace(pulleys[k], **{key: getattr(pulleys[k], key) + step})
        other = solve_path((*pulleys[:k], moved, *pulleys[k + 1 :]), *OFFSETS)
        assert (other.length - path.length) / step == pytest.approx(slope, abs=1e-4)


@RANDOM
@given(pulleys=serpentines())
def test_outline_is_the_belt(pulleys):
    path = solve_path(pulleys, *OFFSETS)
    outline = path.outline(np.pi / 720.0)
    ring = LinearRing(outline)
    assert ring.is_simple
    assert ring.is_ccw
    assert ring.length == pytest.approx(path.length, rel=1e-6)
    for p, radius in zip(pulleys, path.pitch_radii, strict=True):
        # a chord of 1/4 deg cuts 1e-6 of the radius off
        assert ring.distance(Point(p.x, p.y)) == pytest.approx(radius, rel=1e-5)


@RANDOM
@given(pulleys=serpentines())
def test_effective_length_is_one_turn_of_the_offset_less(pulleys):
    # the effective line runs on the grooved pulleys' outside; a line at an equal distance from
    # a simple closed one is longer by one turn of the distance (Steiner)
    effective = solve_path(pulleys, 0.0, sum(OFFSETS)).length
    pitch = solve_path(pulleys, *OFFSETS).length
    assert effective_length(pitch, OFFSETS[0]) == pytest.approx(effective, rel=1e-12)
    assert pitch_length(effective, OFFSETS[0]) == pytest.approx(pitch, rel=1e-12)


@RANDOM
@given(pulleys=rings(), turn=st.floats(-3.0, 3.0), x=st.floats(-1.0, 1.0))
def test_turned_and_moved_belts_are_as_long(pulleys, turn, x):
    at = np.array([complex(p.x, p.y) for p in pulleys])
    r = np.array([0.5 * p.diameter for p in pulleys])
    moved = at * np.exp(1j * turn) + x
    one = path_arrays(at.real, at.imag, r, 1.0)
    other = path_arrays(moved.real, moved.imag, r, 1.0)
    np.testing.assert_allclose(other.wraps, one.wraps, rtol=0.0, atol=1e-12)
    assert other.length == pytest.approx(float(one.length), rel=1e-12)


def test_many_belts_are_each_alone():
    random = np.random.default_rng(5)
    x, y = random.uniform(-0.3, 0.3, (2, 40, 3, 4))
    r, turn = random.uniform(0.02, 0.1, (40, 3, 4)), random.choice([-1.0, 1.0], (40, 3, 4))
    every = path_arrays(x, y, r, turn)
    assert np.isnan(every.length).any()
    assert np.isfinite(every.length).any()
    for i, j in np.ndindex(40, 3):
        one = path_arrays(x[i, j], y[i, j], r[i, j], turn[i, j])
        for name in ("wraps", "span_lengths", "span_angles", "length", "turns_closed"):
            np.testing.assert_array_equal(getattr(every, name)[i, j], getattr(one, name))


@pytest.mark.parametrize(
    ("idler_y", "asked", "sense"),
    [(0.1, 0, 1), (0.02, 0, 1), (-0.02, 0, -1), (-0.02, 1, 1), (0.02, -1, -1), (-0.1, 0, -1)],
)
def test_which_way_the_belt_runs(idler_y, asked, sense):
    # an idler near the line of the centres can press on either span: the way must be asked for
    path = solve_path(three(idler_y), *OFFSETS, asked)
    assert path.sense == sense
    # turning left, the belt goes to the blower under the centres and comes back over them
    assert np.sign(path.arrivals[1][1]) == -sense
    assert np.sign(path.departures[1][1]) == sense


def test_ways_that_are_not_open():
    with pytest.raises(InputError, match="through idler"):
        solve_path(three(-0.1), *OFFSETS, 1)
    with pytest.raises(InputError, match="either"):
        solve_path(three(0.1), *OFFSETS, 2)


def test_results_cannot_be_changed():
    path = solve_path(three(0.1), *OFFSETS)
    with pytest.raises(ValueError, match="read-only"):
        path.wraps[0] = 1.0
    assert path.wrap_of("idler") == path.wraps[2]
    with pytest.raises(InputError, match="crank, blower, idler"):
        path.wrap_of("pump")


def corners(*order):
    at = {"a": (0.0, 0.0), "b": (0.3, 0.0), "c": (0.3, 0.3), "d": (0.0, 0.3)}
    return tuple(pulley(name, *at[name], 0.1) for name in order)


SPANS_CROSS = (
    pulley("crank", 0.18, 0.08, 0.07),
    pulley("idler", 0.16, -0.28, 0.08, "back"),
    pulley("blower", -0.01, -0.22, 0.06),
)
RUNS_THROUGH = (
    pulley("crank", 0.0, 0.0, 0.1),
    pulley("pump", 0.15, 0.0, 0.12),
    pulley("blower", 0.3, 0.0, 0.1),
)


@pytest.mark.parametrize(
    ("pulleys", "told"),
    [
        ((pulley("crank", 0.0, 0.0, 0.1),), ["crank", "two pulleys or more"]),
        ((*pair(), pulley("crank", 0.1, 0.3, 0.05)), ["crank", "a name of its own"]),
        ((pulley("crank", 0.0, 0.0, 0.1, "back"), *pair()[1:]), ["crank", "grooved"]),
        (pair(apart=0.12), ["crank and blower", "120.0 mm apart", "more than 130.0 mm", "overlap"]),
        # the discs are clear of each other, the pitch line of a crossed span is not
        (
            (*pair(), pulley("idler", 0.0, 0.1215, 0.06, "back")),
            ["idler and crank", "to pass between"],
        ),
        (corners("a", "c", "b", "d"), ["a, c, b, d", "order", "without crossing"]),
        (three(0.16), ["idler with a wrap of -", "wrap above 0"]),
        (three(0.0, "grooved"), ["idler with a wrap of -", "wrap above 0"]),
        (SPANS_CROSS, ["the span from crank to idler across", "no spans cross"]),
        (RUNS_THROUGH, ["the span from blower to crank through pump", "at a distance"]),
    ],
)
def test_impossible_belts_are_told_in_one_sentence(pulleys, told):
    with pytest.raises(InputError) as caught:
        solve_path(pulleys, *OFFSETS)
    sentence = str(caught.value)
    assert sentence.startswith("drive.pulleys")
    assert "\n" not in sentence
    for words in told:
        assert words in sentence


@pytest.mark.parametrize(
    ("key", "value", "allowed"),
    [("diameter", 0.0, "above 0"), ("x", float("nan"), "finite"), ("face", "flat", "grooved")],
)
def test_impossible_pulleys(key, value, allowed):
    given = {"x": 0.0, "y": 0.0, "diameter": 0.1, "face": "grooved", key: value}
    with pytest.raises(InputError, match=allowed) as caught:
        Pulley("blower", **given)
    assert caught.value.field == f"drive.pulleys.blower.{key}"
