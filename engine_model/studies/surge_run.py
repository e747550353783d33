"""A scene of surge in time, run on a build: lifts, with and without a valve, and slow closing."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from engine_model.compressor.surface import Surface
from engine_model.compressor.surge_cycles import Cycles, count_cycles
from engine_model.compressor.surge_dynamics import SurgeRun, run_in_time, settled_state
from engine_model.compressor.surge_limits import Limit, Rig, map_limits
from engine_model.compressor.surge_plant import Steps
from engine_model.compressor.surge_small_signal import (
    SmallMotion,
    greitzer_b,
    helmholtz_frequency,
    small_motion,
)
from engine_model.errors import InputError
from engine_model.inputs import Build, Day, Scene
from engine_model.problem import surface_of
from engine_model.studies.surge_setup import SurgeSetup, rig_of, surge_setup

QUIET_BEFORE = 0.10
"""Time at rest before anything moves [s]; chosen here."""

CLOSING_CORNERS = 24
"""Straight pieces of a slow closing, by equal shares of the area."""

RADII = ("tip", "mean", "none")
"""Radii that count for the pressure ratio without flow, by rising ratio."""


@dataclass(frozen=True, slots=True, eq=False)
class Onset:
    """Where a slow closing begins to surge.

    Parameters
    ----------
    throttle_share : float
        Throttle area over its open one at the first reversal. [-] nan where there is none
    unstable_share : float
        The same where small motions begin to grow, the throttle closing at rest. [-]
    unstable_flow : float
        Settled flow there. [kg/s]
    traced_flow : float
        Flow on the traced surge line at that speed, at this inlet. [kg/s]
    """

    throttle_share: float
    unstable_share: float
    unstable_flow: float
    traced_flow: float

    @property
    def gap(self) -> float:
        """Flow where it turns unstable less the traced one, over the traced one [-]."""
        return self.unstable_flow / self.traced_flow - 1.0


@dataclass(frozen=True, slots=True, eq=False)
class SceneRun:
    """A scene that was run.

    Parameters
    ----------
    scene : Scene
        The scene.
    setup : SurgeSetup
        The build with the scene's knobs, made ready.
    run : SurgeRun
        In time.
    cycles : Cycles
        Counted.
    greitzer_b, helmholtz_frequency : float
        B on rho U^2/2 [-] and the frequency without a compressor. [Hz]
    beginning : SmallMotion
        Small motions about the beginning.
    limit : Limit
        Of the map's line at the beginning, beside the traced surge line.
    onset : Onset or None
        Of a slow closing.
    """

    scene: Scene
    setup: SurgeSetup
    run: SurgeRun
    cycles: Cycles
    greitzer_b: float
    helmholtz_frequency: float
    beginning: SmallMotion
    limit: Limit
    onset: Onset | None = None


def with_knobs(build: Build, scene: Scene) -> Build:
    """Build with a scene's knobs set.

    Parameters
    ----------
    build : Build
        The build.
    scene : Scene
        The scene.

    Returns
    -------
    Build
        The build; what the knobs set counts as given.
    """
    return build.with_values(dict(scene.knobs)) if scene.knobs else build


def _speed_course(setup: SurgeSetup, duration: float) -> Steps:
    begin, fall = setup.engine_speed, setup.build.surge.speed_fall
    if fall <= 0.0:
        return ((0.0, begin),)
    end = setup.plant.rows[0].engine_speed
    lasts = min((begin - end) / fall, duration - QUIET_BEFORE)
    return ((0.0, begin), (QUIET_BEFORE, begin), (QUIET_BEFORE + lasts, begin - fall * lasts))


def _lift_course(setup: SurgeSetup) -> Steps:
    shut = QUIET_BEFORE + setup.build.surge.lift_time
    return ((0.0, setup.open_area), (QUIET_BEFORE, setup.open_area), (shut, setup.shut_area))


def _closing_course(setup: SurgeSetup) -> Steps:
    times = np.linspace(
        QUIET_BEFORE, QUIET_BEFORE + setup.build.surge.closing_time, CLOSING_CORNERS
    )
    areas = np.geomspace(setup.open_area, setup.shut_area, CLOSING_CORNERS)
    return ((0.0, setup.open_area), *zip(times.tolist(), areas.tolist(), strict=True))


COURSES: dict[str, Callable[[SurgeSetup], Steps]] = {
    "lift": _lift_course,
    "closing": _closing_course,
}
"""Course of the throttle in each kind of scene that runs in time."""


def _first_unstable(setup: SurgeSetup) -> tuple[float, float]:
    """Throttle share and settled flow at which small motions begin to grow; nan where none do."""
    plant, speed = setup.plant, setup.engine_speed

    def growth(area: float) -> tuple[float, float]:
        state = settled_state(plant, area, speed)
        return small_motion(plant, state, area, speed).growth_rate, state[0]

    areas = np.geomspace(setup.open_area, setup.shut_area, CLOSING_CORNERS).tolist()
    last = areas[0]
    for area in areas:
        rate, flow = growth(area)
        if rate > 0.0:
            left, right = area, last
            for _ in range(20):
                middle = math.sqrt(left * right)
                rate, flow = growth(middle)
                left, right = (middle, right) if rate > 0.0 else (left, middle)
            return left / setup.open_area, flow
        last = area
    return math.nan, math.nan


def _onset(setup: SurgeSetup, run: SurgeRun) -> Onset:
    at_reversal = math.nan
    if run.reversals.size:
        area = float(np.interp(run.reversals[0], run.time, run.throttle_area))
        at_reversal = area / setup.open_area
    share, flow = _first_unstable(setup)
    return Onset(at_reversal, share, flow, setup.plant.rows[-1].surge_flow)


def scene_duration(changed: Build, scene: Scene) -> float:
    """Time that a scene takes from its quiet beginning to its end.

    Parameters
    ----------
    changed : Build
        The build with the scene's knobs.
    scene : Scene
        The scene.

    Returns
    -------
    float
        Time. [s]
    """
    surge = changed.surge
    duration = surge.duration + QUIET_BEFORE
    if scene.kind == "closing":
        duration = max(duration, surge.closing_time + 2.0 * QUIET_BEFORE)
    return duration


def run_scene(
    build: Build,
    day: Day,
    scene: Scene,
    *,
    surface: Surface | None = None,
    until: float | None = None,
) -> SceneRun:
    """Scene run on a build.

    Parameters
    ----------
    build : Build
        The build.
    day : Day
        The day.
    scene : Scene
        The scene, of a kind that runs in time.
    surface : Surface, optional
        The fitted compressor map.
    until : float, optional
        Time at which the run is left, its end unless given: the beginning of the same run, for
        what shows it at once. [s] above 0. What is counted is then of that part, without onset.

    Returns
    -------
    SceneRun
        The run with what is counted of it. [SI]

    Raises
    ------
    InputError
        For a scene of another kind, or a build that cannot surge.

    References
    ----------
    Greitzer, ASME J. Eng. Power 98 (1976) 190; the beginning settled as the match has it.
    """
    if scene.kind not in COURSES:
        raise InputError("scene.kind", scene.kind, "one of " + ", ".join(COURSES))
    changed = with_knobs(build, scene)
    surge = changed.surge
    fitted = surface_of(changed, surface)
    duration = scene_duration(changed, scene)
    begin = surge.engine_speed
    if begin is None:
        begin = changed.engine.limiter
    last = max(begin - surge.speed_fall * surge.duration, 0.25 * begin)
    setup = surge_setup(changed, day, begin, last_engine_speed=last, surface=fitted)
    throttle, speed = COURSES[scene.kind](setup), _speed_course(setup, duration)
    start = settled_state(setup.plant, setup.open_area, begin)
    is_whole = until is None or until >= duration
    lasts = duration if until is None else min(until, duration)
    run = run_in_time(setup.plant, throttle, speed, lasts, start)
    plant = setup.plant
    duct = (plant.plenum_volume, plant.duct_area, plant.duct_length)
    if fitted is None:
        raise InputError("blower.compressor_map", None, "a compressor map")
    return SceneRun(
        scene,
        setup,
        run,
        count_cycles(run),
        greitzer_b(setup.tip_speed, plant.sound_speed, *duct),
        helmholtz_frequency(plant.sound_speed, *duct),
        small_motion(plant, start, setup.open_area, begin),
        limits_of(setup, fitted, (setup.corrected_speed,))[0],
        _onset(setup, run) if scene.kind == "closing" and is_whole else None,
    )


def limits_of(
    setup: SurgeSetup, surface: Surface, corrected_speeds: tuple[float, ...] | None = None
) -> tuple[Limit, ...]:
    """Limits for small motions of the map's lines with a build's ducts, throttled to the open.

    Parameters
    ----------
    setup : SurgeSetup
        The build made ready.
    surface : Surface
        Its fitted compressor map.
    corrected_speeds : tuple of float, optional
        The lines; the traced ones unless given. [rpm]

    Returns
    -------
    tuple of Limit
        Beside the traced surge line, with the gap. The ledger keeps the traced line.
    """
    speeds = surface.line_speeds if corrected_speeds is None else np.array(corrected_speeds)
    rig: Rig = rig_of(setup)
    return map_limits(surface, speeds, rig)


def zero_flow_band(found: SceneRun, *, surface: Surface | None = None) -> tuple[SceneRun, ...]:
    """Scene with each radius that authors take for the pressure ratio without flow.

    Parameters
    ----------
    found : SceneRun
        The scene, run with the build's own radius.
    surface : Surface, optional
        The fitted compressor map.

    Returns
    -------
    tuple of SceneRun
        By rising pressure ratio without flow; the scene itself among them.

    References
    ----------
    :func:`engine_model.compressor.surge_characteristic.zero_flow_ratio`.
    """
    build, day = found.setup.build, found.setup.day
    plain = replace(found.scene, knobs=())
    runs = []
    for radius in RADII:
        if radius == build.surge.zero_flow_radius:
            runs.append(found)
            continue
        other = build.with_value("surge.zero_flow_radius", radius)
        runs.append(run_scene(other, day, plain, surface=surface))
    return tuple(runs)
