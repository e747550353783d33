"""The two long sliders: blower pulley, and boost at an engine speed; each moves the other."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QSpinBox, QWidget

from app.fields import FIELD, Field, show, unit_of
from app.gui.document import Document, new_gesture
from app.gui.preferences import Preferences
from app.gui.recompute import Recompute, Snapshot
from app.gui.widgets.long_slider import LongSlider
from app.gui.widgets.quantity_box import QuantityBox
from engine_model.errors import InputError
from engine_model.matching import pulley_for_boost, schedule_for_boost
from engine_model.units import from_si

PULLEY = FIELD["drive.blower_pulley_diameter"]
BOOST = Field(
    "bounds.boost",
    "Boost at",
    "Sliders",
    "Boost in the manifold at the engine speed beside it",
    "boost",
)
PULLEY_RANGE = (0.045, 0.130)
MARGIN, LEAST_MARGIN = 0.12, 0.005
"""Room beyond the shelf at either end: share of its span [-], and at least so much [m]."""
BOOST_RANGE = (0.0, 1.5e5)


def pulley_range(shelf: Sequence[float], present: float) -> tuple[float, float]:
    """Ends of the pulley's slider: the shelf's sizes and the present one, with a margin [m]."""
    if not shelf:
        return min(PULLEY_RANGE[0], present), max(PULLEY_RANGE[1], present)
    low, high = min(shelf), max(shelf)
    margin = max(MARGIN * (high - low), LEAST_MARGIN)
    least, most = PULLEY.row.low, PULLEY.row.high
    return max(least, min(low - margin, present)), min(most, max(high + margin, present))


def _tick(size: float, unit: str) -> str:
    """Number at a tick: two decimals of an inch, else as short as it is whole."""
    return f"{size:.2f}" if unit == "in" else f"{size:.4g}"


class SlidersPanel(QWidget):
    """Blower pulley and boost at an engine speed.

    Signals
    -------
    said(sentence)
        What is impossible, or an empty sentence.
    ghost_asked(diameter)
        A tick of the shelf is under the pointer; nan when it leaves.
    """

    said = Signal(str)
    ghost_asked = Signal(float)

    def __init__(
        self,
        document: Document,
        recompute: Recompute,
        preferences: Preferences,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._recompute, self._preferences = document, recompute, preferences
        self._gesture: int | None = None
        self._snapshot: Snapshot | None = None
        self._asked: float | None = None
        self._covered = False
        self.pulley = LongSlider(*PULLEY_RANGE, 1e-4)
        self.pulley.setAccessibleName("Blower pulley")
        self.pulley_box = QuantityBox(PULLEY)
        self.boost = LongSlider(*BOOST_RANGE, 500.0)
        self.boost.setAccessibleName("Boost at the engine speed beside it")
        self.boost_box = QuantityBox(BOOST)
        self.speed = QSpinBox()
        self.speed.setAccessibleName("Engine speed of the boost slider")
        self._lay_out()
        self._connect()
        self._on_preferences()

    def _lay_out(self) -> None:
        grid = QGridLayout(self)
        grid.setContentsMargins(8, 4, 8, 2)
        grid.setHorizontalSpacing(8)
        self._pulley_label = QLabel("&Blower pulley")
        self._pulley_label.setBuddy(self.pulley_box)
        self._boost_label = QLabel("B&oost at")
        self._boost_label.setBuddy(self.boost_box)
        self.speed.setSuffix(" rpm")
        self.speed.setSingleStep(100)
        self.speed.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        for box in (self.pulley_box, self.boost_box):
            box.set_room("0000.0 mm")
        top = Qt.AlignmentFlag.AlignTop
        grid.addWidget(self._pulley_label, 0, 0, top)
        grid.addWidget(self.pulley, 0, 1)
        grid.addWidget(self.pulley_box, 0, 2, top)
        grid.addWidget(self._boost_label, 0, 3, top)
        grid.addWidget(self.speed, 0, 4, top)
        grid.addWidget(self.boost, 0, 5)
        grid.addWidget(self.boost_box, 0, 6, top)
        self.shaft = QLabel()
        self.shaft.setObjectName("headline")
        self.shaft.hide()
        grid.addWidget(self.shaft, 0, 7, top)
        for widget in (self._boost_label, self.speed, self.boost, self.boost_box):
            policy = widget.sizePolicy()
            policy.setRetainSizeWhenHidden(True)
            widget.setSizePolicy(policy)
        grid.setColumnStretch(1, 3)
        grid.setColumnStretch(5, 3)

    def _connect(self) -> None:
        for slider in (self.pulley, self.boost):
            slider.started.connect(self._begin)
            slider.stopped.connect(self._end)
        self.pulley.moved.connect(self._pulley_moved)
        self.pulley.hovered_tick.connect(self.ghost_asked)
        self.boost.moved.connect(self._boost_moved)
        self.pulley_box.entered.connect(self._pulley_entered)
        self.boost_box.entered.connect(self._boost_moved)
        for box in (self.pulley_box, self.boost_box):
            box.refused.connect(self.said)
        self.speed.valueChanged.connect(self._speed_changed)
        self._preferences.changed.connect(self._on_preferences)

    def set_covered(self, covered: bool) -> None:
        """Cover what the pulley gives; of a free shaft the boost is what is asked."""
        self._covered = covered
        if self._snapshot is not None:
            self.show_snapshot(self._snapshot)

    def _begin(self) -> None:
        self._gesture = new_gesture()
        self._recompute.set_dragging(True)

    def _end(self) -> None:
        self._gesture = None
        self._asked = None
        self._recompute.set_dragging(False)

    def _pulley_moved(self, value: float) -> None:
        self._asked = None
        self._edit(value)

    def _pulley_entered(self, value: object) -> None:
        if isinstance(value, float):
            self._pulley_moved(value)

    def _edit(self, diameter: float) -> None:
        try:
            self._document.edit(PULLEY.path, round(diameter, 6), self._gesture)
        except InputError as error:
            self.said.emit(str(error))
            return
        self.said.emit("")

    def _boost_moved(self, value: object) -> None:
        if not isinstance(value, float):
            return
        build = self._document.build
        if build.drive.kind == "free_shaft":
            self._scale_schedule(value)
            return
        self._asked = value
        found = pulley_for_boost(
            build,
            self._document.day,
            value,
            float(self.speed.value()),
            surface=self._recompute.surface,
        )
        diameter = found.diameter
        if self._preferences.choices.snapping:
            shelf = self._preferences.choices.shelf.pulleys
            diameter = min(shelf, key=lambda d: abs(d - diameter), default=diameter)
        self._edit(diameter)
        self.said.emit(self._verdict(value, found.reached, found.boost, diameter))

    def _scale_schedule(self, asked: float) -> None:
        """Scale the boost schedule of a free shaft so that it asks a boost at the speed."""
        try:
            scaled = schedule_for_boost(self._document.build, asked, float(self.speed.value()))
        except InputError:
            self.said.emit("no boost is scheduled at this engine speed: edit the boost schedule")
            return
        try:
            self._document.edit("drive.boost_schedule", scaled, self._gesture)
        except InputError as error:
            self.said.emit(f"{error.value} given; allowed: {error.allowed}")
            return
        self.said.emit("")

    def _verdict(self, asked: float, reached: bool, most: float, diameter: float) -> str:
        """What is impossible about a boost asked, or nothing."""
        if reached:
            return self._over_limit(asked, diameter)
        system = self._preferences.choices.units_shown
        there = show(diameter, "length", system)
        if math.isnan(most):
            return f"{show(asked, 'boost', system)}: no pulley finds a balance at this engine speed"
        return (
            f"{show(asked, 'boost', system)} at {self.speed.value()} rpm cannot be had: the most "
            f"is {show(most, 'boost', system)}, with a {there} pulley"
        )

    def _over_limit(self, asked: float, diameter: float) -> str:
        """Say how far the impeller is over its limit with the pulley a boost needs."""
        if self._snapshot is None:
            return ""
        speeds = [
            entry
            for entry in self._snapshot.match.ledger
            if entry.code in ("impeller_speed", "impeller_speed_over_rev") and entry.state == "over"
        ]
        if not speeds:
            return ""
        system = self._preferences.choices.units_shown
        worst = max(speeds, key=lambda entry: entry.used)
        return (
            f"{show(asked, 'boost', system)} needs a {show(diameter, 'length', system)} pulley: "
            f"impeller {100.0 * (worst.used - 1.0):.0f} % over its limit at "
            f"{worst.engine_speed_rpm:.0f} rpm"
        )

    def _speed_changed(self, _: int) -> None:
        self._asked = None
        if self._snapshot is not None:
            self._show_boost(self._snapshot)

    def show_snapshot(self, snapshot: Snapshot) -> None:
        """Show the pulley and the boost it gives; emits nothing."""
        fresh = self._snapshot is None
        self._snapshot = snapshot
        build = snapshot.match.build
        belt = build.drive.kind == "belt"
        for widget in (self.pulley, self.pulley_box, self._pulley_label):
            widget.setVisible(belt)
        for widget in (self._boost_label, self.speed, self.boost, self.boost_box):
            widget.setVisible(not (belt and self._covered))
        limiter = int(build.engine.limiter)
        with QSignalBlocker(self.speed):
            # a range set again lays the whole window out again
            if self.speed.maximum() != limiter:
                self.speed.setRange(1000, limiter)
            if fresh or self.speed.value() > limiter:
                self.speed.setValue(limiter)
        diameter = build.drive.blower_pulley_diameter
        low, high = pulley_range(self._preferences.choices.shelf.pulleys, diameter)
        if (low, high) != (self.pulley.low, self.pulley.high) and not self.pulley.isSliderDown():
            self.pulley.set_range(low, high)
        if not self.pulley.isSliderDown():
            self.pulley.set_real(diameter)
        self.pulley_box.set_value(diameter)
        self._show_boost(snapshot)

    def _show_boost(self, snapshot: Snapshot) -> None:
        line = snapshot.match.line
        known = np.isfinite(line.boost_gauge_pa)
        boost = float("nan")
        if np.any(known):
            boost = float(
                np.interp(
                    self.speed.value(),
                    line.engine_speed_rpm[known],
                    line.boost_gauge_pa[known],
                )
            )
        is_free = snapshot.match.build.drive.kind == "free_shaft"
        self.shaft.setVisible(is_free and not self._covered)
        if self.shaft.isVisible():
            power = float(np.nanmax(line.drive_power_w)) if np.any(known) else float("nan")
            words = show(power, "power", self._preferences.choices.units_shown)
            self.shaft.setText(f"asks up to {words} of its shaft; no turbine is modelled")
        if not self.boost.isSliderDown() and not math.isnan(boost):
            self.boost.set_real(boost)
        self.boost_box.set_value(boost)

    def _on_preferences(self, *_: object) -> None:
        choices = self._preferences.choices
        for box in (self.pulley_box, self.boost_box):
            box.set_system(choices.units_shown)
        unit = unit_of("length", choices.units_shown)
        self.pulley.set_ticks(
            [(d, _tick(float(from_si(d, unit, "length")), unit)) for d in choices.shelf.pulleys]
        )
        if self._snapshot is not None:
            self.show_snapshot(self._snapshot)
        self.pulley.set_snapping(choices.snapping)
        marks = np.arange(0.0, 1.51, 0.25) * 1e5
        if choices.system == "us":
            marks = np.arange(0.0, 21.0, 3.0) * 6894.757293168
        self.boost.set_ticks(
            [(float(m), show(float(m), "boost", choices.units_shown, unit=False)) for m in marks]
        )
