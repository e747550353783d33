"""Two or three compressor maps laid over each other with their operating lines."""

from __future__ import annotations

import pyqtgraph as pg
from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QWidget

from app.chart_tools.axis import Grid, QuietAxis
from app.chart_tools.canvas import Part
from app.chart_tools.overlay_parts import (
    OverlayLines,
    OverlayOutlines,
    overlay_curves,
    overlay_key,
)
from app.chart_tools.palette import LIGHT, Palette
from app.chart_tools.parts import Bands
from app.chart_tools.placing import Box
from app.chart_tools.plot import BarePlot
from app.chart_tools.strokes import Stroke
from app.present.series_overlay import OverlaySeries

TITLE = "Compressor maps laid over each other"
EMPTY = "choose two or three rows"
EMPTY_RANGES = (0.0, 1.0), (1.0, 3.0)


class CompressorOverlayChart(pg.GraphicsLayoutWidget):  # type: ignore[misc]
    """Maps on one pair of axes; the wheel zooms, dragging pans, a double click shows all.

    Setters never emit.

    Parameters
    ----------
    parent : QWidget, optional
        Parent.
    palette : Palette
        Colours.
    """

    def __init__(self, parent: QWidget | None = None, palette: Palette = LIGHT) -> None:
        super().__init__(parent)
        self.setObjectName("compressor_overlay_chart")
        self.setAccessibleName(TITLE)
        # its ground covers everything: nothing under it need be drawn first
        self.viewport().setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self._palette = palette
        self._series: OverlaySeries | None = None
        self._lines: OverlayLines | None = None
        self._outlines: OverlayOutlines | None = None
        self._shaded = self._covered = self._is_zoomed = False
        self.ci.layout.setContentsMargins(4, 6, 12, 4)
        self.ci.layout.setSpacing(0)
        self._bottom, self._left = QuietAxis("bottom"), QuietAxis("left")
        self._plot = BarePlot(self.ci, 0, 0, self._bottom, self._left, 1, mouse=True)
        self._make_parts()
        self.fit()
        self._plot.box.sigRangeChanged.connect(self._plot.refresh)
        self._plot.box.sigRangeChangedManually.connect(self._on_zoom)
        self._plot.box.sigResized.connect(self._on_size)

    def set_series(self, series: OverlaySeries | None) -> None:
        """Show other maps, and all of them."""
        self._series = series
        self._make_parts()
        self.fit()

    def set_shaded(self, shaded: bool) -> None:
        """Shade the islands of the first map, or none."""
        if shaded != self._shaded:
            self._shaded = shaded
            self._make_parts()

    def set_covered(self, covered: bool) -> None:
        """Leave out the operating lines and how the compressors are driven."""
        if covered != self._covered:
            self._covered = covered
            self._make_parts()

    def set_palette(self, palette: Palette) -> None:
        """Change all colours."""
        self._palette = palette
        self._make_parts()
        self._on_size()

    @property
    def series(self) -> OverlaySeries | None:
        """The maps shown."""
        return self._series

    @property
    def key(self) -> tuple[tuple[Stroke, str], ...]:
        """Strokes of the operating lines with what they are."""
        return () if self._series is None else overlay_key(self._series, self._palette)

    @property
    def placed_texts(self) -> tuple[tuple[str, Box], ...]:
        """Texts of keys, line ends and speeds as placed, with their boxes in pixels."""
        self._plot.fixed.lay_out()
        return () if self._lines is None else tuple((t.text, t.box) for t in self._lines.texts)

    def copied(self) -> CompressorOverlayChart:
        """Return a new chart of all that is shown here."""
        made = CompressorOverlayChart(palette=self._palette)
        made.set_shaded(self._shaded)
        made.set_covered(self._covered)
        made.set_series(self._series)
        return made

    def fit(self) -> None:
        """Show all of the maps."""
        self._is_zoomed = False
        flow, ratio = EMPTY_RANGES
        if self._series is not None:
            flow, ratio = self._series.flow_range, self._series.ratio_range
            # room for the key over the maps
            head = OverlayLines.head_of(self._series, self._palette)
            share = min(head / max(self._plot.box.rect().height(), 3.0 * head), 0.34)
            ratio = ratio[0], ratio[0] + (ratio[1] - ratio[0]) / (1.0 - share)
        self._plot.box.setLimits(
            xMin=-0.1 * flow[1],
            xMax=3.0 * flow[1],
            yMin=0.2,
            yMax=1.0 + 4.0 * (ratio[1] - 1.0),
            minXRange=0.02 * flow[1],
            minYRange=0.02 * (ratio[1] - ratio[0]),
        )
        self._plot.set_ranges(flow, ratio)
        self._plot.refresh()

    def _on_zoom(self, *_: object) -> None:
        self._is_zoomed = True

    def _on_size(self, *_: object) -> None:
        if not self._is_zoomed:
            self.fit()
        self._plot.refresh()

    def minimumSizeHint(self) -> QSize:
        """Return the least size that can be read."""
        return QSize(260, 180)

    def close(self) -> bool:
        """Close as any widget; pyqtgraph would tear the scene down under our layers."""
        return QWidget.close(self)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Show all of the maps again."""
        super().mouseDoubleClickEvent(event)
        self.fit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Show all of the maps again with the Home key."""
        if event.key() == Qt.Key.Key_Home:
            self.fit()
        else:
            super().keyPressEvent(event)

    def _make_parts(self) -> None:
        palette, series = self._palette, self._series
        self.setBackground(palette.background)
        self._plot.set_look(palette)
        axes = None if series is None else series.axes
        self._bottom.set_words(EMPTY if axes is None else axes.flow_label, palette)
        self._left.set_words("Pressure ratio [-]" if axes is None else axes.ratio_label, palette)
        grid = Grid(self._bottom, self._left, palette, alpha=170)
        parts: list[Part] = [grid]
        self._lines = self._outlines = None
        if series is not None:
            if self._shaded:
                first = series.maps[0]
                self._outlines = OverlayOutlines(first, palette)
                parts = [Bands(first.map, palette), grid, self._outlines]
            self._lines = OverlayLines(series, palette, self._covered)
            parts += [overlay_curves(series, palette), self._lines]
        self._plot.fixed.set_parts(parts)
