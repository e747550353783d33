"""The belt round its pulleys, to scale."""

from __future__ import annotations

import math
from typing import Any

import pyqtgraph as pg
from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import QWidget

from app.chart_tools.axis import Grid, QuietAxis
from app.chart_tools.belt_parts import BeltPart
from app.chart_tools.canvas import Part
from app.chart_tools.palette import LIGHT, Palette
from app.chart_tools.placing import Box
from app.chart_tools.plot import BarePlot
from app.present.series_belt import BeltSeries

ROOM = 14.0
"""Pixels kept free about the drawing, at the usual text."""

EMPTY_EXTENT = (0.0, 1.0, 0.0, 1.0)


class BeltChart(pg.GraphicsLayoutWidget):  # type: ignore[misc]
    """A belt's layout; equal lengths are equal on both axes. Setters never emit.

    Parameters
    ----------
    parent : QWidget, optional
        Parent.
    palette : Palette
        Colours.
    """

    def __init__(self, parent: QWidget | None = None, palette: Palette = LIGHT) -> None:
        super().__init__(parent)
        self.setObjectName("belt_chart")
        self.setAccessibleName("Belt layout: nothing is drawn")
        # its ground covers everything: nothing under it need be drawn first
        self.viewport().setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self._palette = palette
        self._series: BeltSeries | None = None
        self._part: BeltPart | None = None
        self.ci.layout.setContentsMargins(4, 8, 12, 4)
        self.ci.layout.setSpacing(0)
        self._bottom, self._left = QuietAxis("bottom"), QuietAxis("left")
        self._plot = BarePlot(self.ci, 0, 0, self._bottom, self._left, 1, mouse=False)
        self._make_parts()
        self.fit()
        self._plot.box.sigResized.connect(self.fit)

    @property
    def series(self) -> BeltSeries | None:
        """The layout shown."""
        return self._series

    @property
    def placed_texts(self) -> tuple[tuple[str, Box], ...]:
        """Texts as placed, with their boxes in pixels."""
        self._plot.fixed.lay_out()
        return () if self._part is None else tuple((one.text, one.box) for one in self._part.texts)

    def set_belt(self, series: BeltSeries | None) -> None:
        """Show a layout, all of it."""
        self._series = series
        self.setAccessibleName(_spoken(series))
        self._make_parts()
        self.fit()

    def set_palette(self, palette: Palette) -> None:
        """Change all colours."""
        self._palette = palette
        self._make_parts()
        self.fit()

    def minimumSizeHint(self) -> QSize:
        """Return the least size that can be read."""
        return QSize(260, 220)

    def close(self) -> bool:
        """Close as any widget; pyqtgraph would tear the scene down under our layers."""
        return QWidget.close(self)

    def fit(self, *_: Any) -> None:
        """Show the whole layout at one scale."""
        extent = EMPTY_EXTENT if self._series is None else self._series.extent
        left, right, bottom, top = extent if math.isfinite(extent[0]) else EMPTY_EXTENT
        place = self._plot.box.rect()
        room = above = self._palette.sized(ROOM)
        if self._part is not None:
            above += self._part.title_height(place.width())
        wide = max(place.width() - 2.0 * room, 10.0)
        tall = max(place.height() - room - above, 10.0)
        unit = max((right - left) / wide, (top - bottom) / tall, 1e-9)
        middle = 0.5 * (left + right)
        half = 0.5 * max(place.width(), 10.0) * unit
        lowest = 0.5 * (bottom + top) - (0.5 * tall + room) * unit
        upright = max(place.height(), 10.0) * unit
        self._plot.set_ranges((middle - half, middle + half), (lowest, lowest + upright))
        self._plot.refresh()

    def _make_parts(self) -> None:
        palette, series = self._palette, self._series
        self.setBackground(palette.background)
        self._plot.set_look(palette)
        across, up = ("x", "y") if series is None else series.axis_words
        self._bottom.set_words(across, palette)
        self._left.set_words(up, palette)
        parts: list[Part] = [Grid(self._bottom, self._left, palette, alpha=170)]
        self._part = None
        if series is not None:
            self._part = BeltPart(series, palette)
            parts.append(self._part)
        self._plot.fixed.set_parts(parts)


def _spoken(series: BeltSeries | None) -> str:
    """What the drawing says to who cannot see it."""
    if series is None or not series.circles:
        return "Belt layout: nothing is drawn"
    if series.fault:
        return f"Belt layout: no belt is drawn; {series.fault}"
    wraps = [f"{one.name} {one.wrap:.0f} deg" for one in series.circles]
    return f"Belt layout, {series.words}; wraps: {', '.join(wraps)}"
