"""The compressor map with the operating line."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

import pyqtgraph as pg
from PySide6.QtCore import QPointF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QWidget

from app.chart_tools.axis import Grid, QuietAxis
from app.chart_tools.band_parts import ErrorBands, ShownBand
from app.chart_tools.canvas import Part
from app.chart_tools.line_parts import (
    CursorPart,
    Ghosts,
    Mark,
    OperatingLinePart,
    Readout,
    speed_near,
)
from app.chart_tools.map_labels import MapLines
from app.chart_tools.palette import LIGHT, Palette
from app.chart_tools.parts import Bands, Hatch, map_curves
from app.chart_tools.placing import Box
from app.chart_tools.plot import BarePlot
from app.present.series import LineSeries, MapSeries, lowered, ranges_around

ReadoutWords = Callable[[float, float], Sequence[str]]

CLICK_REACH, CLICK_SLACK = 16.0, 4.0
"""How near the line a click must be, and how little the mouse may move in a click [px]."""

SETTLED_MS = 150
"""How long the line stands still before the values on the outlines make way for it [ms]."""

ROOM_BELOW = 26.0
"""Pixels under a pressure ratio of 1 for the speeds along the choke line, at the usual text."""

EMPTY_RANGES = (0.0, 1.0), (1.0, 3.0)
NO_MAP = "no compressor map"


class CompressorChart(pg.GraphicsLayoutWidget):  # type: ignore[misc]
    """A compressor map, its operating line, ghosts, marks and a cursor.

    Setters never emit. Ranges stay as they are until :meth:`fit` or
    :meth:`fit_line_if_outside`, to be called when a gesture ends.

    Parameters
    ----------
    parent : QWidget, optional
        Parent.
    palette : Palette
        Colours.
    """

    hovered = Signal(float, float)
    engine_speed_clicked = Signal(float)

    def __init__(self, parent: QWidget | None = None, palette: Palette = LIGHT) -> None:
        super().__init__(parent)
        self.setObjectName("compressor_chart")
        self.setAccessibleName("Compressor map with the operating line")
        # its ground covers everything: nothing under it need be drawn first
        self.viewport().setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self._palette = palette
        self._map: MapSeries | None = None
        self._words: ReadoutWords | None = None
        self._pressed: QPointF | None = None
        self._series: LineSeries | None = None
        self._ghost_lines: tuple[tuple[LineSeries, str], ...] = ()
        self._ghost_numbers: tuple[int, ...] = ()
        self._marks: tuple[Mark, ...] = ()
        self.band: ShownBand | None = None
        self._cursor_speed = math.nan
        self.ci.layout.setContentsMargins(4, 8, 12, 4)
        self.ci.layout.setSpacing(0)
        self._bottom, self._left = QuietAxis("bottom"), QuietAxis("left")
        self._plot = BarePlot(self.ci, 0, 0, self._bottom, self._left, 1, mouse=True)
        plot = self._plot
        self._box, self._fixed, self._moving = plot.box, plot.fixed, plot.moving
        self._lines: MapLines | None = None
        self._is_zoomed = False
        # the map is drawn anew for it: not with every step of a key or the wheel
        self._settling = QTimer(self, singleShot=True, interval=SETTLED_MS)
        self._settling.timeout.connect(self.settle)
        self._make_parts()
        self.fit()
        self._box.sigRangeChangedManually.connect(self._on_zoom)
        self._box.sigRangeChanged.connect(self._plot.refresh)
        self._box.sigResized.connect(self.fit_line_if_outside)
        self._box.sigResized.connect(self._plot.refresh)

    # what is shown

    def set_map(self, series: MapSeries | None) -> None:
        """Show another compressor map, and all of it."""
        self._map = series
        self._make_parts()
        self.fit()

    def set_line(self, series: LineSeries | None) -> None:
        """Show an operating line on the same axes; ranges stay."""
        self._series = series
        self._line.series = self._cursor.series = series
        self._moving.refresh()

    def set_ghosts(
        self, ghosts: Sequence[tuple[LineSeries, str]], numbers: Sequence[int] = ()
    ) -> None:
        """Show lines kept for comparison with their names.

        Numbers choose the strokes; without them the ghosts are counted from 0.
        """
        before = self._ghost_lines
        self._ghost_lines = self._ghosts.lines = tuple(ghosts)
        self._ghost_numbers = self._ghosts.numbers = tuple(numbers) or tuple(range(len(ghosts)))
        if before or ghosts:
            self._fixed.refresh()

    def set_marks(self, marks: Sequence[Mark]) -> None:
        """Show the places where an entry of the ledger is close or over."""
        self._marks = self._line.marks = tuple(marks)
        self._moving.refresh()

    def set_band(self, band: ShownBand | None) -> None:
        """Show a band about the operating line, with what it is under the title."""
        self.band = band
        self._make_parts()
        self._plot.refresh()

    def set_cursor(self, engine_speed: float | None) -> None:
        """Put the cursor at an engine speed [rpm], or take it away."""
        self._cursor_speed = math.nan if engine_speed is None else float(engine_speed)
        self._cursor.engine_speed = self._cursor_speed
        self._moving.refresh()

    def set_readout(self, words: ReadoutWords | None) -> None:
        """Give the function that says what lies under a flow and pressure ratio."""
        self._words = words
        self._readout.rows = ()
        self._moving.refresh()

    def set_palette(self, palette: Palette) -> None:
        """Change all colours."""
        self._palette = palette
        self._make_parts()
        self.fit_line_if_outside()
        self._plot.refresh()

    @property
    def series(self) -> MapSeries | None:
        """The map shown."""
        return self._map

    @property
    def lines(self) -> tuple[LineSeries | None, tuple[tuple[LineSeries, str], ...]]:
        """The operating line shown, and the lines kept for comparison with their names."""
        return self._series, self._ghost_lines

    @property
    def placed_texts(self) -> tuple[tuple[str, Box], ...]:
        """Texts of the map as placed, with their boxes in pixels."""
        self._fixed.lay_out()
        lines = self._lines
        return () if lines is None else tuple((text.text, text.box) for text in lines.texts)

    @property
    def placed_ticks(self) -> tuple[tuple[str, Box], ...]:
        """Texts along the operating line as placed, with their boxes in pixels."""
        self._fixed.lay_out()
        self._moving.lay_out()
        return tuple((text.text, text.box) for text in self._line.texts)

    def minimumSizeHint(self) -> QSize:
        """Return the least size that can be read."""
        return QSize(260, 200)

    def close(self) -> bool:
        """Close as any widget; pyqtgraph would tear the scene down under our layers."""
        return QWidget.close(self)

    # ranges

    def fit(self) -> None:
        """Show the whole map, and the line where it leaves the map."""
        self._is_zoomed = False
        flow, ratio = EMPTY_RANGES
        if self._map is not None:
            flow, ratio = self._map.flow_range, self._map.ratio_range
        self._box.setLimits(
            xMin=-0.1 * flow[1],
            xMax=3.0 * flow[1],
            yMin=0.2,
            yMax=1.0 + 4.0 * (ratio[1] - 1.0),
            minXRange=0.02 * flow[1],
            minYRange=0.02 * (ratio[1] - ratio[0]),
        )
        self.fit_line_if_outside()
        self.settle()

    def fit_line_if_outside(self, *_: object) -> None:
        """Ranges of the map, wider where the line leaves it; those of the user's zoom stay."""
        if self._lines is not None and self._lines.line is not self._series:
            self._settling.start()
        if not self._is_zoomed:
            flow, ratio = EMPTY_RANGES
            if self._map is not None:
                room = self._palette.sized(ROOM_BELOW)
                share = room / max(self._box.rect().height(), 4.0 * room)
                flow, ratio = self._map.flow_range, lowered(self._map.ratio_range, share)
            self._set_ranges(*ranges_around(self._series, flow, ratio))

    def settle(self) -> None:
        """Let the values on the outlines make way for the line as it is now."""
        self._settling.stop()
        if self._lines is not None and self._lines.line is not self._series:
            self._lines.line = self._series
            self._fixed.refresh()

    def _on_zoom(self, *_: object) -> None:
        self._is_zoomed = True

    def _set_ranges(self, flow: tuple[float, float], ratio: tuple[float, float]) -> None:
        if [list(flow), list(ratio)] != self._box.viewRange():
            self._plot.set_ranges(flow, ratio)
            self._plot.refresh()

    # parts

    def _make_parts(self) -> None:
        palette = self._palette
        self.setBackground(palette.background)
        self._plot.set_look(palette)
        series = self._map
        axes = None if series is None else series.axes
        self._bottom.set_words(NO_MAP if axes is None else axes.flow_label, palette)
        self._left.set_words("Pressure ratio [-]" if axes is None else axes.ratio_label, palette)
        parts: list[Part] = []
        self._lines = None
        bands = ErrorBands(palette)
        bands.bands = () if self.band is None else (self.band,)
        if series is not None:
            self._lines = MapLines(series, palette, "" if self.band is None else self.band.words)
            self._lines.line = self._series
            parts.append(Bands(series, palette))
        parts.append(Grid(self._bottom, self._left, palette, alpha=170))
        if series is not None and self._lines is not None:
            parts += [map_curves(series, palette), bands, self._lines]
            for curve, side in ((series.surge, -1.0), (series.choke, 1.0)):
                parts.append(Hatch(*curve, side, palette.limit, self._lines.level_boxes))
        self._ghosts, self._line = Ghosts(palette), OperatingLinePart(palette)
        self._cursor, self._readout = CursorPart(palette), Readout(palette)
        self._ghosts.lines, self._ghosts.numbers = self._ghost_lines, self._ghost_numbers
        self._ghosts.corner = self._corner
        self._readout.corner = self._corner_with_key
        self._line.series = self._cursor.series = self._series
        self._line.marks, self._line.avoid = self._marks, self._map_boxes
        self._cursor.engine_speed = self._cursor_speed
        self._cursor.avoid = self._all_boxes
        self._cursor.limiter_is_named = lambda: self._line.names_limiter
        self._fixed.set_parts([*parts, self._ghosts])
        self._moving.set_parts([self._line, self._cursor, self._readout])

    def _corner(self) -> float:
        """Pixels from the top that the title takes."""
        self._fixed.lay_out()
        box = None if self._lines is None else self._lines.title_box
        return 12.0 if box is None else box.top + box.height

    def _corner_with_key(self) -> float:
        return self._corner() + self._ghosts.key_height

    def _map_boxes(self) -> Sequence[Box]:
        self._fixed.lay_out()
        return () if self._lines is None else self._lines.placer.taken

    def _all_boxes(self) -> Sequence[Box]:
        return [*self._map_boxes(), *(text.box for text in self._line.texts)]

    # the mouse

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Remember where a click began."""
        self._pressed = event.position()
        super().mousePressEvent(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Emit the engine speed of the line under a click."""
        super().mouseReleaseEvent(event)
        start, self._pressed = self._pressed, None
        if start is None or event.button() != Qt.MouseButton.LeftButton:
            return
        if (event.position() - start).manhattanLength() > CLICK_SLACK:
            return
        speed = self.engine_speed_near(event.position())
        if math.isfinite(speed):
            self.engine_speed_clicked.emit(speed)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Emit what lies under the pointer and write it on the canvas."""
        super().mouseMoveEvent(event)
        found = self._value_at(event.position())
        if found is None:
            self._clear_readout()
            return
        if self._words is not None and not event.buttons():
            self._readout.rows = tuple(self._words(*found))
            self._moving.update()
        self.hovered.emit(*found)

    def leaveEvent(self, event: Any) -> None:
        """Take the read-out away."""
        super().leaveEvent(event)
        self._clear_readout()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Show the whole map again."""
        super().mouseDoubleClickEvent(event)
        self.fit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Show the whole map again with the Home key."""
        if event.key() == Qt.Key.Key_Home:
            self.fit()
        else:
            super().keyPressEvent(event)

    def _clear_readout(self) -> None:
        if self._readout.rows:
            self._readout.rows = ()
            self._moving.update()

    def _pixel_of(self, position: QPointF) -> QPointF:
        return QPointF(self._box.mapFromScene(self.mapToScene(position.toPoint())))

    def _value_at(self, position: QPointF) -> tuple[float, float] | None:
        frame, pixel = self._fixed.frame, self._pixel_of(position)
        if frame is None or not frame.rect.contains(pixel):
            return None
        return frame.value(pixel.x(), pixel.y())

    def engine_speed_near(self, position: QPointF) -> float:
        """Engine speed of the line at a widget position [rpm]; nan where it is not near."""
        return speed_near(self._series, self._fixed.frame, self._pixel_of(position), CLICK_REACH)
