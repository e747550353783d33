"""Choke on a build: speed added with the throttle open, until the flow stands still."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.choke import InducerMach, LineLosses, inducer_mach, line_losses
from engine_model.compressor.surface import PAST_CHOKE, Surface
from engine_model.drive.ratio import impeller_speed, pitch_ratio
from engine_model.errors import InputError
from engine_model.inputs import Build, Day, Scene, Variation
from engine_model.matching import match_many
from engine_model.problem import surface_of
from engine_model.results import OperatingLine
from engine_model.studies.surge_run import with_knobs

Floats = NDArray[np.float64]

FACTORS = (0.7, 1.7)
"""Impeller speeds looked at, over the present one [-]; chosen here."""

STEPS = 41

STANDS_STILL = 0.25
"""Growth of flow over growth of speed, below which the flow stands still [-]; chosen here."""


@dataclass(frozen=True, slots=True, eq=False)
class ChokeScene:
    """Speed added at one engine speed; arrays by rising impeller speed.

    Parameters
    ----------
    scene : Scene
        The scene.
    build : Build
        The build with its knobs.
    day : Day
        The day.
    engine_speed : float
        Engine speed. [rpm]
    factor : ndarray
        Impeller speed over the build's own. [-]
    line : OperatingLine
        The matches, without belt slip.
    choke_share : ndarray
        Corrected flow over the line's choke flow. [-]
    flow_per_speed : ndarray
        Growth of air flow over growth of impeller speed, both relative. [-]
    wall : int or None
        First place at the wall: the flow stands still, the point lies past choke, or less than
        the build's bound of the choke margin is left.
    losses : LineLosses
        Along the speed line of that place, else of the fastest solved.
    mach : InducerMach or None
        At the inducer there, where the map tells its diameter.
    """

    scene: Scene
    build: Build
    day: Day
    engine_speed: float
    factor: Floats
    line: OperatingLine
    choke_share: Floats
    flow_per_speed: Floats
    wall: int | None
    losses: LineLosses
    mach: InducerMach | None


def _pulleys(build: Build, factor: Floats) -> Floats:
    """Blower pulleys that turn the impeller faster by factors; outside diameters [m]."""
    offset = 2.0 * build.drive.pitch_line
    return np.asarray((build.drive.blower_pulley_diameter + offset) / factor - offset)


def run_choke(
    build: Build, day: Day, scene: Scene, *, surface: Surface | None = None
) -> ChokeScene:
    """Choke scene of a belt-driven build.

    Parameters
    ----------
    build : Build
        The build.
    day : Day
        The day.
    scene : Scene
        The scene, of kind ``choke``.
    surface : Surface, optional
        The fitted compressor map.

    Returns
    -------
    ChokeScene
        Speed added by smaller blower pulleys, and the speed line where the flow stands still.

    Raises
    ------
    InputError
        For a build without a belt, or without a match at that engine speed.

    References
    ----------
    The match at every speed; :func:`engine_model.compressor.choke.line_losses`.
    """
    changed = with_knobs(build, scene)
    if scene.kind != "choke":
        raise InputError("scene.kind", scene.kind, "choke")
    if changed.drive.kind != "belt":
        allowed = "belt: speed is added by smaller blower pulleys"
        raise InputError("drive.kind", changed.drive.kind, allowed)
    fitted = surface_of(changed, surface)
    if fitted is None:
        raise InputError("blower.compressor_map", None, "a compressor map")
    speed = changed.surge.engine_speed
    if speed is None:
        speed = changed.engine.limiter
    factor = np.linspace(*FACTORS, STEPS)
    pulley = _pulleys(changed, factor)
    factor, pulley = factor[pulley > 0.0], pulley[pulley > 0.0]
    variation = Variation(
        blower_pulley_diameter=pulley[:, None, None], slip=np.zeros((pulley.size, 1, 1))
    )
    line = match_many(changed, [day], [speed], variation, surface=fitted).part((slice(None), 0, 0))
    flow, turns = line.air_flow_kg_s, _turns(changed, speed, pulley)
    with np.errstate(invalid="ignore"):
        growth = np.gradient(np.log(flow), np.log(turns))
        share = line.corrected_flow_kg_s / fitted.choke_flow(line.corrected_speed_rpm)
    still = (growth < STANDS_STILL) | (line.region_index == PAST_CHOKE)
    still = still | (line.choke_margin < changed.bounds.choke_margin)
    found = np.flatnonzero(still)
    solved = np.flatnonzero(np.isfinite(flow))
    if not solved.size:
        allowed = "an engine speed at which the build has a match"
        raise InputError("surge.engine_speed", speed, allowed)
    at = int(solved[-1])
    if found.size and np.isfinite(flow[found[0]]):
        at = int(found[0])
    mach = None
    cmap = fitted.compressor_map
    if cmap.inducer_diameter is not None:
        mach = inducer_mach(
            float(flow[at]),
            float(line.inlet_pressure_pa[at]),
            float(line.inlet_temperature_k[at]),
            float(turns[at]),
            cmap.inducer_diameter,
            changed.surge.inducer_hub_ratio,
        )
    losses = line_losses(fitted, float(line.corrected_speed_rpm[at]))
    first = int(found[0]) if found.size else None
    return ChokeScene(scene, changed, day, speed, factor, line, share, growth, first, losses, mach)


def _turns(build: Build, engine_speed: float, pulley: Floats) -> Floats:
    drive = build.drive
    ratio = pitch_ratio(drive.crank_pulley_diameter, pulley, drive.pitch_line)
    lost = drive.belt_creep
    return np.asarray(impeller_speed(engine_speed, ratio, build.blower.gear_ratio, lost))


def choke_growth(found: ChokeScene, faster: float = 0.1) -> float:
    """Growth of the flow at choke for more impeller speed than the build's own [-].

    Parameters
    ----------
    found : ChokeScene
        The scene.
    faster : float
        Speed added over the build's own. [-]

    Returns
    -------
    float
        Relative growth of the choke flow; nan where a match is missing on the way.

    References
    ----------
    None: read along the scene's speeds.
    """
    choke = found.line.air_flow_kg_s / found.choke_share
    now, then = np.interp((1.0, 1.0 + faster), found.factor, choke)
    return float(then / now - 1.0)


def boost_for_flow(losses: LineLosses) -> float:
    """Pressure ratio given up for the last tenth of a speed line's flow [-].

    Parameters
    ----------
    losses : LineLosses
        The line.

    Returns
    -------
    float
        Ratio at nine tenths of the choke flow less that at choke; nan where surge lies nearer.

    References
    ----------
    None: read along the line.
    """
    line = losses.place <= 1.0 + 1e-9
    flow, ratio = losses.corrected_flow[line], losses.pressure_ratio[line]
    asked = 0.9 * flow[-1]
    if asked < flow[0]:
        return math.nan
    return float(np.interp(asked, flow, ratio) - ratio[-1])
