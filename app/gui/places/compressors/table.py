"""The table of compressors: ticked, sorted, chosen; copied as text, written as CSV."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QItemSelectionModel, QSignalBlocker, QSize, Qt, Signal
from PySide6.QtGui import QAction, QFont, QKeyEvent, QPalette, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
)

from app.chart_tools.canvas import Metrics, wrapped
from app.chart_tools.thumbnail import thumbnail_size
from app.fields import Units
from app.gui.copying import offer_copy
from app.gui.places.compressors.model import CompressorModel, Index, Look, is_told
from app.present.compressor_columns import NAME, STANDING, Column
from app.present.compressor_order import by_column, by_rank, table_rows
from app.present.compressor_shown import BROKEN, OFF, ShownRow

DIAL = 14
"""Size of a dial in a cell [px]."""

MARGIN, BESIDE = 6, 40
"""Room at the sides of a text, and what tick and margins take beside a thumbnail [px]."""

LINE_END = "\u2028"
"""End of a line in the text of a cell as Qt draws it."""

LEAST_NAME = 240
"""Width of the first column at the least, at the usual text [px]."""


class _Cells(QStyledItemDelegate):
    """Cells with dials of their own size beside the thumbnails."""

    def initStyleOption(self, option: QStyleOptionViewItem, index: Index) -> None:
        """Give dials their size, and titles a second line where there is no room."""
        super().initStyleOption(option, index)
        quiet = index.data(Qt.ItemDataRole.ForegroundRole)
        if quiet is not None:
            # what is old stays grey where it is chosen
            colours = option.palette
            colours.setColor(QPalette.ColorRole.HighlightedText, quiet)
            option.palette = colours
        if index.column() > 0:
            option.decorationSize = QSize(DIAL, DIAL)
            return
        title, _, under = option.text.partition(LINE_END)
        metrics = Metrics(option.font)
        room = option.rect.width() - option.decorationSize.width() - BESIDE
        if metrics.width(title) <= room:
            return
        # its end tells trims apart; where it comes from stands in the tooltip
        lines = wrapped(title, metrics, room - MARGIN, 2)
        option.text = LINE_END.join([*lines, under] if is_told(index) else lines)


class CompressorTable(QTableView):
    """Candidates, a row each.

    Signals
    -------
    ticked(key, on)
        A candidate was chosen or not.
    chosen()
        Other rows are chosen.
    taken(key)
        A row was activated: Enter or double click.
    taken_off(key)
        A file added by hand shall go from the list.
    """

    ticked = Signal(str, bool)
    chosen = Signal()
    taken = Signal(str)
    taken_off = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.rows_model = CompressorModel()
        self.setModel(self.rows_model)
        self.setItemDelegate(_Cells(self))
        self.setAccessibleName("Compressors compared")
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setTabKeyNavigation(False)
        self.setShowGrid(False)
        self.setAlternatingRowColors(True)
        self.setWordWrap(False)
        self.verticalHeader().hide()
        across = self.horizontalHeader()
        across.setHighlightSections(False)
        across.setSectionsClickable(True)
        across.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        across.sectionClicked.connect(self._on_head)
        self._sorted_by, self._falling = "", False
        self._aim = ""
        self._all: tuple[ShownRow, ...] = ()
        self._columns: tuple[Column, ...] = (NAME, STANDING)
        self._look: Look | None = None
        self._fitted: object = None
        self._wanted = LEAST_NAME
        self.rows_model.ticked.connect(self.ticked)
        self.selectionModel().selectionChanged.connect(lambda *_: self.chosen.emit())
        offer_copy(self, lambda: self.texts(self._units), self._chosen_texts)
        self._off_action = QAction("Take off the list", self)
        self._off_action.triggered.connect(self._take_off)
        self.addAction(self._off_action)

    @property
    def _units(self) -> Units:
        return "si" if self._look is None else self._look.units

    # what is shown

    def show_rows(
        self, rows: Sequence[ShownRow], columns: Sequence[Column], aim: str, look: Look
    ) -> None:
        """Show candidates in the order chosen; what is chosen stays so. Emits nothing."""
        self._all, self._columns, self._aim, self._look = tuple(rows), tuple(columns), aim, look
        self._show()

    def _show(self) -> None:
        look = self._look
        if look is None:
            return
        kept, current = self.chosen_keys, self.current_key
        with QSignalBlocker(self.selectionModel()):
            same = self.rows_model.show(self._ordered(), self._columns, look)
            if not same:
                self._choose(kept, current)
        self._show_sorting()
        self._fit()
        self.viewport().update()

    def _ordered(self) -> list[ShownRow]:
        ranked = by_rank(self._all, self._aim)
        for column in self._columns:
            if column.key == self._sorted_by:
                return by_column(ranked, column, falling=self._falling)
        return ranked

    def _fit(self) -> None:
        """Set sizes to the texts, where something else is shown; sentences run across."""
        font = self.fontMetrics()
        tall = 2 * font.height() + 8
        self.setIconSize(thumbnail_size(tall - 6))
        self.verticalHeader().setDefaultSectionSize(tall)
        self.clearSpans()
        for row, one in enumerate(self.rows_model.rows):
            if one.status == BROKEN and len(self._columns) > 2:
                self.setSpan(row, 1, 1, len(self._columns) - 1)
        texts = self.rows_model.lines()
        now = (texts, font.height())
        if now == self._fitted:
            self._share_height()
            return
        self._fitted = now
        # measured here: Qt asks every cell a dozen questions
        metrics = Metrics(self.font())
        widths = [max(map(metrics.width, lines), default=0.0) + 2 * MARGIN for lines in texts]
        self._wanted = round(widths[0]) + self.iconSize().width() + BESIDE
        for section in range(1, len(self._columns)):
            dial = DIAL + MARGIN if self._columns[section] is STANDING else 0
            self.setColumnWidth(section, round(widths[section]) + dial)
        self._share_width()

    def _share_width(self) -> None:
        """Give the names what the other columns leave."""
        others = sum(self.columnWidth(k) for k in range(1, len(self._columns)))
        least = round(LEAST_NAME * self.fontMetrics().height() / 16.0)
        spare = self.viewport().width() - others
        self.setColumnWidth(0, max(min(self._wanted, spare), least))
        self._share_height()

    def _share_height(self) -> None:
        """Give a third line to a long title with words under it that are never left out."""
        font = QFont(self.font())
        font.setBold(True)
        room = self.columnWidth(0) - self.iconSize().width() - BESIDE
        rows = self.verticalHeader()
        for row, one in enumerate(self.rows_model.rows):
            tall = rows.defaultSectionSize()
            is_long = Metrics(font).width(one.title) > room
            if is_long and is_told(self.rows_model.index(row, 0)):
                tall += self.fontMetrics().height()
            if self.rowHeight(row) != tall:
                self.setRowHeight(row, tall)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Share the width anew."""
        super().resizeEvent(event)
        self._share_width()

    def texts(self, units: Units) -> list[list[str]]:
        """The whole table as rows of text, in the order shown."""
        return table_rows(self.rows_model.rows, self._columns, units)

    def _chosen_texts(self) -> list[list[str]]:
        keys = self.chosen_keys
        if not keys:
            return self.texts(self._units)
        rows = [one for one in self.rows_model.rows if one.key in keys]
        return table_rows(rows, self._columns, self._units)

    # what is chosen

    @property
    def chosen_keys(self) -> list[str]:
        """Keys of the rows chosen, in the order shown."""
        rows = sorted({index.row() for index in self.selectionModel().selectedRows()})
        return [self.rows_model.rows[r].key for r in rows if r < len(self.rows_model.rows)]

    @property
    def current_key(self) -> str:
        """Key of the row with the focus; empty for none."""
        row = self.currentIndex().row()
        return self.rows_model.rows[row].key if 0 <= row < len(self.rows_model.rows) else ""

    def choose(self, keys: Sequence[str]) -> None:
        """Choose rows; emits nothing."""
        with QSignalBlocker(self.selectionModel()):
            self._choose(keys, keys[0] if keys else "")
        self.viewport().update()

    def _choose(self, keys: Sequence[str], current: str) -> None:
        chosen = self.selectionModel()
        flag = QItemSelectionModel.SelectionFlag
        chosen.clear()
        for row, one in enumerate(self.rows_model.rows):
            index = self.rows_model.index(row, 0)
            if one.key in keys:
                chosen.select(index, flag.Select | flag.Rows)
            if one.key == current:
                chosen.setCurrentIndex(index, flag.NoUpdate)

    # what is done

    def _on_head(self, section: int) -> None:
        """Sort by a column, then the other way, then as the aim ranks."""
        column = self._columns[section]
        if self._sorted_by != column.key:
            self._sorted_by, self._falling = column.key, column.is_falling
        elif self._falling == column.is_falling:
            self._falling = not self._falling
        else:
            self._sorted_by = ""
        self._show()

    def _show_sorting(self) -> None:
        across = self.horizontalHeader()
        keys = [column.key for column in self._columns]
        across.setSortIndicatorShown(self._sorted_by in keys)
        if self._sorted_by in keys:
            order = Qt.SortOrder.DescendingOrder if self._falling else Qt.SortOrder.AscendingOrder
            across.setSortIndicator(keys.index(self._sorted_by), order)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Take with Enter, tick with Space."""
        one = self.current_key
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and one:
            self.taken.emit(one)
        elif event.key() == Qt.Key.Key_Space and one:
            self._toggle(one)
        else:
            super().keyPressEvent(event)

    def _toggle(self, key: str) -> None:
        """Choose the row with the focus, or not, whatever its cell."""
        found = next(one for one in self.rows_model.rows if one.key == key)
        if found.status != BROKEN:
            self.ticked.emit(key, found.status == OFF)

    def mouseDoubleClickEvent(self, event) -> None:  # type: ignore[no-untyped-def]
        """Take the row."""
        index: Index = self.indexAt(event.position().toPoint())
        if index.isValid():
            self.taken.emit(self.rows_model.rows[index.row()].key)

    def _take_off(self) -> None:
        for key in self.chosen_keys:
            self.taken_off.emit(key)

    def wanted_height(self) -> int:
        """Height that shows every row [px]."""
        head = self.horizontalHeader().sizeHint().height()
        rows = sum(self.rowHeight(row) for row in range(len(self.rows_model.rows)))
        return head + rows + self.horizontalScrollBar().sizeHint().height() + 6

    def minimumSizeHint(self) -> QSize:
        """Room for the head and two rows."""
        head = self.horizontalHeader().sizeHint().height()
        return QSize(300, head + 2 * self.verticalHeader().defaultSectionSize() + 8)
