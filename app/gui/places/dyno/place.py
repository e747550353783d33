"""The Dyno place: a pull beside the build; assembly only."""

from __future__ import annotations

from html import escape
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QSplitter, QTabWidget, QVBoxLayout, QWidget

from app.charts.dyno_chart import DynoChart
from app.gui.document import Document
from app.gui.file_names import FileKind, ask_open
from app.gui.places.dyno.charts_export import DYNO, PULL_MAP, DynoExports
from app.gui.places.dyno.columns import ColumnsPanel
from app.gui.places.dyno.controls import NO_LOG, Controls
from app.gui.places.dyno.feed import Feed
from app.gui.places.dyno.pages import CorrectionsPage, MapPage, ReconcilePage
from app.gui.places.study_place import StudyPlace
from app.gui.preferences import Preferences
from app.gui.recompute import Recompute
from app.gui.widgets.floating import PassingWords
from app.paths import sample_pulls
from app.present.cautions import CAUTIONS
from app.present.dyno_words import air_words, corrected_words, measured_power
from app.present.series_dyno import dyno_lines, dyno_series
from app.present.sheet_words import MeasuredPower
from engine_model.studies.pull_compared import PullCompared

ENDINGS = (".csv", ".txt", ".tsv", ".log", ".asc", ".dat")
"""Endings of files that are taken for logs where they are dropped."""

PULL = FileKind("pull", "the log of a pull", "Logs (*.csv *.txt *.tsv *.log);;All files (*)")

POWER, MAP, CORRECTIONS, RECONCILE, COLUMNS = range(5)
"""Pages."""

LEFT = 220
"""Width of the left column at the usual text [px]."""


class DynoPlace(StudyPlace):
    """Promised, expected and measured; corrections; what the pull says of the build.

    Signals
    -------
    measured_changed(measured)
        What the sheet tells of the pull, a MeasuredPower or None.
    """

    measured_changed = Signal(object)

    def __init__(self, document: Document, recompute: Recompute, preferences: Preferences) -> None:
        super().__init__(document, preferences, "Promised, expected and measured in words")
        self.controls, self.columns, self.chart = Controls(), ColumnsPanel(), DynoChart()
        self.corrections, self.reconcile_page = CorrectionsPage(), ReconcilePage()
        self.map_page = MapPage()
        self.exports = DynoExports(self.chart, self.map_page)
        self._lay_out()
        self.words = PassingWords(self, self.pages)
        self.feed = Feed(self, document, recompute, preferences)
        self.controls.open_asked.connect(self.ask_log)
        self.controls.sample_asked.connect(lambda name: self.feed.open(sample_pulls()[name]))
        preferences.changed.connect(self._dress)
        self._dress()

    def _lay_out(self) -> None:
        self.setAcceptDrops(True)
        self.pages = QTabWidget()
        self.pages.setDocumentMode(True)
        for page, words in (
            (self.chart, "Power"),
            (self.map_page, "Compressor map"),
            (self.corrections, "Corrections"),
            (self.reconcile_page, "Reconcile"),
            (self.columns, "Columns of the log"),
        ):
            self.pages.addTab(page, words)
        middle = QWidget()
        rows = QVBoxLayout(middle)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(0)
        rows.addWidget(self.answer)
        rows.addWidget(self.pages, 1)
        self.answer.setText(escape(NO_LOG))
        across = self.across = QSplitter(Qt.Orientation.Horizontal)
        across.addWidget(self.controls)
        across.addWidget(middle)
        across.setStretchFactor(1, 1)
        across.setSizes([LEFT, 1000])
        across.setChildrenCollapsible(False)
        self.caution.setText(f"{CAUTIONS['dyno']} {CAUTIONS['general']}")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(across, 1)
        layout.addWidget(self.caution)
        layout.addWidget(self.cover)

    # what the window asks of a place

    charts = (
        (DYNO, "promised, expected and measured"),
        (PULL_MAP, "the measured line on the map"),
    )
    """Names of its charts, and what they are in a menu."""

    def chart_of(self, name: str) -> QWidget:
        """One of its charts."""
        return {DYNO: self.chart, PULL_MAP: self.map_page.chart}[name]

    @property
    def chart_in_sight(self) -> str:
        """Name of the chart that is exported first."""
        return PULL_MAP if self.pages.currentIndex() == MAP else DYNO

    def fit(self) -> None:
        """Show the chart whole."""
        self.chart.fit()
        self.map_page.chart.fit()

    def fold_panels(self, folded: bool) -> None:
        """Hide or show the column at the left."""
        self._folded = folded
        self.controls.setVisible(not folded)
        self.caution.setVisible(folded)

    def show_covered(self, covered: bool) -> None:
        """Leave out what answers, or show it."""
        self.chart.set_covered(covered)
        for page in (MAP, CORRECTIONS, RECONCILE):
            self.pages.setTabVisible(page, not covered)

    # what is shown

    def ask_log(self) -> None:
        """Ask for a log and read it."""
        path = ask_open(self, self._preferences, PULL)
        if path is not None:
            self.feed.open(path)

    def show_columns(self, asked: bool) -> None:
        """Show the columns where they are to be looked at, else the chart."""
        if asked:
            self.pages.setCurrentIndex(COLUMNS)
        elif self.pages.currentIndex() == COLUMNS:
            self.pages.setCurrentIndex(POWER)

    @property
    def measured(self) -> MeasuredPower | None:
        """What the sheet tells of the pull shown."""
        found, pull = self.feed.found, self.feed.pull
        return None if found is None or pull is None else measured_power(found, pull.name)

    def show_nothing(self) -> None:
        """Show no pull."""
        units = self._preferences.choices.units_shown
        self.exports.found = None
        self.chart.set_series(None)
        self.answer.setText(escape(NO_LOG))
        self.controls.show_nothing()
        self.corrections.show_standards(None, units)
        self.map_page.show_found(None, None, units)
        self.reconcile_page.show_found(None, units)
        self.reconcile_page.show_advice("")
        self.reconcile_page.ask.setEnabled(False)
        self.columns.show_nothing()
        self.measured_changed.emit(None)

    def show_compared(self, found: PullCompared) -> None:
        """Show a pull beside the build."""
        units, basis = self._preferences.choices.units_shown, self.controls.basis_shown
        self.exports.found, self.exports.basis, self.exports.units = found, basis, units
        self.exports.file = "" if self.feed.pull is None else self.feed.pull.name
        self.chart.set_series(dyno_series(found, basis, units))
        first, *rest = dyno_lines(found, basis, units)
        words = "; ".join(rest)
        self.answer.setText(f"<b>{escape(first)}</b>; {escape(words)}.")
        self.controls.show_cautions(belt=found.build.drive.kind == "belt")
        self.controls.air.setText(f"{air_words(found, units)} {corrected_words(found)}")
        self.corrections.show_standards(found.standards, units)
        self.map_page.show_found(found, self.feed.surface, units)

    def dress(self) -> None:
        """Show everything in the colours, units and size of text chosen."""
        self.chart.set_palette(self._palette)
        self.map_page.chart.set_palette(self._palette)
        feed = self.feed
        if feed.pull is not None:
            units, chosen = self._preferences.choices.units_shown, self.controls.chosen
            self.controls.show_runs(feed.pull.runs, units, chosen)
        if feed.found is not None:
            self.show_compared(feed.found)
        feed.show_again()

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Accept logs; builds are the window's."""
        if any(_is_log(url.toLocalFile()) for url in event.mimeData().urls()):
            event.acceptProposedAction()
        else:
            event.ignore()

    def dropEvent(self, event: QDropEvent) -> None:
        """Read the first log dropped."""
        paths = [Path(url.toLocalFile()) for url in event.mimeData().urls()]
        logs = [path for path in paths if _is_log(str(path))]
        if logs:
            self.feed.open(logs[0])


def _is_log(name: str) -> bool:
    return name.lower().endswith(ENDINGS)
