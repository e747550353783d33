"""One solved point of a build on a day as plain numbers, for the steps that explain it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from engine_model.air.gas import InletGas, MoistAir, inlet_gas, moist_air
from engine_model.compressor.surface import S_HIGH, S_LOW, S_NODES, Surface
from engine_model.defaults import DEFAULTS
from engine_model.inputs import Build, Day
from engine_model.matching import match_many
from engine_model.problem import surface_of
from engine_model.results import NO_COMPRESSOR, Match, OperatingLine, StepNumber
from engine_model.unpack import Plan, air_of, plan_of

Floats = NDArray[np.float64]

_PRESSURE_WEIGHT = 1e-3
"""Weight of pressure against flow in finding the place on a line [-]."""


@dataclass(frozen=True, slots=True, eq=False)
class Point:
    """A solved point. SI, speeds in rpm, pressures absolute; nan where nothing balances.

    Parameters
    ----------
    build : Build
        The build.
    day : Day
        The day.
    plan : Plan
        The build at this engine speed.
    line : OperatingLine
        The match there, arrays without axes.
    surface : Surface or None
        The fitted compressor map; none where the build has no blower.
    gas : MoistAir
        The day's air.
    humidity : float
        Humidity ratio. [-]
    ambient_pressure, ambient_temperature : float
        Station 0. [Pa], [K]
    place : float
        Place on the speed line. [-]
    """

    build: Build
    day: Day
    plan: Plan
    line: OperatingLine
    surface: Surface | None
    gas: MoistAir
    humidity: float
    ambient_pressure: float
    ambient_temperature: float
    place: float

    def at(self, name: str) -> float:
        """Number of an array of the line."""
        return float(getattr(self.line, name))

    def of_line(self, symbol: str, name: str, kind: str) -> StepNumber:
        """Number of an array of the line, to put into an equation."""
        return StepNumber(symbol, self.at(name), kind)

    def given(self, symbol: str, path: str, kind: str = "", value: Any = None) -> StepNumber:
        """Input of the build to put into an equation, with its assumed mark.

        Parameters
        ----------
        symbol : str
            Its letter.
        path : str
            Path of the input.
        kind : str
            Kind, where it is not the quantity of the input's default.
        value : float, optional
            Value, where the build holds none and it is derived. [SI]
        """
        number = self.build.value(path) if value is None else value
        assumed = path not in self.build.given
        return StepNumber(symbol, float(number), kind or DEFAULTS[path].quantity, assumed)

    @property
    def fuel_assumed(self) -> bool:
        """Whether nobody has said what the engine burns."""
        return "engine.fuel" not in self.build.given and self.build.engine.ethanol_share is None

    @property
    def engine_speed(self) -> StepNumber:
        """The engine speed [rpm]."""
        return self.of_line("N", "engine_speed_rpm", "speed")

    @property
    def rated_flow(self) -> StepNumber:
        """Flow at which losses are stated [kg/s]."""
        return self.given("W_ref", "engine.rated_flow", "mass_flow", self.plan.rated)

    @property
    def gas_constant(self) -> float:
        """Of the day's air [J/(kg K)]."""
        return float(self.gas.gas_constant)

    @property
    def fresh_temperature(self) -> float:
        """Air from the filter [K]."""
        return self.ambient_temperature + self.build.inlet.temperature_rise

    @property
    def inlet_temperature(self) -> float:
        """Station 1; of the fresh air where nothing balances [K]."""
        return self.at("inlet_temperature_k") if self.is_solved else self.fresh_temperature

    @property
    def engine_flow(self) -> float:
        """Air that the engine takes [kg/s]."""
        return self.at("air_flow_kg_s") - self.at("bypass_flow_kg_s")

    @property
    def filter_flow(self) -> float:
        """Air through the filter: the engine's where the bypass recirculates [kg/s]."""
        recirculates = self.build.bypass.vent == "recirculated"
        return self.engine_flow if recirculates else self.at("air_flow_kg_s")

    @property
    def inlet(self) -> InletGas:
        """Gas at station 1, one element."""
        temperature = np.array([self.inlet_temperature])
        return inlet_gas(self.gas.take(np.atleast_1d), temperature)

    @property
    def is_solved(self) -> bool:
        """Whether engine and compressor meet."""
        return not math.isnan(self.at("air_flow_kg_s"))

    @property
    def has_blower(self) -> bool:
        """Whether there is a compressor at work."""
        return self.surface is not None

    @property
    def is_free_shaft(self) -> bool:
        """Whether the compressor is a turbocharger's."""
        return self.has_blower and self.build.drive.kind == "free_shaft"

    @property
    def has_cooler(self) -> bool:
        """Whether there is a charge cooler at work."""
        return self.has_blower and self.build.cooler.kind != "none"

    @property
    def bypass_open(self) -> bool:
        """Whether the bypass passes air."""
        return self.at("bypass_flow_kg_s") > 0.0

    def of_speed_line(self, read: Callable[[float], Floats]) -> float:
        """Number that the surface gives for the corrected speed; nan where that is unknown."""
        speed = self.at("corrected_speed_rpm")
        return float("nan") if math.isnan(speed) else float(read(speed))

    def specific_heat(self, temperature: float) -> float:
        """Isobaric specific heat of the day's air [J/(kg K)] at a temperature [K]."""
        return float(self.gas.specific_heat(np.array(temperature)))


def _place(surface: Surface | None, line: OperatingLine) -> float:
    """Place s of a solved point on its speed line, from its flow and pressure ratio.

    Along a line the flow rises until choke, from where the head falls: the flow less a little
    of ln PR rises all the way, and is straight between the nodes of the surface.
    """
    flow, ratio = float(line.corrected_flow_kg_s), float(line.pressure_ratio)
    if surface is None or math.isnan(flow):
        return float("nan")
    nodes = np.linspace(S_LOW, S_HIGH, S_NODES)
    flows, ratios, _ = surface.line(float(line.corrected_speed_rpm), nodes)
    rising = flows / flows[-1] - _PRESSURE_WEIGHT * np.log(ratios)
    here = flow / flows[-1] - _PRESSURE_WEIGHT * np.log(ratio)
    return float(np.interp(here, rising, nodes))


def point_of(match: Match, engine_speed: float, surface: Surface | None) -> Point:
    """Solve the build of a match on its day at exactly one engine speed.

    Parameters
    ----------
    match : Match
        The match.
    engine_speed : float
        Engine speed. [rpm]
    surface : Surface or None
        The fitted compressor map, where the caller has it.

    Returns
    -------
    Point
        The point, solved or not. SI
    """
    build, day = match.build, match.day
    fitted = surface_of(build, surface)
    whole = match_many(build, [day], [engine_speed], surface=fitted)
    line = whole.part((0, 0, ...))
    air = air_of([day])
    humidity = float(air.humidity[0])
    if int(line.region_index) == NO_COMPRESSOR:
        fitted = None
    return Point(
        build,
        day,
        plan_of(build, np.array([float(engine_speed)])),
        line,
        fitted,
        moist_air(humidity),
        humidity,
        float(air.pressure[0]),
        float(air.temperature[0]),
        _place(fitted, line),
    )
