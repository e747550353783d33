"""The Pulleys place: the span, power and boost beside it, pulleys at hand; assembly only."""

from __future__ import annotations

from contextlib import AbstractContextManager
from dataclasses import replace
from html import escape

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QShowEvent, QUndoStack
from PySide6.QtWidgets import (
    QFrame,
    QLabel,
    QScrollArea,
    QSplitter,
    QStackedWidget,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from app.charts.pulley_curves_chart import PulleyCurvesChart
from app.charts.pulley_span_chart import PulleySpanChart
from app.gui.document import Document
from app.gui.places.line.chart_export import ChartExport
from app.gui.places.pulleys.charts_export import CURVES, SPAN, PulleyExports
from app.gui.places.pulleys.controls import Controls
from app.gui.places.pulleys.feed import Feed
from app.gui.places.pulleys.tables import GridTable, HandTable, dial_icons
from app.gui.preferences import Preferences
from app.gui.recompute import Recompute, Snapshot
from app.gui.theme import PALETTES, state_colors
from app.gui.widgets.floating import PassingWords
from app.gui.window import CLASSROOM_SCALE
from app.present.cautions import CAUTIONS
from engine_model.studies.pulley_grid import CRANK, RIBS

NO_BELT = {
    "free_shaft": (
        "This build has a turbocharger (free shaft): no belt drives it, so there is no pulley to "
        "choose. The Line place asks for its boost instead."
    ),
    "none": "This build has no blower: there is no pulley to choose.",
}
"""What is said of builds without a belt."""

LEFT = 190
"""Width of the left column at the usual text [px]."""


def _scroll_of(chart: QWidget) -> QScrollArea:
    """A chart that scrolls up and down where there is less room than it needs."""
    area = QScrollArea()
    area.setWidgetResizable(True)
    area.setFrameShape(QFrame.Shape.NoFrame)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    area.setWidget(chart)
    return area


class PulleysPlace(QWidget):
    """The answer above, the span with power and boost beside it, tables below.

    Signals
    -------
    covered(covered)
        The answers are covered or uncovered, in the classroom view.
    """

    covered = Signal(bool)

    def __init__(self, document: Document, recompute: Recompute, preferences: Preferences) -> None:
        super().__init__()
        self._document, self._preferences = document, preferences
        self._classroom = self._covered = self._folded = False
        self.answer = QLabel()
        self.controls = Controls()
        self.span_chart, self.curves_chart = PulleySpanChart(), PulleyCurvesChart()
        self.hand = HandTable()
        self.grids = (
            GridTable("Crank pulley by blower pulley", CRANK),
            GridTable("Ribs by blower pulley", RIBS),
        )
        self.exports = PulleyExports(self.span_chart, self.curves_chart)
        self.icons = dial_icons(state_colors(preferences.choices.theme))
        self.cover = QLabel("Classroom view. Space shows or covers the answers, F11 leaves.")
        self.cover.setObjectName("headline")
        self.cover.hide()
        self._lay_out()
        self.words = PassingWords(self, self.span_chart)
        self.feed = Feed(self, document, recompute, preferences)
        preferences.changed.connect(self._on_preferences)
        self._dress()

    def _lay_out(self) -> None:
        self.answer.setWordWrap(True)
        self.answer.setTextFormat(Qt.TextFormat.RichText)
        self.answer.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse
            | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        self.answer.setContentsMargins(8, 4, 8, 2)
        self.answer.setAccessibleName("The pulley span in words")
        self.scroll = _scroll_of(self.span_chart)
        beside = self.beside = QSplitter(Qt.Orientation.Horizontal)
        self.curves_scroll = _scroll_of(self.curves_chart)
        for widget, share in ((self.scroll, 64), (self.curves_scroll, 36)):
            beside.addWidget(widget)
            beside.setStretchFactor(beside.count() - 1, share)
        beside.setSizes([640, 360])
        self.tables = QTabWidget()
        self.tables.setDocumentMode(True)
        self.tables.addTab(self.hand, "Pulleys at hand")
        self.tables.addTab(self.grids[0], "Other crank pulleys")
        self.tables.addTab(self.grids[1], "Other ribs")
        middle = self.middle = QSplitter(Qt.Orientation.Vertical)
        middle.addWidget(beside)
        middle.addWidget(self.tables)
        middle.setStretchFactor(0, 4)
        middle.setStretchFactor(1, 1)
        middle.setSizes([480, 120])
        across = self.across = QSplitter(Qt.Orientation.Horizontal)
        across.addWidget(self.controls)
        across.addWidget(middle)
        across.setStretchFactor(1, 1)
        across.setSizes([LEFT, 1000])
        for splitter in (beside, middle, across):
            splitter.setChildrenCollapsible(False)
        belt = QWidget()
        rows = QVBoxLayout(belt)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(0)
        rows.addWidget(self.answer)
        rows.addWidget(across, 1)
        self.no_belt = QLabel()
        self.no_belt.setWordWrap(True)
        self.no_belt.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.no_belt.setContentsMargins(60, 20, 60, 20)
        self.pages = QStackedWidget()
        self.pages.addWidget(belt)
        self.pages.addWidget(self.no_belt)
        words = [CAUTIONS[key] for key in ("belt", "impeller_speed", "general")]
        self.controls.caution.setText("\n\n".join(words))
        self.caution = QLabel(" ".join(words))
        self.caution.hide()
        self.caution.setObjectName("caution")
        self.caution.setWordWrap(True)
        self.caution.setContentsMargins(8, 0, 8, 2)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(self.pages, 1)
        layout.addWidget(self.caution)
        layout.addWidget(self.cover)

    # what the window asks of a place

    own_files = None
    """The files of this place are the builds."""

    charts = ((SPAN, "the pulley span"), (CURVES, "power and boost"))
    """Names of its charts, and what they are in a menu."""

    def chart_of(self, name: str) -> QWidget:
        """One of its charts."""
        return {SPAN: self.span_chart, CURVES: self.curves_chart}[name]

    @property
    def chart_in_sight(self) -> str:
        """Name of the chart that is exported first."""
        return CURVES if self.curves_chart.hasFocus() else SPAN

    @property
    def undo_stack(self) -> QUndoStack:
        """History of the build's edits."""
        return self._document.undo

    def fit(self) -> None:
        """Show both charts whole."""
        self.span_chart.fit()
        self.curves_chart.fit()

    def fold_panels(self, folded: bool) -> None:
        """Hide or show the column at the left and the tables."""
        self._folded = folded
        self.controls.setVisible(not folded)
        self._show_caution()
        self.tables.setVisible(not (folded or self._covered))

    def set_classroom(self, on: bool) -> None:
        """Panels away and answers covered, or everything back."""
        self._classroom = on
        self.cover.setVisible(on)
        self._cover(on)
        self.fold_panels(on)
        self._dress()

    def reveal_answers(self) -> None:
        """Show or cover the answers of the classroom view."""
        if self._classroom:
            self._cover(not self._covered)

    def _cover(self, covered: bool) -> None:
        self._covered = covered
        self.span_chart.set_covered(covered)
        self.curves_chart.set_covered(covered)
        self.answer.setVisible(not covered)
        self.controls.present.setVisible(not covered)
        self.tables.setVisible(not (covered or self._folded))
        self.feed.show_present()
        self.covered.emit(covered)

    @property
    def is_covered(self) -> bool:
        """Whether the answers are covered."""
        return self._covered

    def may_leave(self) -> bool:
        """Nothing of its own is lost."""
        return True

    def end(self) -> None:
        """End the thread."""
        self.feed.end()

    def say(self, sentence: str) -> None:
        """Show what is wrong, over the chart; an empty sentence hides it."""
        self.words.say(sentence)

    def say_done(self, sentence: str) -> None:
        """Show calmly what was done; it goes by itself."""
        self.words.say_done(sentence)

    def show_snapshot(self, snapshot: Snapshot) -> None:
        """Show a new state of the build."""
        self.feed.show_snapshot(snapshot)

    def shown(self, chart: str) -> AbstractContextManager[ChartExport]:
        """One of the charts, to be written or copied."""
        return self.exports.shown(chart, self._palette)

    # what is shown

    def show_drive(self, kind: str) -> None:
        """Show the span, or say why there is none."""
        self.no_belt.setText(NO_BELT.get(kind, ""))
        self.pages.setCurrentIndex(1 if kind in NO_BELT else 0)
        self._show_caution()

    def _show_caution(self) -> None:
        """Below, where the column at the left does not show it."""
        self.caution.setVisible(self._folded or self.pages.currentIndex() == 1)

    def show_answer(self, verdict: str, rows: list[str], asked: str) -> None:
        """Show the answer in words."""
        told = [f"<b>{escape(verdict)}</b>", *(escape(row) for row in rows)]
        quiet = self.palette().placeholderText().color().name()
        told.append(f"<span style='color:{quiet}'>{escape(asked)}</span>")
        self.answer.setText("<br>".join(told))
        self.span_chart.setAccessibleDescription(f"{verdict}. {' '.join(rows)}")

    def fit_rows(self) -> None:
        """Give the chart the height that its bars need; it scrolls where there is less."""
        wanted = self.span_chart.wanted_height()
        if wanted != self.span_chart.minimumHeight():
            self.span_chart.setMinimumHeight(wanted)
        wanted = self.curves_chart.wanted_height()
        if wanted != self.curves_chart.minimumHeight():
            self.curves_chart.setMinimumHeight(wanted)

    def showEvent(self, event: QShowEvent) -> None:
        """Work out what changed meanwhile."""
        super().showEvent(event)
        self.feed.catch_up()

    def _dress(self) -> None:
        choices = self._preferences.choices
        scale = choices.text_scale * (CLASSROOM_SCALE if self._classroom else 1.0)
        self._palette = replace(PALETTES[choices.theme], text_scale=scale)
        self.span_chart.set_palette(self._palette)
        self.curves_chart.set_palette(self._palette)
        self.icons = dial_icons(state_colors(choices.theme))
        self.controls.set_units(choices.units_shown)
        self.feed.show_again()

    def _on_preferences(self, *_: object) -> None:
        self._dress()
