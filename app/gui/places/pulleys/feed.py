"""Between build, study and views of the Pulleys place: what is asked when, and what is shown."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer

from app.fields import show
from app.gui.document import Document, new_gesture
from app.gui.panels.slider_ranges import PULLEY
from app.gui.places.pulleys.study import GridRequest, SpanRequest, SpanStudy, asked_of
from app.gui.preferences import Preferences
from app.gui.recompute import Recompute, Snapshot
from app.present.pulley_grid_words import grid_columns, grid_rows
from app.present.sentences import percent
from app.present.series_pulley_curves import pulley_curves_series
from app.present.series_pulleys import mark_of, span_series
from app.present.span_words import span_answer
from engine_model.errors import InputError
from engine_model.inputs import Build
from engine_model.studies.pulley_grid import PulleyGrid
from engine_model.studies.span_records import PulleySpan

if TYPE_CHECKING:
    from app.gui.places.pulleys.place import PulleysPlace

KEY_STEP = 1e-4
"""Step of an arrow key, as of the slider of the Line place [m]."""

SHELF_PAGE = 3
"""Sizes of the shelf that a page key goes on by."""

OLD = "As of the last stop."
STOPPED = "Stopped. What is shown is of the build as it was."
WORKING = "Judging every pulley …"


class Feed(QObject):
    """Connects once; setters of the views never emit."""

    def __init__(
        self,
        place: PulleysPlace,
        document: Document,
        recompute: Recompute,
        preferences: Preferences,
    ) -> None:
        super().__init__(place)
        self._place, self._document = place, document
        self._recompute, self._preferences = recompute, preferences
        self.study = SpanStudy(self)
        self._gesture: int | None = None
        self._snapshot: Snapshot | None = None
        self._request: SpanRequest | None = None
        self.span: PulleySpan | None = None
        self._shown: SpanRequest | None = None
        self._shown_present: tuple[object, ...] = ()
        self._grids: dict[str, tuple[SpanRequest, PulleyGrid]] = {}
        recompute.ready.connect(self.show_snapshot)
        recompute.refused.connect(self._on_refused)
        document.changed.connect(self._on_changed)
        chart, controls = place.span_chart, place.controls
        chart.started.connect(self._begin)
        chart.stopped.connect(self._end)
        chart.moved.connect(self.edit)
        chart.stepped.connect(self._step)
        chart.chosen.connect(self._take)
        place.hand.taken.connect(self._take)
        place.tables.currentChanged.connect(self._ask_grid)
        controls.pulley_entered.connect(self._take)
        controls.refused.connect(place.say)
        controls.asked.connect(self.ask)
        controls.cancelled.connect(self._cancel)
        controls.looked.connect(self.show_again)
        controls.box.stepper = self._step_shelf
        study = self.study
        study.span_ready.connect(self._take_span)
        study.grid_ready.connect(self._take_grid)
        study.refused.connect(self._on_refused)
        study.busy.connect(controls.work.set_busy)
        study.stepped.connect(controls.work.set_progress)
        preferences.changed.connect(lambda *_: self.catch_up())

    # from the build to the study

    def show_snapshot(self, snapshot: Snapshot) -> None:
        """Take a new state of the build; worked out when the place is seen and nothing drags."""
        self._snapshot = snapshot
        if self._place.isVisible():
            self.catch_up()

    def catch_up(self) -> None:
        """Show the build, and ask for its span where the last one is of another."""
        snapshot = self._snapshot
        if snapshot is None or not self._place.isVisible():
            return
        build = snapshot.match.build
        self._place.show_drive(build.drive.kind)
        if build.drive.kind != "belt":
            self.study.cancel()
            self._request = None
            return
        self._place.controls.show_build(build)
        self.show_present()
        if snapshot.days_are_old:
            if not self._is_only_pulley(snapshot):
                self.study.cancel()
                self._request = None
                self._place.controls.work.set_state(OLD)
            return
        self.ask()

    def _is_only_pulley(self, snapshot: Snapshot) -> bool:
        """Whether nothing but the present pulley differs from what is shown."""
        if self._shown is None:
            return False
        pulley = snapshot.match.build.drive.blower_pulley_diameter
        asked = self._new_request(snapshot)
        return asked is not None and _same(asked, self._shown, pulley)

    def _new_request(self, snapshot: Snapshot) -> SpanRequest | None:
        build = snapshot.match.build
        known = build.known_days()
        names = self._place.controls.chosen_days(build)
        shelf = replace(build.shelf, pulleys=self.shelf_sizes(build))
        return SpanRequest(
            asked_of(replace(build, shelf=shelf)),
            tuple(known[name] for name in names if name in known),
            self._place.controls.worst,
            snapshot.surface,
        )

    def shelf_sizes(self, build: Build) -> tuple[float, ...]:
        """Sizes of the shop's shelf, as the slider of the Line place has them; else the build's."""
        return self._preferences.choices.shelf.pulleys or build.shelf.pulleys

    def ask(self) -> None:
        """Ask for the span of the build as it is, where it is not shown or under way."""
        snapshot = self._snapshot
        if snapshot is None or snapshot.match.build.drive.kind != "belt":
            return
        request = self._new_request(snapshot)
        if request is None:
            return
        under_way = self.study.is_busy and self._request is not None
        if under_way and _equal(request, self._request):
            return
        if not self.study.is_busy and self._shown is not None and _equal(request, self._shown):
            self._place.controls.work.set_state("")
            self._ask_grid()
            return
        self._request = request
        self._place.controls.work.set_state(WORKING)
        self.study.start(request)

    def _cancel(self) -> None:
        self.study.cancel()
        self._request = None
        self._place.controls.work.set_state(STOPPED if self.span is not None else "Stopped.")
        self._place.controls.work.again.show()

    def _on_refused(self, sentence: str) -> None:
        if self._place.isVisible():
            self._place.say(sentence)
            self._place.controls.work.set_state(OLD if self.span is not None else "")

    def end(self) -> None:
        """End the thread."""
        self.study.end()

    # from the study to the views

    def _take_span(self, request: SpanRequest, span: PulleySpan) -> None:
        self.span, self._shown = span, request
        self._place.say("")
        self._place.controls.work.set_state("")
        self.show_again()
        self._ask_grid()

    def show_again(self) -> None:
        """Show the last span in the units and colours chosen."""
        span, place = self.span, self._place
        if span is None:
            return
        units = self._preferences.choices.units_shown
        brief = place.controls.brief.isChecked()
        place.span_chart.set_series(span_series(span, units, brief))
        place.curves_chart.set_series(pulley_curves_series(span, units))
        place.hand.show_span(span, units, place.icons)
        place.show_answer(*span_answer(span, units))
        place.exports.span = span
        for table in place.grids:
            kept = self._grids.get(table.kind)
            if kept is not None:
                table.show_grid(kept[1], kept[0].build, units, place.icons)
        place.fit_rows()
        self._shown_present = ()
        self.show_present()
        if not place.controls.is_brief_chosen:
            # when the answer above has taken its room
            QTimer.singleShot(0, self._choose_brief)

    def _choose_brief(self) -> None:
        """Bars of every day where there is room for them."""
        place, span = self._place, self.span
        if span is None or not place.isVisible():
            return
        units = self._preferences.choices.units_shown
        whole = place.span_chart.height_of(span_series(span, units))
        brief = whole > place.scroll.viewport().height()
        if brief != place.controls.brief.isChecked():
            place.controls.brief.setChecked(brief)
            place.span_chart.set_series(span_series(span, units, brief))
            place.fit_rows()

    def show_present(self) -> None:
        """Put the present pulley where it is, everywhere; the span stays as it is."""
        build, place = self._document.build, self._place
        if build.drive.kind != "belt":
            return
        size = build.drive.blower_pulley_diameter
        units = self._preferences.choices.units_shown
        asked = (size, units, self.span, place.is_covered)
        if asked == self._shown_present:
            return  # a tick of a drag comes twice: with the edit, and with its match
        self._shown_present = asked
        place.controls.show_pulley(size)
        text = show(size, "length", units)
        series, span = place.span_chart.series, self.span
        if series is None or span is None:
            return
        place.exports.present = size
        diameter = size / series.unit_in_m
        place.curves_chart.set_present(diameter)
        if abs(span.present.diameter - size) < 1e-9:
            mark = mark_of(span.present, units)
            state, words = mark.state, mark.words.partition(": ")[2]
        else:
            bar = series.tightest_at(diameter)
            state = "blank" if bar is None else bar.state_at(diameter)
            used = math.nan if bar is None else series.used_at(bar, diameter)
            told = [] if bar is None else [f"about {percent(used)}", bar.title, bar.name, ""]
            words = "not judged yet" if bar is None else f"{state}, {', '.join(told[:3])}"
            place.hand.show_present(text, state, place.icons, told or ["", "", "", ""])
        place.controls.show_present(words)
        pill = text if place.is_covered else f"{text}, {state}"
        place.span_chart.set_present(size, pill)

    # grids

    def _ask_grid(self, *_: object) -> None:
        """Ask for the grid looked at, where it is not there yet."""
        table, request, span = self._place.tables.currentWidget(), self._shown, self.span
        if table not in self._place.grids or request is None or span is None:
            return
        if self.study.is_busy:
            return
        kept = self._grids.get(table.kind)
        if kept is not None and kept[0] is request:
            return
        units = self._preferences.choices.units_shown
        columns = grid_columns(span, request.build.shelf.pulleys, units)
        rows = grid_rows(request.build, table.kind, units)
        self._place.controls.work.set_state("Judging the pairs …")
        self._request = None
        grid = GridRequest(table.kind, tuple(columns), tuple(rows))
        self.study.start_grid(request, grid)

    def _take_grid(self, request: SpanRequest, grid: PulleyGrid) -> None:
        self._grids[grid.kind] = (request, grid)
        self._place.controls.work.set_state("")
        units = self._preferences.choices.units_shown
        for table in self._place.grids:
            if table.kind == grid.kind:
                table.show_grid(grid, request.build, units, self._place.icons)

    # edits of the present pulley

    def _begin(self) -> None:
        self._gesture = new_gesture()
        self._recompute.set_dragging(True)

    def _end(self) -> None:
        self._gesture = None
        self._recompute.set_dragging(False)

    def edit(self, size: float) -> None:
        """Change the present pulley [m], onto the shelf where that is asked."""
        shelf = self.shelf_sizes(self._document.build)
        if self._preferences.choices.snapping and shelf:
            size = min(shelf, key=lambda one: abs(one - size))
        self._take(size)

    def _take(self, size: float) -> None:
        try:
            self._document.edit(PULLEY.path, round(size, 6), self._gesture)
        except InputError as error:
            self._place.say(str(error))
            return
        self._place.say("")

    def _step(self, steps: int) -> None:
        if self._step_shelf(steps):
            return
        size = self._document.build.drive.blower_pulley_diameter + steps * KEY_STEP
        self._take(min(max(size, PULLEY.row.low), PULLEY.row.high))

    def _step_shelf(self, steps: int) -> bool:
        """Go to another size of the shelf; whether keys step sizes at all."""
        build = self._document.build
        shelf = self.shelf_sizes(build)
        if not self._preferences.choices.snapping or not shelf:
            return False
        present, up = build.drive.blower_pulley_diameter, steps > 0
        sizes = sorted(shelf, reverse=not up)
        ahead = [d for d in sizes if (d > present + 1e-9 if up else d < present - 1e-9)]
        count = SHELF_PAGE if abs(steps) >= 10 else abs(steps)
        if ahead:
            self._take(ahead[min(count, len(ahead)) - 1])
        return True

    def _on_changed(self, paths: object) -> None:
        if self._place.isVisible() and paths == frozenset({PULLEY.path}):
            # at once: the line does not wait for the match
            self.show_present()


def _same(one: SpanRequest, other: SpanRequest, pulley: float) -> bool:
    """Whether two requests differ by the present pulley at most."""
    path = PULLEY.path
    alike = replace(other.build.with_value(path, pulley), given=frozenset())
    return (
        one.build == alike
        and one.days == other.days
        and one.worst == other.worst
        and one.surface is other.surface
    )


def _equal(one: SpanRequest, other: SpanRequest) -> bool:
    return (
        one.build == other.build
        and one.days == other.days
        and one.worst == other.worst
        and one.surface is other.surface
    )
