"""The loop in time: settled state, scipy's integration, energy, ice, condensation, limits."""

from __future__ import annotations

import numpy as np
import psychrolib
import pytest
from ht.hx import effectiveness_from_NTU
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from engine_model.cooling.heat_soak import HEAT_OF_FUSION, ice_mixed, soak
from engine_model.cooling.loop_intervals import Surroundings, loop_terms, repeated
from engine_model.errors import InputError
from tests import loop_cases as cases

psychrolib.SetUnitSystem(psychrolib.SI)


def balance(result):
    """Energy stored less energy in, over the energy that moved."""
    moved = np.abs(result.from_charge) + np.abs(result.from_bay) + np.abs(result.to_front)
    stored = np.cumsum(result.stored)
    net = np.cumsum(result.from_charge + result.from_bay - result.to_front)
    return np.max(np.abs(stored - net) / np.cumsum(moved))


def test_settles_where_the_coupled_formula_says():
    """1/(1/(e1 C1) + 1/(e2 C2) - 1/C_L), effectiveness from the ht library."""
    loop = cases.loop(3.0)
    result = soak(loop, cases.steady(1200.0, 2.0), 303.15)
    charge, air = 0.3 * 1013.7, 0.8 * 1006.4  # cp at 390 K and 303 K, dry air (CoolProp)
    core_ua, front_ua, pump = 500.0, 600.0 * 0.8**0.6, cases.PUMP

    def between(conductance, least, most):
        return least * effectiveness_from_NTU(
            conductance / least, least / most, "crossflow approximate"
        )

    core = between(core_ua, charge, pump)
    front = between(front_ua, pump, air)
    heat = (390.0 - cases.AMBIENT) / (1.0 / core + 1.0 / front - 1.0 / pump)
    assert result.from_charge[-1] / 2.0 == pytest.approx(heat, rel=1e-3)
    assert result.to_front[-1] / 2.0 == pytest.approx(heat, rel=1e-3)
    assert result.charge_outlet[-1] == pytest.approx(390.0 - heat / charge, abs=0.1)
    assert result.liquid[-1] == pytest.approx(390.0 - heat / core, abs=0.1)


def test_scipy_integrates_the_same():
    """Two balances written out, LSODA in place of exponentials."""
    loop = cases.loop(4.0, bay_to_liquid=6.0, bay_to_core=3.0)
    around = cases.steady(60.0, 5.0, bay_temperature=350.0)
    terms = loop_terms(loop, around, loop.reservoir_heat)
    gas, liquid, front = (float(a[0]) for a in (terms.gas, terms.liquid, terms.front))

    def slope(_, x):
        core, water = x
        passed = liquid * (core - water)
        hot = water + passed / cases.PUMP
        away = front * (hot - cases.AMBIENT)
        into_core = gas * (390.0 - core) + 3.0 * (350.0 - core) - passed
        return [into_core / loop.core_heat, (passed - away + 6.0 * (350.0 - water)) / 16720.0]

    got = soak(loop, around, 305.0)
    expected = solve_ivp(
        slope, (0.0, 60.0), [305.0, 305.0], t_eval=got.time, rtol=1e-10, atol=1e-8, method="LSODA"
    )
    np.testing.assert_allclose(got.core, expected.y[0], atol=1e-5)
    np.testing.assert_allclose(got.liquid, expected.y[1], atol=1e-5)


def test_steps_do_not_matter_when_dry():
    loop = cases.loop(4.0, bay_to_liquid=6.0)
    ends = [soak(loop, cases.steady(40.0, step), 300.0).liquid[-1] for step in (0.1, 40.0)]
    assert ends[0] == pytest.approx(ends[1], abs=1e-8)


@settings(max_examples=15, deadline=None)
@given(
    litres=st.floats(2.0, 20.0),
    ice=st.sampled_from([0.0, 0.4, 3.0]),
    humidity=st.sampled_from([0.0, 0.008, 0.022]),
    start=st.floats(276.0, 320.0),
    bay=st.floats(0.0, 20.0),
)
def test_energy_stored_is_in_less_out(litres, ice, humidity, start, bay):
    loop = cases.loop(litres, bay_to_liquid=bay, bay_to_core=0.3 * bay)
    around = repeated(cases.pull(humidity=humidity, step=0.4), cases.pause(step=5.0), 3)
    result = soak(loop, around, start, ice)
    assert balance(result) < 1e-6
    # and what is stored is what the temperatures and the ice say, by hand
    water = loop.reservoir_heat + 4186.0 * ice
    level = water * (result.liquid - 273.15) + 1800.0 * result.core - 333.55e3 * result.ice
    np.testing.assert_allclose(np.cumsum(result.stored), level[1:] - level[0], atol=1.0)


def test_ice_keeps_its_temperature_until_it_has_gone():
    result = soak(cases.loop(5.0), cases.steady(120.0, 0.5), 278.0, 1.5)
    there = result.ice > 0.0
    assert there.sum() > 20
    assert not there[-1]
    assert np.all(result.liquid[there] == 273.15)
    assert np.all(np.diff(result.ice) <= 0.0)
    assert np.all(np.diff(result.liquid[~there]) > 0.0)
    assert balance(result) < 1e-6


def test_ice_melts_by_its_heat_of_fusion():
    """Infinitely good heat bookkeeping: the heat let in over 333.55 kJ/kg."""
    around = cases.steady(5.0, 0.5)
    result = soak(cases.loop(5.0), around, 273.15, 5.0)
    core = 1800.0 * (result.core[-1] - result.core[0])
    heat = np.sum(result.from_charge - result.to_front) - core
    assert 5.0 - result.ice[-1] == pytest.approx(heat / 333.55e3, rel=1e-9)


def test_end_of_the_ice_does_not_depend_on_the_step():
    ends = [
        soak(cases.loop(5.0), cases.steady(120.0, step), 273.15, 1.0).liquid[-1]
        for step in (0.25, 30.0)
    ]
    assert ends[0] == pytest.approx(ends[1], abs=1e-6)


def test_mixing_of_ice():
    """10 kg of water at 30 degC hold 1256 kJ over ice: 3.77 kg of ice melt (333.55 kJ/kg)."""
    heat = 10.0 * 4186.0
    assert ice_mixed(heat, 303.15, 5.0) == pytest.approx((273.15, 5.0 - 1255.8 / 333.55))
    warm, none = ice_mixed(heat, 303.15, 1.0)
    assert none == 0.0
    assert warm - 273.15 == pytest.approx((1255.8 - 333.55) / (11.0 * 4.186), rel=1e-9)
    assert HEAT_OF_FUSION == 333.55e3
    with pytest.raises(InputError, match=r"273\.15"):
        ice_mixed(heat, 270.0, 1.0)
    with pytest.raises(InputError, match="0 kg or more"):
        soak(cases.loop(), cases.pull(), 290.0, -1.0)


def test_condensation_heats_a_cold_loop():
    humidity = psychrolib.GetHumRatioFromRelHum(35.0, 0.60, 101325.0)
    wet = soak(cases.loop(), cases.steady(10.0, 0.1, humidity=humidity), 274.0, 3.0)
    dry = soak(cases.loop(), cases.steady(10.0, 0.1), 274.0, 3.0)
    assert wet.condensed.sum() > 0.0
    assert dry.condensed.sum() == 0.0
    # water by the library's saturation at the core's temperature, contact of the dry heat
    k = 50
    core = 0.5 * (wet.core[k] + wet.core[k + 1])
    left = psychrolib.GetSatHumRatio(core - 273.15, 180e3)
    contact = (390.0 - wet.charge_outlet[k]) / (390.0 - core)
    water = 0.3 / (1.0 + humidity) * contact * (humidity - left) * 0.1
    assert wet.condensed[k] == pytest.approx(water, rel=1e-2)
    assert wet.condensation[k] / wet.condensed[k] == pytest.approx(
        2501e3 - 2326.0 * (core - 273.15), rel=1e-3
    )
    assert wet.charge_outlet[-1] > dry.charge_outlet[-1]


def test_condensing_steps_converge():
    ends = [
        soak(cases.loop(4.0), cases.steady(8.0, step, humidity=0.02), 276.0).core[-1]
        for step in (0.4, 0.2, 0.01)
    ]
    np.testing.assert_allclose(ends[:2], ends[2], atol=2e-4)


def test_no_cooler_leaves_the_charge_alone():
    result = soak(cases.loop(charge_conductance=0.0), cases.pull(), 300.0)
    np.testing.assert_array_equal(result.charge_outlet, cases.pull().charge_inlet)
    assert np.all(result.from_charge == 0.0)


def test_reservoir_without_end_keeps_its_temperature():
    result = soak(cases.loop(reservoir_heat=np.inf), cases.pull(), 300.0)
    assert np.all(result.liquid == 300.0)
    assert balance(result) < 1e-6
    large = soak(cases.loop(litres=1e6), cases.pull(), 300.0)
    np.testing.assert_allclose(result.charge_outlet, large.charge_outlet, atol=1e-3)


def test_pump_that_stands_leaves_a_core_that_heats_up():
    stopped = soak(cases.loop(), cases.pull(seconds=30.0, pump=0.0), 300.0)
    assert np.all(stopped.liquid == 300.0)
    assert stopped.charge_outlet[-1] > 365.0
    assert np.all(stopped.to_front == 0.0)


def test_refused_surroundings():
    one = cases.pull()
    values = {name: getattr(one, name) for name in Surroundings.__slots__}
    for name, wrong, told in (
        ("charge_flow", values["charge_flow"][:-1], "one value an interval"),
        ("charge_inlet", np.full(80, np.nan), "numbers only"),
        ("duration", np.zeros(80), "above 0 s"),
    ):
        with pytest.raises(InputError, match=told):
            Surroundings(**(values | {name: wrong}))
    with pytest.raises(InputError, match="1 or more"):
        repeated(one, None, 0)
