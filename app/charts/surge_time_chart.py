"""Surge against time: pressure, flow, throttle and valve, with a cursor that scrubs."""

from __future__ import annotations

import math

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QWidget

from app.chart_tools.curve_grid import CurveGrid, with_ghost
from app.chart_tools.palette import LIGHT, Palette
from app.present.series_panels import PanelSeries

TITLE = "Surge against time"

BEFORE = 0.05
"""Share of a window that stays in sight before the cursor when it turns the page [-]."""


class SurgeTimeChart(CurveGrid):
    """Pressure, flow, throttle and valve over time.

    Signals
    -------
    scrubbed(time)
        The user put the cursor at a time. [s]
    """

    scrubbed = Signal(float)

    def __init__(self, parent: QWidget | None = None, palette: Palette = LIGHT) -> None:
        self._own: PanelSeries | None = None
        self._ghost: tuple[PanelSeries, str] | None = None
        self._window = math.inf
        self._time = 0.0
        super().__init__(3, 1, TITLE, parent, palette)
        self.setObjectName("surge_time_chart")

    def set_run(self, series: PanelSeries | None) -> None:
        """Show a run, over the one kept."""
        self._own = series
        self._show_both()

    def set_ghost(self, series: PanelSeries | None, name: str = "") -> None:
        """Show another run under the present one."""
        self._ghost = None if series is None else (series, name)
        self._show_both()

    def set_window(self, seconds: float) -> None:
        """Time shown at once [s]; infinite for the whole run."""
        self._window = seconds
        self._turn_page(forced=True)

    def set_time(self, time: float) -> None:
        """Put the cursor at a time [s]; the page turns where it leaves it."""
        self._time = time
        self._turn_page()
        self.set_cursor(time)

    def copied(self) -> SurgeTimeChart:
        """Return a new chart of all that is shown here."""
        made = SurgeTimeChart(palette=self._palette)
        if self._ghost is not None:
            made.set_ghost(*self._ghost)
        made.set_covered(self._is_covered)
        made.set_run(self._own)
        made.set_window(self._window)
        made.set_time(self._time)
        return made

    @property
    def duration(self) -> float:
        """Length of the axis [s]; 0 with nothing shown."""
        return 0.0 if self._own is None else self._own.panels[0].x_range[1]

    def _show_both(self) -> None:
        own = self._own
        if own is not None and self._ghost is not None:
            series, name = self._ghost
            own = with_ghost(own, series, f"kept: {name}")
        self.set_series(own)
        self._turn_page(forced=True)

    def _turn_page(self, *, forced: bool = False) -> None:
        whole = self.duration
        if self._window >= whole or whole <= 0.0:
            self.set_across(None)
            return
        now = self._across
        if now is not None and not forced and now[0] <= self._time <= now[1]:
            return
        start = min(max(self._time - BEFORE * self._window, 0.0), whole - self._window)
        self.set_across((start, start + self._window))

    # the mouse

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Put the cursor where it is pressed."""
        self._scrub(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Take the cursor along."""
        self._scrub(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Nothing more to do."""
        event.accept()

    def _scrub(self, event: QMouseEvent) -> None:
        event.accept()
        if not event.buttons() & Qt.MouseButton.LeftButton:
            return
        time = self.place_at(event.position())
        if math.isfinite(time):
            self.scrubbed.emit(time)
