"""Pages of the Dyno place beside the chart: corrections, and what the pull says of the build."""

from __future__ import annotations

from html import escape

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.chart_tools.band_parts import ShownBand
from app.chart_tools.palette import Palette
from app.charts.compressor_chart import CompressorChart
from app.fields import Units
from app.gui.widgets.rows_table import RowsTable
from app.gui.widgets.work_rows import WorkRows
from app.present.cautions import CAUTIONS
from app.present.chart_units import chart_units
from app.present.dyno_words import (
    changes_words,
    known_rows,
    reasons_words,
    standards_rows,
)
from app.present.reconcile_words import diagnosis_sentence, holds_sentence
from app.present.series import MapAxes, line_series, map_axes, map_series
from app.present.series_pull_map import NAME, measured_ring, measured_series, measured_words
from engine_model.compressor.surface import Surface
from engine_model.studies.corrected_records import PullStandards
from engine_model.studies.pull_compared import PullCompared
from engine_model.studies.reconcile_records import Reconciled

NOT_YET = (
    "Reconcile asks what of the build must be another for the pull to be what it is: volumetric "
    "efficiency, the product of combustion and driveline, belt slip, a leak, the charge cooler."
)

NO_MAP = "No pull is shown, or the build has no blower."

NO_PRESSURE = (
    "The measured line is not drawn: the log has no manifold pressure, so there is no pressure "
    "ratio."
)

BAND = "95 % of the measured flow, inferred from power"


def _words() -> QLabel:
    label = QLabel()
    label.setWordWrap(True)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    return label


class CorrectionsPage(QWidget):
    """One pull under every standard, beside the model in its air."""

    def __init__(self) -> None:
        super().__init__()
        self.table = RowsTable("The pull under every standard", frozenset({0, 6}))
        self.reasons = _words()
        rows = QVBoxLayout(self)
        rows.setContentsMargins(6, 6, 6, 4)
        rows.addWidget(self.table, 1)
        rows.addWidget(self.reasons)

    def show_standards(self, found: PullStandards | None, units: Units) -> None:
        """Show a pull under the standards, or nothing."""
        self.table.show_rows([] if found is None else standards_rows(found, units))
        self.table.resizeColumnsToContents()
        self.reasons.setText("" if found is None else reasons_words(found))


class MapPage(QWidget):
    """The measured line on the compressor map, beside the expected one."""

    def __init__(self) -> None:
        super().__init__()
        self.chart = CompressorChart()
        self.words = _words()
        self._of: tuple[object, object] | None = None
        self._axes: MapAxes | None = None
        rows = QVBoxLayout(self)
        rows.setContentsMargins(6, 6, 6, 4)
        rows.addWidget(self.chart, 1)
        rows.addWidget(self.words)
        self.show_found(None, None, "si")

    def copied(self, palette: Palette) -> CompressorChart:
        """Return a new chart of all that is shown here."""
        made = CompressorChart(palette=palette)
        line, measured = self.chart.lines
        made.set_map(self.chart.series)
        made.set_line(line)
        made.set_ghosts(measured)
        made.set_band(self.chart.band)
        return made

    def show_found(self, found: PullCompared | None, surface: Surface | None, units: Units) -> None:
        """Show a pull on its map, or say why it is not there."""
        if found is None or surface is None or found.build.drive.kind == "none":
            self._of = None
            self.chart.set_map(None)
            self.chart.set_line(None)
            self.chart.set_ghosts(())
            self.chart.set_band(None)
            self.words.setText(NO_MAP)
            return
        chosen = chart_units(units)
        if self._of is None or self._of[0] is not surface or self._of[1] != chosen:
            self._of = surface, chosen
            self._axes = map_axes(surface.compressor_map, chosen.flow, None, chosen)
            self.chart.set_map(map_series(surface, self._axes))
        assert self._axes is not None
        axes, measured = self._axes, found.on_map
        self.chart.set_line(line_series(found.line, axes, "expected", found.build.engine.limiter))
        if measured is None:
            self.chart.set_ghosts(())
            self.chart.set_band(None)
            self.words.setText(NO_PRESSURE)
            return
        self.chart.set_ghosts([(measured_series(measured, found.line, axes), NAME)])
        self.chart.set_band(ShownBand(measured_ring(measured, axes), BAND))
        self.words.setText(measured_words(measured))


class ReconcilePage(QWidget):
    """The diagnosis in sentences, values with their errors, and the button to the build.

    Signals
    -------
    asked()
        Reconcile.
    taken()
        Put the values into the build.
    pulleys_asked()
        Go to the pulleys.
    """

    asked = Signal()
    taken = Signal()
    pulleys_asked = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.found: Reconciled | None = None
        self.ask = QPushButton("&Reconcile")
        self.ask.setToolTip("Ask the runs ticked what of the build must be another")
        self.ask.clicked.connect(lambda _=False: self.asked.emit())
        self.take = QPushButton("Put into the &build")
        self.take.setToolTip("As one step, with where it comes from in the notes; never a slip")
        self.take.clicked.connect(lambda _=False: self.taken.emit())
        self.next = QPushButton("&Next pulley")
        self.next.setToolTip("To the Pulleys place, with the build as it is now")
        self.next.clicked.connect(lambda _=False: self.pulleys_asked.emit())
        self.work = WorkRows("the reconciliation", "Reconcile again")
        self.says = _words()
        self.says.setText(NOT_YET)
        self.says.setAccessibleName("What the pull says")
        self.table = RowsTable("Reconciled values")
        self.changes, self.advice = _words(), _words()
        self.advice.hide()
        across = QHBoxLayout()
        across.addWidget(self.ask)
        across.addWidget(self.take)
        across.addWidget(self.next)
        across.addStretch(1)
        rows = QVBoxLayout(self)
        rows.setContentsMargins(6, 6, 6, 4)
        rows.addLayout(across)
        rows.addWidget(self.work)
        rows.addWidget(self.says)
        rows.addWidget(self.table, 1)
        rows.addWidget(self.changes)
        rows.addWidget(self.advice)
        self.ask.setEnabled(False)
        self.show_found(None, "si")

    def show_advice(self, words: str) -> None:
        """Say what the change does to the pulleys allowed."""
        self.advice.setText(words)
        self.advice.setVisible(bool(words))

    def show_found(self, found: Reconciled | None, units: Units, state: str = "") -> None:
        """Show what a pull says, or that nobody asked yet; a state tells how old it is."""
        self.found = found
        self.work.set_state(state)
        self.take.setEnabled(found is not None and bool(found.changes) and not state)
        if found is None:
            self.says.setText(NOT_YET)
            self.table.show_rows([])
            self.changes.setText("")
            return
        rows = [
            f"<b>{escape(text)}</b>" if one.weight == "fault" else escape(text)
            for one in found.diagnosis
            for text in (diagnosis_sentence(one),)
        ]
        if found.if_belt_holds is not None:
            rows.append(f"<b>{escape(holds_sentence(found.if_belt_holds, units))}</b>")
            rows.append(escape(CAUTIONS["belt_slip"]))
        self.says.setText("<br>".join(rows))
        self.table.show_rows(known_rows(found))
        self.table.resizeColumnsToContents()
        self.changes.setText("\n".join(changes_words(found, units)))
