"""The ledger in its three parts: a row a subject, unfolding to its entries and days."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QIcon, QPainter, QPixmap
from PySide6.QtWidgets import QLabel, QTreeWidgetItem, QVBoxLayout, QWidget

from app.fields import Units
from app.gui.copying import offer_copy
from app.gui.recompute import Snapshot
from app.gui.widgets.dial import STATES, paint_dial
from app.gui.widgets.ledger_tree import INDENT, LedgerTree
from app.present.copied_tables import ledger_rows
from app.present.ledger_words import banner_of, cautions_of, detail_words, row_words, worst_of
from app.present.sentences import PART_TITLES, PARTS, SUBJECTS, TITLES, WITHIN, state_words
from app.present.unbroken import unbroken
from engine_model.results import Entry

if TYPE_CHECKING:
    from engine_model.studies.uncertain_records import ErrorBars

WIDEST_STATE, WIDEST_DAY, WIDEST_SUBJECT = "62 % assumed", "hot and high", "Compressor map"
"""Texts that the columns have room for."""

BANNER_PAD = 8
"""Room round the banner's words, at the sides as in the rules of the theme [px]."""

LARGEST = 16_777_215
"""Qt's largest size of a widget [px]."""

NOTHING_CHOSEN = "Choose an entry to see where it is tightest, and why."

Key = tuple[str, ...]


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
        self._brief = False
        self._alarm = (False, False)
        self._snapshot: Snapshot | None = None
        self._bars: ErrorBars | None = None
        self._bars_are_old = False
        self._items: dict[Key, QTreeWidgetItem] = {}
        self._entries: dict[Key, Entry] = {}
        self._looks: dict[Key, tuple[str, str, str, bool]] = {}
        self._seen: dict[Key, tuple[Entry, str, bool]] = {}
        self.banner = QLabel()
        self.banner.setWordWrap(True)
        self.banner.setObjectName("banner")
        self.tree = LedgerTree(self.tip_of)
        self.detail = QLabel()
        self.detail.setWordWrap(True)
        self.detail.setObjectName("detail")
        self.detail.setMinimumHeight(60)
        self.detail.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.caution = QLabel(cautions_of(None))
        self.caution.setWordWrap(True)
        self.caution.setObjectName("caution")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(6, 4, 6, 4)
        for widget in (self.banner, self.tree, self.detail, self.caution):
            layout.addWidget(widget)
        layout.setStretchFactor(self.tree, 1)
        self.tree.currentItemChanged.connect(self._tell)
        self.tree.picked.connect(self._pick)
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
        self._seen.clear()
        for item in self._items.values():
            item.setData(0, Qt.ItemDataRole.UserRole + 1, None)
        if self._snapshot is not None:
            self.show_snapshot(self._snapshot)

    def set_bars(self, bars: ErrorBars | None, *, is_old: bool) -> None:
        """Tell the chances of the entries, or no longer; emits nothing."""
        self._bars, self._bars_are_old = bars, is_old
        self._seen.clear()
        if self._snapshot is not None:
            self.show_snapshot(self._snapshot)

    def _chance(self, entry: Entry) -> str:
        """Chance of an entry for its row; none while the error bars are of a former build."""
        if self._bars is None or self._bars_are_old:
            return ""
        # the words come in with the first error bars
        from app.present.chance_words import row_chance

        return row_chance(entry, self._bars)

    def _with_chance(self, words: str, entry: Entry) -> str:
        """Words of an entry, and a sentence on its chance."""
        if self._bars is None:
            return words
        from app.present.chance_words import chance_sentence

        told = chance_sentence(entry, self._bars, is_old=self._bars_are_old)
        return f"{words}\n{told}" if told else words

    def _fit(self) -> None:
        """Give the states the room they need in the size of the text, and no more."""
        metrics = self.tree.fontMetrics()
        self.tree.setColumnWidth(1, metrics.horizontalAdvance(WIDEST_STATE) + 11)
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
        """Keep the words short, where another panel tells them."""
        if brief == self._brief:
            return
        self._brief = brief
        self.detail.setVisible(not brief)
        self.caution.setVisible(not brief)
        if self._snapshot is not None:
            self.show_snapshot(self._snapshot)

    def rows(self, *, chosen: bool = False) -> list[list[str]]:
        """Rows of text with their titles: all, or those under the item chosen."""
        if self._snapshot is None:
            return []
        items = self.tree.selectedItems() if chosen else []
        under = tuple(items[0].data(0, Qt.ItemDataRole.UserRole)) if items else ()
        build = self._snapshot.match.build
        by_day = self._snapshot.by_day
        return ledger_rows(by_day, build, self._system, under, self._with_chance)

    def _item(self, key: Key) -> QTreeWidgetItem:
        if key not in self._items:
            parent = self._items.get(key[:-1])
            item = QTreeWidgetItem()
            if parent is None:
                self.tree.addTopLevelItem(item)
            else:
                parent.insertChild(self._place(key), item)
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

    def _place(self, key: Key) -> int:
        """Where a row is put in under its parent: days stand in the order of the build."""
        parent = self._items[key[:-1]]
        if len(key) < 4 or self._snapshot is None:
            return parent.childCount()
        order = list(self._snapshot.match.build.known_days())
        before = order[: order.index(key[-1])] if key[-1] in order else order
        return sum((*key[:-1], day) in self._items for day in before)

    def _drop_gone(self) -> None:
        """Take rows away whose day or entry is no more."""
        for key in sorted(set(self._items) - set(self._entries), key=len, reverse=True):
            item = self._items.pop(key)
            self._looks.pop(key, None)
            self._seen.pop(key, None)
            parent = item.parent()
            if parent is None:
                self.tree.takeTopLevelItem(self.tree.indexOfTopLevelItem(item))
            else:
                parent.removeChild(item)

    def _fill(self, key: Key, title: str, entry: Entry, *, is_old: bool = False) -> None:
        self._entries[key] = entry
        # while a slider is dragged the other days' entries are the very ones shown
        seen = self._seen.get(key)
        if seen is not None and seen[0] is entry and seen[1] == title and seen[2] == is_old:
            return
        self._seen[key] = entry, title, is_old
        words, chance = state_words(entry), self._chance(entry)
        name, title = title, f"{title}, {chance}" if chance else title
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
            self.tree.set_name(item, title)
        if item.text(1) != words:
            self.tree.set_state(item, words)
        seen_state = f"{entry.state}, {chance}" if chance else entry.state
        if item.data(0, Qt.ItemDataRole.UserRole + 1) != seen_state:
            item.setData(0, Qt.ItemDataRole.UserRole + 1, seen_state)
            item.setIcon(0, self._icons.get(entry.state, QIcon()))
            whole = TITLES[entry.code] if len(key) == 3 else name
            item.setData(0, Qt.ItemDataRole.AccessibleTextRole, f"{whole}, {seen_state}")

    def show_snapshot(self, snapshot: Snapshot) -> None:
        """Show a snapshot; emits nothing."""
        self._snapshot = snapshot
        self._entries = {}
        by_code: dict[str, list[Entry]] = {}
        for entries in snapshot.by_day.values():
            for entry in entries:
                by_code.setdefault(entry.code, []).append(entry)
        codes = [e.code for e in snapshot.match.ledger]
        tightest: list[Entry] = []
        parts = {e.code: e.part for e in snapshot.match.ledger}
        for part in PARTS:
            mine = [c for c in codes if parts[c] == part]
            head = self._item((part,))
            if head.text(0) != PART_TITLES[part]:
                head.setText(0, PART_TITLES[part])
            worst_of_code = {c: worst_of(by_code[c]) for c in mine}
            of_part = []
            for subject in dict.fromkeys(SUBJECTS[c] for c in mine):
                of_subject = [c for c in mine if SUBJECTS[c] == subject]
                worst = worst_of(worst_of_code[c] for c in of_subject)
                of_part.append(worst)
                # a target is promised for one day, whichever is shown
                on_day = part == "target" and not self._chance(worst)
                title = f"{subject} on {worst.day}" if on_day else subject
                self._fill((part, subject), title, worst)
                for code in of_subject:
                    tightest.append(worst_of_code[code])
                    self._fill((part, subject, code), WITHIN[code], worst_of_code[code])
                    for entry in by_code[code]:
                        is_old = snapshot.is_old(entry)
                        title = f"{entry.day}, last stop" if is_old else entry.day
                        key = (part, subject, code, entry.day)
                        self._fill(key, title, entry, is_old=is_old)
            self._entries[(part,)] = worst_of(of_part)
        if len(self._items) != len(self._entries):
            self._drop_gone()
        self._show_banner(snapshot, tightest)
        self._tell(self.tree.currentItem())

    def _hold_banner(self, dragging: bool, words: str) -> None:
        """Keep the banner's size during a drag: with every new size the window is laid out anew."""
        banner = self.banner
        if not dragging:
            if banner.minimumHeight():
                banner.setMinimumSize(0, 0)
                banner.setMaximumSize(LARGEST, LARGEST)
            return
        if not banner.minimumHeight():
            banner.setFixedSize(banner.size())
        if words != banner.text():
            room = QRect(0, 0, banner.contentsRect().width() - 2 * BANNER_PAD, 10_000)
            flags = Qt.TextFlag.TextWordWrap
            needed = banner.fontMetrics().boundingRect(room, flags, words).height()
            tall = needed + 2 * BANNER_PAD
            if tall > banner.height():
                banner.setFixedHeight(tall)

    def _show_banner(self, snapshot: Snapshot, tightest: list[Entry]) -> None:
        # while a slider is dragged what stands below is never pushed up
        banner = banner_of(tightest, snapshot.match.build, self._system)
        words = banner.brief if self._brief else banner.text
        self._hold_banner(snapshot.days_are_old, words)
        self.banner.setText(words)
        self.banner.setToolTip(banner.text if self._brief else "")
        look = banner.alarm, banner.short
        if look != self._alarm:
            self._alarm = look
            self.banner.setProperty("alarm", banner.alarm)
            self.banner.setProperty("short", banner.short)
            style = self.banner.style()
            style.unpolish(self.banner)
            style.polish(self.banner)

    def _entry_of(self, item: QTreeWidgetItem | None) -> Entry | None:
        key = item.data(0, Qt.ItemDataRole.UserRole) if item is not None else None
        return self._entries.get(tuple(key)) if key else None

    def _is_old(self, entry: Entry) -> bool:
        snapshot = self._snapshot
        return snapshot is not None and snapshot.is_old(entry)

    def tip_of(self, item: QTreeWidgetItem | None) -> str:
        """Everything a row stands for, in whole words."""
        entry = self._entry_of(item)
        if entry is None or self._snapshot is None:
            return ""
        build = self._snapshot.match.build
        words = row_words(entry, build, self._system, is_old=self._is_old(entry))
        return self._with_chance(words, entry)

    def _tell(self, item: QTreeWidgetItem | None, *_: object) -> None:
        """Tell the whole of the row under the tree; nothing is chosen by it."""
        entry = self._entry_of(item)
        self.caution.setText(cautions_of(entry))
        if entry is None or self._snapshot is None:
            self.detail.setText(NOTHING_CHOSEN)
            return
        build = self._snapshot.match.build
        words = detail_words(entry, build, self._system, is_old=self._is_old(entry))
        self.detail.setText(unbroken(self._with_chance(words, entry)))

    def _pick(self, item: QTreeWidgetItem) -> None:
        entry = self._entry_of(item)
        if entry is not None:
            self.chosen.emit(entry)
