"""The knock estimate: against a plain one, its anchor, its limits and its directions."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine_model.engine.knock import anchor_of, knock_estimate, retard_factor, stock_angles
from engine_model.engine.knock_charge import Intake, KnockSettings
from engine_model.engine.knock_integral import COARSE, FULL
from engine_model.engine.knock_remedy import temperature_without_retard
from engine_model.errors import InputError
from engine_model.fuel.fuels import E85, PETROL
from tests import knock_oracle

RATIO = 9.8
STOCK = Intake(3900.0, 97.8e3, 298.15, 102.5e3, 0.88, 102.5 / 97.8)
STOCK_SPEEDS = np.linspace(1500.0, 6800.0, 12)
SPREAD_EXHAUST = 99e3 + 8e3 * (STOCK_SPEEDS / 6200.0) ** 2
STOCK_LINE = Intake(STOCK_SPEEDS, 97.8e3, 298.15, SPREAD_EXHAUST, 0.88, SPREAD_EXHAUST / 97.8e3)
ANCHOR = anchor_of(STOCK, RATIO, PETROL)


def blown(boost=0.6e5, t3=318.0, speed=6000.0, mixture=0.82):
    return Intake(speed, 101e3 + boost, t3, 118e3, mixture, 1.08)


def estimate(intake, ratio=RATIO, fuel=PETROL, anchor=ANCHOR, stock_angle=8.0):
    return knock_estimate(intake, ratio, fuel, anchor, stock_angle)


def point(intake, fuel=PETROL, ratio=RATIO):
    over = intake.exhaust_pressure / intake.manifold_pressure
    return knock_oracle.Point(
        intake.engine_speed,
        intake.manifold_pressure,
        intake.manifold_temperature,
        intake.mixture,
        0.05 * over / intake.stock_exhaust_over_intake,
        ratio,
        fuel.stoichiometric_ratio,
        fuel.heating_value,
        fuel.heat_of_vaporisation,
        fuel.octane,
    )


@pytest.mark.parametrize("boost", [0.45e5, 0.9e5])
def test_a_plain_program_finds_the_same(boost):
    intake = blown(boost)
    target = knock_oracle.integral(point(STOCK), 8.0)
    expected = knock_oracle.retard(point(intake), target, 8.0)
    got = estimate(intake)
    assert float(got.retard) == pytest.approx(expected, abs=2e-3)
    factor = knock_oracle.cycle_efficiency(RATIO, 8.0 + expected)
    factor /= knock_oracle.cycle_efficiency(RATIO, 8.0)
    assert float(got.efficiency_factor) == pytest.approx(factor, abs=1e-5)
    for angle, mine in ((8.0, got.peak_pressure_unretarded), (8.0 + expected, got.peak_pressure)):
        _, p = knock_oracle.pressure_course(point(intake), angle)
        assert float(mine) == pytest.approx(p.max() * intake.manifold_pressure, rel=1e-3)
    octane = float(got.octane_without_retard)
    assert knock_oracle.integral(replace(point(intake), octane=octane), 8.0) == pytest.approx(
        target, rel=1e-3
    )
    cold = float(temperature_without_retard(intake, RATIO, PETROL, ANCHOR, 8.0))
    assert knock_oracle.integral(replace(point(intake), t3=cold), 8.0) == pytest.approx(
        target, rel=1e-3
    )


@pytest.mark.parametrize("resolution", [FULL, COARSE])
def test_the_stock_engine_needs_none(resolution):
    anchor = anchor_of(STOCK, RATIO, PETROL, resolution=resolution)
    at_anchor = estimate(STOCK, anchor=anchor)
    assert float(at_anchor.retard) == 0.0
    assert float(at_anchor.efficiency_factor) == 1.0
    assert float(at_anchor.octane_without_retard) == pytest.approx(PETROL.octane, rel=1e-12)
    # the same engine at other speeds against its own angle there
    angles = stock_angles(STOCK_LINE, RATIO, PETROL, anchor)
    line = estimate(STOCK_LINE, anchor=anchor, stock_angle=angles)
    assert np.all(line.retard == 0.0)
    assert np.all(line.efficiency_factor == 1.0)


def test_stock_angle_is_later_at_low_speed_only():
    angles = stock_angles(STOCK_LINE, RATIO, PETROL, ANCHOR)
    assert np.all(np.diff(angles) <= 0.0)
    assert np.all(angles[STOCK_SPEEDS > 4500.0] == 8.0)
    assert angles[0] < 8.0 + 16.0


def test_coarse_is_close_in_power():
    boost = np.linspace(0.0, 1.0e5, 21)[:, None]
    intake = replace(blown(boost), engine_speed=np.linspace(2000.0, 6800.0, 9))
    both = [
        estimate(intake, anchor=anchor_of(STOCK, RATIO, PETROL, resolution=resolution))
        for resolution in (FULL, COARSE)
    ]
    known = ~(both[0].beyond | both[1].beyond)
    assert known.mean() > 0.9
    ratio = both[1].efficiency_factor[known] / both[0].efficiency_factor[known]
    assert np.abs(ratio - 1.0).max() < 3e-3


def test_no_jumps_along_the_boost():
    """A grid of angles would show as steps; 0.002 bar is about 0.03 degrees."""
    boost = np.linspace(0.3e5, 1.0e5, 351)
    for resolution in (FULL, COARSE):
        anchor = anchor_of(STOCK, RATIO, PETROL, resolution=resolution)
        retard = estimate(blown(boost), anchor=anchor).retard
        step = np.diff(retard[retard > 0.0])
        assert step.max() < (0.06 if resolution is FULL else 0.3)
        assert resolution is COARSE or step.min() > 0.0


@settings(max_examples=40, deadline=None)
@given(
    boost=st.floats(0.2e5, 1.2e5),
    t3=st.floats(285.0, 360.0),
    speed=st.floats(3000.0, 7500.0),
    mixture=st.floats(0.72, 1.0),
    ratio=st.floats(8.0, 12.0),
    octane=st.floats(88.0, 108.0),
)
def test_directions(boost, t3, speed, mixture, ratio, octane):
    fuel = replace(PETROL, octane=octane)

    def ask(boost=boost, t3=t3, speed=speed, ratio=ratio, fuel=fuel):
        got = estimate(blown(boost, t3, speed, mixture), ratio, fuel)
        return np.inf if got.beyond else float(got.retard)

    here, close = ask(), 1e-6
    assert ask(boost=1.05 * boost + 1e3) >= here - close
    assert ask(t3=t3 + 3.0) >= here - close
    assert ask(ratio=ratio + 0.2) >= here - close
    assert ask(fuel=replace(fuel, octane=octane + 1.0)) <= here + close
    assert ask(speed=speed * 1.05) <= here + close


def test_alcohol_needs_about_none():
    """E85 at 0.8 bar asks for about none, road practice; the estimate must agree."""
    assert float(estimate(blown(0.8e5), fuel=E85).retard) < 1.0


def test_about_a_degree_a_psi():
    """Common practice, no source: about 1 degree of retard a psi, twofold either way."""
    retard = estimate(blown(np.array([0.6e5, 0.8e5]))).retard
    psi = 0.2e5 / 6894.757
    assert 0.5 < (retard[1] - retard[0]) / psi < 2.0


def test_octane_without_end_needs_none():
    got = estimate(blown(1.5e5), fuel=replace(PETROL, octane=400.0))
    assert float(got.retard) == 0.0
    assert float(got.peak_pressure) == float(got.peak_pressure_unretarded)


def test_band_and_pressures():
    got = estimate(blown(np.array([0.0, 0.5e5, 0.8e5])))
    np.testing.assert_allclose(got.retard_low, 0.7 * got.retard, rtol=1e-14)
    np.testing.assert_allclose(got.retard_high, 1.3 * got.retard, rtol=1e-14)
    assert np.all(got.peak_pressure <= got.peak_pressure_unretarded)
    assert np.all(got.efficiency_factor <= 1.0)


def test_factor_of_the_band():
    got = estimate(blown(np.array([0.5e5, 0.8e5, 6e5]), speed=3500.0))
    np.testing.assert_array_equal(
        retard_factor(got.retard, RATIO, 8.0, ANCHOR), got.efficiency_factor
    )
    later = retard_factor(6.0, RATIO, 10.0, ANCHOR)
    plain = knock_oracle.cycle_efficiency(RATIO, 16.0) / knock_oracle.cycle_efficiency(RATIO, 10.0)
    assert float(later) == pytest.approx(plain, rel=1e-5)


def test_what_cannot_be_held_is_said():
    got = estimate(blown(np.array([0.5e5, 6e5]), t3=420.0, speed=1500.0))
    assert got.beyond.tolist() == [False, True] or got.beyond.all()
    assert np.isnan(got.retard[-1])
    assert np.isnan(got.efficiency_factor[-1])
    assert np.isfinite(got.octane_without_retard[-1])
    cold = temperature_without_retard(blown(6e5, 420.0, 1500.0), RATIO, PETROL, ANCHOR, 8.0)
    assert np.isnan(cold)


def test_no_retard_keeps_the_charge():
    cold = temperature_without_retard(blown(0.0), RATIO, PETROL, ANCHOR, 8.0)
    assert float(cold) == 318.0


def test_empty_and_missing_points():
    speed = np.array([[3000.0, np.nan], [5000.0, 6000.0]])
    pressure = np.array([[150e3, 150e3], [np.nan, 190e3]])
    intake = replace(blown(), engine_speed=speed, manifold_pressure=pressure)
    got = estimate(intake)
    assert np.isnan(got.retard).tolist() == [[False, True], [True, False]]
    assert not got.beyond.any()
    alone = estimate(replace(blown(), engine_speed=6000.0, manifold_pressure=190e3))
    assert got.retard[1, 1] == float(alone.retard)
    none = estimate(replace(blown(), engine_speed=np.empty(0)))
    assert none.retard.shape == (0,)
    cold = temperature_without_retard(intake, RATIO, PETROL, ANCHOR, 8.0)
    assert np.isnan(cold).tolist() == [[False, True], [True, False]]


def test_points_do_not_know_their_neighbours():
    random = np.random.default_rng(7)
    intake = Intake(
        random.uniform(2000.0, 7000.0, 60),
        random.uniform(100e3, 220e3, 60),
        random.uniform(290.0, 350.0, 60),
        120e3,
        0.82,
        1.06,
    )
    whole = estimate(intake)
    for k in (0, 17, 59):
        one = Intake(
            intake.engine_speed[k],
            intake.manifold_pressure[k],
            intake.manifold_temperature[k],
            120e3,
            0.82,
            1.06,
        )
        alone = estimate(one)
        for name in ("retard", "efficiency_factor", "peak_pressure", "octane_without_retard"):
            assert getattr(whole, name)[k] == pytest.approx(
                float(getattr(alone, name)), abs=0.0, rel=0.0, nan_ok=True
            )


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"engine_speed": 0.0}, "engine speed"),
        ({"manifold_pressure": -1.0}, "manifold pressure"),
        ({"manifold_temperature": 0.0}, "manifold temperature"),
        ({"mixture": 0.5}, "engine.mixture"),
    ],
)
def test_refused(change, field):
    with pytest.raises(InputError) as told:
        estimate(replace(blown(), **change))
    assert told.value.field == field


def test_refused_settings():
    with pytest.raises(InputError, match=r"knock\.half_burnt"):
        KnockSettings(half_burnt=50.0)
    with pytest.raises(InputError, match="one point"):
        anchor_of(STOCK_LINE, RATIO, PETROL)
