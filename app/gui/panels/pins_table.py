"""The table of differences on the screen: a row a line, cells made when they are painted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QEvent, QModelIndex, QPersistentModelIndex, Qt
from PySide6.QtGui import QFont, QGuiApplication, QIcon, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableView, QWidget

from app.fields import Units
from app.gui.widgets.swatch import DIAL
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

SPARE = 10
"""Room in a column for a longer number [px]."""

Index = QModelIndex | QPersistentModelIndex
Role = Qt.ItemDataRole


@dataclass(frozen=True, slots=True)
class Row:
    """A pin in the table.

    Parameters
    ----------
    name : str
        Its name.
    icon : QIcon
        Stroke of its ghost.
    figures : Figures or None
        What is compared; nothing where there is a sentence instead.
    sentence : str
        Why there are no figures.
    """

    name: str
    icon: QIcon
    figures: Figures | None
    sentence: str = ""


class DifferenceModel(QAbstractTableModel):
    """The present line, then the pins; a note stands in the last column."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._present: Figures | None = None
        self._rows: list[Row] = []
        self._speeds: tuple[float, ...] = ()
        self._columns: tuple[Column, ...] = columns_for()
        self._units: Units = "si"
        self._line_icon = QIcon()
        self._dials: dict[str, QIcon] = {}

    def set_look(self, units: Units, line_icon: QIcon, dials: dict[str, QIcon]) -> None:
        """Set units and icons."""
        self.beginResetModel()
        self._units, self._line_icon, self._dials = units, line_icon, dials
        self.endResetModel()

    def set_rows(self, present: Figures | None, rows: list[Row], speeds: Sequence[float]) -> None:
        """Show other lines."""
        self.beginResetModel()
        self._present, self._rows, self._speeds = present, rows, tuple(speeds)
        self._columns = columns_for(speeds)
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
        """Numbers, tightest entry, note."""
        return 0 if parent.isValid() else len(self._columns) + 2

    def _figures(self, row: int) -> Figures | None:
        return self._present if row == 0 else self._rows[row - 1].figures

    def data(self, index: Index, role: int = Role.DisplayRole) -> Any:
        """What a cell shows."""
        present, row, column = self._present, index.row(), index.column()
        if present is None or not index.isValid():
            return None
        figures = self._figures(row)
        number = column < len(self._columns)
        if role == Role.TextAlignmentRole:
            side = Qt.AlignmentFlag.AlignRight
            if figures is None or not number:
                side = Qt.AlignmentFlag.AlignLeft
            return int(side | Qt.AlignmentFlag.AlignVCenter)
        if role == Role.FontRole and row == 0:
            font = QFont()
            font.setBold(True)
            return font
        if figures is None:
            shown = role in (Role.DisplayRole, Role.ToolTipRole) and column == 0
            return self._rows[row - 1].sentence if shown else None
        if role == Role.DecorationRole and column == len(self._columns):
            return None if figures.tightest is None else self._dials.get(figures.tightest.state)
        if role not in (Role.DisplayRole, Role.ToolTipRole):
            return None
        if number:
            return cell_text(self._columns[column], figures, present, self._units)
        return tightest_text(figures, present) if column == len(self._columns) else figures.note

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Role.DisplayRole
    ) -> Any:
        """Titles with units; names with the strokes of the ghosts."""
        if orientation == Qt.Orientation.Horizontal:
            if role not in (Role.DisplayRole, Role.ToolTipRole):
                return None
            if section >= len(self._columns):
                return (TIGHTEST, "Note")[section - len(self._columns)]
            title = head_of(self._columns[section], self._units)
            return title if role == Role.ToolTipRole else _in_two_lines(title)
        if role == Role.DecorationRole:
            return self._line_icon if section == 0 else self._rows[section - 1].icon
        if role in (Role.DisplayRole, Role.ToolTipRole, Role.AccessibleTextRole):
            return PRESENT if section == 0 else self._rows[section - 1].name
        return None


def _in_two_lines(title: str) -> str:
    head, mark, rest = title.partition(" at ")
    if mark:
        return f"{head}\nat {rest}"
    head, _, unit = title.partition(" [")
    return f"{head}\n[{unit}"


class DifferenceView(QTableView):
    """The table; the copy keys put all of it on the clipboard."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.differences = DifferenceModel(self)
        self.setModel(self.differences)
        self.setAccessibleName("Table of differences to the present line")
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setAlternatingRowColors(True)
        self.setWordWrap(False)
        self.setTabKeyNavigation(False)
        self.setIconSize(DIAL)
        across, down = self.horizontalHeader(), self.verticalHeader()
        across.setDefaultAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        across.setHighlightSections(False)
        down.setHighlightSections(False)
        down.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)

    def fit(self) -> None:
        """Set widths to the texts, and let sentences run across their rows."""
        self.clearSpans()
        sentences = self.differences.sentences
        for row in sentences:
            self.setSpan(row, 0, 1, self.differences.columnCount())
        down = self.verticalHeader()
        down.setDefaultSectionSize(self.fontMetrics().height() + 8)
        self.resizeColumnsToContents()
        for column in range(self.differences.columnCount()):
            self.setColumnWidth(column, self.columnWidth(column) + SPARE)

    def copy(self) -> None:
        """Copy the whole table as text."""
        QGuiApplication.clipboard().setText(self.differences.text())

    def event(self, event: QEvent) -> bool:
        """Keep the copy keys from an action of the window while the table has the focus."""
        is_keys = event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent)
        if is_keys and event.matches(QKeySequence.StandardKey.Copy):
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Copy."""
        if event.matches(QKeySequence.StandardKey.Copy):
            self.copy()
        else:
            super().keyPressEvent(event)
