"""Tree of the ledger: a row is chosen by the hand alone, and shows its name as far as it can."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QModelIndex, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import QHelpEvent, QKeyEvent, QPainter
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QToolTip,
    QTreeWidget,
    QTreeWidgetItem,
    QWidget,
)

INDENT = 11
"""Indentation of a level [px]."""

GAP = 8
"""Room between a name and its state [px]."""

ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)


class LedgerRows(QStyledItemDelegate):
    """Rows of two texts; the first reaches as far as the second leaves it room.

    The tooltip is made when it is asked for.
    """

    def __init__(self, tree: LedgerTree, tip_of: Callable[[QTreeWidgetItem | None], str]) -> None:
        super().__init__(tree)
        self._tree, self._tip_of = tree, tip_of

    def helpEvent(
        self,
        event: QHelpEvent,
        view: QAbstractItemView,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> bool:
        """Show the whole sentence."""
        if event.type() != QEvent.Type.ToolTip:
            return super().helpEvent(event, view, option, index)
        words = self._tip_of(self._tree.itemFromIndex(index))
        QToolTip.showText(event.globalPos(), words, view)
        return True

    def edge(self, item: QTreeWidgetItem) -> int:
        """Where the state of a row begins [px]."""
        words = self._tree.fontMetrics().horizontalAdvance(item.text(1))
        return self._tree.viewport().width() - words - GAP

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> None:
        """Paint a cell in the room that its row gives it."""
        item = self._tree.itemFromIndex(index)
        if item is None or not item.text(1):
            super().paint(painter, option, index)
            return
        mine = QStyleOptionViewItem(option)
        if index.column() == 0:
            mine.rect.setRight(self.edge(item) - 1)
        else:
            mine.rect.setLeft(self.edge(item))
        super().paint(painter, mine, index)


class LedgerTree(QTreeWidget):
    """Two columns, name and state.

    Signals
    -------
    picked(item)
        A row was chosen by mouse or keys; not by the focus that arrives, nor by the program.
    """

    picked = Signal(object)

    def __init__(
        self, tip_of: Callable[[QTreeWidgetItem | None], str], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setColumnCount(2)
        self.setHeaderHidden(True)
        self.setAccessibleName("Ledger")
        self.setIndentation(INDENT)
        self.setRootIsDecorated(False)
        self.setUniformRowHeights(True)
        self.rows = LedgerRows(self, tip_of)
        self.setItemDelegate(self.rows)
        header = self.header()
        header.setStretchLastSection(False)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        header.setSectionResizeMode(1, QHeaderView.ResizeMode.Fixed)
        self.itemClicked.connect(lambda item, _: self.picked.emit(item))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Choose the row that a key went to, or the present one by Enter."""
        before = self.currentItem()
        super().keyPressEvent(event)
        now = self.currentItem()
        if now is not None and (now is not before or event.key() in ENTER):
            self.picked.emit(now)

    def set_name(self, item: QTreeWidgetItem, name: str) -> None:
        """Give a row another name; the whole row is painted, since the name may reach far."""
        item.setText(0, name)
        self.viewport().update(self.visualItemRect(item))

    def set_state(self, item: QTreeWidgetItem, words: str) -> None:
        """Give a row another state; the whole row is painted where it is wider than its column."""
        item.setText(1, words)
        if self.rows.edge(item) < self.viewport().width() - self.columnWidth(1):
            self.viewport().update(self.visualItemRect(item))
