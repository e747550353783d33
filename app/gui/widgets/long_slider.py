"""A long slider with a number box beside it and ticks at marked values."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPoint, QRect, QRectF, QSignalBlocker, Qt, Signal
from PySide6.QtGui import QMouseEvent, QPainter, QPaintEvent, QPen, QPixmap, QResizeEvent
from PySide6.QtWidgets import QSlider, QStyle, QStyleOptionSlider, QWidget

TICK_ROOM = 18
"""Height under the groove for ticks and their numbers [px]."""

GAP = 3
"""Least room between two numbers; one that would come closer is left out [px]."""


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
        self.set_range(low, high)
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumHeight(22 + TICK_ROOM)
        self.setMinimumWidth(140)
        self.valueChanged.connect(self._on_value)
        self.sliderPressed.connect(self.started)
        self.sliderReleased.connect(self.stopped)

    def set_range(self, low: float, high: float) -> None:
        """Set the range of real values; emits nothing."""
        with QSignalBlocker(self):
            self._low, self._tick_picture = low, None
            self.setRange(0, max(1, round((high - low) / self._step)))
            self.setSingleStep(1)
            self.setPageStep(10)

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

    def _option(self) -> QStyleOptionSlider:
        option = QStyleOptionSlider()
        self.initStyleOption(option)
        option.rect = QRect(0, 0, self.width(), self.height() - TICK_ROOM)
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
        return round(handle / 2 + share * (self.width() - handle))

    def _value_at(self, x: float) -> int:
        handle = self._handle().width()
        share = (x - handle / 2) / max(self.width() - handle, 1)
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
        over = near[0] if near and where.y() > self.height() - TICK_ROOM - 6 else float("nan")
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
        font = self.font()
        font.setPointSizeF(font.pointSizeF() * 0.82)
        painter.setFont(font)
        text = self.palette().text().color()
        text.setAlpha(190)
        painter.setPen(QPen(text, 1))
        top = self.height() - TICK_ROOM
        last_right = -100
        for value, label in self._ticks:
            if not self._low <= value <= self.high:
                continue
            x = self._x_of(value)
            painter.drawLine(x, top - 2, x, top + 4)
            width = painter.fontMetrics().horizontalAdvance(label)
            left = min(max(x - width // 2, 0), self.width() - width)
            if left >= last_right + GAP:
                painter.drawText(left, self.height() - 2, label)
                last_right = left + width
        painter.end()
        return picture
