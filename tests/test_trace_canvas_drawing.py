"""Curves, names and odd pictures on the canvas of the Trace place."""

import math
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from app.chart_tools.palette import DARK, LIGHT
from app.gui.places.trace.shapes import CurveView, KnownPoint, node_places, segment_at
from tests.trace_hand import Hand, Key, colour, pixels, rendered, straight


@pytest.fixture
def hand(qtbot):
    return Hand(qtbot)


def test_names_cover_neither_each_other_nor_curves(qtbot):
    hand = Hand(qtbot)
    lines = [straight(k, start=(20, 40 + 6 * k), end=(150, 40 + 6 * k)) for k in range(8)]
    hand.canvas.set_curves(lines)
    rendered(hand.canvas, 1)
    texts = [text for text, _ in hand.canvas._painting._names._texts]
    assert {text.text for text in texts} == {f"line {k}" for k in range(8)}
    for one, other in combinations([text.box for text in texts], 2):
        assert not one.overlaps(other)
    for text in texts:
        assert text.box.inside(420, 340)
        for line in lines:
            spots = hand.canvas.view.place(line.path)
            assert not text.box.holds(spots[:, 0], spots[:, 1]).any(), text.text


def test_only_what_changed_is_drawn_again(hand):
    curves = [straight(k, start=(20, 40 + 20 * k), end=(150, 40 + 20 * k)) for k in range(4)]
    curves[2] = replace(curves[2], selected=True)
    hand.canvas.set_curves(curves)
    round_before = hand.canvas._painting._rest_round
    copied = [replace(one, path=one.path.copy()) for one in curves]
    copied[2] = replace(copied[2], path=copied[2].path + 3.0)
    hand.canvas.set_curves(copied)
    assert hand.canvas._painting._rest_round == round_before
    copied[0] = replace(copied[0], label="renamed")
    hand.canvas.set_curves(copied)
    assert hand.canvas._painting._rest_round == round_before + 1


@pytest.mark.parametrize("kind", ["surge", "choke"])
def test_limits_are_hatched_on_their_forbidden_side(qtbot, kind):
    for start, end in (((100, 140), (100, 10)), ((100, 10), (100, 140))):
        hand = Hand(qtbot)
        hand.canvas.clearFocus()
        line = replace(straight(1, kind, start=start, end=end), label="")
        hand.canvas.set_curves([line])
        seen = pixels(rendered(hand.canvas, 1))[60:280, :, :].min(axis=2) < 250
        left, right = seen[:, 203:208].sum(), seen[:, 213:218].sum()  # the line lies at 210
        free, hatched = (right, left) if kind == "surge" else (left, right)
        assert hatched > 60
        assert free < 5


def test_segments_of_a_curve_that_comes_back_on_itself():
    turn = np.linspace(0.0, 2.0 * math.pi, 201)
    ring = np.column_stack([50 + 40 * np.cos(turn), 50 + 2.0 * np.sin(turn)])  # flat island
    nodes = ring[[0, 40, 60, 140, 160]]
    island = CurveView(1, "island", "", ring, nodes, closed=True)
    assert node_places(island).tolist() == [0, 40, 60, 140, 160, 200]
    assert [segment_at(island, place) for place in (20.0, 50.5, 100.0, 150.0, 199.0)] == [
        0, 1, 2, 3, 4,
    ]  # fmt: skip
    open_ring = CurveView(2, "island", "", ring[:-1], nodes, closed=True)
    assert open_ring.path[-1].tolist() == open_ring.path[0].tolist()


@pytest.mark.parametrize(("paper", "ground"), [(255, DARK), (20, LIGHT), (255, LIGHT), (20, DARK)])
def test_curves_read_on_the_picture_whatever_the_theme(qtbot, paper, ground):
    hand = Hand(qtbot, np.full((150, 200, 3), paper, dtype=np.uint8))
    hand.canvas.set_ground(ground)
    hand.canvas.set_curves([replace(straight(1, "surge"), label="")])
    middle = pixels(rendered(hand.canvas))[120, 150].mean()
    assert abs(middle - paper) > 120


def test_a_free_stretch_is_dashed(hand):
    hand.canvas.clearFocus()
    hand.canvas.set_curves([replace(straight(1, free=(False, True)), label="")])
    row = pixels(rendered(hand.canvas, 1))[120, 50:250].min(axis=1) < 160
    assert row[:95].all()
    assert 0.5 < row[105:195].mean() < 0.9


@pytest.mark.parametrize("shape", [None, (1, 1), (1, 4000), (4000, 1)])
@pytest.mark.parametrize("mode", ["look", "points", "pen", "edit"])
def test_odd_pictures_are_shown_and_worked_on(qtbot, shape, mode):
    hand = Hand(qtbot)
    picture = None if shape is None else np.full((*shape, 3), 90, dtype=np.uint8)
    hand.canvas.set_picture(picture)
    hand.canvas.set_mode(mode)
    hand.canvas.set_curves([straight(1, selected=True)])
    hand.canvas.set_points([KnownPoint(0.0, 0.0, "1")])
    hand.canvas.set_overlay([(np.array([[0.0, 0.0], [np.nan, np.nan], [1.0, 1.0]]), "island")])
    hand.canvas.set_preview(np.array([[0.0, 0.0], [0.0, 0.0]]))
    middle = hand.canvas.width() / 2, hand.canvas.height() / 2
    hand.move(*middle)
    hand.click(*middle)
    hand.wheel(*middle, 120)
    for key in (Key.Key_Right, Key.Key_N, Key.Key_Return, Key.Key_Minus, Key.Key_M, Key.Key_Home):
        hand.key(key)
    image = rendered(hand.canvas, 1)
    if shape is None:
        assert hand.said == []
        assert colour(image, 4, 4) == LIGHT.background
    elif mode == "points":
        assert all(abs(x) <= shape[1] and abs(y) <= shape[0] for x, y in hand.heard("placed"))
    if shape == (1, 1) and mode == "look":
        assert colour(image, int(middle[0]) + 20, int(middle[1]) + 20) == "#5a5a5a"


def test_wrong_input_is_answered_in_a_sentence(hand):
    canvas = hand.canvas
    for call, words in (
        (lambda: canvas.set_picture(np.zeros((4, 4), dtype=np.uint8)), "height x width x 3"),
        (lambda: canvas.set_picture(np.zeros((0, 4, 3), dtype=np.uint8)), "at least 1 x 1"),
        (lambda: canvas.set_picture(np.zeros((4, 4, 3))), "float64"),
        (lambda: canvas.set_mode("draw"), "look, points, pen, edit"),
        (lambda: canvas.set_overlay([(np.zeros((2, 2)), "thin")]), "'thin'"),
        (lambda: straight(1, "line"), "speed, surge, choke, island"),
        (lambda: replace(straight(1), path=np.zeros(5)), "N x 2"),
        (lambda: replace(straight(1), marks=((0, "bad", ""),)), "close, over"),
        (lambda: KnownPoint(0, 0, "", "good"), "clear, close, over, blank"),
    ):
        with pytest.raises(ValueError, match=words):
            call()
