"""One engine speed of a build as curves over flow, from reverse flow to past choke."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.surface import Surface
from engine_model.compressor.surge_characteristic import (
    Curve,
    apart,
    characteristic,
    slopes_along,
    zero_flow_ratio,
)
from engine_model.compressor.surge_plant import SpeedRow, speed_row
from engine_model.errors import InputError
from engine_model.inputs import Build, Day
from engine_model.solvers.chain import Chain
from engine_model.surge_rows import INDUCER_SHARE
from engine_model.unpack import (
    BlockInputs,
    Plan,
    air_of,
    block_air,
    breathing_of,
    inlet_temperature,
    log_units_at_unit_flow,
    make_points,
    stock_points,
)

Floats = NDArray[np.float64]

RADIUS_SHARE = {"none": 0.0, "tip": 1.0}
"""Radius that counts over the inducer's tip [-]; the mean one follows from the hub ratio."""

NODES_RIGHT, NODES_LEFT, NODES_BACK = 129, 24, 17
FURTHEST_BACK = 0.8
"""Reverse flow over surge flow up to which nodes stand [-]; the last piece goes on."""

NO_BLOWER = "none: a build without a blower does not surge"


@dataclass(frozen=True, slots=True)
class Impeller:
    """Diameters of an impeller.

    Parameters
    ----------
    exducer, inducer : float
        Outlet and inlet tip. [m]
    told : bool
        Whether the map tells the inlet's; else it is assumed.
    """

    exducer: float
    inducer: float
    told: bool


def impeller_of(build: Build) -> Impeller:
    """Impeller of a build, or an :class:`InputError` where surge cannot be worked out."""
    cmap = build.blower.compressor_map
    if build.drive.kind == "none" or cmap is None:
        raise InputError("drive.kind", NO_BLOWER, "belt or free_shaft, with a compressor map")
    if cmap.exducer_diameter is None:
        allowed = "the impeller's outlet diameter: pressure without flow follows from its tip speed"
        raise InputError("blower.compressor_map.impeller.exducer_diameter", None, allowed)
    inducer = cmap.inducer_diameter
    told = inducer is not None
    return Impeller(
        cmap.exducer_diameter,
        INDUCER_SHARE * cmap.exducer_diameter if inducer is None else inducer,
        told,
    )


def chain_at(plan: Plan, day: Day, surface: Surface, impeller: float, index: int) -> Chain:
    """Chain of one engine speed, of one point."""
    build = plan.build
    air = block_air(air_of([day]), np.array([0]))
    cooled = build.cooler.kind != "none"
    units = np.zeros(1)
    if cooled:
        units = log_units_at_unit_flow(plan, np.array([build.cooler.effectiveness]))
    stock = stock_points(plan, np.array([index]), None)
    inputs = BlockInputs(
        np.array([impeller]),
        stock.swallowing,
        np.zeros(1),
        np.ones(1),
        np.array([np.inf]),
        units,
        np.array([build.cooler.pressure_loss]),
        np.array([np.nan]),
        np.array([build.driveline.loss]),
        stock,
    )
    points = make_points(plan, surface, air, inputs, inlet_temperature(plan, air))
    return Chain(surface, breathing_of(plan), points, cooled)


@dataclass(frozen=True, slots=True, eq=False)
class SurgeLine:
    """A row with what belongs to it."""

    row: SpeedRow
    ratio: Curve
    at_no_flow: float
    chain: Chain


def radius_share(build: Build) -> float:
    """Inducer radius that counts over its tip's [-]."""
    mean = 0.5 * (1.0 + build.surge.inducer_hub_ratio)
    return RADIUS_SHARE.get(build.surge.zero_flow_radius, mean)


def _zero_flow(build: Build, impeller: Impeller, speed: float, chain: Chain) -> float:
    share = radius_share(build)
    inlet = chain.points.inlet
    cp = inlet.air.specific_heat(inlet.temperature)
    g = inlet.air.ratio_of_specific_heats(inlet.temperature)
    turn = speed * math.pi / 60.0
    tip, hub = turn * impeller.exducer, turn * impeller.inducer * share
    return float(zero_flow_ratio(tip, hub, inlet.temperature, cp, g)[0])


def line_at(
    build: Build, impeller: Impeller, speeds: tuple[float, float], chain: Chain
) -> SurgeLine:
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
    slope_right = slopes_along(flow_right, right.manifold_pressure)
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
    return SurgeLine(row, ratio, at_no_flow, chain)


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
