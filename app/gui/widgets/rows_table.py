"""A table of rows of text, read only; rows can be chosen and copied."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QTableWidget,
    QTableWidgetItem,
    QWidget,
)

from app.gui.copying import offer_copy

LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter


class RowsTable(QTableWidget):
    """Shows rows, titles first.

    Parameters
    ----------
    name : str
        What the table is called by who reads it aloud.
    left : frozenset of int
        Columns of words, set to the left; the others hold numbers.
    parent : QWidget, optional
        Parent.
    """

    def __init__(
        self, name: str, left: frozenset[int] = frozenset({0}), parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.rows: list[list[str]] = []
        self._left = left
        self.setAccessibleName(name)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setTabKeyNavigation(False)
        self.setAlternatingRowColors(True)
        self.setShowGrid(False)
        self.verticalHeader().hide()
        self.horizontalHeader().setHighlightSections(False)
        offer_copy(self, lambda: self.rows, self._chosen_rows)

    def show_rows(self, rows: list[list[str]]) -> None:
        """Show rows, titles first; emits nothing."""
        if rows == self.rows:
            return
        self.rows = rows
        head, *body = rows or [[]]
        self.setColumnCount(len(head))
        self.setRowCount(len(body))
        for c, text in enumerate(head):
            item = QTableWidgetItem(f"{text[:1].upper()}{text[1:]}")
            item.setTextAlignment(self._side(c))
            self.setHorizontalHeaderItem(c, item)
        for r, row in enumerate(body):
            for c, text in enumerate(row):
                item = QTableWidgetItem(text)
                item.setTextAlignment(self._side(c))
                item.setToolTip(text)
                self.setItem(r, c, item)
        self.fit()

    def fit(self) -> None:
        """Give rows and columns the room that their texts need."""
        self.verticalHeader().setDefaultSectionSize(self.fontMetrics().height() + 5)
        header, last = self.horizontalHeader(), self.columnCount() - 1
        for column in range(self.columnCount()):
            header.setSectionResizeMode(column, QHeaderView.ResizeMode.Interactive)
        self.resizeColumnsToContents()
        if last in self._left:
            # its words end in dots where there is no room, and stand in the tooltip
            header.setSectionResizeMode(last, QHeaderView.ResizeMode.Stretch)

    def _side(self, column: int) -> Qt.AlignmentFlag:
        return LEFT if column in self._left else RIGHT

    def _chosen_rows(self) -> list[list[str]]:
        chosen = sorted({index.row() for index in self.selectedIndexes()})
        return [self.rows[0], *(self.rows[k + 1] for k in chosen)] if self.rows else []
