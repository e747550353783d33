"""Editor of a table of two columns: rows of boxes, paste from a spreadsheet, a sketch."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QGuiApplication, QResizeEvent
from PySide6.QtWidgets import (
    QBoxLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.fields import (
    Field,
    Units,
    columns_of,
    quantity_of,
    read_paste,
    rise_faults,
    unit_of,
    write_value,
)
from app.gui.copying import TextCopy
from app.gui.widgets.table_row import TableRow
from app.gui.widgets.table_sketch import TableSketch
from engine_model.errors import InputError
from engine_model.units import from_si

Table = tuple[tuple[float, float], ...]

BESIDE_FROM = 380
"""Width from which the sketch stands beside the rows [px]."""

ROWS_SHOWN = 8


class TableEditor(QWidget):
    """Rows of two numbers with their units; wrong rows are kept as typed and told.

    Signals
    -------
    entered(value)
        A whole table without fault was entered, SI, rising; None for blank.
    """

    entered = Signal(object)

    def __init__(self, field: Field, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.field = field
        self.columns = columns_of(field)
        self._units: Units = "si"
        self._value: Table | None = None
        self.rows: list[TableRow] = []
        self.setAccessibleName(field.label)
        self.headings = [QLabel(), QLabel()]
        for label in self.headings:
            label.setWordWrap(True)
            label.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.words = QLabel()
        self.words.setObjectName("headline")
        self.words.setWordWrap(True)
        self.sketch = TableSketch()
        self.add = self._button("Add row", "Add a row at the end", self.add_row)
        self.paste = self._button(
            "Paste", "Replace the rows by two columns copied from a spreadsheet", self._paste
        )
        self.back = self._button("Put back", "Drop what is not taken yet", self.put_back)
        self.blank = self._button("Blank", f"Blank; {field.row.origin}", self._to_blank)
        self.blank.setVisible(field.row.optional)
        self._lay_out()
        self._rebuild()

    def _button(self, text: str, tip: str, slot: object) -> QPushButton:
        button = QPushButton(text)
        button.setToolTip(tip)
        button.setAutoDefault(False)
        button.clicked.connect(slot)
        return button

    def _lay_out(self) -> None:
        heading = QHBoxLayout()
        heading.setContentsMargins(0, 0, 26, 0)
        for label in self.headings:
            heading.addWidget(label, 1)
        inner = QWidget()
        self._column = QVBoxLayout(inner)
        self._column.setContentsMargins(0, 0, 2, 0)
        self._column.setSpacing(2)
        self._column.addStretch(1)
        self._scroll = QScrollArea()
        self._scroll.setWidgetResizable(True)
        self._scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._scroll.setFrameShape(QScrollArea.Shape.NoFrame)
        self._scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._scroll.setWidget(inner)
        buttons = [QHBoxLayout(), QHBoxLayout()]
        for layout, pair in zip(
            buttons, ((self.add, self.paste), (self.back, self.blank)), strict=True
        ):
            for button in pair:
                layout.addWidget(button, 1)
        left = QVBoxLayout()
        left.setSpacing(2)
        left.addLayout(heading)
        left.addWidget(self._scroll)
        for layout in buttons:
            left.addLayout(layout)
        left.addWidget(self.words)
        self._across = QBoxLayout(QBoxLayout.Direction.TopToBottom, self)
        self._across.setContentsMargins(0, 2, 0, 4)
        self._across.addLayout(left, 1)
        self._across.addWidget(self.sketch, 1, Qt.AlignmentFlag.AlignTop)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Put the sketch beside the rows where there is room."""
        beside = event.size().width() >= BESIDE_FROM
        ways = QBoxLayout.Direction
        self._across.setDirection(ways.LeftToRight if beside else ways.TopToBottom)
        super().resizeEvent(event)
        self._size()

    @property
    def value(self) -> Table | None:
        """The table taken last."""
        return self._value

    def set_value(self, value: Table | None) -> None:
        """Show a table; emits nothing, and keeps what is being typed where nothing changed."""
        if value != self._value:
            self._value = value
            self._rebuild()

    def set_system(self, units: Units) -> None:
        """Show in other units; emits nothing; rows not taken yet keep what was typed."""
        if units == self._units:
            return
        for row in self.rows:
            for cell in row.cells:
                cell.change_units(self._units, units)
        self._units = units
        self._tell(self.words.text() if self.back.isEnabled() else "")

    def put_back(self) -> None:
        """Show the table taken last again; emits nothing."""
        self._rebuild()

    def add_row(self) -> None:
        """Add an empty row and put the cursor there."""
        row = self._append()
        self._say(f"type {self.columns[0].label} and {self.columns[1].label}")
        self.back.setEnabled(True)
        row.cells[0].setFocus()
        self._scroll.ensureWidgetVisible(row)

    def paste_text(self, text: str) -> None:
        """Take the rows of a text; what is wrong is told and nothing that stood here is lost."""
        try:
            pasted = read_paste(text, self.columns, self.field.path)
        except InputError as error:
            self._say(f"not pasted: {error.value}; needed: {error.allowed}")
            return
        self._clear()
        for pair in pasted.rows:
            row = self._append()
            for cell, typed in zip(row.cells, pair, strict=True):
                cell.show_text(typed)
        self._take(pasted.told)

    def _paste(self) -> None:
        self.paste_text(QGuiApplication.clipboard().text())

    def _to_blank(self) -> None:
        self._value = None
        self._rebuild()
        self.entered.emit(None)

    def _append(self) -> TableRow:
        row = TableRow(self.columns)
        row.finished.connect(self._take)
        row.pasted.connect(self.paste_text)
        row.removed.connect(lambda: self._remove(row))
        self.rows.append(row)
        row.set_number(len(self.rows))
        for cell in row.cells:
            TextCopy(cell, self.text_rows)
        self._column.insertWidget(len(self.rows) - 1, row)
        return row

    def text_rows(self) -> list[list[str]]:
        """Rows of text as they stand, titles with units first."""
        shown = [[cell.text() for cell in row.cells] for row in self.rows if not row.is_empty]
        return [[column.heading(self._units) for column in self.columns], *shown]

    def _drop(self, row: TableRow) -> None:
        row.blockSignals(True)
        row.hide()
        self._column.removeWidget(row)
        row.deleteLater()

    def _clear(self) -> None:
        for row in self.rows:
            self._drop(row)
        self.rows = []

    def _remove(self, row: TableRow) -> None:
        if len(self.rows) == 1 and not self.field.row.optional:
            row.say("one row must stay")
            return
        self.rows.remove(row)
        self._drop(row)
        for number, one in enumerate(self.rows, 1):
            one.set_number(number)
        if self.rows:
            self._take()
        else:
            self._to_blank()

    def _rebuild(self) -> None:
        self._clear()
        for pair in self._value or ():
            row = self._append()
            row.show_values(pair, self._units)
        self._tell("")

    def _size(self) -> None:
        """As tall as the rows with their sentences, up to so many rows; more are scrolled."""
        width = max(self._scroll.viewport().width() - 4, 1)
        tall = sum(row.height_at(width) + 2 for row in self.rows)
        most = ROWS_SHOWN * (self.rows[0].cells[0].sizeHint().height() + 2) if self.rows else 0
        self._scroll.setFixedHeight(min(tall, most))

    def _tell(self, words: str) -> None:
        """Words under the rows, buttons and sketch, of the table taken last."""
        self.back.setEnabled(bool(words))
        self.blank.setEnabled(self._value is not None)
        origin = self.field.row.origin
        self._say(words or ("" if self._value else f"blank; {origin}"))
        labels = tuple(column.heading(self._units) for column in self.columns)
        for label, heading in zip(self.headings, labels, strict=True):
            label.setText(heading)
        points = [self._shown(pair) for pair in self._value or ()]
        self.sketch.show_curve(points, (labels[0], labels[1]), f"no table: {origin}")

    def _say(self, words: str) -> None:
        self.words.setText(words)
        self.words.setVisible(bool(words))
        self._size()

    def _shown(self, pair: tuple[float, float]) -> tuple[float, float]:
        x, y = (
            float(from_si(v, unit_of(c.display, self._units), quantity_of(c.display)))
            for v, c in zip(pair, self.columns, strict=True)
        )
        return x, y

    def _take(self, told: str = "") -> None:
        """Take the rows as a table where none is at fault, else tell and keep them as typed."""
        for row in self.rows:
            row.say("")
        filled = [row for row in self.rows if not row.is_empty]
        pairs = [row.read(self._units) for row in filled]
        good = [pair for pair in pairs if pair is not None]
        if len(good) < len(pairs):
            count = len(pairs) - len(good)
            if not any(row.is_busy for row in filled) or told:
                kept = "the former table stays until then" if self._value else "blank until then"
                start = f"{told}; " if told else ""
                self._tell(f"{start}{count} of {len(pairs)} rows to be mended; {kept}")
            return
        twice = rise_faults(self.columns[0], [pair[0] for pair in good], self._units)
        for number, sentence in twice.items():
            filled[number].say(sentence)
        if twice or not good:
            words = f"{self.columns[0].label} stands twice" if twice else "no rows"
            kept = "the former table stays until then" if self._value else "blank until then"
            self._tell(f"{words}; {kept}")
            return
        table = tuple(sorted(good))
        if table == self._value:
            self._rebuild() if told else self._tell("")
            return
        self._value = table
        moved = table != tuple(good)
        if moved or told:
            self._rebuild()
        for row, pair in zip(() if moved or told else filled, good, strict=False):
            row.show_values(pair, self._units)
        self._tell("")
        words = [told] if told else []
        words += [f"sorted by {self.columns[0].label}"] if moved else []
        self._say(", ".join(words))
        self.entered.emit(table)

    @property
    def summary(self) -> str:
        """The table in a few words, for a button."""
        return write_value(self.field, self._value) or "blank"
