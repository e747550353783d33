"""From snapshots to the two charts of the Line place: map and strips, one cursor."""

from __future__ import annotations

import datetime
from contextlib import AbstractContextManager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QObject, Signal

from app.chart_tools.line_parts import Mark
from app.chart_tools.palette import LIGHT, Palette
from app.charts.compressor_chart import CompressorChart
from app.charts.strips_chart import StripsChart
from app.fields import Units
from app.gui.places.line.bands import NO_BANDS, line_bands
from app.gui.places.line.chart_export import MAP, ChartExport, chart_export
from app.gui.recompute import Snapshot
from app.present.caption import file_columns, line_words
from app.present.chart_units import chart_units
from app.present.series import (
    SI_CHARTS,
    USUAL_STRIPS,
    ChartUnits,
    MapAxes,
    line_series,
    map_axes,
    map_readout,
    map_series,
    strips_of,
    volume_per_flow,
)
from engine_model.compressor.surface import Surface
from engine_model.results import Match, OperatingLine
from engine_model.unpack import inlet_density

if TYPE_CHECKING:
    from engine_model.studies.uncertain_records import ErrorBars

FLOW_AXES: tuple[tuple[str, str], ...] = (
    ("", "As the units chosen, corrected"),
    ("kg/s", "kg/s, corrected"),
    ("lb/min", "lb/min, corrected"),
    ("m³/s", "m³/s, actual on the day"),
    ("cfm", "cfm, actual on the day"),
)
"""Units of the flow axis with their words; the first follows the units of the bench."""

_VOLUMES = ("m³/s", "cfm")

ON_LINE = ("surge_margin", "choke_margin", "charge_temperature", "boost", "inlet_depression")
"""Entries that belong to a place on the line."""


class Drawing(QObject):
    """Feeds both charts and ties their cursors.

    Signals
    -------
    cursor_moved(engine_speed)
        The user put the cursor at an engine speed. [rpm]
    """

    cursor_moved = Signal(float)

    def __init__(self, chart: CompressorChart, strips: StripsChart) -> None:
        super().__init__()
        self._chart, self._strips = chart, strips
        self._palette: Palette = LIGHT
        self._units: ChartUnits = SI_CHARTS
        self._choice: Units = "si"
        self._keys: tuple[str, ...] = USUAL_STRIPS
        self._snapshot: Snapshot | None = None
        self._surface: Surface | None = None
        self._axes: MapAxes | None = None
        self._drawn_units: ChartUnits | None = None
        self._stock: OperatingLine | None = None
        self._cursor: float | None = None
        self._flow_unit = ""
        self._drawn_flow: object = None
        self._covered = False
        self._ghosts: list[tuple[OperatingLine, str]] = []
        self._bars: ErrorBars | None = None
        self._bars_are_old = False
        self._bands = NO_BANDS
        chart.engine_speed_clicked.connect(self.move_cursor)
        strips.engine_speed_chosen.connect(self.move_cursor)

    def set_look(self, palette: Palette, choice: Units) -> None:
        """Set colours, the size of the texts and units; emits nothing."""
        self._choice, units = choice, chart_units(choice)
        if palette != self._palette:
            self._palette = palette
            self._chart.set_palette(palette)
            self._strips.set_palette(palette)
        if units != self._units:
            self._units = units
            if self._snapshot is not None:
                self.show_snapshot(self._snapshot)
                self.refit()

    def set_strips(self, keys: tuple[str, ...]) -> None:
        """Choose the strips shown."""
        self._keys = keys
        if self._snapshot is not None:
            self._stock = None
            self.show_snapshot(self._snapshot)
            self.show_ghosts(self._ghosts)
            self._show_bars()
            self._strips.refit()

    @property
    def strip_keys(self) -> tuple[str, ...]:
        """Keys of the strips shown."""
        return self._keys

    def show_snapshot(self, snapshot: Snapshot) -> None:
        """Draw a new state; while a slider is dragged the ranges stay."""
        first = self._snapshot is None
        self._snapshot = snapshot
        other_axes = self._show_map(snapshot)
        match = snapshot.match
        if self._axes is not None and snapshot.surface is not None:
            limiter = match.build.engine.limiter
            self._chart.set_line(line_series(match.line, self._axes, "", limiter))
            self._chart.set_marks(
                []
                if self._covered
                else [
                    Mark(e.engine_speed_rpm, e.state, e.code)
                    for e in match.ledger
                    if e.code in ON_LINE and e.state in ("close", "over")
                ]
            )
        self._strips.set_strips(strips_of(match, self._keys, self._units))
        if snapshot.stock is not self._stock or self._units != self._drawn_units:
            self._stock = snapshot.stock
            stock = Match(match.build, match.day, snapshot.stock, ())
            shown = [k for k in self._keys if k in ("power", "torque")]
            series = strips_of(stock, tuple(shown), self._units)
            self._strips.set_stock([replace(s, target=None, bounds=()) for s in series])
        if self._ghosts and (other_axes or self._units != self._drawn_units):
            self.show_ghosts(self._ghosts)
        if self._bars is not None and (other_axes or self._units != self._drawn_units):
            self._show_bars()
        self._drawn_units = self._units
        if first or not snapshot.days_are_old:
            self.refit()

    def _show_map(self, snapshot: Snapshot) -> bool:
        """Draw the map where it or its axes are others; whether they are."""
        surface, units = snapshot.surface, self._units
        unit = self._flow_unit or units.flow
        day = snapshot.match.day if unit in _VOLUMES else None
        flow = unit, day, units.temperature, units.pressure
        if surface is self._surface and flow == self._drawn_flow:
            return False
        self._surface, self._drawn_flow = surface, flow
        if surface is None:
            self._axes = None
            self._chart.set_map(None)
            self._chart.set_line(None)
            self._chart.set_marks([])
            self._chart.set_readout(None)
            return True
        volume = None
        if unit in _VOLUMES:
            volume = volume_per_flow(
                snapshot.match.line, inlet_density(snapshot.match.line, snapshot.match.day)
            )
        self._axes = map_axes(surface.compressor_map, unit, volume, units)
        # what stands on the former axes must not widen the new ones
        self._chart.set_line(None)
        self._chart.set_ghosts([])
        self._chart.set_map(map_series(surface, self._axes))
        self._show_readout(snapshot)
        return True

    def _show_readout(self, snapshot: Snapshot) -> None:
        """What the pointer reads on the map, while the answers are not covered."""
        surface = snapshot.surface
        if surface is None or self._axes is None or self._covered:
            self._chart.set_readout(None)
            return
        line = snapshot.match.line
        ratio = line.impeller_speed_rpm / line.corrected_speed_rpm
        known = ratio[np.isfinite(ratio)]
        self._chart.set_readout(
            map_readout(
                surface,
                self._axes,
                float(known[0]) if known.size else float("nan"),
                snapshot.match.build.bounds.surge_judged_above,
            ).words
        )

    def set_flow_unit(self, unit: str) -> None:
        """Choose the unit of the flow axis; empty follows the units of the bench."""
        self._flow_unit = unit
        if self._snapshot is not None:
            self.show_snapshot(self._snapshot)
            self._chart.fit()

    def set_covered(self, covered: bool) -> None:
        """Cover or uncover what tells the answers: marks and read-outs."""
        self._covered = covered
        if self._snapshot is not None:
            self._show_readout(self._snapshot)
            self.show_snapshot(self._snapshot)

    def show_ghosts(self, ghosts: list[tuple[OperatingLine, str]]) -> None:
        """Draw kept lines with their names."""
        self._ghosts = ghosts
        if self._axes is None or self._snapshot is None:
            self._chart.set_ghosts([])
            self._strips.set_ghosts([])
            return
        match = self._snapshot.match
        # a pin keeps its stroke while others are hidden; a ghost on hover takes the next one
        numbers = [getattr(ghost, "number", k) for k, ghost in enumerate(ghosts)]
        self._chart.set_ghosts(
            [(line_series(line, self._axes, name), name) for line, name in ghosts], numbers
        )
        kept = []
        for line, name in ghosts:
            other = Match(match.build, match.day, line, ())
            series = strips_of(other, self._keys, self._units)
            kept.append(([replace(s, target=None, bounds=()) for s in series], name))
        self._strips.set_ghosts(kept, numbers)

    def set_bars(self, bars: ErrorBars | None, *, is_old: bool) -> None:
        """Draw the bands of error bars, grey where they are of a former build, or none."""
        self._bars, self._bars_are_old = bars, is_old
        self._show_bars()
        if not is_old:
            self._strips.refit()

    def _show_bars(self) -> None:
        """Bands on what is drawn now."""
        self._bands = line_bands(
            self._bars, self._axes, self._keys, self._units, is_old=self._bars_are_old
        )
        self._chart.set_band(self._bands.on_map)
        self._strips.set_bands(self._bands.on_strips)

    def move_cursor(self, engine_speed: float) -> None:
        """Put the cursor where the user asked and say so."""
        self.set_cursor(engine_speed)
        self.cursor_moved.emit(engine_speed)

    def set_cursor(self, engine_speed: float | None) -> None:
        """Put the cursor at an engine speed in both charts; emits nothing."""
        self._cursor = engine_speed
        self._chart.set_cursor(engine_speed)
        self._strips.set_cursor(engine_speed)

    @property
    def cursor(self) -> float | None:
        """Engine speed of the cursor [rpm]."""
        return self._cursor

    def refit(self) -> None:
        """Set the ranges to what is shown now."""
        self._chart.fit_line_if_outside()
        self._strips.refit()

    def export(
        self,
        kind: str,
        path: Path,
        chart: str = MAP,
        scale: float = 2.0,
        caption: tuple[str, ...] = (),
    ) -> None:
        """Write a chart as ``png``, ``svg`` or ``csv``; raises OSError."""
        with self.shown(chart) as export:
            export.write(kind, path, scale, caption)

    def shown(self, chart: str) -> AbstractContextManager[ChartExport]:
        """One of the charts as it stands, to be written or copied."""
        snapshot = self._snapshot
        if snapshot is None:
            raise KeyError(chart)
        match = snapshot.match
        words = line_words(match.build, self._choice)
        about = file_columns(match, datetime.date.today())
        return chart_export(
            self._chart, self._strips, self._palette, chart, words, about, self._bands
        )
