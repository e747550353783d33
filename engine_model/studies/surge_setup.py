"""A build on a day as what surges: the same chain as the match, from reverse flow to choke."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.surface import Surface
from engine_model.compressor.surge_characteristic import Curve
from engine_model.compressor.surge_limits import Rig
from engine_model.compressor.surge_plant import (
    BypassValve,
    EngineIntake,
    SurgePlant,
)
from engine_model.errors import InputError
from engine_model.inputs import Build, Day, Variation
from engine_model.matching import match_many
from engine_model.problem import surface_of
from engine_model.results import OperatingLine
from engine_model.studies.surge_line import chain_at, impeller_of, line_at, radius_share
from engine_model.surge_rows import OUTLET_SHARE, THROTTLE_PER_ROOT_LITRE
from engine_model.unpack import plan_of

Floats = NDArray[np.float64]

CHARGE_GAMMA = 1.4
"""Ratio of specific heats of the charge at throttle and in the volumes [-], as in the match."""

ROW_SPACING = 0.03
"""Largest spacing of engine speeds between rows, where the engine speed falls [-]."""


@dataclass(frozen=True, slots=True, eq=False)
class SurgeSetup:
    """A build made ready to surge.

    Parameters
    ----------
    build : Build
        The build, any boost cap taken off.
    day : Day
        The day.
    plant : SurgePlant
        Its plant.
    engine_speed : float
        Engine speed of the beginning. [rpm]
    open_area, shut_area : float
        Effective throttle areas. [m2]
    tip_speed : float
        Of the impeller at the beginning. [m/s]
    corrected_speed : float
        Corrected impeller speed at the beginning. [rpm]
    zero_flow_ratio : float
        Pressure ratio without flow there. [-]
    ratio : Curve
        Pressure ratio over corrected flow there.
    to_corrected : float
        Corrected over actual flow at ambient pressure. [-]
    line : OperatingLine
        The match at the beginning, throttle open.
    assumed : tuple of str
        What had to be assumed, as codes: ``inducer_diameter``, ``duct_area``, ``boost_cap``,
        ``free_shaft``.
    exducer_diameter, inlet_radius_diameter : float
        Impeller outlet, and twice the radius that counts at its inlet. [m]
    surge_ratio : float
        Pressure ratio of the line at surge. [-]
    """

    build: Build
    day: Day
    plant: SurgePlant
    engine_speed: float
    open_area: float
    shut_area: float
    tip_speed: float
    corrected_speed: float
    zero_flow_ratio: float
    ratio: Curve
    to_corrected: float
    line: OperatingLine
    assumed: tuple[str, ...]
    exducer_diameter: float
    inlet_radius_diameter: float
    surge_ratio: float

    @property
    def is_weak(self) -> bool:
        """Whether the line is too weak at surge to be judged, as the ledger has it."""
        return self.surge_ratio < self.build.bounds.surge_judged_above


def throttle_areas(build: Build) -> tuple[float, float]:
    """Effective areas of a build's throttle, open and shut.

    Parameters
    ----------
    build : Build
        The build.

    Returns
    -------
    tuple of float
        Areas. [m2]
    """
    surge = build.surge
    diameter = surge.throttle_diameter
    if diameter is None:
        diameter = THROTTLE_PER_ROOT_LITRE * math.sqrt(build.engine.displacement * 1e3)
    opened = surge.discharge_coefficient * math.pi / 4.0 * diameter * diameter
    return opened, opened * surge.throttle_leak


def valve_of(build: Build) -> BypassValve:
    """Bypass valve of a build; of no bore where it names none."""
    s = build.surge
    return BypassValve(
        0.0 if s.valve_diameter is None else s.valve_diameter,
        s.discharge_coefficient,
        s.valve_opening_pressure,
        s.valve_lag,
        build.bypass.vent == "recirculated",
        s.valve_feels == "manifold",
    )


def _engine_speeds(build: Build, begin: float, end: float) -> list[float]:
    if end >= begin:
        return [begin]
    count = max(2, math.ceil(math.log(begin / end) / math.log1p(ROW_SPACING)) + 1)
    return [float(one) for one in np.geomspace(end, begin, count)]


def surge_setup(
    build: Build,
    day: Day,
    engine_speed: float | None = None,
    *,
    last_engine_speed: float | None = None,
    surface: Surface | None = None,
) -> SurgeSetup:
    """Build on a day made ready to surge.

    Parameters
    ----------
    build : Build
        The build.
    day : Day
        The day.
    engine_speed : float, optional
        Engine speed of the beginning; the build's own for scenes unless given. [rpm]
    last_engine_speed : float, optional
        Lower engine speed that it falls to. [rpm]
    surface : Surface, optional
        The fitted compressor map.

    Returns
    -------
    SurgeSetup
        Its plant and what belongs to the beginning.

    Raises
    ------
    InputError
        For a build that has no blower, no impeller diameter, or no match at that engine speed.

    References
    ----------
    The chain of the match; left of surge :mod:`engine_model.compressor.surge_characteristic`.
    """
    impeller = impeller_of(build)
    assumed = [] if impeller.told else ["inducer_diameter"]
    if build.surge.duct_area is None:
        assumed.append("duct_area")
    if build.bypass.boost_cap is not None:
        assumed.append("boost_cap")
        build = replace(build, bypass=replace(build.bypass, boost_cap=None))
    if build.drive.kind == "free_shaft":
        assumed.append("free_shaft")
    fitted = surface_of(build, surface)
    if fitted is None:
        raise InputError("blower.compressor_map", None, "a compressor map")
    begin = engine_speed
    if begin is None:
        begin = build.surge.engine_speed
    if begin is None:
        begin = build.engine.limiter
    opened, shut = throttle_areas(build)
    area = Variation(throttle_area=np.full((1, 1), opened))
    line = match_many(build, [day], [begin], area, surface=fitted).part(0)
    turns, charge = float(line.impeller_speed_rpm[0]), float(line.manifold_temperature_k[0])
    if not (math.isfinite(turns) and math.isfinite(charge)):
        allowed = "an engine speed and a throttle with which the build has a match"
        raise InputError("surge.engine_speed", begin, allowed)
    last = begin if last_engine_speed is None else last_engine_speed
    speeds = _engine_speeds(build, begin, last)
    plan = plan_of(build, np.array(speeds))
    lines = []
    for index, speed in enumerate(speeds):
        imposed = turns * speed / begin
        chain = chain_at(plan, day, fitted, imposed, index)
        lines.append(line_at(build, impeller, (speed, imposed), chain))
    first = lines[-1]
    points, breathing = first.chain.points, first.chain.breathing
    # what filter and cooler take of the compressor's pressure, at the beginning
    added = float(line.discharge_pressure_pa[0] - line.inlet_pressure_pa[0])
    before = first.row.pressure.value(float(line.air_flow_kg_s[0]))
    s = build.surge
    outlet = OUTLET_SHARE * impeller.exducer
    gas = float(np.ravel(points.inlet.air.gas_constant)[0])
    plant = SurgePlant(
        tuple(one.row for one in lines),
        s.duct_length,
        math.pi / 4.0 * outlet * outlet if s.duct_area is None else s.duct_area,
        s.plenum_volume,
        build.engine.displacement if s.manifold_volume is None else s.manifold_volume,
        math.sqrt(CHARGE_GAMMA * gas * charge),
        float(points.ambient_pressure[0]),
        float(np.ravel(points.inlet_factor)[0]),
        EngineIntake(
            breathing.bracket_intake,
            breathing.bracket_exhaust,
            breathing.exhaust_factor * (1.0 + float(np.ravel(points.fuel_share)[0])) ** 2,
            breathing.turbine_factor,
            added - (before - float(points.ambient_pressure[0])),
        ),
        valve_of(build),
        s.characteristic_lag,
        CHARGE_GAMMA,
    )
    return SurgeSetup(
        build,
        day,
        plant,
        begin,
        opened,
        shut,
        turns * math.pi / 60.0 * impeller.exducer,
        float(points.corrected_speed[0]),
        first.at_no_flow,
        first.ratio,
        1.0 / float(points.flow_factor[0]) / float(points.ambient_pressure[0]),
        line,
        tuple(assumed),
        impeller.exducer,
        impeller.inducer * radius_share(build),
        float(fitted.surge_pressure_ratio(float(points.corrected_speed[0]))),
    )


def rig_of(setup: SurgeSetup) -> Rig:
    """Impeller and ducts of a build, to tell its map's small motions for."""
    plant = setup.plant
    return Rig(
        setup.exducer_diameter,
        setup.inlet_radius_diameter,
        plant.duct_length,
        plant.duct_area,
        plant.plenum_volume,
        plant.sound_speed,
    )
