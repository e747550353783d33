"""Between log, build, studies and views of the Dyno place: what is asked when."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer

from app.fields import Units
from app.gui.document import Document
from app.gui.places.dyno.study import (
    PullComparing,
    PulleyAdvice,
    PullReading,
    PullRequest,
    ReadRequest,
    Reconciling,
)
from app.gui.preferences import Preferences
from app.gui.recompute import Recompute, Snapshot
from app.present.dyno_words import advice_words, measured_power, notes_with
from app.present.pull_kept import kept_with, mappings_of
from app.present.pull_words import refused_sentences, use_sentence
from engine_model.compressor.surface import Surface
from engine_model.errors import InputError
from engine_model.files.pull_record import Pull, PullLayout, PullMapping
from engine_model.studies.pull_compared import PullCompared
from engine_model.studies.reconcile_records import Reconciled

if TYPE_CHECKING:
    from app.gui.places.dyno.place import DynoPlace

REST_MS = 150
"""A build must be left alone this long before it is compared again."""

OLD = "As of an earlier build or other runs."

PLACE = "dyno"


class Feed(QObject):
    """Connects once; setters of the views never emit."""

    def __init__(
        self,
        place: DynoPlace,
        document: Document,
        recompute: Recompute,
        preferences: Preferences,
    ) -> None:
        super().__init__(place)
        self._place, self._document, self._preferences = place, document, preferences
        self.reading, self.comparing = PullReading(self), PullComparing(self)
        self.reconciling, self.advice = Reconciling(self), PulleyAdvice(self)
        self.pull: Pull | None = None
        self.found: PullCompared | None = None
        self.reconciled: Reconciled | None = None
        self._path: Path | None = None
        self._pull_path: Path | None = None
        self._layout: PullLayout | None = None
        self._snapshot: Snapshot | None = None
        self._asked: PullRequest | None = None
        self._of: PullRequest | None = None
        self._reconciled_of: PullRequest | None = None
        self._rest = QTimer(self, singleShot=True, interval=REST_MS)
        self._rest.timeout.connect(self.compare)
        recompute.ready.connect(self.show_snapshot)
        document.changed.connect(self._on_document)
        reading, controls, page = self.reading, place.controls, place.reconcile_page
        reading.layout_ready.connect(self._take_layout)
        reading.pull_ready.connect(self._take_pull)
        reading.failed.connect(self._take_faults)
        reading.stepped.connect(controls.work.set_progress)
        reading.busy.connect(controls.work.set_busy)
        controls.work.cancel.clicked.connect(self._cancel_reading)
        controls.changed.connect(self._on_controls)
        place.columns.changed.connect(self._on_mapping)
        place.columns.accepted.connect(self._on_accepted)
        self.comparing.compared.connect(self._take_compared)
        self.reconciling.reconciled.connect(self._take_reconciled)
        self.reconciling.busy.connect(page.work.set_busy)
        self.reconciling.busy.connect(lambda busy: page.ask.setEnabled(not busy))
        self.reconciling.stepped.connect(page.work.set_progress)
        page.work.cancel.clicked.connect(self.reconciling.cancel)
        page.asked.connect(self.reconcile)
        page.taken.connect(self.put_into_build)
        self.advice.found.connect(
            lambda *spans: page.show_advice(advice_words(*spans, self._units))
        )
        for work in (reading, self.comparing, self.reconciling, self.advice):
            work.refused.connect(place.say)

    @property
    def _units(self) -> Units:
        return self._preferences.choices.units_shown

    @property
    def surface(self) -> Surface | None:
        """The fitted compressor map of what is shown."""
        return None if self._of is None else self._of.surface

    # from a log to its runs

    def _on_document(self, paths: object) -> None:
        """Another build is another car: its pull is not the one shown."""
        if paths:
            return
        for work in (self.reading, self.comparing, self.reconciling, self.advice):
            work.cancel()
        self.pull = self.found = self.reconciled = None
        self._path = self._pull_path = self._layout = self._asked = self._of = (
            self._reconciled_of
        ) = None
        self._place.show_nothing()

    def open(self, path: Path, mapping: PullMapping | None = None) -> None:
        """Read a log in the thread; what was open stays until it is read."""
        self._path = path
        kept = mappings_of(self._preferences.choices.pull_mappings)
        self.reading.start(ReadRequest(path, mapping, kept))

    def _take_layout(self, layout: PullLayout) -> None:
        """Show the columns before the rows are read."""
        self._layout = layout
        self._place.columns.show_layout(layout, layout.mapping)

    def _take_pull(self, request: ReadRequest, pull: Pull) -> None:
        """Show the runs of a log; columns that were guessed are shown first."""
        again = self.pull is not None and self._pull_path == request.path
        ticked = self._place.controls.chosen if again else ()
        self.pull, self._pull_path = pull, request.path
        units = self._units
        controls = self._place.controls
        rows = f"{pull.rows} rows, {pull.taken} taken, {pull.refused_count} refused"
        rows += f", {pull.outside} in no run" if pull.outside else ""
        rows += f", {pull.gaps} empty cells" if pull.gaps else ""
        controls.show_file(pull.name, rows)
        some = [k for k in ticked if k < len(pull.runs)] or list(range(len(pull.runs)))
        controls.show_runs(pull.runs, units, some)
        if not again:
            controls.show_basis(pull.runs[0].power_basis)
            self.reconciled = None
            self._place.reconcile_page.show_found(None, units)
            self._place.reconcile_page.show_advice("")
        self._place.columns.show_told([f"{rows}.", *refused_sentences(pull)])
        guessed = [use for use in pull.layout.mapping.uses if use.guessed]
        if not again:
            self._place.show_columns(bool(guessed) and not pull.layout.remembered)
        if guessed and not pull.layout.remembered:
            self._place.say_done("Guessed, please look: " + "; ".join(map(use_sentence, guessed)))
        else:
            self._place.say("")
        self.compare()

    def _take_faults(self, request: ReadRequest, sentences: list[str]) -> None:
        """Say what is wrong with a file; what was shown stays."""
        self._place.say(f"{request.path.name} was not read. " + " ".join(sentences))
        self._place.columns.show_told(sentences)
        if self._layout is not None and self._layout.name == request.path.name:
            self._place.show_columns(True)

    def _cancel_reading(self) -> None:
        self.reading.cancel()
        self._place.say("Not read to its end; what was shown stays.")

    def _on_mapping(self, mapping: PullMapping) -> None:
        """Read again with other columns, and remember them."""
        self._remember(mapping)
        if self._path is not None:
            self.open(self._path, mapping)

    def _on_accepted(self, mapping: PullMapping) -> None:
        self._remember(mapping)
        self._place.say("")
        self._place.show_columns(False)

    def _remember(self, mapping: PullMapping) -> None:
        kept = kept_with(self._preferences.choices.pull_mappings, mapping)
        self._preferences.remember_pull(kept)

    # from runs and build to the chart

    def show_snapshot(self, snapshot: Snapshot) -> None:
        """Take a new state of the build; compared when it rests and the place is seen."""
        self._snapshot = snapshot
        if self._place.isVisible():
            self._rest.start()

    def catch_up(self) -> None:
        """Work out what changed while nobody looked."""
        self._rest.start()

    def _request(self) -> PullRequest | None:
        pull, snapshot, controls = self.pull, self._snapshot, self._place.controls
        if pull is None or snapshot is None:
            return None
        runs = tuple(pull.runs[k] for k in controls.chosen if k < len(pull.runs))
        match, width = snapshot.match, controls.width_rpm
        mapping = pull.layout.mapping
        return PullRequest(match.build, match.day, runs, mapping, width, snapshot.surface)

    def compare(self) -> None:
        """Compare the runs ticked with the build, where it is not done yet."""
        request = self._request()
        if request is None:
            return
        if not request.runs:
            self._place.say("One run at least is shown: tick one.")
            return
        if self._asked is not None and _alike(self._asked, request):
            return
        self._asked = request
        self.comparing.start(request)

    def _take_compared(self, request: PullRequest, found: PullCompared) -> None:
        self._of, self.found = request, found
        self._place.reconcile_page.ask.setEnabled(not self.reconciling.is_busy)
        self._place.show_compared(found)
        name = "" if self.pull is None else self.pull.name
        self._place.measured_changed.emit(measured_power(found, name))
        self.show_again()

    def _on_controls(self) -> None:
        """Another basis is shown at once; other runs and smoothing are worked out."""
        if self.found is not None:
            self._place.show_compared(self.found)
        if self._place.controls.chosen:
            self._place.say("")
        self.compare()

    # what the pull says of the build

    def reconcile(self) -> None:
        """Ask what the pull says of the build."""
        if self._of is not None and self.found is not None:
            self.reconciling.start(self._of, self.found.day)

    def _take_reconciled(self, request: PullRequest, found: Reconciled) -> None:
        self._reconciled_of, self.reconciled = request, found
        self.show_again()

    def show_again(self) -> None:
        """Show what the pull says; where the build is another by now, say so."""
        found, units = self.reconciled, self._units
        if found is None:
            return
        now, then = self._of, self._reconciled_of
        old = now is None or then is None or not _alike(then, now, smoothing=False)
        self._place.reconcile_page.show_found(found, units, OLD if old else "")

    def put_into_build(self) -> None:
        """Put the reconciled values into the build as one step, with where they come from."""
        found, pull = self.reconciled, self.pull
        if found is None or pull is None or not found.changes:
            return
        build, units = self._document.build, self._units
        changes: dict[str, object] = {one.path: one.value for one in found.changes}
        notes = notes_with(build.notes, found, pull.name, date.today().isoformat(), units)
        try:
            new = replace(build.with_values(changes), notes=notes)
        except InputError as error:
            self._place.say(str(error))
            return
        text = f"Put in what {pull.name} says"
        self._document.replace(new, frozenset((*changes, "notes")), text, place=PLACE)
        if new.drive.kind == "belt":
            self._place.reconcile_page.show_advice("Which pulleys that allows is worked out…")
            self.advice.start(build, new, None)
        self._place.say_done(f"{len(found.changes)} values put into the build, as one step.")

    def end(self) -> None:
        """End the threads."""
        self._rest.stop()
        for work in (self.reading, self.comparing, self.reconciling, self.advice):
            work.end()


def _alike(one: PullRequest, other: PullRequest, *, smoothing: bool = True) -> bool:
    """Whether two requests have one answer."""
    return (
        one.build == other.build
        and one.day == other.day
        and one.mapping == other.mapping
        and len(one.runs) == len(other.runs)
        and all(a is b for a, b in zip(one.runs, other.runs, strict=True))
        and (not smoothing or one.width == other.width)
    )
