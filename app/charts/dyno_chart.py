"""Promised, expected and measured power against engine speed, and measured over expected."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QSize
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QWidget

from app.chart_tools.curve_grid import GAP, CurveGrid
from app.chart_tools.palette import LIGHT, Palette
from app.chart_tools.plot import foot_of
from app.present.series_dyno import TITLE

POWER_SHARE = 0.72
"""Share of the height that the panel of power takes."""


class DynoChart(CurveGrid):
    """Power over a lower strip of residuals, with a cursor under the pointer."""

    def __init__(self, parent: QWidget | None = None, palette: Palette = LIGHT) -> None:
        super().__init__(2, 1, TITLE, parent, palette)
        self.setObjectName("dyno_chart")
        self.viewport().setMouseTracking(True)

    def copied(self) -> DynoChart:
        """Return a new chart of all that is shown here."""
        made = DynoChart(palette=self._palette)
        made.set_series(self._series)
        return made

    def minimumSizeHint(self) -> QSize:
        """Return the least size that can be read."""
        return QSize(320, 240)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Move the cursor with the pointer."""
        super().mouseMoveEvent(event)
        self.set_cursor(self.place_at(event.position()))

    def leaveEvent(self, event: QEvent) -> None:
        """Take the cursor away."""
        super().leaveEvent(event)
        self.set_cursor(float("nan"))

    def _share_height(self) -> None:
        spare = self.viewport().height() - 8 - foot_of(self._palette) - 2 * GAP
        for row, share in enumerate((POWER_SHARE, 1.0 - POWER_SHARE)):
            self.ci.layout.setRowFixedHeight(row, max(share * spare, 30.0))
