"""The chain from filter to cylinders for one point, in plain floats.

What a loop over points would be: the oracle of the elementwise solver, and the other runner in
the benchmarks. It shares the fitted tables and the polynomial of cp(T), nothing else.
"""

from __future__ import annotations

import math

import numpy as np
from scipy.optimize import brentq

from engine_model.air.gas import moist_air
from engine_model.compressor.surface import S_NODES, S_PER_UNIT
from engine_model.inputs import Build, Day
from engine_model.solvers.chain import Chain
from engine_model.unpack import (
    BlockInputs,
    air_of,
    block_air,
    breathing_of,
    inlet_temperature,
    log_units_at_unit_flow,
    make_points,
    plan_of,
    stock_points,
    swallowing_of,
)


def chain_of(build: Build, day: Day, rpm, surface) -> Chain:
    """The model's own chain over engine speeds of a belt-driven build on one day."""
    plan = plan_of(build, np.asarray(rpm, dtype=float))
    air = block_air(air_of([day]), np.array([0]))
    d = build.drive
    pitch = (d.crank_pulley_diameter + 2.0 * d.pitch_line) / (
        d.blower_pulley_diameter + 2.0 * d.pitch_line
    )
    one = np.ones(1)
    inputs = BlockInputs(
        plan.engine_speed * pitch * build.blower.gear_ratio * (1.0 - d.belt_creep),
        swallowing_of(plan),
        0.0 * one,
        one,
        np.inf * one,
        log_units_at_unit_flow(plan, np.array([build.cooler.effectiveness])),
        np.array([build.cooler.pressure_loss]),
        np.nan * one,
        np.array([build.driveline.loss]),
        stock_points(plan, np.arange(plan.engine_speed.size)),
    )
    points = make_points(plan, surface, air, inputs, inlet_temperature(plan, air))
    return Chain(surface, breathing_of(plan), points, build.cooler.kind != "none")


class ScalarPoint:
    """One point of a chain as floats; ``root`` is its place by Brent's method."""

    def __init__(self, chain: Chain, build: Build, day: Day, index: int) -> None:
        p, e, s = chain.points, chain.breathing, chain.surface

        def at(array):
            return float(array[index] if array.size > 1 else array[0])

        self.tables = [
            t.tolist() for t in (s.flow_table, s.ratio_table, s.efficiency_table)
        ]  # lists: a scalar out of an array is slow
        self.row, self.share = int(at(p.speed_row)), at(p.speed_share)
        self.speed, self.p0 = at(p.corrected_speed), at(p.ambient_pressure)
        self.inlet_factor, self.per_pressure = at(p.inlet_factor), at(p.flow_factor)
        self.t1 = day.temperature + build.inlet.temperature_rise
        w = float(air_of([day]).humidity[0])
        gas = moist_air(w)
        self.gas = float(gas.gas_constant)
        self.cp_terms = [float(c) for c in gas.heat_terms]
        self.cooled = chain.has_cooler
        self.coolant, self.log_units = at(p.coolant_temperature), at(p.log_transfer_units)
        self.capacity_ratio, self.cooler_factor = at(p.capacity_ratio), at(p.cooler_factor)
        self.fuel_share, self.engine_factor = at(p.fuel_share), at(p.engine_factor)
        self.exhaust, self.b0, self.b1 = e.exhaust_factor, e.bracket_intake, e.bracket_exhaust
        self.exponent, self.heat, self.moles = (
            e.temperature_exponent,
            e.vapour_heat,
            e.vapour_moles,
        )
        self.weak = float(s.surge_pressure_ratio(self.speed)) < build.bounds.surge_judged_above

    def cp(self, t: float) -> float:
        x, total = t / 1000.0, 0.0
        for c in reversed(self.cp_terms):
            total = total * x + c
        return total

    def heat_between(self, a: float, b: float) -> float:
        x, y, total = a / 1000.0, b / 1000.0, 0.0
        for k, c in enumerate(self.cp_terms):
            total += c / (k + 1) * (y ** (k + 1) - x ** (k + 1))
        return 1000.0 * total

    def entropy_between(self, a: float, b: float) -> float:
        x, y = a / 1000.0, b / 1000.0
        total = self.cp_terms[0] * math.log(b / a)
        for k, c in enumerate(self.cp_terms[1:], start=1):
            total += c / k * (y**k - x**k)
        return total

    def march(self, s: float) -> tuple[float, float]:
        """Compressor flow and engine flow at a place s [kg/s]."""
        position = (s + 2.0) * S_PER_UNIT
        column = min(int(position), S_NODES - 2)
        t, a = position - column, self.row * S_NODES + column
        flow, log_ratio, eta = (
            (1.0 - self.share) * ((1.0 - t) * x[a] + t * x[a + 1])
            + self.share * ((1.0 - t) * x[a + S_NODES] + t * x[a + S_NODES + 1])
            for x in self.tables
        )
        flow, log_ratio = flow * self.speed, log_ratio * self.speed**2
        k = flow * self.per_pressure
        p1 = 2.0 * self.p0 / (1.0 + math.sqrt(1.0 + 4.0 * k * k * self.inlet_factor * self.p0))
        w, p2 = k * p1, p1 * math.exp(log_ratio)
        t2s = self.t1 * math.exp(self.gas * log_ratio / self.cp(self.t1))
        for _ in range(3):
            error = self.entropy_between(self.t1, t2s) - self.gas * log_ratio
            t2s -= error * t2s / self.cp(t2s)
        rise = self.heat_between(self.t1, t2s) / eta
        t2 = self.t1 + rise / self.cp(self.t1)
        for _ in range(4):
            t2 -= (self.heat_between(self.t1, t2) - rise) / self.cp(t2)
        t3, p3 = t2, p2
        if self.cooled:
            units = math.exp(self.log_units) * max(w, 1e-9) ** -0.4
            c = self.capacity_ratio
            eps = 1.0 - math.exp(units**0.22 / c * (math.exp(-c * units**0.78) - 1.0))
            t3 = t2 - eps * (t2 - self.coolant)
            p3 = p2 - self.cooler_factor * w * w * self.gas * t2 / p2
        p4 = self.p0 + self.exhaust * (w * (1.0 + self.fuel_share)) ** 2
        chill = self.heat / self.cp(t3)
        vapour = math.sqrt(t3 / (t3 - chill)) / (1.0 + self.moles)
        taken = self.engine_factor * (self.b0 * p3 - self.b1 * p4) * t3 ** (self.exponent - 1.0)
        return w, taken * vapour

    def imbalance(self, s: float) -> float:
        w, taken = self.march(s)
        return w - taken

    def root(self) -> float:
        """Place on the line, nan where there is none, by road: first sign change from surge."""
        at_surge = self.imbalance(0.0)
        if at_surge > 0.0:
            low, high = (-2.0 if self.weak else -1.0), 0.0
        else:
            low, high = 0.0, 1.0
            if self.imbalance(1.0) < 0.0:
                low, high = 1.0, 2.0
        if self.imbalance(low) > 0.0 or self.imbalance(high) < 0.0:
            return math.nan
        return float(brentq(self.imbalance, low, high, xtol=1e-14, rtol=1e-14))
