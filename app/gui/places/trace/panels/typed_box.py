"""A box that takes a value of the Trace panels as typed."""

from __future__ import annotations

from PySide6.QtCore import QSignalBlocker
from PySide6.QtWidgets import QWidget

from app.fields import Units
from app.gui.places.trace.panels.typed import Typed
from app.gui.widgets.quantity_box import QuantityBox
from engine_model.errors import InputError


class TypedBox(QuantityBox):
    """Box of a value that no build has: it reads and writes as it is told, blank is allowed.

    Keys, wheel and signals are those of every box of the bench.
    """

    def __init__(self, typed: Typed, parent: QWidget | None = None) -> None:
        super().__init__(typed, parent)  # type: ignore[arg-type]
        self._shown = ""
        self.set_typed(typed)

    def set_typed(self, typed: Typed) -> None:
        """Read and write in another way from now on; emits nothing."""
        self.field = typed
        self.setAccessibleName(typed.label)
        self.set_value(self._value)

    def set_system(self, system: Units) -> None:
        """Show in other units; emits nothing."""
        self._system = system
        self.set_value(self._value)

    def set_value(self, value: float | None) -> None:
        """Show a value; emits nothing."""
        self._value = value
        self._shown = "" if value is None else self.field.write(value, self._system)
        if self.field.blank is not None:
            self.setPlaceholderText(self.field.blank(self._system))
        with QSignalBlocker(self):
            self.setText(self._shown)
            self.setCursorPosition(0)

    def follow(self, value: float | None) -> None:
        """Show a value, but keep what is being typed or was refused, if it is the same still.

        What was refused and is dropped here is told as mended.
        """
        if value == self._value and self.is_refused:
            return
        dropped = self.is_refused
        self.set_value(value)
        if dropped:
            self.refused.emit("")

    def read(self) -> float | None:
        """Value of what stands in the box; an InputError where it is not allowed."""
        text = self.text().strip()
        return self.field.read(text, self._system) if text else None

    @property
    def is_refused(self) -> bool:
        """Whether something stands in the box that was not taken."""
        return self.text().strip() != self._shown

    def _take_text(self) -> None:
        if self.text().strip() == self._shown:
            self.setModified(False)
            self.refused.emit("")
            return
        try:
            value = self.read()
        except InputError as error:
            self.refused.emit(f"{error.value} given; allowed: {error.allowed}")
            return
        self._give(value)

    def _give(self, value: float | None) -> None:
        changed = value != self._value
        self.set_value(value)
        self.refused.emit("")
        if changed:
            self.entered.emit(value)

    def _step(self, steps: int) -> None:
        if self._value is None or self.field.step is None:
            return
        try:
            value = self.field.step(self._value, steps, self._system)
        except InputError as error:
            self.refused.emit(f"{error.value}: {error.allowed}")
            return
        self._give(value)
