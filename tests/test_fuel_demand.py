"""Injectors and fuel pump: hand numbers, trade facts and edges."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine_model.errors import InputError
from engine_model.fuel import demand, pump
from engine_model.fuel.fuels import E10, E85, ETHANOL, METHANOL, PETROL

POUND_PER_HOUR = 0.45359237 / 3600.0
CC_PER_MINUTE = 1e-6 / 60.0
AMBIENT = 101325.0
BOOST = 0.69e5  # 10 psi
EIGHT = 8
BSFC = np.array([0.50, 0.55, 0.60, 0.65])


def duty(size, bsfc, referenced, power=500.0):
    """Duty of eight injectors of a size in lb/h, counted as the trade does: 10.5 cc/min each."""
    rated = size * 10.5 * CC_PER_MINUTE
    pressure = demand.pressure_across(3e5, AMBIENT + BOOST, AMBIENT, referenced)
    one = demand.injector_mass_flow(rated, pressure, demand.RATING_DENSITY)
    return demand.injector_duty(power * bsfc * POUND_PER_HOUR, EIGHT, one)


def test_sixty_pound_injectors_for_500_hp():
    """Common practice, no source: eight 60 lb/h injectors do for about 500 flywheel hp."""
    referenced, not_referenced = duty(60.0, BSFC, True), duty(60.0, BSFC, False)
    assert np.all((referenced > 0.5) & (referenced < 0.77))
    assert np.all((not_referenced > 0.5) & (not_referenced < 0.775))
    assert np.all(not_referenced > referenced)


def test_forty_two_pound_injectors_are_too_small():
    """Common practice, no source: over 85 % from about 0.57 lb/(hp h), else almost always."""
    assert duty(42.0, 0.575, True) > 0.85
    assert duty(42.0, 0.56, True) < 0.85
    assert np.all(duty(42.0, np.array([0.51, 0.55, 0.60, 0.65]), False) > 0.85)


def test_ten_and_a_half_holds_at_720():
    one = demand.injector_mass_flow(10.5 * CC_PER_MINUTE, demand.RATING_PRESSURE, 720.0)
    assert float(one) == pytest.approx(POUND_PER_HOUR, rel=2e-5)
    at_745 = demand.injector_mass_flow(10.5 * CC_PER_MINUTE, demand.RATING_PRESSURE, 745.0)
    assert float(at_745 / one) == pytest.approx((745.0 / 720.0) ** 0.5, rel=1e-12)


def test_rail_by_hand():
    """3 bar of rail, 0.6 bar of boost: 3.0 across when referenced, 2.4 when not."""
    across = demand.pressure_across(3e5, AMBIENT + 0.6e5, AMBIENT, np.array([True, False]))
    np.testing.assert_allclose(across, [3.0e5, 2.4e5])
    against = pump.pump_pressure(3e5, AMBIENT + 0.6e5, AMBIENT, np.array([True, False]))
    np.testing.assert_allclose(against, [3.6e5, 3.0e5])


def test_no_pressure_left():
    across = demand.pressure_across(1e5, AMBIENT + 1.2e5, AMBIENT, False)
    assert float(across) == 0.0
    one = demand.injector_mass_flow(1e-5, across, 745.0)
    assert float(demand.injector_duty(0.02, 6, one)) == np.inf
    assert float(demand.injector_flow_needed(0.02, 6, 0.85, across, 745.0)) == np.inf
    assert np.isnan(demand.smallest_size([1e-5], np.inf))


@given(
    flow=st.floats(1e-3, 0.1),
    count=st.integers(1, 16),
    limit=st.floats(0.5, 1.0),
    pressure=st.floats(1e5, 6e5),
    density=st.floats(700.0, 800.0),
)
def test_needed_size_meets_its_duty(flow, count, limit, pressure, density):
    size = demand.injector_flow_needed(flow, count, limit, pressure, density)
    one = demand.injector_mass_flow(size, pressure, density)
    assert float(demand.injector_duty(flow, count, one)) == pytest.approx(limit, rel=1e-12)


def test_shelf():
    shelf = [80.0, 42.0, 60.0]
    got = demand.smallest_size(shelf, [41.0, 42.0, 42.001, 80.0, 80.1, np.nan])
    np.testing.assert_array_equal(got, [42.0, 42.0, 60.0, 80.0, np.nan, np.nan])
    with pytest.raises(InputError, match="one size or more"):
        demand.smallest_size([], 1.0)
    with pytest.raises(InputError, match="all of them numbers"):
        demand.smallest_size([1.0, np.nan], 1.0)


def test_pump_with_reserve():
    """500 hp at 0.6 lb/(hp h) is 182.65 L/h of petrol; with 20 % 219.2 L/h."""
    flow = pump.pump_flow(300.0 * POUND_PER_HOUR, PETROL.density, 0.20) * 3.6e6
    assert float(flow) == pytest.approx(182.65465 * 1.2, rel=1e-6)


def test_pump_between_its_points():
    at, flows = [3e5, 4e5, 5e5], [9e-5, 8e-5, 6e-5]
    got = pump.pump_flow_at([1e5, 3.5e5, 5e5, 5.01e5], at, flows)
    np.testing.assert_allclose(got, [9e-5, 8.5e-5, 6e-5, np.nan])
    for wrong in ([3e5, 3e5, 5e5], [5e5, 4e5, 3e5], [3e5, 4e5]):
        with pytest.raises(InputError, match="rising pressures"):
            pump.pump_flow_at(3e5, wrong, flows)


def test_densities_and_octane_of_the_table():
    """Handbook densities and research octane numbers, from memory; blends by volume."""
    known = {PETROL: (745.0, 95.0), ETHANOL: (785.0, 109.0), METHANOL: (792.0, 109.0)}
    for fuel, (density, octane) in known.items():
        assert (fuel.density, fuel.octane) == (density, octane)
    assert E85.density == pytest.approx(0.15 * 745.0 + 0.85 * 785.0)
    assert E10.density == pytest.approx(0.9 * 745.0 + 0.1 * 785.0)
    assert (E85.octane, E10.octane) == (105.0, 95.0)


def test_alcohol_asks_for_larger_injectors():
    """Road practice, no source: E85 needs 30-40 % more flow by volume than petrol."""
    energy = [1.0 / (fuel.heating_value * fuel.density) for fuel in (PETROL, E85)]
    assert 1.3 < energy[1] / energy[0] < 1.45
