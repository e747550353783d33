"""Between build, study and views of the Compressors place: what is asked when, what is shown."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, QTimer

from app.gui.document import Document
from app.gui.places.compressors.answers import Answers
from app.gui.places.compressors.candidates import Candidate, Candidates
from app.gui.places.compressors.controls import STALE, STOPPED, working_words
from app.gui.places.compressors.overlay_feed import OverlayFeed
from app.gui.places.compressors.study import Asked, CompressorRun, RunRequest
from app.gui.places.compressors.taking import taken_build
from app.gui.preferences import Preferences
from app.gui.recompute import Recompute, Snapshot
from app.present.compressor_columns import columns_of, standing_text
from app.present.compressor_order import by_rank
from app.present.compressor_shown import DONE, OLD, ShownRow
from app.present.compressor_tables import setting_words
from app.present.compressor_words import answer_words, question_fault
from app.present.map_words import limit_words
from engine_model.errors import InputError
from engine_model.inputs import Build, Day
from engine_model.studies.compressor_records import POWER, TARGET_HEADROOM, CompressorRow

if TYPE_CHECKING:
    from app.gui.places.compressors.place import CompressorsPlace

REST_MS = 150
"""The build must be left alone this long before a run begins."""

SHOW_MS = 60
"""Rows that come within this time are shown together."""

PLACE = "compressors"
"""Key of the place on the rail."""


class Feed(QObject):
    """Connects once; setters of the views never emit."""

    def __init__(
        self,
        place: CompressorsPlace,
        document: Document,
        recompute: Recompute,
        preferences: Preferences,
    ) -> None:
        super().__init__(place)
        self._place, self._document, self._preferences = place, document, preferences
        self.candidates = Candidates(document, preferences, self)
        self.run = CompressorRun(self)
        self.answers = Answers()
        self.rows: tuple[ShownRow, ...] = ()
        self._snapshot: Snapshot | None = None
        self._under_way: dict[str, Asked] = {}
        self._stopped: dict[str, Asked] = {}
        self._all: tuple[tuple[Any, ...], dict[str, Asked]] | None = None
        self._has_chosen = self._has_aim = False
        self._counts = 0, 0
        self._rest = QTimer(self, singleShot=True, interval=REST_MS)
        self._rest.timeout.connect(lambda: self.ask(forced=False))
        self._show = QTimer(self, singleShot=True, interval=SHOW_MS)
        self._show.timeout.connect(self.show_rows)
        self.overlay = OverlayFeed(place, self)
        recompute.ready.connect(self.show_snapshot)
        recompute.refused.connect(self._on_refused)
        document.changed.connect(self._on_changed)
        self.candidates.changed.connect(self.catch_up)
        controls, table = place.controls, place.table
        controls.asked.connect(self._on_asked)
        controls.forced.connect(lambda: self.ask(forced=True))
        controls.cancelled.connect(self._cancel)
        controls.refused.connect(place.say)
        controls.folder_asked.connect(place.ask_folder)
        controls.folder_dropped.connect(lambda: self.candidates.watch_folder(""))
        controls.files_asked.connect(place.ask_files)
        table.ticked.connect(self.candidates.tick)
        table.chosen.connect(self._on_chosen)
        table.taken.connect(self.take)
        table.taken_off.connect(self._take_off)
        place.detail.taken.connect(self.take)
        run = self.run
        run.row_ready.connect(self._take_row)
        run.finished.connect(self._on_finished)
        run.refused.connect(self._on_refused)
        run.busy.connect(controls.work.set_busy)
        run.stepped.connect(controls.work.set_progress)
        run.stepped.connect(self._on_step)

    # from the build to the study

    def show_snapshot(self, snapshot: Snapshot) -> None:
        """Take a new state of the build; worked out when the place is seen and nothing drags."""
        self._snapshot = snapshot
        self.catch_up()

    def catch_up(self) -> None:
        """Show the build; ask for what is not answered once it is left alone."""
        snapshot, place = self._snapshot, self._place
        if snapshot is None or not place.isVisible():
            return
        build = snapshot.match.build
        place.show_drive(build.drive.kind)
        library = self.candidates.library
        place.controls.show_library(library.folder, library.fault, library.counts)
        if build.drive.kind == "none":
            self.run.cancel()
            return
        place.controls.show_build(build)
        if not self._has_aim:
            # what cannot be asked of this build is not the first thing asked
            place.controls.set_aim(POWER if build.target.power is None else TARGET_HEADROOM)
        self._show.start()
        if snapshot.days_are_old:
            self._rest.stop()
        else:
            self._rest.start()

    def _on_asked(self) -> None:
        self._has_aim = True
        self.catch_up()

    def days(self, build: Build) -> tuple[Day, ...]:
        """The days judged."""
        known = build.known_days()
        return tuple(known[name] for name in self._place.controls.chosen_days(build))

    @property
    def build(self) -> Build:
        """The build as it is."""
        return self._document.build

    def _all_asked(self) -> dict[str, Asked]:
        """What each chosen candidate has to answer."""
        build, question = self.build, self._place.controls.question()
        days, chosen = self.days(build), self.candidates.chosen
        # with every row that comes it is asked again
        key = build, days, question, [one.compressor_map for one in chosen]
        if self._all is None or self._all[0][0] is not build or self._all[0][1:] != key[1:]:
            asked = {one.key: self.answers.asked(one, build, days, question) for one in chosen}
            self._all = key, asked
        return self._all[1]

    def ask(self, *, forced: bool) -> None:
        """Ask for the rows that are missing, where they are not under way."""
        build, place = self.build, self._place
        if build.drive.kind == "none" or not place.isVisible():
            return
        self._rest.stop()
        asked = self._all_asked()
        missing = {k: a for k, a in asked.items() if self.answers.find(k, a) is None}
        if not missing:
            self._drop()
            place.controls.work.set_state("")
            self._show.start()
            return
        if not forced and missing == self._stopped:
            return
        if self.run.is_busy and all(self._under_way.get(k) == a for k, a in missing.items()):
            return
        place.say("")
        if self._fault():
            self._drop()
            place.controls.work.set_state(STALE if self._has_rows else "")
            self._show.start()
            return
        self._stopped, self._under_way = {}, missing
        maps = {one.key: one.compressor_map for one in self.candidates.chosen}
        days = self.days(build)
        question = place.controls.question()
        pairs = tuple((k, m) for k, m in maps.items() if k in missing and m is not None)
        self._counts = len(maps) - len(pairs), len(maps)
        self._on_step(0)
        self.run.start(RunRequest(build, days, question, pairs, missing))
        self._show.start()

    def _fault(self) -> str:
        """Say beside the aim why the question cannot be asked; an empty sentence where it can."""
        controls = self._place.controls
        fault = question_fault(self.build, controls.aim, controls.chosen_days(self.build))
        controls.aim_fault.setText(fault)
        return fault

    @property
    def _has_rows(self) -> bool:
        return any(one.row is not None for one in self.rows)

    def _drop(self) -> None:
        self._under_way = {}
        self.run.cancel()

    def _cancel(self) -> None:
        self._stopped = {
            k: a for k, a in self._under_way.items() if self.answers.find(k, a) is None
        }
        self._drop()
        self._place.controls.work.set_state(STOPPED)
        self._place.controls.work.again.show()
        self._show.start()

    def _on_refused(self, sentence: str) -> None:
        if self._place.isVisible():
            self._place.say(sentence)
            self._place.controls.work.set_state(STALE if self._has_rows else "")

    def _on_changed(self, paths: object) -> None:
        if not paths:
            self.answers.forget()
            self._place.controls.day_ticks.reset()
            self._has_chosen = self._has_aim = False
        if self._place.words.property("done"):
            # what was taken is told until something else is done, such as taking it back
            self._place.words.hide()

    def end(self) -> None:
        """End the threads."""
        self._rest.stop()
        self._show.stop()
        self.run.end()
        self.overlay.end()
        self.candidates.end()

    # from the study to the views

    def _take_row(self, request: RunRequest, key: str, row: CompressorRow) -> None:
        self.answers.keep(key, request.asked[key], row)
        if not self._show.isActive():
            self._show.start()

    def _on_step(self, done: int, *_: object) -> None:
        before, all_of_them = self._counts
        self._place.controls.work.set_state(working_words(before + done, all_of_them))

    def _on_finished(self, request: RunRequest) -> None:
        self._under_way = {}
        self._place.controls.work.set_state("")
        self.show_rows()

    def show_rows(self) -> None:
        """Show every candidate as it stands, in the units and colours chosen."""
        place, build = self._place, self.build
        if build.drive.kind == "none":
            return
        self._show.stop()
        self._fault()
        asked = self._all_asked()
        found = []
        for number, one in enumerate(self.candidates.every):
            found.append(self.answers.shown(number, one, asked.get(one.key)))
        self.rows = tuple(found)
        question = place.controls.question()
        columns = columns_of(
            free_shaft=build.drive.kind == "free_shaft",
            speeds=question.speeds,
            cranks=len(question.crank_pulleys),
            has_target=build.target.power is not None,
        )
        place.table.show_rows(self.rows, columns, question.aim, place.look())
        is_old = any(one.status == OLD for one in self.rows) and not self.run.is_busy
        if is_old and place.controls.work.state.text() != STOPPED:
            place.controls.work.set_state(STALE)
        units = self._preferences.choices.units_shown
        days = place.controls.chosen_days(build)
        place.show_answer(*answer_words(self.rows, build, question.aim, days, units))
        place.fit_rows()
        if not self._has_chosen:
            best = [one.key for one in by_rank(self.rows, question.aim) if one.answered]
            place.table.choose(best[:2])
        self.show_chosen()

    # the rows chosen

    def _on_chosen(self) -> None:
        self._has_chosen = True
        self.show_chosen()

    def chosen_rows(self) -> list[ShownRow]:
        """Rows chosen in the table, in the order shown."""
        by_key = {one.key: one for one in self.rows}
        return [by_key[key] for key in self._place.table.chosen_keys if key in by_key]

    def current_row(self) -> ShownRow | None:
        """The row with the focus, or else the first one chosen."""
        chosen = self.chosen_rows()
        key = self._place.table.current_key
        return next((one for one in chosen if one.key == key), chosen[0] if chosen else None)

    def show_chosen(self) -> None:
        """Show the row with the focus in words, and the chosen ones laid over each other."""
        place, one = self._place, self.current_row()
        build = self.build
        if one is not None and one.row is not None:
            build = taken_build(build, one.row)[0]
        units = self._preferences.choices.units_shown
        place.detail.show_row(one, build, units)
        self.overlay.show(self.chosen_rows(), self.build, units)

    def candidate(self, key: str) -> Candidate | None:
        """A candidate by its key."""
        return next((one for one in self.candidates.every if one.key == key), None)

    def _take_off(self, key: str) -> None:
        one = self.candidate(key)
        if one is None or not one.path:
            self._place.say_done("Only files added by hand can be taken off the list.")
            return
        self.candidates.take_off(one.path)

    def take(self, key: str) -> None:
        """Put a candidate with its best size into the build as one step."""
        one = next((row for row in self.rows if row.key == key), None)
        if one is None or one.row is None or one.row.setting is None:
            self._place.say("This row has no answer yet that could be taken.")
            return
        if one.status != DONE:
            self._place.say("This row is as of the last run: wait until it is worked out again.")
            return
        before = self.build
        try:
            new, paths = taken_build(before, one.row)
            self._document.replace(new, paths, f"Take {one.title}", place=PLACE)
        except InputError as error:
            self._place.say(str(error))
            return
        units = self._preferences.choices.units_shown
        standing = standing_text(one)
        words = f"Taken: {one.title}, {setting_words(one.row.setting, units)}: {standing}."
        self._place.say_done(f"{words} {limit_words(before, new)}")
