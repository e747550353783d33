"""The balances of a solved line, recomputed station by station outside the solver.

Only cp of the humid air, the day's pressure and its humidity are the model's; the rest is written
again from the road.
"""

from __future__ import annotations

import numpy as np
from CoolProp.CoolProp import PropsSI
from hypothesis import strategies as st

from engine_model.air.atmosphere import humidity_ratio, station_pressure
from engine_model.air.gas import moist_air
from engine_model.inputs import Build, Day

R_DRY = 287.053
# ideal-gas heat capacities from CoolProp, every 2 K (vapour from the melting point, held below)
GRID = np.arange(240.0, 640.0, 2.0)
DRY = np.array([PropsSI("CP0MASS", "T", t, "P", 1e5, "Air") for t in GRID])
WET = np.array([PropsSI("CP0MASS", "T", max(t, 276.0), "DMASS", 1e-5, "Water") for t in GRID])
# fuels: stoichiometric ratio, heating value [J/kg], heat of vaporisation [J/kg], molar mass
# [g/mol], after Heywood, 1st ed., table D.4 (from memory)
FUELS = {
    "petrol": (14.6, 44.0e6, 305e3, 110.0),
    "ethanol": (9.0, 26.9e6, 840e3, 46.07),
    "methanol": (6.47, 20.0e6, 1103e3, 32.04),
}
PORT = {"port": 0.25, "direct": 0.0}


def mixture_factor(x):
    return x * (1.0 + 0.03 * (1.0 - ((x - 0.90) / 0.10) ** 2)) if x < 1.0 else 1.0


def bracket(r, x):
    return r / (r - 1.0) - (x + 0.3) / (1.3 * (r - 1.0))


def vapour(engine, fuel, mixture, t3, cp):
    ratio, _, heat, molar_mass = FUELS[fuel]
    share = PORT[engine.injection] / (ratio * mixture)
    chill = share * heat / cp
    return np.sqrt(t3 / (t3 - chill)) / (1.0 + share * 28.97 / molar_mass)


class Stock:
    """The stock engine at some speeds, from its torque curve on the stock day."""

    def __init__(self, build: Build, rpm):
        e = build.engine
        ratio, heating_value, *_ = FUELS[e.stock_fuel]
        swept = e.displacement * rpm / 120.0
        n = rpm / 1000.0
        self.friction = e.friction_scale * (0.97 + 0.15 * n + 0.05 * n**2) * 1e5 * swept
        self.cycle = (1.0 - e.compression_ratio**-0.3) * e.indicated_constant
        work = heating_value * self.cycle * mixture_factor(e.stock_mixture)
        air_fuel = ratio * e.stock_mixture

        def dry_flow(power, friction):
            return (power + friction) / work * air_fuel

        top = e.stock_power_speed
        top_friction = e.friction_scale * (0.97 + 0.15 * top / 1e3 + 0.05 * (top / 1e3) ** 2)
        top_friction *= 1e5 * e.displacement * top / 120.0
        self.rated = e.rated_flow or 1.5 * dry_flow(e.stock_power, top_friction)
        self.power = torque_curve(e, rpm) * rpm * np.pi / 30.0
        flow = dry_flow(self.power, self.friction)
        density = 99e3 / (R_DRY * 298.15)
        loss = build.inlet.pressure_loss * (flow / self.rated) ** 2 * 1.16 / density
        self.p3 = 99e3 - loss
        out = flow * (1.0 + 1.0 / air_fuel) / self.rated
        self.p4 = 99e3 + build.exhaust.pressure_loss * out**2
        self.eta = flow * R_DRY * 298.15 / (self.p3 * swept)
        cp = moist_air(0.0).specific_heat(np.float64(298.15))
        self.vapour = vapour(e, e.stock_fuel, e.stock_mixture, 298.15, cp)
        self.bracket = bracket(e.compression_ratio, self.p4 / self.p3)
        self.swept = swept


def torque_curve(e, rpm):
    at_power = e.stock_power / (e.stock_power_speed * np.pi / 30.0)
    d, span = e.stock_torque - at_power, e.stock_power_speed - e.stock_torque_speed
    k = max(1.0, at_power / e.stock_power_speed * span / d)
    x = (rpm - e.stock_torque_speed) / span
    low = np.maximum(e.stock_torque - d * x**2, 0.75 * e.stock_torque)
    middle = e.stock_torque - d * np.clip(x, 0.0, 1.0) ** k
    high = at_power - at_power / e.stock_power_speed * (rpm - e.stock_power_speed)
    return np.where(x < 0.0, low, np.where(x > 1.0, high, middle))


class Balance:
    """Everything a solved line should satisfy, from its own pressures and temperatures."""

    def __init__(self, build, days, rpm, line):
        e, stock = build.engine, Stock(build, rpm)
        t0 = np.array([d.temperature for d in days])[:, None]
        p0 = [station_pressure(d.altitude) if d.pressure is None else d.pressure for d in days]
        p0 = np.array(p0, dtype=float)[:, None]
        humid = np.array([d.relative_humidity for d in days])[:, None]
        w = humidity_ratio(p0, t0, humid)
        air = moist_air(w)
        self.gas, self.air, self.w = air.gas_constant, air, w
        p3, t3, p4 = (
            line.manifold_pressure_pa,
            line.manifold_temperature_k,
            line.exhaust_pressure_pa,
        )
        eta = stock.eta * bracket(e.compression_ratio, p4 / p3) / stock.bracket
        eta = eta * (t3 / 298.15) ** e.ve_temperature_exponent
        eta = eta * vapour(e, e.fuel, e.mixture, t3, air.specific_heat(t3)) / stock.vapour
        self.eta = eta
        self.engine_flow = eta * p3 / (self.gas * t3) * stock.swept
        ratio, heating_value, *_ = FUELS[e.fuel]
        self.fuel = self.engine_flow / (1.0 + w) / (ratio * e.mixture)
        self.p4 = (
            p0 + build.exhaust.pressure_loss * ((self.engine_flow + self.fuel) / stock.rated) ** 2
        )
        through = self.engine_flow if build.bypass.vent == "recirculated" else line.air_flow_kg_s
        fresh = t0 + build.inlet.temperature_rise
        loss = build.inlet.pressure_loss * (through / stock.rated) ** 2
        self.p1 = p0 - loss * 1.16 * self.gas * fresh / p0
        lost = 0.0
        if build.drive.kind == "belt":
            lost = 1.0 - (1.0 - build.drive.belt_creep) * (1.0 - line.belt_slip)
        aero = (line.drive_power_w * (1.0 - lost)) - build.blower.bearing_loss * (
            line.impeller_speed_rpm / 5e4
        ) ** 1.5
        self.aero = aero * build.blower.gear_efficiency
        self.shaft = line.drive_power_w if build.drive.kind == "belt" else 0.0
        indicated = self.fuel * heating_value * stock.cycle * mixture_factor(e.mixture)
        pumping = ((p3 - p4) - (stock.p3 - stock.p4)) * stock.swept
        self.flywheel = indicated - stock.friction + pumping - self.shaft
        self.rated, self.t0, self.fresh, self.p0 = stock.rated, t0, fresh, p0

    def enthalpy_between(self, cold, hot):
        """Integral of CoolProp's ideal-gas specific heats, eight Gauss points [J/kg]."""

        def cp(t):
            dry, wet = np.interp(t, GRID, DRY), np.interp(t, GRID, WET)
            return (dry + wet * self.w[..., None]) / (1.0 + self.w[..., None])

        x, weight = np.polynomial.legendre.leggauss(8)
        span = (hot - cold)[..., None]
        heat = cp(cold[..., None] + 0.5 * span * (1.0 + x))
        return np.sum(heat * weight, axis=-1) * 0.5 * (hot - cold)


def close(value, expected, relative):
    known = np.isfinite(np.asarray(value))
    assert np.any(known)
    np.testing.assert_allclose(np.asarray(value)[known], np.asarray(expected)[known], relative)


def check(build, days, rpm, line):
    known = np.isfinite(line.air_flow_kg_s)
    if not np.any(known):
        return
    b = Balance(build, days, rpm, line)
    close(line.air_flow_kg_s - line.bypass_flow_kg_s, b.engine_flow, 1e-9)
    close(line.volumetric_efficiency, b.eta, 1e-9)
    close(line.fuel_flow_kg_s, b.fuel, 1e-9)
    close(line.inlet_pressure_pa, b.p1, 1e-9)
    if build.drive.kind == "belt":
        close(line.exhaust_pressure_pa, b.p4, 1e-9)
    scale = np.abs(b.flywheel) + np.abs(b.shaft) + 1e3
    assert np.nanmax(np.abs(line.flywheel_power_w - b.flywheel) / scale) < 1e-8
    close(line.flywheel_torque_nm * rpm * np.pi / 30.0, line.flywheel_power_w, 1e-12)
    d = build.driveline
    wheel = line.flywheel_power_w * (1.0 - d.loss) - d.constant_loss
    np.testing.assert_allclose(line.wheel_power_w[known], wheel[known], rtol=1e-12)
    rise = b.enthalpy_between(line.inlet_temperature_k, line.discharge_temperature_k)
    far = known & (line.pressure_ratio > 1.02)
    work = line.air_flow_kg_s * rise
    np.testing.assert_allclose(work[far], b.aero[far], rtol=1e-4)
    close(line.discharge_pressure_pa, line.pressure_ratio * line.inlet_pressure_pa, 1e-12)
    check_cooler(build, line, b, far)
    check_corrected(build, line, b)


def check_corrected(build, line, b):
    """Flow by W sqrt(R T/g)/p, speed by N/sqrt(g R T), on the map's own reference state."""
    cmap, t1 = build.blower.compressor_map, line.inlet_temperature_k
    t_ref = cmap.reference_temperature
    cp_ref = float(moist_air(0.0).specific_heat(np.float64(t_ref)))
    g_ref, cp = cp_ref / (cp_ref - R_DRY), b.air.specific_heat(t1)
    g = cp / (cp - b.gas)
    flow = line.air_flow_kg_s * np.sqrt(b.gas * t1 / g / (R_DRY * t_ref / g_ref))
    flow = flow / line.inlet_pressure_pa * cmap.reference_pressure
    close(line.corrected_flow_kg_s, flow, 1e-9)
    speed = line.impeller_speed_rpm / np.sqrt(g * b.gas * t1 / (g_ref * R_DRY * t_ref))
    known = np.isfinite(line.air_flow_kg_s)
    np.testing.assert_allclose(line.corrected_speed_rpm[known], speed[known], 1e-9)


def check_cooler(build, line, b, far):
    hot, cold = line.discharge_temperature_k, line.manifold_temperature_k
    if build.cooler.kind == "none":
        close(cold, hot, 1e-15)
        close(line.manifold_pressure_pa, line.discharge_pressure_pa, 1e-15)
        return
    coolant = b.t0 + {"air": 5.0, "liquid": 12.0}[build.cooler.kind]
    c = build.cooler.capacity_ratio
    units = transfer_units(build.cooler.effectiveness, c)
    eps = effectiveness(units * (line.air_flow_kg_s / b.rated) ** -0.4, c)
    close(cold, hot - eps * (hot - coolant), 1e-9)
    # heat out of the charge by cp(T) against effectiveness on the mean specific heat
    heat = line.air_flow_kg_s * b.enthalpy_between(cold, hot)
    mean = np.asarray(b.air.specific_heat(0.5 * (hot + cold)))
    expected = eps * line.air_flow_kg_s * mean * (hot - coolant)
    np.testing.assert_allclose(heat[far], expected[far], rtol=1e-3)
    density = line.discharge_pressure_pa / (b.gas * hot)
    loss = build.cooler.pressure_loss * (line.air_flow_kg_s / b.rated) ** 2 * 1.60 / density
    close(line.manifold_pressure_pa, line.discharge_pressure_pa - loss, 1e-9)


def effectiveness(units, c):
    """Incropera & DeWitt, table 11.3: cross-flow, both unmixed."""
    return 1.0 - np.exp(units**0.22 / c * (np.exp(-c * units**0.78) - 1.0))


def transfer_units(wanted, c):
    low, high = 1e-4, 1e4
    for _ in range(200):
        middle = np.sqrt(low * high)
        low, high = (middle, high) if effectiveness(middle, c) < wanted else (low, middle)
    return middle


fuels = st.sampled_from(sorted(FUELS))


@st.composite
def engines(draw):
    """Values of the engine that could be one: mean effective pressure, not torque, is drawn."""
    litres = draw(st.floats(1.2, 6.5))
    torque = draw(st.floats(8.5e5, 12.0e5)) * litres * 1e-3 / (4.0 * np.pi)
    torque_speed = draw(st.floats(2200.0, 5000.0))
    power_speed = torque_speed * draw(st.floats(1.15, 1.7))
    # between the least that torque asks and the most that the torque curve allows
    share = draw(st.floats(0.1, 0.9))
    least, most = torque * torque_speed, torque * power_speed
    power = (least + share * (most - least)) * np.pi / 30.0
    return {
        "engine.displacement": litres * 1e-3,
        "engine.cylinders": draw(st.sampled_from([3, 4, 5, 6, 8])),
        "engine.compression_ratio": draw(st.floats(8.0, 12.5)),
        "engine.limiter": power_speed * 1.08,
        "engine.stock_torque": torque,
        "engine.stock_torque_speed": torque_speed,
        "engine.stock_power": power,
        "engine.stock_power_speed": power_speed,
        "engine.stock_fuel": draw(fuels),
        "engine.stock_mixture": draw(st.floats(0.80, 0.99)),
        "engine.injection": draw(st.sampled_from(["port", "direct"])),
        "engine.friction_scale": draw(st.floats(0.6, 1.1)),
        "engine.indicated_constant": draw(st.floats(0.74, 0.86)),
        "engine.ve_temperature_exponent": draw(st.sampled_from([0.5, 0.3, 0.7])),
        "inlet.pressure_loss": draw(st.floats(0.0, 6e3)),
        "exhaust.pressure_loss": draw(st.floats(0.0, 4e4)),
        "driveline.loss": draw(st.floats(0.05, 0.3)),
        "driveline.constant_loss": draw(st.floats(0.0, 5e3)),
    }


weather = st.builds(
    Day,
    st.floats(-200.0, 3000.0),
    st.floats(258.0, 316.0),
    st.floats(0.0, 1.0),
    name=st.just("drawn"),
)
