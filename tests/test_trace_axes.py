"""Axes of a picture: the homography against a general-purpose library, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from skimage.transform import ProjectiveTransform, warp

from engine_model.digitise.axes import Calibration
from engine_model.digitise.straighten import LEAST_FRAME, LONGEST_SIDE, straighten
from engine_model.errors import InputError

# seen at an angle and turned: lower left, lower right, upper right, upper left
PIXELS = np.array([(180.3, 1008.5), (1439.9, 1030.5), (1420.4, 102.3), (220.0, 132.6)])
VALUES = np.array([(0.0, 1.0), (0.7, 1.0), (0.7, 2.8), (0.0, 2.8)])
STEEP = np.array([(0.0, 1000.0), (1000.0, 1000.0), (550.0, 600.0), (450.0, 600.0)])
# more known points, neither on the frame
MORE = np.array([(0.2, 1.4), (0.5, 2.2), (0.3, 2.6), (0.6, 1.2)])


def library(old, new):
    """The same homography by scikit-image."""
    return ProjectiveTransform.from_estimate(old, new)


def test_four_points_against_the_library():
    ours, theirs = Calibration(PIXELS, VALUES), library(VALUES, PIXELS)
    flow, ratio = np.meshgrid(np.linspace(-0.1, 0.8, 10), np.linspace(0.9, 3.0, 10))
    values = np.column_stack([flow.ravel(), ratio.ravel()])
    assert np.allclose(ours.to_pixels(values), theirs(values), atol=1e-6)
    assert np.allclose(ours.to_values(theirs(values)), values, atol=1e-9)
    assert np.allclose(ours.to_pixels(VALUES), PIXELS, atol=1e-9)


def test_more_exact_points_change_nothing():
    values = np.vstack([VALUES, MORE])
    ours = Calibration(library(VALUES, PIXELS)(values), values)
    assert np.allclose(ours.to_pixels(VALUES), PIXELS, atol=1e-6)
    assert max(one.worst_percent for one in ours.residuals()) < 1e-6


def test_more_jittered_points_against_the_library():
    """Least squares of normalised equations, as there: to a hundredth of a pixel."""
    values = np.vstack([VALUES, MORE])
    draw = np.random.default_rng(4)
    jittered = library(VALUES, PIXELS)(values) + draw.normal(0.0, 1.5, values.shape)
    ours, theirs = Calibration(jittered, values), library(values, jittered)
    misses = [np.hypot(*(to(values) - jittered).T) for to in (ours.to_pixels, theirs)]
    assert np.sqrt(np.mean(misses[0] ** 2)) == pytest.approx(
        np.sqrt(np.mean(misses[1] ** 2)), rel=0.01
    )
    # four of them alone lie further from the rest
    four = Calibration(jittered[:4], values[:4])
    assert np.sum((four.to_pixels(values) - jittered) ** 2) > np.sum(misses[0] ** 2)


def test_known_points_need_not_be_corners():
    seen = library(VALUES, PIXELS)(MORE)
    assert np.allclose(Calibration(seen, MORE).to_pixels(VALUES), PIXELS, atol=1e-6)


def test_a_turned_picture_is_welcome():
    quarter = np.column_stack([-PIXELS[:, 1], PIXELS[:, 0]]) + np.array([2000.0, 0.0])
    assert np.allclose(Calibration(quarter, VALUES).to_values(quarter), VALUES, atol=1e-9)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.floats(-0.25, 0.25), min_size=8, max_size=8),
    st.floats(0.05, 5000.0),
    st.floats(-0.5, 3.0),
)
def test_there_and_back(moves, span, floor):
    box = np.array([(0.0, 1.0), (1.0, 1.0), (1.0, 0.0), (0.0, 0.0)])
    pixels = (box + np.reshape(moves, (4, 2))) * [1500.0, 1000.0]
    values = np.array([(0, 0), (span, 0), (span, 2), (0, 2)], dtype=float) + np.array([0.0, floor])
    one = Calibration(pixels, values)
    inside = np.array([(0.5 * span, floor + 1.0), (0.1 * span, floor + 1.9)])
    assert np.allclose(one.to_values(one.to_pixels(inside)), inside, rtol=1e-7, atol=1e-7)


def test_check_point_says_units_and_share_of_span():
    one = Calibration(PIXELS, VALUES)
    place = library(VALUES, PIXELS)([(0.35, 1.9)])[0]
    found = one.check(place, (0.357, 1.882))
    assert found.flow_error == pytest.approx(-0.007, abs=1e-9)
    assert found.pressure_ratio_error == pytest.approx(0.018, abs=1e-9)
    assert found.flow_percent == pytest.approx(-1.0, abs=1e-6)  # of 0.7
    assert found.pressure_ratio_percent == pytest.approx(1.0, abs=1e-6)  # of 1.8
    assert found.worst_percent == pytest.approx(1.0, abs=1e-6)


def test_beyond_the_horizon_is_nan():
    steep = Calibration(STEEP, VALUES)
    # the sides meet at row 555.6: similar triangles, 1000 wide at 1000 and 100 wide at 600
    assert np.all(np.isfinite(steep.to_values((500.0, 570.0))))
    assert np.all(np.isnan(steep.to_values((500.0, 540.0))))


def moved(table, row, to):
    changed = np.array(table, dtype=float)
    changed[row] = to
    return changed


@pytest.mark.parametrize(
    ("pixels", "values", "words"),
    [
        (PIXELS[:3], VALUES[:3], "four to 24 pairs"),
        (PIXELS, VALUES[:3], "four to 24 pairs"),
        (np.vstack([PIXELS, PIXELS.mean(axis=0)]), VALUES, "one pair of values for each place"),
        (moved(PIXELS, 2, (np.nan, 5.0)), VALUES, "finite numbers"),
        (PIXELS, moved(VALUES, 0, (np.inf, 1.0)), "finite numbers"),
        ("abcd", VALUES, "pairs of numbers"),
        (moved(PIXELS, 3, PIXELS[2]), VALUES, "no three lie on a line .* on the picture"),
        (moved(PIXELS, 1, (PIXELS[0] + PIXELS[2]) / 2), VALUES, "no three lie on a line"),
        (PIXELS, moved(VALUES, 3, VALUES[2]), "no three lie on a line .* in flow and pressure"),
        (PIXELS, VALUES * [1.0, 0.0], "no three lie on a line"),
        (PIXELS[[1, 0, 2, 3]], VALUES, "neither crossed nor mirrored"),
        (PIXELS[[0, 2, 1, 3]], VALUES, "neither crossed nor mirrored"),
        (PIXELS[::-1], VALUES, "neither crossed nor mirrored"),
        (PIXELS, VALUES[[1, 0, 3, 2]], "neither crossed nor mirrored"),
    ],
)
def test_what_is_refused(pixels, values, words):
    with pytest.raises(InputError, match=words):
        Calibration(pixels, values)


def test_a_check_point_must_be_finite():
    with pytest.raises(InputError, match="finite places and values"):
        Calibration(PIXELS, VALUES).check((1.0, np.nan), (0.1, 1.2))


def soft_picture(width=1600, height=1200):
    """A picture of slow waves, so that resampling can be compared."""
    y, x = np.mgrid[0:height, 0:width] / 60.0
    waves = [np.sin(x + phase) * np.cos(y - phase) for phase in (0.0, 1.0, 2.0)]
    return (127.5 + 120.0 * np.stack(waves, axis=-1)).astype(np.uint8)


def test_straightened_picture_against_the_library():
    picture, one = soft_picture(), Calibration(PIXELS, VALUES)
    straight = straighten(picture, one)
    frame = straight.to_pixels(VALUES)
    shape = straight.picture.shape[:2]
    theirs = warp(picture, library(frame, PIXELS), output_shape=shape, order=1)
    left, top, right, bottom = (round(side) for side in straight.frame)
    inside = slice(top, bottom), slice(left, right)
    off = np.abs(straight.picture[inside] - 255.0 * theirs[inside])
    assert off.max() <= 1.0  # rounding to whole levels


def test_frame_and_margin_of_a_straightened_picture():
    straight = straighten(soft_picture(), Calibration(PIXELS, VALUES), margin=0.12)
    left, top, right, bottom = straight.frame
    height, width = straight.picture.shape[:2]
    assert left == pytest.approx(0.12 * (right - left))
    assert width == pytest.approx(1.24 * (right - left), abs=2)
    assert height == pytest.approx(1.24 * (bottom - top), abs=2)
    assert np.allclose(straight.to_pixels(VALUES)[0], (left, bottom))
    assert np.allclose(straight.to_pixels(VALUES)[2], (right, top))
    assert np.allclose(straight.to_values(straight.to_pixels(MORE)), MORE)
    assert np.array_equal(straight.limits, [(0.0, 0.7), (1.0, 2.8)])


def test_frame_beyond_the_known_points():
    seen = library(VALUES, PIXELS)(MORE)
    straight = straighten(soft_picture(), Calibration(seen, MORE), limits=((0.0, 0.7), (1.0, 2.8)))
    same = straighten(soft_picture(), Calibration(PIXELS, VALUES))
    assert np.allclose(straight.frame, same.frame)
    assert np.abs(straight.picture.astype(int) - same.picture).max() <= 1


def test_small_pictures_are_enlarged():
    small = straighten(soft_picture(400, 300), Calibration(PIXELS / 4, VALUES))
    left, _, right, _ = small.frame
    sides = np.hypot(*(np.roll(PIXELS, -1, axis=0) - PIXELS).T)
    assert right - left == pytest.approx(3.0 * (sides[0] + sides[2]) / 2 / 4)  # no more than 3
    assert right - left < LEAST_FRAME


def test_large_pictures_are_reduced_in_place():
    """Against the drawn wave itself: reduced by blocks, it still lies where it was."""
    y, x = np.mgrid[0:3600, 0:4800].astype(np.float32)
    wave = lambda x, y: 127.5 + 120.0 * np.sin(x / 6.4) * np.cos(y / 6.4)  # noqa: E731
    picture = np.repeat(np.rint(wave(x, y)).astype(np.uint8)[..., None], 3, axis=2)
    one = Calibration(PIXELS * 3.0, VALUES)
    large = straighten(picture, one)
    assert LONGEST_SIDE - 2 <= max(large.picture.shape) <= LONGEST_SIDE + 2
    rows, columns = np.mgrid[300:900:41, 300:1500:37]
    places = one.to_pixels(large.to_values(np.column_stack([columns.ravel(), rows.ravel()])))
    off = large.picture[rows.ravel(), columns.ravel(), 0] - wave(*places.T)
    # half a pixel is 9 levels where the wave is steep
    assert np.abs(off).max() < 5.0


@pytest.mark.parametrize(
    ("pixels", "limits", "words"),
    [
        (PIXELS / 20.0, None, "a frame of 100 pixels or more"),
        (PIXELS, ((0.7, 0.0), (1.0, 2.8)), "rising pairs"),
        (PIXELS, ((0.0, np.inf), (1.0, 2.8)), "rising pairs"),
        (STEEP, ((-9.0, 0.7), (-2.0, 2.8)), "sides of a frame the picture can show"),
    ],
)
def test_what_cannot_be_straightened(pixels, limits, words):
    with pytest.raises(InputError, match=words):
        straighten(soft_picture(160, 120), Calibration(pixels, VALUES), limits=limits)
