"""Boost at a speed as a question: the largest pulley that gives it."""

from __future__ import annotations

import numpy as np
import pytest

from engine_model.errors import InputError
from engine_model.inputs import NAMED_DAYS, Variation
from engine_model.matching import match_many, pulley_for_boost
from engine_model.solvers.boost_solver import largest_pulley

FRAMES = ("frame-95-small", "frame-95-middle", "frame-95-large")
HELD = Variation(slip=np.zeros((1, 1)))
SWEEP = np.arange(0.0400, 0.2501, 0.0001)


def swept(build, day, speed, surface):
    variation = Variation(blower_pulley_diameter=SWEEP[:, None, None], slip=np.zeros((1, 1, 1)))
    line = match_many(build, [day], [speed], variation, surface=surface)
    return line.boost_gauge_pa[:, 0, 0]


@pytest.mark.parametrize("day", ["mild", "hot and high"])
@pytest.mark.parametrize("speed", [3000.0, 5000.0, 6500.0])
@pytest.mark.parametrize("name", FRAMES)
def test_brute_sweep_agrees(sample_build, sample_surface, name, speed, day):
    build, surface = sample_build(name), sample_surface(name)
    boost = swept(build, NAMED_DAYS[day], speed, surface)
    most = np.nanmax(boost)
    assert most > 1e4
    for asked in (0.05 * most, 0.35 * most, 0.8 * most, 0.99 * most):
        answer = pulley_for_boost(build, NAMED_DAYS[day], asked, speed, surface=surface)
        assert answer.reached
        largest = SWEEP[np.flatnonzero(np.where(np.isnan(boost), -np.inf, boost) >= asked)[-1]]
        assert largest - 1e-9 <= answer.diameter <= largest + 1e-4 + 1e-9
        assert answer.boost == pytest.approx(asked, rel=1e-6)
        build_with = build.with_value("drive.blower_pulley_diameter", answer.diameter)
        line = match_many(build_with, [NAMED_DAYS[day]], [speed], HELD, surface=surface).part(0)
        assert line.boost_gauge_pa[0] == pytest.approx(asked, rel=1e-6)


@pytest.mark.parametrize("name", FRAMES)
def test_boost_out_of_reach_says_the_most_there_is(sample_build, sample_surface, name):
    build, surface, day = sample_build(name), sample_surface(name), NAMED_DAYS["mild"]
    boost = swept(build, day, 6000.0, surface)
    answer = pulley_for_boost(build, day, 5e5, 6000.0, surface=surface)
    assert not answer.reached
    # the sweep's grid may miss the peak by half a step
    assert answer.boost == pytest.approx(np.nanmax(boost), rel=1e-3)
    assert answer.diameter == pytest.approx(SWEEP[np.nanargmax(boost)], abs=2e-4)


def test_boost_that_every_pulley_gives_takes_the_largest():
    answer = largest_pulley(lambda d: 8e3 / d - 5e4, -2e4, 0.04, 0.25)
    assert answer.reached
    assert answer.diameter == 0.25
    assert answer.boost == pytest.approx(8e3 / 0.25 - 5e4)


def test_cap_bounds_what_can_be_had(sample_build, sample_surface):
    build = sample_build("frame-95-small", bypass__boost_cap=3e4)
    surface, day = sample_surface("frame-95-small"), NAMED_DAYS["mild"]
    beyond = pulley_for_boost(build, day, 5e4, 6500.0, surface=surface)
    assert not beyond.reached
    assert beyond.boost == pytest.approx(3e4, rel=1e-6)
    under = pulley_for_boost(build, day, 2e4, 6500.0, surface=surface)
    free = pulley_for_boost(sample_build("frame-95-small"), day, 2e4, 6500.0, surface=surface)
    assert under.diameter == pytest.approx(free.diameter, abs=1e-8)


@pytest.mark.parametrize("kind", ["free_shaft", "none"])
def test_only_a_belt_has_a_pulley(sample_build, kind):
    build = sample_build("frame-95-small", drive__kind=kind)
    with pytest.raises(InputError, match=r"drive\.kind"):
        pulley_for_boost(build, NAMED_DAYS["mild"], 5e4, 6000.0)


def test_falling_curve_in_closed_form():
    answer = largest_pulley(lambda d: 8e3 / d - 5e4, 5e4, 0.04, 0.25)
    assert answer.reached
    assert answer.diameter == pytest.approx(0.08, abs=1e-9)


def test_of_two_pulleys_the_largest():
    """A hump: 40 to 60 mm falls short again on the small side."""
    answer = largest_pulley(lambda d: 6e4 - 1e8 * (d - 0.10) ** 2, 5e4, 0.04, 0.25)
    assert answer.diameter == pytest.approx(0.11, abs=1e-9)


def test_peak_between_two_divisions_is_found():
    top = 0.10037
    answer = largest_pulley(lambda d: 6e4 - 4e10 * (d - top) ** 2, 5.99e4, 0.04, 0.25)
    assert answer.reached
    assert answer.diameter == pytest.approx(top + 5e-5, abs=1e-8)


def test_small_pulleys_without_a_solution_are_passed_over():
    answer = largest_pulley(lambda d: np.where(d < 0.07, np.nan, 8e3 / d - 5e4), 6e4, 0.04, 0.25)
    assert answer.reached
    assert answer.diameter == pytest.approx(8e3 / 11e4, abs=1e-9)
    beyond = largest_pulley(lambda d: np.where(d < 0.07, np.nan, 8e3 / d - 5e4), 9e4, 0.04, 0.25)
    assert not beyond.reached
    assert beyond.diameter == pytest.approx(0.07, abs=2e-4)


def test_nothing_at_all_is_nan_and_not_reached():
    answer = largest_pulley(lambda d: np.full(d.shape, np.nan), 5e4, 0.04, 0.25)
    assert not answer.reached
    assert np.isnan(answer.boost)
