"""Surge on the compressor map: the operating point moving, its trail, the load line."""

from __future__ import annotations

import pyqtgraph as pg
from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QKeyEvent, QWheelEvent
from PySide6.QtWidgets import QWidget

from app.chart_tools.axis import Grid, QuietAxis
from app.chart_tools.canvas import Layer, Part
from app.chart_tools.map_labels import MapLines
from app.chart_tools.palette import LIGHT, Palette
from app.chart_tools.parts import Bands, Hatch, map_curves
from app.chart_tools.placing import Box
from app.chart_tools.plot import BarePlot
from app.chart_tools.surge_parts import MovingPoint, ReversedBand, SceneCurves
from app.present.series import MapSeries
from app.present.series_surge import LoadLines, SurgeSeries

TITLE = "Surge on the compressor map"

NOTHING_SHOWN = f"{TITLE}: nothing is drawn"

LEFT_ROOM = 0.10
"""Room left of no flow over the largest flow shown, at least [-]."""

OVER = 5.0
"""Order of the scene's layer, between the map and what moves."""

EMPTY_RANGES = (0.0, 1.0), (1.0, 3.0)


class SurgeMapChart(pg.GraphicsLayoutWidget):  # type: ignore[misc]
    """A compressor map with a scene of surge on it. Setters never emit.

    Parameters
    ----------
    parent : QWidget, optional
        Parent.
    palette : Palette
        Colours.
    """

    def __init__(self, parent: QWidget | None = None, palette: Palette = LIGHT) -> None:
        super().__init__(parent)
        self.setObjectName("surge_map_chart")
        self.setAccessibleName(NOTHING_SHOWN)
        # its ground covers everything: nothing under it need be drawn first
        self.viewport().setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self._palette = palette
        self._map: MapSeries | None = None
        self._scene: SurgeSeries | None = None
        self._ghost: SurgeSeries | None = None
        self._loads: LoadLines | None = None
        self._time = 0.0
        self._is_covered = False
        self.ci.layout.setContentsMargins(4, 8, 12, 4)
        self.ci.layout.setSpacing(0)
        self._bottom, self._left = QuietAxis("bottom"), QuietAxis("left")
        self._plot = BarePlot(self.ci, 0, 0, self._bottom, self._left, 1, mouse=True)
        # over the map, which stays as it is when a scene is run again
        self._over = Layer(self._plot.box, OVER, kept=True)
        self._plot.box.sigRangeChanged.connect(self._refresh)
        self._plot.box.sigResized.connect(self._refresh)
        self._make_parts()
        self.fit()

    @property
    def series(self) -> SurgeSeries | None:
        """The scene shown."""
        return self._scene

    @property
    def map_series(self) -> MapSeries | None:
        """The map shown."""
        return self._map

    @property
    def words(self) -> tuple[str, ...]:
        """Texts of the scene placed on the map."""
        self._over.lay_out()
        return tuple(one.text for one in self._curves.texts)

    @property
    def shown_index(self) -> int:
        """Place of the operating point in the run."""
        return self._moving.index

    def set_map(self, series: MapSeries | None) -> None:
        """Show another map."""
        self._map = series
        self._make_parts()
        self.fit()

    def set_scene(self, series: SurgeSeries | None, loads: LoadLines | None = None) -> None:
        """Show a scene, with its load lines where they are known."""
        self._scene, self._loads = series, loads
        self.setAccessibleName(NOTHING_SHOWN if series is None else TITLE)
        self.setAccessibleDescription("" if series is None else series.panels.spoken)
        self._curves.series = self._moving.series = series
        self._moving.loads = loads
        self._place()
        self.fit()
        self._over.refresh()
        self._plot.moving.refresh()

    def set_loads(self, loads: LoadLines | None) -> None:
        """Show the load line, worked out after the rest."""
        self._loads = self._moving.loads = loads
        self._plot.moving.update()

    def set_ghost(self, series: SurgeSeries | None) -> None:
        """Show another run under the present one."""
        self._ghost = self._curves.ghost = series
        self.fit()
        self._over.refresh()

    def set_time(self, time: float) -> None:
        """Put the point at a time [s]. Nothing is laid out again."""
        self._time = time
        self._place()
        self._plot.moving.update()

    def set_covered(self, covered: bool) -> None:
        """Leave out the gap in numbers, or show it."""
        self._is_covered = self._curves.is_covered = covered
        self._over.refresh()

    def set_palette(self, palette: Palette) -> None:
        """Change all colours."""
        self._palette = palette
        self._make_parts()

    def copied(self) -> SurgeMapChart:
        """Return a new chart of all that is shown here."""
        made = SurgeMapChart(palette=self._palette)
        made.set_map(self._map)
        made.set_ghost(self._ghost)
        made.set_scene(self._scene, self._loads)
        made.set_covered(self._is_covered)
        made.set_time(self._time)
        return made

    def minimumSizeHint(self) -> QSize:
        """Return the least size that can be read."""
        return QSize(280, 220)

    def close(self) -> bool:
        """Close as any widget; pyqtgraph would tear the scene down under our layers."""
        return QWidget.close(self)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Leave the keys to what lies around."""
        event.ignore()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom on a map; else leave the wheel to what lies around."""
        if self._map is None:
            event.ignore()
        else:
            super().wheelEvent(event)

    def fit(self) -> None:
        """Show the whole map with everything that the scene reaches."""
        flow, ratio = EMPTY_RANGES
        if self._map is not None:
            flow, ratio = self._map.flow_range, self._map.ratio_range
        for one in (self._scene, self._ghost):
            if one is not None:
                least = min(1.15 * one.flow_range[0], -LEFT_ROOM * flow[1])
                flow = (min(flow[0], least), max(flow[1], 1.03 * one.flow_range[1]))
                high = one.ratio_range[1] + 0.05
                ratio = (min(ratio[0], one.ratio_range[0]), max(ratio[1], high))
        if [list(flow), list(ratio)] != self._plot.box.viewRange():
            self._plot.set_ranges(flow, ratio)
            self._refresh()

    def _refresh(self, *_: object) -> None:
        """Lay everything out again."""
        self._plot.refresh()
        self._over.refresh()

    def _place(self) -> None:
        scene = self._scene
        self._moving.index = 0 if scene is None else scene.index_at(self._time)

    def _boxes_of(self, lines: MapLines) -> list[Box]:
        """Boxes of the map's words."""
        self._plot.fixed.lay_out()
        return [text.box for text in lines.texts if not text.turn]

    def _make_parts(self) -> None:
        palette, series = self._palette, self._map
        self.setBackground(palette.background)
        self._plot.set_look(palette)
        self._bottom.set_words("" if series is None else series.axes.flow_label, palette)
        self._left.set_words("" if series is None else series.axes.ratio_label, palette)
        for axis in (self._bottom, self._left):
            axis.setStyle(showValues=series is not None)
        self._curves, self._moving = SceneCurves(palette), MovingPoint(palette)
        self._curves.series = self._moving.series = self._scene
        self._curves.ghost, self._moving.loads = self._ghost, self._loads
        self._curves.is_covered = self._is_covered
        self._place()
        parts: list[Part] = []
        if series is not None:
            lines = MapLines(series, palette)
            self._curves.taken = self._moving.taken = lambda: self._boxes_of(lines)
            self._moving.taken_over = lambda: [text.box for text in self._curves.texts]
            parts = [Bands(series, palette), Grid(self._bottom, self._left, palette, alpha=170)]
            parts += [map_curves(series, palette), ReversedBand(palette), lines]
            for curve, side in ((series.surge, -1.0), (series.choke, 1.0)):
                parts.append(Hatch(*curve, side, palette.limit, lines.level_boxes))
        self._plot.fixed.set_parts(parts)
        self._over.set_parts([self._curves])
        self._plot.moving.set_parts([self._moving])
