"""Panels of curves in columns, with a key, and a cursor across that moves cheaply."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pyqtgraph as pg
from PySide6.QtCore import QPointF, QSize, Qt
from PySide6.QtGui import QKeyEvent, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QWidget

from app.chart_tools.axis import MOST_STRIP_TICKS, STRIP_PIXELS_A_TICK, Grid, QuietAxis
from app.chart_tools.canvas import Metrics, font
from app.chart_tools.curve_parts import PanelCursor, PanelCurves, stroke_of
from app.chart_tools.palette import LIGHT, Palette
from app.chart_tools.plot import BarePlot, foot_of
from app.chart_tools.pulley_plot import HEAD, PlotHead
from app.present.series_panels import Panel, PanelSeries

GAP = 4
ABOVE = 0.06
"""Room over the highest value, under the header [-]."""


class PanelView:
    """One plot with its parts."""

    def __init__(self, plot: BarePlot, *, has_foot: bool) -> None:
        self.plot, self.has_foot = plot, has_foot
        self.panel: Panel | None = None

    def make_parts(self, palette: Palette) -> None:
        """New parts in a palette's colours."""
        self._palette = palette
        self.plot.set_look(palette)
        self.plot.left.set_words("", palette)
        self.curves, self.head = PanelCurves(palette), PlotHead(palette)
        self.cursor = PanelCursor(palette)
        self._grid = Grid(self.plot.bottom, self.plot.left, palette)
        self.plot.moving.set_parts([self.cursor])

    def show(self, panel: Panel | None) -> None:
        """Show a panel, or nothing; ranges stay."""
        self.panel = self.curves.panel = self.cursor.panel = panel
        self.head.title = "" if panel is None else panel.title
        named = () if panel is None else panel.curves
        self.head.key = tuple(
            (stroke_of(self._palette, one.look), one.name) for one in named if one.name
        )
        self.plot.fixed.set_parts([] if panel is None else [self._grid, self.curves, self.head])
        words = "" if panel is None or not self.has_foot else panel.x_words
        self.plot.bottom.set_words(words, self._palette)
        self.plot.bottom.setStyle(showValues=panel is not None and self.has_foot)
        self.plot.left.setStyle(showValues=panel is not None)

    def set_ranges(self, across: tuple[float, float] | None) -> None:
        """Ranges with room for the header; across as told, or as the panel has it."""
        panel = self.panel
        if panel is None:
            self.plot.refresh()
            return
        size = self.plot.box.rect()
        head = self.head.rows(size.width()) * self._palette.sized(HEAD) + 2.0
        self.curves.head = self.cursor.head = head
        bold = Metrics(font(self._palette.sized(12), bold=True))
        self.cursor.title_width = bold.width(panel.title)
        low, high = panel.y_range
        tall = max(size.height(), head + 24.0)
        room = head + ABOVE * (tall - head)
        low -= 0.02 * (high - low)
        self.plot.left.first = panel.y_range[0] - 1e-9 * max(abs(high), 1.0)
        self.plot.left.last = high + 1e-9 * max(abs(high), 1.0)
        top = low + (high - low) * tall / (tall - room)
        self.plot.set_ranges(panel.x_range if across is None else across, (low, top))
        self.plot.refresh()


class CurveGrid(pg.GraphicsLayoutWidget):  # type: ignore[misc]
    """Panels in rows and columns. Setters never emit.

    Parameters
    ----------
    rows, columns : int
        How many panels, filled row by row.
    title : str
        What it shows; said with nothing drawn too.
    parent : QWidget, optional
        Parent.
    palette : Palette
        Colours.
    """

    def __init__(
        self,
        rows: int,
        columns: int,
        title: str,
        parent: QWidget | None = None,
        palette: Palette = LIGHT,
    ) -> None:
        super().__init__(parent)
        self._title, self._shape = title, (rows, columns)
        self.setAccessibleName(f"{title}: nothing is drawn")
        # its ground covers everything: nothing under it need be drawn first
        self.viewport().setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self._palette = palette
        self._series: PanelSeries | None = None
        self._across: tuple[float, float] | None = None
        self._at = math.nan
        self._is_covered = False
        self.ci.layout.setContentsMargins(4, 6, 12, 2)
        self.ci.layout.setVerticalSpacing(GAP)
        self.ci.layout.setHorizontalSpacing(6 if columns > 1 else 0)
        self.views: list[PanelView] = []
        for k in range(rows * columns):
            row, column = divmod(k, columns)
            foot = row == rows - 1
            left = QuietAxis("left", STRIP_PIXELS_A_TICK, MOST_STRIP_TICKS)
            bottom = QuietAxis("bottom")
            under = rows if foot else None
            plot = BarePlot(self.ci, row, 2 * column, bottom, left, under, mouse=False)
            self.views.append(PanelView(plot, has_foot=foot))
        self._make_parts()
        for view in self.views:
            view.plot.box.sigResized.connect(self.fit)

    @property
    def series(self) -> PanelSeries | None:
        """What is shown."""
        return self._series

    @property
    def words(self) -> tuple[str, ...]:
        """Texts placed in the plots."""
        found: list[str] = []
        for view in self.views:
            view.plot.fixed.lay_out()
            found += [one.text for one in (*view.head.texts, *view.curves.texts)]
        return tuple(found)

    def set_series(self, series: PanelSeries | None) -> None:
        """Show other panels, or nothing."""
        self._series = series
        nothing = f"{self._title}: nothing is drawn"
        self.setAccessibleName(nothing if series is None else self._title)
        self.setAccessibleDescription("" if series is None else series.spoken)
        self._show()

    def set_palette(self, palette: Palette) -> None:
        """Change all colours."""
        self._palette = palette
        self._make_parts()

    def set_across(self, across: tuple[float, float] | None) -> None:
        """Show a part of the axis across, or all of it."""
        if across != self._across:
            self._across = across
            self.fit()

    def set_cursor(self, at: float) -> None:
        """Put the cursor at a place across; nan takes it away. Nothing is laid out again."""
        self._at = at
        for view in self.views:
            view.cursor.at = at
            view.plot.moving.update()

    def set_covered(self, covered: bool) -> None:
        """Leave the values at the cursor out, or show them."""
        self._is_covered = covered
        for view in self.views:
            view.cursor.is_covered = covered
            view.plot.moving.update()

    def minimumSizeHint(self) -> QSize:
        """Return the least size that can be read."""
        return QSize(240 * self._shape[1], 80 * self._shape[0] + 40)

    def close(self) -> bool:
        """Close as any widget; pyqtgraph would tear the scene down under our layers."""
        return QWidget.close(self)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Share the height anew."""
        super().resizeEvent(event)
        if hasattr(self, "views"):
            self._share_height()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Leave the keys to what lies around."""
        event.ignore()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Leave the wheel to what lies around."""
        event.ignore()

    def fit(self, *_: Any) -> None:
        """Ranges of every panel."""
        for view in self.views:
            view.set_ranges(self._across)

    def place_at(self, position: QPointF) -> float:
        """Place across at a widget position, in display units; nan outside the plots."""
        scene = self.mapToScene(position.toPoint())
        for view in self.views:
            frame, pixel = view.plot.fixed.frame, view.plot.box.mapFromScene(scene)
            if frame is not None and frame.rect.contains(pixel):
                return float(frame.value(pixel.x(), 0.0)[0])
        return math.nan

    def _make_parts(self) -> None:
        self.setBackground(self._palette.background)
        for view in self.views:
            view.make_parts(self._palette)
            view.cursor.at, view.cursor.is_covered = self._at, self._is_covered
        self._show()

    def _show(self) -> None:
        panels = () if self._series is None else self._series.panels
        for k, view in enumerate(self.views):
            view.show(panels[k] if k < len(panels) else None)
        self._share_height()
        self.fit()

    def _share_height(self) -> None:
        """Give every row the same height."""
        rows = self._shape[0]
        spare = self.viewport().height() - 8 - foot_of(self._palette) - rows * GAP
        for row in range(rows):
            self.ci.layout.setRowFixedHeight(row, max(spare / rows, 30.0))


def with_ghost(own: PanelSeries, other: PanelSeries, name: str) -> PanelSeries:
    """Panels with another run's main curves under them, named in the first one's key."""
    panels = []
    for k, (panel, ghost) in enumerate(zip(own.panels, other.panels, strict=True)):
        under = [
            replace(curve, look="ghost", name="")
            if curve.look == "main"
            else replace(curve, look="ghost second", name=f"its {curve.name}")
            for curve in ghost.curves
        ]
        if under and k == 0:
            under[0] = replace(under[0], name=name)
        low = min(panel.y_range[0], ghost.y_range[0])
        high = max(panel.y_range[1], ghost.y_range[1])
        panels.append(replace(panel, curves=(*under, *panel.curves), y_range=(low, high)))
    return replace(own, panels=tuple(panels))
