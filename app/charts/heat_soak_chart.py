"""Heat soak: temperatures and power at the limiter, pull by pull."""

from __future__ import annotations

from typing import Any

import pyqtgraph as pg
from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QWidget

from app.chart_tools.axis import MOST_STRIP_TICKS, STRIP_PIXELS_A_TICK, Grid, QuietAxis
from app.chart_tools.canvas import Part
from app.chart_tools.palette import LIGHT, Palette
from app.chart_tools.plot import BarePlot, foot_of
from app.chart_tools.pulley_plot import HEAD, PlotHead
from app.chart_tools.soak_parts import (
    Pauses,
    Powers,
    PullAxis,
    Temperatures,
    coolant_stroke,
    manifold_stroke,
)
from app.present.series_soak import SoakSeries

TITLE = "Heat soak, pull by pull"

NOTHING_SHOWN = f"{TITLE}: nothing is drawn"

GAP = 4

HATCHED = 10.0
"""Room for the hatching over the bound [px]."""

UPPER_SHARE = 0.62
"""Share of the height that the temperatures have [-]."""


class HeatSoakChart(pg.GraphicsLayoutWidget):  # type: ignore[misc]
    """Manifold and coolant, or core, temperature over the wheel power. Setters never emit.

    Parameters
    ----------
    parent : QWidget, optional
        Parent.
    palette : Palette
        Colours.
    """

    def __init__(self, parent: QWidget | None = None, palette: Palette = LIGHT) -> None:
        super().__init__(parent)
        self.setObjectName("heat_soak_chart")
        self.setAccessibleName(NOTHING_SHOWN)
        # its ground covers everything: nothing under it need be drawn first
        self.viewport().setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self._palette = palette
        self._series: SoakSeries | None = None
        self.ci.layout.setContentsMargins(4, 6, 12, 2)
        self.ci.layout.setVerticalSpacing(GAP)
        self.ci.layout.setHorizontalSpacing(0)
        self._plots = [self._plot(row, 2 if row == 1 else None) for row in range(2)]
        self._make_parts()
        self._show()
        for plot in self._plots:
            plot.box.sigResized.connect(self.fit)

    def _plot(self, row: int, foot: int | None) -> BarePlot:
        left = QuietAxis("left", STRIP_PIXELS_A_TICK, MOST_STRIP_TICKS)
        return BarePlot(self.ci, row, 0, PullAxis("bottom"), left, foot, mouse=False)

    @property
    def series(self) -> SoakSeries | None:
        """What is shown."""
        return self._series

    @property
    def words(self) -> tuple[str, ...]:
        """Texts placed in the plots."""
        for plot in self._plots:
            plot.fixed.lay_out()
        heads = [text for head in self._heads for text in head.texts]
        return tuple(one.text for one in (*heads, *self._upper.texts, *self._lower.texts))

    def set_series(self, series: SoakSeries | None) -> None:
        """Show a study, or nothing."""
        self._series = series
        self.setAccessibleName(NOTHING_SHOWN if series is None else series.spoken)
        self._show()

    def set_palette(self, palette: Palette) -> None:
        """Change all colours."""
        self._palette = palette
        self._make_parts()
        self._show()

    def minimumSizeHint(self) -> QSize:
        """Return the least size that can be read."""
        return QSize(260, 220)

    def close(self) -> bool:
        """Close as any widget; pyqtgraph would tear the scene down under our layers."""
        return QWidget.close(self)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Share the height anew."""
        super().resizeEvent(event)
        if hasattr(self, "_plots"):
            self._share_height()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Leave the wheel to what lies around."""
        event.ignore()

    def fit(self, *_: Any) -> None:
        """Show all pulls, with room for the header over each plot."""
        series = self._series
        if series is None:
            return
        across = (0.5, series.pulls + 0.5)
        ranges = (series.temperature_range, series.power_range)
        over = (HATCHED, 0.0)  # the bound may be the highest of all
        for plot, head, (low, high), hatch in zip(
            self._plots, self._heads, ranges, over, strict=True
        ):
            size = plot.box.rect()
            room = head.rows(size.width()) * self._palette.sized(HEAD) + 2.0 + hatch
            tall = max(size.height(), room + 24.0)
            plot.left.last = high + 1e-9 * abs(high)
            plot.set_ranges(across, (low, low + (high - low) * tall / (tall - room)))
            plot.refresh()

    def _make_parts(self) -> None:
        palette = self._palette
        self.setBackground(palette.background)
        self._heads = [PlotHead(palette), PlotHead(palette)]
        self._upper, self._lower = Temperatures(palette), Powers(palette)
        self._pauses = [Pauses(palette), Pauses(palette)]
        for plot in self._plots:
            plot.set_look(palette)
            plot.left.set_words("", palette)

    def _show(self) -> None:
        series, palette = self._series, self._palette
        upper, lower = self._heads
        self._upper.series = self._lower.series = series
        for pauses in self._pauses:
            pauses.series = series
        if series is None:
            upper.title, upper.key, lower.title = "", (), ""
        else:
            upper.title = f"Temperature [{series.temperature_unit}]"
            lower.title = f"Wheel power at the limiter [{series.power_unit}]"
            upper.key = (
                (manifold_stroke(palette), "manifold"),
                (coolant_stroke(palette), series.coolant_words),
            )
        parts: tuple[Part, Part] = (self._upper, self._lower)
        for plot, head, pauses, part in zip(
            self._plots, self._heads, self._pauses, parts, strict=True
        ):
            grid = Grid(plot.bottom, plot.left, palette)
            shown: list[Part] = [] if series is None else [grid, pauses, part, head]
            plot.fixed.set_parts(shown)
        self._plots[1].bottom.set_words("" if series is None else "Pull", palette)
        for plot in self._plots:
            plot.left.setStyle(showValues=series is not None)
            plot.bottom.setStyle(showValues=series is not None)
        self._share_height()
        self.fit()

    def _share_height(self) -> None:
        """Give the temperatures more of it than the power."""
        spare = self.viewport().height() - 10 - foot_of(self._palette) - 2 * GAP
        upper = max(UPPER_SHARE * spare, 30.0)
        self.ci.layout.setRowFixedHeight(0, upper)
        self.ci.layout.setRowFixedHeight(1, max(spare - upper, 30.0))
