"""Left column of the Dyno place: the log, its runs, how they are shown, cautions."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtWidgets import (
    QComboBox,
    QFrame,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QMenu,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from app.fields import Units
from app.gui.widgets.work_rows import WorkRows
from app.paths import sample_pulls
from app.present.cautions import CAUTIONS
from app.present.pull_words import run_sentence
from engine_model.files.pull_record import PullRun

WIDTHS = (0, 50, 100, 200, 400)
"""Widths of the smoothing that are offered [rpm]."""

USUAL_WIDTH = 100

NO_LOG = "No log open. Open one, or drop it here: a table as text (CSV) from any dyno or logger."

BASES = (("wheel", "at the wheels"), ("flywheel", "at the flywheel"))


class Controls(QScrollArea):
    """What is opened and how it is shown. Setters never emit.

    Signals
    -------
    open_asked()
        A log is to be chosen.
    sample_asked(name)
        A sample, invented, is to be opened.
    changed()
        Other runs, smoothing or basis.
    """

    open_asked = Signal()
    sample_asked = Signal(str)
    changed = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.open = QPushButton("&Open a log…")
        self.open.setToolTip("Open the log of a pull; it can be dropped on this place too")
        self.open.clicked.connect(lambda _=False: self.open_asked.emit())
        self.samples = QPushButton("Samples, invented")
        self.samples.setToolTip("Invented pulls of the sample build: no car is behind them")
        menu = QMenu(self.samples)
        for name in sample_pulls():
            words = name.replace("-", " ")
            menu.addAction(words, lambda name=name: self.sample_asked.emit(name))
        self.samples.setMenu(menu)
        self.file = QLabel(NO_LOG)
        self.file.setWordWrap(True)
        self.work = WorkRows("the work on the pull", "Work it out again")
        self.runs = QListWidget()
        self.runs.setAccessibleName("Runs of the log")
        self.runs.setToolTip("Runs ticked are shown; several are averaged, with their spread")
        self.runs.setWordWrap(True)
        self.runs.itemChanged.connect(lambda _: self.changed.emit())
        self.basis = self._box("Power shown", "Where the power shown is; a division leads back")
        for key, words in BASES:
            self.basis.addItem(words, key)
        self.width_box = self._box(
            "Smoothing", "Full width of the moving mean; the readings stay behind it"
        )
        for rpm in WIDTHS:
            self.width_box.addItem(f"over {rpm} rpm" if rpm else "none", rpm)
        self.width_box.setCurrentIndex(WIDTHS.index(USUAL_WIDTH))
        self.air = QLabel()
        self.air.setWordWrap(True)
        self.air.setObjectName("headline")
        self.caution = QLabel()
        self.show_cautions(belt=True)
        self.caution.setObjectName("caution")
        self.caution.setWordWrap(True)
        inner = QWidget()
        column = QVBoxLayout(inner)
        column.setContentsMargins(8, 6, 6, 4)
        column.setSpacing(4)
        for widget in (self.open, self.samples, self.file, self.work):
            column.addWidget(widget)
        for words, box in (
            ("&Runs", self.runs),
            ("&Power shown", self.basis),
            ("&Smoothing", self.width_box),
        ):
            label = QLabel(words)
            label.setBuddy(box)
            column.addWidget(label)
            column.addWidget(box, 1 if box is self.runs else 0)
        column.addWidget(self.air)
        column.addWidget(self.caution)
        self.runs.setMinimumHeight(70)
        self.runs.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Ignored)
        self.setWidget(inner)

    def _box(self, name: str, tip: str) -> QComboBox:
        box = QComboBox()
        box.setAccessibleName(name)
        box.setToolTip(tip)
        box.activated.connect(lambda _: self.changed.emit())
        return box

    @property
    def chosen(self) -> tuple[int, ...]:
        """Places of the runs ticked."""
        items = (self.runs.item(k) for k in range(self.runs.count()))
        ticked = Qt.CheckState.Checked
        return tuple(k for k, item in enumerate(items) if item.checkState() == ticked)

    @property
    def width_rpm(self) -> float:
        """Width of the smoothing [rpm]."""
        return float(self.width_box.currentData())

    @property
    def basis_shown(self) -> str:
        """``wheel`` or ``flywheel``."""
        return str(self.basis.currentData())

    def show_basis(self, basis: str) -> None:
        """Show the basis of the log."""
        self.basis.setCurrentIndex(self.basis.findData(basis))

    def show_file(self, name: str, rows: str) -> None:
        """Show which log is open."""
        self.file.setText(f"<b>{escape(name)}</b><br>{escape(rows)}")

    def show_nothing(self) -> None:
        """Show no log."""
        self.file.setText(NO_LOG)
        self.air.setText("")
        with QSignalBlocker(self.runs):
            self.runs.clear()

    def show_cautions(self, *, belt: bool) -> None:
        """Show the cautions of the rollers, and of the belt where there is one."""
        keys = ("dyno", *(("belt",) if belt else ()), "general")
        self.caution.setText("\n\n".join(CAUTIONS[key] for key in keys))

    def show_runs(self, runs: Sequence[PullRun], units: Units, ticked: Sequence[int]) -> None:
        """Show the runs of a log."""
        with QSignalBlocker(self.runs):
            self.runs.clear()
            for k, run in enumerate(runs):
                words = run_sentence(run, units)
                low, high = run.engine_speed_rpm.min(), run.engine_speed_rpm.max()
                item = QListWidgetItem(f"Run {run.number}: {low:.0f} to {high:.0f} rpm")
                item.setToolTip(words)
                item.setData(Qt.ItemDataRole.AccessibleTextRole, words)
                item.setFlags(Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsUserCheckable
                              | Qt.ItemFlag.ItemIsSelectable)  # fmt: skip
                on = k in ticked
                item.setCheckState(Qt.CheckState.Checked if on else Qt.CheckState.Unchecked)
                self.runs.addItem(item)
