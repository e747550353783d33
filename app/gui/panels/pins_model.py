"""What the table of differences shows: the present line, then the pins."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt
from PySide6.QtGui import QIcon

from app.fields import Units
from app.present.pin_table import (
    PRESENT,
    TIGHTEST,
    Column,
    Figures,
    cell_text,
    columns_for,
    difference_rows,
    difference_text,
    head_of,
    tightest_text,
)

Index = QModelIndex | QPersistentModelIndex
Role = Qt.ItemDataRole
STROKE = Role.UserRole
"""Role of a line's stroke in the vertical header."""

NOTE = "Note"
"""Title of the last column."""


@dataclass(frozen=True, slots=True)
class Row:
    """A pin in the table.

    Parameters
    ----------
    name : str
        Its name.
    icon : QIcon
        Stroke of its ghost.
    figures : Figures
        What is compared; nothing where there is a sentence instead.
    sentence : str
        Why there are no figures.
    """

    name: str
    icon: QIcon
    figures: Figures | None
    sentence: str = ""


@dataclass(frozen=True, slots=True)
class Cell:
    """Text of a cell, its side, the dial before it, whether it is a sentence across its row."""

    text: str
    left: bool = True
    dial: QIcon | None = None
    is_sentence: bool = False


class DifferenceModel(QAbstractTableModel):
    """The present line, then the pins; a note stands in the last column."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._present: Figures | None = None
        self._rows: list[Row] = []
        self._speeds: tuple[float, ...] = ()
        self._columns: tuple[Column | None, ...] = _order(columns_for())
        self._units: Units = "si"
        self._line_icon = QIcon()
        self._dials: dict[str, QIcon] = {}

    @property
    def titles(self) -> list[str]:
        """Titles of the columns but the note, with units."""
        return [TIGHTEST if c is None else head_of(c, self._units) for c in self._columns]

    def is_number(self, column: int) -> bool:
        """Whether a column holds numbers."""
        return column < len(self._columns) and self._columns[column] is not None

    def set_look(self, units: Units, line_icon: QIcon, dials: dict[str, QIcon]) -> None:
        """Set units and icons."""
        self.beginResetModel()
        self._units, self._line_icon, self._dials = units, line_icon, dials
        self.endResetModel()

    def set_rows(self, present: Figures | None, rows: list[Row], speeds: Sequence[float]) -> None:
        """Show other lines."""
        self.beginResetModel()
        self._present, self._rows, self._speeds = present, rows, tuple(speeds)
        self._columns = _order(columns_for(speeds))
        self.endResetModel()

    def set_present(self, present: Figures) -> None:
        """Show another state of the present line."""
        self._present = present
        last = self.index(self.rowCount() - 1, self.columnCount() - 1)
        self.dataChanged.emit(self.index(0, 0), last)

    @property
    def sentences(self) -> dict[int, str]:
        """Rows that hold a sentence instead of figures."""
        return {k + 1: row.sentence for k, row in enumerate(self._rows) if row.figures is None}

    def text(self) -> str:
        """Whole table as text."""
        if self._present is None:
            return ""
        figures = [row.figures for row in self._rows if row.figures is not None]
        rows = difference_rows(self._present, figures, self._speeds, self._units)
        rows += [[row.name, row.sentence] for row in self._rows if row.figures is None]
        return difference_text(rows)

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's signature
        """Lines."""
        return 0 if parent.isValid() or self._present is None else 1 + len(self._rows)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's signature
        """Tightest entry, numbers, note."""
        return 0 if parent.isValid() else len(self._columns) + 1

    def _figures(self, row: int) -> Figures | None:
        return self._present if row == 0 else self._rows[row - 1].figures

    def cell(self, row: int, column: int) -> Cell:
        """What a cell shows."""
        present, figures = self._present, self._figures(row)
        if present is None:
            return Cell("")
        if figures is None:
            return Cell(self._rows[row - 1].sentence, is_sentence=True)
        if column == len(self._columns):
            return Cell(figures.note)
        number = self._columns[column]
        if number is not None:
            return Cell(cell_text(number, figures, present, self._units), False)
        state = "" if figures.tightest is None else figures.tightest.state
        return Cell(tightest_text(figures, present), True, self._dials.get(state))

    def data(self, index: Index, role: int = Role.DisplayRole) -> Any:
        """Text of a cell, for all but the painting."""
        if not index.isValid() or role not in (Role.DisplayRole, Role.ToolTipRole):
            return None
        return self.cell(index.row(), index.column()).text

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Role.DisplayRole
    ) -> Any:
        """Titles with units; names with the strokes of the ghosts."""
        if orientation == Qt.Orientation.Horizontal:
            if role == Role.TextAlignmentRole and not self.is_number(section):
                return int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
            if role not in (Role.DisplayRole, Role.ToolTipRole):
                return None
            title = [*self.titles, NOTE][section]
            short = role == Role.DisplayRole and self.is_number(section)
            return _in_two_lines(title) if short else title
        if role == Role.TextAlignmentRole:
            return int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        if role == STROKE:
            return self._line_icon if section == 0 else self._rows[section - 1].icon
        if role in (Role.DisplayRole, Role.ToolTipRole, Role.AccessibleTextRole):
            name = PRESENT if section == 0 else self._rows[section - 1].name
            figures = self._figures(section)
            note = "" if figures is None or role == Role.DisplayRole else figures.note
            return f"{name}: {note}" if note else name
        return None


def _order(columns: tuple[Column, ...]) -> tuple[Column | None, ...]:
    """Columns as they stand: the tightest entry (None), impeller speed, the others."""
    return (None, columns[-1], *columns[:-1])


def _in_two_lines(title: str) -> str:
    head, mark, rest = title.partition(" at ")
    if mark:
        return f"{head}\nat {rest}"
    head, _, unit = title.partition(" [")
    return f"{head}\n[{unit}"
