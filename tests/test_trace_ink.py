"""Cleaning a picture and following its ink: drawn curves of known equation."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
import shapely
from PIL import Image, ImageDraw

from engine_model.digitise import centre
from engine_model.digitise import ink as ink_module
from engine_model.digitise.clean import prepare
from engine_model.digitise.ink import follow_curve, follow_segment
from engine_model.digitise.snap import snap_to_ink
from engine_model.digitise.straighten import Straightened
from engine_model.digitise.thin import thinned
from engine_model.digitise.walk import STRIDE, walk
from engine_model.errors import InputError

WIDTH, HEIGHT, OVER = 900, 700, 4
FRAME = (90.0, 70.0, 810.0, 630.0)
BLUE, ORANGE, BLACK, GREY = (25, 60, 160), (200, 90, 20), (15, 15, 15), (190, 190, 190)


def arch(share):
    """A curve from the left to the right of the frame, rising then falling."""
    share = np.asarray(share, dtype=float)
    return np.column_stack([150.0 + 600.0 * share, 420.0 - 700.0 * share * (0.75 - share)])


def ring(share):
    """A closed curve, longer than high, turned."""
    turn = 2.0 * np.pi * np.asarray(share, dtype=float)
    x, y = 220.0 * np.cos(turn), 110.0 * np.sin(turn)
    return np.column_stack([450.0 + 0.9 * x + 0.43 * y, 350.0 - 0.43 * x + 0.9 * y])


def steep(share):
    """A straight stroke across the middle of the arch."""
    return np.column_stack([np.full(len(share), 420.0) + 30.0 * share, 200.0 + 350.0 * share])


FINE = np.linspace(0.0, 1.0, 600)


def picture(*strokes, grid=None, gaps=()):
    """A straightened picture of strokes: (points, colour, width); gaps are boxes of paper."""
    large = Image.new("RGB", (OVER * WIDTH, OVER * HEIGHT), (250, 250, 248))
    pen = ImageDraw.Draw(large)

    def line(points, colour, width):
        moved = (np.asarray(points) + 0.5) * OVER - 0.5
        pen.line([tuple(p) for p in moved], colour, round(width * OVER), joint="curve")

    left, top, right, bottom = FRAME
    if grid is not None:
        for share in np.linspace(0.0, 1.0, 7):
            x, y = left + share * (right - left), top + share * (bottom - top)
            line([(x, top), (x, bottom)], grid, 1.5)
            line([(left, y), (right, y)], grid, 1.5)
    for points, colour, width in strokes:
        line(points, colour, width)
    for box in gaps:
        pen.rectangle([OVER * side for side in box], (250, 250, 248))
    return Straightened(np.asarray(large.reduce(OVER)), ((0.0, 1.0), (1.0, 3.0)), FRAME)


def off(followed, truth, closed=False):
    """Distances from a true curve to the followed path [pixel]."""
    points = followed.points
    path = shapely.LineString(np.vstack([points, points[:1]]) if closed else points)
    return shapely.distance(shapely.points(truth), path)


def near(curve, shares, seed=0):
    places = curve(np.array(shares))
    return places + np.random.default_rng(seed).normal(0.0, 1.5, places.shape)


INNER = np.linspace(0.01, 0.99, 300)
THREE = (0.0, 0.5, 1.0)
EIGHT = tuple(np.arange(8) / 8)


def test_paper_and_uneven_light_are_taken_away():
    straight = picture((arch(FINE), BLACK, 2.5))
    shade = np.linspace(1.0, 0.5, WIDTH)[None, :, None]
    dim = replace(straight, picture=(straight.picture * shade).astype(np.uint8))
    for one in (straight, dim):
        ink = prepare(one)
        strength = np.linalg.norm(ink.layers[..., :3], axis=-1)
        x, y = np.rint(arch([0.3])[0]).astype(int)
        assert strength[y, x] > 0.6
        assert np.quantile(strength, 0.9) < 0.03
        assert ink.noise < 0.01


@pytest.mark.parametrize("grid", [GREY, (150, 170, 220), BLACK])
def test_grid_lines_go_and_curves_stay(grid):
    ink = prepare(picture((arch(FINE), BLUE, 2.5), grid=grid))
    strength = np.linalg.norm(ink.layers[..., :3], axis=-1)
    left, _, _, bottom = (int(side) for side in FRAME)
    # on one of the grid's lines, below the curve
    assert strength[450 : bottom - 5, left + 119 : left + 122].max() < 0.1
    assert ink.erased[450 : bottom - 5, left + 120].mean() > 0.9
    assert ink.erased.mean() < 0.1
    x, y = np.rint(arch(INNER)).astype(int).T
    assert np.median(strength[y, x]) > 0.5
    if grid != BLACK:  # a curve of another colour stays where it crosses
        assert np.quantile(strength[y, x], 0.02) > 0.2


def test_a_flat_or_upright_curve_is_no_grid_line():
    flat = np.column_stack([np.linspace(150.0, 450.0, 50), np.full(50, 300.0)])
    upright = np.column_stack([np.full(50, 600.0), np.linspace(200.0, 480.0, 50)])
    ink = prepare(picture((flat, BLACK, 2.5), (upright, BLACK, 2.5), grid=GREY))
    assert not ink.erased[298:303, 160:440:7].any() or ink.erased[298:303, 160:440].mean() < 0.15
    assert ink.erased[210:470, 598:603].mean() < 0.15


@pytest.mark.parametrize("grid", [None, GREY, BLACK])
@pytest.mark.parametrize("width", [1.2, 2.5, 5.0])
def test_open_curve(grid, width):
    ink = prepare(picture((arch(FINE), BLUE, width), grid=grid))
    found = follow_curve(ink, near(arch, THREE))
    assert not found.closed
    assert np.median(off(found, arch(INNER))) < 0.2
    assert off(found, arch(INNER)).max() < 1.5
    assert len(found.seen) == len(found.points)
    assert np.median(found.seen) > 0.8


def test_closed_curve():
    ink = prepare(picture((ring(FINE), ORANGE, 2.0), grid=GREY))
    found = follow_curve(ink, near(ring, EIGHT), closed=True)
    assert found.closed
    gap = np.hypot(*(found.points[0] - found.points[-1]))
    assert 0.5 < gap < 3.5  # the first is not repeated, and nothing is left out
    assert off(found, ring(FINE), closed=True).max() < 0.8


def test_through_a_crossing_of_either_colour():
    for colour in (BLUE, ORANGE):
        ink = prepare(picture((steep(FINE), BLUE, 3.0), (arch(FINE), colour, 2.0)))
        assert off(follow_curve(ink, near(arch, THREE)), arch(INNER)).max() < 1.0
        assert off(follow_curve(ink, near(steep, THREE)), steep(INNER)).max() < 1.0


def test_keeps_to_its_colour_beside_another_curve():
    beside = arch(FINE) + np.array([0.0, 11.0])
    ink = prepare(picture((arch(FINE), ORANGE, 2.0), (beside, BLUE, 3.0)))
    assert off(follow_curve(ink, near(arch, THREE)), arch(INNER)).max() < 1.0
    ink = prepare(picture((arch(FINE), BLUE, 3.0), (beside, ORANGE, 2.0)))
    assert off(follow_curve(ink, near(arch, THREE)), arch(INNER)).max() < 1.0


def test_bridges_a_gap_and_says_so():
    x, y = arch([0.3])[0]
    ink = prepare(picture((arch(FINE), BLACK, 2.5), gaps=[(x - 25, y - 12, x + 25, y + 12)]))
    found = follow_curve(ink, near(arch, THREE))
    assert off(found, arch(INNER)).max() < 1.5
    inside = np.abs(found.points[:, 0] - x) < 12
    assert found.seen[inside].max() < 0.1
    assert np.median(found.seen[~inside]) > 0.8


def test_free_stretches_do_not_follow():
    ink = prepare(picture((arch(FINE), BLACK, 2.5)))
    clicks = np.vstack([arch([0.0, 0.4]), [(560.0, 550.0)], arch([1.0])])
    found = follow_curve(ink, clicks, free=(False, True, True))
    followed = found.points[:, 0] < arch([0.36])[0, 0]
    assert off(found, arch(np.linspace(0.01, 0.35, 80))).max() < 1.0
    assert found.seen[followed].mean() > 0.8
    # the free part goes through the click that lies off the ink
    assert off(found, clicks[2:3]).max() < 1.5
    assert found.seen[found.points[:, 0] > arch([0.45])[0, 0]].max() == 0.0
    straight = follow_segment(ink, (200.0, 600.0), (700.0, 500.0), free=True)
    along = np.linspace((200.0, 600.0), (700.0, 500.0), 50)
    assert off(straight, along).max() < 1e-6


def test_without_any_ink_it_is_the_smooth_line():
    ink = prepare(picture())
    found = follow_curve(ink, [(200.0, 300.0), (500.0, 300.0), (800.0, 300.0)])
    assert np.allclose(found.points[:, 1], 300.0)
    assert not found.seen.any()


def test_segment_is_the_curve_between_its_clicks():
    ink = prepare(picture((arch(FINE), BLUE, 2.5), grid=GREY))
    before, start, end, after = near(arch, (0.0, 0.3, 0.7, 1.0))
    for around in ({}, {"before": before}, {"after": after}, {"before": before, "after": after}):
        found = follow_segment(ink, start, end, **around)
        assert off(found, arch(np.linspace(0.32, 0.68, 100))).max() < 1.0
        assert np.hypot(*(found.points[0] - start)) < 6.0
        assert np.hypot(*(found.points[-1] - end)) < 6.0


def test_click_is_put_on_the_ink():
    ink = prepare(picture((arch(FINE), BLUE, 2.5)))
    curve = shapely.LineString(arch(FINE))
    for click in near(arch, np.linspace(0.1, 0.9, 9)) + np.array([2.0, -2.0]):
        assert shapely.distance(shapely.Point(snap_to_ink(ink, click)), curve) < 0.7
    assert np.array_equal(snap_to_ink(ink, (200.0, 600.0)), (200.0, 600.0))


@pytest.mark.parametrize(
    ("clicks", "options", "words"),
    [
        ([(1.0, 2.0)], {}, "2 places or more"),
        ([(1.0, 2.0), (5.0, 6.0)], {"closed": True}, "3 places or more"),
        ([(1.0, 2.0), (np.nan, 6.0)], {}, "finite places"),
        ([(1.0, 2.0), (1.2, 2.1)], {}, "half a pixel or more apart"),
        ([(1.0, 2.0), (9.0, 2.0)], {"free": (True, False)}, "1 flags, one a stretch"),
    ],
)
def test_what_is_refused(clicks, options, words):
    with pytest.raises(InputError, match=words):
        follow_curve(prepare(picture()), clicks, **options)


def test_walk_is_the_cheapest_of_all_ways():
    """Against trying every way: places and slopes of a small strip."""
    from engine_model.digitise import walk as module

    draw, steps, cells = np.random.default_rng(7), 4, 9
    for _ in range(5):
        price = draw.uniform(0.1, 1.0, (STRIDE * (steps - 1) + 1, cells)).astype(np.float32)
        half = np.full(steps, 4.0)
        costs = {}
        reach = range(-module.STEEPEST, module.STEEPEST + 1)
        for start, *slopes in product(range(cells), *[reach] * (steps - 1)):
            turns = np.abs(np.diff(slopes))
            way = start + np.concatenate([[0], np.cumsum(slopes)])
            if turns.max() > 1 or way.min() < 0 or way.max() >= cells:
                continue
            cost = module._TURN * turns.sum()
            for step, slope in enumerate(slopes):
                part = np.arange(1, STRIDE + 1)
                place = way[step] + np.rint(slope * part / STRIDE).astype(int)
                cost += price[STRIDE * step + part, place].sum() * np.hypot(1.0, slope / STRIDE)
                cost += STRIDE * module._PLACE * ((way[step + 1] - 4) / 4.0) ** 2
            costs[tuple(way)] = min(cost, costs.get(tuple(way), np.inf))
        found = tuple((walk(price, half) + 4).astype(int))
        # the first slope may come with a turn that only the walk pays for
        assert costs[found] <= min(costs.values()) + module._TURN + 1e-5


def test_walk_goes_straight_past_a_zigzag():
    """A zigzag of slightly better cells is not worth its turns; a way aside of them is."""
    price = np.full((STRIDE * 20 + 1, 21), 0.13, dtype=np.float32)
    rows = np.arange(len(price))
    zigzag = 10 + np.rint(1.5 * np.abs((rows / STRIDE) % 4 - 2) - 1.5).astype(int)
    price[rows, zigzag] = 0.10
    half = np.full(21, 1e4)  # nowhere better than elsewhere
    assert np.ptp(walk(price, half)) == 0.0
    price[:, 15] = 0.05
    assert np.all(walk(price, half) == 5.0)


def test_gaps_between_dashes_are_bridged_and_ends_are_not():
    found = np.zeros((60, 9), dtype=np.float32)
    found[[*range(10, 20), *range(28, 38)], 4] = 1.0
    bridged = ink_module._bridged(found, 1.0)
    assert np.all(bridged[20:28, 4] > 0.5)
    assert np.all(bridged[20:28, 4] < 1.0)
    assert not bridged[:10].any()
    assert not bridged[38:].any()
    assert not bridged[:, [0, 1, 7, 8]].any()


def test_smoothing_is_the_least_squares_it_claims():
    draw, count, stiffness = np.random.default_rng(2), 60, 300.0
    value, weight = draw.normal(size=count), draw.uniform(0.0, 1.0, count) + 1e-3
    found = centre._whittaker(value, weight, np.zeros(count), np.full(count - 3, stiffness))
    third = np.diff(np.eye(count), 3, axis=0)
    matrix = np.vstack([np.diag(np.sqrt(weight)), np.sqrt(stiffness) * third])
    wanted = np.concatenate([np.sqrt(weight) * value, np.zeros(count - 3)])
    assert np.allclose(found, np.linalg.lstsq(matrix, wanted, rcond=None)[0], atol=1e-8)


@pytest.mark.parametrize(("curve", "closed"), [(arch, False), (ring, True)])
def test_thinned_path_keeps_the_curve(curve, closed):
    share = np.linspace(0.0, 1.0, 700)[: 699 if closed else 700]
    few = thinned(curve(share), (720.0, 560.0), closed)
    assert 12 <= len(few) <= 40
    whole = shapely.LineString(curve(FINE) / [720.0, 560.0])
    told = shapely.LineString(
        np.vstack([few, few[:1]]) / [720, 560] if closed else few / [720, 560]
    )
    assert shapely.hausdorff_distance(whole, told) < 0.001
    if not closed:
        assert np.allclose(few[[0, -1]], curve([0.0, 1.0]))


@pytest.mark.parametrize(
    ("points", "options", "words"),
    [
        ([(0.0, 1.0), (1.0, 1.0)], {}, "three finite places"),
        ([(0.0, 1.0)] * 5, {}, "a path of some length"),
        ([(0.0, 1.0), (1.0, 1.0), (2.0, np.nan)], {}, "three finite places"),
        (arch(FINE), {"most": 5}, "12 points or more"),
    ],
)
def test_what_cannot_be_thinned(points, options, words):
    with pytest.raises(InputError, match=words):
        thinned(points, (1.0, 1.0), **options)
