"""The Line place: sliders, fields, compressor map with strips, ledger."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QUndoStack
from PySide6.QtWidgets import QApplication, QLabel, QSplitter, QVBoxLayout, QWidget

from app.charts.compressor_chart import CompressorChart
from app.charts.strips_chart import StripsChart
from app.fields import show
from app.gui.document import Document
from app.gui.panels.ledger_panel import LedgerPanel
from app.gui.panels.sliders_panel import SlidersPanel
from app.gui.panels.why_panel import WhyPanel
from app.gui.pin_lines import Ghost
from app.gui.places.line.bars_shown import BarsShown
from app.gui.places.line.columns import Columns, Pictures
from app.gui.places.line.drawing import Drawing
from app.gui.places.line.side import SidePanel
from app.gui.preferences import Preferences
from app.gui.recompute import Recompute, Snapshot
from app.gui.study_ledger import StudyLedger
from app.gui.theme import PALETTES, state_colors
from app.gui.widgets.floating import PassingWords
from app.gui.window import CLASSROOM_SCALE
from app.present.headline import whole_markup
from app.present.ledger_words import why_markup, why_title
from app.present.why import STEP_OF_ENTRY
from engine_model.errors import InputError
from engine_model.inputs import Variation
from engine_model.matching import match_many
from engine_model.results import Entry, Match, OperatingLine
from engine_model.steps import match_steps


class LinePlace(QWidget):
    """Assembles the place and passes snapshots to its views.

    Signals
    -------
    said(sentence)
        Something to tell beside the work.
    covered(covered)
        The answers are covered or uncovered, in the classroom view.
    """

    said = Signal(str)
    covered = Signal(bool)

    def __init__(self, document: Document, recompute: Recompute, preferences: Preferences) -> None:
        super().__init__()
        self._document, self._recompute, self._preferences = document, recompute, preferences
        self._snapshot: Snapshot | None = None
        self._bare: Snapshot | None = None
        self.studies = StudyLedger(recompute)
        self.sliders = SlidersPanel(document, recompute, preferences)
        self.side = SidePanel(document, recompute, preferences)
        self.fields = self.side.fields
        self.map = CompressorChart()
        self.strips = StripsChart(columns=2)
        self.ledger = LedgerPanel()
        self.why = WhyPanel()
        self._why_at: tuple[float, str, str] | None = None
        self._why_timer = QTimer(self)
        self._why_timer.setSingleShot(True)
        self._why_timer.setInterval(40)
        self.drawing = Drawing(self.map, self.strips)
        retell = self._why_timer.start
        self.bars = BarsShown(recompute, preferences, self.drawing, self.ledger, retell)
        self._classroom = self._covered = False
        self._said_by_slider = False
        self._came_from: QWidget | None = None
        self._pinned: list[tuple[OperatingLine, str]] = []
        self.cover = QLabel("Classroom view. Space shows or covers the answers, F11 leaves.")
        self.cover.setObjectName("headline")
        self.cover.hide()
        self._lay_out()
        self._connect()
        self._on_preferences()

    def _lay_out(self) -> None:
        self.pictures = Pictures()
        self.pictures.addWidget(self.map)
        self.pictures.addWidget(self.strips)
        self.words = PassingWords(self, self.map, self._room_for_words)
        self.across = Columns()
        self.answers = QSplitter(Qt.Orientation.Vertical)
        self.answers.addWidget(self.ledger)
        self.answers.addWidget(self.why)
        self.answers.setSizes([330, 290])
        self.answers.setChildrenCollapsible(False)
        self.why.hide()
        self.across.addWidget(self.side)
        self.across.addWidget(self.pictures)
        self.across.addWidget(self.answers)
        self.across.setStretchFactor(1, 1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(self.sliders)
        layout.addWidget(self.across, 1)
        layout.addWidget(self.cover)

    def _connect(self) -> None:
        self._recompute.ready.connect(self.show_snapshot)
        self._recompute.refused.connect(self.say)
        self.studies.changed.connect(self._show_studied)
        # a word of a slider holds until the next edit; its own comes after the edit
        self._document.changed.connect(lambda *_: self._slider_word(""))
        self._document.day_changed.connect(lambda *_: self._slider_word(""))
        self.sliders.said.connect(self._slider_word)
        self.sliders.ghost_asked.connect(self._ghost)
        self.sliders.pulley.stopped.connect(self.drawing.refit)
        self.sliders.boost.stopped.connect(self.drawing.refit)
        self.ledger.chosen.connect(self._entry_chosen)
        self.why.followed.connect(self._follow)
        self.why.shown.connect(self._why_timer.start)
        self.side.ghosts_changed.connect(self._pins_drawn)
        self._why_timer.timeout.connect(self._show_why)
        self._preferences.changed.connect(self._on_preferences)
        self.drawing.cursor_moved.connect(self._cursor)

    own_files = None
    """The files of this place are the builds."""

    def fit(self) -> None:
        """Show the whole map."""
        self.map.fit()

    @property
    def undo_stack(self) -> QUndoStack:
        """History of the build's edits."""
        return self._document.undo

    @property
    def snapshot(self) -> Snapshot | None:
        """What is shown."""
        return self._snapshot

    @property
    def is_covered(self) -> bool:
        """Whether the answers are covered."""
        return self._covered

    def _slider_word(self, sentence: str) -> None:
        if self._covered:
            return  # how far something is over is an answer
        if sentence or self._said_by_slider:
            self.say(sentence)
        self._said_by_slider = bool(sentence)

    def _room_for_words(self) -> tuple[int, int, int]:
        """Left, top and width of what is said: under the map's title, clear of it [px]."""
        texts = self.map.placed_texts
        heads = []
        for _, box in texts:
            if box.left != texts[0][1].left:
                break
            heads.append(box)
        canvas = 5 * self.fontMetrics().height()  # the axis, and a little
        under = max((round(box.top + box.height) for box in heads), default=0)
        return canvas, under + 18, round(0.56 * (self.map.width() - canvas))

    def say(self, sentence: str) -> None:
        """Show what is wrong under the sliders, over the map; an empty sentence hides it."""
        self.words.say(sentence)

    def say_done(self, sentence: str) -> None:
        """Show calmly what was done; it goes by itself."""
        self.words.say_done(sentence)

    def show_snapshot(self, snapshot: Snapshot) -> None:
        """Show a new state everywhere."""
        self._bare, self._snapshot = snapshot, self.studies.dressed(snapshot)
        self.sliders.show_snapshot(snapshot)
        self.drawing.show_snapshot(snapshot)
        self.ledger.show_snapshot(self._snapshot)
        self.side.show_snapshot(snapshot)
        if self.why.isVisible():
            self._why_timer.start()

    def _show_studied(self) -> None:
        """Show the entries of studies, worked out after the others."""
        if self._bare is not None:
            self._snapshot = self.studies.dressed(self._bare)
            self.ledger.show_snapshot(self._snapshot)

    def _ghost(self, diameter: float) -> None:
        """Show the line of a shelf pulley while the pointer rests on its tick."""
        if math.isnan(diameter) or self._snapshot is None:
            self.drawing.show_ghosts(self._pinned)
            return
        match = self._snapshot.match
        line = match_many(
            match.build,
            [match.day],
            np.array(match.line.engine_speed_rpm),
            Variation(blower_pulley_diameter=np.full((1, 1), diameter)),
            surface=self._snapshot.surface,
        ).part(0)
        name = show(diameter, "length", self._preferences.choices.units_shown)
        last = Ghost(line, name, len(match.build.pins))
        self.drawing.show_ghosts([*self._pinned, last])

    def _entry_chosen(self, entry: Entry) -> None:
        self._put_cursor(entry.engine_speed_rpm)
        self._why_at = (entry.engine_speed_rpm, entry.code, entry.day)
        self._open_why()
        self.why.open_step(STEP_OF_ENTRY.get(entry.code, ""))

    def _cursor(self, engine_speed: float) -> None:
        if self._snapshot is None:
            return
        self._why_at = (engine_speed, "", "")
        if self.why.isVisible():
            self._why_timer.start()
        else:
            self._open_why()

    def _open_why(self) -> None:
        """Bring *Why* up; the ledger gives it room by leaving its own words out."""
        self.why.setVisible(True)
        self.ledger.set_brief(True)
        self._show_why()

    def close_why(self) -> None:
        """Put *Why* and the cursor away."""
        self.why.setVisible(False)
        self.ledger.set_brief(False)
        self.drawing.set_cursor(None)
        self._why_at = None

    def _show_why(self) -> None:
        """Explain the engine speed chosen, on its day."""
        if self._snapshot is None or self._why_at is None or not self.why.isVisible():
            return
        speed, code, day_name = self._why_at
        match, units = self._snapshot.match, self._preferences.choices.units_shown
        day = match.build.known_days().get(day_name, match.day)
        entries = self._snapshot.by_day.get(day.name, ())
        entry = next((one for one in entries if one.code == code), None)
        title, about = f"Why: at {speed:.0f} rpm on the {day.name} day", ""
        if entry is not None:
            if speed != entry.engine_speed_rpm:
                # where it is tightest has moved
                speed = entry.engine_speed_rpm
                self._put_cursor(speed)
            title = why_title(entry, match.day.name)
            about = why_markup(entry, match.build, match.day.name, units)
            about += self.bars.markup(entry)
            if math.isnan(speed):
                self.why.show_words(title, whole_markup(entry, match.build, about, units))
                return
        on_day = Match(match.build, day, match.line, ())
        try:
            steps = match_steps(on_day, speed, surface=self._snapshot.surface)
        except InputError:
            steps = ()
        self.why.show_steps(steps, units, title, about)

    def _put_cursor(self, engine_speed: float) -> None:
        self.drawing.set_cursor(None if math.isnan(engine_speed) else engine_speed)

    def _follow(self, target: str) -> None:
        """Show the day or the field that a link of *Why* names."""
        kind, _, name = target.partition(":")
        if kind == "day":
            self._document.show_day(name)
        else:
            self.side.reveal(frozenset({target}))

    def go_to_ledger(self) -> None:
        """Give the ledger the focus, or give it back to what had it before."""
        tree = self.ledger.tree
        if tree.hasFocus():
            if self._came_from is not None and self._came_from.isVisible():
                self._came_from.setFocus()
            return
        if not tree.isVisible():
            return
        self._came_from = QApplication.focusWidget()
        tree.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def _pins_drawn(self, ghosts: object) -> None:
        self._pinned = list(ghosts) if isinstance(ghosts, list) else []
        self.drawing.show_ghosts(self._pinned)

    def show_where(self, paths: frozenset[str]) -> None:
        """Show the field where an edit acted."""
        self.side.reveal(paths)

    def set_classroom(self, on: bool) -> None:
        """Panels away and answers covered, or everything back."""
        self._classroom = on
        self.cover.setVisible(on)
        self.fold_panels(on)
        self._dress_charts()
        self._cover(on)

    def reveal_answers(self) -> None:
        """Show or cover the answers of the classroom view."""
        if not self._classroom:
            return
        self._cover(not self._covered)

    def _cover(self, covered: bool) -> None:
        """Cover or uncover whatever tells an answer."""
        self._covered = covered
        self.answers.setVisible(not covered)
        self.drawing.set_covered(covered)
        self.strips.set_covered(covered)
        self.sliders.set_covered(covered)
        if covered:
            self.say("")
        self.covered.emit(covered)

    def fold_panels(self, folded: bool) -> None:
        """Hide or show the panels at both sides."""
        self.side.setVisible(not folded)
        self.answers.setVisible(not folded)

    def _dress_charts(self) -> None:
        """Colours, units and texts of the charts: those of the bench, larger for a class."""
        choices = self._preferences.choices
        scale = choices.text_scale * (CLASSROOM_SCALE if self._classroom else 1.0)
        self.pictures.set_text_scale(scale)
        self.drawing.set_look(
            replace(PALETTES[choices.theme], text_scale=scale), choices.units_shown
        )

    def _on_preferences(self, *_: object) -> None:
        choices = self._preferences.choices
        units = choices.units_shown
        self.ledger.set_look(state_colors(choices.theme), units)
        self._dress_charts()
        self.side.set_look()
        if self.why.isVisible():
            self._why_timer.start()
