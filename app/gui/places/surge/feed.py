"""Between build, scenes, studies and views of the Surge place: what is asked when."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer

from app.gui.document import Document
from app.gui.places.surge.player import Player
from app.gui.places.surge.scenes import Scenes
from app.gui.places.surge.study import (
    BeginningStudy,
    SceneRequest,
    Shown,
    ValveRequest,
    ValveStudy,
    WholeStudy,
    shown_of,
    stripped,
)
from app.gui.preferences import Preferences
from app.gui.recompute import Recompute, Snapshot
from app.present.chart_units import chart_units
from app.present.series import MapAxes, MapSeries, map_axes, map_series
from app.present.series_surge import load_series
from app.present.surge_words import (
    assumed_words,
    band_words,
    fault_words,
    setup_words,
    small_words,
    whole_answer,
)
from engine_model.errors import InputError
from engine_model.inputs import Day
from engine_model.studies.bypass_sizing import ValveCurve
from engine_model.studies.choke_page import ChokeScene
from engine_model.studies.surge_run import QUIET_BEFORE, SceneRun

if TYPE_CHECKING:
    from app.gui.places.surge.place import SurgePlace

WHOLE_REST_MS = 60
"""A knob must rest this long before the run goes on to its end."""

VALVE_REST_MS = 400
"""A scene must be left alone this long before valves are sized for it."""

JUST_BEFORE_S = 0.02
"""A run that begins again is shown from this long before anything moves [s]."""

OLD = "As of the last scene."
STOPPED = "Stopped. The engine speeds to come are not worked out."


class Feed(QObject):
    """Connects once; setters of the views never emit."""

    def __init__(
        self,
        place: SurgePlace,
        document: Document,
        recompute: Recompute,
        preferences: Preferences,
    ) -> None:
        super().__init__(place)
        self._place, self._document, self._preferences = place, document, preferences
        self.scenes = Scenes(document, self)
        self.player: Player = place.player
        self.study, self.whole = BeginningStudy(self), WholeStudy(self)
        self.valves = ValveStudy(self)
        self.shown: Shown | None = None
        self.ghost: Shown | None = None
        self.choke: ChokeScene | None = None
        self.curve: ValveCurve | None = None
        self._band: tuple[SceneRun, ...] = ()
        self._twin: SceneRun | None = None
        self._curve_of: tuple[object, ...] = ()
        self._snapshot: Snapshot | None = None
        self._asked: tuple[object, ...] = ()
        self._map: tuple[object, MapAxes, MapSeries] | None = None
        self._whole_soon = QTimer(self, singleShot=True, interval=WHOLE_REST_MS)
        self._whole_soon.timeout.connect(self._ask_whole)
        self._begun: SceneRequest | None = None
        self._rest = QTimer(self, singleShot=True, interval=VALVE_REST_MS)
        self._rest.timeout.connect(self.ask_valves)
        recompute.ready.connect(self.show_snapshot)
        recompute.refused.connect(self._on_refused)
        self.scenes.changed.connect(self._on_scene)
        self.scenes.refused.connect(place.say)
        study, whole, valves, bar = self.study, self.whole, self.valves, place.bar
        study.shown_ready.connect(self._take_beginning)
        whole.shown_ready.connect(lambda _, shown: self._show_run(shown))
        study.choke_ready.connect(self._take_choke)
        study.faulty.connect(self._take_fault)
        whole.twin_ready.connect(self._take_twin)
        whole.band_ready.connect(self._take_band)
        whole.refused.connect(self._on_refused)
        study.refused.connect(self._on_refused)
        valves.curve_ready.connect(self._take_curve)
        valves.refused.connect(self._on_refused)
        work = place.valve_page.work
        valves.busy.connect(work.set_busy)
        valves.stepped.connect(work.set_progress)
        work.cancel.clicked.connect(self._cancel_valves)
        work.again.clicked.connect(self.ask_valves)
        bar.chosen.connect(self.scenes.choose)
        bar.asked.connect(lambda what: self.scenes.ask(what, place))
        place.controls.turned.connect(self.scenes.turn)
        place.controls.refused.connect(place.say)
        place.controls.day_chosen.connect(document.show_day)
        place.run_page.transport.keep_asked.connect(self.keep_or_drop)

    # from the build to the studies

    def show_snapshot(self, snapshot: Snapshot) -> None:
        """Take a new state of the build; worked out when the place is seen."""
        self._snapshot = snapshot
        self.catch_up()

    @property
    def day(self) -> Day:
        """The day shown."""
        return self._document.day

    def catch_up(self) -> None:
        """Show the scenes, and run the one chosen where build, day or units are others."""
        snapshot, place = self._snapshot, self._place
        if snapshot is None or not place.isVisible():
            return
        place.show_drive(self._document.build.drive.kind)
        if snapshot.surface is None or self._document.build.drive.kind == "none":
            self.end_work()
            return
        self.scenes.follow()
        self.show_scene()
        self._show_map(snapshot)
        self._run(restarts=False)

    def _on_scene(self, restarts: bool) -> None:
        self.show_scene()
        self._run(restarts=restarts)

    def show_scene(self) -> None:
        """Show the scene's name, question and knobs; emits nothing."""
        scenes, place = self.scenes, self._place
        build, scene = self._document.build, self.scenes.scene
        units = self._preferences.choices.units_shown
        place.show_page(choke=scene.kind == "choke")
        place.bar.show_scenes(scenes.known, scenes.own, scenes.name)
        own = scenes.name in scenes.own
        question = place.question or scene.question
        place.bar.show_scene(question, is_own=own, is_changed=scenes.is_changed)
        place.controls.show_scene(scene, build, scenes.changed_build(), units)
        place.controls.show_day(self.day.name)

    def _show_map(self, snapshot: Snapshot) -> None:
        """The map in the units shown; made anew only where one of both is another."""
        choices = self._preferences.choices
        surface, units = snapshot.surface, chart_units(choices.units_shown)
        if surface is None:
            return
        key = (surface, units)
        if self._map is None or self._map[0] != key:
            axes = map_axes(surface.compressor_map, units.flow, None, units)
            self._map = key, axes, map_series(surface, axes)
            self._place.run_page.map.set_map(self._map[2])
            if self.ghost is not None:
                self._show_ghost(self._again(self.ghost, axes))

    def _again(self, shown: Shown, axes: MapAxes) -> Shown:
        """A run as it was, in other units."""
        units = self._preferences.choices.units_shown
        look = axes, shown.series.name, units
        loads = load_series(shown.found, axes)
        return shown_of(shown.found, shown.limits, loads, shown.duration, look)

    def _run(self, *, restarts: bool) -> None:
        """Run the scene, where what it depends on is another."""
        snapshot = self._snapshot
        if snapshot is None or snapshot.surface is None or self._map is None:
            return
        if not self._place.isVisible():
            return
        build, scene = stripped(self._document.build), self.scenes.scene
        units = self._preferences.choices.units_shown
        key = (build, self.day, scene.kind, scene.knobs, units, self._map[1])
        if key == self._asked:
            return
        self._asked = key
        self._place.say("")
        title = self.scenes.title(units)
        surface = snapshot.surface
        before = self.shown if restarts else None
        request = SceneRequest(
            build, self.day, scene, surface, self._map[1], title, units, restarts, before
        )
        self._whole_soon.stop()
        self.whole.cancel()
        self._begun = None
        self.study.start(request)
        self._ask_valves_soon()

    def _ask_valves_soon(self) -> None:
        if self._place.shows_valves and not self._knows_valves():
            self.valves.cancel()
            if self.curve is not None:
                self._place.valve_page.work.set_state(OLD)
            self._rest.start()

    def page_turned(self) -> None:
        """Another page is seen."""
        if self._place.shows_valves:
            self._ask_valves_soon()

    def _valve_key(self) -> tuple[object, ...]:
        build = stripped(self.scenes.changed_build(), valve=False)
        return build, self.day

    def _knows_valves(self) -> bool:
        return self._curve_of == self._valve_key()

    def ask_valves(self) -> None:
        """Size the valves of the scene as it is."""
        snapshot = self._snapshot
        if snapshot is None or snapshot.surface is None or not self._place.isVisible():
            return
        self._curve_of = self._valve_key()
        self._place.valve_page.work.set_state("")
        build = stripped(self.scenes.changed_build(), valve=False)
        self.valves.start(ValveRequest(build, self.day, snapshot.surface))

    def _cancel_valves(self) -> None:
        self._rest.stop()
        self.valves.cancel()
        self._place.valve_page.work.set_state(STOPPED)
        self._place.valve_page.work.again.show()
        self._show_curve()

    # from the studies to the views

    @property
    def is_busy(self) -> bool:
        """Whether a run is waited for."""
        return self.study.is_busy or self._whole_soon.isActive() or self.whole.is_busy

    def _take_beginning(self, request: SceneRequest, shown: Shown) -> None:
        self._begun = request
        self._show_run(shown)
        if request.restarts:
            self.player.go_to(QUIET_BEFORE - JUST_BEFORE_S)
            self.player.play()
        self._whole_soon.start()

    def _ask_whole(self) -> None:
        if self._begun is not None:
            self.whole.start(self._begun)

    def _show_run(self, shown: Shown) -> None:
        page, player = self._place.run_page, self.player
        self.shown, self._band, self._twin = shown, (), None
        player.end = shown.duration
        page.map.set_scene(shown.series, shown.loads)
        page.time.set_run(shown.series.panels)
        player.go_to(player.time)
        self._show_answer(shown)

    def _show_answer(self, shown: Shown) -> None:
        units, place = self._preferences.choices.units_shown, self._place
        if not shown.series.is_whole:
            place.show_running()
            return
        curve = self.curve if self._knows_valves() else None
        place.show_answer(whole_answer(shown.found, self._twin, curve, units))
        place.exports.shown_run = shown
        lines = [*setup_words(shown.found, units), *small_words(shown.found)]
        if self._band:
            lines.append(band_words(self._band))
        if self.scenes.scene.kind != "choke":
            place.controls.show_numbers([*lines, assumed_words(shown.found)])

    def _take_twin(self, _: SceneRequest, twin: SceneRun) -> None:
        self._twin = twin
        if self.shown is not None:
            self._show_answer(self.shown)

    def _take_band(self, _: SceneRequest, band: tuple[SceneRun, ...]) -> None:
        self._band = band
        if self.shown is not None:
            self._show_answer(self.shown)

    def _take_choke(self, _: SceneRequest, found: ChokeScene) -> None:
        self.choke = found
        self._place.show_choke(found)

    def _take_fault(self, request: SceneRequest, error: InputError) -> None:
        if request.scene.kind == "choke":
            self.choke = None
            self._place.show_choke_fault(error)
        else:
            self._place.say(fault_words(error))

    def _take_curve(self, _: ValveRequest, curve: ValveCurve) -> None:
        self.curve = curve
        self._show_curve()

    def _show_curve(self) -> None:
        if self.curve is not None:
            self._place.show_valves(self.curve, self.scenes.changed_build())
        if self.shown is not None:
            self._show_answer(self.shown)

    def keep_or_drop(self) -> None:
        """Keep the run shown under the next ones, or put away the one kept."""
        if self.ghost is not None:
            self._show_ghost(None)
        elif self.shown is not None:
            self._show_ghost(self.shown)

    def _show_ghost(self, shown: Shown | None) -> None:
        self.ghost = shown
        page = self._place.run_page
        name = "" if shown is None else shown.series.name
        page.map.set_ghost(None if shown is None else shown.series)
        page.time.set_ghost(None if shown is None else shown.series.panels, name)
        page.transport.show_kept(name)
        self._place.exports.ghost = name

    def _on_refused(self, sentence: str) -> None:
        self._place.say(sentence)

    def end_work(self) -> None:
        """Drop what is under way."""
        self._rest.stop()
        self.player.pause()
        self._whole_soon.stop()
        self.study.cancel()
        self.whole.cancel()
        self.valves.cancel()
        self._asked = ()

    def end(self) -> None:
        """End the threads."""
        self.end_work()
        for work in (self.study, self.whole, self.valves):
            work.end()
