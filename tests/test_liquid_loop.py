"""The settled liquid loop: against the ht library, hand sums and limiting cases."""

from __future__ import annotations

import numpy as np
import pytest
from ht.hx import effectiveness_from_NTU
from hypothesis import given
from hypothesis import strategies as st

from engine_model.air.gas import compress, inlet_gas, moist_air
from engine_model.cooling.charge_cooler import outlet_temperature
from engine_model.cooling.liquid_loop import (
    WATER_HEAT,
    LiquidLoop,
    front_air_flow,
    inlet_conductance,
    steady_loop,
)


def by_ht(conductance, a, b, subtype="crossflow approximate"):
    least, most = min(a, b), max(a, b)
    return least * effectiveness_from_NTU(conductance / least, least / most, subtype)


@given(
    conductance=st.floats(50.0, 2000.0),
    charge=st.floats(50.0, 800.0),
    liquid=st.floats(100.0, 2000.0),
)
def test_exchanger_of_the_library(conductance, charge, liquid):
    mine = float(inlet_conductance(conductance, charge, liquid))
    assert mine == pytest.approx(by_ht(conductance, charge, liquid), rel=1e-9)
    assert mine == float(inlet_conductance(conductance, liquid, charge))


@pytest.mark.parametrize("units", [0.5, 1.0, 2.0, 3.0])
@pytest.mark.parametrize("ratio", [0.2, 0.5, 0.9])
def test_exchanger_of_the_exact_series(units, ratio):
    """The closed form is off the exact series by 3.3 % at most (Incropera & DeWitt)."""
    exact = by_ht(units * 100.0, 100.0, 100.0 / ratio, "crossflow")
    mine = float(inlet_conductance(units * 100.0, 100.0, 100.0 / ratio))
    assert mine == pytest.approx(exact, rel=0.034)


@pytest.mark.parametrize(
    ("charge", "liquid", "air", "core_ua", "front_ua"),
    [
        (300.0, 700.0, 900.0, 600.0, 800.0),
        (300.0, 200.0, 900.0, 500.0, 600.0),
        (450.0, 1400.0, 400.0, 900.0, 300.0),
    ],
)
def test_coupled_loop_by_the_librarys_effectiveness(charge, liquid, air, core_ua, front_ua):
    """Three balances solved as a linear system: charge core, front exchanger, and liquid."""
    t2, t0 = 390.0, 303.0
    core, front = by_ht(core_ua, charge, liquid), by_ht(front_ua, air, liquid)
    # unknowns: heat, cold and hot liquid
    matrix = [[1.0, core, 0.0], [1.0, 0.0, -front], [1.0, liquid, -liquid]]
    heat, cold, hot = np.linalg.solve(matrix, [core * t2, -front * t0, 0.0])
    got = steady_loop(
        t2,
        t0,
        charge,
        inlet_conductance(core_ua, charge, liquid),
        inlet_conductance(front_ua, air, liquid),
        liquid,
    )
    assert float(got.heat) == pytest.approx(heat, rel=1e-9)
    assert float(got.liquid_cold) == pytest.approx(cold, rel=1e-9)
    assert float(got.liquid_hot) == pytest.approx(hot, rel=1e-9)
    assert float(got.charge_outlet) == pytest.approx(t2 - heat / charge, rel=1e-9)


def test_a_front_exchanger_without_end():
    """The liquid comes back at ambient when its conductance is the liquid's capacity flow."""
    got = steady_loop(400.0, 300.0, 300.0, 225.0, 700.0, 700.0)
    assert float(got.liquid_cold) == pytest.approx(300.0, abs=1e-9)
    assert float(got.heat) == pytest.approx(225.0 * 100.0, rel=1e-12)


def test_streams_that_stand():
    np.testing.assert_array_equal(
        inlet_conductance([500.0, 500.0, 0.0], [0.0, 300.0, 300.0], [700.0, 0.0, 700.0]), 0.0
    )


def test_a_stream_without_end():
    """C_r 0: 1 - exp(-NTU) (Incropera & DeWitt, table 11.3)."""
    got = float(inlet_conductance(300.0, 300.0, np.inf))
    assert got == pytest.approx(300.0 * (1.0 - np.exp(-1.0)), rel=1e-6)


def test_good_for_600_hp():
    """Common practice, no source: a liquid cooler "good for 600 hp".

    At a pressure ratio of 2, efficiency 0.70, 25 degC at the inlet and 38 degC coolant its
    outlet is within 25 K of the coolant if its effectiveness is at least about 0.69.
    """
    inlet = inlet_gas(moist_air(np.zeros(1)), np.array([298.15]))
    t2, _, _ = compress(inlet, np.log([2.0]), np.array([0.70]))
    coolant = 311.15
    within = [float(outlet_temperature(t2[0], coolant, e)) - coolant for e in (0.68, 0.70)]
    assert within[0] > 25.0 > within[1]


def test_front_air_by_speed_or_fan():
    """0.2 m2, 1.2 kg/m3: at 30 m/s 0.2 x 30 x 0.2 x 1.2 = 1.44 kg/s; standing, the fan's."""
    np.testing.assert_allclose(front_air_flow([0.0, 30.0], 0.2, 1.2, 0.5), [0.5, 1.44])


def test_core_is_its_two_sides_in_series():
    loop = LiquidLoop(600.0, 0.3, 800.0, 1.0, 10e-3 * WATER_HEAT, 2000.0)
    assert float(loop.core(np.array(0.3))) == pytest.approx(600.0, rel=1e-12)
    gas, liquid = 600.0 / 0.8 * 0.5**0.6, 600.0 / 0.2
    assert float(loop.core(np.array(0.15))) == pytest.approx(1.0 / (1.0 / gas + 1.0 / liquid))
    assert float(loop.core(np.array(0.0))) == 0.0
    assert float(loop.front(np.array(2.0))) == pytest.approx(800.0 * 2.0**0.6)
