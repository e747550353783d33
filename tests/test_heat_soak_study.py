"""Heat soak of a build: scipy's integration, balances, limiting cases, what cannot be."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from scipy.optimize import brentq

from engine_model.errors import InputError
from engine_model.inputs import NAMED_DAYS
from engine_model.matching import match_many
from engine_model.studies.heat_soak_study import heat_soak, heat_soak_steps, soak_steps
from engine_model.studies.soak_loop import coolant_heat, loop_on_day
from engine_model.studies.soak_records import NO_COOLER, NO_MATCH
from engine_model.studies.soak_table import charge_table_steps
from tests import soak_cases as cases

STILL = {"fan_flow": 0.0, "pull_road_speed": 0.0, "pause_road_speed": 0.0, "bay_heat": 0.0}


def soak_of(day=cases.DRY, **inputs):
    return heat_soak(cases.soaked(**inputs), day, cases.surface())


def table_of(one, day=cases.DRY):
    return list(charge_table_steps(one, day, cases.surface()))[-1]


@pytest.mark.parametrize("share", [0.0, 0.2, 0.4, 0.5, 0.6])
@pytest.mark.parametrize("temperature", [303.15, 323.15])
def test_heat_of_water_and_glycol(share, temperature):
    """Against CoolProp's Melinder mixtures of ethylene glycol, share by mass."""
    fluid = f"INCOMP::MEG-{100.0 * share:g}%" if share else "Water"
    state = ("T", temperature, "P", 2e5, fluid)
    expected = PropsSI("C", *state) * PropsSI("D", *state)
    assert coolant_heat(share) == pytest.approx(expected, rel=0.012)


@pytest.mark.parametrize(
    "inputs",
    [
        {"pulls": 3},
        {"pulls": 3, "reservoir_volume": 1.5e-3, "fan_flow": 0.01, "pull_road_speed": 0.0},
        {"pulls": 2, "bay_heat": 2000.0, "pause_time": 300.0, "core_mass": 8.0, "pull_time": 20.0},
    ],
)
def test_scipy_integrates_the_same(inputs):
    one = cases.soaked(**inputs)
    found = heat_soak(one, cases.DRY, cases.surface())
    course = found.course
    written = cases.Written(one, coolant_heat(one.cooler.glycol_share)).run()
    for number, (begun, ended, outlet) in enumerate(written):
        inside = np.flatnonzero(course.pull == number)
        assert course.core[inside[0]] == pytest.approx(begun[0], abs=0.03)
        assert course.coolant[inside[0]] == pytest.approx(begun[1], abs=0.03)
        assert course.core[inside[-1] + 1] == pytest.approx(ended[0], abs=0.03)
        assert course.coolant[inside[-1] + 1] == pytest.approx(ended[1], abs=0.03)
        assert found.pulls.manifold_end[number] == pytest.approx(outlet, abs=0.03)


def test_energy_stored_is_in_less_out():
    for day in NAMED_DAYS.values():
        assert abs(soak_of(day, bay_heat=900.0).imbalance) < 1e-6
    iced = soak_of(NAMED_DAYS["hot"], ice_mass=2.0, pull_time=20.0)
    assert abs(iced.imbalance) < 1e-6
    assert iced.pulls.condensed[0] > 0.0
    assert iced.pulls.ice_left[-1] == 0.0


def test_heat_of_an_insulated_loop_is_in_coolant_and_metal():
    found = soak_of(**STILL)
    course, one = found.course, found.build.cooler
    level = one.reservoir_volume * coolant_heat(one.glycol_share) * course.coolant
    level = level + 903.0 * one.core_mass * course.core
    assert level[-1] - level[0] == pytest.approx(found.pulls.heat.sum(), rel=1e-9)


@pytest.mark.parametrize(("litres", "rise"), [(10.0, 1.3), (3.0, 4.4)])
def test_55_kilojoule_into_a_reservoir(litres, rise):
    """55 kJ over 4.18 kJ/(L K) of water: 1.3 K in 10 L, 4.4 K in 3 L; the study finds 55.7 kJ
    and 53.8 kJ."""
    found = soak_of(
        **STILL, reservoir_volume=1e-3 * litres, glycol_share=0.0, core_mass=0.05, pulls=1,
        pull_time=10.2,
    )  # fmt: skip
    pulls = found.pulls
    assert pulls.heat[0] == pytest.approx(55e3, rel=0.05)
    got = pulls.coolant_end[0] - pulls.coolant_start[0]
    assert got == pytest.approx(rise * pulls.heat[0] / 55e3, abs=0.07)


def test_a_reservoir_without_end_gives_the_first_pull_forever():
    one = cases.soaked(bay_heat=0.0, pulls=6)
    on_day = loop_on_day(one, cases.DRY)
    endless = replace(on_day, loop=replace(on_day.loop, reservoir_heat=np.inf))
    found = list(soak_steps(one, cases.DRY, endless, table_of(one)))[-1]
    for values in (found.pulls.manifold_peak, found.pulls.manifold_end):
        np.testing.assert_allclose(values, values[0], atol=0.01)
    np.testing.assert_allclose(found.pulls.coolant_end, on_day.start, atol=1e-9)
    np.testing.assert_allclose(found.pulls.lost, 0.0, atol=5.0)


def test_a_smaller_reservoir_is_hotter():
    peaks = [
        soak_of(reservoir_volume=v, pulls=3).pulls.manifold_peak[-1] for v in (1e-3, 4e-3, 2e-2)
    ]
    assert peaks[0] > peaks[1] > peaks[2]
    hot = soak_of(**STILL, pulls=4).pulls
    assert np.all(np.diff(hot.manifold_peak) > 0.0)
    assert np.all(np.diff(hot.lost) > 0.0)
    assert hot.lost[0] == 0.0


def test_power_is_the_matchs_at_that_manifold_temperature():
    found = soak_of(**STILL, pulls=3)
    one, limiter = found.build, [found.build.engine.limiter]

    def line(rise):
        warm = one.with_value("cooler.coolant_rise", float(rise))
        return match_many(warm, [cases.DRY], limiter, surface=cases.surface())

    wanted = found.pulls.manifold_end[-1]
    rise = brentq(lambda r: line(r).manifold_temperature_k.item() - wanted, -20.0, 80.0)
    expected = line(rise).wheel_power_w.item()
    assert found.pulls.wheel_power[-1] == pytest.approx(expected, rel=2e-4)


def test_settled_loop_balances():
    """Charge, core and front exchanger pass the same heat; effectiveness from the ht library."""
    one = cases.soaked()
    written = cases.Written(one, coolant_heat(one.cooler.glycol_share))
    settled = soak_of().settled
    limiter = one.engine.limiter
    nodes = written.column(written.manifold, limiter)
    flow = np.interp(settled.manifold, nodes, written.column(written.flow, limiter))
    inlet = np.interp(settled.manifold, nodes, written.column(written.inlet, limiter))
    capacity = flow * cases.heat_of_air(inlet)
    assert settled.heat == pytest.approx(capacity * (inlet - settled.manifold), rel=5e-3)
    gas, liquid = written.core_ua / 0.8 * (flow / cases.RATED) ** 0.6, written.core_ua / 0.2
    whole = cases.between(gas * liquid / (gas + liquid), capacity, written.pump)
    cold = cases.DRY.temperature + settled.coolant_rise
    assert settled.heat == pytest.approx(whole * (inlet - cold), rel=5e-3)
    hot = cold + settled.heat / written.pump
    front = written.front(one.cooler.pull_road_speed)
    assert settled.heat == pytest.approx(front * (hot - cases.DRY.temperature), rel=5e-3)


def test_a_loop_that_nothing_cools_does_not_settle():
    for inputs in (STILL, {"pump_flow": 0.0}):
        assert np.isnan(soak_of(**inputs).settled.coolant_rise)


def test_the_pull_that_passes_the_bound():
    base = soak_of(**STILL, pulls=5)
    peaks = base.pulls.manifold_peak
    middle = float(0.5 * (peaks[1] + peaks[2]))
    one = base.build.with_value("bounds.charge_temperature", middle)
    assert base.over_at is None or peaks[base.over_at] > base.build.bounds.charge_temperature
    assert heat_soak(one, cases.DRY, cases.surface()).over_at == 2
    never = one.with_value("bounds.charge_temperature", float(peaks[-1]) + 1.0)
    assert heat_soak(never, cases.DRY, cases.surface()).over_at is None


def test_no_cooler():
    found = soak_of(kind="none")
    assert found.reason == NO_COOLER
    assert found.pulls is None
    assert found.course is None


def test_a_match_without_a_solution_is_told():
    one = cases.soaked()
    table = table_of(one)
    torn = table.wheel_power.copy()
    torn[2, 40] = np.nan
    torn = replace(table, wheel_power=torn)
    found = list(soak_steps(one, cases.DRY, loop_on_day(one, cases.DRY), torn))[-1]
    assert found.reason == NO_MATCH
    assert found.fault_speed == table.engine_speed[40]


def test_ice_in_coolant_below_freezing_is_refused():
    with pytest.raises(InputError) as caught:
        soak_of(NAMED_DAYS["freezing"], ice_mass=1.0)
    assert caught.value.field == "cooler.ice_mass"
    assert soak_of(NAMED_DAYS["freezing"]).pulls is not None


def test_steps_and_whole_are_the_same():
    one = cases.soaked(pulls=3)
    steps = list(heat_soak_steps(one, cases.DRY, cases.surface()))
    assert sum(step is not None for step in steps) == 1
    whole = heat_soak(one, cases.DRY)
    np.testing.assert_array_equal(steps[-1].pulls.manifold_end, whole.pulls.manifold_end)


def test_no_pause_and_one_pull():
    found = soak_of(pause_time=0.0, pulls=2)
    assert np.all(found.course.pull >= 0)
    assert soak_of(pulls=1).pulls.lost.tolist() == [0.0]


def test_the_match_does_not_read_the_loop():
    plain, other = cases.soaked(), cases.soaked(reservoir_volume=0.1, bay_heat=9e3, pump_flow=0.0)
    lines = [match_many(b, [cases.DRY], [3000.0], surface=cases.surface()) for b in (plain, other)]
    np.testing.assert_array_equal(lines[0].wheel_power_w, lines[1].wheel_power_w)
