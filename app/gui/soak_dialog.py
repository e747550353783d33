"""Heat soak: pull after pull of the build and day shown, worked out in idle time."""

from __future__ import annotations

import re
from dataclasses import replace

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QDialogButtonBox,
    QFrame,
    QLabel,
    QPushButton,
    QScrollArea,
    QSplitter,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.charts.heat_soak_chart import TITLE, HeatSoakChart
from app.fields import FIELD
from app.gui.copying import offer_copy
from app.gui.export_dialog import ExportChoice
from app.gui.idle_study import IdleStudy
from app.gui.layout_export import Drawing, ask_export
from app.gui.preferences import Preferences
from app.gui.recompute import Recompute, Snapshot
from app.gui.theme import PALETTES
from app.present.cautions import CAUTIONS
from app.present.sentences import refusal
from app.present.series_soak import soak_csv, soak_series
from app.present.soak_words import pull_table, soak_lines
from engine_model.errors import InputError
from engine_model.studies.soak_records import HeatSoak

WORKING = "Working it out."
OLD = "As of the last stop."
COVERED = "Covered until a key is pressed in the window."

UNIT_APART, NO_BREAK = re.compile(r"(?<=\d) (?=\S)"), "\u00a0"
"""The space behind a number; a line is not broken there."""

SIZE = (1060, 640)
"""Size to begin with, at the usual text [px]."""

WORDS_SHARE = 0.28
"""Share of the width that the words take to begin with [-]."""


def _two_lines(title: str) -> str:
    """A title in two lines: columns stay narrow."""
    parting = ", " if ", " in title else " ["
    first, _, rest = title.partition(parting)
    rest = f"[{rest}" if rest and parting == " [" else rest
    return f"{first[:1].upper()}{first[1:]}\n{rest}".strip()


class PullTable(QTableWidget):
    """The pulls, read only; rows can be chosen and copied."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: list[list[str]] = []
        self.setAccessibleName("Pulls")
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setTabKeyNavigation(False)
        self.setAlternatingRowColors(True)
        self.setShowGrid(False)
        self.verticalHeader().hide()
        self.horizontalHeader().setDefaultAlignment(
            Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter | Qt.TextFlag.TextWordWrap
        )
        offer_copy(self, lambda: self.rows, self._chosen_rows)

    def show_rows(self, rows: list[list[str]]) -> None:
        """Show rows, titles first; emits nothing."""
        self.rows = rows
        head, *body = rows
        self.setColumnCount(len(head))
        self.setRowCount(len(body))
        self.setHorizontalHeaderLabels([_two_lines(title) for title in head])
        right = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        for r, row in enumerate(body):
            for c, text in enumerate(row):
                item = QTableWidgetItem(text)
                item.setTextAlignment(right)
                self.setItem(r, c, item)
        self.verticalHeader().setDefaultSectionSize(self.fontMetrics().height() + 5)
        self.resizeColumnsToContents()

    def _chosen_rows(self) -> list[list[str]]:
        chosen = sorted({index.row() for index in self.selectedIndexes()})
        return [self.rows[0], *(self.rows[k + 1] for k in chosen)] if self.rows else []


class SoakDialog(QDialog):
    """Shows heat soak beside the window and follows the build; nothing is edited here.

    Parameters
    ----------
    recompute : Recompute
        Its snapshots tell when the study begins anew.
    study : IdleStudy
        The study, which follows the build.
    preferences : Preferences
        Units and colours.
    parent : QWidget, optional
        Over which it stands.
    """

    def __init__(
        self,
        recompute: Recompute,
        study: IdleStudy,
        preferences: Preferences,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._preferences = preferences
        self._found: HeatSoak | None = None
        self._day = ""
        self._is_covered = False
        self._last = ExportChoice("heat_soak")
        self.setWindowTitle("Heat soak")
        self.setModal(False)
        self.study = study
        self.study.ready.connect(self._take)
        self.study.handed.connect(self._hear)
        self.study.stale.connect(lambda: self.state.setText(OLD))
        self.study.refused.connect(self._refuse)
        self.state, self.words = QLabel(), QLabel()
        self.state.setObjectName("headline")
        self.words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.sentence = QLabel()
        self.sentence.setObjectName("sentence")
        self.chart = HeatSoakChart()
        self.table = PullTable()
        self._lay_out()
        recompute.ready.connect(self.follow)
        preferences.changed.connect(self._on_preferences)
        self._on_preferences()

    def _lay_out(self) -> None:
        caution = QLabel(CAUTIONS["hot"])
        caution.setObjectName("caution")
        told = QWidget()
        lines = QVBoxLayout(told)
        lines.setContentsMargins(6, 4, 6, 4)
        for widget in (self.state, self.words, self.sentence, caution):
            widget.setWordWrap(True)
            lines.addWidget(widget)
        lines.addStretch(1)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setWidget(told)
        self.shown = QSplitter(Qt.Orientation.Vertical)
        self.shown.addWidget(self.chart)
        self.shown.addWidget(self.table)
        self.shown.setStretchFactor(0, 1)
        self.split = QSplitter(Qt.Orientation.Horizontal)
        self.split.addWidget(scroll)
        self.split.addWidget(self.shown)
        self.split.setStretchFactor(1, 1)
        for split in (self.shown, self.split):
            split.setChildrenCollapsible(False)
        self.export = QPushButton("&Export the chart\u2026")
        self.export.setAutoDefault(False)
        self.export.clicked.connect(self._export)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.addButton(self.export, QDialogButtonBox.ButtonRole.ActionRole)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.addWidget(self.split, 1)
        column.addWidget(buttons)
        room = self.screen().availableSize()
        scale = self._preferences.choices.text_scale
        wide, tall = (round(scale * one) for one in SIZE)
        self.resize(min(wide, room.width() - 20), min(tall, room.height() - 60))
        self.split.setSizes([round(WORDS_SHARE * wide), round((1.0 - WORDS_SHARE) * wide)])
        self.shown.setSizes([round(0.72 * tall), round(0.28 * tall)])

    # following the build

    def begin(self, snapshot: Snapshot | None) -> None:
        """Open, or come to the front, on a snapshot."""
        self.show()
        self._show()
        self.raise_()
        self.activateWindow()
        if self.study.result is not None:
            self._take(self.study.result)
        elif snapshot is not None:
            self._day = snapshot.match.day.name
            # refused before: it is tried again, and told
            if not self.study.is_running and not snapshot.days_are_old:
                self.study.start(snapshot.match.build, snapshot.match.day, snapshot.surface)
            self.follow(snapshot)

    def follow(self, snapshot: Snapshot) -> None:
        """Say what goes on; while a drag does, what is shown is of the last stop."""
        self._day = snapshot.match.day.name
        if snapshot.days_are_old:
            self.state.setText(OLD)
        elif self.study.is_running:
            self.state.setText(WORKING)

    def _hear(self, found: HeatSoak) -> None:
        """Take the day shown as soon as it is known, the others after it."""
        if found.day.name == self._day:
            self._take(found)

    def _take(self, found: HeatSoak) -> None:
        if found.fault is not None:
            self._refuse(found.fault)
            return
        self._found = found
        self.sentence.setText("")
        self._show()

    def _refuse(self, error: InputError) -> None:
        self._found = None
        field = FIELD.get(error.field)
        name = error.field if field is None else f"{field.group}, {field.label.lower()}"
        self.sentence.setText(f"{name}: {refusal(error)}")
        self._show()

    # what is shown

    def _show(self) -> None:
        if not self.isVisible():
            return
        found = None if self._is_covered else self._found
        units = self._preferences.choices.units_shown
        lines = () if found is None else soak_lines(found, units)
        self.state.setText(COVERED if self._is_covered else self._headline())
        self.words.setText(UNIT_APART.sub(NO_BREAK, "\n\n".join(lines)))
        self.words.setVisible(bool(lines))
        self.sentence.setVisible(bool(self.sentence.text()))
        series = None if found is None else soak_series(found, units)
        self.chart.set_series(series)
        self.shown.setVisible(series is not None)
        self.export.setEnabled(series is not None)
        if found is not None:
            self.table.show_rows(pull_table(found, units))

    def _headline(self) -> str:
        if self._found is None:
            return ""
        return f"{self._found.build.title}, {self._found.day.name} day"

    def set_covered(self, covered: bool) -> None:
        """Leave out what the class is to find, or show it."""
        self._is_covered = covered
        self._show()

    def _on_preferences(self, *_: object) -> None:
        choices = self._preferences.choices
        look = replace(PALETTES[choices.theme], text_scale=choices.text_scale)
        self._palette = look
        self.chart.set_palette(look)
        self._show()

    def drawing(self) -> Drawing:
        """The chart as it stands, for its files."""
        found, units = self._found, self._preferences.choices.units_shown
        if found is None or self.chart.series is None:
            return Drawing(self.chart, self._palette, "", False, "", TITLE, "heat_soak")
        build, day = found.build, found.day.name
        numbers = soak_csv(found, units, (("build", build.title), ("day", day)))
        title = f"{TITLE}, {day} day"
        look = self._palette
        return Drawing(self.chart, look, build.title, build.invented, numbers, title, "heat_soak")

    def _export(self) -> None:
        """Ask for a kind and a file, and write the chart as it stands."""
        self._last = ask_export(self, self._preferences, self.drawing(), self._last)
