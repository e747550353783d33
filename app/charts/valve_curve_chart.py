"""Smallest bypass valve that keeps a lift out of surge, against engine speed."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from app.chart_tools.curve_grid import CurveGrid
from app.chart_tools.palette import LIGHT, Palette
from app.present.series_valve import TITLE


class ValveCurveChart(CurveGrid):
    """One panel: bore over engine speed."""

    def __init__(self, parent: QWidget | None = None, palette: Palette = LIGHT) -> None:
        super().__init__(1, 1, TITLE, parent, palette)
        self.setObjectName("valve_curve_chart")

    def copied(self) -> ValveCurveChart:
        """Return a new chart of all that is shown here."""
        made = ValveCurveChart(palette=self._palette)
        made.set_series(self._series)
        return made
