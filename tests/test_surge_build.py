"""Surge of a build: settled points against the match, eigenvalues, scenes, the smallest valve."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from engine_model.compressor.surge_cycles import count_cycles
from engine_model.compressor.surge_dynamics import run_in_time, settled_state
from engine_model.compressor.surge_motion import rates_of
from engine_model.compressor.surge_small_signal import jacobian, small_motion
from engine_model.errors import InputError
from engine_model.inputs import NAMED_DAYS, Scene, Variation
from engine_model.matching import match_many
from engine_model.studies import bypass_sizing
from engine_model.studies.bypass_sizing import (
    ValveCurve,
    ValveSize,
    smallest_valve,
    surges,
    valve_entry,
)
from engine_model.studies.surge_run import limits_of, run_scene, zero_flow_band
from engine_model.studies.surge_setup import surge_setup, throttle_areas

MAP = "frame-95-small"
DAY = NAMED_DAYS["mild"]


@pytest.fixture(scope="module")
def build(sample_build):
    return sample_build(MAP, drive__blower_pulley_diameter=0.066)


@pytest.fixture(scope="module")
def setup(build, sample_surface):
    return surge_setup(build, DAY, surface=sample_surface(MAP))


@pytest.mark.parametrize("day", ["mild", "freezing", "hot and high"])
@pytest.mark.parametrize(("speed", "share"), [(6800.0, 1.0), (5200.0, 0.5), (6000.0, 0.25)])
def test_settled_point_is_the_match_s(build, sample_surface, day, speed, share):
    """The match with the same throttle, solved by another road: 0.1 % asked."""
    surface, today = sample_surface(MAP), NAMED_DAYS[day]
    area = share * throttle_areas(build)[0]
    one = surge_setup(build, today, speed, surface=surface)
    flow, _, manifold = settled_state(one.plant, area, speed)[:3]
    # the belt is held at the slip of the open throttle
    slip = np.full((1, 1), float(one.line.belt_slip[0]))
    variation = Variation(throttle_area=np.full((1, 1), area), slip=slip)
    line = match_many(build, [today], [speed], variation, surface=surface)
    assert line.region[0, 0] == "on the map"
    assert flow == pytest.approx(float(line.air_flow_kg_s[0, 0]), rel=1e-3)
    assert manifold == pytest.approx(float(line.manifold_pressure_pa[0, 0]), rel=1e-3)


def test_settled_point_of_a_turbocharger_is_the_match_s(sample_build, sample_surface):
    """With the throttle open, whose back pressure of the turbine the plant keeps."""
    build = sample_build("turbo-52", drive__kind="free_shaft", engine__displacement=2e-3,
                         engine__stock_torque=200.0, engine__stock_power=110e3)  # fmt: skip
    one = surge_setup(build, DAY, 5000.0, surface=sample_surface("turbo-52"))
    flow, _, manifold = settled_state(one.plant, one.open_area, 5000.0)[:3]
    assert flow == pytest.approx(float(one.line.air_flow_kg_s[0]), rel=1e-3)
    assert manifold == pytest.approx(float(one.line.manifold_pressure_pa[0]), rel=1e-3)
    assert "free_shaft" in one.assumed


def test_settled_point_stays(setup):
    state = settled_state(setup.plant, setup.open_area, setup.engine_speed)
    run = run_in_time(
        setup.plant, ((0.0, setup.open_area),), ((0.0, setup.engine_speed),), 0.3, state
    )
    np.testing.assert_allclose(run.flow, state[0], rtol=1e-6)
    assert not count_cycles(run).lasts


@pytest.mark.parametrize("share", [1.0, 0.3, 0.15])
def test_eigenvalues_against_finite_differences(setup, share):
    """Central differences of the very rates that are integrated, at a held charge temperature."""
    row = setup.plant.rows[0]
    level = [replace(getattr(row, name), pieces=tuple((p[0], 0.0, 0.0, 0.0) for p in
             getattr(row, name).pieces[-1:] * len(row.pressure.pieces)))
             for name in ("thinness", "swallowing")]  # fmt: skip
    plant = replace(setup.plant, rows=(replace(row, thinness=level[0], swallowing=level[1]),))
    area, speed = share * setup.open_area, setup.engine_speed
    state = settled_state(plant, area, speed)
    rates = rates_of(plant, (0.0, area, 0.0), (0.0, speed, 0.0))
    matrix = np.empty((3, 3))
    for k in range(3):
        step = 1e-5 * abs(state[k])
        up, down = list(state), list(state)
        up[k] += step
        down[k] -= step
        matrix[:, k] = (np.array(rates(0.0, up)[:3]) - np.array(rates(0.0, down)[:3])) / 2.0 / step
    np.testing.assert_allclose(jacobian(plant, state, area, speed), matrix, rtol=2e-3, atol=1e-3)
    wanted = np.linalg.eigvals(matrix)
    found = small_motion(plant, state, area, speed).eigenvalues
    np.testing.assert_allclose(np.sort_complex(found), np.sort_complex(wanted), rtol=5e-3)


@pytest.fixture(scope="module")
def lift(build, sample_surface):
    return run_scene(build, DAY, Scene("lift"), surface=sample_surface(MAP))


def test_lift_without_a_valve_surges(lift):
    c = lift.cycles
    assert c.reverses
    assert c.lasts
    assert c.reversals > 10
    assert c.peak_pressure > lift.run.plenum_pressure[0]
    # deep surge is slower than the spring and mass alone
    assert 2.0 < c.cycles_per_second < lift.helmholtz_frequency
    assert lift.run.imbalance < 1e-6
    assert lift.beginning.growth_rate < 0.0


def test_mass_balance_by_quadrature(lift):
    """Simpson's rule on the flow told against the sums that the run keeps."""
    run = lift.run
    total = np.trapezoid(run.flow, run.time)
    assert float(run.mass_in[-1]) == pytest.approx(total, rel=1e-3)
    stored = run.mass_in - run.mass_out - run.mass_bypassed
    np.testing.assert_allclose(run.mass_stored, stored, atol=1e-6 * float(run.mass_out[-1]))


def test_valve_keeps_the_lift_out_of_surge(setup):
    size = smallest_valve(setup)
    assert size.reverses_without
    assert size.plain
    assert 0.01 < size.diameter < 0.08
    assert not surges(setup, size.diameter)
    assert surges(setup, size.diameter - 1e-3)


def test_larger_volume_surges_slower(build, lift, sample_surface):
    knobs = (("surge.plenum_volume", 0.024),)
    large = run_scene(build, DAY, Scene("large", "lift", knobs), surface=sample_surface(MAP))
    assert large.greitzer_b == pytest.approx(lift.greitzer_b * np.sqrt(3.0), rel=1e-9)
    assert large.cycles.cycles_per_second < lift.cycles.cycles_per_second


def test_speed_falls_in_gear(build, sample_surface):
    knobs = (("surge.speed_fall", 1500.0), ("surge.duration", 1.0))
    fall = run_scene(build, DAY, Scene("fall", "lift", knobs), surface=sample_surface(MAP))
    assert fall.run.engine_speed[-1] == pytest.approx(6800.0 - 1500.0, rel=1e-6)
    assert len(fall.setup.plant.rows) > 5
    assert fall.run.imbalance < 1e-6


def test_slow_closing_tells_where_it_begins(build, sample_surface):
    knobs = (("surge.closing_time", 2.0), ("surge.duration", 1.0))
    found = run_scene(build, DAY, Scene("c", "closing", knobs), surface=sample_surface(MAP))
    onset = found.onset
    assert 0.02 < onset.throttle_share < onset.unstable_share < 1.0
    assert onset.traced_flow == found.setup.plant.rows[-1].surge_flow
    limit = limits_of(found.setup, sample_surface(MAP), (found.setup.corrected_speed,))[0]
    assert limit.gap == found.limit.gap


def test_band_of_the_ratio_without_flow(lift, sample_surface):
    band = zero_flow_band(lift, surface=sample_surface(MAP))
    ratios = [one.setup.zero_flow_ratio for one in band]
    assert ratios == sorted(ratios)
    assert band[1] is lift


def test_a_size_that_is_not_plain_is_told(setup, monkeypatch):
    """A larger valve that surges again: the largest change of side, and that it is not plain."""

    def odd(_setup, diameter, _start=None):
        return diameter < 0.025 or 0.04 <= diameter < 0.05

    monkeypatch.setattr(bypass_sizing, "surges", odd)
    size = smallest_valve(setup)
    assert not size.plain
    assert size.diameter == pytest.approx(0.05, abs=3e-4)
    monkeypatch.setattr(bypass_sizing, "surges", lambda *_: True)
    assert np.isnan(smallest_valve(setup).diameter)
    monkeypatch.setattr(bypass_sizing, "surges", lambda *_: False)
    assert smallest_valve(setup).diameter == 0.0


def test_entry_of_the_valve(build):
    sizes = (ValveSize(4000.0, np.nan, False, True, weak=True), ValveSize(6800.0, 0.04, True, True))
    assert valve_entry(ValveCurve(build, DAY, sizes)) is None
    named = build.with_value("surge.valve_diameter", 0.032)
    entry = valve_entry(ValveCurve(named, DAY, sizes))
    assert (entry.state, entry.engine_speed_rpm, entry.used) == ("over", 6800.0, 1.25)
    none = valve_entry(ValveCurve(named, DAY, (*sizes, ValveSize(6000.0, np.nan, True, True))))
    assert (none.state, none.engine_speed_rpm) == ("over", 6000.0)


def test_refusals(build, sample_surface, sample_build):
    surface = sample_surface(MAP)
    with pytest.raises(InputError, match=r"drive\.kind"):
        surge_setup(build.with_value("drive.kind", "none"), DAY)
    with pytest.raises(InputError, match=r"scene\.kind"):
        run_scene(build, DAY, Scene("c", "choke"), surface=surface)
    with pytest.raises(InputError, match=r"scene\.kind: 'other' given"):
        Scene("c", "other")
    with pytest.raises(InputError, match=r"scene\.name"):
        Scene(" ")
    cmap = replace(build.blower.compressor_map, exducer_diameter=None)
    nameless = replace(build, blower=replace(build.blower, compressor_map=cmap))
    with pytest.raises(InputError, match="exducer_diameter"):
        surge_setup(nameless, DAY)
    with pytest.raises(InputError, match="different names"):
        replace(build, scenes=(Scene("a"), Scene("a")))
    with pytest.raises(InputError, match="duration"):
        run_in_time(surge_setup(build, DAY, surface=surface).plant, ((0, 1),), ((0, 1),), 0.0)
