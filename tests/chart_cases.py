"""Helpers of the chart tests: a sheet off the screen, matches of the sample maps, no-data cases."""

import itertools
from dataclasses import fields

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication, QWidget

from app.chart_tools.palette import LIGHT
from app.charts.compressor_chart import CompressorChart
from app.present.series import line_series, map_axes, map_series
from engine_model.matching import match
from engine_model.results import Match, OperatingLine

MAPS = ("frame-95-large", "frame-95-middle", "frame-95-small", "turbo-52")
PULLEY = 0.065


@pytest.fixture
def sheet(qtbot):
    """A parent for the charts, never on a screen."""
    made = QWidget()
    made.setAttribute(Qt.WidgetAttribute.WA_DontShowOnScreen)
    qtbot.addWidget(made)
    return made


@pytest.fixture(scope="module")
def matched(sample_build, sample_surface):
    """Match and surface of a build around a sample map, by its name."""
    kept = {}

    def of(name):
        if name not in kept:
            drive = (
                {"drive__kind": "free_shaft"}
                if name.startswith("turbo")
                else {"drive__blower_pulley_diameter": PULLEY}
            )
            drive["fuel_system__injector_flow"] = 1e-5
            build = sample_build(name, target__power=300e3, **drive)
            kept[name] = match(build, surface=sample_surface(name)), sample_surface(name)
        return kept[name]

    return of


def all_nan(result):
    """A match whose every computed value is nan."""
    arrays = {one.name: getattr(result.line, one.name) for one in fields(OperatingLine)}
    blank = {
        name: np.full_like(array, np.nan)
        for name, array in arrays.items()
        if name not in ("engine_speed_rpm", "region_index")
    }
    return Match(result.build, result.day, OperatingLine(**{**arrays, **blank}), result.ledger)


def some_nan(result, first, last):
    """A match without a solution between two indices."""
    arrays = {one.name: getattr(result.line, one.name).copy() for one in fields(OperatingLine)}
    for name, array in arrays.items():
        if name not in ("engine_speed_rpm", "region_index"):
            array[first:last] = np.nan
    return Match(result.build, result.day, OperatingLine(**arrays), result.ledger)


def show(sheet, chart, width=900, height=600):
    chart.setParent(sheet)
    sheet.resize(width, height)
    chart.setGeometry(0, 0, width, height)
    sheet.show()
    chart.show()
    QApplication.processEvents()
    return chart


def colours(widget, least=1):
    """Distinct colours of what a widget paints, each on so many pixels at least."""
    image = widget.grab().toImage().convertToFormat(QImage.Format.Format_RGB32)
    pixels = np.frombuffer(image.constBits(), np.uint32)
    values, counts = np.unique(pixels, return_counts=True)
    return {f"#{value & 0xFFFFFF:06x}" for value in values[counts >= least].tolist()}


def map_chart(sheet, matched, name, palette=LIGHT, size=(900, 600)):
    result, surface = matched(name)
    axes = map_axes(surface.compressor_map)
    chart = show(sheet, CompressorChart(palette=palette), *size)
    chart.set_map(map_series(surface, axes))
    chart.set_line(line_series(result.line, axes, "", result.build.engine.limiter))
    chart.fit_line_if_outside()
    return chart


def overlapping(texts):
    return [
        (a, b) for (a, box), (b, other) in itertools.combinations(texts, 2) if box.overlaps(other)
    ]
