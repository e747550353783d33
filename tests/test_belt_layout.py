"""A belt with its tensioner: lengths, settings, the same belt with another pulley, the table."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from engine_model.drive.belt_change import (
    next_length,
    same_belt,
    settings_for_belt,
    tensioner_for_length,
    travel_lengths,
    travel_used,
)
from engine_model.drive.belt_layout import (
    ArmTensioner,
    Layout,
    SlideTensioner,
    length_of,
    length_with_pulley,
    path_at,
    path_now,
    paths,
)
from engine_model.drive.belt_path import pitch_length
from engine_model.drive.belt_sections import BELT_SECTIONS, MAKERS, Figure, belt_section
from engine_model.errors import InputError
from tests.belt_layouts import pair, three

OFFSETS = (0.002, 0.001)
# an idler over the upper span; swung left about a pivot on its right it presses deeper
ARM = ArmTensioner("idler", 0.26, 0.14, -0.1, 0.5)
ARMED = Layout(three(0.085), *OFFSETS, ARM)
SLID = Layout(pair(), *OFFSETS, SlideTensioner("blower", 0.0, -0.02, 0.02))


def test_arm_keeps_its_distance_from_the_pivot():
    x, y = ARM.moved(0.16, 0.085, np.linspace(-0.1, 0.5, 7))
    np.testing.assert_allclose(np.hypot(x - 0.26, y - 0.14), np.hypot(0.1, 0.055), rtol=1e-12)
    assert (x[0], y[0]) != (x[-1], y[-1])
    quarter = ArmTensioner("idler", 0.0, 0.0, 0.0, 2.0).moved(0.1, 0.0, np.array(np.pi / 2.0))
    np.testing.assert_allclose(quarter, [0.0, 0.1], atol=1e-15)


def test_slide_moves_along_its_direction():
    slide = SlideTensioner("idler", np.pi / 6.0, -0.1, 0.1)
    np.testing.assert_allclose(slide.moved(1.0, 2.0, np.array(0.1)), [1.0 + 0.05 * 3**0.5, 2.05])


def test_length_of_a_slide_by_the_closed_form():
    # Shigley's open belt at the pitch line, 184 and 84 mm, 280 to 320 mm apart
    setting = np.linspace(-0.02, 0.02, 9)
    apart = 0.3 + setting
    lean = 2.0 * np.arcsin(0.1 / (2.0 * apart))
    arcs = 0.5 * (0.184 * (np.pi + lean) + 0.084 * (np.pi - lean))
    wanted = np.sqrt(4.0 * apart**2 - 0.1**2) + arcs
    np.testing.assert_allclose(length_of(SLID, setting), wanted, rtol=1e-12)


@pytest.mark.parametrize("layout", [ARMED, SLID])
def test_sweeps_are_the_checked_path_at_every_point(layout):
    tensioner = layout.known_tensioner()
    setting = np.linspace(tensioner.low, tensioner.high, 4)[:, None]
    diameter = np.array([0.07, 0.08, 0.09])
    every = paths(layout, "blower", diameter, setting)
    assert every.length.shape == (4, 3)
    for i, j in np.ndindex(4, 3):
        one = path_at(layout.with_diameter("blower", diameter[j]), float(setting[i, 0]))
        np.testing.assert_allclose(every.wraps[i, j], one.wraps, rtol=0.0, atol=1e-13)
        assert every.length[i, j] == pytest.approx(one.length, rel=1e-13)


@settings(max_examples=60, deadline=None)
@given(share=st.floats(0.02, 0.98), diameter=st.floats(0.074, 0.086))
def test_setting_is_the_root_scipy_finds(share, diameter):
    layout = ARMED.with_diameter("blower", diameter)
    shortest, longest = travel_lengths(layout)
    length = shortest + share * (longest - shortest)
    wanted = brentq(lambda x: float(length_of(layout, x)) - length, ARM.low, ARM.high, xtol=1e-14)
    assert tensioner_for_length(layout, length) == pytest.approx(wanted, abs=1e-8)
    again = settings_for_belt(ARMED, "blower", [diameter, diameter], length)
    np.testing.assert_allclose(again, wanted, rtol=0.0, atol=1e-8)
    # longest belt: no take-up left
    assert travel_used(layout, wanted) > travel_used(layout, tensioner_for_length(layout, shortest))


def test_travel_ends():
    shortest, longest = travel_lengths(ARMED)
    assert tensioner_for_length(ARMED, longest) == pytest.approx(ARM.high, abs=1e-7)
    np.testing.assert_allclose(travel_used(ARMED, [ARM.low, ARM.high]), [0.0, 1.0], atol=1e-12)
    with pytest.raises(InputError, match="takes up") as caught:
        tensioner_for_length(ARMED, longest + 1e-3)
    assert f"{shortest:.4f} to {longest:.4f} m" in str(caught.value)
    away = settings_for_belt(ARMED, "blower", [0.08, 0.08], [longest + 1e-3, shortest - 1e-3])
    assert np.isnan(away).all()


def test_travel_used_the_other_way_round():
    # towards the crank the path shortens: the far end is the one without take-up
    towards = Layout(pair(), *OFFSETS, SlideTensioner("blower", np.pi, -0.01, 0.03))
    np.testing.assert_allclose(travel_used(towards, [-0.01, 0.0, 0.03]), [1.0, 0.75, 0.0])


def test_travel_over_a_dead_point_is_refused():
    # the blower on an arm about a pivot beyond it swings through its farthest place
    over = Layout(pair(), *OFFSETS, ArmTensioner("blower", 0.35, 0.0, -1.0, 1.0))
    with pytest.raises(InputError, match="only shortens"):
        travel_lengths(over)
    length = float(length_of(over, 0.4))
    assert np.isnan(settings_for_belt(over, "blower", 0.08, length))


def test_a_belt_that_would_leave_the_idler_is_not_taken_up():
    lifted = Layout(three(0.1), *OFFSETS, SlideTensioner("idler", np.pi / 2.0, -0.02, 0.02))
    bare = path_now(Layout(pair(), *OFFSETS)).length
    there = paths(lifted, "blower", 0.08, 0.02)
    assert there.wraps[2] < 0.0
    assert np.isnan(settings_for_belt(lifted, "blower", 0.08, bare - 1e-4))
    assert np.isfinite(settings_for_belt(lifted, "blower", 0.08, bare + 1e-4))


@pytest.mark.parametrize(
    ("low", "high"), [(0.0, 0.0), (0.1, 0.2), (-0.2, -0.1), (float("nan"), 0.1), (-2.0, 2.0)]
)
def test_impossible_travel(low, high):
    with pytest.raises(InputError, match="belt_tensioner"):
        ArmTensioner("idler", 0.0, 0.0, low, high)


def test_layouts_without_what_is_asked():
    with pytest.raises(InputError, match="crank, blower"):
        Layout(pair(), *OFFSETS, ArmTensioner("idler", 0.0, 0.0, 0.0, 0.1))
    with pytest.raises(InputError, match="0 or more"):
        Layout(pair(), -0.001, 0.001)
    still = Layout(pair(), *OFFSETS)
    with pytest.raises(InputError, match="a tensioner"):
        path_at(still, 0.0)
    with pytest.raises(InputError, match="a tensioner"):
        paths(still, "blower", 0.08, [0.0, 0.1])


def test_84_to_78_mm_is_8_to_9_mm_of_belt():
    # common practice, no source; by hand with the handbooks' 2C + pi/2 (D+d) + (D-d)^2/(4C):
    # pi/2 6 - (102^2 - 96^2)/1200 = 9.425 - 0.990 = 8.435 mm (184, 88 and 82 mm at the pitch line)
    layout = Layout(pair(0.18, 0.084, 0.3), *OFFSETS)
    lengths = length_with_pulley(layout, "blower", [0.084, 0.078])
    assert 1e3 * (lengths[0] - lengths[1]) == pytest.approx(8.435, abs=0.01)
    # and with wraps between 155 and 170 deg, by the slope of half the wrap
    for wrap in np.deg2rad([155.0, 170.0]):
        assert 8.0 < 0.5 * wrap * 6.0 < 9.0


def test_same_belt_with_a_smaller_pulley():
    shelf = pitch_length(np.arange(0.95, 1.10, 0.005), OFFSETS[0])
    change = same_belt(ARMED, "blower", 0.074, shelf)
    assert change.fits
    # the same belt at the new setting, and the tensioner farther along its travel
    there = path_at(ARMED.with_diameter("blower", 0.074), change.setting)
    assert there.length == pytest.approx(change.length_now, abs=1e-9)
    assert change.used_now == pytest.approx(0.1 / 0.6)
    assert change.used_now < change.used < 1.0
    assert change.change < 0.0
    assert change.wanted == pytest.approx(change.length_now + change.change)
    assert abs(change.next_length - change.wanted) <= 0.0025 + 1e-9
    assert np.min(np.abs(shelf - change.next_length)) == 0.0


def test_same_belt_that_no_longer_fits():
    short = Layout(pair(), *OFFSETS, SlideTensioner("blower", 0.0, -0.002, 0.002))
    change = same_belt(short, "blower", 0.06, [1.2])
    assert not change.fits
    assert np.isnan([change.setting, change.used, change.next_length]).all()
    # 20 mm less diameter, half of 160 deg
    assert change.change == pytest.approx(-0.02 * np.deg2rad(80.0), rel=0.03)


def test_same_belt_with_a_pulley_that_does_not_go_in():
    with pytest.raises(InputError, match="overlap"):
        same_belt(SLID, "blower", 0.5, [])


def test_next_length_on_the_shelf():
    # of two equally near the shorter one; outside the travel none
    assert next_length(1.0, [1.01, 0.99], 0.9, 1.1) == 0.99
    assert next_length(1.0, [0.8, 1.2, 1.05], 0.9, 1.1) == 1.05
    assert np.isnan(next_length(1.0, [0.8, 1.2], 0.9, 1.1))
    assert np.isnan(next_length(1.0, [], 0.9, 1.1))


def test_table_of_sections():
    # ISO 9982: the five profiles and their pitches (read second hand)
    pitches = {"PH": 1.60e-3, "PJ": 2.34e-3, "PK": 3.56e-3, "PL": 4.70e-3, "PM": 9.40e-3}
    assert {n: BELT_SECTIONS[n].rib_pitch.value for n in pitches} == pitches
    assert set(BELT_SECTIONS) == {*pitches, "toothed"}
    for row in BELT_SECTIONS.values():
        figures = [getattr(row, n) for n in row.__slots__ if isinstance(getattr(row, n), Figure)]
        assert len(figures) == 10
        for figure in figures:
            assert figure.origin
            assert (figure.value is None) == (figure.origin == MAKERS)
    assert [row.name for row in BELT_SECTIONS.values() if not row.slips] == ["toothed"]


def test_figures_that_are_the_makers():
    with pytest.raises(InputError, match="enter yours") as caught:
        belt_section("PJ").mass_per_rib.known("drive.belt_mass")
    assert caught.value.field == "drive.belt_mass"
    with pytest.raises(InputError, match="PK, PH, PJ, PL, PM, toothed"):
        belt_section("XX")
