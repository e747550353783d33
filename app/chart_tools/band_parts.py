"""Bands of the error bars: filled between their edges, grey while they are of a former build."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import Qt
from PySide6.QtGui import QPainter, QPainterPath, QPen

from app.chart_tools.canvas import Frame, pen
from app.chart_tools.palette import Palette
from app.chart_tools.parts import backing_of

Floats = NDArray[np.float64]

FILL_ALPHA, EDGE_ALPHA, OLD_ALPHA = 52, 130, 70
"""Opacity of a fill, of its edge, and of either while it is old, out of 255."""

EDGE_WIDTH = 1.0


@dataclass(frozen=True, slots=True, eq=False)
class ShownBand:
    """A band ready to draw.

    Parameters
    ----------
    rings : tuple of ndarray, shape (n, 2)
        Closed polygons in display units.
    words : str
        What it is.
    is_old : bool
        Whether it is of a former build.
    style : str
        Style of the curve it belongs to: ``main`` or ``second``.
    value_range : (float, float), optional
        Range that shows it, where it can ask for room.
    """

    rings: tuple[Floats, ...]
    words: str
    is_old: bool = False
    style: str = "main"
    value_range: tuple[float, float] | None = None


def band_colour(palette: Palette, style: str, *, is_old: bool) -> str:
    """Colour of the band of a curve of a style."""
    if is_old:
        return palette.stock
    return palette.second if style == "second" else palette.line


def band_swatch(palette: Palette, style: str, *, is_old: bool) -> QPen:
    """Pen of the swatch of a band in a key."""
    return pen(band_colour(palette, style, is_old=is_old), 9.0, alpha=OLD_ALPHA)


class ErrorBands:
    """Bands under the curves; filled by the winding rule, for an edge can cross itself."""

    def __init__(self, palette: Palette) -> None:
        self._palette = palette
        self.bands: Sequence[ShownBand] = ()
        self._drawn: list[tuple[QPainterPath, ShownBand]] = []

    def lay_out(self, frame: Frame) -> None:
        """Paths in pixels."""
        self._drawn = []
        for band in self.bands:
            path = QPainterPath()
            path.setFillRule(Qt.FillRule.WindingFill)
            for ring in band.rings:
                path.addPolygon(frame.polygon(ring[:, 0], ring[:, 1]))
                path.closeSubpath()
            # where an edge crosses itself only the outer one is drawn
            self._drawn.append((path.simplified(), band))

    def draw(self, painter: QPainter) -> None:
        """Fill, then the edges."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for path, band in self._drawn:
            colour = band_colour(self._palette, band.style, is_old=band.is_old)
            painter.fillPath(path, backing_of(colour, OLD_ALPHA if band.is_old else FILL_ALPHA))
            alpha = OLD_ALPHA if band.is_old else EDGE_ALPHA
            painter.strokePath(path, pen(colour, EDGE_WIDTH, alpha=alpha))
