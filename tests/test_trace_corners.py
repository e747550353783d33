"""Clicks near crossings, snapped: lines drawn from their equations, so that the truth is known."""

from __future__ import annotations

import numpy as np
import pytest

from engine_model.digitise.corners import snap_to_crossing

SIDE = 140
FAR = 1e3


def lined(lines, width=2.4, ink=0, paper=250, noise=0.0):
    """Picture of straight lines: (point, direction [degree], from, to), lengths along them."""
    y, x = np.mgrid[0:SIDE, 0:SIDE].astype(float)
    cover = np.zeros((SIDE, SIDE))
    for (x0, y0), angle, start, end in lines:
        along, across = np.cos(np.radians(angle)), np.sin(np.radians(angle))
        place = (x - x0) * along + (y - y0) * across
        off = np.abs((y - y0) * along - (x - x0) * across)
        side = np.clip(width / 2 + 0.5 - off, 0.0, 1.0)
        cover = np.maximum(cover, side * np.clip(np.minimum(place - start, end - place), 0.0, 1.0))
    grey = paper + (ink - paper) * cover
    if noise:
        grey = grey + np.random.default_rng(8).normal(0.0, noise, grey.shape)
    return np.repeat(np.clip(grey + 0.5, 0, 255).astype(np.uint8)[..., None], 3, axis=2)


HERE = np.array([69.3, 72.8])
SHAPES = {
    "cross": [(HERE, 0.0, -FAR, FAR), (HERE, 90.0, -FAR, FAR)],
    "turned cross": [(HERE, 7.0, -FAR, FAR), (HERE, 97.0, -FAR, FAR)],
    "skewed cross": [(HERE, -12.0, -FAR, FAR), (HERE, 71.0, -FAR, FAR)],
    "corner": [(HERE, 2.0, -1.0, FAR), (HERE, -88.0, -1.0, FAR)],
    "tee": [(HERE, -3.0, -FAR, FAR), (HERE, 88.0, 0.0, FAR)],
    "corner with a label": [
        (HERE, 0.0, -1.0, FAR),
        (HERE, -90.0, -1.0, FAR),
        *[(HERE + np.array([x, 20.0]), 80.0, -4.0, 4.0) for x in (-9.0, -3.0, 3.0, 9.0)],
    ],
}
each_shape = pytest.mark.parametrize("shape", SHAPES)


def clicks(reach=7.0):
    return HERE + np.random.default_rng(3).uniform(-reach, reach, (12, 2))


@each_shape
def test_snaps_to_a_fraction_of_a_pixel(shape):
    picture = lined(SHAPES[shape])
    for click in clicks():
        found = snap_to_crossing(picture, click)
        assert found is not None
        assert np.hypot(*(found - HERE)) < 0.15


@each_shape
@pytest.mark.parametrize(
    "look",
    [
        {"width": 1.2},
        {"width": 5.0},
        {"ink": 235, "paper": 20},
        {"ink": 150, "paper": 235, "noise": 6.0},
    ],
)
def test_thin_thick_light_and_noisy_lines(shape, look):
    picture = lined(SHAPES[shape], **look)
    off = []
    for click in clicks(4.0):
        found = snap_to_crossing(picture, click)
        assert found is not None
        off.append(np.hypot(*(found - HERE)))
    assert np.median(off) < 0.3
    assert max(off) < 0.7


def test_nearest_of_two_crossings():
    other = HERE + np.array([30.0, 0.0])
    picture = lined([*SHAPES["cross"], (other, 90.0, -FAR, FAR)])
    assert np.allclose(snap_to_crossing(picture, HERE + np.array([6.0, -3.0])), HERE, atol=0.15)
    assert np.allclose(snap_to_crossing(picture, other + np.array([-6.0, 3.0])), other, atol=0.15)


@pytest.mark.parametrize(
    "lines",
    [
        [],
        [(HERE, 10.0, -FAR, FAR)],
        [
            (HERE, 10.0, -FAR, FAR),
            (HERE + np.array([0.0, 6.0]), 14.0, -FAR, FAR),
        ],  # nearly parallel
        [
            (HERE + np.array([0.0, 25.0]), 0.0, -FAR, FAR),
            (HERE, 90.0, -FAR, FAR),
        ],  # crossing too far
    ],
)
def test_none_where_no_two_lines_cross(lines):
    assert snap_to_crossing(lined(lines), HERE) is None


def test_none_on_noise():
    grey = np.random.default_rng(1).normal(128.0, 12.0, (SIDE, SIDE, 1))
    assert snap_to_crossing(np.repeat(grey, 3, axis=2).astype(np.uint8), HERE) is None


def test_at_and_beyond_the_border():
    edge = np.array([5.2, 6.7])
    picture = lined([(edge, 0.0, 0.0, FAR), (edge, 90.0, 0.0, FAR)])
    assert np.allclose(snap_to_crossing(picture, (7.0, 8.0)), edge, atol=0.2)
    for outside in [(-1.0, 5.0), (5.0, SIDE), (np.nan, 5.0)]:
        assert snap_to_crossing(picture, outside) is None
