"""The knobs of a scene: one table, and a row with a box and a slider for each."""

from __future__ import annotations

import math
from dataclasses import dataclass

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QSlider, QVBoxLayout, QWidget

from app.fields import FIELD, Units, show
from app.gui.widgets.quantity_box import QuantityBox
from engine_model.inputs import Build

STEPS = 200
"""Steps of a slider."""

TIMED = ("lift", "closing")

LEAST_SHARE = 0.25
"""Lowest engine speed of the slider over the limiter [-]."""


@dataclass(frozen=True, slots=True)
class Knob:
    """A knob of a scene.

    Parameters
    ----------
    path : str
        Path of the input.
    words : str
        What it is called here.
    low, high : float
        Ends of its slider [SI]; nan for none.
    kinds : tuple of str
        Kinds of scenes that it belongs to.
    has_none : bool
        Whether the left end of the slider means that there is none.
    """

    path: str
    words: str
    low: float = math.nan
    high: float = math.nan
    kinds: tuple[str, ...] = TIMED
    has_none: bool = False


KNOBS: tuple[tuple[str, tuple[Knob, ...]], ...] = (
    (
        "Engine",
        (
            Knob("surge.engine_speed", "Engine speed", 1000.0, 8000.0, (*TIMED, "choke")),
            Knob("surge.lift_time", "Throttle shuts in", 0.01, 1.0, ("lift",)),
            Knob("surge.closing_time", "Throttle shuts in", 1.0, 20.0, ("closing",)),
            Knob("surge.throttle_leak", "Left open"),
            Knob("surge.speed_fall", "Speed lost in a second", kinds=("lift",)),
            Knob("surge.duration", "Time shown", kinds=("lift",)),
        ),
    ),
    (
        "Bypass valve",
        (
            Knob("surge.valve_diameter", "Bore", 0.01, 0.08, has_none=True),
            Knob("surge.valve_opening_pressure", "Opens at", 5e3, 2e5),
            Knob("surge.valve_lag", "Lag", 5e-3, 0.5),
            Knob("surge.valve_feels", "Feels"),
            Knob("bypass.vent", "Vents"),
        ),
    ),
    (
        "Ducts",
        (
            Knob("surge.plenum_volume", "Volume to the throttle", 1e-3, 0.05),
            Knob("surge.duct_length", "Duct length", 0.1, 3.0),
            Knob("surge.duct_area", "Duct area"),
            Knob("surge.manifold_volume", "Manifold volume"),
        ),
    ),
    (
        "Compressor",
        (
            Knob("surge.zero_flow_radius", "Inducer radius"),
            Knob("surge.characteristic_lag", "Lag behind its curve"),
            Knob("surge.inducer_hub_ratio", "Inducer hub ratio", kinds=("choke",)),
        ),
    ),
)
"""Groups of knobs, in reading order."""


class _Slider(QSlider):
    """A slider that leaves the wheel to the panel unless it has the focus."""

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Step in a focused slider only."""
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()


class ListBox(QComboBox):
    """A list that leaves the wheel to the panel unless it has the focus."""

    def __init__(self) -> None:
        super().__init__()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Step in a focused list only."""
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()


class KnobRow(QWidget):
    """One knob. Setters never emit.

    Signals
    -------
    turned(path, value)
        It was typed, stepped or dragged. [SI] None where there is none
    refused(sentence)
        What was typed is not allowed; empty when it is again.
    """

    turned = Signal(str, object)
    refused = Signal(str)

    def __init__(self, knob: Knob) -> None:
        super().__init__()
        self.knob = knob
        self.field = FIELD[knob.path]
        self._high = knob.high
        self._low = knob.low
        self._blank = ""
        label = QLabel(knob.words)
        self.box: QuantityBox | None = None
        self.choice: QComboBox | None = None
        self.slider: QSlider | None = None
        across = QHBoxLayout()
        across.setContentsMargins(0, 0, 0, 0)
        across.addWidget(label, 1)
        rows = QVBoxLayout(self)
        rows.setContentsMargins(0, 0, 0, 1)
        rows.setSpacing(0)
        rows.addLayout(across)
        if self.field.row.choices:
            self.choice = ListBox()
            for word in self.field.row.choices:
                self.choice.addItem(word, word)
            self.choice.activated.connect(self._take_choice)
            across.addWidget(self.choice)
            label.setBuddy(self.choice)
        else:
            self.box = QuantityBox(self.field)
            self.box.set_room("0000.00 rpm")
            self.box.entered.connect(self._take)
            self.box.refused.connect(self.refused)
            across.addWidget(self.box)
            label.setBuddy(self.box)
        if math.isfinite(knob.low):
            self.slider = _Slider(Qt.Orientation.Horizontal)
            self.slider.setRange(-10 if knob.has_none else 0, STEPS)
            self.slider.setPageStep(STEPS // 10)
            self.slider.valueChanged.connect(self._take_slider)
            self.slider.setAccessibleName(knob.words)
            rows.addWidget(self.slider)
        for widget in (self.box, self.choice, self.slider):
            if widget is not None:
                widget.setToolTip(self.field.help)
                widget.setAccessibleName(knob.words)

    def show_value(self, value: object, build: Build, units: Units) -> None:
        """Show what the knob stands at in a scene of a build."""
        if self.knob.path == "surge.engine_speed":
            self._high = build.engine.limiter
            self._low = LEAST_SHARE * self._high
        if self.choice is not None:
            self.choice.setCurrentIndex(self.choice.findData(value))
        if self.box is not None:
            if self.box.value != value and not self.box.holds_refused:
                self.box.set_value(value)
            self.box.setPlaceholderText(self._blank_words(build, units))
        if self.slider is not None:
            shown = value
            if value is None and self.knob.path == "surge.engine_speed":
                shown = build.engine.limiter
            with QSignalBlocker(self.slider):
                self.slider.setValue(self._place_of(shown))

    def _blank_words(self, build: Build, units: Units) -> str:
        if self.knob.path == "surge.engine_speed":
            return f"{build.engine.limiter:.0f} rpm"
        if self.knob.has_none:
            return "none"
        if self.knob.path == "surge.manifold_volume":
            return show(build.engine.displacement, self.field.display, units)
        return "derived"

    def set_units(self, units: Units) -> None:
        """Show in other units."""
        if self.box is not None:
            self.box.set_system(units)

    def restore(self) -> None:
        """Put the value back where what was typed was refused."""
        if self.box is not None and self.box.holds_refused:
            self.box.set_value(self.box.value)
            self.box.refused.emit("")

    def _place_of(self, value: object) -> int:
        if not isinstance(value, float | int):
            return -10 if self.knob.has_none else 0
        low, high = self._low, self._high
        share = math.log(max(float(value), 1e-9) / low) / math.log(high / low)
        return round(STEPS * min(max(share, 0.0), 1.0))

    def _take_slider(self, place: int) -> None:
        value: float | None = None
        if place >= 0:
            low, high = self._low, self._high
            exact = low * (high / low) ** (place / STEPS)
            value = float(f"{exact:.2g}") if self.knob.low < 100.0 else round(exact, -1)
            value = min(max(value, low), high)
        if self.box is not None:
            self.box.set_value(value)
            self.box.refused.emit("")
        self.turned.emit(self.knob.path, value)

    def _take(self, value: object) -> None:
        self.turned.emit(self.knob.path, value)

    def _take_choice(self, _: int) -> None:
        if self.choice is not None:
            self.turned.emit(self.knob.path, self.choice.currentData())
