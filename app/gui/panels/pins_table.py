"""The table of differences on the screen: a row a line, cells made when they are painted."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QRect, QSize, Qt
from PySide6.QtGui import (
    QFont,
    QFontMetrics,
    QGuiApplication,
    QKeyEvent,
    QKeySequence,
    QPainter,
    QResizeEvent,
)
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from app.gui.copying import COPY_TABLE, add_copy_action
from app.gui.panels.pins_model import STROKE, Cell, DifferenceModel, Index
from app.gui.widgets.swatch import DIAL, SWATCH

SPARE, MARGIN = 10, 4
"""Room in a column for a longer number, and at the sides of a text [px]."""

PAD = 8
"""Height of a row over its text [px]."""


LINES = 3
"""Lines of a tightest entry in a single column: share, title, day; one more for a difference."""

OFF = Qt.ScrollBarPolicy.ScrollBarAlwaysOff

WIDEST = 16777215
"""Qt's own largest size of a widget [px]."""


class Cells(QStyledItemDelegate):
    """Paints plain cells; Qt's own way asks each cell a dozen questions, too slow for a drag."""

    def __init__(self, model: DifferenceModel, parent: QWidget) -> None:
        super().__init__(parent)
        self._model = model
        self.is_narrow = False

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Draw ground, dial and text."""
        cell, rect = self._model.cell(index.row(), index.column()), option.rect
        palette = option.palette
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        if chosen:
            painter.fillRect(rect, palette.highlight())
        elif index.row() % 2:
            painter.fillRect(rect, palette.alternateBase())
        room = rect.adjusted(MARGIN, 0, -MARGIN, 0)
        if cell.dial is not None:
            top = rect.top() + (rect.height() - DIAL.height()) // 2
            cell.dial.paint(painter, QRect(room.left(), top, DIAL.width(), DIAL.height()))
            room.setLeft(room.left() + DIAL.width() + MARGIN)
        painter.setFont(_font(option.font, index.row()))
        painter.setPen((palette.highlightedText() if chosen else palette.text()).color())
        side = Qt.AlignmentFlag.AlignLeft if cell.left else Qt.AlignmentFlag.AlignRight
        flags = int(side | Qt.AlignmentFlag.AlignVCenter)
        if cell.is_sentence:
            painter.drawText(room, flags | int(Qt.TextFlag.TextWordWrap), cell.text)
            return
        metrics, way = painter.fontMetrics(), Qt.TextElideMode.ElideRight
        is_tall = rect.height() > metrics.height() + 2 * PAD
        lines = self.lines_of(cell, metrics, room.width()) if is_tall else [self._short(cell)]
        if len(lines) * metrics.height() > rect.height():
            lines = cell.text.split(", ")  # grown during a drag; the rows follow at its end
        text = "\n".join(metrics.elidedText(line, way, room.width()) for line in lines)
        painter.drawText(room, flags, text)

    @staticmethod
    def lines_of(cell: Cell, metrics: QFontMetrics, room: int) -> list[str]:
        """Lines of a tall cell; a difference that has no room takes a line of its own."""
        lines = cell.text.split(", ")
        share, mark, change = lines[0].partition(" (")
        if mark and metrics.horizontalAdvance(lines[0]) > room:
            return [share, f"({change}", *lines[1:]]
        return lines

    def room_in(self, cell: Cell, width: int) -> int:
        """Room for the text of a cell in a column [px]."""
        return width - 2 * MARGIN - (0 if cell.dial is None else DIAL.width() + MARGIN)

    def _short(self, cell: Cell) -> str:
        """Text without the engine speed of a peak where there is no room; the tooltip has it."""
        return cell.text.partition(" at ")[0] if self.is_narrow and not cell.left else cell.text

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        """Room for dial and text."""
        cell = self._model.cell(index.row(), index.column())
        metrics = QFontMetrics(_font(option.font, index.row()))
        wide = metrics.horizontalAdvance(self._short(cell)) + 2 * MARGIN
        if cell.is_sentence:  # runs across the row
            wide = 0
        if cell.dial is not None:
            wide += DIAL.width() + MARGIN
        return QSize(wide, metrics.height() + 4)


def _font(font: QFont, row: int) -> QFont:
    made = QFont(font)
    made.setBold(row == 0)
    return made


class NamesHeader(QHeaderView):
    """Names of the lines, each with its stroke at the left."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(Qt.Orientation.Vertical, parent)
        self.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self.setHighlightSections(False)
        self.has_strokes = True

    def sectionSizeFromContents(self, logical_index: int) -> QSize:
        """Room for name and stroke."""
        stroke = QSize(SWATCH.width() + 8 if self.has_strokes else 0, 0)
        return super().sectionSizeFromContents(logical_index) + stroke

    def paintSection(self, painter: QPainter, rect: QRect, logical_index: int) -> None:
        """Draw the section, then the stroke."""
        painter.save()
        super().paintSection(painter, rect, logical_index)
        painter.restore()
        if not self.has_strokes:
            return
        icon = self.model().headerData(logical_index, Qt.Orientation.Vertical, STROKE)
        if icon is not None:
            top = rect.top() + (rect.height() - SWATCH.height()) // 2
            icon.paint(painter, QRect(rect.left() + 5, top, SWATCH.width(), SWATCH.height()))


class DifferenceView(QTableView):
    """The table; the copy keys put all of it on the clipboard."""

    def __init__(self, differences: DifferenceModel, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.differences = differences
        self._only: int | None = None
        self.setModel(self.differences)
        self.setAccessibleName("Table of differences to the present line")
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.cells = Cells(self.differences, self)
        self.setItemDelegate(self.cells)
        self.setWordWrap(False)
        self.setTabKeyNavigation(False)
        self.names = NamesHeader(self)
        self.setVerticalHeader(self.names)
        across = self.horizontalHeader()
        across.setDefaultAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        across.setHighlightSections(False)
        add_copy_action(self, COPY_TABLE, self.copy)

    def show_only(self, column: int | None) -> None:
        """Show a single column, without strokes, where there is no room; nothing shows all."""
        self._only = column
        self.names.has_strokes = column is None
        self.cells.is_narrow = column is not None
        self.fit()

    def fit(self) -> None:
        """Set sizes to the texts, and let sentences run across their rows."""
        model, only = self.differences, self._only
        count = model.columnCount()
        only = None if only is None or only >= count else only
        for column in range(count):
            self.setColumnHidden(column, only is not None and column != only)
        lines = 1 if only is None or model.is_number(only) else LINES
        self.verticalHeader().setDefaultSectionSize(self.fontMetrics().height() * lines + PAD)
        self.clearSpans()
        for row in model.sentences if only is None else ():
            self.setSpan(row, 0, 1, count)
        self.horizontalHeader().setVisible(only is None)
        way = Qt.ScrollBarPolicy.ScrollBarAsNeeded
        self.setHorizontalScrollBarPolicy(way if only is None else OFF)
        self.names.setMaximumWidth(WIDEST if only is None else max(60, 2 * self.width() // 5))
        if only is None:
            self.resizeColumnsToContents()
            for column in range(count):
                self.setColumnWidth(column, self.columnWidth(column) + SPARE)
        else:
            self.setColumnWidth(only, self.viewport().width())
        self._fit_rows()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Give a single column all the room."""
        super().resizeEvent(event)
        if self._only is not None:
            self.setColumnWidth(self._only, self.viewport().width())
            self._fit_rows()

    def _is_number(self) -> bool:
        return self.differences.is_number(self._only or 0)

    def _fit_rows(self) -> None:
        """Usual height for all rows; a sentence in a single column takes what it needs."""
        down, metrics = self.verticalHeader(), self.fontMetrics()
        room = QRect(0, 0, self.viewport().width() - 2 * MARGIN, 1000)
        lines = LINES if self._only is not None and not self._is_number() else 1
        for row in range(self.differences.rowCount()):
            height = down.defaultSectionSize()
            if lines == LINES:
                cell = self.differences.cell(row, self._only or 0)
                width = self.cells.room_in(cell, self.columnWidth(self._only or 0))
                font = QFontMetrics(_font(self.font(), row))
                more = len(self.cells.lines_of(cell, font, width)) - LINES
                height += max(0, more) * metrics.height()
            down.resizeSection(row, height)
        if self._only is None:
            return
        for row, words in self.differences.sentences.items():
            text = metrics.boundingRect(room, int(Qt.TextFlag.TextWordWrap), words)
            down.resizeSection(row, text.height() + PAD)

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
