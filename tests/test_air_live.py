"""Air, the day and the charge cooler against general-purpose libraries, run live.

The libraries' real-gas air is the truth here. The worst figures are logged: run with
``--log-cli-level=INFO`` to see them.
"""

from __future__ import annotations

import logging

import CoolProp.CoolProp as cp
import fluids
import ht
import numpy as np
import psychrolib
import pytest
from CoolProp.HumidAirProp import HAPropsSI
from scipy.optimize import brentq

from engine_model.air import atmosphere, flow
from engine_model.air.gas import compress, efficiency_from_temperatures, inlet_gas, moist_air
from engine_model.air.heat_capacity import (
    dry_air_specific_heat_exact,
    water_vapour_specific_heat_exact,
)
from engine_model.cooling import charge_cooler

HOTTEST_HUMID = 623.0  # the library's humid air ends at 623.15 K
DEW_POINT_CAP = 303.15  # highest dew point drawn: 30 degC, wetter air does not occur outdoors
TEMPERATURE_TOLERANCE = 0.15


LOG = logging.getLogger(__name__)


def report(name: str, value: object) -> None:
    LOG.info("%s: %s", name, value)


def ours(t1, ratio, eta, w):
    shape = np.broadcast_arrays(t1, ratio, eta, w)
    t1, ratio, eta, w = (np.array(a, dtype=float) for a in shape)
    return compress(inlet_gas(moist_air(w), t1), np.log(ratio), eta)


def coolprop_dry(t1, p1, ratio, eta):
    s1 = cp.PropsSI("Smass", "T", t1, "P", p1, "Air")
    h1 = cp.PropsSI("Hmass", "T", t1, "P", p1, "Air")
    h2s = cp.PropsSI("Hmass", "Smass", s1, "P", p1 * ratio, "Air")
    h2 = h1 + (h2s - h1) / eta
    return cp.PropsSI("T", "Hmass", h2, "P", p1 * ratio, "Air"), h2 - h1


def coolprop_humid(t1, p1, ratio, eta, w):
    """Outlet temperature and work per kg of humid air, real humid air of fixed composition."""

    def at(name, t, p):
        return HAPropsSI(name, "T", t, "P", p, "W", w)

    s1, h1 = at("S", t1, p1), at("H", t1, p1)
    t2s = brentq(lambda t: at("S", t, p1 * ratio) - s1, t1 * 0.999, HOTTEST_HUMID, xtol=1e-6)
    h2 = h1 + (at("H", t2s, p1 * ratio) - h1) / eta
    t2 = brentq(lambda t: at("H", t, p1 * ratio) - h2, t1 * 0.999, HOTTEST_HUMID, xtol=1e-6)
    return t2, (h2 - h1) / (1.0 + w)


def inlets(seed, count):
    """Inlets and operating points: 243-323 K, 60-105 kPa, ratio to 3, efficiency 0.55-0.78."""
    random = np.random.default_rng(seed)
    t1 = random.uniform(243.15, 323.15, count)
    p1 = random.uniform(60e3, 105e3, count)
    ratio = random.uniform(1.02, 3.0, count)
    eta = random.uniform(0.55, 0.78, count)
    # the corners, where the error is largest
    t1[:8] = np.repeat([243.15, 323.15], 4)
    p1[:8] = np.tile([60e3, 105e3], 4)
    ratio[:8] = 3.0
    eta[:8] = np.tile([0.55, 0.55, 0.78, 0.78], 2)
    return t1, p1, ratio, eta


def test_discharge_temperature_of_dry_air():
    t1, p1, ratio, eta = inlets(1, 300)
    t2, rise, _ = ours(t1, ratio, eta, 0.0)
    real = np.array([coolprop_dry(*point) for point in zip(t1, p1, ratio, eta, strict=True)])
    worst = float(np.max(np.abs(t2 - real[:, 0])))
    report("worst_dry_K", worst)
    report("worst_dry_work_share", float(np.max(np.abs(rise / real[:, 1] - 1.0))))
    assert worst <= TEMPERATURE_TOLERANCE
    assert rise == pytest.approx(real[:, 1], rel=1e-3)


def test_discharge_temperature_of_humid_air():
    t1, p1, ratio, eta = inlets(2, 60)
    # relative humidity 0-1 at the inlet, but never above a dew point of 30 degC; the last eight
    # at the most that allows. Both sides then get the same humidity ratio.
    humidity = np.random.default_rng(3).uniform(0.0, 1.0, t1.size)
    humidity[:8] = 1.0
    vapour = humidity * atmosphere.saturation_pressure(t1)
    vapour = np.minimum(vapour, atmosphere.saturation_pressure(DEW_POINT_CAP))
    w = 0.622 * vapour / (p1 - vapour)
    t2, rise, _ = ours(t1, ratio, eta, w)
    assert t2.max() < HOTTEST_HUMID
    points = zip(t1, p1, ratio, eta, w, strict=True)
    real = np.array([coolprop_humid(*point) for point in points])
    worst = float(np.max(np.abs(t2 - real[:, 0])))
    report("worst_humid_K", worst)
    report("worst_humid_work_share", float(np.max(np.abs(rise / real[:, 1] - 1.0))))
    assert worst <= TEMPERATURE_TOLERANCE
    assert rise == pytest.approx(real[:, 1], rel=1.5e-3)


def test_discharge_temperature_of_saturated_hot_air():
    """Saturated air of 50 degC, wetter than any weather: bounded, but not by 0.15 K."""
    t1, p1 = 323.15, 100e3
    w = float(atmosphere.humidity_ratio(p1, t1, 1.0))
    worst = 0.0
    for ratio in (1.5, 2.0, 3.0):
        for eta in (0.55, 0.70, 0.78):
            t2 = float(ours(t1, ratio, eta, w)[0])
            worst = max(worst, abs(t2 - coolprop_humid(t1, p1, ratio, eta, w)[0]))
    report("worst_saturated_50_degC_K", worst)
    assert worst <= 2.0 * TEMPERATURE_TOLERANCE


def test_ignoring_humidity_would_be_seen():
    """The humid comparison can fail: dry air in its place is more than a kelvin off."""
    t1, p1 = 313.15, 100e3
    w = float(atmosphere.humidity_ratio(p1, t1, 0.55))
    real, _ = coolprop_humid(t1, p1, 3.0, 0.6, w)
    assert abs(float(ours(t1, 3.0, 0.6, 0.0)[0]) - real) > 1.0
    assert abs(float(ours(t1, 3.0, 0.6, w)[0]) - real) <= TEMPERATURE_TOLERANCE


def test_efficiency_from_the_library_temperatures():
    t1, p1, ratio, eta = inlets(4, 60)
    points = zip(t1, p1, ratio, eta, strict=True)
    t2 = np.array([coolprop_dry(*point)[0] for point in points])
    got = efficiency_from_temperatures(moist_air(np.zeros(t1.size)), t1, t2, np.log(ratio))
    # 0.15 K of a rise of (t2 - t1), and the isentropic end likewise
    assert np.max(np.abs(got - eta) * (t2 - t1)) <= 2.0 * TEMPERATURE_TOLERANCE


def test_ideal_heat_capacities():
    t = np.linspace(220.0, 620.0, 41)
    dry = np.array([cp.PropsSI("Cp0mass", "T", x, "P", 1e5, "Air") for x in t])
    wet = t[t > 274.0]  # the library's water starts at its triple point
    vapour = np.array([cp.PropsSI("Cp0mass", "T", x, "P", 100.0, "Water") for x in wet])
    # the gas constant of the equation of state differs by 0.02 % from ISO 2533's
    assert dry_air_specific_heat_exact(t) == pytest.approx(dry, rel=3e-4)
    assert water_vapour_specific_heat_exact(wet) == pytest.approx(vapour, rel=1e-4)
    fit = moist_air(np.zeros(t.size)).specific_heat(t)
    report("worst_fit_share", float(np.max(np.abs(fit / dry_air_specific_heat_exact(t) - 1))))
    assert fit == pytest.approx(dry_air_specific_heat_exact(t), rel=1e-4)


def test_sound_speed_and_heat_of_real_air():
    t = np.linspace(243.15, 473.15, 24)
    air = moist_air(np.zeros(t.size))
    gamma = air.ratio_of_specific_heats(t)
    sonic = np.sqrt(gamma * air.gas_constant * t)
    real_sonic = np.array([cp.PropsSI("speed_of_sound", "T", x, "P", 1e5, "Air") for x in t])
    real_heat = np.array([cp.PropsSI("Cpmass", "T", x, "P", 1e5, "Air") for x in t])
    report("worst_sonic_share", float(np.max(np.abs(sonic / real_sonic - 1.0))))
    report("worst_heat_share", float(np.max(np.abs(air.specific_heat(t) / real_heat - 1.0))))
    assert sonic == pytest.approx(real_sonic, rel=7e-4)
    assert air.specific_heat(t) == pytest.approx(real_heat, rel=3e-3)


def test_humid_gas_constant_against_real_density():
    for t, p, w in ((293.15, 101325.0, 0.0073), (308.15, 98e3, 0.022), (303.15, 80e3, 0.03)):
        real = 1.0 / HAPropsSI("Vha", "T", t, "P", p, "W", w)
        assert p / (float(moist_air(w).gas_constant) * t) == pytest.approx(real, rel=6e-4)


def test_saturation_pressure():
    t = np.linspace(274.15, 323.15, 50)
    real = np.array([cp.PropsSI("P", "T", x, "Q", 1, "Water") for x in t])
    got = atmosphere.saturation_pressure(t)
    report("worst_saturation_share", float(np.max(np.abs(got / real - 1.0))))
    assert got == pytest.approx(real, rel=1e-3)


def test_humidity_ratio_against_psychrolib():
    psychrolib.SetUnitSystem(psychrolib.SI)
    worst = 0.0
    # above freezing: below it psychrolib takes the saturation over ice, weather stations water
    for celsius in (1.0, 10.0, 20.0, 30.0, 40.0, 50.0):
        for humidity in (0.05, 0.4, 0.8, 1.0):
            for p in (75e3, 90e3, 101325.0):
                expected = psychrolib.GetHumRatioFromRelHum(celsius, humidity, p)
                got = float(atmosphere.humidity_ratio(p, celsius + 273.15, humidity))
                worst = max(worst, abs(got / expected - 1.0))
    report("worst_humidity_ratio_share", worst)
    assert worst <= 5e-4


def test_standard_atmosphere_against_fluids():
    # the library asks for geometric height
    z = np.linspace(-500.0, 11_000.0, 24)
    h = atmosphere.geopotential_height(z)
    other = [fluids.ATMOSPHERE_1976(Z=float(x)) for x in z]
    p = atmosphere.station_pressure(h)
    worst = float(np.max(np.abs(p / np.array([a.P for a in other]) - 1.0)))
    report("worst_pressure_share", worst)
    assert atmosphere.standard_temperature(h) == pytest.approx([a.T for a in other], rel=1e-9)
    assert worst <= 2e-6
    # taking one height for the other is seen
    assert abs(float(atmosphere.station_pressure(5000.0)) / other[11].P - 1.0) > 1e-4


def test_crossflow_effectiveness_against_ht():
    """The formula itself is tight; its scatter against the exact series is not small."""
    ntu = np.array([0.2, 0.3, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 5.0])
    n, c = np.meshgrid(ntu, [0.05, 0.25, 0.4, 0.5, 0.75, 1.0])
    got = charge_cooler.crossflow_effectiveness(n, c)
    library = np.vectorize(ht.effectiveness_from_NTU)
    assert got == pytest.approx(library(n, c, subtype="crossflow approximate"), rel=1e-12)
    off = np.abs(got / library(n, c, subtype="crossflow") - 1.0)
    small = n < 0.5
    for name, area, most in (
        ("NTU under 0.5", small, 0.038),
        ("C_r above 0.5, NTU from 0.5", ~small & (c > 0.5), 0.034),
        ("C_r to 0.5, NTU from 0.5", ~small & (c <= 0.5), 0.017),
        ("C_r to 0.4, NTU from 0.75", (n >= 0.75) & (c <= 0.4), 0.011),
    ):
        report(name, float(off[area].max()))
        assert off[area].max() <= most, name


def test_counterflow_effectiveness_against_ht():
    n, c = np.meshgrid([0.2, 0.5, 1.0, 2.0, 5.0], [0.0, 0.05, 0.3, 0.7, 0.95])
    library = np.vectorize(ht.effectiveness_from_NTU)(n, c, subtype="counterflow")
    assert charge_cooler.counterflow_effectiveness(n, c) == pytest.approx(library, rel=1e-12)


def test_transfer_units_against_ht():
    for eps in (0.3, 0.6, 0.7, 0.85):
        for capacity in (0.2, 0.4, 0.7):
            got = charge_cooler.transfer_units(eps, capacity)
            back = ht.effectiveness_from_NTU(got, capacity, subtype="crossflow approximate")
            assert back == pytest.approx(eps, rel=1e-10)


def test_orifice_against_fluids():
    """Throat state from the library's stagnation relations, flow by continuity."""
    gas_constant, t0, p0, area = 287.053, 300.0, 100e3, 1e-3
    for gamma in (1.3, 1.4):
        heat = gamma / (gamma - 1.0) * gas_constant
        t_critical = fluids.T_critical_flow(t0, gamma)
        p_critical = fluids.P_critical_flow(p0, gamma)
        assert flow.critical_pressure_ratio(gamma) == pytest.approx(p_critical / p0, rel=1e-12)
        sonic = (gamma * gas_constant * t_critical) ** 0.5
        choked = area * p_critical / (gas_constant * t_critical) * sonic
        for share in (0.05, 0.3, 0.7, 1.0):
            speed = share * sonic
            t = t0 - (fluids.T_stagnation_ideal(0.0, speed, heat))
            down = p0 * p0 / fluids.P_stagnation(p0, t, t0, gamma)
            expected = area * down / (gas_constant * t) * speed
            got = flow.orifice_flow(area, p0, t0, down, gas_constant, gamma)
            assert got == pytest.approx(expected, rel=1e-9)
        for down in (0.99 * p_critical, 0.3 * p0):
            got = flow.orifice_flow(area, p0, t0, down, gas_constant, gamma)
            assert got == pytest.approx(choked, rel=1e-12)
        assert flow.orifice_flow(area, p0, t0, p0, gas_constant, gamma) == 0.0
