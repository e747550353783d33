"""Choke: speed added until flow stands still, and where the work of one speed line goes."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from app.chart_tools.curve_grid import CurveGrid
from app.chart_tools.palette import LIGHT, Palette
from app.present.series_choke import TITLE


class ChokeChart(CurveGrid):
    """Six panels: left against impeller speed, right along one speed line."""

    def __init__(self, parent: QWidget | None = None, palette: Palette = LIGHT) -> None:
        super().__init__(3, 2, TITLE, parent, palette)
        self.setObjectName("choke_chart")

    def copied(self) -> ChokeChart:
        """Return a new chart of all that is shown here."""
        made = ChokeChart(palette=self._palette)
        made.set_series(self._series)
        return made
