"""The charts, one picture a file; none imports another.

The registry is read without loading any of them, so Qt comes in with the first one drawn.
"""

from __future__ import annotations

import importlib
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Chart:
    """One row of the registry: its name, what it is called, and the class that draws it."""

    name: str
    title: str
    module: str
    class_name: str

    def load(self) -> Any:
        """Return the class."""
        return getattr(importlib.import_module(self.module), self.class_name)


CHARTS: tuple[Chart, ...] = (
    Chart(
        "compressor_map",
        "Compressor map with the operating line",
        "app.charts.compressor_chart",
        "CompressorChart",
    ),
    Chart("strips", "Strips across engine speed", "app.charts.strips_chart", "StripsChart"),
    Chart(
        "pulley_span",
        "Pulley span: every limit on every day against the blower pulley",
        "app.charts.pulley_span_chart",
        "PulleySpanChart",
    ),
    Chart(
        "pulley_curves",
        "Power and boost against the blower pulley",
        "app.charts.pulley_curves_chart",
        "PulleyCurvesChart",
    ),
    Chart(
        "compressor_overlay",
        "Compressor maps laid over each other",
        "app.charts.compressor_overlay_chart",
        "CompressorOverlayChart",
    ),
    Chart("belt", "Belt round its pulleys, to scale", "app.charts.belt_chart", "BeltChart"),
    Chart(
        "heat_soak",
        "Heat soak, pull by pull",
        "app.charts.heat_soak_chart",
        "HeatSoakChart",
    ),
    Chart(
        "measure_first",
        "What to measure first",
        "app.charts.measure_first_chart",
        "MeasureFirstChart",
    ),
    Chart(
        "surge_map",
        "Surge on the compressor map",
        "app.charts.surge_map_chart",
        "SurgeMapChart",
    ),
    Chart(
        "surge_time",
        "Surge against time",
        "app.charts.surge_time_chart",
        "SurgeTimeChart",
    ),
    Chart(
        "valve_curve",
        "Smallest bypass valve against engine speed",
        "app.charts.valve_curve_chart",
        "ValveCurveChart",
    ),
    Chart(
        "choke",
        "Choke: speed added, and where one speed line's work goes",
        "app.charts.choke_chart",
        "ChokeChart",
    ),
    Chart(
        "dyno",
        "Promised, expected and measured power",
        "app.charts.dyno_chart",
        "DynoChart",
    ),
)
"""Every chart."""


def chart_class(name: str) -> Any:
    """Class of a chart by its name in the registry."""
    for chart in CHARTS:
        if chart.name == name:
            return chart.load()
    raise KeyError(name)
