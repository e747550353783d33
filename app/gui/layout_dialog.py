"""The belt's layout: pulleys, tensioner and way of turn typed, drawn and judged as they are."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from app.charts.belt_chart import BeltChart
from app.gui.export_dialog import ExportChoice
from app.gui.layout_export import Drawing, ask_export
from app.gui.layout_rows import CELL_ROOM, PulleyRows, TensionerForm, TextBox, choice_box, set_wrong
from app.gui.preferences import Preferences
from app.gui.theme import PALETTES
from app.present.belt_typed import (
    BACK_OFFSET,
    PULLEY_CELLS,
    SENSES,
    Reading,
    TypedLayout,
    read_typed,
    typed_of,
)
from app.present.belt_words import fit_words
from app.present.cautions import CAUTIONS
from app.present.sentences import refusal
from app.present.series_belt import BeltSeries, belt_csv, belt_series, loose_series
from engine_model.belt_fit import belt_fit, fit_inputs
from engine_model.errors import InputError
from engine_model.inputs import Build
from engine_model.plan_examples import two_pulleys, with_spring_idler
from engine_model.plan_layout import TOLD_PATHS, fitted_diameter

LAYOUT_PATHS = TOLD_PATHS | {"layout"}
"""What an edit of the layout tells to have changed."""

EXAMPLES = {"Two pulleys": two_pulleys, "With a spring idler": with_spring_idler}
"""Invented layouts to begin with."""

HEAD = (
    "Pulleys in the order in which a point of the belt meets them, the crank first, as seen from "
    "the front; x to the right, y upwards. A number may be typed with any unit. The span that "
    "leaves the crank is the slack one."
)
NO_BELT = " The drive has no belt now: the layout is kept, and not used."

LEAST_DRAWING, TALL = 620, 640
"""Width of the drawing and height of the dialog to begin with, at the usual text [px]."""

MOST_SHARE = 0.66
"""Most of the width that the table takes to begin with [-]."""


class LayoutDialog(QDialog):
    """Edits the layout of a build's belt; kept only where the belt can run.

    Parameters
    ----------
    build : Build
        The build as it is.
    preferences : Preferences
        Units and colours.
    draft : TypedLayout, optional
        What was typed before and not taken over; offered again.
    parent : QWidget, optional
        Over which it stands.
    """

    def __init__(
        self,
        build: Build,
        preferences: Preferences,
        draft: TypedLayout | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._build, self._preferences, self._draft = build, preferences, draft
        self._units = preferences.choices.units_shown
        self.is_edited = False
        self.removed = False
        self._is_fitted = False
        self.setWindowTitle("Belt layout")
        self.rows, self.tensioner = PulleyRows(), TensionerForm()
        self.sense = choice_box(SENSES, "either", "Way the crank turns")
        self.back_offset = TextBox(CELL_ROOM, "Pitch line over a pulley on the belt's back")
        self.sentence, self.fit_line = QLabel(), QLabel()
        self.sentence.setObjectName("sentence")
        for label in (self.sentence, self.fit_line):
            label.setWordWrap(True)
        choices = preferences.choices
        look = replace(PALETTES[choices.theme], text_scale=choices.text_scale)
        self.chart = BeltChart(palette=look)
        self._palette = look
        self._last = ExportChoice("belt")
        self._make_buttons()
        self._lay_out()
        self.rows.changed.connect(self._on_rows)
        self.tensioner.changed.connect(self._on_edit)
        self.sense.currentIndexChanged.connect(self._on_sense)
        self.back_offset.textEdited.connect(self._on_back_offset)
        self.typed = TypedLayout()
        plan = build.layout or two_pulleys(build.drive)
        self.show_typed(typed_of(plan, self._units))

    def _make_buttons(self) -> None:
        self.add = QPushButton("&Add a pulley")
        self.add.clicked.connect(self.rows.add)
        self.examples = {}
        for words, make in EXAMPLES.items():
            button = QPushButton(words)
            button.setToolTip("An invented layout to begin with; only while nothing is typed")
            button.clicked.connect(lambda _=False, make=make: self._take_example(make))
            self.examples[words] = button
        self.bring_back = QPushButton("Bring back what was typed")
        self.bring_back.setToolTip("What was typed here before and not taken over")
        self.bring_back.setVisible(self._draft is not None)
        self.bring_back.clicked.connect(self._take_draft)
        self.export = QPushButton("&Export the drawing\u2026")
        self.export.clicked.connect(self._export)
        self.remove = QPushButton("&Remove the layout")
        self.remove.setToolTip("Back to the typed wraps")
        self.remove.setEnabled(self._build.layout is not None)
        self.remove.clicked.connect(self._remove)
        kinds = QDialogButtonBox.StandardButton
        self.buttons = QDialogButtonBox(kinds.Ok | kinds.Cancel)
        self.buttons.button(kinds.Ok).setText("Take over")
        self.buttons.addButton(self.remove, QDialogButtonBox.ButtonRole.ResetRole)
        self.buttons.addButton(self.export, QDialogButtonBox.ButtonRole.ActionRole)
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        for button in (
            self.add,
            *self.examples.values(),
            self.bring_back,
            self.export,
            self.remove,
        ):
            button.setAutoDefault(False)

    def _lay_out(self) -> None:
        head = QLabel(HEAD + ("" if self._build.drive.kind == "belt" else NO_BELT))
        head.setObjectName("headline")
        head.setWordWrap(True)
        begin = QHBoxLayout()
        for button in (self.add, *self.examples.values(), self.bring_back):
            begin.addWidget(button)
        begin.addStretch(1)
        more = QGridLayout()
        for row, (words, box) in enumerate(
            (
                ("&Crank turns", self.sense),
                (f"&{BACK_OFFSET.heading(self._units)}", self.back_offset),
            )
        ):
            label = QLabel(words)
            label.setBuddy(box)
            more.addWidget(label, row, 0)
            more.addWidget(box, row, 1)
        more.setColumnStretch(2, 1)
        inner = QWidget()
        column = QVBoxLayout(inner)
        column.addWidget(self.rows)
        column.addLayout(begin)
        column.addWidget(self.tensioner)
        column.addLayout(more)
        column.addStretch(1)
        self.scroll = scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setWidget(inner)
        caution = QLabel(CAUTIONS["belt"])
        caution.setObjectName("caution")
        caution.setWordWrap(True)
        right = QWidget()
        beside = QVBoxLayout(right)
        beside.setContentsMargins(0, 0, 0, 0)
        for widget in (self.chart, self.sentence, self.fit_line, caution):
            beside.addWidget(widget, 1 if widget is self.chart else 0)
        self.split = split = QSplitter(Qt.Orientation.Horizontal)
        split.addWidget(scroll)
        split.addWidget(right)
        split.setStretchFactor(1, 1)
        split.setChildrenCollapsible(False)
        layout = QVBoxLayout(self)
        layout.addWidget(head)
        layout.addWidget(split, 1)
        layout.addWidget(self.buttons)

    def showEvent(self, event: QShowEvent) -> None:
        """Give the table the room that it needs in the size of its text."""
        super().showEvent(event)
        if not self._is_fitted:
            self._is_fitted = True
            self._fit_window()

    def _fit_window(self) -> None:
        """Room for the whole table beside the drawing, as far as the screen has it."""
        for widget in self.scroll.findChildren(QWidget):
            widget.ensurePolished()
        self.scroll.widget().layout().activate()
        bar = self.scroll.verticalScrollBar().sizeHint().width()
        left = self.scroll.widget().minimumSizeHint().width() + bar + 6
        beside = round(self._palette.sized(LEAST_DRAWING))
        room = self.screen().availableSize()
        # no wider than the window it belongs to, which may be all there is
        owner = self.parentWidget()
        most = room.width() if owner is None else min(room.width(), owner.window().width())
        wide = min(left + beside, most - 20)
        self.resize(wide, min(round(self._palette.sized(TALL)), room.height() - 60))
        self.split.setSizes([min(left, round(MOST_SHARE * wide)), wide - left])

    # what is typed

    def show_typed(self, typed: TypedLayout) -> None:
        """Show a layout as typed."""
        self.typed = typed
        drive = self._build.drive
        own = {"crank": drive.crank_pulley_diameter, "blower": fitted_diameter(drive)}
        diameter = PULLEY_CELLS["diameter"]
        texts = {role: diameter.write(size, self._units) for role, size in own.items()}
        self.rows.show_typed(typed, texts, self._units)
        self.tensioner.show_typed(typed, self._units)
        self.back_offset.setText(typed.back_offset.text)
        offset = drive.section.back_offset.value
        words = "none known" if offset is None else BACK_OFFSET.write(offset, self._units)
        self.back_offset.setPlaceholderText(words)
        self.sense.blockSignals(True)
        self.sense.setCurrentIndex(self.sense.findData(typed.sense))
        self.sense.blockSignals(False)
        self._refresh()

    def _on_rows(self) -> None:
        self.tensioner.show_names()
        self._on_edit()

    def _on_sense(self, _: int) -> None:
        self.typed.sense = self.sense.currentData()
        self._on_edit()

    def _on_back_offset(self, text: str) -> None:
        self.typed.back_offset.text = text
        self._on_edit()

    def _on_edit(self) -> None:
        self.is_edited = True
        self._refresh()

    def _take_example(self, make) -> None:  # type: ignore[no-untyped-def]
        self.show_typed(typed_of(make(self._build.drive), self._units))

    def _take_draft(self) -> None:
        if self._draft is not None:
            self.show_typed(self._draft)
            self._on_edit()

    # what is shown of it

    def _refresh(self) -> None:
        reading = read_typed(self.typed, self._build.drive, self._units)
        fault = reading.fault
        self.chart.set_belt(self._series(reading))
        self.sentence.setText("" if fault is None else fault.sentence)
        self.sentence.setVisible(fault is not None)
        self.rows.mark(*((None, "") if fault is None else (fault.row, fault.key)))
        key = "" if fault is None or fault.row is not None else fault.key
        self.tensioner.mark(key)
        set_wrong(self.back_offset, key == "back_offset")
        self.fit_line.setText(self._fit_words(reading) if fault is None else "")
        for button in self.examples.values():
            button.setEnabled(not self.is_edited)
        self.bring_back.setEnabled(not self.is_edited)

    def _series(self, reading: Reading) -> BeltSeries:
        drive, units = self._build.drive, self._units
        if reading.plan is not None:
            return belt_series(reading.plan, drive, units)
        words = "" if reading.fault is None else reading.fault.sentence
        return loose_series(reading.pulleys, drive, units, words)

    def _fit_words(self, reading: Reading) -> str:
        inputs = replace(fit_inputs(self._build), plan=reading.plan)
        return fit_words(belt_fit(inputs), self._build.drive, self._units)

    # leaving

    def build(self) -> Build:
        """The build with the layout as typed, or without one; raises InputError."""
        if self.removed:
            return replace(self._build, layout=None)
        reading = read_typed(self.typed, self._build.drive, self._units)
        if reading.plan is None:
            raise InputError("layout", None, "a layout without a fault")
        return replace(self._build, layout=reading.plan)

    @property
    def words(self) -> str:
        """What is done, for the history."""
        return "Remove the belt layout" if self.removed else "Change the belt layout"

    def accept(self) -> None:
        """Take the layout over where the build takes it; else go to what is at fault."""
        fault = read_typed(self.typed, self._build.drive, self._units).fault
        try:
            self.build()
        except InputError as error:
            if fault is None:
                self.sentence.setText(refusal(error))
                self.sentence.show()
            elif fault.row is not None and fault.key in self.rows.boxes[fault.row]:
                self.rows.boxes[fault.row][fault.key].setFocus()
            elif fault.key in self.tensioner.boxes:
                self.tensioner.boxes[fault.key].setFocus()
            return
        super().accept()

    def _remove(self) -> None:
        self.removed = True
        super().accept()

    def _export(self) -> None:
        """Ask for a kind and a file, and write the drawing as it stands."""
        self._last = ask_export(self, self._preferences, self.drawing(), self._last)

    def drawing(self) -> Drawing:
        """The drawing as it stands, for its files."""
        title, series = self._build.title, self.chart.series
        numbers = "" if series is None else belt_csv(series, (("build", title),))
        return Drawing(self.chart, self._palette, title, self._build.invented, numbers)
