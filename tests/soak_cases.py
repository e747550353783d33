"""Heat soak cases: a sample build with a liquid cooler, and its loop integrated by scipy.

The physics is written out here: exchangers by the ht library's effectiveness, the match read from
its own table between other coolant temperatures and speeds than the study takes.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from CoolProp.HumidAirProp import HAPropsSI
from ht.hx import NTU_from_effectiveness, effectiveness_from_NTU
from scipy.integrate import solve_ivp

from app.paths import sample_builds
from engine_model.files.build_file import load_build
from engine_model.inputs import Day
from engine_model.matching import match_many
from engine_model.problem import surface_of

DRY = Day(0.0, 303.15, 0.0, name="dry")
RATED = 0.40
KIND = "crossflow approximate"


@cache
def build():
    """A V8 with a liquid cooler; its losses are stated at a flow of our own."""
    return load_build(sample_builds()["tow-eight"]).with_value("engine.rated_flow", RATED)


@cache
def surface():
    """Its compressor map, fitted."""
    return surface_of(build(), None)


def soaked(**inputs):
    """The build with other figures of its cooler."""
    return build().with_values({f"cooler.{name}": value for name, value in inputs.items()})


def heat_of_air(temperature):
    """Specific heat of dry air [J/(kg K)] (CoolProp)."""
    return HAPropsSI("C", "T", float(temperature), "P", 101325.0, "W", 0.0)


def between(conductance, a, b):
    """Heat per kelvin between the inlets of a cross-flow exchanger [W/K]."""
    least, most = min(a, b), max(a, b)
    return least * effectiveness_from_NTU(conductance / least, least / most, KIND)


class Written:
    """Loop and match of a build on the dry day, written out."""

    def __init__(self, one, coolant_heat):
        c = one.cooler
        self.cooler, self.ambient = c, DRY.temperature
        self.pump = c.pump_flow * coolant_heat
        charge = RATED * heat_of_air(330.0)
        units = NTU_from_effectiveness(c.effectiveness, c.capacity_ratio, KIND)
        self.core_ua = units * charge
        air = c.front_rated_flow * heat_of_air(self.ambient)
        least, most = min(air, self.pump), max(air, self.pump)
        front = NTU_from_effectiveness(c.front_effectiveness, least / most, KIND)
        self.front_ua = front * least
        self.water = c.reservoir_volume * coolant_heat
        self.metal = c.core_mass * 903.0
        self.bay = c.bay_heat / c.bay_rise
        self.density = 101325.0 / (287.05 * self.ambient)
        self.speeds = np.linspace(1500.0, one.engine.limiter, 45)
        lines = [
            match_many(
                one.with_value("cooler.coolant_rise", float(rise)),
                [DRY],
                self.speeds,
                surface=surface(),
            ).part(0)
            for rise in np.linspace(0.0, 60.0, 13)
        ]
        self.manifold = np.stack([line.manifold_temperature_k for line in lines])
        self.flow = np.stack([line.air_flow_kg_s for line in lines])
        self.inlet = np.stack([line.discharge_temperature_k for line in lines])

    def column(self, values, speed):
        return np.array([np.interp(speed, self.speeds, row) for row in values])

    def charge(self, speed, core):
        """Outlet [K], flow times heat [W/K] and contact of the charge at a core temperature."""
        nodes, flows, inlets = (
            self.column(v, speed) for v in (self.manifold, self.flow, self.inlet)
        )
        outlet = core
        for _ in range(8):
            flow = np.interp(outlet, nodes, flows)
            inlet = np.interp(outlet, nodes, inlets)
            capacity = flow * heat_of_air(inlet)
            gas = self.core_ua / 0.8 * (flow / RATED) ** 0.6
            contact = 1.0 - np.exp(-gas / capacity)
            outlet = inlet - contact * (inlet - core)
        liquid = self.core_ua / 0.2
        whole = between(gas * liquid / (gas + liquid), capacity, self.pump)
        passing = 1.0 / (1.0 / whole - 1.0 / (contact * capacity))
        return outlet, contact * capacity * (inlet - core), passing

    def front(self, road_speed):
        c = self.cooler
        air = max(0.2 * road_speed * c.front_area * self.density, c.fan_flow)
        if air == 0.0:
            return 0.0
        ua = self.front_ua * (air / c.front_rated_flow) ** 0.6
        return between(ua, air * heat_of_air(self.ambient), self.pump)

    def slopes(self, core, water, brought, passing, front):
        passed = passing * (core - water)
        hot = water + passed / self.pump
        bay = self.bay * (self.ambient + self.cooler.bay_rise - water)
        away = front * (hot - self.ambient)
        return [(brought - passed) / self.metal, (passed - away + bay) / self.water]

    def run(self):
        """Coolant and core at the ends of every pull, and the outlet there [K]."""
        c = self.cooler
        state = [self.ambient + c.start_rise] * 2
        driven, waited = self.front(c.pull_road_speed), self.front(c.pause_road_speed)
        still = self.pump * (1.0 - np.exp(-self.core_ua / 0.2 / self.pump))
        first, last = self.speeds[0], self.speeds[-1]
        found = []

        def pull(t, x):
            speed = first + (last - first) * t / c.pull_time
            _, brought, passing = self.charge(speed, x[0])
            return self.slopes(*x, brought, passing, driven)

        def pause(_, x):
            return self.slopes(*x, 0.0, still, waited)

        for number in range(c.pulls):
            if number:
                state = _ended(pause, c.pause_time, state)
            begun = state
            state = _ended(pull, c.pull_time, state)
            found.append((begun, state, self.charge(last, state[0])[0]))
        return found


def _ended(slope, seconds, start):
    return solve_ivp(slope, (0.0, seconds), start, rtol=1e-7, atol=1e-6, method="LSODA").y[:, -1]
