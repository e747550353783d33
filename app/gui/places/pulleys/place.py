"""The Pulleys place: the span, power and boost beside it, pulleys at hand; assembly only."""

from __future__ import annotations

from html import escape

from PySide6.QtCore import Qt
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
from app.gui.places.pulleys.charts_export import CURVES, SPAN, PulleyExports
from app.gui.places.pulleys.controls import Controls
from app.gui.places.pulleys.feed import Feed
from app.gui.places.pulleys.tables import GridTable, HandTable
from app.gui.places.study_place import StudyPlace
from app.gui.preferences import Preferences
from app.gui.recompute import Recompute
from app.gui.widgets.floating import PassingWords
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


class PulleysPlace(StudyPlace):
    """The answer above, the span with power and boost beside it, tables below."""

    def __init__(self, document: Document, recompute: Recompute, preferences: Preferences) -> None:
        super().__init__(document, preferences, "The pulley span in words")
        self.controls = Controls()
        self.span_chart, self.curves_chart = PulleySpanChart(), PulleyCurvesChart()
        self.hand = HandTable()
        self.grids = (
            GridTable("Crank pulley by blower pulley", CRANK),
            GridTable("Ribs by blower pulley", RIBS),
        )
        self.exports = PulleyExports(self.span_chart, self.curves_chart)
        self._lay_out()
        self.words = PassingWords(self, self.span_chart)
        self.feed = Feed(self, document, recompute, preferences)
        preferences.changed.connect(self._dress)
        self._dress()

    def _lay_out(self) -> None:
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
        self.caution.setText(" ".join(words))
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(self.pages, 1)
        layout.addWidget(self.caution)
        layout.addWidget(self.cover)

    # what the window asks of a place

    charts = ((SPAN, "the pulley span"), (CURVES, "power and boost"))
    """Names of its charts, and what they are in a menu."""

    def chart_of(self, name: str) -> QWidget:
        """One of its charts."""
        return {SPAN: self.span_chart, CURVES: self.curves_chart}[name]

    @property
    def chart_in_sight(self) -> str:
        """Name of the chart that is exported first."""
        return CURVES if self.curves_chart.hasFocus() else SPAN

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

    def show_covered(self, covered: bool) -> None:
        """Leave out what answers, or show it."""
        self.span_chart.set_covered(covered)
        self.curves_chart.set_covered(covered)
        self.controls.present.setVisible(not covered)
        self.tables.setVisible(not (covered or self._folded))
        self.feed.show_present()

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

    def dress(self) -> None:
        """Show everything in the colours, units and size of text chosen."""
        self.span_chart.set_palette(self._palette)
        self.curves_chart.set_palette(self._palette)
        self.controls.set_units(self._preferences.choices.units_shown)
        self.feed.show_again()
