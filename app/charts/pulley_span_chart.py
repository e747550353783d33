"""The pulley span: one bar a limit and day along the blower pulley, the allowed span shaded."""

from __future__ import annotations

import math
from typing import Any

import pyqtgraph as pg
from PySide6.QtCore import QEvent, QPointF, QSize, Qt, Signal
from PySide6.QtGui import QFocusEvent, QHelpEvent, QKeyEvent, QMouseEvent, QWheelEvent
from PySide6.QtWidgets import QToolTip, QWidget

from app.chart_tools.axis import QuietAxis
from app.chart_tools.canvas import Part
from app.chart_tools.palette import LIGHT, Palette
from app.chart_tools.parts import Text
from app.chart_tools.plot import BarePlot, foot_of
from app.chart_tools.span_layout import RIGHT, SpanLayout, lay_rows, least_height
from app.chart_tools.span_marks import PresentPulley, ShelfMarks
from app.chart_tools.span_parts import AllowedShade, SpanBars, SpanGrid, SpanWords
from app.present.series_pulleys import PulleyMark, SpanBar, SpanSeries

TITLE = "Pulley span: every limit on every day against the blower pulley"

REACH = 7.0
"""How near the line of the present pulley a drag must begin [px]."""

KEYS = {
    Qt.Key.Key_Left: -1,
    Qt.Key.Key_Right: 1,
    Qt.Key.Key_PageDown: -10,
    Qt.Key.Key_PageUp: 10,
}
"""Steps of the keys."""


class PulleySpanChart(pg.GraphicsLayoutWidget):  # type: ignore[misc]
    """Bars of the pulley span, with the present pulley as a line that can be dragged.

    Setters never emit.

    Parameters
    ----------
    parent : QWidget, optional
        Parent.
    palette : Palette
        Colours.

    Signals
    -------
    moved(size)
        The user drags the present pulley. [m]
    started(), stopped()
        A drag begins and ends.
    stepped(steps)
        An arrow or page key.
    chosen(size)
        A pulley of the shelf was clicked. [m]
    """

    moved = Signal(float)
    started = Signal()
    stopped = Signal()
    stepped = Signal(int)
    chosen = Signal(float)

    def __init__(self, parent: QWidget | None = None, palette: Palette = LIGHT) -> None:
        super().__init__(parent)
        self.setObjectName("pulley_span_chart")
        self.setAccessibleName(TITLE)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        # its ground covers everything: nothing under it need be drawn first
        self.viewport().setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self._palette = palette
        self._series: SpanSeries | None = None
        self._rows: SpanLayout | None = None
        self._size = math.nan
        self._words = ""
        self._covered = self._dragging = False
        self.ci.layout.setContentsMargins(4, 6, 8, 2)
        self.ci.layout.setSpacing(0)
        self._bottom, self._left = QuietAxis("bottom"), QuietAxis("left")
        self._plot = BarePlot(self.ci, 0, 0, self._bottom, self._left, 1, mouse=False)
        self._box, self._fixed, self._moving = self._plot.box, self._plot.fixed, self._plot.moving
        self._make_parts()
        self._box.sigResized.connect(self.fit)

    # what is shown

    def set_series(self, series: SpanSeries | None) -> None:
        """Show another span."""
        self._series = series
        self._make_parts()

    def set_present(self, size: float | None, words: str = "") -> None:
        """Put the line at a pulley [m], with words at its top; or take it away."""
        self._size = math.nan if size is None else float(size)
        self._words = words
        self._show_present()
        self._moving.refresh()

    def set_covered(self, covered: bool) -> None:
        """Leave out what tells the answers: bars, span, states."""
        if covered != self._covered:
            self._covered = covered
            self._make_parts()

    def set_palette(self, palette: Palette) -> None:
        """Change all colours."""
        self._palette = palette
        self._make_parts()

    @property
    def series(self) -> SpanSeries | None:
        """The span shown."""
        return self._series

    @property
    def rows(self) -> SpanLayout | None:
        """Places of the rows."""
        return self._rows

    @property
    def present_x(self) -> float:
        """Where the line of the present pulley stands, from the left of the plot [px]."""
        self._moving.lay_out()
        return self._present.x

    @property
    def placed_texts(self) -> tuple[Text, ...]:
        """Texts as placed, in the pixels of the plot."""
        self._fixed.lay_out()
        return () if self._series is None else (*self._texts.texts, *self._shelf.texts)

    def copied(self) -> PulleySpanChart:
        """Return a new chart of all that is shown here."""
        made = PulleySpanChart(palette=self._palette)
        made.set_covered(self._covered)
        made.set_series(self._series)
        made.set_present(self._size, self._words)
        return made

    def wanted_height(self) -> int:
        """Height that shows every bar with its day [px]."""
        return self.height_of(self._series)

    def height_of(self, series: SpanSeries | None) -> int:
        """Height that would show every bar of a series with its day [px]."""
        around = foot_of(self._palette) + 8
        return round(least_height(series, self._palette)) + around

    def minimumSizeHint(self) -> QSize:
        """Return the least size that can be read."""
        return QSize(380, 200)

    def close(self) -> bool:
        """Close as any widget; pyqtgraph would tear the scene down under our layers."""
        return QWidget.close(self)

    # ranges and parts

    def fit(self, *_: object) -> None:
        """Give the bars the room beside the labels."""
        size = self._box.rect()
        series = self._series
        self._rows = None
        if series is None or size.width() < 40.0 or size.height() < 40.0:
            self._plot.refresh()
            return
        self._rows = rows = lay_rows(series, self._palette, size.width(), size.height())
        low, high = series.span_range
        scale = (high - low) / max(size.width() - RIGHT - rows.left, 1.0)
        self._bottom.first = low - 1e-9 * abs(low)
        self._bottom.last = high + 1e-9 * abs(high)
        self._plot.set_ranges((low - scale * rows.left, high + scale * RIGHT), (0.0, 1.0))
        self._plot.refresh()

    def _make_parts(self) -> None:
        palette, series = self._palette, self._series
        self.setBackground(palette.background)
        self._plot.set_look(palette)
        self._left.setWidth(1)
        self._left.setStyle(showValues=False)
        self._left.set_words("", palette)
        empty = "no pulley span"
        self._bottom.set_words(empty if series is None else series.axis_label, palette)
        parts: list[Part] = [SpanGrid(self._bottom, palette, self._layout)]
        if series is not None:
            self._texts = SpanWords(series, palette, self._layout)
            self._shelf = ShelfMarks(series, palette, self._layout)
            self._texts.is_covered = self._shelf.is_covered = self._covered
            if not self._covered:
                parts.append(AllowedShade(series, palette, self._layout))
                parts.append(SpanBars(series, palette, self._layout))
            parts += [self._texts, self._shelf]
        self._present = PresentPulley(palette, self._layout)
        self._show_present()
        self._fixed.set_parts(parts)
        self._moving.set_parts([self._present])
        self.fit()

    def _layout(self) -> SpanLayout | None:
        return self._rows

    def _show_present(self) -> None:
        series = self._series
        unit = math.nan if series is None else series.unit_in_m
        self._present.diameter = self._size / unit
        self._present.words = self._words
        self._present.has_focus = self.hasFocus()

    # mouse and keys

    def _pixel_of(self, position: QPointF) -> QPointF:
        return QPointF(self._box.mapFromScene(self.mapToScene(position.toPoint())))

    def _is_on_line(self, pixel: QPointF) -> bool:
        near = abs(pixel.x() - self.present_x) <= REACH and pixel.y() >= 0.0
        return near or self._present.pill.contains(pixel)

    def size_at(self, position: QPointF) -> float:
        """Pulley at a widget position, within the range shown [m]; nan without a span."""
        frame, series = self._fixed.frame, self._series
        if frame is None or series is None:
            return math.nan
        value = frame.value(self._pixel_of(position).x(), 0.0)[0]
        low, high = series.span_range
        return min(max(value, low), high) * series.unit_in_m

    def mark_at(self, position: QPointF) -> PulleyMark | None:
        """Pulley of the shelf at a widget position."""
        pixel = self._pixel_of(position)
        if self._series is None or self._rows is None:
            return None
        self._fixed.lay_out()
        return self._shelf.mark_near(pixel.x(), pixel.y())

    def bar_at(self, position: QPointF) -> SpanBar | None:
        """Bar at a widget position, its labels included."""
        level = self._pixel_of(position).y()
        for group in () if self._rows is None else self._rows.groups:
            for row in group.bars:
                if row.top <= level <= row.top + row.height + 2.0:
                    return row.bar
        return None

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Begin to drag the present pulley, or take one of the shelf."""
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        if event.button() != Qt.MouseButton.LeftButton or self._series is None:
            super().mousePressEvent(event)
            return
        mark = self.mark_at(event.position())
        if mark is not None:
            self.chosen.emit(mark.size)
        elif self._is_on_line(self._pixel_of(event.position())):
            self._dragging = True
            self.started.emit()
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drag, or show what can be taken."""
        if self._dragging:
            size = self.size_at(event.position())
            if math.isfinite(size):
                self.moved.emit(size)
            event.accept()
            return
        shape = Qt.CursorShape.ArrowCursor
        if self.mark_at(event.position()) is not None:
            shape = Qt.CursorShape.PointingHandCursor
        elif self._series is not None and self._is_on_line(self._pixel_of(event.position())):
            shape = Qt.CursorShape.SizeHorCursor
        self.viewport().setCursor(shape)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """End the drag."""
        if self._dragging:
            self._dragging = False
            self.stopped.emit()
        event.accept()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Leave the wheel to what lies around."""
        event.ignore()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Step the present pulley."""
        steps = KEYS.get(Qt.Key(event.key()), 0)
        if steps and not event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier:
            self.stepped.emit(steps)
            event.accept()
        else:
            event.ignore()

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Show that the keys act on the line."""
        super().focusInEvent(event)
        self._refocus()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Show that they no longer do."""
        super().focusOutEvent(event)
        self._refocus()

    def _refocus(self) -> None:
        self._present.has_focus = self.hasFocus()
        self._moving.update()

    def viewportEvent(self, event: QEvent) -> bool:
        """Tell what lies under the pointer."""
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            QToolTip.showText(event.globalPos(), self.words_at(QPointF(event.pos())), self)
            return True
        found: Any = super().viewportEvent(event)
        return bool(found)

    def words_at(self, position: QPointF) -> str:
        """What lies at a widget position, in words; empty where nothing does."""
        if self._series is None or self._covered:
            return ""
        mark = self.mark_at(position)
        if mark is not None:
            return f"{mark.words}. Click to take it."
        bar = self.bar_at(position)
        if bar is None:
            return ""
        return self._series.words_at(bar, self.size_at(position) / self._series.unit_in_m)
