"""The four charts of the Surge place as files: pictures laid out to be read, and numbers."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from app.chart_tools.palette import Palette
from app.chart_tools.surge_parts import key_of
from app.charts.choke_chart import ChokeChart
from app.charts.picture import laid_out_unseen
from app.charts.surge_map_chart import TITLE as MAP_TITLE
from app.charts.surge_map_chart import SurgeMapChart
from app.charts.surge_time_chart import TITLE as TIME_TITLE
from app.charts.surge_time_chart import SurgeTimeChart
from app.charts.valve_curve_chart import ValveCurveChart
from app.fields import Units
from app.gui.places.line.chart_export import ChartExport
from app.gui.places.surge.study import Shown
from app.present.cautions import CAUTIONS
from app.present.series_choke import TITLE as CHOKE_TITLE
from app.present.series_choke import choke_csv
from app.present.series_surge import run_csv
from app.present.series_valve import TITLE as VALVE_TITLE
from app.present.series_valve import valve_csv
from app.present.surge_words import ESTIMATE
from engine_model.inputs import Build, Day
from engine_model.studies.bypass_sizing import ValveCurve
from engine_model.studies.choke_page import ChokeScene

MAP, TIME, VALVE, CHOKE = "surge_map", "surge_time", "valve_curve", "choke"
"""Names of the charts."""

TITLES = {MAP: MAP_TITLE, TIME: TIME_TITLE, VALVE: VALVE_TITLE, CHOKE: CHOKE_TITLE}

LEAST_WIDTH, LEAST_HEIGHT = 820, 560
"""Least size of an exported picture at the usual text [px]."""


class SurgeExports:
    """What of the place can be exported.

    Parameters
    ----------
    charts : dict
        The charts by name.
    """

    def __init__(self, charts: dict[str, Any]) -> None:
        self._charts = charts
        self.shown_run: Shown | None = None
        self.ghost = ""
        self.curve: ValveCurve | None = None
        self.choke: ChokeScene | None = None
        self.units: Units = "si"
        self.scene = ""

    @property
    def titles(self) -> dict[str, str]:
        """Names and titles of what can be exported now."""
        there = {
            MAP: self.shown_run is not None,
            TIME: self.shown_run is not None,
            VALVE: self.curve is not None and bool(self.curve.sizes),
            CHOKE: self.choke is not None,
        }
        return {name: TITLES[name] for name, known in there.items() if known}

    def _of(self) -> tuple[Build, Day] | None:
        for one in (self.shown_run, self.choke, self.curve):
            if isinstance(one, Shown):
                return one.found.setup.build, one.found.setup.day
            if one is not None:
                return one.build, one.day
        return None

    def _about(self) -> tuple[tuple[str, str], ...]:
        of = self._of()
        if of is None:
            return ()
        build, day = of
        return (
            ("build", f"{build.title} (invented)" if build.invented else build.title),
            ("scene", self.scene),
            ("day", day.name),
            ("written", datetime.date.today().isoformat()),
            ("caution", f"{ESTIMATE} {CAUTIONS['general']}"),
        )

    def caption(self, units: Units, shop: str) -> tuple[str, ...]:
        """Rows of the caption of a picture."""
        about = dict(self._about())
        if not about:
            return ()
        parts = [about["build"], about["scene"], f"{about['day']} day", about["written"]]
        return " | ".join([*parts, *([shop] if shop else [])]), about["caution"]

    @contextmanager
    def shown(self, chart: str, palette: Palette) -> Iterator[ChartExport]:
        """One chart by its name, laid out anew, unseen, until it is left."""
        if chart not in self.titles:
            raise KeyError(chart)
        about, numbers, key = self._about(), "", ()
        source = self._charts[chart]
        made: SurgeMapChart | SurgeTimeChart | ValveCurveChart | ChokeChart = source.copied()
        run = self.shown_run
        if chart in (MAP, TIME) and run is not None:
            numbers = run_csv(run.found, self.units, about)
            key = key_of(palette, run.series, self.ghost) if chart == MAP else ()
        elif chart == VALVE and self.curve is not None:
            numbers = valve_csv(self.curve, self.units, about)
        elif self.choke is not None:
            numbers = choke_csv(self.choke, self.units, about)
        size = source.viewport().size()
        width = max(size.width(), round(palette.sized(LEAST_WIDTH)))
        height = max(size.height(), round(palette.sized(LEAST_HEIGHT)))
        with laid_out_unseen(made, width, height):
            made.fit()
            yield ChartExport(made, palette, TITLES[chart], numbers, key)
