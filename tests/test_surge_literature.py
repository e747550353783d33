"""Surge in time against published sets and closed forms.

The set H 0.18, W 0.25, 0.30 at no flow, throttle through phi 0.4 (Moore & Greitzer 1986;
B_crit, decay and p-p flow of an independent run of the two equations in their own units) is run
here in dimensions, at pressures so small that the compressible orifice is the incompressible one.
"""

from __future__ import annotations

import numpy as np
import pytest

from engine_model.air.flow import orifice_flow
from engine_model.compressor.surge_characteristic import characteristic, curve_through, peak_of
from engine_model.compressor.surge_cycles import count_cycles
from engine_model.compressor.surge_dynamics import run_in_time, settled_state
from engine_model.compressor.surge_orifice import two_way_orifice
from engine_model.compressor.surge_small_signal import (
    ON_HALF,
    ON_WHOLE,
    critical_b,
    greitzer_b,
    helmholtz_frequency,
    small_motion,
)
from tests import surge_cases as cases


def run(b, turns, tolerance=1e-6, push=0.005, **values):
    plant = cases.literature_plant(b, **values)
    radians = (
        2.0
        * np.pi
        * helmholtz_frequency(
            plant.sound_speed, plant.plenum_volume, plant.duct_area, plant.duct_length
        )
    )
    area = cases.literature_throttle()
    return run_in_time(
        plant,
        ((0.0, area),),
        ((0.0, cases.ENGINE_SPEED),),
        turns / radians,
        cases.literature_start(push),
        tolerance=tolerance,
        output_step=0.05 / radians,
    )


def swing_at_end(found):
    late = found.time > 0.7 * found.time[-1]
    return float(np.ptp(found.flow[late])) / cases.UNIT_FLOW


# published: 0.0000, 0.387 and 0.720; 0.3866 of an independent run; 0.3 %
@pytest.mark.parametrize(("share", "turns", "swing"), [(1.1, 450.0, 0.3866), (1.5, 250.0, 0.720)])
def test_swing_of_the_limit_cycle(share, turns, swing):
    found = run(share * cases.B_CRITICAL, turns)
    assert swing_at_end(found) == pytest.approx(swing, rel=3e-3)
    assert found.imbalance < 1e-6


def test_decay_below_the_critical_b():
    assert swing_at_end(run(0.9 * cases.B_CRITICAL, 400.0)) < 1e-3


def test_critical_b_by_bisection_of_the_growth_rate():
    area = cases.literature_throttle()
    low, high = 0.5, 0.9
    for _ in range(30):
        b = 0.5 * (low + high)
        state = cases.literature_start(0.0)
        motion = small_motion(cases.literature_plant(b), state, area, cases.ENGINE_SPEED)
        low, high = (low, b) if motion.growth_rate > 0.0 else (b, high)
    assert low == pytest.approx(0.68175, abs=1e-4)


def test_both_counts_of_pressure_give_the_same_physics():
    duct = (320.0, 360.0, 0.008, 0.003, 0.5)
    half = greitzer_b(*duct, ON_HALF) / critical_b(0.6912, 3.1128)
    whole = greitzer_b(*duct, ON_WHOLE) / critical_b(0.6912 / 2.0, 3.1128 / 2.0)
    assert whole == pytest.approx(half, rel=1e-12)


def test_rings_at_the_helmholtz_frequency_without_a_compressor():
    """A level characteristic and a nearly shut throttle: an undamped spring and mass."""
    plant = cases.literature_plant(0.7, flat=True)
    wanted = helmholtz_frequency(
        plant.sound_speed, plant.plenum_volume, plant.duct_area, plant.duct_length
    )
    level = cases.AMBIENT + cases.HALF_HEAD * float(cases.cubic(cases.PHI))
    start = [0.05 * cases.UNIT_FLOW, level, cases.AMBIENT, 0.0, 0.0, 0.0, 0.0]
    found = run_in_time(
        plant,
        ((0.0, 1e-9),),
        ((0.0, cases.ENGINE_SPEED),),
        12.0 / wanted,
        start,
        tolerance=1e-8,
        output_step=0.01 / wanted,
    )
    assert found.reversals.size == 12
    counted = count_cycles(found)
    assert counted.cycles_per_second == pytest.approx(wanted, rel=1e-5)
    assert counted.flow_swing == pytest.approx(0.1 * cases.UNIT_FLOW, rel=1e-3)


def test_tolerance_does_not_matter():
    loose, tight = (run(1.5 * cases.B_CRITICAL, 150.0, one) for one in (1e-5, 1e-9))
    assert swing_at_end(loose) == pytest.approx(swing_at_end(tight), rel=1e-4)


def test_mass_balance_by_quadrature():
    """Simpson's rule on the flow told, independent of the integrator's own sums."""
    found = run(1.5 * cases.B_CRITICAL, 60.0, 1e-9)
    t, w = found.time, found.flow
    count = (t.size - 1) // 2 * 2
    step = t[1] - t[0]
    total = step / 3.0 * (w[0] + w[count] + 4.0 * w[1:count:2].sum() + 2.0 * w[2:count:2].sum())
    assert total == pytest.approx(float(found.mass_in[count]), rel=1e-6)
    rest = found.mass_in - found.mass_out - found.mass_stored
    np.testing.assert_allclose(rest, 0.0, atol=1e-6 * float(found.mass_in[-1]))


def test_lag_follows_and_settles():
    plant = cases.literature_plant(0.5, characteristic_lag=0.2)
    state = settled_state(plant, cases.literature_throttle(), cases.ENGINE_SPEED)
    assert len(state) == 8
    assert state[0] / cases.UNIT_FLOW == pytest.approx(cases.PHI, rel=1e-5)
    found = run_in_time(
        plant, ((0.0, cases.literature_throttle()),), ((0.0, cases.ENGINE_SPEED),), 1.0, state
    )
    np.testing.assert_allclose(found.flow, state[0], rtol=1e-6)


@pytest.mark.parametrize("down", [99e3, 95e3, 60e3, 40e3, 1e3])
def test_orifice_is_the_match_s(down):
    """Heywood (C.8) and (C.9); the rows of references/flow.json hold the array form."""
    area, t = 0.0031, 330.0
    one = two_way_orifice()(area / np.sqrt(287.053 * t), 1e5, down)
    assert one == pytest.approx(float(orifice_flow(area, 1e5, t, down)), rel=1e-12)
    back = two_way_orifice()(area / np.sqrt(287.053 * t), down, 1e5)
    assert back == pytest.approx(-one, rel=1e-12)


def test_orifice_is_smooth_at_even_pressures():
    flow, share = two_way_orifice(), 5e-4
    for ratio in (1.0, 1.0 - share):
        left, right = (flow(1.0, 1e5, 1e5 * (ratio - d)) for d in (1e-9, -1e-9))
        assert left == pytest.approx(right, abs=2e5 * 1e-3 * 1e-3)
    slopes = [
        (flow(1.0, 1e5, 1e5 * (1.0 - share + d)) - flow(1.0, 1e5, 1e5 * (1.0 - share))) / d
        for d in (1e-7, -1e-7)
    ]
    assert slopes[0] == pytest.approx(slopes[1], rel=5e-3)


def test_characteristic_is_smooth_at_its_joints():
    flow, ratio = np.linspace(0.2, 0.35, 16), 1.8 - 12.0 * (np.linspace(0.2, 0.35, 16) - 0.18) ** 2
    curve = characteristic(flow, ratio, 1.5)
    for joint in (0.0, 0.2):
        for read in (curve.value, curve.slope):
            assert read(joint - 1e-9) == pytest.approx(read(joint + 1e-9), abs=2e-6)
    # the line still falls at surge: its top lies left of it, as the cubic carries the slope on
    assert 0.1 < peak_of(curve, 0.01, 0.35) < 0.2
    assert curve.value(-0.1) == pytest.approx(3.0)
    assert curve.value(-0.05) == pytest.approx(1.5 * 1.25)


def test_curve_of_cubic_pieces():
    x = np.array([-1.0, 0.5, 2.0])
    curve = curve_through(x, x**3 - x, 3.0 * x**2 - 1.0)
    assert curve.value(4.0) == pytest.approx(6.0 + 11.0 * 2.0)  # straight beyond the end
    for one in (-2.0, 0.1, 1.9):
        assert curve.value(one) == pytest.approx(one**3 - one)
        assert curve.slope(one) == pytest.approx(3.0 * one**2 - 1.0)
