"""Pins: the list with its names and ghosts, and the table of differences."""

from __future__ import annotations

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QColor, QIcon, QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
    QBoxLayout,
    QComboBox,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from app.chart_tools.palette import LIGHT, Palette
from app.fields import Units
from app.gui.document import Document
from app.gui.panels.pins_list import PinsList, button
from app.gui.panels.pins_model import DifferenceModel, Row
from app.gui.panels.pins_table import DifferenceView
from app.gui.panels.pins_window import PinsWindow
from app.gui.pin_lines import Ghost, PinLines
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
from app.present.pins import pin_fault, shown_names
from engine_model.errors import InputError
from engine_model.inputs import Build, Pin

WIDE = 720
"""Width from which the table stands beside the list [px]."""

LIST_WIDTH, LIST_HEIGHT = 260, 190
"""Room of the list beside, or above, the table [px]."""

WAITING = "computing"
NO_PINS = "No pins yet: a pin keeps the present line as a ghost."


class PinsPanel(QWidget):
    """Keeps lines for comparison and compares them with the present one.

    Signals
    -------
    ghosts_changed(ghosts)
        Lines to draw, a list of :class:`Ghost`, in the order of the pins.
    """

    ghosts_changed = Signal(object)

    def __init__(self, document: Document, preferences: Preferences) -> None:
        super().__init__()
        self._document = document
        self._snapshot: Snapshot | None = None
        self._palette: Palette = LIGHT
        self._units: Units = "si"
        self._speeds: tuple[float, ...] = USUAL_SPEEDS
        self._titles: dict[Pin, str | None] = {}
        self._ghosts: list[Ghost] = []
        self._drawn: tuple[object, ...] = ()
        self.lines = PinLines(self)
        self.pins = PinsList(document, preferences)
        self.differences = DifferenceModel(self)
        self.table = DifferenceView(self.differences)
        self.window_table: PinsWindow | None = None
        self.column = QComboBox()
        self.column.setAccessibleName("What is compared")
        self.column.setToolTip("What is compared; the whole table has a window of its own")
        self.column.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.column.setMinimumContentsLength(8)
        self.column.wheelEvent = lambda event: event.ignore()  # type: ignore[method-assign]
        self.wide_button = button("Whole table", "Show the whole table in a window of its own")
        self.copy_button = button("Copy table", "Copy the table as text (Ctrl+C in the table)")
        self.speeds = QLineEdit(", ".join(f"{s:.0f}" for s in USUAL_SPEEDS if s != AT_LIMITER))
        self.speeds.setAccessibleName("Engine speeds at which boost is compared")
        self.speeds.setToolTip("Engine speeds, with commas between; the limiter always counts")
        self.caption = QLabel()
        self.caption.setWordWrap(True)
        self.caption.setTextFormat(Qt.TextFormat.PlainText)
        self.caption.setObjectName("headline")
        self._lay_out()
        self._connect()
        self.show_all()

    def _lay_out(self) -> None:
        right = QWidget()
        column = QVBoxLayout(right)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.caption)
        column.addWidget(self.column)
        column.addWidget(self.table, 1)
        self.foot = QBoxLayout(QBoxLayout.Direction.TopToBottom)
        speeds, buttons = QHBoxLayout(), QHBoxLayout()
        label = QLabel("Boost at")
        label.setBuddy(self.speeds)
        for widget in (label, self.speeds, QLabel("rpm")):
            speeds.addWidget(widget)
        for widget in (self.wide_button, self.copy_button):
            buttons.addWidget(widget)
        self.foot.addLayout(speeds)
        self.foot.addLayout(buttons)
        column.addLayout(self.foot)
        self.split = QSplitter(Qt.Orientation.Vertical)
        self.split.addWidget(self.pins)
        self.split.addWidget(right)
        self.split.setChildrenCollapsible(False)
        self.split.setStretchFactor(0, 0)
        self.split.setStretchFactor(1, 1)
        self.split.setSizes([LIST_HEIGHT, 3 * LIST_HEIGHT])
        layout = QVBoxLayout(self)
        layout.setContentsMargins(6, 4, 6, 4)
        layout.addWidget(self.split)

    def _connect(self) -> None:
        self.copy_button.clicked.connect(self.table.copy)
        self.wide_button.clicked.connect(self.open_window)
        self.column.currentIndexChanged.connect(self._fit)
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
        self.differences.set_look(units, line_icon(palette, ratio), dials)
        self.pins.set_units(units)
        self.show_all()

    def show_snapshot(self, snapshot: Snapshot) -> None:
        """Show a new state of the present line; pins are computed only where they changed."""
        before, self._snapshot = self._snapshot, snapshot
        self.lines.take(snapshot)
        if before is None or before.match.day != snapshot.match.day:
            self.show_all()
        elif self.isVisible() or (self.window_table and self.window_table.isVisible()):
            self.differences.set_present(self._present_figures(snapshot))
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
        """Put the table beside the list where there is room; else show one column of it."""
        super().resizeEvent(event)
        way = Qt.Orientation.Horizontal if self.is_wide else Qt.Orientation.Vertical
        if self.split.orientation() != way:
            first, whole = LIST_HEIGHT, self.height()
            if self.is_wide:
                first, whole = LIST_WIDTH, self.width()
            self.split.setOrientation(way)
            self.split.setSizes([first, max(whole - first, first)])
            across, down = QBoxLayout.Direction.LeftToRight, QBoxLayout.Direction.TopToBottom
            self.foot.setDirection(across if self.is_wide else down)
        self.column.setVisible(not self.is_wide)
        self._fit()

    @property
    def is_wide(self) -> bool:
        """Whether there is room for the whole table."""
        return self.width() >= WIDE

    def window_made(self) -> PinsWindow:
        """Window of the whole table, made when first asked for."""
        if self.window_table is None:
            self.window_table = PinsWindow(self.differences, self)
            self._fit()
            self.window_table.caption.setText(self.caption.text())
        return self.window_table

    def open_window(self) -> None:
        """Show the whole table in a window of its own."""
        window = self.window_made()
        if not window.isVisible():
            window.fit_to_table()
        window.show()
        window.raise_()
        window.activateWindow()

    def _fit(self, *_: object) -> None:
        self.table.show_only(None if self.is_wide else max(0, self.column.currentIndex()))
        if self.window_table is not None:
            self.window_table.table.fit()

    def _name_columns(self) -> None:
        titles = self.differences.titles
        if titles != [self.column.itemText(k) for k in range(self.column.count())]:
            chosen = max(0, self.column.currentIndex())
            with QSignalBlocker(self.column):
                self.column.clear()
                self.column.addItems(titles)
                self.column.setCurrentIndex(chosen if chosen < len(titles) else 0)

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
        self.pins.say_progress(f"Computing pins: {done} of {every}")

    def _say_caption(self, snapshot: Snapshot) -> None:
        old = " Other days as of the last stop." if snapshot.days_are_old else ""
        words = (
            f"On the {snapshot.match.day.name} day, uncorrected "
            f"(difference to the present line).{old}"
        )
        if words != self.caption.text():
            self.caption.setText(words)
            if self.window_table is not None:
                self.window_table.caption.setText(words)

    def _carry_title(self, before: Pin, after: Pin) -> None:
        if before in self._titles:
            self._titles[after] = self._titles[before]

    def _note(self, pin: Pin, build: Build) -> str:
        """Remark on a compressor map changed since the pin was made or read."""
        compressor = build.blower.compressor_map
        title = "" if compressor is None else compressor.title
        former = pin.map_title or self._titles.setdefault(pin, title)
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
        names = shown_names(build.pins, self._units)
        for number, (pin, name) in enumerate(zip(build.pins, names, strict=True)):
            note = self._note(pin, build)
            known = self.lines.of(pin)
            line = None if known is None or day is None else known.on(day)
            icon: QIcon = empty_icon(ratio)
            if known is None or line is None:
                fault = None if known is None else known.fault
                words = WAITING if fault is None else pin_fault(fault, self._units)
                rows.append(Row(name, icon, None, words))
                continue
            if not self.pins.is_hidden(pin.name):
                icon = ghost_icon(self._palette, number, ratio)
                ghosts.append(Ghost(line, name, number))
                drawn.append((known, name, number))
            limiter = known.build.engine.limiter
            figures = figures_of(name, line, limiter, known.ledger, self._speeds, note)
            rows.append(Row(name, icon, figures))
        self.pins.show_rows(rows)
        self.pins.show_default_name()
        if not self.lines.is_busy:
            self.pins.say_progress("" if rows else NO_PINS)
        if snapshot is not None:
            self.differences.set_rows(self._present_figures(snapshot), rows, self._speeds)
            self._name_columns()
            self._fit()
            self._say_caption(snapshot)
        if not self.lines.is_busy and tuple(drawn) != self._drawn:
            self._drawn, self._ghosts = tuple(drawn), ghosts
            self.ghosts_changed.emit(list(ghosts))
