"""The fitted surface on a map of known truth: an invented compressor in closed form.

Its specific heats are constant, the model's are not: beyond the traced lines the pressure ratio
may differ by that, 0.1 % at a ratio of 6.
"""

from __future__ import annotations

import logging

import invented_compressor as truth
import numpy as np
import pytest
from invented_compressor import Trace, trace

from engine_model.compressor.surface import REGIONS
from engine_model.compressor.surface_fit import ASSUMED_EFFICIENCY, fit_surface

LOG = logging.getLogger(__name__)
NOISE = 0.001  # of the map's span, what a trace carries
LOWEST, TOP = truth.SPEEDS[0], truth.TOP


@pytest.fixture(scope="module")
def exact():
    return fit_surface(trace())


@pytest.fixture(scope="module")
def with_line_efficiency():
    return fit_surface(trace(Trace(levels=(), on_lines=True)))


def points_inside_islands(count=500):
    """Speeds and shares of the line, drawn over the map, inside the outermost island."""
    random = np.random.default_rng(11)
    speed = random.uniform(LOWEST, TOP, 12 * count)
    x = random.uniform(0.0, 0.98, speed.size)
    eta = truth.efficiency(truth.flow(speed, x), truth.pressure_ratio(speed, x))
    chosen = np.flatnonzero(eta >= truth.LEVELS[-1])[:count]
    assert chosen.size == count
    return speed[chosen], x[chosen]


@pytest.mark.parametrize("seed", [0, 1, 2, 3])
def test_noisy_trace_gives_the_truth_back(seed):
    surface = fit_surface(trace(Trace(noise=NOISE, seed=seed)))
    speed, x = points_inside_islands()
    w, ratio = truth.flow(speed, x), truth.pressure_ratio(speed, x)
    found_speed, s = surface.locate(w, ratio)
    points = np.abs(surface.line(found_speed, s)[2] - truth.efficiency(w, ratio)) * 100.0
    off_ratio = np.abs(surface.pressure_ratio(w, speed) - ratio) / truth.SPAN[1] * 100.0
    LOG.info(
        "efficiency %.3f median, %.3f worst points; pressure ratio %.3f, %.3f %% of span",
        np.median(points),
        points.max(),
        np.median(off_ratio),
        off_ratio.max(),
    )
    assert np.median(points) <= 0.1
    assert points.max() <= 0.6
    assert np.median(off_ratio) <= 0.15
    assert off_ratio.max() <= 0.8


def test_efficiency_stays_under_the_innermost_island_and_its_spacing(exact):
    n, s = np.meshgrid(np.linspace(LOWEST, TOP, 60), np.linspace(0.0, 1.0, 60))
    assert exact.line(n, s)[2].min() >= truth.LEVELS[-1] - 1e-12
    # without the inner islands the peak lies more than a spacing above what was traced
    levels = (0.77, 0.765, 0.74, 0.72, 0.69)
    assert levels[0] + 0.005 < truth.PEAK - 0.01
    eta = fit_surface(trace(Trace(levels=levels))).line(n, s)[2]
    assert eta.max() == pytest.approx(levels[0] + 0.005, abs=1e-9)


@pytest.mark.parametrize("share", [0.2, 0.5, 0.9])
def test_similarity_below_the_lowest_line(exact, share):
    w = share * truth.flow(LOWEST, truth.PLACES) * (1.0 - 1e-9)
    expected = truth.ratio_of_head(truth.head(LOWEST, truth.PLACES) * share**2)
    assert exact.pressure_ratio(w, share * LOWEST) == pytest.approx(expected, rel=1e-5)
    assert exact.surge_flow(share * LOWEST) == pytest.approx(w[0], rel=1e-6)
    s = np.linspace(0.0, 1.0, 21)
    eta = exact.line(share * LOWEST, s)[2]
    assert eta == pytest.approx(exact.line(0.7 * LOWEST, s)[2], abs=1e-12)
    # the grid rounds the corner at the lowest line
    assert eta == pytest.approx(exact.line(LOWEST, s)[2], abs=1e-3)


@pytest.mark.parametrize("share", [1.05, 1.15, 1.4])
def test_similarity_above_the_top_line(exact, share):
    w = share * truth.flow(TOP, truth.PLACES) * (1.0 - 1e-9)
    expected = truth.ratio_of_head(truth.head(TOP, truth.PLACES) * share**2)
    # constant against varying specific heats
    tolerance = 2e-3 if share < 1.2 else 6e-3
    assert exact.pressure_ratio(w, share * TOP) == pytest.approx(expected, rel=tolerance)


def test_ends_are_the_traced_ones(exact):
    speeds = np.array(truth.SPEEDS)
    # the grid rounds the corner that a traced surge line has at each of its points
    assert exact.surge_flow(speeds) == pytest.approx(truth.surge_flow(speeds), rel=1e-3)
    assert exact.choke_flow(speeds) == pytest.approx(truth.choke_flow(speeds), rel=1e-3)
    ratio = truth.pressure_ratio(speeds, 0.0)
    assert exact.surge_pressure_ratio(speeds) == pytest.approx(ratio, rel=1e-4)


def test_traced_points_are_on_the_surface(exact):
    for line in exact.compressor_map.speed_lines:
        w = line.flow() * (1.0 - 1e-6 * (np.arange(line.flow().size) == line.flow().size - 1))
        got = exact.pressure_ratio(w, line.corrected_speed)
        assert got == pytest.approx(line.pressure_ratio(), rel=5e-4)


def test_speed_inverts_pressure_ratio(exact):
    random = np.random.default_rng(3)
    n = random.uniform(0.5 * LOWEST, 1.3 * TOP, 2000)
    x = random.uniform(0.001, 0.999, n.size)
    low, high = exact.surge_flow(n), exact.choke_flow(n)
    w = low + x * (high - low)
    ratio = exact.pressure_ratio(w, n)
    assert exact.corrected_speed(w, ratio) == pytest.approx(n, rel=1e-9)


def test_left_of_surge_the_head_is_kept(exact):
    n = np.array([60e3, 90e3, 100e3])
    w = exact.surge_flow(n)
    at_surge = exact.surge_pressure_ratio(n)
    for share in (0.999, 0.8, 0.6 + 1e-9):
        assert exact.pressure_ratio(share * w, n) == pytest.approx(at_surge, rel=1e-12)
        assert np.all(np.isfinite(exact.efficiency(share * w, n)))
    assert np.all(np.isnan(exact.pressure_ratio(0.599 * w, n)))
    assert np.all(np.isnan(exact.efficiency(0.599 * w, n)))


def test_beyond_choke_there_is_no_number(exact):
    n = np.array([0.5 * LOWEST, 60e3, TOP, 1.2 * TOP])
    w = exact.choke_flow(n)
    assert np.all(np.isfinite(exact.pressure_ratio(w * (1.0 - 1e-9), n)))
    assert np.all(np.isnan(exact.pressure_ratio(1.001 * w, n)))
    assert np.all(np.isnan(exact.efficiency(1.001 * w, n)))


def test_past_choke_the_head_falls_straight_to_nothing(exact):
    s = np.array([1.0, 1.25, 1.5, 1.75])
    for n in (60e3, TOP):
        w, ratio, _ = exact.line(n, s)
        assert w == pytest.approx(np.full(4, exact.choke_flow(n)), rel=1e-12)
        head = truth.head_of_ratio(ratio)
        assert head / head[0] == pytest.approx(2.0 - s, rel=2e-3)


@pytest.mark.parametrize(
    ("flow", "ratio", "name"),
    [
        (0.22, 2.0, "on the map"),
        (0.30, 3.0, "on the map"),
        (0.10, 1.15, "below the map"),
        (0.05, 1.05, "below the map"),
        (0.33, 4.6, "above the map"),
        (0.28, 5.2, "above the map"),
        (0.08, 2.0, "left of surge"),
        (0.03, 2.5, "left of surge"),  # further left than the surface reaches
        (0.15, 4.8, "left of surge"),  # also above the top line: surge is named
        (0.062, 1.37, "left of surge"),
        (0.035, 1.20, "below the map"),  # left of a line too weak to surge hard
        (0.40, 1.4, "past choke"),
        (0.55, 2.0, "past choke"),
        (0.20, 0.9, "past choke"),
    ],
)
def test_region_names(exact, flow, ratio, name):
    assert name in REGIONS
    assert str(exact.region(flow, ratio)) == name


def test_surge_band_widens_away_from_the_lines(exact):
    speeds = np.array(truth.SPEEDS)
    assert exact.surge_uncertainty(speeds) == pytest.approx(0.0, abs=1e-12)
    middle = 0.5 * (speeds[1:] + speeds[:-1])
    assert exact.surge_uncertainty(middle) == pytest.approx(0.10, rel=1e-12)
    quarter = speeds[:-1] + 0.25 * np.diff(speeds)
    assert exact.surge_uncertainty(quarter) == pytest.approx(0.05, rel=1e-12)
    assert exact.surge_uncertainty([0.3 * LOWEST, 1.5 * TOP]) == pytest.approx(0.10, rel=1e-12)


def test_shapes_broadcast(exact):
    w, n = np.array([[0.15], [0.20], [0.25]]), np.array([60e3, 70e3, 80e3, 90e3])
    ratio = exact.pressure_ratio(w, n)
    assert ratio.shape == exact.efficiency(w, n).shape == (3, 4)
    assert exact.corrected_speed(w, np.full(4, 2.0)).shape == (3, 4)
    assert exact.region(w, np.full(4, 2.0)).shape == (3, 4)
    assert exact.line(n[:, None], np.zeros(5))[0].shape == (4, 5)
    assert exact.surge_flow(n).shape == exact.surge_pressure_ratio(n).shape == (4,)
    # one at a time gives the same numbers, to the bit
    for i in range(3):
        for j in range(4):
            one = exact.pressure_ratio(w[i, 0], n[j])
            assert one.shape == ()
            np.testing.assert_array_equal(one, ratio[i, j])


def test_map_of_two_lines():
    speeds = (55_640.0, 84_730.0)
    surface = fit_surface(trace(Trace(levels=(), speeds=speeds)))
    x = np.linspace(0.02, 0.98, 25)
    middle = 70_210.0
    got = surface.pressure_ratio(truth.flow(middle, x), middle)
    expected = truth.pressure_ratio(middle, x)
    assert np.abs(got - expected).max() / truth.SPAN[1] <= 0.005
    assert str(surface.region(truth.flow(middle, 0.5), truth.pressure_ratio(middle, 0.5))) == (
        "on the map"
    )


def test_map_without_efficiency_takes_the_typed_one():
    bare = trace(Trace(levels=()))
    assert not bare.has_efficiency
    n, x = points_inside_islands(50)
    for typed, surface in (
        (ASSUMED_EFFICIENCY, fit_surface(bare)),
        (0.66, fit_surface(bare, typed_efficiency=0.66)),
    ):
        got = surface.efficiency(truth.flow(n, x), n)
        assert got == pytest.approx(typed, rel=1e-12)


def test_efficiency_on_lines_comes_back(with_line_efficiency):
    surface, worst = with_line_efficiency, 0.0
    for line in surface.compressor_map.speed_lines:
        w = line.flow().copy()
        w[-1] *= 1.0 - 1e-6
        got = surface.efficiency(w, line.corrected_speed)
        worst = max(worst, float(np.abs(got - np.array(line.efficiency)).max()) * 100.0)
    LOG.info("efficiency at the traced points: %.3f points worst", worst)
    assert worst <= 0.1


def test_efficiency_between_lines(with_line_efficiency):
    n, x = points_inside_islands(200)
    w = truth.flow(n, x)
    expected = truth.efficiency(w, truth.pressure_ratio(n, x))
    points = np.abs(with_line_efficiency.efficiency(w, n) - expected) * 100.0
    LOG.info("efficiency between lines: %.3f median, %.3f worst", np.median(points), points.max())
    assert np.median(points) <= 0.2
    assert points.max() <= 0.6
