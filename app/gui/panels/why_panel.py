"""*Why*: the stations from filter to crankshaft at one engine speed, each number explained."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import (
    QGuiApplication,
    QKeySequence,
    QResizeEvent,
    QShortcut,
    QShowEvent,
    QTextDocumentFragment,
)
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QTextBrowser,
    QToolButton,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.fields import Units
from app.gui.copying import add_copy_action, offer_copy
from app.gui.widgets.equation_item import EquationDelegate, StepItem
from app.gui.widgets.link_label import LinkLabel
from app.present.copied_tables import why_table
from app.present.ledger_words import SHOW_DAY
from app.present.unbroken import broken, unbroken
from app.present.why import ASSUMED_MARK, STATION_TITLES, value_text, why_row, why_text
from engine_model.results import Step

LEAST_LINES = 18
"""Lines of the panel from which its foot is shown."""

NOTHING_CHOSEN = "Choose an entry of the ledger, or move the cursor, to see how its numbers arise."
_FOOT = f"Equations are in SI, speeds in rpm. {ASSUMED_MARK}\u00a0assumed: nobody has set it."


class WhyPanel(QWidget):
    """Stations as headings, a row a step; a row unfolds to equation, numbers and source.

    Previous and Next walk from station to station with everything unfolded, All shows every
    station again. What has no engine speed is told in words instead.

    Signals
    -------
    followed(target)
        A link was followed: ``day:`` and a day, or the path of an input.
    shown()
        It came to be seen, alone or with its place.
    """

    followed = Signal(str)
    shown = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._steps: dict[str, Step] = {}
        self._system: Units = "si"
        self._stations: dict[str, QTreeWidgetItem] = {}
        self._items: dict[str, StepItem] = {}
        self._walked: str | None = None
        self._markup = ""
        self.title = QLabel(NOTHING_CHOSEN)
        self.title.setWordWrap(True)
        self.title.setObjectName("detail")
        self.about = LinkLabel()
        self.about.setObjectName("detail")
        self.about.linkActivated.connect(self.followed)
        self.about.hide()
        self.words = QTextBrowser()
        self.words.setOpenLinks(False)
        self.words.setAccessibleName("Why, in words")
        self.words.anchorClicked.connect(lambda url: self.followed.emit(url.toString()))
        self.words.hide()
        self.tree = QTreeWidget()
        self.foot = QLabel(_FOOT)
        self.foot.setWordWrap(True)
        self.foot.setObjectName("caution")
        self.previous = self._button("\u2039", "Previous station", self.previous_station)
        self.next = self._button("\u203a", "Next station", self.next_station)
        self.all = self._button("All", "All stations", self.all_stations)
        self.place = QLabel()
        self.place.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._set_up_tree()
        self._lay_out()
        self._show_walk()

    def showEvent(self, event: QShowEvent) -> None:
        """Tell that it is seen again."""
        super().showEvent(event)
        self.shown.emit()

    def _button(self, text: str, name: str, act: object) -> QToolButton:
        button = QToolButton()
        button.setText(text)
        button.setToolTip(name)
        button.setAccessibleName(name)
        button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        button.clicked.connect(act)
        return button

    def _set_up_tree(self) -> None:
        tree = self.tree
        tree.setColumnCount(1)
        tree.setHeaderHidden(True)
        tree.setIndentation(10)
        tree.setAccessibleName("Why: stations and their numbers")
        tree.setExpandsOnDoubleClick(False)
        tree.setVerticalScrollMode(QTreeWidget.ScrollMode.ScrollPerPixel)
        tree.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._delegate = EquationDelegate(tree)
        tree.setItemDelegate(self._delegate)
        tree.itemClicked.connect(self._toggle)
        tree.itemExpanded.connect(self._on_expanded)
        for keys in ("Return", "Enter"):
            shortcut = QShortcut(QKeySequence(keys), tree)
            shortcut.setContext(Qt.ShortcutContext.WidgetShortcut)
            shortcut.activated.connect(lambda: self._toggle(self.tree.currentItem()))
        add_copy_action(tree, "Copy the chosen row or station", self._copy, keys=True)
        offer_copy(tree, self.rows)

    def _lay_out(self) -> None:
        walk = QHBoxLayout()
        walk.setSpacing(2)
        walk.addWidget(self.previous)
        walk.addWidget(self.place, 1)
        walk.addWidget(self.next)
        walk.addWidget(self.all)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(6, 4, 6, 4)
        layout.setSpacing(3)
        layout.addWidget(self.title)
        layout.addWidget(self.about)
        layout.addWidget(self.words, 1)
        layout.addLayout(walk)
        layout.addWidget(self.tree, 1)
        layout.addWidget(self.foot)

    # what is shown

    def show_words(self, title: str, markup: str) -> None:
        """Tell what has no engine speed in words, with links; emits nothing."""
        self.show_steps((), self._system, "")
        self.title.setText(title)
        self._set_worded(True)
        if markup != self._markup:
            self._markup = markup
            self.words.setHtml(unbroken(markup))

    def _set_worded(self, worded: bool) -> None:
        self.words.setVisible(worded)
        for widget in (self.tree, self.place, self.previous, self.next, self.all):
            widget.setVisible(not worded)
        self._fit_foot()

    def _fit_foot(self) -> None:
        """Leave the foot out where the rows need its room."""
        tall = self.height() > LEAST_LINES * self.fontMetrics().lineSpacing()
        self.foot.setVisible(tall and not self.words.isVisibleTo(self))

    def show_steps(
        self, steps: tuple[Step, ...], system: Units, title: str, about: str = ""
    ) -> None:
        """Show the steps of one engine speed; none empties the panel. Emits nothing.

        ``about`` is markup under the title.
        """
        if self.words.isVisibleTo(self):
            self._set_worded(False)
        self.about.setText(unbroken(about) if steps else "")
        self.about.setVisible(bool(about and steps))
        self._steps = {step.key: step for step in steps}
        self._system = system
        self.title.setText(title if steps else NOTHING_CHOSEN)
        self.tree.setUpdatesEnabled(False)
        wrapped = False
        for step in steps:
            item = self._items.get(step.key) or self._make(step)
            former, item.value = item.value, value_text(step.value, step.kind, system)
            wrapped |= len(former) != len(item.value)  # a row may need another line
            if item.isExpanded():
                wrapped |= self._fill_detail(item)
        if wrapped:
            self.tree.scheduleDelayedItemsLayout()
        for key, item in self._items.items():
            if item.isHidden() == (key in self._steps):
                item.setHidden(key not in self._steps)
        if self._walked is not None and self._walked not in self._present():
            self.all_stations()
        self._show_walk()
        self.tree.setUpdatesEnabled(True)

    def _make(self, step: Step) -> StepItem:
        """Item of a step under its station; made once, in the order of the steps."""
        if not self._stations:
            for station, name in STATION_TITLES.items():
                head = QTreeWidgetItem(self.tree, [name])
                font = head.font(0)
                font.setBold(True)
                head.setFont(0, font)
                head.setExpanded(True)
                self._stations[station] = head
        head = self._stations[step.station]
        order = list(self._steps)
        before = set(order[: order.index(step.key)])
        known = [head.child(i).key for i in range(head.childCount())]
        place = 1 + max((i for i, key in enumerate(known) if key in before), default=-1)
        item = StepItem(step)
        head.insertChild(place, item)
        self._items[step.key] = item
        return item

    def _fill_detail(self, item: StepItem) -> bool:
        """Bring the text under a step up to date; whether it changed."""
        row = why_row(self._steps[item.key], self._system)
        changed = item.detail.row != row
        item.detail.row = row
        return changed

    def _on_expanded(self, item: QTreeWidgetItem) -> None:
        if isinstance(item, StepItem) and item.key in self._steps:
            self._fill_detail(item)

    def _toggle(self, item: QTreeWidgetItem | None, *_: object) -> None:
        if item is not None and item.childCount():
            item.setExpanded(not item.isExpanded())

    def open_step(self, key: str) -> None:
        """Unfold one step and bring it into sight; nothing where the build has no such step."""
        item = self._items.get(key)
        if item is None or item.isHidden():
            return
        if self._walked is not None:
            self.all_stations()
        item.parent().setExpanded(True)
        item.setExpanded(True)
        self.tree.setCurrentItem(item)
        self.tree.scrollToItem(item.child(0))
        self.tree.scrollToItem(item)

    # the walk

    def _present(self) -> list[str]:
        """Headings that have rows, in order."""
        mine = {step.station for step in self._steps.values()}
        return [name for name in STATION_TITLES if name in mine]

    def next_station(self) -> None:
        """Show the next station alone, all of it unfolded."""
        self._walk(1)

    def previous_station(self) -> None:
        """Show the station before alone, all of it unfolded."""
        self._walk(-1)

    def _walk(self, by: int) -> None:
        names = self._present()
        if not names:
            return
        if self._walked is None:
            place = 0 if by > 0 else len(names) - 1
        else:
            place = min(max(names.index(self._walked) + by, 0), len(names) - 1)
        self._walked = names[place]
        self.tree.setUpdatesEnabled(False)
        head = self._stations[self._walked]
        head.setExpanded(True)
        for i in range(head.childCount()):
            head.child(i).setExpanded(True)
        self._show_walk()
        self.tree.setUpdatesEnabled(True)
        self.tree.scrollToTop()

    def all_stations(self) -> None:
        """Show every station, the rows folded."""
        self._walked = None
        self._fold_rows()
        self._show_walk()

    def _fold_rows(self) -> None:
        for item in self._items.values():
            item.setExpanded(False)

    def _show_walk(self) -> None:
        """Headings, buttons and words as the walk stands."""
        names = self._present()
        for name, head in self._stations.items():
            head.setHidden(name not in names or self._walked not in (None, name))
        place = -1 if self._walked is None else names.index(self._walked)
        count = f"{place + 1} of {len(names)}" if place >= 0 else f"{len(names)} stations"
        self.place.setText(count if names else "")
        self.previous.setEnabled(bool(names) and place != 0)
        self.next.setEnabled(bool(names) and place != len(names) - 1)
        self.all.setEnabled(place >= 0)

    # text

    def rows(self) -> list[list[str]]:
        """Everything shown, as rows of text with their titles."""
        return why_table([why_row(step, self._system) for step in self._steps.values()])

    def as_text(self) -> str:
        """Everything shown, as plain text."""
        if self.words.isVisibleTo(self):
            return f"{self.title.text()}\n{broken(self.words.toPlainText())}"
        about = QTextDocumentFragment.fromHtml(self.about.text()).toPlainText()
        about = broken(about.removesuffix(SHOW_DAY)).strip()
        title = "\n".join(part for part in (self.title.text(), about) if part)
        return self._text(list(self._steps.values()), title)

    def _text(self, steps: list[Step], title: str = "") -> str:
        return why_text(tuple(why_row(step, self._system) for step in steps), title)

    def _copy(self) -> None:
        """Copy the chosen row, or a whole station from its heading."""
        item = self.tree.currentItem()
        if item is None:
            return
        if not isinstance(item, StepItem) and item.parent() is not None:
            item = item.parent()
        if isinstance(item, StepItem):
            chosen = [self._steps[item.key]]
        else:
            steps = self._steps.values()
            chosen = [s for s in steps if STATION_TITLES[s.station] == item.text(0)]
        QGuiApplication.clipboard().setText(self._text(chosen))

    def changeEvent(self, event: QEvent) -> None:
        """Read the links anew in the colours of a new palette."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and self._markup:
            self.words.setHtml(unbroken(self._markup))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Wrap the unfolded rows anew."""
        super().resizeEvent(event)
        self._fit_foot()
        self.tree.scheduleDelayedItemsLayout()
