"""The chart of the Dyno place as files: a picture laid out to be read, and numbers."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from contextlib import contextmanager

from app.chart_tools.palette import Palette
from app.charts.dyno_chart import DynoChart
from app.charts.picture import laid_out_unseen
from app.fields import Units
from app.gui.places.line.chart_export import ChartExport
from app.present.cautions import CAUTIONS
from app.present.series_dyno import AS_ON_DAY, TITLE, dyno_csv
from engine_model.studies.pull_compared import PullCompared

DYNO = "dyno"
"""Name of the chart."""

LEAST_WIDTH, LEAST_HEIGHT = 820, 560
"""Least size of an exported picture at the usual text [px]."""


class DynoExports:
    """What of the place can be exported.

    Parameters
    ----------
    chart : DynoChart
        The chart.
    """

    def __init__(self, chart: DynoChart) -> None:
        self._chart = chart
        self.found: PullCompared | None = None
        self.basis, self.file = "wheel", ""
        self.units: Units = "si"

    @property
    def titles(self) -> dict[str, str]:
        """Names and titles of what can be exported now."""
        return {} if self.found is None else {DYNO: TITLE}

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
        if self.found is None or chart != DYNO:
            raise KeyError(chart)
        made = self._chart.copied()
        numbers = dyno_csv(self.found, self.basis, self.units, self._about())
        size = self._chart.viewport().size()
        width = max(size.width(), round(palette.sized(LEAST_WIDTH)))
        height = max(size.height(), round(palette.sized(LEAST_HEIGHT)))
        with laid_out_unseen(made, width, height):
            made.fit()
            yield ChartExport(made, palette, TITLE, numbers, ())
