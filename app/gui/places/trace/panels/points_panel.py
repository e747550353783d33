"""Points typed or pasted without a picture: a table, its faults, import and export."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QModelIndex, Qt, Signal
from PySide6.QtGui import QColor, QGuiApplication, QKeyEvent, QKeySequence
from PySide6.QtWidgets import (
    QAbstractItemView,
    QCompleter,
    QGridLayout,
    QHeaderView,
    QLineEdit,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from app.gui.copying import offer_copy
from app.gui.places.trace.panels.parts import TracePanel, push_button, put_words, words_label
from app.gui.places.trace.panels.points_model import PointsModel
from app.gui.places.trace.panels.points_text import (
    CURVE,
    FLOW,
    NAMES,
    RATIO,
    VALUE,
    TypedPoint,
    read_table,
    table_text,
)
from app.gui.theme import state_colors
from app.present.trace_words import KINDS
from engine_model.errors import InputError

ROWS_SHOWN = 10
"""Rows that the table has room for."""

KEEPS = "the former points stay until then"


class CellEditor(QStyledItemDelegate):
    """Editor of a cell; the names of the curves are completed."""

    def createEditor(
        self, parent: QWidget, option: QStyleOptionViewItem, index: QModelIndex
    ) -> QWidget:
        """Make a line of text."""
        editor = QLineEdit(parent)
        editor.setFrame(False)
        editor.setAccessibleName(f"{NAMES[index.column()]}, row {index.row() + 1}")
        if index.column() == CURVE:
            names = QCompleter(list(KINDS.values()), editor)
            names.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
            names.setCompletionMode(QCompleter.CompletionMode.InlineCompletion)
            editor.setCompleter(names)
        else:
            editor.setAlignment(Qt.AlignmentFlag.AlignRight)
        return editor


class PointsTable(QTableView):
    """The table itself: pastes, clears cells, and steps on with Enter."""

    paste_pressed = Signal()
    clear_pressed = Signal()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Paste, delete, Enter."""
        if self.state() == QAbstractItemView.State.EditingState:
            super().keyPressEvent(event)  # the editor has done with it
        elif event.matches(QKeySequence.StandardKey.Paste):
            self.paste_pressed.emit()
        elif event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self.clear_pressed.emit()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.edit(self.currentIndex())
        else:
            super().keyPressEvent(event)


class PointsPanel(TracePanel):
    """Table of points without a picture.

    Signals
    -------
    points_edited(points)
        All rows are without fault and come to other points: a tuple of `TypedPoint`.
    import_asked(), export_asked()
        A CSV file is to be read, or written.
    """

    points_edited = Signal(tuple)
    import_asked = Signal()
    export_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._reading: tuple[str | None, bool, bool] = (None, False, False)
        self._told = ""
        self.model = PointsModel(self)
        self.table = PointsTable()
        self.table.setModel(self.model)
        self.table.setItemDelegate(CellEditor(self.table))
        self.words = words_label()
        self.sentence = words_label("sentence")
        self.add = push_button("Add row", "An empty row under the chosen one", self._add)
        self.remove = push_button("Delete rows", "Delete the chosen rows", self._remove)
        self.paste = push_button(
            "Paste",
            "Rows copied from a spreadsheet (Ctrl+V): four columns, or flow and pressure ratio; "
            "parted by tabs, semicolons or commas, decimal commas too",
            self.paste_clipboard,
        )
        self.bring = push_button(
            "Import CSV\u2026",
            "A table in long form: curve,value,flow [kg/s],pressure_ratio",
            self.import_asked.emit,
        )
        self.export = push_button(
            "Export CSV\u2026", "Writes the same table as a file", self.export_asked.emit
        )
        self._set_up_table()
        grid = QGridLayout()
        grid.setSpacing(3)
        for place, button in enumerate((self.add, self.remove, self.paste, self.bring)):
            grid.addWidget(button, place // 2, place % 2)
        grid.addWidget(self.export, 2, 0, 1, 2)
        for widget in (self.table, self.sentence, self.words):
            self.column.addWidget(widget)
        self.column.addLayout(grid)
        self.model.taken.connect(self.points_edited)
        self.model.judged.connect(self._tell)
        self.table.paste_pressed.connect(self.paste_clipboard)
        self.table.clear_pressed.connect(self._clear)
        self.table.selectionModel().currentChanged.connect(self._moved)
        offer_copy(self.table, self.text_rows, self.chosen_rows)
        self.recolour(self.theme)
        self._tell()

    def _set_up_table(self) -> None:
        table = self.table
        table.setAccessibleName("Points of the curves")
        table.setAlternatingRowColors(True)
        table.setTabKeyNavigation(False)
        table.setWordWrap(False)
        table.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        triggers = QAbstractItemView.EditTrigger
        table.setEditTriggers(
            triggers.DoubleClicked | triggers.AnyKeyPressed | triggers.EditKeyPressed
        )
        table.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        down, across = table.verticalHeader(), table.horizontalHeader()
        tall = table.fontMetrics().height() + 6
        down.setDefaultSectionSize(tall)
        down.setMinimumWidth(24)
        across.setMinimumSectionSize(40)
        across.setHighlightSections(False)
        for column in (FLOW, RATIO):
            across.setSectionResizeMode(column, QHeaderView.ResizeMode.Stretch)
        for column, widest in ((CURVE, "choke line"), (VALUE, "46\u202f000 rpm")):
            across.resizeSection(column, table.fontMetrics().horizontalAdvance(widest) + 8)
        table.setMinimumHeight(ROWS_SHOWN * tall + across.sizeHint().height() + tall)

    # what it shows

    def set_points(self, points: Sequence[TypedPoint]) -> None:
        """Show points; cells stay as typed where they come to the same; emits nothing."""
        self._told = ""
        self.model.set_points(points)

    def set_unit(self, unit: str | None, is_volume: bool) -> None:
        """Read bare flows in a unit; emits nothing."""
        self._reading = (unit, is_volume, self._reading[2])
        self.model.set_reading(*self._reading)

    def set_thousands(self, thousands: bool) -> None:
        """Read bare speeds in 1000 rpm; emits nothing."""
        self._reading = (*self._reading[:2], thousands)
        self.model.set_reading(*self._reading)

    def set_row_faults(self, faults: dict[int, str]) -> None:
        """Show sentences at rows, from 0, such as a check of the table gives; emits nothing."""
        self.model.set_row_faults(faults)

    def table_text(self) -> str:
        """The table as the model reads it; row k is its line k + 2. Empty while at fault."""
        model = self.model
        if model.read.faults or model.read.missing or not model.read.points:
            return ""
        return table_text(model.cells, model.read, self._reading[0] or "kg/s")

    def say(self, sentence: str) -> None:
        """Show what could not be done, such as a file refused."""
        put_words(self.sentence, sentence)

    def recolour(self, theme: str) -> None:
        """Take the colours of a theme."""
        super().recolour(theme)
        color = QColor(state_colors(theme)["over"])
        color.setAlpha(70)
        self.model.fault_color = color
        self.table.viewport().update()

    def text_rows(self) -> list[list[str]]:
        """Rows of text as they stand, titles with units first."""
        rows = [list(cells) for cells in self.model.cells[:-1]]
        return [[self.model.heading(column) for column in range(len(NAMES))], *rows]

    def chosen_rows(self) -> list[list[str]]:
        """Chosen cells as they stand, without titles: they paste back where they came from."""
        chosen = self.table.selectionModel().selectedIndexes()
        if not chosen:
            return []
        rows = sorted({index.row() for index in chosen})
        columns = sorted({index.column() for index in chosen})
        return [[self.model.cells[row][column] for column in columns] for row in rows]

    # what the user does

    def paste_clipboard(self) -> None:
        """Take what is on the clipboard."""
        self.paste_text(QGuiApplication.clipboard().text())

    def paste_text(self, text: str) -> None:
        """Write the rows of a text from the current row on; what is wrong with it is told."""
        try:
            pasted = read_table(text)
        except InputError as error:
            self.say(f"Not pasted: {error.value}; needed: {error.allowed}")
            return
        at, width = self.table.currentIndex(), len(pasted.rows[0])
        top = at.row() if at.isValid() else len(self.model.cells) - 1
        # flow and pressure ratio come last; a single column stands where the cursor is
        left = max(0, at.column()) if width == 1 else len(NAMES) - width
        self._told = pasted.told
        self.model.put_cells(top, left, pasted.rows)
        self.table.setCurrentIndex(self.model.index(min(top, len(self.model.cells) - 1), left))

    def _add(self) -> None:
        self._told = ""
        row = self.table.currentIndex().row()
        below = len(self.model.cells) - 1 if row < 0 else min(row + 1, len(self.model.cells) - 1)
        self.model.insert_row(below)
        self.table.setFocus()
        self.table.setCurrentIndex(self.model.index(below, CURVE))

    def _remove(self) -> None:
        self._told = ""
        chosen = {index.row() for index in self.table.selectionModel().selectedIndexes()}
        first = min(chosen, default=0)
        self.model.remove(sorted(chosen))
        self.table.setCurrentIndex(self.model.index(min(first, len(self.model.cells) - 1), CURVE))

    def _clear(self) -> None:
        self._told = ""
        self.model.clear_cells(self.table.selectionModel().selectedIndexes())

    def _moved(self, current: QModelIndex, _: QModelIndex) -> None:
        self.model.set_current(current.row())

    def _tell(self) -> None:
        """Say what is wrong, first of all in the current cell, else what was done."""
        faults = self.model.faults()
        at = self.table.currentIndex()
        place = (at.row(), at.column())
        if faults:
            place = place if place in faults else next(iter(faults))
            count = len(faults)
            words = f"Row {place[0] + 1}, {faults[place]}. "
            if len(self.model.read.faults) + len(self.model.read.missing):
                words += f"{count} cell{'s' * (count > 1)} to be mended; {KEEPS}."
            put_words(self.sentence, words)
            put_words(self.words, self._told)
            return
        put_words(self.sentence, "")
        pending = self.model.pending()
        count = len(self.model.points)
        said = f"{count} point{'s' * (count != 1)}" if count else "No points: type or paste them"
        put_words(self.words, pending or self._told or said)
