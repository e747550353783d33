"""The ledger in its three parts: a row a subject, unfolding to its entries and days."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QModelIndex, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QHelpEvent, QIcon, QPainter, QPixmap
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QLabel,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QToolTip,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.fields import Units
from app.gui.copying import offer_copy
from app.gui.recompute import Snapshot
from app.gui.widgets.dial import STATES, paint_dial
from app.present.copied_tables import ledger_rows
from app.present.sentences import (
    CAUTIONS,
    PART_TITLES,
    PARTS,
    SUBJECTS,
    TITLES,
    WITHIN,
    percent,
    sentence,
)
from engine_model.results import Entry

INDENT = 11
"""Indentation of a level [px]."""

WIDEST_STATE, WIDEST_DAY, WIDEST_SUBJECT = "close 100.0 %", "hot and high", "Compressor map"
"""Texts that the columns have room for."""

_RANK = {"over": 3, "close": 2, "clear": 1, "blank": 0}


def worst_of(entries: list[Entry]) -> Entry:
    """The entry that uses most of its limit; a blank one only where all are."""
    return max(entries, key=lambda e: (_RANK[e.state], e.used if e.used == e.used else -1.0))


class Rows(QStyledItemDelegate):
    """Rows of the ledger; the tooltip is made when it is asked for."""

    def __init__(self, panel: LedgerPanel) -> None:
        super().__init__(panel)
        self._panel = panel

    def helpEvent(
        self,
        event: QHelpEvent,
        view: QAbstractItemView,
        option: QStyleOptionViewItem,
        index: QModelIndex,
    ) -> bool:
        """Show the whole sentence."""
        if event.type() != QEvent.Type.ToolTip:
            return super().helpEvent(event, view, option, index)
        words = self._panel.tip_of(self._panel.tree.itemFromIndex(index))
        QToolTip.showText(event.globalPos(), words, view)
        return True


class LedgerPanel(QWidget):
    """Every limit with its state; choosing one asks for its place.

    Signals
    -------
    chosen(entry)
        An entry was chosen.
    """

    chosen = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._icons: dict[str, QIcon] = {}
        self._colors: dict[str, QColor] = {}
        self._system: Units = "si"
        self._alarm = False
        self._snapshot: Snapshot | None = None
        self._items: dict[tuple[str, ...], QTreeWidgetItem] = {}
        self._entries: dict[tuple[str, ...], Entry] = {}
        self._looks: dict[tuple[str, ...], tuple[str, str, str, bool]] = {}
        self.banner = QLabel()
        self.banner.setWordWrap(True)
        self.banner.setObjectName("banner")
        self.tree = QTreeWidget()
        self.tree.setColumnCount(2)
        self.tree.setHeaderHidden(True)
        self.tree.setAccessibleName("Ledger")
        self.tree.setIndentation(INDENT)
        self.tree.setRootIsDecorated(False)
        self.tree.setItemDelegate(Rows(self))
        self.tree.setUniformRowHeights(True)
        self.tree.header().setStretchLastSection(False)
        self.tree.header().setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        self.tree.header().setSectionResizeMode(1, QHeaderView.ResizeMode.Fixed)
        self.detail = QLabel()
        self.detail.setWordWrap(True)
        self.detail.setObjectName("detail")
        self.detail.setMinimumHeight(60)
        self.detail.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.caution = QLabel(CAUTIONS["impeller_speed"])
        self.caution.setWordWrap(True)
        self.caution.setObjectName("caution")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(6, 4, 6, 4)
        for widget in (self.banner, self.tree, self.detail, self.caution):
            layout.addWidget(widget)
        layout.setStretchFactor(self.tree, 1)
        self.tree.currentItemChanged.connect(self._on_current)
        offer_copy(self.tree, self.rows, lambda: self.rows(chosen=True))
        self._fit()

    def set_look(self, colors: dict[str, QColor], system: Units) -> None:
        """Set state colours and units; emits nothing."""
        self._colors, self._system = colors, system
        ratio = self.devicePixelRatioF()
        for state in STATES:
            pixmap = QPixmap(QSize(16, 16) * ratio)
            pixmap.setDevicePixelRatio(ratio)
            pixmap.fill(Qt.GlobalColor.transparent)
            painter = QPainter(pixmap)
            paint_dial(painter, QRectF(1, 1, 14, 14), state, colors[state])
            painter.end()
            icon = QIcon(pixmap)
            icon.addPixmap(pixmap, QIcon.Mode.Selected)  # Qt would tint it
            self._icons[state] = icon
        self._looks.clear()
        for item in self._items.values():
            item.setData(0, Qt.ItemDataRole.UserRole + 1, None)
        if self._snapshot is not None:
            self.show_snapshot(self._snapshot)

    def _fit(self) -> None:
        """Give the states the room they need in the size of the text, and no more."""
        metrics = self.tree.fontMetrics()
        self.tree.setColumnWidth(1, metrics.horizontalAdvance(WIDEST_STATE) + 12)
        self.updateGeometry()

    def changeEvent(self, event: QEvent) -> None:
        """Grow with the text."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._fit()

    def minimumSizeHint(self) -> QSize:
        """Room for the days' names beside their states."""
        metrics = self.tree.fontMetrics()
        bar = self.tree.verticalScrollBar().sizeHint().width()
        days = metrics.horizontalAdvance(WIDEST_DAY) + 3 * INDENT
        subjects = metrics.horizontalAdvance(WIDEST_SUBJECT) + INDENT
        names = max(days, subjects) + 30
        width = names + self.tree.columnWidth(1) + bar + 14
        return QSize(width, super().minimumSizeHint().height())

    def set_brief(self, brief: bool) -> None:
        """Leave the words under the tree out, where another panel tells them."""
        self.detail.setVisible(not brief)
        self.caution.setVisible(not brief)

    def rows(self, *, chosen: bool = False) -> list[list[str]]:
        """Rows of text with their titles: all, or those under the item chosen."""
        if self._snapshot is None:
            return []
        items = self.tree.selectedItems() if chosen else []
        under = tuple(items[0].data(0, Qt.ItemDataRole.UserRole)) if items else ()
        build = self._snapshot.match.build
        return ledger_rows(self._snapshot.by_day, build, self._system, under)

    def _item(self, key: tuple[str, ...]) -> QTreeWidgetItem:
        if key not in self._items:
            parent = self._items.get(key[:-1])
            item = QTreeWidgetItem(parent) if parent is not None else QTreeWidgetItem(self.tree)
            item.setTextAlignment(1, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
            item.setData(0, Qt.ItemDataRole.UserRole, key)
            if len(key) == 1:
                item.setFirstColumnSpanned(True)
                font = item.font(0)
                font.setBold(True)
                item.setFont(0, font)
                item.setExpanded(True)
            self._items[key] = item
        return self._items[key]

    def _fill(
        self, key: tuple[str, ...], title: str, entry: Entry, *, is_old: bool = False
    ) -> None:
        self._entries[key] = entry
        words = f"{entry.state} {percent(entry.used)}".replace(" --", "")
        look = title, words, entry.state, is_old
        if self._looks.get(key) == look:
            return
        self._looks[key] = look
        item = self._item(key)
        if item.font(0).italic() != is_old:
            font = item.font(0)
            font.setItalic(is_old)
            item.setFont(0, font)
            item.setFont(1, font)
        if item.text(0) != title:
            item.setText(0, title)
        if item.text(1) != words:
            item.setText(1, words)
        if item.data(0, Qt.ItemDataRole.UserRole + 1) != entry.state:
            item.setData(0, Qt.ItemDataRole.UserRole + 1, entry.state)
            item.setIcon(0, self._icons.get(entry.state, QIcon()))
            whole = TITLES[entry.code] if len(key) == 3 else title
            item.setData(0, Qt.ItemDataRole.AccessibleTextRole, f"{whole}, {entry.state}")

    def show_snapshot(self, snapshot: Snapshot) -> None:
        """Show a snapshot; emits nothing."""
        self._snapshot = snapshot
        shown = snapshot.match.day.name
        by_code: dict[str, list[Entry]] = {}
        for name, entries in snapshot.by_day.items():
            for entry in entries:
                by_code.setdefault(entry.code, []).append(entry)
            del name
        codes = [e.code for e in snapshot.match.ledger]
        parts = {e.code: e.part for e in snapshot.match.ledger}
        for part in PARTS:
            mine = [c for c in codes if parts[c] == part]
            all_entries = [e for c in mine for e in by_code[c]]
            top = worst_of(all_entries)
            head = self._item((part,))
            if head.text(0) != PART_TITLES[part]:
                head.setText(0, PART_TITLES[part])
            self._entries[(part,)] = top
            for subject in dict.fromkeys(SUBJECTS[c] for c in mine):
                of_subject = [c for c in mine if SUBJECTS[c] == subject]
                worst = worst_of([e for c in of_subject for e in by_code[c]])
                # a target is promised for one day, whichever is shown
                title = f"{subject} on {worst.day}" if part == "target" else subject
                self._fill((part, subject), title, worst)
                for code in of_subject:
                    of_code = by_code[code]
                    worst = worst_of(of_code)
                    self._fill((part, subject, code), WITHIN[code], worst)
                    for entry in of_code:
                        is_old = snapshot.days_are_old and entry.day != shown
                        title = f"{entry.day}, last stop" if is_old else entry.day
                        key = (part, subject, code, entry.day)
                        self._fill(key, title, entry, is_old=is_old)
        self._show_banner(snapshot, by_code)
        self._on_current(self.tree.currentItem())

    def _show_banner(self, snapshot: Snapshot, by_code: dict[str, list[Entry]]) -> None:
        over = [
            worst_of(entries)
            for entries in by_code.values()
            if any(e.state == "over" and e.part == "parts" for e in entries)
        ]
        alarm = bool(over)
        if not over:
            self.banner.setText("Nothing in parts is over on any day judged.")
        else:
            top = worst_of(over)
            more = f" and {len(over) - 1} more" if len(over) > 1 else ""
            words = sentence(top, snapshot.match.build, self._system)
            self.banner.setText(
                f"OVER: {TITLES[top.code]} {percent(top.used)} on the {top.day} day{more}.\n{words}"
            )
        if alarm != self._alarm:
            self._alarm = alarm
            self.banner.setProperty("alarm", alarm)
            style = self.banner.style()
            style.unpolish(self.banner)
            style.polish(self.banner)

    def tip_of(self, item: QTreeWidgetItem | None) -> str:
        """Everything a row stands for, in whole words."""
        key = item.data(0, Qt.ItemDataRole.UserRole) if item is not None else None
        entry = self._entries.get(tuple(key)) if key else None
        if entry is None or self._snapshot is None:
            return ""
        words = sentence(entry, self._snapshot.match.build, self._system)
        is_old = self._snapshot.days_are_old and entry.day != self._snapshot.match.day.name
        old = ", as of the last stop" if is_old else ""
        return (
            f"{TITLES[entry.code]} ({entry.day} day{old}): "
            f"{entry.state}, {percent(entry.used)} used.\n{words}."
        )

    def _on_current(self, item: QTreeWidgetItem | None, *_: object) -> None:
        if item is None or self._snapshot is None:
            self.detail.setText("Choose an entry to see where it is tightest, and why.")
            return
        key = item.data(0, Qt.ItemDataRole.UserRole)
        entry = self._entries.get(tuple(key)) if key else None
        if entry is None:
            return
        words = self.tip_of(item)
        basis = "" if words.endswith(f"{entry.basis}.") else f"\nBasis: {entry.basis}."
        self.detail.setText(words + basis)
        if item is self.tree.currentItem() and self.tree.hasFocus():
            self.chosen.emit(entry)
