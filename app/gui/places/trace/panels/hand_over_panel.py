"""Handing over a table of points: as a file, into the build, at another reference state."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.fields import Units
from app.gui.places.trace.panels.axes_panel import REFERENCE_PRESSURE, REFERENCE_TEMPERATURE
from app.gui.places.trace.panels.parts import FormRow, TracePanel, push_button
from app.gui.places.trace.panels.typed_box import TypedBox


class HandOverPanel(TracePanel):
    """Buttons for a finished map, and for one at another reference state.

    Signals
    -------
    save_asked(), use_asked()
        The table's map is to be saved, or put into the present build.
    convert_asked(temperature, pressure)
        The map on the table, traced or typed, is to be saved at another reference state [K, Pa].
    """

    save_asked = Signal()
    use_asked = Signal()
    convert_asked = Signal(float, float)

    def __init__(self, *, for_table: bool, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.temperature = TypedBox(REFERENCE_TEMPERATURE)
        self.pressure = TypedBox(REFERENCE_PRESSURE)
        self.convert = push_button(
            "Save at this reference state\u2026",
            "Writes the same compressor with flow and speed corrected to this state; what lies on "
            "the table stays as it is",
            self._convert,
        )
        if for_table:
            self.save = push_button(
                "Save the table's map\u2026",
                "Writes the table of points as a compressor map",
                self.save_asked.emit,
            )
            self.use = push_button(
                "Use the table's map in this build",
                "Puts the table's compressor map under the present operating line",
                self.use_asked.emit,
            )
            self.column.addWidget(self.save)
            self.column.addWidget(self.use)
            return
        for label, box in (("Temperature", self.temperature), ("Pressure, abs.", self.pressure)):
            self.column.addWidget(FormRow(label, box, f"{label} of the other reference state"))
            box.entered.connect(lambda _: self._enable())
        self.column.addWidget(self.convert)
        self._enable()

    def set_system(self, units: Units) -> None:
        """Show in other units; emits nothing."""
        self.temperature.set_system(units)
        self.pressure.set_system(units)

    def _enable(self) -> None:
        self.convert.setEnabled(None not in (self.temperature.value, self.pressure.value))

    def _convert(self) -> None:
        if self.temperature.value is not None and self.pressure.value is not None:
            self.convert_asked.emit(self.temperature.value, self.pressure.value)
