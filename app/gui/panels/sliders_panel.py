"""The two long sliders: blower pulley, and boost at an engine speed; each moves the other."""

from __future__ import annotations

import math

import numpy as np
from PySide6.QtCore import QEvent, QSignalBlocker, Qt, QTimer, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QGridLayout, QLabel, QWidget

from app.fields import show, unit_of
from app.gui.document import Document, new_gesture
from app.gui.panels.slider_ranges import (
    BOOST,
    BOOST_RANGE,
    PULLEY,
    PULLEY_RANGE,
    pulley_range,
    tick_text,
)
from app.gui.preferences import Preferences
from app.gui.recompute import Recompute, Snapshot
from app.gui.widgets.long_slider import PAGE, LongSlider
from app.gui.widgets.quantity_box import QuantityBox
from app.gui.widgets.speed_box import LEAST, SpeedBox
from app.present.slider_words import boost_at, cannot_words, over_limit_words, slip_words
from engine_model.errors import InputError
from engine_model.matching import pulley_for_boost, schedule_for_boost
from engine_model.units import from_si

SHELF_PAGE = 3
"""Sizes of the shelf that a page key goes on by."""

LEAST_DIGITS = 18
"""Digits that a slider must have room for; below it the two stand one over the other."""


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
        self._covered, self._is_fresh = False, True
        self.pulley = LongSlider(*PULLEY_RANGE, 1e-4)
        self.pulley.setAccessibleName("Blower pulley")
        self.pulley_box = QuantityBox(PULLEY)
        self.boost = LongSlider(*BOOST_RANGE, 500.0)
        self.boost.setAccessibleName("Boost at the engine speed beside it")
        self.boost_box = QuantityBox(BOOST)
        self.speed = SpeedBox()
        self.speed.setAccessibleName("Engine speed of the boost slider")
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(0)
        self._later.timeout.connect(self._fit)
        self._lay_out()
        self._connect()
        self._on_preferences()

    def _lay_out(self) -> None:
        self._grid = grid = QGridLayout(self)
        grid.setContentsMargins(8, 4, 8, 2)
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(2)
        self._stacked: bool | None = None
        self._pulley_label = QLabel("&Blower pulley")
        self._pulley_label.setBuddy(self.pulley_box)
        self._boost_label = QLabel("B&oost at")
        self._boost_label.setBuddy(self.boost_box)
        for box in (self.pulley_box, self.boost_box):
            box.set_room("0000.0 mm")
        self.shaft = QLabel()
        self.shaft.setObjectName("headline")
        self.shaft.hide()
        self._place(stacked=False)
        for widget in (self._boost_label, self.speed, self.boost, self.boost_box):
            policy = widget.sizePolicy()
            policy.setRetainSizeWhenHidden(True)
            widget.setSizePolicy(policy)

    def _place(self, stacked: bool) -> None:
        """Put both sliders beside one another, or one over the other where there is no room."""
        if stacked == self._stacked:
            return
        self._stacked = stacked
        grid, top = self._grid, Qt.AlignmentFlag.AlignTop
        row, column = (1, 0) if stacked else (0, 3)
        places = (
            (self._pulley_label, 0, 0, top),
            (self.pulley, 0, 2 if stacked else 1, None),
            (self.pulley_box, 0, 3 if stacked else 2, top),
            (self._boost_label, row, column, top),
            (self.speed, row, column + 1, top),
            (self.boost, row, column + 2, None),
            (self.boost_box, row, column + 3, top),
            (self.shaft, row, column + 4, top),
        )
        for widget, *_ in places:
            grid.removeWidget(widget)
        for widget, at, across, side in places:
            if side is None:
                grid.addWidget(widget, at, across)
            else:
                grid.addWidget(widget, at, across, side)
        for across in range(8):
            grid.setColumnStretch(across, 3 if across in ((2,) if stacked else (1, 5)) else 0)

    def _fit(self) -> None:
        """See whether both sliders have room beside one another."""
        fixed = (self._pulley_label, self.pulley_box, self._boost_label, self.speed, self.boost_box)
        taken = sum(widget.sizeHint().width() for widget in fixed) + 8 * len(fixed) + 32
        least = LEAST_DIGITS * self.fontMetrics().horizontalAdvance("0")
        # alone, the boost has the whole row
        self._place(stacked=self.pulley.isHidden() or self.width() < taken + 2 * least)
        tall = max(widget.sizeHint().height() for widget in fixed)
        for widget in fixed:
            widget.setFixedHeight(tall)  # texts on one line

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Take the room there is."""
        super().resizeEvent(event)
        self._fit()

    def changeEvent(self, event: QEvent) -> None:
        """Take the room that another text size needs."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._later.start()  # when every part has its new font

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
        self.speed.refused.connect(self.said)
        for widget, sign in (
            (self.pulley, 1),
            (self.pulley_box, 1),
            # a smaller pulley gives more boost
            (self.boost, -1),
            (self.boost_box, -1),
        ):
            widget.stepper = lambda steps, sign=sign: self._step_shelf(sign * steps)
        self._document.changed.connect(self._forget_speed)
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

    def _step_shelf(self, steps: int) -> bool:
        """Go to another size of the shelf; whether keys and wheel step sizes at all."""
        choices, build = self._preferences.choices, self._document.build
        if not choices.snapping or not choices.shelf.pulleys or build.drive.kind != "belt":
            return False
        present, up = build.drive.blower_pulley_diameter, steps > 0
        sizes = sorted(choices.shelf.pulleys, reverse=not up)
        ahead = [d for d in sizes if (d > present + 1e-9 if up else d < present - 1e-9)]
        count = SHELF_PAGE if abs(steps) == PAGE else abs(steps)
        if ahead:
            self._pulley_moved(ahead[min(count, len(ahead)) - 1])
        return True

    def _forget_speed(self, paths: object) -> None:
        """Another build begins at its own limiter."""
        if not paths:
            self._is_fresh = True

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
        units = self._preferences.choices.units_shown
        if not reached:
            return cannot_words(asked, float(self.speed.value()), most, diameter, units)
        ledger = () if self._snapshot is None else self._snapshot.match.ledger
        return over_limit_words(asked, diameter, ledger, units)

    def _speed_changed(self, _: int) -> None:
        self._asked = None
        if self._snapshot is not None:
            self._show_boost(self._snapshot)

    def show_snapshot(self, snapshot: Snapshot) -> None:
        """Show the pulley and the boost it gives; emits nothing."""
        fresh, self._is_fresh = self._is_fresh, False
        self._snapshot = snapshot
        build = snapshot.match.build
        belt = build.drive.kind == "belt"
        if belt == self.pulley.isHidden():
            for widget in (self.pulley, self.pulley_box, self._pulley_label):
                widget.setVisible(belt)
            self._fit()
        for widget in (self._boost_label, self.speed, self.boost, self.boost_box):
            widget.setVisible(not (belt and self._covered))
        limiter = int(build.engine.limiter)
        with QSignalBlocker(self.speed):
            # a range set again lays the whole window out again
            if self.speed.maximum() != limiter:
                self.speed.setRange(min(LEAST, limiter), limiter)
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
        match, units = snapshot.match, self._preferences.choices.units_shown
        # the slider asks on the branch without slip, and so shows it
        held = match.line_without_slip
        boost = boost_at(match.line if held is None else held, float(self.speed.value()))
        words = ""
        if match.build.drive.kind == "free_shaft":
            power = match.line.drive_power_w
            most = float(np.nanmax(power)) if np.any(np.isfinite(power)) else math.nan
            words = f"asks up to {show(most, 'power', units)} of its shaft; no turbine is modelled"
        elif held is not None:
            words = slip_words(boost, boost_at(match.line, float(self.speed.value())), units)
        self.shaft.setVisible(bool(words) and not self._covered)
        self.shaft.setText(words)
        if not self.boost.isSliderDown() and not math.isnan(boost):
            self.boost.set_real(boost)
        self.boost_box.set_value(boost)

    def _on_preferences(self, *_: object) -> None:
        choices = self._preferences.choices
        for box in (self.pulley_box, self.boost_box):
            box.set_system(choices.units_shown)
        unit = unit_of("length", choices.units_shown)
        self.pulley.set_ticks(
            [(d, tick_text(float(from_si(d, unit, "length")), unit)) for d in choices.shelf.pulleys]
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
