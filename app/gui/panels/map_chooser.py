"""Compressor maps from a list: the build's own, the samples, and files the user opens."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QResizeEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QPlainTextEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.fields import FIELD
from app.gui.document import Document
from app.gui.file_names import MAP, ask_open
from app.gui.preferences import Preferences
from app.paths import sample_maps
from app.present.map_words import belongs_to_former, limit_words, map_facts, usual_drive
from engine_model.compressor.map_data import CompressorMap
from engine_model.errors import FileFaultsError
from engine_model.files.map_file import load_map
from engine_model.inputs import Build

DRIVES = {"free_shaft": "turbocharger (free shaft)"}

WIDE = 44
"""Digits in the column's width from which names and texts stand side by side."""

PATHS = frozenset({"blower.compressor_map"})


def with_map(build: Build, compressor_map: CompressorMap, drive: str, keep_typed: bool) -> Build:
    """Build with another compressor map and kind of drive.

    A typed maximum impeller speed stays: the lower of it and the map's holds. A step-up typed
    for the former blower goes back to blank, which takes the map's, unless it is kept.
    """
    given = build.given
    blower = replace(build.blower, compressor_map=compressor_map)
    if not keep_typed:
        blower = replace(blower, step_up=None)
        given -= {path for path, _ in belongs_to_former(build)}
    if drive != build.drive.kind:
        given |= {"drive.kind"}
    return replace(build, blower=blower, drive=replace(build.drive, kind=drive), given=given)


@dataclass(frozen=True, slots=True)
class Candidate:
    """A compressor map of the list and where it stands."""

    place: str
    compressor_map: CompressorMap


class MapChooser(QWidget):
    """List of compressor maps; choosing one is one step of the document."""

    def __init__(self, document: Document, preferences: Preferences) -> None:
        super().__init__()
        self._document, self._preferences = document, preferences
        self._samples = tuple(
            Candidate(f"sample {name}", load_map(file)) for name, file in sample_maps().items()
        )
        self._opened: dict[str, Candidate] = {}
        self._candidates: tuple[Candidate, ...] = ()
        self.list = QListWidget()
        self.list.setAccessibleName("Compressor maps")
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setTextElideMode(Qt.TextElideMode.ElideRight)
        self.list.setAlternatingRowColors(True)
        self.open = QPushButton("Open a compressor map…")
        self.open.setAutoDefault(False)
        self.open.clicked.connect(self._ask)
        self.title = QLabel()
        self.title.setWordWrap(True)
        self.facts: list[tuple[QLabel, QLabel]] = []
        self.drive = QComboBox()
        self.drive.setAccessibleName("Kind of drive with this compressor map")
        self.drive.setSizeAdjustPolicy(
            QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
        )
        self.drive.setMinimumContentsLength(6)
        for word in FIELD["drive.kind"].row.choices:
            if word != "none":
                self.drive.addItem(DRIVES.get(word, word), word)
        self.keep = QCheckBox("Keep the typed step-up")
        self.limits = QLabel()
        self.limits.setObjectName("headline")
        self.limits.setWordWrap(True)
        self._faced: object = None
        self._told = ""
        self.use = QPushButton("Use in this build")
        self.use.setAutoDefault(False)
        self.faults = QPlainTextEdit()
        self.faults.setReadOnly(True)
        self.faults.setAccessibleName("Faults of the file that was refused")
        self.faults.setTabChangesFocus(True)
        self.faults.hide()
        self._lay_out()
        self.setAcceptDrops(True)
        self.list.currentRowChanged.connect(lambda _: self._show_facts())
        self.use.clicked.connect(self.use_chosen)
        self.keep.toggled.connect(lambda _: self._show_limits())
        document.changed.connect(self.refresh)
        preferences.changed.connect(lambda _: self._show_facts())
        self.refresh()

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(6, 6, 6, 6)
        self.list.setMinimumHeight(7 * self.fontMetrics().height())
        column.addWidget(self.list, 1)
        row = QHBoxLayout()
        label = QLabel("&Driven by")
        label.setBuddy(self.drive)
        row.addWidget(label)
        row.addWidget(self.drive, 1)
        column.addLayout(row)
        column.addWidget(self.keep)
        column.addWidget(self.limits)
        column.addWidget(self.use)
        column.addWidget(self.open)
        column.addWidget(self.faults, 1)
        column.addWidget(self.title)
        self.form = form = QFormLayout()
        for _ in map_facts(self._samples[0].compressor_map):
            pair = (QLabel(), QLabel())
            pair[0].setObjectName("headline")
            pair[1].setWordWrap(True)
            pair[1].setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
            pair[0].setAlignment(Qt.AlignmentFlag.AlignTop)
            form.addRow(*pair)
            self.facts.append(pair)
        column.addLayout(form)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Put what is told under its name where the column is narrow."""
        super().resizeEvent(event)
        wrap = QFormLayout.RowWrapPolicy
        is_narrow = event.size().width() < WIDE * self.fontMetrics().horizontalAdvance("0")
        way = wrap.WrapAllRows if is_narrow else wrap.DontWrapRows
        if way != self.form.rowWrapPolicy():
            self.form.setRowWrapPolicy(way)

    @property
    def chosen(self) -> Candidate | None:
        """The map chosen in the list."""
        row = self.list.currentRow()
        return self._candidates[row] if 0 <= row < len(self._candidates) else None

    def choose(self, title: str) -> None:
        """Choose a map of the list by its title or its place."""
        for row, one in enumerate(self._candidates):
            if title in (one.place, one.compressor_map.title):
                self.list.setCurrentRow(row)

    def open_path(self, path: Path) -> bool:
        """Put a file on the list; where it is refused all its faults are told in the panel."""
        try:
            found = load_map(path)
        except FileFaultsError as error:
            count = len(error.faults)
            head = f"{path.name} was refused: {count} fault{'s' * (count > 1)}."
            rows = [head, *(fault.sentence() for fault in error.faults)]
            self.faults.setPlainText("\n".join(rows))
            self.faults.show()
            return False
        self.faults.clear()
        self.faults.hide()
        self._opened[str(path)] = Candidate(f"file {path.name}", found)
        self.refresh()
        self.list.setCurrentRow(len(self._candidates) - 1)
        return True

    def use_chosen(self) -> None:
        """Put the chosen map into the build as one step."""
        one = self.chosen
        if one is None:
            return
        build = self._document.build
        drive = self.drive.currentData()
        new = with_map(build, one.compressor_map, drive, self.keeps)
        paths = PATHS | (new.given ^ build.given)
        if drive != build.drive.kind:
            paths |= {"drive.kind"}
        text = f"Use the compressor map {one.compressor_map.title}"
        words = limit_words(build, new)
        self._document.replace(new, paths, text)
        self._told = words
        self._show_limits()

    def _ask(self) -> None:
        path = ask_open(self, self._preferences, MAP)
        if path is not None:
            self.open_path(path)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Accept files."""
        if event.mimeData().hasUrls():
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Put the first file dropped on the list."""
        urls = event.mimeData().urls()
        if urls:
            self.open_path(Path(urls[0].toLocalFile()))

    def refresh(self, *_: object) -> None:
        """Show the list as it is; emits nothing."""
        mine = self._document.build.blower.compressor_map
        own = (Candidate("in this build", mine),) if mine is not None else ()
        candidates = (*own, *self._samples, *self._opened.values())
        if candidates != self._candidates:
            row = max(self.list.currentRow(), 0)
            self._candidates = candidates
            with QSignalBlocker(self.list):
                self.list.clear()
                for one in candidates:
                    self.list.addItem(f"{one.compressor_map.title}\n{one.place}")
                self.list.setCurrentRow(min(row, len(candidates) - 1))
        self._show_facts()

    def _show_facts(self) -> None:
        one, build = self.chosen, self._document.build
        self.use.setEnabled(one is not None)
        if one is None:
            return
        units = self._preferences.choices.units_shown
        same = one.compressor_map == build.blower.compressor_map
        self.title.setText(one.compressor_map.title + ("  (in this build)" if same else ""))
        facts = map_facts(one.compressor_map, units)
        for (title, text), (label, words) in zip(facts, self.facts, strict=True):
            label.setText(title)
            words.setText(text)
        drive = build.drive.kind if same else usual_drive(one.compressor_map)
        self.drive.setCurrentIndex(max(self.drive.findData(drive), 0))
        typed = belongs_to_former(build)
        self.keep.setVisible(bool(typed) and not same)
        if self._faced != (one, typed):
            # what somebody has typed stays unless he says otherwise
            self._faced, self._told = (one, typed), ""
            self.keep.setChecked(True)
        words = " and ".join(text for _, text in typed)
        self.keep.setToolTip(f"Typed for the former blower: {words}; else the map's own holds")
        self._show_limits()

    def _show_limits(self) -> None:
        """Tell what becomes, or became, of the limit on the impeller's speed."""
        one, build = self.chosen, self._document.build
        words = self._told
        if one is not None and one.compressor_map != build.blower.compressor_map:
            drive = self.drive.currentData()
            words = limit_words(build, with_map(build, one.compressor_map, drive, self.keeps))
        self.limits.setText(words)
        self.limits.setVisible(bool(words))

    @property
    def keeps(self) -> bool:
        """Whether what was typed for the former blower stays."""
        return self.keep.isChecked()
