"""Rows of *Why*: a name with its value; unfolded, equation, numbers put in and source."""

from __future__ import annotations

import html
import re

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPalette, QTextDocument
from PySide6.QtWidgets import (
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTreeWidget,
    QTreeWidgetItem,
)

from app.present.unbroken import unbroken
from app.present.why import WhyRow
from engine_model.results import Step

_DEPTH = 3
_PADDING = 4
_GAP = 6
_UNDER = re.compile(r"_([A-Za-z0-9]+(?:,[a-z]+)?)")
_OVER = re.compile("\\^(\N{MINUS SIGN}?[0-9.]+|[A-Za-z])")


def rich(text: str) -> str:
    """Text with ``_`` and ``^`` as subscripts and superscripts, as HTML."""
    text = _UNDER.sub(r"<sub>\1</sub>", html.escape(text))
    return _OVER.sub(r"<sup>\1</sup>", text)


def _unbroken(text: str) -> str:
    """Text that is not broken at the end of a line; tags are left alone."""
    text = re.sub(r"/(?![a-z]+>)", "/\u2060", text)
    return text.replace(" ", "\u00a0")


def detail_html(row: WhyRow, quiet: QColor) -> str:
    """HTML of what stands under a row."""
    numbers = [_unbroken(rich(one)) for one in row.numbers_text.split("\n")]
    parts = [
        f"<b>{unbroken(html.escape(row.note))}</b>" if row.note else "",
        rich(row.equation),
        ",&ensp; ".join(numbers),
        f'<span style="color:{quiet.name()}">{rich(row.source)}</span>',
    ]
    return "".join(f'<p style="margin:0 0 3px 0">{part}</p>' for part in parts if part)


class DetailItem(QTreeWidgetItem):
    """What stands under a step; changes without a word, as its parent does."""

    def __init__(self, parent: QTreeWidgetItem) -> None:
        super().__init__(parent)
        self.row: WhyRow | None = None
        self.setFlags(Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable)

    def data(self, column: int, role: int) -> object:
        """Text for screen readers; all else as set."""
        if role == Qt.ItemDataRole.AccessibleTextRole and self.row is not None:
            return self.row.detail
        return super().data(column, role)


class StepItem(QTreeWidgetItem):
    """Row of a step; its value changes without a word, the panel repaints once for all."""

    def __init__(self, step: Step) -> None:
        super().__init__([step.quantity])
        self.key, self.name = step.key, step.quantity
        self.value = ""
        self.setToolTip(0, step.quantity)
        self.detail = DetailItem(self)

    def data(self, column: int, role: int) -> object:
        """Name and value for screen readers; all else as set."""
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return f"{self.name}: {self.value}"
        return super().data(column, role)


class EquationDelegate(QStyledItemDelegate):
    """Paints unfolded rows wrapped to the width of the tree, all others as usual."""

    def __init__(self, tree: QTreeWidget) -> None:
        super().__init__(tree)
        self._tree = tree
        self._kept: dict[tuple[object, ...], QTextDocument] = {}

    def _document(self, row: WhyRow, width: int, palette: QPalette) -> QTextDocument:
        text, quiet = palette.text().color(), palette.placeholderText().color()
        key = (row, width, text.rgba(), quiet.rgba(), self._tree.font().key())
        if key not in self._kept:
            if len(self._kept) > 120:
                self._kept.clear()
            document = QTextDocument()
            document.setDocumentMargin(0.0)
            document.setDefaultFont(self._tree.font())
            body = f'<body style="color:{text.name()}">{detail_html(row, quiet)}</body>'
            document.setHtml(body)
            document.setTextWidth(width)
            self._kept[key] = document
        return self._kept[key]

    def _width(self) -> int:
        room = self._tree.viewport().width() - _DEPTH * self._tree.indentation()
        return max(room - 2 * _PADDING, 60)

    def _fits(self, item: StepItem, option: QStyleOptionViewItem) -> bool:
        """Whether name and value stand on one line."""
        tree, advance = self._tree, option.fontMetrics.horizontalAdvance
        # as beside a scroll bar, which may come once the rows are laid out
        beside = tree.width() - 2 * tree.frameWidth() - tree.verticalScrollBar().sizeHint().width()
        room = min(tree.viewport().width(), beside)
        room -= (_DEPTH - 1) * tree.indentation() + _GAP // 2 + _PADDING
        return advance(item.name) + _GAP + advance(item.value) <= room

    def sizeHint(
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> QSize:
        """Height of a row at the width of the tree."""
        item = self._tree.itemFromIndex(index)
        if isinstance(item, StepItem):
            lines = 1 if self._fits(item, option) else 2
            return QSize(80, lines * option.fontMetrics.height() + 2)
        if isinstance(item, DetailItem) and item.row is not None:
            document = self._document(item.row, self._width(), option.palette)
            return QSize(self._width(), int(document.size().height()) + 2 * _PADDING)
        return super().sizeHint(option, index)

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> None:
        """Paint a row."""
        item = self._tree.itemFromIndex(index)
        if isinstance(item, StepItem):
            self._paint_step(painter, option, item)
        elif isinstance(item, DetailItem) and item.row is not None:
            self._paint_detail(painter, option, item.row)
        else:
            super().paint(painter, option, index)

    def _paint_step(self, painter: QPainter, option: QStyleOptionViewItem, item: StepItem) -> None:
        """Paint a name, wrapped where the value at the right end needs the room."""
        chosen = option.state & QStyle.StateFlag.State_Selected
        active = option.state & QStyle.StateFlag.State_Active
        group = QPalette.ColorGroup.Active if active else QPalette.ColorGroup.Inactive
        role = QPalette.ColorRole.HighlightedText if chosen else QPalette.ColorRole.Text
        self._tree.style().drawPrimitive(
            QStyle.PrimitiveElement.PE_PanelItemViewItem, option, painter, self._tree
        )
        metrics, box = option.fontMetrics, option.rect.adjusted(_GAP // 2, 0, -_PADDING, 0)
        room = box.width() - metrics.horizontalAdvance(item.value) - _GAP
        painter.setPen(option.palette.color(group, role))
        middle, wrap = Qt.AlignmentFlag.AlignVCenter, Qt.TextFlag.TextWordWrap
        name = item.name
        if box.height() < 2 * metrics.height():
            name, wrap = metrics.elidedText(name, Qt.TextElideMode.ElideRight, room), middle
        beside = QRect(box.left(), box.top(), room, box.height())
        painter.drawText(beside, Qt.AlignmentFlag.AlignLeft | middle | wrap, name)
        painter.drawText(box, Qt.AlignmentFlag.AlignRight | middle, item.value)

    def _paint_detail(self, painter: QPainter, option: QStyleOptionViewItem, row: WhyRow) -> None:
        """Paint equation, numbers and source, wrapped."""
        painter.save()
        if option.state & QStyle.StateFlag.State_HasFocus:
            painter.setPen(option.palette.highlight().color())
            painter.drawRect(option.rect.adjusted(0, 0, -1, -1))
        painter.translate(option.rect.left() + _PADDING, option.rect.top() + _PADDING)
        self._document(row, self._width(), option.palette).drawContents(painter)
        painter.restore()
