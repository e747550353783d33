"""One field on a panel: assumed mark, label, box or list, slider where it helps, sentence."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtWidgets import QComboBox, QGridLayout, QLabel, QSlider, QSpinBox, QWidget

from app.fields import Field, write_value
from app.gui.widgets.quantity_box import QuantityBox

STEPS = 400
"""Steps of a field's slider."""


class FieldRow(QWidget):
    """One field; emits what the user enters, shows what it is told.

    Signals
    -------
    entered(path, value)
        A value was entered.
    drag_started(), drag_stopped()
        The slider is pressed and released.
    """

    entered = Signal(str, object)
    drag_started = Signal()
    drag_stopped = Signal()

    def __init__(self, field: Field, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.field = field
        self._system = "si"
        self.mark = QLabel()
        self.mark.setFixedWidth(14)
        self.label = QLabel(field.label)
        self.sentence = QLabel()
        self.sentence.setObjectName("sentence")
        self.sentence.setWordWrap(True)
        self.sentence.hide()
        self.slider: QSlider | None = None
        self.editor = self._make_editor()
        self.editor.setAccessibleName(field.label)
        self.label.setBuddy(self.editor)
        grid = QGridLayout(self)
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
        self._explain()

    def _make_editor(self) -> QWidget:
        field = self.field
        if field.quantity == "choice":
            box = QComboBox()
            for word in field.row.choices:
                box.addItem(word.replace("_", " "), word)
            box.currentIndexChanged.connect(
                lambda index: self.entered.emit(field.path, box.itemData(index))
            )
            box.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
            box.wheelEvent = lambda event: event.ignore()  # type: ignore[method-assign]
            return box
        if field.quantity == "integer" and not field.row.optional:
            spin = QSpinBox()
            spin.setRange(int(field.row.low), int(field.row.high))
            spin.setKeyboardTracking(False)
            spin.valueChanged.connect(lambda value: self.entered.emit(field.path, int(value)))
            spin.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
            spin.wheelEvent = lambda event: event.ignore()  # type: ignore[method-assign]
            return spin
        quantity = QuantityBox(field)
        quantity.setFixedWidth(92)
        quantity.entered.connect(lambda value: self.entered.emit(field.path, value))
        quantity.refused.connect(self.say)
        return quantity

    def _explain(self) -> None:
        row = self.field.row
        words = self.field.help
        if np.isfinite(row.low) and np.isfinite(row.high) and self.field.is_number:
            low = write_value(self.field, row.low, self._system)
            high = write_value(self.field, row.high, self._system)
            words += f"\nAllowed: {low} to {high}"
        words += f"\nDefault: {write_value(self.field, row.value, self._system) or 'blank'}"
        words += f" ({row.origin})"
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

    def set_system(self, system: str) -> None:
        """Show in ``si`` or ``us`` units; emits nothing."""
        self._system = system
        if isinstance(self.editor, QuantityBox):
            self.editor.set_system(system)
        self._explain()

    def set_value(self, value: object, given: bool, placeholder: str = "") -> None:
        """Show a value and whether it was given; emits nothing."""
        self.mark.setText("" if given else "\u25cb")
        self.mark.setToolTip("given" if given else "assumed: nobody has set this value")
        self.mark.setAccessibleName("given" if given else "assumed")
        editor = self.editor
        with QSignalBlocker(editor):
            if isinstance(editor, QComboBox):
                editor.setCurrentIndex(editor.findData(value))
            elif isinstance(editor, QSpinBox):
                if isinstance(value, int):
                    editor.setValue(value)
            elif isinstance(editor, QuantityBox) and not (
                editor.hasFocus() and editor.isModified()
            ):
                editor.set_value(value)
                editor.setPlaceholderText(placeholder)
        if self.slider is not None and isinstance(value, (int, float)):
            low, high = self._slider_ends()
            with QSignalBlocker(self.slider):
                if not self.slider.isSliderDown():
                    self.slider.setValue(round((float(value) - low) / (high - low) * STEPS))

    def say(self, sentence: str) -> None:
        """Show what is wrong beside the field; an empty sentence clears it."""
        self.sentence.setText(sentence)
        self.sentence.setVisible(bool(sentence))
        self.editor.setProperty("wrong", bool(sentence))
        style = self.editor.style()
        style.unpolish(self.editor)
        style.polish(self.editor)
