"""Pins: the list with its names and ghosts, and the table of differences."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor, QIcon, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QLineEdit, QSplitter, QVBoxLayout, QWidget

from app.chart_tools.palette import LIGHT, Palette
from app.fields import Units
from app.gui.document import Document
from app.gui.panels.pins_list import PinsList, button
from app.gui.panels.pins_table import DifferenceView, Row
from app.gui.pin_lines import PinLines
from app.gui.preferences import Preferences
from app.gui.recompute import Snapshot
from app.gui.widgets.swatch import empty_icon, ghost_icon, line_icon, state_icon
from app.present.pin_table import (
    AT_LIMITER,
    PRESENT,
    USUAL_SPEEDS,
    Figures,
    figures_of,
    read_speeds,
)
from app.present.pins import pin_fault
from engine_model.errors import InputError
from engine_model.inputs import Build, Pin
from engine_model.results import OperatingLine

Ghost = tuple[OperatingLine, str]

WIDE = 720
"""Width from which the table stands beside the list [px]."""

LIST_WIDTH, LIST_HEIGHT = 260, 230
"""Room of the list beside, or above, the table [px]."""

WAITING = "computing"


class PinsPanel(QWidget):
    """Keeps lines for comparison and compares them with the present one.

    Signals
    -------
    ghosts_changed(ghosts)
        Lines to draw, a list of (OperatingLine, name), in the order of the swatches.
    """

    ghosts_changed = Signal(object)

    def __init__(self, document: Document, preferences: Preferences) -> None:
        super().__init__()
        self._document = document
        self._snapshot: Snapshot | None = None
        self._palette: Palette = LIGHT
        self._units: Units = "si"
        self._speeds: tuple[float, ...] = USUAL_SPEEDS
        self._titles: dict[Pin, str] = {}
        self._ghosts: list[Ghost] = []
        self._drawn: tuple[object, ...] = ()
        self.lines = PinLines(self)
        self.pins = PinsList(document, preferences)
        self.table = DifferenceView()
        self.copy_button = button("Copy table", "Copy the table as text (Ctrl+C in the table)")
        self.speeds = QLineEdit(", ".join(f"{s:.0f}" for s in USUAL_SPEEDS if s != AT_LIMITER))
        self.speeds.setAccessibleName("Engine speeds at which boost is compared")
        self.speeds.setToolTip("Engine speeds, with commas between; the limiter always counts")
        self.caption = QLabel()
        self.caption.setWordWrap(True)
        self.caption.setObjectName("headline")
        self._lay_out()
        self._connect()
        self.show_all()

    def _lay_out(self) -> None:
        right = QWidget()
        column = QVBoxLayout(right)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.caption)
        column.addWidget(self.table, 1)
        foot = QHBoxLayout()
        label = QLabel("Boost at")
        label.setBuddy(self.speeds)
        foot.addWidget(label)
        foot.addWidget(self.speeds, 1)
        foot.addWidget(QLabel("rpm"))
        foot.addWidget(self.copy_button)
        column.addLayout(foot)
        self.split = QSplitter(Qt.Orientation.Vertical)
        self.split.addWidget(self.pins)
        self.split.addWidget(right)
        self.split.setChildrenCollapsible(False)
        self.split.setStretchFactor(1, 1)
        self.split.setSizes([LIST_HEIGHT, 2 * LIST_HEIGHT])
        layout = QVBoxLayout(self)
        layout.setContentsMargins(6, 4, 6, 4)
        layout.addWidget(self.split)

    def _connect(self) -> None:
        self.copy_button.clicked.connect(self.table.copy)
        self.pins.shown_changed.connect(self.show_all)
        self.pins.renamed.connect(self._carry_title)
        self.speeds.editingFinished.connect(self._speeds_typed)
        self.lines.changed.connect(self.show_all)
        self.lines.progress.connect(self._say_progress)
        self._document.changed.connect(self._on_document)

    def set_look(self, palette: Palette, colors: dict[str, QColor], units: Units) -> None:
        """Set colours of ghosts and states, and units; emits nothing."""
        self._palette, self._units = palette, units
        ratio = self.devicePixelRatioF()
        dials = {state: state_icon(state, color, ratio) for state, color in colors.items()}
        self.table.differences.set_look(units, line_icon(palette, ratio), dials)
        self.pins.set_units(units)
        self.show_all()

    def show_snapshot(self, snapshot: Snapshot) -> None:
        """Show a new state of the present line; pins are computed only where they changed."""
        before, self._snapshot = self._snapshot, snapshot
        self.lines.take(snapshot)
        if before is None or before.match.day != snapshot.match.day:
            self.show_all()
        elif self.isVisible():
            self.table.differences.set_present(self._present_figures(snapshot))
            self._say_caption(snapshot)

    @property
    def ghosts(self) -> list[Ghost]:
        """Lines drawn now, with their names."""
        return list(self._ghosts)

    def showEvent(self, event: QShowEvent) -> None:
        """Catch up with what changed while the panel was away."""
        super().showEvent(event)
        self.show_all()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Put the table beside the list where there is room."""
        super().resizeEvent(event)
        wide = self.width() >= WIDE
        way = Qt.Orientation.Horizontal if wide else Qt.Orientation.Vertical
        if self.split.orientation() != way:
            first, whole = (LIST_WIDTH, self.width()) if wide else (LIST_HEIGHT, self.height())
            self.split.setOrientation(way)
            self.split.setSizes([first, max(whole - first, first)])

    def _on_document(self, paths: frozenset[str]) -> None:
        if not paths:
            self._titles.clear()
            self.pins.forget_hidden()
        if not paths or "pins" in paths:
            self.show_all()
        self.pins.show_default_name()

    def _speeds_typed(self) -> None:
        try:
            speeds = (*read_speeds(self.speeds.text()), AT_LIMITER)
        except InputError as error:
            self.speeds.setProperty("wrong", True)
            self.pins.say(f"{error.field}: {error.value} given; allowed: {error.allowed}.")
        else:
            self.speeds.setProperty("wrong", False)
            self.pins.say("")
            if speeds != self._speeds:
                self._speeds = speeds
                self.show_all()
        style = self.speeds.style()
        style.unpolish(self.speeds)
        style.polish(self.speeds)

    def _say_progress(self, done: int, every: int) -> None:
        self.pins.progress.setText(f"Computing pins: {done} of {every}")

    def _say_caption(self, snapshot: Snapshot) -> None:
        old = " Other days as of the last stop." if snapshot.days_are_old else ""
        words = (
            f"On the {snapshot.match.day.name} day; power as on the day, uncorrected. "
            f"In brackets: difference to the present line.{old}"
        )
        if words != self.caption.text():
            self.caption.setText(words)

    def _carry_title(self, before: Pin, after: Pin) -> None:
        if before in self._titles:
            self._titles[after] = self._titles[before]

    def _note(self, pin: Pin, build: Build) -> str:
        """Remark on a compressor map changed since the pin was made or read."""
        compressor = build.blower.compressor_map
        title = "" if compressor is None else compressor.title
        former = self._titles.setdefault(pin, title)
        if not former or former == title:
            return ""
        return f"pinned on the compressor map {former}, drawn on {title}"

    def _present_figures(self, snapshot: Snapshot) -> Figures:
        match = snapshot.match
        entries = [e for one in snapshot.by_day.values() for e in one]
        return figures_of(PRESENT, match.line, match.build.engine.limiter, entries, self._speeds)

    def show_all(self) -> None:
        """Show list, table and ghosts as they are; tells the ghosts where they changed."""
        build, snapshot = self._document.build, self._snapshot
        day = None if snapshot is None else snapshot.match.day
        rows: list[Row] = []
        ghosts: list[Ghost] = []
        drawn: list[object] = [day]
        ratio = self.devicePixelRatioF()
        for pin in build.pins:
            note = self._note(pin, build)
            known = self.lines.of(pin)
            line = None if known is None or day is None else known.on(day)
            icon: QIcon = empty_icon(ratio)
            if known is None or line is None:
                fault = None if known is None else known.fault
                words = WAITING if fault is None else pin_fault(fault, self._units)
                rows.append(Row(pin.name, icon, None, words))
                continue
            if not self.pins.is_hidden(pin.name):
                icon = ghost_icon(self._palette, len(ghosts), ratio)
                ghosts.append((line, pin.name))
                drawn.append((known, pin.name))
            limiter = known.build.engine.limiter
            figures = figures_of(pin.name, line, limiter, known.ledger, self._speeds, note)
            rows.append(Row(pin.name, icon, figures))
        self.pins.show_rows(rows)
        self.pins.show_default_name()
        if not self.lines.is_busy:
            self.pins.progress.setText(_count(len(rows)))
        if snapshot is not None:
            self.table.differences.set_rows(self._present_figures(snapshot), rows, self._speeds)
            self.table.fit()
            self._say_caption(snapshot)
        if not self.lines.is_busy and tuple(drawn) != self._drawn:
            self._drawn, self._ghosts = tuple(drawn), ghosts
            self.ghosts_changed.emit(list(ghosts))


def _count(number: int) -> str:
    return "No pins yet." if number == 0 else "1 pin." if number == 1 else f"{number} pins."
