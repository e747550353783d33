"""A box that takes a quantity as typed: ``3.33 in``, ``84 mm``."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QSignalBlocker, Qt, Signal
from PySide6.QtGui import QKeyEvent, QWheelEvent
from PySide6.QtWidgets import QLineEdit, QWidget

from app.fields import Field, check_range, read_value, write_value
from app.present.sentences import refusal
from engine_model.errors import InputError
from engine_model.units import from_si, to_si

FRAME = 20
"""Width of a box over its text [px]."""


class QuantityBox(QLineEdit):
    """Line edit of one field; arrow keys and the focused wheel step, Escape restores.

    Signals
    -------
    entered(value)
        A value was typed or stepped, SI; None for blank.
    refused(sentence)
        What was typed is not allowed; an empty sentence when it is again.
    """

    entered = Signal(object)
    refused = Signal(str)

    def __init__(self, field: Field, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.field = field
        self._system = "si"
        self._value: object = None
        self._sample = ""
        self.holds_refused = False
        """Whether the text shown was refused; it stands until corrected or put back."""
        self.density: float | None = None
        """At which a flow typed by mass is read [kg/m3]; without it the default."""
        self.stepper: Callable[[int], bool] | None = None
        """Takes the steps of keys and wheel; whether it did something of its own with them."""
        self.refused.connect(self._mark)
        self.setAccessibleName(field.label)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.editingFinished.connect(self._take_text)
        self.textEdited.connect(self._follow_text)

    def set_system(self, system: str) -> None:
        """Show in ``si`` or ``us`` units, but for a text that was refused; emits nothing."""
        self._system = system
        if not self.holds_refused:
            self.set_value(self._value)

    def set_value(self, value: object) -> None:
        """Show a value; emits nothing."""
        self._value = value
        self.holds_refused = False
        with QSignalBlocker(self):
            self.setText(write_value(self.field, value, self._system))
            self.setCursorPosition(0)

    def set_room(self, sample: str) -> None:
        """Fix the width to that of a text, in whatever size texts are shown."""
        self._sample = sample
        self._fit()

    def _fit(self) -> None:
        if self._sample:
            self.setFixedWidth(self.fontMetrics().horizontalAdvance(self._sample) + FRAME)

    def changeEvent(self, event: QEvent) -> None:
        """Grow with the text."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._fit()

    @property
    def value(self) -> object:
        """The value shown, SI."""
        return self._value

    def _mark(self, sentence: str) -> None:
        """Mark what is not allowed as the sentence about it comes and goes."""
        wrong = bool(sentence)
        if wrong != bool(self.property("wrong")):
            self.setProperty("wrong", wrong)
            self.style().unpolish(self)
            self.style().polish(self)

    def _follow_text(self, text: str) -> None:
        """Take a refusal back as soon as the text is that of the value again."""
        if self.holds_refused and self._is_as_shown(text):
            self.holds_refused = False
            self.refused.emit("")

    def _is_as_shown(self, text: str) -> bool:
        return text.strip() == write_value(self.field, self._value, self._system)

    def _take_text(self) -> None:
        text = self.text().strip()
        if self._is_as_shown(text):
            self.holds_refused = False
            self.refused.emit("")
            return
        try:
            value = read_value(self.field, self._with_unit(text), density=self.density)
        except InputError as error:
            self.holds_refused = True
            self.refused.emit(refusal(error))
            return
        self.set_value(value)
        self.refused.emit("")
        self.entered.emit(value)

    def _with_unit(self, text: str) -> str:
        """In a focused box a bare number is in the unit shown there."""
        try:
            float(text.replace(",", "."))
        except ValueError:
            return text
        if not self.field.is_number or self.field.quantity == "dimensionless":
            return f"{text} %" if self.field.unit(self._system) == "%" else text
        return f"{text} {self.field.unit(self._system)}"

    def _step(self, steps: int) -> None:
        if self.stepper is not None and self.stepper(steps):
            self._mark("")
            return
        field = self.field
        if not field.is_number or self._value is None:
            return
        unit = field.unit(self._system)
        shown = float(from_si(float(self._value), unit, field.quantity))  # type: ignore[arg-type]
        value = float(to_si(shown + steps * field.step(self._system), unit, field.quantity))
        try:
            check_range(field, value, f"{shown:g}")
        except InputError as error:
            self.refused.emit(f"allowed: {error.allowed}")
            return
        self.refused.emit("")
        self.set_value(value)
        self.entered.emit(value)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Up and down step; Escape puts the shown value back."""
        steps = {
            Qt.Key.Key_Up: 1,
            Qt.Key.Key_Down: -1,
            Qt.Key.Key_PageUp: 10,
            Qt.Key.Key_PageDown: -10,
        }
        key = Qt.Key(event.key())
        if key in steps:
            self._step(steps[key])
        elif key == Qt.Key.Key_Escape:
            self.set_value(self._value)
            self.refused.emit("")
        else:
            super().keyPressEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """The wheel steps in a focused box only; elsewhere the panel scrolls."""
        if self.hasFocus():
            self._step(1 if event.angleDelta().y() > 0 else -1)
            event.accept()
        else:
            event.ignore()
