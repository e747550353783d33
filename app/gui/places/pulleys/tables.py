"""Tables of the Pulleys place: pulleys at hand, and the grids."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QIcon, QPainter, QPixmap
from PySide6.QtWidgets import (
    QAbstractItemView,
    QLabel,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.fields import Units
from app.gui.copying import offer_copy
from app.gui.widgets.dial import STATES, paint_dial
from app.present.pulley_grid_words import (
    cell_text,
    cell_words,
    grid_table,
    hand_rows,
    row_head,
)
from engine_model.inputs import Build
from engine_model.studies.pulley_grid import RIBS, PulleyGrid
from engine_model.studies.span_records import PulleySpan

SAME = {RIBS: "No limit judged here depends on the ribs: every row is the same."}
"""What is said where the rows do not differ."""

DIAL = 14
"""Size of a dial in a cell [px]."""

LEAST_WORDS = 120
"""Least width of the column of sentences; it takes the room there is [px]."""

SIZE_ROLE = Qt.ItemDataRole.UserRole
"""A pulley's size [m] in the first column."""


def dial_icons(colors: dict[str, QColor]) -> dict[str, QIcon]:
    """Dials of the states as icons."""
    icons = {}
    for state in STATES:
        picture = QPixmap(2 * DIAL, 2 * DIAL)
        picture.setDevicePixelRatio(2.0)
        picture.fill(Qt.GlobalColor.transparent)
        painter = QPainter(picture)
        paint_dial(painter, QRectF(0.5, 0.5, DIAL - 1.0, DIAL - 1.0), state, colors[state])
        painter.end()
        icons[state] = QIcon(picture)
        # as it is in a chosen row too: its colour says something
        icons[state].addPixmap(picture, QIcon.Mode.Selected)
    return icons


class _Table(QTableWidget):
    """A table that is read only, walked with the arrow keys, left with Tab."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setTabKeyNavigation(False)
        self.setWordWrap(False)
        self.setIconSize(QSize(DIAL, DIAL))
        self.setShowGrid(False)
        self.setAlternatingRowColors(True)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)

    def _fit_rows(self) -> None:
        self.verticalHeader().setDefaultSectionSize(self.fontMetrics().height() + 5)


class HandTable(_Table):
    """The present pulley and those of the shelf.

    Signals
    -------
    taken(size)
        A pulley was chosen: double click or Enter. [m]
    """

    taken = Signal(float)

    def __init__(self) -> None:
        super().__init__("Pulleys at hand")
        self.rows: list[list[str]] = []
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.verticalHeader().hide()
        self.itemActivated.connect(self._on_activated)
        offer_copy(self, lambda: self.rows, self._chosen_rows)

    def show_span(self, span: PulleySpan, units: Units, icons: dict[str, QIcon]) -> None:
        """Show the pulleys of a span; emits nothing."""
        self.rows = hand_rows(span, units)
        every = (span.present, *span.shelf)
        head, *body = self.rows
        self._fit_rows()
        across = self.horizontalHeader()
        across.setStretchLastSection(False)
        self.setColumnCount(len(head))
        self.setRowCount(len(body))
        self.setHorizontalHeaderLabels([words.capitalize() for words in head])
        for r, (row, one) in enumerate(zip(body, every, strict=True)):
            for c, words in enumerate(row):
                item = QTableWidgetItem(words)
                if head[c] == "state":
                    item.setIcon(icons[one.state])
                if head[c] in ("pulley", "used"):
                    item.setTextAlignment(
                        Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
                    )
                item.setToolTip(words if r == 0 else f"{words}\nEnter or double click takes it")
                item.setData(SIZE_ROLE, one.diameter)
                self.setItem(r, c, item)
        # once: a header that follows its contents measures them with every item
        self.resizeColumnsToContents()
        across.resizeSection(len(head) - 1, LEAST_WORDS)
        across.setStretchLastSection(True)
        for c, name in enumerate(head):
            right = name in ("pulley", "used")
            side = Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft
            self.horizontalHeaderItem(c).setTextAlignment(side | Qt.AlignmentFlag.AlignVCenter)

    def show_present(
        self, size: str, state: str, icons: dict[str, QIcon], words: list[str]
    ) -> None:
        """Show another present pulley until it is judged again; emits nothing."""
        if self.rowCount() == 0:
            return
        for c, text in enumerate(["present", size, state, *words]):
            item = self.item(0, c)
            if item is not None:
                if c == 2 and item.text() != text:
                    item.setIcon(icons[state])
                if item.text() != text:
                    item.setText(text)
        self.rows[1] = ["present", size, state, *words]

    def _chosen_rows(self) -> list[list[str]]:
        chosen = sorted({index.row() for index in self.selectedIndexes()})
        return [self.rows[0], *(self.rows[1 + r] for r in chosen)] if chosen else self.rows

    def _on_activated(self, item: QTableWidgetItem) -> None:
        if item.row() > 0:
            self.taken.emit(float(item.data(SIZE_ROLE)))


class GridTable(QWidget):
    """One grid: blower pulleys across, crank pulleys or ribs down."""

    def __init__(self, name: str, kind: str) -> None:
        super().__init__()
        self.kind = kind
        self.table = _Table(name)
        self.table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.note = QLabel()
        self.note.setObjectName("headline")
        self.note.setWordWrap(True)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(2)
        layout.addWidget(self.table, 1)
        layout.addWidget(self.note)
        self.grid: PulleyGrid | None = None
        self._units: Units = "si"
        offer_copy(self.table, self._rows)

    def _rows(self) -> list[list[str]]:
        return [] if self.grid is None else grid_table(self.grid, self._units)

    def clear(self, words: str) -> None:
        """Show no grid, and why."""
        self.grid = None
        self.table.setRowCount(0)
        self.table.setColumnCount(0)
        self.note.setText(words)
        self.note.show()

    def show_grid(
        self, grid: PulleyGrid, build: Build, units: Units, icons: dict[str, QIcon]
    ) -> None:
        """Show a grid; emits nothing."""
        self.grid, self._units = grid, units
        table = self.table
        table._fit_rows()
        heads = grid_table(grid, units)[0]
        table.setColumnCount(len(grid.blower_diameters))
        table.setRowCount(len(grid.rows))
        table.setHorizontalHeaderLabels(heads[1:])
        table.setVerticalHeaderLabels([row_head(grid, value, units) for value in grid.rows])
        own = (build.drive.crank_pulley_diameter, float(build.drive.ribs))
        for r, (value, cells) in enumerate(zip(grid.rows, grid.cells, strict=True)):
            head = table.verticalHeaderItem(r)
            font = head.font()
            font.setBold(value in own)
            head.setFont(font)
            for c, cell in enumerate(cells):
                item = QTableWidgetItem(icons[cell.state], cell_text(cell))
                words = cell_words(grid, value, cell, build, units)
                item.setToolTip(words)
                item.setData(Qt.ItemDataRole.AccessibleTextRole, words)
                table.setItem(r, c, item)
        table.resizeColumnsToContents()
        days = ", ".join(grid.days)
        about = (
            f"Tightest limit of the parts on the days {days}, without belt slip; a cell's tooltip "
            "says which. Blower pulley across; the build's own row is bold."
        )
        table.setAccessibleDescription(about)
        table.horizontalHeader().setToolTip(about)
        table.verticalHeader().setToolTip(about)
        shares = [[round(c.entry.used, 9) if c.entry else None for c in row] for row in grid.cells]
        alike = len(shares) > 1 and all(row == shares[0] for row in shares)
        self.note.setText(SAME.get(grid.kind, "") if alike else "")
        self.note.setVisible(bool(self.note.text()))
