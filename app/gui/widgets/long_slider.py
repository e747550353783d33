"""A long slider with a number box beside it and ticks at marked values."""

from __future__ import annotations

import itertools
from collections.abc import Callable

from PySide6.QtCore import QEvent, QPoint, QRect, QRectF, QSignalBlocker, Qt, Signal
from PySide6.QtGui import (
    QFont,
    QFontMetrics,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPixmap,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QSlider, QStyle, QStyleOptionSlider, QWidget

TICK = 6
"""Height of a tick [px]."""

SMALL = 0.82
"""Size of the ticks' numbers over that of the text [-]."""

GROOVE = 22
"""Height of groove and handle [px]."""

SIDE = 3
"""Room at either end for the frame of the focused handle [px]."""

PAGE, WHOLE = 10, 1000
"""Steps of the page keys, and of the keys for either end."""

KEYS = {
    Qt.Key.Key_Left: -1,
    Qt.Key.Key_Down: -1,
    Qt.Key.Key_Right: 1,
    Qt.Key.Key_Up: 1,
    Qt.Key.Key_PageDown: -PAGE,
    Qt.Key.Key_PageUp: PAGE,
    Qt.Key.Key_Home: -WHOLE,
    Qt.Key.Key_End: WHOLE,
}
"""Steps of the keys."""


class LongSlider(QSlider):
    """Horizontal slider over a range of real values, with labelled ticks.

    Signals
    -------
    moved(value)
        The user moved the handle (mouse, keys or wheel).
    started(), stopped()
        A drag begins and ends.
    hovered_tick(value)
        The pointer rests on a tick; nan when it leaves.
    """

    moved = Signal(float)
    started = Signal()
    stopped = Signal()
    hovered_tick = Signal(float)

    def __init__(self, low: float, high: float, step: float, parent: QWidget | None = None) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self._low, self._step = low, step
        self._ticks: list[tuple[float, str]] = []
        self._tick_picture: QPixmap | None = None
        self._snapping = False
        self._over_tick = float("nan")
        self.stepper: Callable[[int], bool] | None = None
        """Takes the steps of keys and wheel; whether it did something of its own with them."""
        self.set_range(low, high)
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumWidth(140)
        self._fit()
        self.valueChanged.connect(self._on_value)
        self.sliderPressed.connect(self.started)
        self.sliderReleased.connect(self.stopped)

    def set_range(self, low: float, high: float) -> None:
        """Set the range of real values; emits nothing."""
        with QSignalBlocker(self):
            self._low, self._tick_picture = low, None
            self.setRange(0, max(1, round((high - low) / self._step)))
            self.setSingleStep(1)
            self.setPageStep(PAGE)

    def _small_font(self) -> QFont:
        font = self.font()
        font.setPointSizeF(font.pointSizeF() * SMALL)
        return font

    def _fit(self) -> None:
        """Make room for the ticks' numbers in the size of the text."""
        self._tick_room = TICK + QFontMetrics(self._small_font()).height()
        self.setMinimumHeight(GROOVE + self._tick_room)

    @property
    def low(self) -> float:
        """Lower end."""
        return self._low

    @property
    def high(self) -> float:
        """Upper end."""
        return self._low + self.maximum() * self._step

    def set_ticks(self, ticks: list[tuple[float, str]]) -> None:
        """Set ticks as value and label."""
        self._ticks = sorted(ticks)
        self._tick_picture = None
        self.update()

    def set_snapping(self, snapping: bool) -> None:
        """Whether the handle rests at ticks only."""
        self._snapping = snapping

    def set_real(self, value: float) -> None:
        """Show a value; emits nothing."""
        with QSignalBlocker(self):
            self.setValue(round((value - self._low) / self._step))

    def real(self) -> float:
        """Value of the handle."""
        return self._low + self.value() * self._step

    def _on_value(self, value: int) -> None:
        real = self._low + value * self._step
        if self._snapping and self._ticks:
            real = min((tick for tick, _ in self._ticks), key=lambda t: abs(t - real))
            self.set_real(real)
        self.moved.emit(real)

    @property
    def _tick_top(self) -> int:
        return self.height() - self._tick_room

    def _option(self) -> QStyleOptionSlider:
        option = QStyleOptionSlider()
        self.initStyleOption(option)
        option.rect = QRect(SIDE, 0, self.width() - 2 * SIDE, self.height() - self._tick_room)
        return option

    def _handle(self) -> QRect:
        return self.style().subControlRect(
            QStyle.ComplexControl.CC_Slider,
            self._option(),
            QStyle.SubControl.SC_SliderHandle,
            self,
        )

    def _x_of(self, value: float) -> int:
        handle = self._handle().width()
        share = (value - self._low) / max(self.high - self._low, 1e-12)
        return round(SIDE + handle / 2 + share * (self.width() - 2 * SIDE - handle))

    def _value_at(self, x: float) -> int:
        handle = self._handle().width()
        share = (x - SIDE - handle / 2) / max(self.width() - 2 * SIDE - handle, 1)
        return round(min(max(share, 0.0), 1.0) * self.maximum())

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Jump to the pointer, then drag."""
        if event.button() != Qt.MouseButton.LeftButton:
            super().mousePressEvent(event)
            return
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        self.setSliderDown(True)
        self.setValue(self._value_at(event.position().x()))
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drag, or notice a tick under the pointer."""
        if self.isSliderDown():
            self.setValue(self._value_at(event.position().x()))
            event.accept()
            return
        self._notice(event.position().toPoint())
        super().mouseMoveEvent(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """End the drag."""
        if self.isSliderDown():
            self.setSliderDown(False)
            event.accept()
            return
        super().mouseReleaseEvent(event)

    def _notice(self, where: QPoint) -> None:
        near = [t for t, _ in self._ticks if abs(self._x_of(t) - where.x()) <= 4]
        over = near[0] if near and where.y() > self._tick_top - TICK else float("nan")
        if over != self._over_tick and not (over != over and self._over_tick != self._over_tick):
            self._over_tick = over
            self.hovered_tick.emit(over)

    def leaveEvent(self, event: object) -> None:
        """Forget the tick."""
        if self._over_tick == self._over_tick:
            self._over_tick = float("nan")
            self.hovered_tick.emit(self._over_tick)
        super().leaveEvent(event)  # type: ignore[arg-type]

    def changeEvent(self, event: QEvent) -> None:
        """Draw the ticks anew in another font or palette."""
        super().changeEvent(event)
        self._tick_picture = None
        if event.type() == QEvent.Type.FontChange:
            self._fit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Step, or let the stepper do it."""
        steps = KEYS.get(Qt.Key(event.key()), 0)
        if not steps or self.stepper is None or not self.stepper(steps):
            super().keyPressEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Step in the focused slider only; elsewhere the wheel is for what lies under."""
        turned = event.angleDelta().y()
        if not self.hasFocus() or turned == 0:
            event.ignore()
            return
        steps = 1 if turned > 0 else -1
        if self.stepper is None or not self.stepper(steps):
            self.setValue(self.value() + steps * self.singleStep())
        event.accept()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Draw the ticks anew for another width."""
        super().resizeEvent(event)
        self._tick_picture = None

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw groove and handle over the ticks."""
        painter = QPainter(self)
        ratio = self.devicePixelRatioF()
        if self._tick_picture is None or self._tick_picture.devicePixelRatio() != ratio:
            self._tick_picture = self._draw_ticks(ratio)
        painter.drawPixmap(0, 0, self._tick_picture)
        option = self._option()
        option.subControls = QStyle.SubControl.SC_SliderGroove | QStyle.SubControl.SC_SliderHandle
        self.style().drawComplexControl(QStyle.ComplexControl.CC_Slider, option, painter, self)
        if self.hasFocus():
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setPen(QPen(self.palette().highlight().color(), 2.0))
            painter.drawRoundedRect(QRectF(self._handle()).adjusted(-1.0, -1.0, 1.0, 1.0), 5, 5)
        painter.end()

    def _draw_ticks(self, ratio: float) -> QPixmap:
        """Draw the ticks with their numbers; they stand still while the handle moves."""
        picture = QPixmap(self.size() * ratio)
        picture.setDevicePixelRatio(ratio)
        picture.fill(Qt.GlobalColor.transparent)
        painter = QPainter(picture)
        painter.setFont(self._small_font())
        text = self.palette().text().color()
        text.setAlpha(190)
        painter.setPen(QPen(text, 1))
        top, foot = self._tick_top, self.height() - painter.fontMetrics().descent()
        for value, _ in self._seen_ticks():
            x = self._x_of(value)
            painter.drawLine(x, top - 2, x, top + TICK - 2)
        for left, _, label in self.placed_labels():
            painter.drawText(left, foot, label)
        painter.end()
        return picture

    def _seen_ticks(self) -> list[tuple[float, str]]:
        return [(t, label) for t, label in self._ticks if self._low <= t <= self.high]

    def placed_labels(self) -> list[tuple[int, int, str]]:
        """Left end, right end and text of the numbers: every one, or every second, third ..."""
        metrics, ticks = QFontMetrics(self._small_font()), self._seen_ticks()
        gap = metrics.horizontalAdvance("0")
        placed: list[tuple[int, int, str]] = []
        for stride in range(1, len(ticks) + 1):
            placed = []
            for value, label in ticks[::stride]:
                width = metrics.horizontalAdvance(label)
                left = min(max(self._x_of(value) - width // 2, 0), self.width() - width)
                placed.append((left, left + width, label))
            ends = itertools.pairwise(placed)
            if all(before[1] + gap <= after[0] for before, after in ends):
                break
        return placed
