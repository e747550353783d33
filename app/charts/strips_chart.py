"""Strips across engine speed, one above the other, sharing one cursor."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QPointF, QSize, Qt, Signal
from PySide6.QtGui import QMouseEvent, QResizeEvent
from PySide6.QtWidgets import QWidget

from app.chart_tools.axis import MOST_STRIP_TICKS, STRIP_PIXELS_A_TICK, QuietAxis
from app.chart_tools.band_parts import ShownBand
from app.chart_tools.palette import LIGHT, Palette
from app.chart_tools.plot import BarePlot, foot_of, side_of
from app.chart_tools.strip_parts import without_verdict
from app.chart_tools.strip_plot import StripPlot
from app.present.series import StripSeries

GAP = 4


class StripsChart(pg.GraphicsLayoutWidget):  # type: ignore[misc]
    """A chosen set of strips with one cursor.

    Setters never emit. Ranges stay as they are until :meth:`refit`, to be called when a
    gesture ends.

    Parameters
    ----------
    parent : QWidget, optional
        Parent.
    palette : Palette
        Colours.
    columns : int
        Strips side by side.
    """

    engine_speed_hovered = Signal(float)
    engine_speed_chosen = Signal(float)

    def __init__(
        self, parent: QWidget | None = None, palette: Palette = LIGHT, columns: int = 1
    ) -> None:
        super().__init__(parent)
        self.setObjectName("strips_chart")
        self.setAccessibleName("Strips across engine speed")
        # its ground covers everything: nothing under it need be drawn first
        self.viewport().setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self._palette = palette
        self._columns = max(1, columns)
        self._plots: list[StripPlot] = []
        self._cursor = math.nan
        self._series: tuple[StripSeries, ...] = ()
        self._stock: tuple[StripSeries, ...] = ()
        self._ghosts: tuple[tuple[tuple[StripSeries, ...], str], ...] = ()
        self._numbers: tuple[int, ...] = ()
        self._bands: dict[str, tuple[ShownBand, ...]] = {}
        self._covered = False
        self.ci.layout.setContentsMargins(4, 6, 12, 2)
        self.ci.layout.setVerticalSpacing(GAP)
        self.ci.layout.setHorizontalSpacing(0)
        self.setBackground(palette.background)

    # what is shown

    @property
    def series(self) -> tuple[StripSeries, ...]:
        """The strips shown, from the top."""
        return self._series

    @property
    def keys(self) -> tuple[str, ...]:
        """Keys of the strips shown, from the top."""
        return tuple(strip.key for strip in self._series)

    def set_strips(self, strips: Sequence[StripSeries]) -> None:
        """Show strips; the same keys as before keep plots and ranges, others make new ones."""
        changed = tuple(strip.key for strip in strips) != self.keys
        old_units = tuple(strip.unit for strip in self._series)
        self._series = tuple(strips)
        if changed:
            self._build()
        self._show()
        if changed or old_units != tuple(strip.unit for strip in strips):
            self.refit()

    def set_stock(self, strips: Sequence[StripSeries]) -> None:
        """Show the stock engine as a faint reference, strip by strip of equal key and unit."""
        self._stock = tuple(strips)
        self._show()

    def set_ghosts(
        self, ghosts: Sequence[tuple[Sequence[StripSeries], str]], numbers: Sequence[int] = ()
    ) -> None:
        """Show kept matches with their names, strip by strip of equal key and unit.

        Numbers choose the strokes; without them the ghosts are counted from 0.
        """
        self._ghosts = tuple((tuple(strips), name) for strips, name in ghosts)
        self._numbers = tuple(numbers) or tuple(range(len(self._ghosts)))
        self._show()

    def set_bands(self, bands: Mapping[str, tuple[ShownBand, ...]]) -> None:
        """Show bands about the curves of the strips, by the strips' keys; ranges stay."""
        self._bands = dict(bands)
        self._show()

    @property
    def bands(self) -> Mapping[str, tuple[ShownBand, ...]]:
        """The bands shown, by the strips' keys."""
        return self._bands

    @property
    def others(self) -> tuple[tuple[tuple[StripSeries, ...], str], ...]:
        """What is drawn faintly beside the match, with its names."""
        stock = ((self._stock, "stock"),) if self._stock else ()
        return (*stock, *self._ghosts)

    @property
    def stock(self) -> tuple[StripSeries, ...]:
        """The stock engine's strips."""
        return self._stock

    @property
    def ghost_names(self) -> tuple[tuple[int, str], ...]:
        """Numbers, which choose the strokes, and names of what is kept for comparison."""
        return tuple(zip(self._numbers, (name for _, name in self._ghosts), strict=True))

    @property
    def rows(self) -> int:
        """Strips one below the other."""
        return -(-len(self._series) // self._columns)

    def copied(self, key: str = "") -> StripsChart:
        """Return a new chart of all that is shown here, or of all that one strip shows."""
        made = StripsChart(palette=self._palette, columns=1 if key else self._columns)
        made.set_strips([strip for strip in self._series if key in ("", strip.key)])
        made.set_stock(self._stock)
        made.set_ghosts(self._ghosts, self._numbers)
        made.set_bands(self._bands)
        made.set_cursor(self._cursor)
        return made

    def set_cursor(self, engine_speed: float | None) -> None:
        """Put the cursor at an engine speed [rpm], or take it away."""
        self._cursor = math.nan if engine_speed is None else float(engine_speed)
        for one in self._plots:
            one.header.engine_speed = self._cursor
            one.moving.refresh()

    def set_palette(self, palette: Palette) -> None:
        """Change all colours."""
        self._palette = palette
        self.setBackground(palette.background)
        for one in self._plots:
            one.make_parts(palette)
            self._label(one)
        self._show()
        self._share_height()
        for one in self._plots:
            # the header is as tall as its texts
            one.set_ranges()

    def set_covered(self, covered: bool) -> None:
        """Leave out what tells the answers: values, numbers of the upright axes, what is short."""
        self._covered = covered
        for one in self._plots:
            one.left.setStyle(showValues=not covered)
        self._show()

    def set_columns(self, columns: int) -> None:
        """Put so many strips side by side."""
        if max(1, columns) != self._columns:
            self._columns = max(1, columns)
            self._build()
            self._show()
            self.refit()

    def refit(self) -> None:
        """Set the ranges to what is shown now."""
        speeds = [s.engine_speed for s in self._series if s.engine_speed.size > 1]
        low = min((float(s[0]) for s in speeds), default=0.0)
        high = max((float(s[-1]) for s in speeds), default=1.0)
        room = 0.01 * (high - low)
        for one, strip in zip(self._plots, self._series, strict=True):
            ranges = [strip.value_range]
            ranges += [other.value_range for other, _ in self._others(strip)]
            shown = self._bands.get(strip.key, ())
            ranges += [band.value_range for band in shown if band.value_range is not None]
            values = min(r[0] for r in ranges), max(r[1] for r in ranges)
            speeds_shown = low - room, high + room
            if (values, speeds_shown) != (one.value_range, one.speed_range):
                one.value_range, one.speed_range = values, speeds_shown
                one.set_ranges()

    def minimumSizeHint(self) -> QSize:
        """Return the least size that can be read."""
        return QSize(220, 100)

    def close(self) -> bool:
        """Close as any widget; pyqtgraph would tear the scene down under our layers."""
        return QWidget.close(self)

    def fit(self) -> None:
        """Do as :meth:`refit`; the name the charts share."""
        self.refit()

    # building

    def _build(self) -> None:
        self.ci.clear()
        self._plots = []
        for index, _ in enumerate(self._series):
            row, column = divmod(index, self._columns)
            lowest = index + self._columns >= len(self._series)
            bottom = QuietAxis("bottom")
            left = QuietAxis("left", STRIP_PIXELS_A_TICK, MOST_STRIP_TICKS)
            left.setStyle(showValues=not self._covered)
            foot = self.rows if lowest else None
            plot = BarePlot(self.ci, row, 2 * column, bottom, left, foot, mouse=False)
            one = StripPlot(plot, lowest)
            one.box.sigResized.connect(one.set_ranges)
            one.make_parts(self._palette)
            self._label(one)
            self._plots.append(one)
        self._share_height()

    def _share_height(self) -> None:
        """Give all plots the same height; the lowest row has its axis besides."""
        spare = self.viewport().height() - 8 - foot_of(self._palette) - GAP * self.rows
        for row in range(self.rows):
            self.ci.layout.setRowFixedHeight(row, max(24.0, spare / self.rows))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Share the height anew."""
        super().resizeEvent(event)
        if getattr(self, "_plots", None):
            self._share_height()

    def _label(self, one: StripPlot) -> None:
        one.bottom.set_words("Engine speed [rpm]" if one.lowest else "", self._palette)

    def _others(self, strip: StripSeries) -> list[tuple[StripSeries, str]]:
        kept = [(strips, name) for strips, name in self._ghosts]
        if self._stock:
            kept.append((self._stock, "stock"))
        return [
            (other, name)
            for strips, name in kept
            for other in strips
            if other.key == strip.key and other.unit == strip.unit
        ]

    def _show(self) -> None:
        for one, strip in zip(self._plots, self._series, strict=True):
            one.show_reference(
                tuple(s for s in self._stock if s.key == strip.key and s.unit == strip.unit),
                tuple(
                    (number, other)
                    for number, (strips, _) in zip(self._numbers, self._ghosts, strict=True)
                    for other in strips
                    if other.key == strip.key and other.unit == strip.unit
                ),
            )
            # the first strip names the pins, which are in all; the stock engine is in some
            if one is self._plots[0]:
                one.header.ghosts = self.ghost_names
            one.show_bands(self._bands.get(strip.key, ()))
            one.header.has_stock = bool(one.reference.stock)
            one.header.engine_speed, one.header.is_covered = self._cursor, self._covered
            one.show(without_verdict(strip) if self._covered else strip)

    # the mouse

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Choose the engine speed under the pointer."""
        super().mousePressEvent(event)
        if event.button() == Qt.MouseButton.LeftButton:
            self._emit(self.engine_speed_chosen, event.position())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Hover or drag the cursor."""
        super().mouseMoveEvent(event)
        dragging = bool(event.buttons() & Qt.MouseButton.LeftButton)
        signal = self.engine_speed_chosen if dragging else self.engine_speed_hovered
        self._emit(signal, event.position())

    def _emit(self, signal: Any, position: QPointF) -> None:
        speed = self.engine_speed_at(position)
        if math.isfinite(speed):
            signal.emit(speed)

    def key_at(self, position: QPointF) -> str:
        """Key of the strip at a widget position, its axis included; empty between strips."""
        scene = self.mapToScene(position.toPoint())
        for one in self._plots:
            pixel = one.box.mapFromScene(scene)
            size = one.box.rect()
            beside = -side_of(self._palette) <= pixel.x() <= size.width()
            if one.series is not None and beside and 0.0 <= pixel.y() <= size.height():
                return one.series.key
        return ""

    def engine_speed_at(self, position: QPointF) -> float:
        """Engine speed at a widget position [rpm], within those shown; nan outside the strips."""
        scene = self.mapToScene(position.toPoint())
        for one in self._plots:
            frame, series = one.fixed.frame, one.series
            if frame is None or series is None or not series.engine_speed.size:
                continue
            pixel = one.box.mapFromScene(scene)
            if -6.0 <= pixel.x() <= frame.width + 6.0 and -GAP <= pixel.y() <= frame.height + GAP:
                speed, _ = frame.value(pixel.x(), pixel.y())
                low, high = series.engine_speed[0], series.engine_speed[-1]
                return float(np.clip(speed, low, high))
        return math.nan
