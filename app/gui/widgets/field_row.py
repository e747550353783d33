"""One field on a panel: assumed mark, label, box, list or table, slider, sentence."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from PySide6.QtCore import QSignalBlocker, Qt, QTimer, Signal
from PySide6.QtWidgets import QComboBox, QGridLayout, QLabel, QPushButton, QSlider, QWidget

from app.fields import Field, Units, write_unit, write_value
from app.gui.widgets.count_box import CountBox
from app.gui.widgets.quantity_box import QuantityBox
from app.gui.widgets.table_editor import TableEditor
from app.present.headline import is_blank

STEPS = 400
"""Steps of a field's slider."""

ROOM = "0000.0 cu in"
"""Text that a box has room for."""

MARKED_MS = 1600
"""How long a row stays marked after it was shown [ms]."""


class FieldRow(QWidget):
    """One field; emits what the user enters, shows what it is told.

    Signals
    -------
    entered(path, value)
        A value was entered.
    confirmed(path)
        The word that a list shows was chosen again.
    drag_started(), drag_stopped()
        The slider is pressed and released.
    """

    entered = Signal(str, object)
    confirmed = Signal(str)
    drag_started = Signal()
    drag_stopped = Signal()

    def __init__(self, field: Field, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.field = field
        self._units: Units = "si"
        self._value: object = None
        self.derived = ""
        self.is_assumed = self._is_choosing = False
        self.is_idle = False
        """Whether the build has no use for it: nothing is assumed then."""
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self._unmark = QTimer(self)
        self._unmark.setSingleShot(True)
        self._unmark.setInterval(MARKED_MS)
        self._unmark.timeout.connect(lambda: self._set_marked(False))
        self.mark = QLabel()
        self.mark.setFixedWidth(14)
        self.label = QLabel(field.label)
        self.label.setWordWrap(True)
        self.sentence = QLabel()
        self.sentence.setObjectName("sentence")
        self.sentence.setWordWrap(True)
        self.sentence.hide()
        self.note = QLabel()
        self.note.setObjectName("headline")
        self.note.setWordWrap(True)
        self.note.hide()
        self.slider: QSlider | None = None
        self.table: TableEditor | None = None
        self.editor = self._make_editor()
        self.editor.setAccessibleName(field.label)
        self.label.setBuddy(self.editor)
        self._grid = grid = QGridLayout(self)
        grid.setContentsMargins(0, 1, 0, 1)
        grid.setHorizontalSpacing(4)
        grid.setVerticalSpacing(0)
        grid.addWidget(self.mark, 0, 0)
        grid.addWidget(self.label, 0, 1)
        grid.addWidget(self.editor, 0, 2)
        grid.setColumnStretch(1, 1)
        if field.slider:
            self.slider = QSlider(Qt.Orientation.Horizontal)
            self.slider.setRange(0, STEPS)
            self.slider.setAccessibleName(f"{field.label} slider")
            self.slider.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
            self.slider.valueChanged.connect(self._slid)
            self.slider.sliderPressed.connect(self.drag_started)
            self.slider.sliderReleased.connect(self.drag_stopped)
            self.slider.wheelEvent = lambda event: event.ignore()  # type: ignore[method-assign]
            grid.addWidget(self.slider, 1, 1, 1, 2)
        grid.addWidget(self.sentence, 2, 1, 1, 2)
        grid.addWidget(self.note, 4, 1, 1, 2)
        self._explain()

    def _make_editor(self) -> QWidget:
        field = self.field
        if field.quantity in ("choice", "day"):
            return self._make_list()
        if field.quantity.startswith("table:"):
            button = QPushButton("blank…")
            button.setCheckable(True)
            button.setAutoDefault(False)
            button.toggled.connect(self._unfold)
            return button
        box = CountBox(field) if field.quantity == "integer" else QuantityBox(field)
        box.set_room(ROOM)
        box.entered.connect(lambda value: self.entered.emit(field.path, value))
        box.refused.connect(self.say)
        return box

    def _make_list(self) -> QComboBox:
        words = self.field.row.choices
        box = QComboBox()
        for word in words:
            box.addItem(word.replace("_", " "), word)
        box.currentIndexChanged.connect(lambda index: self._choose(box.itemData(index)))
        box.activated.connect(lambda index: self._confirm(box.itemData(index)))
        box.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        box.wheelEvent = lambda event: event.ignore()  # type: ignore[method-assign]
        return box

    def _choose(self, word: object) -> None:
        self._is_choosing = True
        self.entered.emit(self.field.path, word)

    def _confirm(self, word: object) -> None:
        # Qt tells this after each choice too, with the word that a refusal put back
        if word == self._value and not self._is_choosing:
            self.confirmed.emit(self.field.path)
        self._is_choosing = False

    def set_choices(self, words: Iterable[str]) -> None:
        """Words of a list that the build makes, such as its days, and blank; emits nothing."""
        box = self.editor
        if not isinstance(box, QComboBox):
            raise TypeError(f"{self.field.path} is no list")
        items: list[str | None] = [None] if self.field.row.optional else []
        items += words
        if [box.itemData(k) for k in range(box.count())] == items:
            return
        with QSignalBlocker(box):
            box.clear()
            for word in items:
                box.addItem("blank" if word is None else word, word)
            box.setCurrentIndex(box.findData(self._value))

    def _unfold(self, opened: bool) -> None:
        """Show or hide the editor of a table; it is made when first asked for."""
        if self.table is None:
            self.table = TableEditor(self.field)
            self.table.set_system(self._units)
            self.table.set_value(self._value)  # type: ignore[arg-type]
            self.table.entered.connect(lambda value: self.entered.emit(self.field.path, value))
            self._grid.addWidget(self.table, 3, 0, 1, 3)
        self.table.setVisible(opened)

    def _explain(self) -> None:
        row = self.field.row
        words = self.field.help
        if np.isfinite(row.low) and np.isfinite(row.high) and self.field.is_number:
            low = write_value(self.field, row.low, self._units)
            high = write_value(self.field, row.high, self._units)
            words += f"\nAllowed: {low} to {high}"
        words += f"\nDefault: {write_value(self.field, row.value, self._units) or 'blank'}"
        words += f" ({row.origin})"
        if self.derived:
            words += f"\nLeft blank: derived, now {self.derived}"
        for widget in (self.label, self.editor):
            widget.setToolTip(words)

    def _slider_ends(self) -> tuple[float, float]:
        """Ends of the slider: the usual spread six times either side of the default."""
        row = self.field.row
        middle = float(row.value) if isinstance(row.value, (int, float)) else row.low
        reach = 6.0 * row.spread
        if self.field.quantity == "length":
            reach = 0.6 * middle
        return max(row.low, middle - reach), min(row.high, middle + reach)

    def _slid(self, position: int) -> None:
        low, high = self._slider_ends()
        value = round(low + (high - low) * position / STEPS, 9)
        self.entered.emit(self.field.path, value)

    def set_system(self, units: Units) -> None:
        """Show in other units; emits nothing."""
        self._units = units
        if isinstance(self.editor, QuantityBox):
            self.editor.set_system(units)
        if self.table is not None:
            self.table.set_system(units)
        self._explain()

    def set_density(self, density: object) -> None:
        """Density at which a flow typed by mass is read [kg/m3]; emits nothing."""
        if isinstance(self.editor, QuantityBox) and isinstance(density, float):
            self.editor.density = density

    def set_value(self, value: object, given: bool, derived: str = "") -> None:
        """Show a value and whether it was given; emits nothing.

        Parameters
        ----------
        value : object
            The value, SI; nothing where it is left blank.
        given : bool
            Whether the user set it.
        derived : str
            Text of what stands in for a blank, shown in grey.
        """
        if derived != self.derived:
            self.derived = derived
            self._explain()
        stands = self.is_refused and value == self._value  # what was refused is not lost
        if self.is_refused and not stands:
            self.restore()
        self._set_mark(given, is_blank(self.field.path, value))
        editor, self._value = self.editor, value
        with QSignalBlocker(editor):
            if isinstance(editor, QComboBox):
                editor.setCurrentIndex(editor.findData(value))
            elif isinstance(editor, QPushButton):
                editor.setText(f"{write_value(self.field, value) or 'blank'}…")
                if self.table is not None:
                    self.table.set_value(value)  # type: ignore[arg-type]
            elif isinstance(editor, QuantityBox) and not (
                stands or (editor.hasFocus() and editor.isModified())
            ):
                editor.set_value(value)
                editor.setPlaceholderText(derived or write_unit(self.field, self._units))
        if self.slider is not None and isinstance(value, (int, float)):
            low, high = self._slider_ends()
            with QSignalBlocker(self.slider):
                if not self.slider.isSliderDown():
                    self.slider.setValue(round((float(value) - low) / (high - low) * STEPS))

    @property
    def is_refused(self) -> bool:
        """Whether a text that was refused stands in the box."""
        return isinstance(self.editor, QuantityBox) and self.editor.holds_refused

    def restore(self) -> None:
        """Put the value back for a text that was refused, and take the sentence away."""
        if isinstance(self.editor, QuantityBox) and self.editor.holds_refused:
            self.editor.set_value(self.editor.value)
        if self.sentence.text():
            self.say("")

    def _set_mark(self, given: bool, blank: bool) -> None:
        """Mark an assumed value; a limit left blank assumes nothing."""
        self.is_assumed = not (given or blank or self.is_idle)
        self.mark.setText("\u25cb" if self.is_assumed else "")
        words = "left blank: nothing is assumed" if blank else "this build has no use for it"
        words = "given" if given else words
        told = "assumed: nobody has set this value" if self.is_assumed else words
        self.mark.setToolTip(told)
        self.mark.setAccessibleName("assumed" if self.is_assumed else words)

    def set_told(self, text: str, words: str = "") -> None:
        """Show what something else tells in place of the value, closed; empty opens it again.

        To be called after :meth:`set_value`, which shows the value itself. Emits nothing.
        """
        told = bool(text)
        self.editor.setEnabled(not told)  # before the text: a box that loses the keys takes its own
        if self.slider is not None:
            self.slider.setEnabled(not told)
        self.note.setText(words)
        self.note.setVisible(told and bool(words))
        if told and isinstance(self.editor, QuantityBox):
            if self.is_refused:
                self.restore()
            with QSignalBlocker(self.editor):
                self.editor.setText(text)
                self.editor.setCursorPosition(0)
            self.is_assumed = False
            self.mark.setText("")
            self.mark.setToolTip(words)
            self.mark.setAccessibleName(words)

    def add_below(self, widget: QWidget) -> None:
        """Put a widget under the field."""
        self._grid.addWidget(widget, 5, 1, 1, 2)

    def mark_shown(self) -> None:
        """Mark the row for a moment: here is what was asked for."""
        self._set_marked(True)
        self._unmark.start()

    def _set_marked(self, marked: bool) -> None:
        self.setProperty("marked", marked)
        style = self.style()
        style.unpolish(self)
        style.polish(self)

    def say(self, sentence: str) -> None:
        """Show what is wrong beside the field; an empty sentence clears it."""
        self.sentence.setText(sentence)
        self.sentence.setVisible(bool(sentence))
        self.editor.setProperty("wrong", bool(sentence))
        style = self.editor.style()
        style.unpolish(self.editor)
        style.polish(self.editor)
