"""The Line place: sliders, fields, compressor map with strips, ledger."""

from __future__ import annotations

import math

import numpy as np
from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QLabel, QSplitter, QVBoxLayout, QWidget

from app.charts.compressor_chart import CompressorChart
from app.charts.strips_chart import StripsChart
from app.gui.document import Document
from app.gui.panels.fields_panel import FieldsPanel
from app.gui.panels.ledger_panel import LedgerPanel
from app.gui.panels.sliders_panel import SlidersPanel
from app.gui.places.line.drawing import Drawing
from app.gui.preferences import Preferences
from app.gui.recompute import Recompute, Snapshot
from app.gui.theme import PALETTES, state_colors
from engine_model.inputs import Variation
from engine_model.matching import match_many
from engine_model.results import Entry


class LinePlace(QWidget):
    """Assembles the place and passes snapshots to its views.

    Signals
    -------
    said(sentence)
        Something to tell beside the work.
    """

    said = Signal(str)

    def __init__(self, document: Document, recompute: Recompute, preferences: Preferences) -> None:
        super().__init__()
        self._document, self._recompute, self._preferences = document, recompute, preferences
        self._snapshot: Snapshot | None = None
        self.sliders = SlidersPanel(document, recompute, preferences)
        self.fields = FieldsPanel(document, recompute, preferences)
        self.map = CompressorChart()
        self.strips = StripsChart(columns=2)
        self.ledger = LedgerPanel()
        self.drawing = Drawing(self.map, self.strips)
        self.words = QLabel()
        self.words.setObjectName("said")
        self.words.setWordWrap(True)
        self.words.hide()
        self._classroom = False
        self.cover = QLabel("Classroom view. Space shows or covers the answers, F11 leaves.")
        self.cover.setObjectName("headline")
        self.cover.hide()
        self._lay_out()
        self._connect()
        self._on_preferences()

    def _lay_out(self) -> None:
        self.pictures = QSplitter(Qt.Orientation.Vertical)
        self.pictures.addWidget(self.map)
        self.pictures.addWidget(self.strips)
        self.pictures.setStretchFactor(0, 7)
        self.pictures.setStretchFactor(1, 3)
        self.pictures.setSizes([740, 260])
        self.across = QSplitter(Qt.Orientation.Horizontal)
        self.across.addWidget(self.fields)
        self.across.addWidget(self.pictures)
        self.across.addWidget(self.ledger)
        self.across.setStretchFactor(1, 1)
        self.across.setSizes([228, 800, 262])
        self.across.setChildrenCollapsible(False)
        self.pictures.setChildrenCollapsible(False)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(self.sliders)
        layout.addWidget(self.words)
        layout.addWidget(self.across, 1)
        layout.addWidget(self.cover)

    def _connect(self) -> None:
        self._recompute.ready.connect(self.show_snapshot)
        self._recompute.refused.connect(self.say)
        self.sliders.said.connect(self.say)
        self.sliders.ghost_asked.connect(self._ghost)
        self.sliders.pulley.stopped.connect(self.drawing.refit)
        self.sliders.boost.stopped.connect(self.drawing.refit)
        self.ledger.chosen.connect(self._entry_chosen)
        self._preferences.changed.connect(self._on_preferences)
        self.drawing.cursor_moved.connect(self._cursor)

    @property
    def snapshot(self) -> Snapshot | None:
        """What is shown."""
        return self._snapshot

    def say(self, sentence: str) -> None:
        """Show a sentence under the sliders; an empty one hides it."""
        self.words.setText(sentence)
        self.words.setVisible(bool(sentence))

    def show_snapshot(self, snapshot: Snapshot) -> None:
        """Show a new state everywhere."""
        self._snapshot = snapshot
        self.sliders.show_snapshot(snapshot)
        self.drawing.show_snapshot(snapshot)
        self.ledger.show_snapshot(snapshot)

    def _ghost(self, diameter: float) -> None:
        """Show the line of a shelf pulley while the pointer rests on its tick."""
        if math.isnan(diameter) or self._snapshot is None:
            self.drawing.show_ghost(None, "")
            return
        match = self._snapshot.match
        line = match_many(
            match.build,
            [match.day],
            np.array(match.line.engine_speed_rpm),
            Variation(blower_pulley_diameter=np.full((1, 1), diameter)),
            surface=self._snapshot.surface,
        ).part(0)
        self.drawing.show_ghost(line, f"{1000 * diameter:g} mm")

    def _entry_chosen(self, entry: Entry) -> None:
        if not math.isnan(entry.engine_speed_rpm):
            self.drawing.set_cursor(entry.engine_speed_rpm)

    def _cursor(self, engine_speed: float) -> None:
        del engine_speed

    def show_where(self, paths: frozenset[str]) -> None:
        """Show the field where an edit acted."""
        self.fields.reveal(paths)

    def set_classroom(self, on: bool) -> None:
        """Panels away and answers covered, or everything back."""
        self._classroom = on
        self.cover.setVisible(on)
        self.fold_panels(on)
        self.drawing.set_covered(on)
        self.ledger.setVisible(not on)

    def reveal_answers(self) -> None:
        """Show or cover the answers of the classroom view."""
        if not self._classroom:
            return
        covered = self.ledger.isVisible()
        self.ledger.setVisible(not covered)
        self.drawing.set_covered(covered)

    def fold_panels(self, folded: bool) -> None:
        """Hide or show the panels at both sides."""
        self.fields.setVisible(not folded)
        self.ledger.setVisible(not folded)

    def _on_preferences(self, *_: object) -> None:
        choices = self._preferences.choices
        self.ledger.set_look(state_colors(choices.theme), choices.system)
        self.drawing.set_look(PALETTES[choices.theme], choices.system)
