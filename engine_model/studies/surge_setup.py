"""A build on a day as what surges: the same chain as the match, from reverse flow to choke."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from engine_model.compressor.surface import Surface
from engine_model.compressor.surge_characteristic import (
    Curve,
    apart,
    characteristic,
    zero_flow_ratio,
)
from engine_model.compressor.surge_limits import Rig
from engine_model.compressor.surge_plant import (
    BypassValve,
    EngineIntake,
    SpeedRow,
    SurgePlant,
    speed_row,
)
from engine_model.errors import InputError
from engine_model.inputs import Build, Day, Variation
from engine_model.matching import match_many
from engine_model.problem import surface_of
from engine_model.results import OperatingLine
from engine_model.solvers.chain import Chain
from engine_model.surge_rows import INDUCER_SHARE, OUTLET_SHARE, THROTTLE_PER_ROOT_LITRE
from engine_model.unpack import (
    BlockInputs,
    Plan,
    air_of,
    block_air,
    breathing_of,
    inlet_temperature,
    log_units_at_unit_flow,
    make_points,
    plan_of,
    swallowing_of,
)

Floats = NDArray[np.float64]

RADIUS_SHARE = {"none": 0.0, "tip": 1.0}
"""Radius that counts over the inducer's tip [-]; the mean one follows from the hub ratio."""

NODES_RIGHT, NODES_LEFT, NODES_BACK = 129, 24, 17
FURTHEST_BACK = 0.8
"""Reverse flow over surge flow up to which nodes stand [-]; the last piece goes on."""

CHARGE_GAMMA = 1.4
"""Ratio of specific heats of the charge at throttle and in the volumes [-], as in the match."""

ROW_SPACING = 0.03
"""Largest spacing of engine speeds between rows, where the engine speed falls [-]."""

NO_BLOWER = "none: a build without a blower does not surge"


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


@dataclass(frozen=True, slots=True)
class _Impeller:
    exducer: float
    inducer: float
    told: bool


def _impeller(build: Build) -> _Impeller:
    cmap = build.blower.compressor_map
    if build.drive.kind == "none" or cmap is None:
        raise InputError("drive.kind", NO_BLOWER, "belt or free_shaft, with a compressor map")
    if cmap.exducer_diameter is None:
        allowed = "the impeller's outlet diameter: pressure without flow follows from its tip speed"
        raise InputError("blower.compressor_map.impeller.exducer_diameter", None, allowed)
    inducer = cmap.inducer_diameter
    told = inducer is not None
    return _Impeller(
        cmap.exducer_diameter,
        INDUCER_SHARE * cmap.exducer_diameter if inducer is None else inducer,
        told,
    )


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


def _chain(plan: Plan, day: Day, surface: Surface, impeller: float, index: int) -> Chain:
    """Chain of one engine speed, of one point."""
    build = plan.build
    air = block_air(air_of([day]), np.array([0]))
    cooled = build.cooler.kind != "none"
    units = np.zeros(1)
    if cooled:
        units = log_units_at_unit_flow(plan, np.array([build.cooler.effectiveness]))
    inputs = BlockInputs(
        np.array([impeller]),
        swallowing_of(plan)[index : index + 1],
        np.zeros(1),
        np.ones(1),
        np.array([np.inf]),
        units,
    )
    points = make_points(plan, surface, air, inputs, inlet_temperature(plan, air))
    return Chain(surface, breathing_of(plan), points, cooled)


@dataclass(frozen=True, slots=True, eq=False)
class _Line:
    """A row with what belongs to it."""

    row: SpeedRow
    ratio: Curve
    at_no_flow: float
    chain: Chain


def _radius_share(build: Build) -> float:
    """Inducer radius that counts over its tip's [-]."""
    mean = 0.5 * (1.0 + build.surge.inducer_hub_ratio)
    return RADIUS_SHARE.get(build.surge.zero_flow_radius, mean)


def _zero_flow(build: Build, impeller: _Impeller, speed: float, chain: Chain) -> float:
    share = _radius_share(build)
    inlet = chain.points.inlet
    cp = inlet.air.specific_heat(inlet.temperature)
    g = inlet.air.ratio_of_specific_heats(inlet.temperature)
    turn = speed * math.pi / 60.0
    tip, hub = turn * impeller.exducer, turn * impeller.inducer * share
    return float(zero_flow_ratio(tip, hub, inlet.temperature, cp, g)[0])


def _line(
    build: Build, impeller: _Impeller, speeds: tuple[float, float], chain: Chain
) -> _Line:
    """Curves of one engine and impeller speed [rpm]."""
    p = chain.points
    s = np.linspace(0.0, 2.0, NODES_RIGHT)
    right = chain.at_speed(np.repeat(p.corrected_speed, s.size)).to_manifold(s)
    choke = float(right.corrected_flow[-1])
    corrected = apart(right.corrected_flow, choke)
    flow_right = apart(right.flow, float(np.max(right.flow)))
    at_no_flow = _zero_flow(build, impeller, speeds[1], chain)
    ratio = characteristic(corrected, np.exp(right.log_pressure_ratio), at_no_flow)
    back = np.linspace(-FURTHEST_BACK, 0.0, NODES_BACK)[:-1]
    left = corrected[0] * np.concatenate([back, np.linspace(0.0, 1.0, NODES_LEFT)[:-1]])
    values = ratio.values(left)
    slopes = np.array([ratio.slope(one) for one in left.tolist()])
    # W = a p1 and p1 = p0 - K W|W|, as in the chain, through reverse flow; slopes by the chain rule
    flow, pressure = _left_side(chain, right.discharge_temperature[:1], left, values)
    ahead = _left_side(chain, right.discharge_temperature[:1], left + 1e-6, values + 1e-6 * slopes)
    slope_left = (ahead[1] - pressure) / (ahead[0] - flow)
    pressures = np.concatenate([pressure, right.manifold_pressure])
    slope_right = _pchip_slopes(flow_right, right.manifold_pressure)
    temperature = np.concatenate(
        [np.full(left.size, right.manifold_temperature[0]), right.manifold_temperature]
    )
    swallow = chain.swallowing(temperature)
    row = speed_row(
        speeds,
        (float(flow_right[0]), float(right.flow[NODES_RIGHT // 2])),
        np.concatenate([flow, flow_right]),
        (pressures, np.concatenate([slope_left, slope_right])),
        1.0 / np.sqrt(p.inlet.air.gas_constant * temperature),
        swallow,
    )
    return _Line(row, ratio, at_no_flow, chain)


def _pchip_slopes(flow: Floats, pressure: Floats) -> Floats:
    return np.asarray(PchipInterpolator(flow, pressure).derivative()(flow))


def _left_side(
    chain: Chain, discharge: Floats, corrected: Floats, ratio: Floats
) -> tuple[Floats, Floats]:
    """Flow and pressure after the cooler where no march of the match goes."""
    p = chain.points
    a = corrected * p.flow_factor
    root = np.sqrt(1.0 + 4.0 * p.inlet_factor * p.ambient_pressure * a * np.abs(a))
    inlet = 2.0 * p.ambient_pressure / (1.0 + root)
    flow = a * inlet
    pressure = ratio * inlet
    if chain.has_cooler:
        factor = p.cooler_factor * p.inlet.air.gas_constant * discharge
        pressure = pressure - factor * flow * np.abs(flow) / pressure
    return np.asarray(flow), np.asarray(pressure)


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
    impeller = _impeller(build)
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
        allowed = "an engine speed at which the build has a match with the throttle open"
        raise InputError("surge.engine_speed", begin, allowed)
    last = begin if last_engine_speed is None else last_engine_speed
    speeds = _engine_speeds(build, begin, last)
    plan = plan_of(build, np.array(speeds))
    lines = []
    for index, speed in enumerate(speeds):
        imposed = turns * speed / begin
        chain = _chain(plan, day, fitted, imposed, index)
        lines.append(_line(build, impeller, (speed, imposed), chain))
    first = lines[-1]
    points, breathing = first.chain.points, first.chain.breathing
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
        impeller.inducer * _radius_share(build),
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
