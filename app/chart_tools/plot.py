"""A bare plot in a grid of plots: a view box with a bottom and a left axis, no menus.

pyqtgraph's own plot item makes a dozen hidden windows (menus) that nobody here opens.
"""

from __future__ import annotations

from typing import Any

import pyqtgraph as pg
from PySide6.QtGui import QColor

from app.chart_tools.axis import QuietAxis
from app.chart_tools.canvas import Layer
from app.chart_tools.palette import Palette

FIXED, MOVING = 0.0, 10.0
"""Order of the two layers."""

FOOT_PIXELS, SIDE_PIXELS = 37, 58
"""Height of a bottom axis and width of a left one, the same in all charts, at the usual text."""


def foot_of(palette: Palette) -> int:
    """Height of a bottom axis [px]."""
    return round(palette.sized(FOOT_PIXELS))


def side_of(palette: Palette) -> int:
    """Width of a left axis [px]."""
    return round(palette.sized(SIDE_PIXELS))


class BarePlot:
    """View box, axes and two layers of one plot.

    Parameters
    ----------
    layout : pyqtgraph.GraphicsLayout
        The grid.
    row, column : int
        Its cells: left axis, and the plot in the next column.
    bottom, left : QuietAxis
        Its axes.
    bottom_row : int or None
        Row of the bottom axis; none where another plot below shows it.
    mouse : bool
        Whether dragging pans and the wheel zooms.
    """

    def __init__(
        self,
        layout: Any,
        row: int,
        column: int,
        bottom: QuietAxis,
        left: QuietAxis,
        bottom_row: int | None,
        *,
        mouse: bool,
    ) -> None:
        self.bottom, self.left = bottom, left
        self.box = pg.ViewBox(enableMenu=False, enableMouse=mouse, defaultPadding=0.0)
        self.box.disableAutoRange()
        # the axis first would squeeze the whole grid to its own fixed width
        layout.addItem(self.box, row, column + 1)
        layout.addItem(left, row, column)
        layout.layout.setColumnStretchFactor(column + 1, 100)
        left.linkToView(self.box)
        if bottom_row is not None:
            layout.addItem(bottom, bottom_row, column + 1)
            bottom.linkToView(self.box)
        self.fixed = Layer(self.box, FIXED, kept=True)
        self.moving = Layer(self.box, MOVING)

    def set_ranges(self, x: tuple[float, float], y: tuple[float, float]) -> None:
        """Set both ranges at once, without padding."""
        self.box.setRange(xRange=x, yRange=y, padding=0.0, disableAutoRange=True)

    def set_look(self, palette: Palette) -> None:
        """Colour the plot's ground, and give the axes the room that their texts need."""
        self.fixed.ground = QColor(palette.canvas)
        self.left.setWidth(side_of(palette))
        self.bottom.setHeight(foot_of(palette))

    def refresh(self, *_: object) -> None:
        """Lay both layers out again."""
        self.fixed.refresh()
        self.moving.refresh()
