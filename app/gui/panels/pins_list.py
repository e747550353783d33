"""The list of pins: makes, names, shows, hides and deletes them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QAbstractItemView,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QWidget,
)

from app.fields import Units
from app.gui.document import Document
from app.gui.panels.pins_model import Row
from app.gui.preferences import Preferences
from app.gui.widgets.swatch import SWATCH
from app.present.pins import (
    by_size,
    default_pin_name,
    make_pin,
    pin_fault,
    shelf_pins,
    shown_names,
    with_pins,
)
from engine_model.errors import InputError
from engine_model.inputs import Pin


class PinsList(QWidget):
    """Edits the pins of the open build, each edit one undo step.

    Signals
    -------
    shown_changed()
        A pin was hidden or shown.
    renamed(before, after)
        A pin is about to bear another name; both are records of a pin.
    """

    shown_changed = Signal()
    renamed = Signal(object, object)

    def __init__(self, document: Document, preferences: Preferences) -> None:
        super().__init__()
        self._document, self._preferences = document, preferences
        self._units: Units = "si"
        self._hidden: set[str] = set()
        self.name = QLineEdit()
        self.name.setAccessibleName("Name of the pin")
        self.name.setToolTip("Name of the pin; blank takes the one shown in grey")
        self.pin_button = button("&Pin this line", "Keep the present line as a ghost")
        self.shelf_button = button("Pin every shelf size", "")
        self.delete_button = button("Delete", "Delete the pins chosen (Delete key)")
        self.clear_button = button("Clear", "Delete all pins; undo brings them back")
        self.list = QListWidget()
        self.list.setAccessibleName("Pins")
        self.list.setToolTip("Tick: drawn as a ghost. F2 or double click: rename. Delete: delete")
        self.list.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.list.setIconSize(SWATCH)
        self.list.setUniformItemSizes(True)
        self.list.setMinimumHeight(56)
        self.words = QLabel()
        self.words.setWordWrap(True)
        self.words.setTextFormat(Qt.TextFormat.PlainText)
        self.words.setObjectName("sentence")
        self.words.hide()
        self.progress = QLabel()
        self.progress.setObjectName("headline")
        self.progress.setWordWrap(True)
        self._lay_out()
        self._connect()

    def _lay_out(self) -> None:
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.addWidget(self.name, 0, 0)
        grid.addWidget(self.pin_button, 0, 1)
        grid.addWidget(self.list, 1, 0, 1, 2)
        grid.addWidget(self.shelf_button, 2, 0, 1, 2)
        ends = QHBoxLayout()
        ends.addWidget(self.delete_button)
        ends.addWidget(self.clear_button)
        grid.addLayout(ends, 3, 0, 1, 2)
        grid.addWidget(self.words, 4, 0, 1, 2)
        grid.addWidget(self.progress, 5, 0, 1, 2)
        grid.setRowStretch(1, 1)

    def _connect(self) -> None:
        self.pin_button.clicked.connect(self.pin_this_line)
        self.name.returnPressed.connect(self.pin_this_line)
        self.shelf_button.clicked.connect(self.pin_shelf)
        self.delete_button.clicked.connect(self.delete_chosen)
        self.clear_button.clicked.connect(self.clear)
        self.list.itemChanged.connect(self._item_changed)
        self.list.itemSelectionChanged.connect(self.enable)
        keys = QShortcut(QKeySequence(QKeySequence.StandardKey.Delete), self.list)
        keys.setContext(Qt.ShortcutContext.WidgetShortcut)
        keys.activated.connect(self.delete_chosen)
        self._preferences.changed.connect(self.enable)

    def set_units(self, units: Units) -> None:
        """Set the units of names and sentences; emits nothing."""
        self._units = units
        self.show_default_name()

    def is_hidden(self, name: str) -> bool:
        """Whether a pin is not drawn."""
        return name in self._hidden

    def forget_hidden(self) -> None:
        """Draw every pin again: another build is open."""
        self._hidden.clear()

    # edits

    def pin_this_line(self) -> None:
        """Pin the present line under the name typed, or the one shown in grey."""
        build = self._document.build
        name = self.name.text().strip() or self.name.placeholderText()
        if self._is_taken(name):
            return
        self._edit([*build.pins, make_pin(build, name)], f"Pin {name}")
        self.name.clear()

    def pin_shelf(self) -> None:
        """Pin the build with every blower pulley of the shelf."""
        build = self._document.build
        pulleys = self._preferences.choices.shelf.pulleys
        try:
            made = shelf_pins(build, pulleys, self._units)
        except InputError as error:
            self.say(pin_fault(error, self._units).replace("Not drawn", "Not pinned"))
            return
        if made:
            self._edit(by_size([*build.pins, *made]), "Pin every shelf size")
        else:
            self.say("Every size of the shelf is pinned already.")

    def delete_chosen(self) -> None:
        """Delete the pins chosen in the list."""
        rows = {self.list.row(item) for item in self.list.selectedItems()}
        pins = self._document.build.pins
        if rows:
            one = f"Delete pin {self._shown()[min(rows)]}"
            text = one if len(rows) == 1 else f"Delete {len(rows)} pins"
            self._edit([pin for k, pin in enumerate(pins) if k not in rows], text)

    def clear(self) -> None:
        """Delete all pins."""
        self._edit([], "Clear pins")

    def _edit(self, pins: Iterable[Pin], text: str) -> None:
        self.say("")
        build = with_pins(self._document.build, pins)
        self._document.replace(build, frozenset({"pins"}), text)

    def _is_taken(self, name: str) -> bool:
        taken = name in {*self._shown(), *(pin.name for pin in self._document.build.pins)}
        if taken:
            self.say(f"A pin is named {name} already; give another name.")
        return taken

    def _shown(self) -> tuple[str, ...]:
        return shown_names(self._document.build.pins, self._units)

    def _item_changed(self, item: QListWidgetItem) -> None:
        pins = self._document.build.pins
        row, name = self.list.row(item), item.text().strip()
        pin, was = pins[row], self._shown()[row]
        shown = item.checkState() == Qt.CheckState.Checked
        if shown == (pin.name in self._hidden):
            (self._hidden.discard if shown else self._hidden.add)(pin.name)
            self.shown_changed.emit()
        if name == was:
            return
        if not name:
            self.say("A pin needs a name.")
        elif not self._is_taken(name):
            if pin.name in self._hidden:
                self._hidden.add(name)
            renamed = replace(pin, name=name)
            self.renamed.emit(pin, renamed)
            text = f"Rename pin {was} to {name}"
            self._edit([*pins[:row], renamed, *pins[row + 1 :]], text)
            return
        self.shown_changed.emit()

    def say(self, sentence: str) -> None:
        """Show a sentence under the list; an empty one hides it."""
        self.words.setText(sentence)
        self.words.setVisible(bool(sentence))

    def say_progress(self, words: str) -> None:
        """Show how far the computing is; empty hides it."""
        self.progress.setText(words)
        self.progress.setVisible(bool(words))

    def enable(self, *_: object) -> None:
        """Enable what can be done."""
        pins, belt = self._document.build.pins, self._document.build.drive.kind == "belt"
        self.delete_button.setEnabled(bool(self.list.selectedItems()))
        self.clear_button.setEnabled(bool(pins))
        shelf = bool(self._preferences.choices.shelf.pulleys)
        self.shelf_button.setEnabled(belt and shelf)
        tip = "A pin for each blower pulley on the shelf"
        if not belt:
            tip = "Only a belt-driven blower has pulleys"
        elif not shelf:
            tip = "No blower pulley on the shelf (preferences)"
        self.shelf_button.setToolTip(tip)

    def show_default_name(self) -> None:
        """Show the name a pin would take."""
        build = self._document.build
        taken = [*(pin.name for pin in build.pins), *self._shown()]
        self.name.setPlaceholderText(default_pin_name(build, taken, self._units))
        self.enable()

    def show_rows(self, rows: list[Row]) -> None:
        """Show the pins; emits nothing."""
        with QSignalBlocker(self.list):
            while self.list.count() > len(rows):
                self.list.takeItem(self.list.count() - 1)
            pins = self._document.build.pins
            for number, (row, pin) in enumerate(zip(rows, pins, strict=True)):
                if number == self.list.count():
                    self.list.addItem(QListWidgetItem())
                item = self.list.item(number)
                flags = item.flags() | Qt.ItemFlag.ItemIsEditable | Qt.ItemFlag.ItemIsUserCheckable
                item.setFlags(flags)
                item.setText(row.name)
                item.setIcon(row.icon)
                item.setToolTip(row.sentence if row.figures is None else row.figures.note)
                shown = pin.name not in self._hidden
                item.setCheckState(Qt.CheckState.Checked if shown else Qt.CheckState.Unchecked)


def button(text: str, tip: str) -> QPushButton:
    """Return a button with a tooltip."""
    made = QPushButton(text)
    made.setToolTip(tip)
    made.setAutoDefault(False)
    return made
