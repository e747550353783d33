"""Left column of the Compressors place: aim, days, what drives them, the library, the work."""

from __future__ import annotations

from PySide6.QtCore import QSignalBlocker, QSize, Qt, Signal
from PySide6.QtWidgets import (
    QButtonGroup,
    QFrame,
    QLabel,
    QPushButton,
    QRadioButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.fields import FIELD, Units, read_list, show, write_list
from app.gui.places.compressors.library import FolderCounts
from app.gui.places.pulleys.controls import heading
from app.gui.widgets.day_ticks import DayTicks
from app.gui.widgets.steady_label import SteadyLabel
from app.gui.widgets.typed_list import TypedList
from app.gui.widgets.work_rows import WorkRows
from app.present.compressor_sayings import TIE_WORDS
from app.present.compressor_words import NO_TARGET, WRONG_DAY
from app.present.pin_table import read_speeds
from app.present.weighting_words import weighting_words
from engine_model.errors import InputError
from engine_model.inputs import Build
from engine_model.studies.compressor_records import (
    EFFICIENCY,
    POWER,
    TARGET_HEADROOM,
    CompressorAim,
)

AIMS = {
    TARGET_HEADROOM: (
        "&Reach the target\nwith most headroom",
        f"The tightest limit is used least. {TIE_WORDS}",
    ),
    POWER: ("&Most power", "At the wheels, on the day of least"),
    EFFICIENCY: ("Best &weighted\nefficiency", "Weighted over engine speed, on the day of least"),
}
"""Aims as they stand here, and what is best under each."""

STALE = "As of the last run."
STOPPED = "Stopped. Grey rows are not worked out."

CRANK, RIBS = "drive.crank_pulley_diameter", "drive.ribs"
MOST_NAMES = 34
"""Letters of a folder's name shown at most."""


def working_words(done: int, every: int) -> str:
    """How far the work is."""
    return f"Worked out: {done} of {every} …"


def _read_ribs(text: str) -> tuple[int, ...]:
    """Rib counts of a typed list, rising, each once."""
    row = FIELD[RIBS].row
    found = set()
    for item in text.replace(";", ",").split(","):
        word = item.strip()
        if not word:
            continue
        if not word.isdecimal() or not row.low <= int(word) <= row.high:
            raise InputError("Ribs", word, f"whole numbers, {row.low:g} to {row.high:g}")
        found.add(int(word))
    return tuple(sorted(found))


class Controls(QScrollArea):
    """What is asked.

    Signals
    -------
    asked()
        The question is another one.
    forced()
        The work is to be begun again.
    cancelled()
        The work under way is not wanted.
    refused(sentence)
        What was chosen cannot be; an empty sentence when it can.
    folder_asked(), folder_dropped(), files_asked()
        Another folder is to be watched, none, or files are to be added.
    """

    asked = Signal()
    forced = Signal()
    cancelled = Signal()
    refused = Signal(str)
    folder_asked = Signal()
    folder_dropped = Signal()
    files_asked = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._units: Units = "si"
        self.aims: dict[str, QRadioButton] = {}
        self._group = QButtonGroup(self)
        for aim, (words, tip) in AIMS.items():
            button = QRadioButton(words)
            button.setToolTip(tip)
            button.setAccessibleName(f"Aim: {words.replace('&', '').replace(chr(10), ' ')}")
            self._group.addButton(button)
            self.aims[aim] = button
        self.aims[TARGET_HEADROOM].setChecked(True)
        self.day_ticks = DayTicks()
        row = FIELD[CRANK].row
        self.cranks = TypedList(
            "Crank pulleys",
            "",
            lambda text: read_list(text, "length", "Crank pulleys", row.low, row.high),
            lambda values: write_list(values, "length", self._units),
        )
        self.ribs = TypedList(
            "Ribs of the belt", "", _read_ribs, lambda values: ", ".join(str(v) for v in values)
        )
        self.speeds = TypedList(
            "Engine speeds that matter",
            "3000, 5000 rpm",
            read_speeds,
            lambda values: ", ".join(f"{v:.0f}" for v in values) + (" rpm" if values else ""),
        )
        self.weighting = QLabel()
        self.weighting.setObjectName("headline")
        self.weighting.setWordWrap(True)
        self.folder = QLabel()
        self.folder.setObjectName("headline")
        self.folder.setWordWrap(True)
        self.folder_fault = QLabel()
        self.folder_fault.setObjectName("sentence")
        self.folder_fault.setWordWrap(True)
        self.watch = self._button(
            "Watch a &folder…",
            "Compressor maps (*.map.json) of a folder come and go in the table by themselves",
        )
        self.unwatch = self._button("&Stop watching", "Its maps leave the table, not the disk")
        self.add = self._button("Add f&iles…", "Put single compressor maps on the table")
        self.csv = self._button("Table as &CSV…", "Write the table as a file of numbers")
        self.work = WorkRows(
            "the comparison of compressors",
            "Work out again what is not of the build as it is",
            (STALE, STOPPED, working_words(888, 888)),
        )
        self.aim_fault = SteadyLabel((NO_TARGET, WRONG_DAY.format("freezing")))
        self.aim_fault.setObjectName("sentence")
        self.aim_fault.setAccessibleName("Why this cannot be asked")
        self.caution = QLabel()
        self.caution.setObjectName("caution")
        self.caution.setWordWrap(True)
        self._lay_out()
        self._connect()
        self.show_library("", "", FolderCounts())

    def _button(self, words: str, tip: str) -> QPushButton:
        button = QPushButton(words)
        button.setToolTip(tip)
        button.setAutoDefault(False)
        return button

    def _lay_out(self) -> None:
        inner = QWidget()
        rows = QVBoxLayout(inner)
        rows.setContentsMargins(8, 6, 6, 4)
        rows.setSpacing(3)
        self.belt_rows: list[QWidget] = []

        def group(words: str, *widgets: QWidget) -> list[QWidget]:
            label = heading(words)
            for widget in (label, *widgets):
                rows.addWidget(widget)
            rows.addSpacing(6)
            return [label, *widgets]

        rows.addWidget(self.work)
        group("Aim", *self.aims.values(), self.aim_fault)
        group("Days judged", self.day_ticks)
        self.belt_rows += group("Crank pulleys", self.cranks)
        self.belt_rows += group("Ribs", self.ribs)
        group("Speeds that matter", self.speeds)
        group("Where the engine lives", self.weighting)
        group("Library", self.folder, self.folder_fault, self.watch, self.unwatch, self.add)
        group("Table", self.csv)
        rows.addStretch(1)
        rows.addWidget(self.caution)
        self.setWidget(inner)

    def _connect(self) -> None:
        self._group.buttonToggled.connect(lambda _, on: self.asked.emit() if on else None)
        self.day_ticks.changed.connect(self.asked)
        self.day_ticks.refused.connect(self.refused)
        for box in (self.cranks, self.ribs, self.speeds):
            box.entered.connect(self.asked)
        self.work.cancel.clicked.connect(self.cancelled)
        self.work.again.clicked.connect(self.forced)
        self.watch.clicked.connect(self.folder_asked)
        self.unwatch.clicked.connect(self.folder_dropped)
        self.add.clicked.connect(self.files_asked)

    def minimumSizeHint(self) -> QSize:
        """Room for the boxes in the size of their text, beside the scroll bar."""
        bar = self.verticalScrollBar().sizeHint().width()
        inner = self.widget().minimumSizeHint().width()
        return QSize(inner + bar + 4, super().minimumSizeHint().height())

    # what is asked

    @property
    def aim(self) -> str:
        """The aim chosen."""
        return next(aim for aim, button in self.aims.items() if button.isChecked())

    def set_aim(self, aim: str) -> None:
        """Choose an aim; emits nothing."""
        with QSignalBlocker(self._group):
            self.aims[aim].setChecked(True)

    def question(self) -> CompressorAim:
        """The question as chosen."""
        return CompressorAim(
            aim=self.aim,
            crank_pulleys=self.cranks.values,
            ribs=self.ribs.values,
            speeds=self.speeds.values,
        )

    def chosen_days(self, build: Build) -> tuple[str, ...]:
        """Names of the days judged: all the build knows but those switched off."""
        return self.day_ticks.chosen(tuple(build.known_days()))

    # what is shown

    def show_build(self, build: Build) -> None:
        """Show days and drive of a build; emits nothing."""
        self.day_ticks.show_days(tuple(build.known_days()))
        for widget in self.belt_rows:
            widget.setVisible(build.drive.kind == "belt")
        own = show(build.drive.crank_pulley_diameter, "length", self._units)
        self.cranks.set_pattern(f"{own}, the build's")
        self.ribs.set_pattern(f"{build.drive.ribs}, the build's")
        self.weighting.setText(weighting_words(build))

    def show_library(self, folder: str, fault: str, counts: FolderCounts) -> None:
        """Show which folder is watched and what it holds; emits nothing."""
        name = folder if len(folder) <= MOST_NAMES else f"…{folder[-MOST_NAMES:]}"
        told = f"{name}: {counts.words()}" if folder and not fault else name
        self.folder.setText(told if folder else "No folder is watched.")
        self.folder.setToolTip(folder)
        self.folder_fault.setText(fault)
        self.folder_fault.setVisible(bool(fault))
        self.unwatch.setVisible(bool(folder))

    def set_units(self, units: Units) -> None:
        """Show sizes in other units; emits nothing."""
        if units != self._units:
            self._units = units
            self.cranks.rewrite()
