"""A box that takes a whole number as typed; blank where that is allowed."""

from __future__ import annotations

from app.fields import check_range
from app.gui.widgets.quantity_box import QuantityBox
from engine_model.errors import InputError


class CountBox(QuantityBox):
    """Line edit of a field that counts; what is out of range is refused in words, not cut."""

    def _with_unit(self, text: str) -> str:
        return text

    def _step(self, steps: int) -> None:
        row = self.field.row
        value = self._value + steps if isinstance(self._value, int) else int(row.low)
        try:
            check_range(self.field, value, value)
        except InputError as error:
            self.refused.emit(f"allowed: {error.allowed}")
            return
        self.refused.emit("")
        self.set_value(value)
        self.entered.emit(value)
