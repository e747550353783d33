"""Power and boost against the blower pulley, a curve a day."""

from __future__ import annotations

import math

import pyqtgraph as pg
from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QWidget

from app.chart_tools.axis import MOST_STRIP_TICKS, STRIP_PIXELS_A_TICK, QuietAxis
from app.chart_tools.palette import LIGHT, Palette
from app.chart_tools.plot import BarePlot, foot_of, side_of
from app.chart_tools.pulley_plot import HEAD, PulleyPlotView, key_of
from app.chart_tools.strokes import Stroke
from app.present.series_pulley_curves import PulleyCurvesSeries

TITLE = "Power and boost against the blower pulley"

GAP = 4

LEAST_PLOT = 60.0
"""Least height of the curves of one plot, at the usual text [px]."""


class PulleyCurvesChart(pg.GraphicsLayoutWidget):  # type: ignore[misc]
    """Plots one over the other, sharing the axis of the pulley and its present line.

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
        self.setObjectName("pulley_curves_chart")
        self.setAccessibleName(TITLE)
        # its ground covers everything: nothing under it need be drawn first
        self.viewport().setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self._palette = palette
        self._series: PulleyCurvesSeries | None = None
        self._views: list[PulleyPlotView] = []
        self._diameter = math.nan
        self._covered = False
        self.ci.layout.setContentsMargins(4, 6, 12, 2)
        self.ci.layout.setVerticalSpacing(GAP)
        self.ci.layout.setHorizontalSpacing(0)
        self.setBackground(palette.background)

    def set_series(self, series: PulleyCurvesSeries | None) -> None:
        """Show other curves."""
        count = 0 if series is None else len(series.plots)
        self._series = series
        if count != len(self._views):
            self._build(count)
        self._show()

    def set_present(self, diameter: float | None) -> None:
        """Put the line at a pulley in the unit shown, or take it away."""
        self._diameter = math.nan if diameter is None else float(diameter)
        for view in self._views:
            view.set_present(self._diameter)

    def set_covered(self, covered: bool) -> None:
        """Leave out the curves and the numbers of the upright axes."""
        self._covered = covered
        for view in self._views:
            view.plot.left.setStyle(showValues=not covered)
        self._show()

    def set_palette(self, palette: Palette) -> None:
        """Change all colours."""
        self._palette = palette
        self.setBackground(palette.background)
        for view in self._views:
            view.make_parts(palette)
        self._share_height()
        self._show()

    @property
    def series(self) -> PulleyCurvesSeries | None:
        """The curves shown."""
        return self._series

    @property
    def views(self) -> tuple[PulleyPlotView, ...]:
        """The plots, from the top."""
        return tuple(self._views)

    @property
    def key(self) -> tuple[tuple[Stroke, str], ...]:
        """Strokes of the curves with what they are."""
        return () if self._series is None else key_of(self._series, self._palette)

    def copied(self) -> PulleyCurvesChart:
        """Return a new chart of all that is shown here."""
        made = PulleyCurvesChart(palette=self._palette)
        made.set_covered(self._covered)
        made.set_series(self._series)
        made.set_present(None if math.isnan(self._diameter) else self._diameter)
        return made

    def wanted_height(self) -> int:
        """Height in which every curve can be read [px]."""
        if not self._views:
            return 200
        rows = self._views[0].head.rows(self._key_width()) + len(self._views)
        plots = len(self._views) * self._palette.sized(LEAST_PLOT)
        return round(plots + rows * self._palette.sized(HEAD)) + foot_of(self._palette) + 10

    def _key_width(self) -> float:
        """Width of the plots [px]."""
        return max(float(self.viewport().width()) - 16.0 - side_of(self._palette), 60.0)

    def fit(self) -> None:
        """Set the ranges to what is shown."""
        for view in self._views:
            view.set_ranges()

    def minimumSizeHint(self) -> QSize:
        """Return the least size that can be read."""
        return QSize(240, 200)

    def close(self) -> bool:
        """Close as any widget; pyqtgraph would tear the scene down under our layers."""
        return QWidget.close(self)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Share the height anew."""
        super().resizeEvent(event)
        if getattr(self, "_views", None):
            self._share_height()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Leave the wheel to what lies around."""
        event.ignore()

    def _build(self, count: int) -> None:
        self.ci.clear()
        self._views = []
        for row in range(count):
            bottom = QuietAxis("bottom", 64.0)
            left = QuietAxis("left", STRIP_PIXELS_A_TICK, MOST_STRIP_TICKS)
            left.setStyle(showValues=not self._covered)
            foot = count if row == count - 1 else None
            view = PulleyPlotView(BarePlot(self.ci, row, 0, bottom, left, foot, mouse=False))
            view.make_parts(self._palette)
            view.plot.box.sigResized.connect(self.fit)
            self._views.append(view)
        self._share_height()

    def _share_height(self) -> None:
        """Give all plots the same room for their curves; the first has the key besides."""
        spare = self.viewport().height() - 10 - foot_of(self._palette) - GAP * len(self._views)
        keys = 0.0
        if self._views and self._series is not None:
            keys = (self._views[0].head.rows(self._key_width()) - 1) * self._palette.sized(HEAD)
        each = max((spare - keys) / max(len(self._views), 1), 30.0)
        for row in range(len(self._views)):
            self.ci.layout.setRowFixedHeight(row, each + (keys if row == 0 else 0.0))

    def _show(self) -> None:
        series = self._series
        if series is None:
            return
        for row, (view, plot) in enumerate(zip(self._views, series.plots, strict=True)):
            view.is_covered = self._covered
            view.show(series, plot, self.key if row == 0 else (), self._diameter)
            last = row == len(self._views) - 1
            view.plot.bottom.set_words(series.axis_label if last else "", self._palette)
        self._share_height()
        self.fit()
