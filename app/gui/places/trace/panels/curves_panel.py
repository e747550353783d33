"""The list of traced curves: chosen, relabelled, cut, joined, turned, deleted."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QItemSelectionModel, QModelIndex, QSignalBlocker, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QShowEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QGridLayout,
    QHeaderView,
    QMenu,
    QSizePolicy,
    QTableView,
    QToolButton,
    QWidget,
)

from app.gui.copying import offer_copy
from app.gui.places.trace.panels.curves_model import (
    KIND,
    OFF,
    POINTS,
    VALUE,
    CurveRow,
    CurvesModel,
)
from app.gui.places.trace.panels.parts import TracePanel, put_words, tool_button, words_label
from app.gui.theme import state_colors
from app.gui.widgets.swatch import state_icon
from app.present.trace_words import KINDS, value_text

COPIED = ("Curve", "Value", "Points", "What is found")
"""Titles of the columns when copied."""

SHOWN = (4, 10)
"""Fewest and most rows that the list has room for."""


class CurvesTable(QTableView):
    """The list itself; Delete asks for the chosen curve's end, Enter edits its value."""

    delete_pressed = Signal()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Delete and Enter; letters are left to the keys of the place."""
        key = event.key()
        if self.state() == QAbstractItemView.State.EditingState:
            super().keyPressEvent(event)  # the editor has done with it
        elif key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self.delete_pressed.emit()
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.currentIndex().isValid():
            self.edit(self.currentIndex().siblingAtColumn(VALUE))
        elif event.text().isalpha() and not event.modifiers():
            event.ignore()
        else:
            super().keyPressEvent(event)

    def sizeHint(self) -> QSize:
        """Room for the rows there are, within bounds."""
        rows = max(SHOWN[0], min(SHOWN[1], self.model().rowCount()))
        tall = rows * self.verticalHeader().defaultSectionSize()
        return QSize(240, tall + self.horizontalHeader().sizeHint().height() + 4)

    def minimumSizeHint(self) -> QSize:
        """As the hint is: the column scrolls."""
        return QSize(120, self.sizeHint().height())


class CurvesPanel(TracePanel):
    """Shows the traced curves; every change is asked for.

    Signals
    -------
    chosen(index)
        A curve was chosen; -1 none.
    relabelled(index, value)
        A value was typed: corrected speed [rpm], efficiency as a share; None for blank.
    kind_asked(index, kind)
        A curve is to be of another kind.
    delete_asked(index), split_asked(index), reverse_asked(index), follow_asked(index)
        A curve is to be deleted, cut at the chosen point, turned, drawn along the ink again.
    closed_asked(index, closed)
        An island is to be closed or opened.
    join_asked(index, other)
        Two curves are to be made one; the first keeps value and direction.
    """

    chosen = Signal(int)
    relabelled = Signal(int, object)
    kind_asked = Signal(int, str)
    delete_asked = Signal(int)
    split_asked = Signal(int)
    reverse_asked = Signal(int)
    follow_asked = Signal(int)
    closed_asked = Signal(int, bool)
    join_asked = Signal(int, int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._can_split = False
        self.model = CurvesModel(self)
        self.table = CurvesTable()
        self.table.setModel(self.model)
        self._set_up_table()
        self.sentence = words_label("sentence")
        self.words = words_label("detail")
        self.buttons: dict[str, QToolButton] = {}
        self.column.addWidget(self.table)
        self.column.addWidget(self.sentence)
        self.column.addWidget(self.words)
        self._add_buttons()
        self.model.relabelled.connect(self.relabelled)
        self.model.refused.connect(lambda words: put_words(self.sentence, words))
        self.table.delete_pressed.connect(self.buttons["delete"].click)
        self.table.selectionModel().currentRowChanged.connect(self._on_current)
        self.table.selectionModel().selectionChanged.connect(lambda *_: self._enable())
        self.model.modelReset.connect(self._enable)
        offer_copy(self.table, self.text_rows, lambda: self.text_rows(self._picked()))
        self.recolour(self.theme)
        self._enable()

    def _set_up_table(self) -> None:
        table = self.table
        table.setAccessibleName("Traced curves")
        table.setToolTip("Traced curves: F2 or Enter edits a value, Delete deletes a curve")
        table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        table.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        table.setTabKeyNavigation(False)
        table.setShowGrid(False)
        table.setAlternatingRowColors(True)
        table.setWordWrap(False)
        table.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        table.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        down, across = table.verticalHeader(), table.horizontalHeader()
        down.hide()
        down.setDefaultSectionSize(table.fontMetrics().height() + 6)
        across.setHighlightSections(False)
        across.setSectionResizeMode(KIND, QHeaderView.ResizeMode.Stretch)
        for column in (VALUE, POINTS, OFF):
            across.setSectionResizeMode(column, QHeaderView.ResizeMode.ResizeToContents)
        across.setMinimumSectionSize(36)

    def _add_buttons(self) -> None:
        grid = QGridLayout()
        grid.setSpacing(3)
        rows: tuple[tuple[str, str, str, Callable[[], None]], ...] = (
            ("delete", "Delete", "Delete the chosen curves (Delete)", self._delete),
            ("split", "Split", "", lambda: self.split_asked.emit(self.index)),
            ("join", "Join", "", self._join),
            (
                "reverse",
                "Reverse",
                "Let the curve run the other way",
                lambda: self.reverse_asked.emit(self.index),
            ),
            (
                "follow",
                "Follow again",
                "Draw the stretches between its points along the ink again",
                lambda: self.follow_asked.emit(self.index),
            ),
            ("close", "Close", "", self._close),
        )
        for place, (key, text, tip, slot) in enumerate(rows):
            button = tool_button(text, tip, slot, f"{text} the chosen curve")
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            self.buttons[key] = button
            grid.addWidget(button, place // 3, place % 3)
        self.kinds = QMenu(self)
        for kind, name in KINDS.items():
            self.kinds.addAction(name, lambda kind=kind: self.kind_asked.emit(self.index, kind))
        button = tool_button("Make it a\u2026", "Make it a curve of another kind", self._no_act)
        button.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        button.setMenu(self.kinds)
        button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.buttons["kind"] = button
        grid.addWidget(button, 2, 0, 1, 3)
        self.column.addLayout(grid)

    @staticmethod
    def _no_act() -> None:
        """The menu opens by itself."""

    # what it shows

    @property
    def index(self) -> int:
        """Number of the chosen curve; -1 none."""
        picked = self._picked()
        current = self.table.currentIndex().row()
        if current in picked:
            return current
        return picked[0] if picked else -1

    def set_curves(self, rows: Sequence[CurveRow]) -> None:
        """Show the curves; emits nothing."""
        chosen = self.index
        with QSignalBlocker(self):
            self.model.set_rows(rows)
            if self.index != chosen and 0 <= chosen < len(rows):
                self.set_chosen(chosen)
        self.table.updateGeometry()
        self._enable()

    def set_chosen(self, index: int | None) -> None:
        """Show which curve is chosen; emits nothing."""
        with QSignalBlocker(self):
            selection = self.table.selectionModel()
            if index is None or not 0 <= index < len(self.model.rows):
                selection.clear()
            elif self._picked() != [index] or self.table.currentIndex().row() != index:
                flags = QItemSelectionModel.SelectionFlag
                rows = flags.ClearAndSelect | flags.Rows
                selection.setCurrentIndex(self.model.index(index, VALUE), rows)
                self.table.scrollTo(self.model.index(index, VALUE))
        self._enable()

    def set_can_split(self, can_split: bool) -> None:
        """Whether a point is chosen at which the curve can be cut; emits nothing."""
        self._can_split = can_split
        self._enable()

    def set_thousands(self, thousands: bool) -> None:
        """Read bare speeds typed in the list in 1000 rpm; emits nothing."""
        self.model.in_thousands = thousands

    def say(self, sentence: str) -> None:
        """Show what could not be done; an empty sentence clears it."""
        put_words(self.sentence, sentence)

    def text_rows(self, picked: Sequence[int] | None = None) -> list[list[str]]:
        """Rows of text, titles first."""
        rows = self.model.rows
        wanted = range(len(rows)) if picked is None else picked
        told = [
            [
                KINDS[one.kind],
                value_text(one.kind, one.value),
                str(one.points),
                one.words or one.off,
            ]
            for one in (rows[number] for number in wanted)
        ]
        return [list(COPIED), *told]

    def recolour(self, theme: str) -> None:
        """Take the colours of a theme."""
        super().recolour(theme)
        ratio = self.devicePixelRatioF()
        colors = state_colors(theme)
        self.model.set_dials(
            {state: state_icon(state, color, ratio) for state, color in colors.items()}
        )

    def showEvent(self, event: QShowEvent) -> None:
        """Take colours, and the rows' height from the text's."""
        super().showEvent(event)
        self.table.verticalHeader().setDefaultSectionSize(self.fontMetrics().height() + 6)

    # what the user does

    def _picked(self) -> list[int]:
        return sorted(index.row() for index in self.table.selectionModel().selectedRows())

    def _on_current(self, current: QModelIndex, _: QModelIndex) -> None:
        self.chosen.emit(current.row())

    def _enable(self) -> None:
        """Tell about the chosen curve, and which buttons serve."""
        picked = self._picked()
        rows = [self.model.rows[number] for number in picked]
        one = rows[0] if len(rows) == 1 else None
        put_words(self.words, "" if one is None else one.words)
        may_join = len(rows) == 2 and rows[0].kind == rows[1].kind
        may_join = may_join and not any(row.closed for row in rows)
        buttons = self.buttons
        buttons["delete"].setEnabled(bool(rows))
        buttons["split"].setEnabled(one is not None and self._can_split)
        buttons["split"].setToolTip(
            "Cut the curve in two at the chosen point"
            if self._can_split
            else "Choose an inner point of the curve on the picture first"
        )
        buttons["join"].setEnabled(may_join)
        buttons["join"].setToolTip(
            "Make one of the two chosen curves"
            if may_join
            else "Choose two open curves of one kind in the list first (Ctrl and a click)"
        )
        for key in ("reverse", "follow", "kind"):
            buttons[key].setEnabled(one is not None)
        is_island = one is not None and one.kind == "island"
        buttons["close"].setEnabled(is_island)
        opens = one is not None and one.closed
        buttons["close"].setText("Open" if opens else "Close")
        buttons["close"].setToolTip(
            "Take the closing stretch away" if opens else "Let the island return to its first point"
        )
        for action, kind in zip(self.kinds.actions(), KINDS, strict=True):
            action.setEnabled(one is not None and one.kind != kind)

    def _delete(self) -> None:
        for number in reversed(self._picked()):  # the later first: numbers stay true
            self.delete_asked.emit(number)

    def _join(self) -> None:
        one, other = self._picked()
        first = self.index
        self.join_asked.emit(first, other if first == one else one)

    def _close(self) -> None:
        self.closed_asked.emit(self.index, not self.model.rows[self.index].closed)
