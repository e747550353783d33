"""One row of a table's editor: two boxes, a button that removes it, a sentence."""

from __future__ import annotations

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QGuiApplication, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QGridLayout, QLabel, QLineEdit, QToolButton, QWidget

from app.fields import TableColumn, Units, is_bare, read_cell, unit_of
from app.present.sentences import refusal
from engine_model.errors import InputError


class Cell(QLineEdit):
    """One number; text of several lines or columns goes to the editor instead.

    Signals
    -------
    pasted(text)
        A table was pasted here.
    """

    pasted = Signal(str)

    def __init__(self, column: TableColumn, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.column = column
        self._value: float | None = None
        self._shown = ""
        self.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.setMinimumWidth(52)

    def show_value(self, value: float, units: Units) -> None:
        """Show a value; emits nothing."""
        self._value, self._shown = value, self.column.write(value, units)
        with QSignalBlocker(self):
            self.setText(self._shown)
            self.setCursorPosition(0)

    def show_text(self, text: str) -> None:
        """Show a text as typed; emits nothing."""
        self._value = None
        with QSignalBlocker(self):
            self.setText(text)
            self.setCursorPosition(0)

    def change_units(self, former: Units, units: Units) -> None:
        """Show in other units; a bare number typed here keeps the unit it was typed in."""
        if self._value is not None and self.text() == self._shown:
            self.show_value(self._value, units)
        elif is_bare(self.text()):
            symbol = unit_of(self.column.display, former)
            self.show_text(self.text() if symbol == "-" else f"{self.text().strip()} {symbol}")

    @property
    def is_empty(self) -> bool:
        """Whether nothing stands in it."""
        return not self.text().strip()

    def read(self, units: Units) -> float:
        """Value, SI; the one shown, unrounded, where nothing was typed over it.

        Raises
        ------
        InputError
            When the text is not allowed.
        """
        if self._value is not None and self.text() == self._shown:
            return self._value
        return read_cell(self.column, self.text(), units)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """A pasted table goes to the editor."""
        if event.matches(QKeySequence.StandardKey.Paste):
            text = QGuiApplication.clipboard().text()
            if "\t" in text or "\n" in text.strip():
                self.pasted.emit(text)
                return
        super().keyPressEvent(event)


class TableRow(QWidget):
    """Two cells, a button that removes the row, and what is wrong with it.

    Signals
    -------
    finished()
        A cell was left or Enter was pressed.
    removed()
        The button was pressed.
    pasted(text)
        A table was pasted into a cell.
    """

    finished = Signal()
    removed = Signal()
    pasted = Signal(str)

    def __init__(
        self, columns: tuple[TableColumn, TableColumn], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.cells = tuple(Cell(column) for column in columns)
        self.sentence = QLabel()
        self.sentence.setObjectName("sentence")
        self.sentence.setWordWrap(True)
        self.sentence.hide()
        self.remove = QToolButton()
        self.remove.setText("\u00d7")
        self.remove.setAutoRaise(True)
        self.remove.setToolTip("Remove this row")
        self.remove.clicked.connect(self.removed)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(3)
        grid.setVerticalSpacing(0)
        for column, cell in enumerate(self.cells):
            grid.addWidget(cell, 0, column)
            grid.setColumnStretch(column, 1)
            cell.editingFinished.connect(self.finished)
            cell.pasted.connect(self.pasted)
        grid.addWidget(self.remove, 0, 2)
        grid.addWidget(self.sentence, 1, 0, 1, 3)

    def height_at(self, width: int) -> int:
        """Height with the sentence wrapped in a width [px]."""
        height = max(cell.sizeHint().height() for cell in self.cells)
        told = bool(self.sentence.text())
        return height + (self.sentence.heightForWidth(width) if told else 0)

    def set_number(self, number: int) -> None:
        """Name the row's widgets by its number."""
        for cell in self.cells:
            cell.setAccessibleName(f"{cell.column.label}, row {number}")
        self.remove.setAccessibleName(f"Remove row {number}")

    @property
    def is_empty(self) -> bool:
        """Whether nothing stands in it."""
        return all(cell.is_empty for cell in self.cells)

    def show_values(self, pair: tuple[float, float], units: Units) -> None:
        """Show both values; emits nothing."""
        for cell, value in zip(self.cells, pair, strict=True):
            cell.show_value(value, units)

    @property
    def is_busy(self) -> bool:
        """Whether the user is still in it with one number missing."""
        return any(cell.hasFocus() for cell in self.cells) and any(
            cell.is_empty for cell in self.cells
        )

    def read(self, units: Units) -> tuple[float, float] | None:
        """Both values, SI; nothing, with a sentence beside the row, where one is not allowed."""
        values = []
        for cell in self.cells:
            try:
                values.append(cell.read(units))
            except InputError as error:
                if not self.is_busy:
                    words = f"{error.field}: {refusal(error)}"
                    if cell.is_empty:
                        words = f"{error.field} is missing"
                    self.say(words)
                return None
        return values[0], values[1]

    def say(self, sentence: str) -> None:
        """Show what is wrong with the row; an empty sentence clears it."""
        self.sentence.setText(sentence)
        self.sentence.setVisible(bool(sentence))
        for cell in self.cells:
            cell.setProperty("wrong", bool(sentence))
            style = cell.style()
            style.unpolish(cell)
            style.polish(cell)
