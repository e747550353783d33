"""What to measure first: error bars of the build and day shown, spreads, chances."""

from __future__ import annotations

import datetime
import re
from dataclasses import replace

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication, QHideEvent
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QSplitter,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from app.charts.measure_first_chart import TITLE, MeasureFirstChart
from app.gui.error_bars_study import ErrorBarsStudy
from app.gui.export_dialog import ExportChoice
from app.gui.layout_export import Drawing, ask_export
from app.gui.preferences import SAMPLE_COUNTS, Preferences
from app.gui.theme import PALETTES
from app.gui.widgets.rows_table import RowsTable
from app.present.cautions import CAUTIONS
from app.present.chance_words import (
    chance_table,
    first_lines,
    peak_table,
    spread_table,
)
from app.present.error_bar_words import error_bars_text
from app.present.series_error_bars import measure_first_csv, measure_first_series

WORKING = "Working it out."
OLD = "As of the last stop."
COVERED = "Covered until a key is pressed in the window."
NO_SPREAD = "No input with a spread moves the highest wheel power: there is no chart."

UNIT_APART, NO_BREAK = re.compile(r"(?<=\d) (?=\S)"), "\u00a0"
"""The space behind a number; a line is not broken there."""

SIZE = (1080, 680)
"""Size to begin with, at the usual text [px]."""

WORDS_SHARE = 0.30
"""Share of the width that the words take to begin with [-]."""


class MeasureDialog(QDialog):
    """Shows the error bars beside the window and follows the build; nothing is edited here.

    Parameters
    ----------
    study : ErrorBarsStudy
        The study, which follows the build while anybody looks.
    preferences : Preferences
        Units, colours and the number of samples.
    parent : QWidget, optional
        Over which it stands.
    """

    def __init__(
        self, study: ErrorBarsStudy, preferences: Preferences, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._preferences, self.study = preferences, study
        self._is_covered = False
        self._last = ExportChoice("measure_first")
        self.setWindowTitle("What to measure first")
        self.setModal(False)
        self.state, self.words, self.sentence = QLabel(), QLabel(), QLabel()
        self.state.setObjectName("headline")
        self.sentence.setObjectName("sentence")
        self.words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.samples = QComboBox()
        self.samples.setAccessibleName("Number of samples")
        for count in SAMPLE_COUNTS:
            self.samples.addItem(f"{count}", count)
        self.samples.setToolTip("More samples take longer and make the chances surer")
        self.samples.activated.connect(self._choose_samples)
        self.chart = MeasureFirstChart()
        self.peak = RowsTable("Highest wheel power, and what stands with it", frozenset({0, 4}))
        self.spreads = RowsTable("Spreads of the inputs", frozenset({0, 2, 4}))
        self.chances = RowsTable("Chance of every entry to be over")
        self._lay_out()
        study.changed.connect(self._show)
        study.busy.connect(self._show)
        preferences.changed.connect(self._on_preferences)
        self._on_preferences()

    def _lay_out(self) -> None:
        caution = QLabel(CAUTIONS["general"])
        caution.setObjectName("caution")
        chooser = QHBoxLayout()
        label = QLabel("Number of &samples")
        label.setBuddy(self.samples)
        chooser.addWidget(label)
        chooser.addWidget(self.samples)
        chooser.addStretch(1)
        told = QWidget()
        lines = QVBoxLayout(told)
        lines.setContentsMargins(6, 4, 6, 4)
        for widget in (self.state, self.words, self.sentence):
            widget.setWordWrap(True)
            lines.addWidget(widget)
        lines.addLayout(chooser)
        caution.setWordWrap(True)
        lines.addWidget(caution)
        lines.addStretch(1)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setWidget(told)
        self.tables = QTabWidget()
        self.tables.addTab(self.spreads, "Sp&reads of the inputs")
        self.tables.addTab(self.chances, "Chances to be &over")
        self.tables.addTab(self.peak, "Wheel &power and others")
        self.shown = QSplitter(Qt.Orientation.Vertical)
        self.shown.addWidget(self.chart)
        self.shown.addWidget(self.tables)
        self.split = QSplitter(Qt.Orientation.Horizontal)
        self.split.addWidget(scroll)
        self.split.addWidget(self.shown)
        self.split.setStretchFactor(1, 1)
        for split in (self.shown, self.split):
            split.setChildrenCollapsible(False)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        self.export = QPushButton("&Export the chart\u2026")
        self.copy = QPushButton("&Copy as text")
        for button, work in ((self.export, self._export), (self.copy, self.copy_text)):
            button.setAutoDefault(False)
            button.clicked.connect(work)
            buttons.addButton(button, QDialogButtonBox.ButtonRole.ActionRole)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.addWidget(self.split, 1)
        column.addWidget(buttons)
        room = self.screen().availableSize()
        scale = self._preferences.choices.text_scale
        wide, tall = (round(scale * one) for one in SIZE)
        self.resize(min(wide, room.width() - 20), min(tall, room.height() - 60))
        self.split.setSizes([round(WORDS_SHARE * wide), round((1.0 - WORDS_SHARE) * wide)])
        self.shown.setSizes([round(0.55 * tall), round(0.45 * tall)])

    # following the build

    def begin(self) -> None:
        """Open, or come to the front."""
        self.show()
        self.study.watch(True)
        if self.study.refusal:
            self.study.again()
        self._show()
        self.raise_()
        self.activateWindow()
        self.tables.setFocus()

    def hideEvent(self, event: QHideEvent) -> None:
        """Leave the machine to others once nobody looks."""
        super().hideEvent(event)
        if not event.spontaneous():
            self.study.watch(False)

    def _choose_samples(self, *_: object) -> None:
        self._preferences.change(error_bar_samples=self.samples.currentData())

    # what is shown

    def _show(self, *_: object) -> None:
        if not self.isVisible():
            return
        bars = None if self._is_covered else self.study.bars
        units = self._preferences.choices.units_shown
        lines = [] if bars is None else first_lines(bars, units)
        series = None if bars is None else measure_first_series(bars, units)
        if bars is not None and series is None:
            lines.append(NO_SPREAD)
        self.state.setText(COVERED if self._is_covered else self._headline())
        self.words.setText(UNIT_APART.sub(NO_BREAK, "\n\n".join(lines)))
        self.words.setVisible(bool(lines))
        refusal = self.study.refusal
        self.sentence.setText(refusal)
        self.sentence.setVisible(bool(refusal) and not self._is_covered)
        self.chart.set_series(series)
        self.chart.setVisible(series is not None)
        self.tables.setVisible(bars is not None)
        self.shown.setVisible(bars is not None)
        self.export.setEnabled(series is not None)
        self.copy.setEnabled(bars is not None)
        if bars is not None:
            self.spreads.show_rows(spread_table(bars, units))
            self.chances.show_rows(chance_table(bars))
            self.peak.show_rows(peak_table(bars, units))

    def _headline(self) -> str:
        bars = self.study.bars
        if bars is None:
            return WORKING if self.study.is_working else ""
        title = f"{bars.build.title}, {bars.days[0]} day."
        if self.study.is_working:
            return f"{title} {OLD if self.study.is_old else ''} {WORKING}".replace("  ", " ")
        return f"{title} {OLD}" if self.study.is_old else title

    def set_covered(self, covered: bool) -> None:
        """Leave out what the class is to find, or show it."""
        self._is_covered = covered
        self._show()

    def _on_preferences(self, *_: object) -> None:
        choices = self._preferences.choices
        self._palette = replace(PALETTES[choices.theme], text_scale=choices.text_scale)
        self.chart.set_palette(self._palette)
        self.samples.setCurrentIndex(SAMPLE_COUNTS.index(choices.error_bar_samples))
        self._show()
        for table in (self.spreads, self.chances, self.peak):
            table.fit()

    # taking it elsewhere

    def copy_text(self) -> None:
        """Put all that is told on the clipboard."""
        bars = self.study.bars
        if bars is not None and not self._is_covered:
            rows = error_bars_text(bars, self._preferences.choices.units_shown)
            QGuiApplication.clipboard().setText("\n".join([self._headline(), "", *rows]))

    def drawing(self) -> Drawing:
        """The chart as it stands, for its files."""
        bars, units = self.study.bars, self._preferences.choices.units_shown
        if bars is None or self.chart.series is None:
            return Drawing(self.chart, self._palette, "", False, "", TITLE, "measure_first")
        build, day = bars.build, bars.days[0]
        about = [
            ("build", f"{build.title} (invented)" if build.invented else build.title),
            ("day", day),
            ("samples", str(bars.samples)),
            ("written", datetime.date.today().isoformat()),
            ("caution", CAUTIONS["general"]),
        ]
        numbers = measure_first_csv(bars, units, about)
        title = f"{TITLE}, {day} day"
        look = self._palette
        return Drawing(
            self.chart, look, build.title, build.invented, numbers, title, "measure_first"
        )

    def _export(self) -> None:
        """Ask for a kind and a file, and write the chart as it stands."""
        self._last = ask_export(self, self._preferences, self.drawing(), self._last)
