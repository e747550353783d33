"""Condensation in a cold charge core: against psychrolib and by hand."""

from __future__ import annotations

import numpy as np
import psychrolib
import pytest

from engine_model.cooling.condensation import (
    condensate_flow,
    dew_point,
    heat_of_condensation,
    saturated_humidity_ratio,
)

psychrolib.SetUnitSystem(psychrolib.SI)


@pytest.mark.parametrize("celsius", [1.0, 10.0, 20.0, 35.0, 45.0])
@pytest.mark.parametrize("pressure", [90e3, 101325.0, 180e3])
def test_saturation_of_the_library(celsius, pressure):
    mine = float(saturated_humidity_ratio(pressure, celsius + 273.15))
    # both round the molar masses, and Buck's form is within 0.3 %
    assert mine == pytest.approx(psychrolib.GetSatHumRatio(celsius, pressure), rel=4e-3)


@pytest.mark.parametrize("celsius", [0.5, 15.0, 40.0])
def test_heat_of_condensation_of_the_library(celsius):
    """Saturated vapour's enthalpy less water's, from the library's moist-air enthalpies."""
    vapour = (
        psychrolib.GetMoistAirEnthalpy(celsius, 0.01) - psychrolib.GetMoistAirEnthalpy(celsius, 0.0)
    ) / 0.01
    mine = float(heat_of_condensation(celsius + 273.15))
    assert mine == pytest.approx(vapour - 4186.0 * celsius, rel=1e-3)


def test_humid_day_down_to_288_kelvin():
    """35 degC and 60 % condense about 15 kW beside 33 kW sensible, at 0.4 kg/s and 0.8 bar."""
    dry, pressure, cold, hot = 0.4, 180e3, 288.15, 370.0
    humidity = psychrolib.GetHumRatioFromRelHum(35.0, 0.60, 101325.0)
    left = psychrolib.GetSatHumRatio(cold - 273.15, pressure)
    by_library = dry * (humidity - left) * 2466e3  # 2466 kJ/kg at 15 degC, steam tables
    water = condensate_flow(dry, humidity, pressure, cold)
    mine = float(water * heat_of_condensation(cold))
    assert mine == pytest.approx(by_library, rel=5e-3)
    assert mine == pytest.approx(15e3, rel=0.06)
    assert dry * 1010.0 * (hot - cold) == pytest.approx(33e3, rel=0.03)


@pytest.mark.parametrize("celsius", [1.0, 15.0, 35.0])
@pytest.mark.parametrize("pressure", [101325.0, 180e3])
def test_dew_point_of_the_library(celsius, pressure):
    humidity = psychrolib.GetSatHumRatio(celsius, pressure)
    assert float(dew_point(pressure, humidity)) - 273.15 == pytest.approx(celsius, abs=0.06)
    back = float(dew_point(pressure, saturated_humidity_ratio(pressure, celsius + 273.15)))
    assert back - 273.15 == pytest.approx(celsius, abs=1e-9)
    assert float(dew_point(pressure, 0.0)) == 0.0


def test_dry_above_the_dew_point():
    humidity = psychrolib.GetHumRatioFromRelHum(30.0, 0.5, 101325.0)
    dew = psychrolib.GetTDewPointFromHumRatio(30.0, humidity, 101325.0) + 273.15
    surfaces = np.array([dew - 0.5, dew + 0.5, 350.0, 373.15, 450.0])
    water = condensate_flow(0.3, humidity, 101325.0, surfaces)
    assert water[0] > 0.0
    assert np.all(water[1:] == 0.0)


def test_boost_lifts_the_dew_point():
    """At 2 bar the same vapour condenses on a surface that is dry at 1 bar."""
    humidity = psychrolib.GetHumRatioFromRelHum(30.0, 0.5, 101325.0)
    surface = 273.15 + 24.0
    assert float(condensate_flow(0.3, humidity, 101325.0, surface)) == 0.0
    assert float(condensate_flow(0.3, humidity, 202650.0, surface)) > 0.0


def test_bypassed_air_keeps_its_water():
    whole, half = (
        float(condensate_flow(0.3, 0.02, 150e3, 285.0, contact)) for contact in (1.0, 0.5)
    )
    assert half == pytest.approx(0.5 * whole, rel=1e-12)
