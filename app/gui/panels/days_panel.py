"""The days of a build: the named ones and the user's, edited and kept with the build."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtWidgets import (
    QFormLayout,
    QGridLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.fields import DAY_FIELDS
from app.gui.copying import offer_copy
from app.gui.day_edits import change_day, free_name, own_day, put_day, remove_day, rename_day
from app.gui.document import Document
from app.gui.preferences import Preferences
from app.gui.widgets.field_row import FieldRow
from app.present.copied_tables import days_rows
from app.present.day_words import day_facts, standard_pressure_words
from app.present.sentences import refusal
from engine_model.errors import InputError
from engine_model.inputs import NAMED_DAYS, Build, Day

NAME = Qt.ItemDataRole.UserRole


class DaysPanel(QWidget):
    """List of days with the inputs of the chosen one; every edit is a step of the document."""

    def __init__(self, document: Document, preferences: Preferences) -> None:
        super().__init__()
        self._document, self._preferences = document, preferences
        self._chosen = self._on_bench = document.day.name
        self._other_name: dict[str, str] = {}
        self._shown: tuple[object, ...] | None = None
        self._named, self._step = "", document.undo.index()
        self.list = QListWidget()
        self.list.setAccessibleName("Days of the build")
        self.add = self._button("Add", "A new day like the mild one", self.add_day)
        self.duplicate = self._button("Duplicate", "A new day like this one", self.duplicate_day)
        self.remove = self._button("Delete", "Delete this day", self.remove_chosen)
        self.show_day = self._button("Show", "Show this day on the bench", self._show)
        self.name = QLineEdit()
        self.name.setAccessibleName("Name of the day")
        self.sentence = QLabel()
        self.sentence.setObjectName("sentence")
        self.sentence.setWordWrap(True)
        self.sentence.hide()
        self.rows = {field.path: FieldRow(field) for field in DAY_FIELDS}
        self.facts: list[tuple[QLabel, QLabel]] = []
        self._form = QFormLayout()
        self._lay_out()
        self.list.currentItemChanged.connect(self._select)
        offer_copy(self.list, self.table_rows, lambda: self.table_rows(self.chosen.name))
        self.name.editingFinished.connect(self._rename)
        document.changed.connect(self.refresh)
        document.day_changed.connect(self.refresh)
        document.undo.indexChanged.connect(self._on_step)
        preferences.changed.connect(self._on_preferences)
        self._on_preferences()

    def _button(self, text: str, tip: str, slot: Callable[[], None]) -> QPushButton:
        button = QPushButton(text)
        button.setToolTip(tip)
        button.setAutoDefault(False)
        button.clicked.connect(lambda: slot())
        return button

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(6, 6, 6, 6)
        self.list.setMinimumHeight(6 * self.fontMetrics().height())
        self.list.setMaximumHeight(12 * self.fontMetrics().height())
        column.addWidget(self.list, 1)
        buttons = QGridLayout()
        for number, button in enumerate((self.add, self.duplicate, self.remove, self.show_day)):
            buttons.addWidget(button, number // 2, number % 2)
        column.addLayout(buttons)
        label = QLabel("&Name")
        label.setBuddy(self.name)
        self._form.addRow(label, self.name)
        column.addLayout(self._form)
        column.addWidget(self.sentence)
        for row in self.rows.values():
            row.entered.connect(self._entered)
            column.addWidget(row)
        facts = QFormLayout()
        for _ in day_facts(NAMED_DAYS["mild"]):
            pair = (QLabel(), QLabel())
            pair[1].setWordWrap(True)
            pair[1].setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
            facts.addRow(*pair)
            self.facts.append(pair)
        column.addLayout(facts)
        column.addStretch(1)

    @property
    def chosen(self) -> Day:
        """The day that is edited."""
        known = self._document.build.known_days()
        return known.get(self._chosen, known["mild"])

    def choose(self, name: str) -> None:
        """Choose the day to be edited; the bench shows what it shows."""
        self._chosen = name
        self._say("")
        self.refresh()

    def add_day(self) -> None:
        """Add a day like the mild one."""
        self._add(NAMED_DAYS["mild"], "new day")

    def duplicate_day(self) -> None:
        """Add a day like the chosen one."""
        self._add(self.chosen, f"{self.chosen.name} copy")

    def _add(self, like: Day, wanted: str) -> None:
        name = free_name(self._document.build, wanted)
        self._edit(lambda build: put_day(build, replace(like, name=name)), f"Add the {name} day")
        self.choose(name)
        self.name.setFocus()
        self.name.selectAll()

    def remove_chosen(self) -> None:
        """Delete the chosen day, or reset a named one."""
        name = self.chosen.name
        verb = "Reset" if name in NAMED_DAYS else "Delete"
        self._edit(lambda build: remove_day(build, name), f"{verb} the {name} day")

    def _show(self) -> None:
        self._document.show_day(self.chosen.name)

    def _rename(self) -> None:
        former, new = self.chosen.name, self.name.text().strip()
        if new == former:
            return
        self._other_name |= {former: new, new: former}
        if not self._edit(lambda build: rename_day(build, former, new), f"Rename the {former} day"):
            with QSignalBlocker(self.name):
                self.name.setText(former)

    def _entered(self, path: str, value: object) -> None:
        day, row = self.chosen, self.rows[path]
        text = f"Change {row.field.label.partition(',')[0].lower()} of the {day.name} day"
        try:
            build = change_day(self._document.build, day.name, path, value)
        except InputError as error:
            self._shown = None
            self.refresh()
            row.say(refusal(error))
            return
        self._document.replace(build, frozenset({"days"}), text)

    def _edit(self, edit: Callable[[Build], Build], text: str) -> bool:
        """Make an edit one step; a refusal is told beside the list."""
        build = self._document.build
        try:
            new = edit(build)
        except InputError as error:
            self._say(refusal(error))
            return False
        paths = {"days"}
        if new.target != build.target:
            paths.add("target.day")
        if new.pins != build.pins:
            paths.add("pins")
        self._say("")
        self._document.replace(new, frozenset(paths), text)
        return True

    def _say(self, sentence: str) -> None:
        self.sentence.setText(sentence)
        self.sentence.setVisible(bool(sentence))

    def _select(self, item: QListWidgetItem | None) -> None:
        if item is not None:
            self.choose(item.data(NAME))

    def _on_preferences(self, *_: object) -> None:
        for row in self.rows.values():
            row.set_system(self._preferences.choices.units_shown)
        self._shown = None
        self.refresh()

    def refresh(self, paths: object = None) -> None:
        """Show the days as they are; emits nothing."""
        if paths == frozenset():
            self._other_name.clear()  # another build: its days were never renamed here
        build = self._document.build
        self._follow(build)
        day = self.chosen
        state = (build.days, build.target.day, day, self._document.day.name)
        if state == self._shown:
            return
        shown, self._named = self._named, day.name
        self._shown = state
        self._chosen = day.name
        self._show_list(build, day)
        named, own = day.name in NAMED_DAYS, own_day(build, day.name)
        with QSignalBlocker(self.name):
            self.name.setText(day.name)
        self.name.setReadOnly(named)
        self.name.setToolTip("A named day keeps its name; duplicate it to rename it" * named)
        self.remove.setText("Reset" if named else "Delete")
        self.remove.setToolTip("Back to the day as it was" if named else "Delete this day")
        self.remove.setEnabled(own)
        self.show_day.setEnabled(day.name != self._document.day.name)
        units = self._preferences.choices.units_shown
        for path, row in self.rows.items():
            hint = standard_pressure_words(day, units) if path == "day.pressure" else ""
            if day.name != shown or paths == frozenset():
                row.restore()  # another day, or another build
            row.set_value(getattr(day, path.partition(".")[2]), True, hint)
            if not row.is_refused:
                row.say("")
        for (title, text), (label, words) in zip(day_facts(day, units), self.facts, strict=True):
            label.setText(title)
            words.setText(text)

    def _on_step(self, step: int) -> None:
        if step < self._step:  # an edit was taken back, and with it what was refused
            for row in self.rows.values():
                row.restore()
        self._step = step

    def table_rows(self, only: str | None = None) -> list[list[str]]:
        """Rows of text with their titles: every day, or one."""
        units = self._preferences.choices.units_shown
        return days_rows(self._document.build, units, self._marks, only)

    def _marks(self, name: str) -> list[str]:
        """Words for what a day is."""
        build = self._document.build
        known = {
            "changed": name in NAMED_DAYS and own_day(build, name),
            "target": name == build.target.day,
            "shown": name == self._document.day.name,
        }
        return [word for word, holds in known.items() if holds]

    def _follow(self, build: Build) -> None:
        """Stay on a day that was renamed, or whose renaming was undone."""
        known = build.known_days()
        for name in (self._chosen, self._on_bench):
            other = self._other_name.get(name)
            if name in known or other not in known:
                continue
            if name == self._chosen:
                self._chosen = other
            if name == self._on_bench:
                self._on_bench = other
                self._document.show_day(other)
        self._on_bench = self._document.day.name

    def _show_list(self, build: Build, day: Day) -> None:
        with QSignalBlocker(self.list):
            self.list.clear()
            for name in build.known_days():
                marks = self._marks(name)
                item = QListWidgetItem(name + (f"  ({', '.join(marks)})" if marks else ""))
                item.setData(NAME, name)
                self.list.addItem(item)
                if name == day.name:
                    self.list.setCurrentItem(item)
