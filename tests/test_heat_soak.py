"""Pulls and pauses: what a pull brings, and what is left for the next one."""

from __future__ import annotations

import numpy as np
import pytest

from engine_model.cooling.heat_soak import soak
from engine_model.cooling.loop_intervals import repeated
from engine_model.cooling.pull_heat import pull_heats
from tests import loop_cases as cases


def heat_of(litres, around, **more):
    result = soak(cases.loop(litres, **more), around, cases.AMBIENT)
    return pull_heats(result, around)


@pytest.mark.parametrize(("litres", "rise"), [(10.0, 1.3), (3.0, 4.4)])
def test_55_kilojoule_into_a_reservoir(litres, rise):
    """55 kJ over 4.18 kJ/(L K) of water: 1.3 K in 10 L and 4.4 K in 3 L; front exchanger still."""
    around = repeated(cases.pull(front=0.0, bay=cases.AMBIENT), None, 1)
    # a light core, so that the liquid takes it all; its pull scaled to 55 kJ
    first = heat_of(litres, around, core_heat=5.0)
    got = (first.liquid_end - first.liquid_start)[0] * 55e3 / first.from_charge[0]
    assert got == pytest.approx(rise, abs=0.06)
    assert first.from_charge[0] == pytest.approx(55e3, rel=0.4)


def test_hot_after_the_third_pull_is_a_small_loop_in_a_hot_bay():
    around = repeated(cases.pull(), cases.pause(60.0, bay=360.0, front=0.05), 3)
    bay = {"bay_to_liquid": 15.0, "bay_to_core": 5.0}
    small, large = heat_of(3.0, around, **bay), heat_of(15.0, around, **bay)
    cool = heat_of(3.0, repeated(cases.pull(), cases.pause(60.0, bay=cases.AMBIENT), 3))
    rise = [np.diff(p.manifold_end)[:2].sum() for p in (small, large, cool)]
    assert rise[0] > 2.0 * max(rise[1], 0.0)
    assert rise[0] > 4.0
    assert rise[2] < 0.5 * rise[0]


def test_summary_is_of_the_pulls():
    around = repeated(cases.pull(), cases.pause(), 3)
    result = soak(cases.loop(3.0), around, cases.AMBIENT)
    got = pull_heats(result, around)
    count = cases.pull().duration.size
    each = count + cases.pause().duration.size
    for number in range(3):
        first = number * each
        assert got.manifold_start[number] == result.charge_outlet[first]
        assert got.manifold_end[number] == result.charge_outlet[first + count - 1]
        assert got.liquid_start[number] == result.liquid[first]
        assert got.liquid_end[number] == result.liquid[first + count]
        pull = slice(first, first + count)
        assert got.from_charge[number] == pytest.approx(result.from_charge[pull].sum(), rel=1e-12)
    assert np.all(got.manifold_end > got.manifold_start)


def test_pulls_settle_into_a_round():
    got = heat_of(3.0, repeated(cases.pull(), cases.pause(), 10), bay_to_liquid=5.0)
    assert abs(got.manifold_end[9] - got.manifold_end[8]) < 0.01
    assert got.manifold_end[1] >= got.manifold_end[0]


def test_a_second_run_is_the_same():
    around = repeated(cases.pull(), cases.pause(), 4)
    first, second = (soak(cases.loop(3.0), around, 290.0, 0.5) for _ in range(2))
    for name in ("liquid", "core", "ice", "charge_outlet", "from_charge"):
        np.testing.assert_array_equal(getattr(first, name), getattr(second, name))


def test_ice_helps_until_it_has_gone():
    around = repeated(cases.pull(), cases.pause(), 6)
    plain = pull_heats(soak(cases.loop(5.0), around, cases.AMBIENT), around)
    iced = pull_heats(soak(cases.loop(5.0), around, cases.AMBIENT, 4.0), around)
    assert iced.manifold_end[0] < plain.manifold_end[0] - 10.0
    assert iced.ice_left[-1] == 0.0
    assert iced.condensed[0] > 0.0
    assert plain.condensed.sum() == 0.0


def test_no_pulls():
    around = cases.pause()
    got = pull_heats(soak(cases.loop(), around, 300.0), around)
    assert got.manifold_start.size == 0
