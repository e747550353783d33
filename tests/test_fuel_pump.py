"""A fuel pump whose flow falls with pressure to its shut-off: by hand, refused, and in words."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hand_lines import BUILD, used

from app.present.sentences import sentence
from engine_model.errors import InputError
from engine_model.fuel.pump import pump_flow_to_shut_off

LITRES_PER_HOUR = 1e-3 / 3600.0
SHUT_OFF = "fuel_system.pump_shut_off"
PUMP = BUILD.with_value("fuel_system.pump_flow", 200 * LITRES_PER_HOUR)
FALLING = PUMP.with_value(SHUT_OFF, 6e5)


def test_straight_from_the_stated_flow_to_none():
    got = pump_flow_to_shut_off([2e5, 3e5, 4e5, 5e5, 6e5, 7e5, math.nan], 3e5, 90.0, 6e5)
    np.testing.assert_allclose(got, [90.0, 90.0, 60.0, 30.0, 0.0, 0.0, math.nan])
    got = pump_flow_to_shut_off([2e5, 7e5, math.nan], 3e5, 90.0, None)
    np.testing.assert_array_equal(got, [90.0, 90.0, math.nan])


def test_judged_by_hand():
    # 133.369 L/h asked against 3.30 bar; a pump of 200 L/h at 3.00 and none at 6.00 gives 180 there
    entry = used("fuel_pump", FALLING)
    assert entry.used == pytest.approx(133.369 / 180.0, rel=1e-5)
    assert entry.bound == pytest.approx(180.0 * LITRES_PER_HOUR)
    assert sentence(entry, FALLING) == (
        "133 L/h asked of the pump against 3.30 bar at 6800 rpm, reserve included, of 180 L/h that "
        "it gives there"
    )
    assert "straight from the stated one to none" in entry.basis
    # stated at 5.00 bar: the flow stated below that
    stated = FALLING.with_value("fuel_system.pump_pressure", 5e5)
    assert used("fuel_pump", stated).used == pytest.approx(133.369 / 200.0, rel=1e-5)
    # blank is the one flow, never clear against more than the pressure it is stated at
    assert used("fuel_pump", PUMP).used == pytest.approx(0.90)
    assert used("fuel_pump", PUMP).state == "close"
    over = PUMP.with_value("fuel_system.pump_flow", 130 * LITRES_PER_HOUR)
    assert used("fuel_pump", over).used == pytest.approx(133.369 / 130.0, rel=1e-5)
    known = PUMP.with_value("fuel_system.pump_pressure", 5e5)
    assert used("fuel_pump", known).used == pytest.approx(133.369 / 200.0, rel=1e-5)
    # boost moves the speed that asks most: 8 g/s against 5.90 bar, where 6.7 L/h are left
    early = used("fuel_pump", FALLING, boost_gauge_pa=[2.9e5, 0.0, 0.0])
    assert early.engine_speed_rpm == 3000.0
    assert early.used == pytest.approx(133.369 / 3.0 / (200.0 / 30.0), rel=1e-4)


def test_nothing_is_given_at_the_shut_off_and_above():
    for boost in (3e5, 3.5e5):
        entry = used("fuel_pump", FALLING, boost_gauge_pa=[0.1e5, 0.2e5, boost])
        assert (entry.state, entry.used) == ("over", math.inf)
        assert sentence(entry, FALLING).endswith("reserve included; it gives nothing there")


def test_a_shut_off_stands_above_the_stated_pressure():
    for changes in (
        {SHUT_OFF: 3e5},
        {SHUT_OFF: 4e5, "fuel_system.pump_pressure": 5e5},
        {SHUT_OFF: 4e5, "fuel_system.rail_pressure": 4e5},
    ):
        with pytest.raises(InputError, match=r"above [345] bar, at which") as told:
            PUMP.with_values(changes)
        assert told.value.field == SHUT_OFF
    with pytest.raises(InputError) as told:
        FALLING.with_value("fuel_system.rail_pressure", 6.5e5)
    assert str(told.value.value) == "6 bar"
