"""Pictures of the sheet: the charts as vectors, and the shop's logo."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QEvent, QRectF
from PySide6.QtGui import QImage, QImageReader, QPainter
from PySide6.QtSvg import QSvgRenderer
from PySide6.QtWidgets import QApplication, QGraphicsView, QWidget

from app.chart_tools.palette import LIGHT
from app.charts import chart_class
from app.charts.picture import application, lay_out_unseen, marks_of
from app.present.chart_units import chart_units
from app.present.series import StripSeries, line_series, map_axes, map_series, strips_of
from app.present.sheet_words import SheetSource

PRINT = replace(LIGHT, name="print", background="#ffffff", text_scale=0.86)
"""Colours and text size of the charts on paper."""


class DrawnChart:
    """A chart laid out unseen, drawn as vectors as often as wanted."""

    keep = False

    def __init__(self, view: QGraphicsView, width: float, height: float) -> None:
        self._sheet = QWidget()
        self.view, self.width, self.height = view, float(round(width)), float(round(height))
        lay_out_unseen(self._sheet, [(view, round(height))], round(width))
        view.fit()  # type: ignore[attr-defined]

    def draw(self, painter: QPainter, x: float, y: float) -> None:
        """Draw with the upper left corner at a place."""
        target = QRectF(x, y, self.width, self.height)
        self.view.render(painter, target, self.view.viewport().rect())

    def close(self) -> None:
        """Take the widgets away."""
        self._sheet.hide()
        self._sheet.deleteLater()
        QApplication.sendPostedEvents(self._sheet, QEvent.Type.DeferredDelete)


def map_chart(source: SheetSource, width: float, height: float) -> DrawnChart | None:
    """The compressor map with its line; nothing without a compressor."""
    application()
    if source.surface is None:
        return None
    units, match = chart_units(source.units), source.match
    axes = map_axes(source.surface.compressor_map, units.flow, None, units)
    chart = chart_class("compressor_map")(palette=PRINT)
    chart.set_map(map_series(source.surface, axes))
    chart.set_line(line_series(match.line, axes, "", match.build.engine.limiter))
    chart.set_marks(marks_of(match.ledger))
    return DrawnChart(chart, width, height)


def power_chart(source: SheetSource, width: float, height: float) -> DrawnChart:
    """Flywheel and wheel power over engine speed, with what was promised; torque under it."""
    application()
    chart = chart_class("strips")(palette=PRINT)
    keys = ("power", "boost") if source.surface is not None else ("power", "torque")
    strips = strips_of(source.match, keys, chart_units(source.units))
    chart.set_strips([_with_basis(one, source.build.target.basis) for one in strips])
    return DrawnChart(chart, width, height)


def _with_basis(strip: StripSeries, basis: str) -> StripSeries:
    """A strip whose target says where it is measured: no power stands plain on the sheet."""
    target = strip.target
    if target is None:
        return strip
    # in front: a header without room leaves out what stands behind
    return replace(strip, target=replace(target, name=f"{basis} {target.name}"))


class Logo:
    """The shop's logo: a vector picture stays one."""

    def __init__(self, file: str) -> None:
        self._svg: QSvgRenderer | None = None
        self._image = QImage()
        self.ratio = 0.0
        if not file or not Path(file).is_file():
            return
        if Path(file).suffix.lower() == ".svg":
            self._svg = QSvgRenderer(file)
            size = self._svg.defaultSize()
            valid = self._svg.isValid()
        else:
            reader = QImageReader(file)
            reader.setAutoTransform(True)
            self._image = reader.read()
            size, valid = self._image.size(), not self._image.isNull()
        if valid and size.width() > 0 and size.height() > 0:
            self.ratio = size.width() / size.height()

    def draw(self, painter: QPainter, area: QRectF) -> None:
        """Draw into an area of its own ratio."""
        if self._svg is not None:
            self._svg.render(painter, area)
        elif not self._image.isNull():
            painter.drawImage(area, self._image)
