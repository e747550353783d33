"""The overlay of the Compressors place as files, and the table as a file of numbers."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from contextlib import contextmanager

from app.chart_tools.palette import Palette
from app.charts.compressor_overlay_chart import TITLE, CompressorOverlayChart
from app.charts.picture import laid_out_unseen
from app.fields import Units
from app.gui.places.line.chart_export import ChartExport
from app.present.compressor_columns import Column
from app.present.compressor_order import table_csv
from app.present.compressor_shown import OLD, ShownRow
from app.present.compressor_words import study_caption, study_columns
from app.present.series_overlay import overlay_csv
from engine_model.inputs import Build

OVERLAY = "compressor_overlay"
"""Name of the chart."""

LEAST_WIDTH, LEAST_HEIGHT = 900, 620
"""Least size of an exported picture at the usual text [px]."""


class CompressorExports:
    """What of the place can be exported.

    Parameters
    ----------
    chart : CompressorOverlayChart
        The chart.
    """

    def __init__(self, chart: CompressorOverlayChart) -> None:
        self._chart = chart
        self.build: Build | None = None
        self.aim = ""
        self.days: tuple[str, ...] = ()
        self.rows: tuple[ShownRow, ...] = ()

    @property
    def titles(self) -> dict[str, str]:
        """Names and titles of what can be exported now."""
        shown = self._chart.series is not None and self.build is not None
        return {OVERLAY: TITLE} if shown else {}

    @property
    def _is_old(self) -> bool:
        return any(one.status == OLD for one in self.rows)

    def _about(self) -> tuple[tuple[str, str], ...]:
        if self.build is None:
            return ()
        today = datetime.date.today()
        return study_columns(self.build, self.aim, self.days, today, old=self._is_old)

    def caption(self, units: Units, shop: str) -> tuple[str, ...]:
        """Rows of the caption of a picture."""
        series = self._chart.series
        if self.build is None or series is None:
            return ()
        today = datetime.date.today()
        return study_caption(self.build, self.aim, series.day, today, shop, old=self._is_old)

    def table(self, rows: tuple[ShownRow, ...], columns: tuple[Column, ...], units: Units) -> str:
        """CSV text of the table as it is shown."""
        return table_csv(rows, columns, self._about(), units)

    @contextmanager
    def shown(self, chart: str, palette: Palette) -> Iterator[ChartExport]:
        """The chart, laid out anew, unseen, until it is left."""
        series = self._chart.series
        if series is None or chart != OVERLAY:
            raise KeyError(chart)
        made, size = self._chart.copied(), self._chart.viewport().size()
        width = max(size.width(), round(palette.sized(LEAST_WIDTH)))
        height = max(size.height(), round(palette.sized(LEAST_HEIGHT)))
        numbers = overlay_csv(series, (("lines of the day", series.day), *self._about()))
        with laid_out_unseen(made, width, height):
            made.fit()
            yield ChartExport(made, palette, TITLE, numbers)
