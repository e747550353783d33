"""One picture of a match without a window: compressor map above, strips below."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import pyqtgraph as pg
from PySide6.QtCore import QEvent, Qt
from PySide6.QtWidgets import QApplication, QWidget

from app.chart_tools.export import export_png
from app.chart_tools.line_parts import Mark
from app.chart_tools.palette import LIGHT, Palette
from app.charts import chart_class
from app.present.series import (
    SI_CHARTS,
    USUAL_STRIPS,
    ChartUnits,
    line_series,
    map_axes,
    map_series,
    strips_of,
)
from engine_model.compressor.surface import Surface
from engine_model.results import Entry, Match

PICTURE_SIZE = (1400, 1100)
MAP_SHARE = 0.60
NO_COMPRESSOR_STRIPS = ("power", "torque")
ON_LINE = ("surge_margin", "choke_margin", "charge_temperature", "boost", "inlet_depression")
"""Entries of the ledger that belong to a place on the line."""


def application() -> QApplication:
    """Return the running application, or a new one that needs no display."""
    if QApplication.instance() is None:
        os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    made: QApplication = pg.mkQApp()  # held by pyqtgraph until the interpreter ends
    return made


def marks_of(ledger: Sequence[Entry]) -> tuple[Mark, ...]:
    """Marks of the entries that are close or over and belong to a place on the line."""
    return tuple(
        Mark(entry.engine_speed_rpm, entry.state, entry.code)
        for entry in ledger
        if entry.code in ON_LINE and entry.state in ("close", "over")
    )


def lay_out_unseen(sheet: QWidget, views: Sequence[tuple[QWidget, int]], width: int) -> None:
    """Stack widgets of given heights on a sheet and lay them out without a screen."""
    top = 0
    for view, height in views:
        view.setParent(sheet)
        view.setGeometry(0, top, width, height)
        top += height
    sheet.setAttribute(Qt.WidgetAttribute.WA_DontShowOnScreen)
    sheet.resize(width, top)
    sheet.show()
    QApplication.sendPostedEvents()


@contextmanager
def laid_out_unseen(view: QWidget, width: int, height: int) -> Iterator[None]:
    """A widget of its own at a size, laid out without a screen until it is left, then gone."""
    sheet = QWidget()
    lay_out_unseen(sheet, [(view, height)], width)
    try:
        yield
    finally:
        sheet.hide()
        sheet.deleteLater()
        QApplication.sendPostedEvents(sheet, QEvent.Type.DeferredDelete)


def map_picture(
    match: Match,
    surface: Surface | None,
    path: Path,
    size: tuple[int, int] = PICTURE_SIZE,
    palette: Palette = LIGHT,
    units: ChartUnits = SI_CHARTS,
) -> None:
    """Write the picture of a match as PNG.

    Parameters
    ----------
    match : Match
        The match.
    surface : Surface or None
        Its fitted compressor map; none for a build without a compressor (strips only).
    path : Path
        Where to.
    size : tuple of int
        Width and height in pixels.
    palette : Palette
        Colours.
    units : ChartUnits
        Display units.

    Raises
    ------
    OSError
        When the file cannot be written.
    """
    kept = application()
    width, height = size
    sheet = QWidget()
    strips = chart_class("strips")(palette=palette, columns=2 if width >= 1000 else 1)
    shown = USUAL_STRIPS if surface is not None else NO_COMPRESSOR_STRIPS
    strips.set_strips(strips_of(match, shown, units))
    views = [(strips, height)]
    if surface is not None:
        above = round(height * MAP_SHARE)
        axes = map_axes(surface.compressor_map, units.flow)
        chart = chart_class("compressor_map")(palette=palette)
        chart.set_map(map_series(surface, axes))
        chart.set_line(line_series(match.line, axes, "", match.build.engine.limiter))
        chart.set_marks(marks_of(match.ledger))
        views = [(chart, above), (strips, height - above)]
    lay_out_unseen(sheet, views, width)
    for view, _ in views:
        view.fit()
    try:
        export_png([view for view, _ in views], path, palette.background, 1.0)
    finally:
        sheet.hide()
        sheet.deleteLater()
        kept.sendPostedEvents(None, QEvent.Type.DeferredDelete)


def write_match_picture(match: Match, path: Path, units: ChartUnits = SI_CHARTS) -> None:
    """Write the picture of a match, fitting its compressor map first."""
    cmap = match.build.blower.compressor_map
    surface = None
    if cmap is not None and match.build.drive.kind != "none":
        # the fit brings in scipy; who only lays charts out must not wait for it
        from engine_model.compressor.surface_fit import fit_surface

        surface = fit_surface(cmap, match.build.blower.typed_efficiency)
    map_picture(match, surface, path, units=units)
