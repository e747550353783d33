"""Scenes run and valves sized in threads; the last one asked for counts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from PySide6.QtCore import QObject, Signal

from app.fields import Units
from app.gui.latest_work import LatestWork, Tell
from app.present.series_axes import MapAxes
from app.present.series_surge import LoadLines, SurgeSeries, load_series, surge_series
from engine_model.compressor.surface import Surface
from engine_model.compressor.surge_limits import Limit
from engine_model.errors import InputError
from engine_model.inputs import Build, Day, Scene
from engine_model.studies.bypass_sizing import ValveCurve, bypass_sizing
from engine_model.studies.choke_page import run_choke
from engine_model.studies.surge_run import (
    SceneRun,
    limits_of,
    run_scene,
    scene_duration,
    with_knobs,
    zero_flow_band,
)

FIRST_PART_S = 0.35
"""What is run and shown before the whole [s]: it is there at once."""

TWIN_VALVE = 0.040
"""Valve that a lift without one is told beside [m]; chosen here."""

VALVE_SPEEDS = 13
"""Engine speeds of the curve of valves."""

LEAST_SHARE = 0.4
"""Lowest of them over the limiter [-]."""


@dataclass(frozen=True, slots=True, eq=False)
class Shown:
    """A scene run, with its series."""

    found: SceneRun
    limits: tuple[Limit, ...]
    duration: float
    series: SurgeSeries
    loads: LoadLines


@dataclass(frozen=True, slots=True, eq=False)
class SceneRequest:
    """A scene asked of a build on a day, and how it is to be shown.

    ``before`` is the run shown so far: its load lines and limits stand until the whole run brings
    new ones, a tenth of a second later.
    """

    build: Build
    day: Day
    scene: Scene
    surface: Surface
    axes: MapAxes
    name: str
    units: Units
    restarts: bool
    before: Shown | None = None

    @property
    def look(self) -> tuple[MapAxes, str, Units]:
        """Axes, name and units of what is shown."""
        return self.axes, self.name, self.units

    @property
    def duration(self) -> float:
        """Of the whole run [s]."""
        return scene_duration(with_knobs(self.build, self.scene), self.scene)


def shown_of(
    found: SceneRun,
    limits: Sequence[Limit],
    loads: LoadLines,
    duration: float,
    look: tuple[MapAxes, str, Units],
) -> Shown:
    """A run with its series in the axes, under the name and in the units told."""
    axes, name, units = look
    series = surge_series(found, limits, axes, duration, name, units)
    return Shown(found, tuple(limits), duration, series, loads)


def stripped(build: Build, *, valve: bool = True) -> Build:
    """A build without what no scene depends on, and without the valve's bore where asked."""
    bare = replace(build, notes="", pins=(), scenes=(), given=frozenset())
    return bare if valve else replace(bare, surge=replace(bare.surge, valve_diameter=None))


def twin_of(build: Build, scene: Scene) -> Scene:
    """The same lift without its valve, or with one where it has none."""
    valve = with_knobs(build, scene).surge.valve_diameter
    other = TWIN_VALVE if valve is None else None
    kept = tuple(one for one in scene.knobs if one[0] != "surge.valve_diameter")
    return replace(scene, knobs=(*kept, ("surge.valve_diameter", other)))


class BeginningStudy(LatestWork):
    """Runs the beginning of scenes, which is short: a knob that is dragged waits for no whole run.

    Signals
    -------
    shown_ready(request, shown)
        The beginning of a run.
    choke_ready(request, found)
        A choke scene, all of it.
    faulty(request, error)
        Why there is none: an InputError.
    """

    shown_ready = Signal(object, object)
    choke_ready = Signal(object, object)
    faulty = Signal(object, object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__("surge", parent)

    def start(self, request: SceneRequest) -> None:
        """Begin a scene; whatever was under way is dropped."""

        def work(tell: Tell) -> None:
            tell("begin", None)
            build, day, surface = request.build, request.day, request.surface
            try:
                if request.scene.kind == "choke":
                    tell("choke", run_choke(build, day, request.scene, surface=surface))
                    return
                first = run_scene(build, day, request.scene, surface=surface, until=FIRST_PART_S)
            except InputError as error:
                tell("fault", error)
                return
            before = request.before
            limits = before.limits if before else limits_of(first.setup, surface)
            loads = before.loads if before else load_series(first, request.axes)
            tell("shown", shown_of(first, limits, loads, request.duration, request.look))

        self.begin(request, work)

    def take(self, kind: str, request: object, found: object) -> None:
        """Hand on what was found."""
        if kind == "shown":
            self.shown_ready.emit(request, found)
        elif kind == "choke":
            self.choke_ready.emit(request, found)
        elif kind == "fault":
            self.faulty.emit(request, found)


class WholeStudy(LatestWork):
    """Runs scenes to their end, once the knobs rest.

    Signals
    -------
    shown_ready(request, shown)
        All of a run.
    twin_ready(request, run)
        A lift without its valve, or with one where it has none.
    band_ready(request, runs)
        The same run with each pressure ratio without flow.
    """

    shown_ready = Signal(object, object)
    twin_ready = Signal(object, object)
    band_ready = Signal(object, object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__("whole surge", parent)

    def start(self, request: SceneRequest) -> None:
        """Begin a whole run; whatever was under way is dropped."""

        def work(tell: Tell) -> None:
            tell("begin", None)
            build, day, scene = request.build, request.day, request.scene
            surface = request.surface
            whole = run_scene(build, day, scene, surface=surface)
            limits = limits_of(whole.setup, surface)
            loads = load_series(whole, request.axes)
            tell("shown", shown_of(whole, limits, loads, request.duration, request.look))
            if scene.kind == "lift":
                tell("twin", run_scene(build, day, twin_of(build, scene), surface=surface))
            tell("band", zero_flow_band(whole, surface=surface))

        self.begin(request, work)

    def take(self, kind: str, request: object, found: object) -> None:
        """Hand on what was found."""
        signals = {"shown": self.shown_ready, "twin": self.twin_ready, "band": self.band_ready}
        if kind in signals:
            signals[kind].emit(request, found)


@dataclass(frozen=True, slots=True, eq=False)
class ValveRequest:
    """Valves asked of a build on a day."""

    build: Build
    day: Day
    surface: Surface


def valve_speeds(build: Build) -> list[float]:
    """Engine speeds of the curve [rpm]."""
    limiter = build.engine.limiter
    return [float(one) for one in np.linspace(LEAST_SHARE * limiter, limiter, VALVE_SPEEDS)]


class ValveStudy(LatestWork):
    """Sizes bypass valves, an engine speed a step.

    Signals
    -------
    curve_ready(request, curve)
        The curve as far as it is known.
    stepped(done, about)
        Engine speeds done, and how many there are.
    """

    curve_ready = Signal(object, object)
    stepped = Signal(int, int)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__("bypass valve", parent)

    def start(self, request: ValveRequest, speeds: Sequence[float] | None = None) -> None:
        """Begin a curve; whatever was under way is dropped."""
        every = valve_speeds(request.build) if speeds is None else list(speeds)

        def work(tell: Tell) -> None:
            sizes = []
            # from the limiter down: where a lift is hardest comes first
            for number, speed in enumerate(reversed(every)):
                tell("step", (number, len(every)))
                one = bypass_sizing(request.build, request.day, [speed], surface=request.surface)
                sizes = [*one.sizes, *sizes]
                to_come = len(every) - number - 1
                tell("curve", ValveCurve(request.build, request.day, tuple(sizes), to_come))

        self.begin(request, work)

    def take(self, kind: str, request: object, found: object) -> None:
        """Hand on a step or a curve."""
        if kind == "step":
            self.stepped.emit(*found)  # type: ignore[misc]
        else:
            self.curve_ready.emit(request, found)
