"""An air-to-air core in time: settled state, scipy's integration, energy, limiting cases."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from CoolProp.HumidAirProp import HAPropsSI
from ht.hx import NTU_from_effectiveness, effectiveness_from_NTU
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from engine_model.air.gas import moist_air
from engine_model.cooling.air_core import AirCore, air_soak, core_terms
from engine_model.cooling.loop_intervals import repeated, surroundings

KIND = "crossflow approximate"
AMBIENT, INLET, RATED = 303.15, 390.0, 0.40
STATED = 0.7
"""Outside air at which the core is stated [kg/s]."""
UNITS = NTU_from_effectiveness(0.7, 0.4, KIND)


def heat_of_air(temperature):
    """Specific heat of dry air [J/(kg K)] (CoolProp)."""
    return HAPropsSI("C", "T", temperature, "P", 101325.0, "W", 0.0)


def core(**more):
    """Effectiveness 0.7 at a capacity ratio of 0.4; 2.5 kg of aluminium."""
    rated = RATED * heat_of_air(330.0)
    return AirCore(**({"transfer_units": UNITS, "rated_flow": RATED, "rated_capacity": rated,
                       "capacity_ratio": 0.4, "stated_air_flow": STATED,
                       "core_heat": 2.5 * 903.0, "bay_to_core": 7.0} | more))  # fmt: skip


def blown(seconds=10.0, step=0.25, flow=0.3, air=STATED, humidity=0.0, inlet=INLET):
    """Charge that flows evenly."""
    times = np.full(round(seconds / step), step)
    return surroundings(times, flow, inlet, 180e3, humidity, air, AMBIENT, 345.0, 0.0)


def standing(seconds=60.0, step=3.0, air=0.0):
    """Charge that stands in a hot bay."""
    times = np.full(round(seconds / step), step)
    return surroundings(times, 0.0, AMBIENT, 101e3, 0.0, air, AMBIENT, 345.0, 0.0)


def stated(flow, blow=1.0):
    """Effectiveness by the ht library: NTU over flow^0.4, half of the resistance either side."""
    units = UNITS * (flow / RATED) ** -0.4
    whole = units / (0.5 + 0.5 * blow**-0.6)
    brought = blow / 0.4
    least, most = min(brought, 1.0), max(brought, 1.0)
    return least * effectiveness_from_NTU(whole / least, least / most, KIND)


@pytest.mark.parametrize("flow", [0.08, 0.3, 0.45])
@pytest.mark.parametrize("blow", [0.02, 0.4, 1.0, 3.0])
def test_settles_at_the_effectiveness(flow, blow):
    around = blown(4000.0, 50.0, flow, blow * STATED)
    result = air_soak(core(), around, 310.0)
    expected = INLET - stated(flow, blow) * (INLET - AMBIENT)
    assert result.charge_outlet[-1] == pytest.approx(expected, abs=1e-6)
    heat = flow * heat_of_air(INLET) * (INLET - expected)
    assert result.from_charge[-1] / 50.0 == pytest.approx(heat, rel=1e-3)
    assert result.to_front[-1] == pytest.approx(result.from_charge[-1], rel=1e-9)


def test_a_core_as_cold_as_the_air_is_better_than_the_settled_one():
    result = air_soak(core(), blown(20.0), AMBIENT)
    settled = INLET - stated(0.3) * (INLET - AMBIENT)
    assert result.charge_outlet[0] < settled - 10.0
    assert np.all(np.diff(result.charge_outlet) > 0.0)
    assert result.charge_outlet[-1] == pytest.approx(settled, abs=0.5)


def test_a_core_without_end_stays():
    result = air_soak(core(core_heat=np.inf), repeated(blown(), standing(), 3), 312.0)
    assert np.all(result.core == 312.0)
    np.testing.assert_allclose(
        result.stored, result.from_charge + result.from_bay - result.to_front
    )
    large = air_soak(core(core_heat=1e12), repeated(blown(), standing(), 3), 312.0)
    np.testing.assert_allclose(large.charge_outlet, result.charge_outlet, atol=1e-5)


def test_a_core_without_mass_is_the_settled_cooler():
    result = air_soak(core(core_heat=0.0), blown(), 312.0)
    expected = INLET - stated(0.3) * (INLET - AMBIENT)
    np.testing.assert_allclose(result.charge_outlet, expected, atol=1e-9)
    assert np.all(result.stored == 0.0)
    np.testing.assert_allclose(result.from_charge, result.to_front, rtol=1e-9)


@pytest.mark.parametrize("air", [0.0, 0.05, STATED])
def test_scipy_integrates_the_same(air):
    """The balance written out, effectiveness from the ht library, LSODA for exponentials."""
    around = repeated(blown(8.0, 0.5, air=air), standing(40.0, 4.0, air), 2)
    got = air_soak(core(), around, 306.0)
    capacity = 0.3 * float(moist_air(0.0).specific_heat(INLET))
    contact = 1.0 - np.exp(-UNITS * (0.3 / RATED) ** -0.4 / 0.5)
    blow = air / STATED
    passing = still = 0.0
    if air > 0.0:
        passing = capacity / (1.0 / stated(0.3, blow) - 1.0 / contact)
        outside = RATED * heat_of_air(330.0) * blow / 0.4
        outer = UNITS * RATED * heat_of_air(330.0) * blow**0.6 / 0.5
        still = outside * (1.0 - np.exp(-outer / outside))
    metal = 2.5 * 903.0

    def pull(_, x):
        return (contact * capacity * (INLET - x) - passing * (x - AMBIENT)) / metal

    def pause(_, x):
        return (7.0 * (345.0 - x) - still * (x - AMBIENT)) / metal

    start, expected = [306.0], [306.0]
    for slope, seconds in ((pull, 8.0), (pause, 40.0)) * 2:
        run = solve_ivp(slope, (0.0, seconds), start, rtol=1e-10, atol=1e-9, method="LSODA")
        start = run.y[:, -1]
        expected.append(start[0])
    ends = np.concatenate(([0], np.flatnonzero(np.diff(around.pull)) + 1, [around.pull.size]))
    np.testing.assert_allclose(got.core[ends], expected, atol=1e-5)


@settings(max_examples=25, deadline=None)
@given(
    heat=st.floats(50.0, 4e4),
    air=st.floats(0.0, 2.0),
    humidity=st.sampled_from([0.0, 0.008, 0.03]),
    start=st.floats(276.0, 360.0),
    bay=st.floats(0.0, 50.0),
)
def test_energy_stored_is_in_less_out(heat, air, humidity, start, bay):
    around = repeated(blown(8.0, 0.4, 0.3, air, humidity), standing(60.0, 5.0, 0.2 * air), 3)
    result = air_soak(core(core_heat=heat, bay_to_core=bay), around, start)
    net = np.cumsum(result.from_charge + result.from_bay - result.to_front)
    moved = np.abs(result.from_charge) + np.abs(result.from_bay) + np.abs(result.to_front)
    level = heat * (result.core[1:] - start)
    assert np.max(np.abs(level - net) / np.cumsum(moved)) < 1e-6
    np.testing.assert_allclose(np.cumsum(result.stored), level, rtol=1e-9, atol=1e-6)


def test_steps_do_not_matter_when_dry():
    ends = [air_soak(core(), blown(10.0, step), 300.0).core[-1] for step in (0.1, 10.0)]
    assert ends[0] == pytest.approx(ends[1], abs=1e-9)


def test_a_standing_car_warms_the_core_in_its_bay():
    warmed = air_soak(core(), standing(600.0), 308.0).core
    assert np.all(np.diff(warmed) > 0.0)
    assert 308.0 < warmed[-1] < 345.0
    alone = air_soak(core(bay_to_core=0.0), standing(), 308.0)
    assert np.all(alone.core == 308.0)
    cooled = air_soak(core(), standing(600.0, air=STATED), 340.0).core
    assert cooled[-1] == pytest.approx(AMBIENT, abs=1.0)


def test_a_cold_core_takes_water_out_of_a_humid_charge():
    """Condensing steps converge, and the heat of the water makes the core warmer."""
    ends = [
        air_soak(core(), blown(4.0, step, humidity=0.03), 278.0).core[-1] for step in (0.2, 0.01)
    ]
    assert ends[0] == pytest.approx(ends[1], abs=5e-3)
    wet = air_soak(core(), blown(1.0, humidity=0.03), 278.0)
    assert wet.condensed.sum() > 0.0
    assert wet.core[-1] > air_soak(core(), blown(1.0), 278.0).core[-1]


def test_conductances_are_those_of_each_interval():
    flows, air = np.array([0.0, 0.3, 0.3]), np.array([0.5, 0.0, 0.5])
    terms = core_terms(core(), flows, flows * 1010.0, air)
    assert terms.gas[0] == 0.0
    assert terms.outside[1] == 0.0
    assert np.all(terms.effectiveness[:2] == 0.0)
    alone = core_terms(core(), flows[2:], flows[2:] * 1010.0, air[2:])
    assert alone.outside[0] == terms.outside[2]
    assert replace(core(), charge_share=0.9).charge_share == 0.9
