"""The chart of the Dyno place as files: a picture laid out to be read, and numbers."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from contextlib import contextmanager

from app.chart_tools.palette import Palette
from app.charts.compressor_chart import CompressorChart
from app.charts.dyno_chart import DynoChart
from app.charts.picture import laid_out_unseen
from app.fields import Units
from app.gui.places.dyno.pages import MapPage
from app.gui.places.line.chart_export import ChartExport
from app.present.cautions import CAUTIONS
from app.present.series import map_csv
from app.present.series_dyno import AS_ON_DAY, TITLE, dyno_csv
from engine_model.studies.pull_compared import PullCompared

DYNO, PULL_MAP = "dyno", "pull_map"
"""Names of the charts."""

MAP_TITLE = "The measured line on the compressor map"

LEAST_WIDTH, LEAST_HEIGHT = 820, 560
"""Least size of an exported picture at the usual text [px]."""


class DynoExports:
    """What of the place can be exported.

    Parameters
    ----------
    chart : DynoChart
        The chart.
    map_page : MapPage
        The compressor map.
    """

    def __init__(self, chart: DynoChart, map_page: MapPage) -> None:
        self._chart, self._map_page = chart, map_page
        self.found: PullCompared | None = None
        self.basis, self.file = "wheel", ""
        self.units: Units = "si"

    @property
    def titles(self) -> dict[str, str]:
        """Names and titles of what can be exported now."""
        if self.found is None:
            return {}
        on_map = {PULL_MAP: MAP_TITLE} if self._map_page.chart.series is not None else {}
        return {DYNO: TITLE} | on_map

    def _about(self) -> tuple[tuple[str, str], ...]:
        if self.found is None:
            return ()
        build = self.found.build
        return (
            ("build", f"{build.title} (invented)" if build.invented else build.title),
            ("log", self.file),
            ("power", f"{self.basis}, {AS_ON_DAY}"),
            ("written", datetime.date.today().isoformat()),
            ("caution", CAUTIONS["general"]),
        )

    def caption(self, units: Units, shop: str) -> tuple[str, ...]:
        """Rows of the caption of a picture."""
        about = dict(self._about())
        if not about:
            return ()
        parts = [about["build"], about["log"], about["power"], about["written"]]
        return " | ".join([*parts, *([shop] if shop else [])]), about["caution"]

    @contextmanager
    def shown(self, chart: str, palette: Palette) -> Iterator[ChartExport]:
        """One chart by its name, laid out anew, unseen, until it is left."""
        if self.found is None or chart not in self.titles:
            raise KeyError(chart)
        made: DynoChart | CompressorChart
        if chart == PULL_MAP:
            made, series = self._map_page.copied(palette), self._map_page.chart.series
            line, measured = made.lines
            numbers = "" if series is None else map_csv(series, line, measured, self._about())
            size = self._map_page.chart.viewport().size()
        else:
            made = self._chart.copied()
            numbers = dyno_csv(self.found, self.basis, self.units, self._about())
            size = self._chart.viewport().size()
        width = max(size.width(), round(palette.sized(LEAST_WIDTH)))
        height = max(size.height(), round(palette.sized(LEAST_HEIGHT)))
        with laid_out_unseen(made, width, height):
            made.fit()
            yield ChartExport(made, palette, self.titles[chart], numbers, ())
