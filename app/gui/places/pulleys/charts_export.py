"""The two charts of the Pulleys place as files: pictures laid out to be read, and numbers."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator
from contextlib import contextmanager

from app.chart_tools.palette import Palette
from app.charts.picture import laid_out_unseen
from app.charts.pulley_curves_chart import TITLE as CURVES_TITLE
from app.charts.pulley_curves_chart import PulleyCurvesChart
from app.charts.pulley_span_chart import TITLE as SPAN_TITLE
from app.charts.pulley_span_chart import PulleySpanChart
from app.fields import Units
from app.gui.places.line.chart_export import ChartExport
from app.present.caption import span_caption_rows, span_columns
from app.present.series_pulley_curves import pulley_curves_csv, span_csv
from engine_model.studies.span_records import PulleySpan

SPAN, CURVES = "pulley_span", "pulley_curves"
"""Names of the two charts."""

TITLES = {SPAN: SPAN_TITLE, CURVES: CURVES_TITLE}

LEAST_WIDTH, LEAST_HEIGHT = 820, 560
"""Least size of an exported picture at the usual text [px]."""


class PulleyExports:
    """What of the place can be exported.

    Parameters
    ----------
    span_chart, curves_chart : PulleySpanChart, PulleyCurvesChart
        The charts.
    """

    def __init__(self, span_chart: PulleySpanChart, curves_chart: PulleyCurvesChart) -> None:
        self._span_chart, self._curves_chart = span_chart, curves_chart
        self.span: PulleySpan | None = None
        self.present = math.nan

    @property
    def titles(self) -> dict[str, str]:
        """Names and titles of what can be exported now."""
        return {} if self.span is None else dict(TITLES)

    def caption(self, units: Units, shop: str) -> tuple[str, ...]:
        """Rows of the caption of a picture."""
        if self.span is None:
            return ()
        return span_caption_rows(self.span, datetime.date.today(), units, shop)

    @contextmanager
    def shown(self, chart: str, palette: Palette) -> Iterator[ChartExport]:
        """One chart by its name, laid out anew, unseen, until it is left."""
        if self.span is None or chart not in TITLES:
            raise KeyError(chart)
        about = span_columns(self.span, datetime.date.today())
        source = self._span_chart if chart == SPAN else self._curves_chart
        made = source.copied()
        size = source.viewport().size()
        width = max(size.width(), round(palette.sized(LEAST_WIDTH)))
        height = max(size.height(), round(palette.sized(LEAST_HEIGHT)))
        numbers, key = "", ()
        if isinstance(made, PulleySpanChart):
            height = max(height, made.wanted_height())
            if made.series is not None:
                present = self.present / made.series.unit_in_m
                numbers = span_csv(made.series, present, about)
        elif made.series is not None:
            numbers = pulley_curves_csv(made.series, about)
        with laid_out_unseen(made, width, height):
            made.fit()
            yield ChartExport(made, palette, TITLES[chart], numbers, key)
