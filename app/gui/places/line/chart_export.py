"""One chart of the Line place as it stands: its picture, its numbers, its files."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QEvent
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication, QGraphicsView, QWidget

from app.chart_tools.export import Caption, export_csv, export_png, export_svg, picture_of
from app.chart_tools.line_parts import ghost_stroke
from app.chart_tools.palette import Palette
from app.chart_tools.strip_parts import stock_stroke
from app.chart_tools.strokes import Stroke
from app.charts.compressor_chart import CompressorChart
from app.charts.picture import lay_out_unseen
from app.charts.strips_chart import StripsChart
from app.present.series import STRIP_OF, map_csv, strips_csv

MAP, ALL_STRIPS = "compressor_map", "strips"
"""Names of the two charts; a strip alone goes by its key."""

TITLES = {MAP: "Compressor map with the operating line", ALL_STRIPS: "All strips"}

ALONE = (840, 440)
"""Size of the picture of one strip alone at scale 1 [px]."""

LEAST_WIDTH, STRIP_HEIGHT, FOOT_HEIGHT = 900, 170, 60
"""Least width of the picture of all strips, and least height of a strip and of its foot [px].

On the screen the strips may be lower: a picture has room for what they say."""

KINDS = {"png": "PNG picture", "svg": "SVG vector picture", "csv": "CSV table of numbers"}
"""Kinds of files with their words."""


def charts_of(chart: CompressorChart, strips: StripsChart) -> dict[str, str]:
    """Names and titles of what can be exported now."""
    found = {MAP: TITLES[MAP]} if chart.series is not None else {}
    if strips.keys:
        found[ALL_STRIPS] = TITLES[ALL_STRIPS]
    return found | {key: f"Strip: {STRIP_OF[key].title}" for key in strips.keys}


@dataclass(frozen=True, slots=True)
class ChartExport:
    """A chart laid out to be drawn, and its numbers.

    Parameters
    ----------
    view : QGraphicsView
        The chart.
    palette : Palette
        Its colours.
    title : str
        Its title.
    numbers : str
        CSV text of its series.
    """

    view: QGraphicsView
    palette: Palette
    title: str
    numbers: str

    def _caption(self, rows: tuple[str, ...]) -> Caption | None:
        key = _key(self.view, self.palette) if isinstance(self.view, StripsChart) else ()
        return Caption(rows, self.palette.text, key) if rows else None

    def picture(self, scale: float, caption: tuple[str, ...] = ()) -> QImage:
        """Picture with a caption; raises OSError where it is too large to be held."""
        return picture_of([self.view], self.palette.background, scale, self._caption(caption))

    def write(self, kind: str, path: Path, scale: float, caption: tuple[str, ...] = ()) -> None:
        """Write as a kind of ``KINDS``; raises OSError, and leaves nothing half-written."""
        background, words = self.palette.background, self._caption(caption)
        if kind == "png":
            export_png([self.view], path, background, scale, words)
        elif kind == "svg":
            export_svg([self.view], path, background, self.title, words)
        elif kind == "csv":
            export_csv(self.numbers, path)
        else:
            raise ValueError(f"kind {kind!r} is none of {', '.join(KINDS)}")


def _key(strips: StripsChart, palette: Palette) -> tuple[tuple[Stroke, str], ...]:
    """Strokes of the faint lines with their names; the map says them itself."""
    has_stock = len(strips.others) > len(strips.ghost_names)
    stock = [(stock_stroke(palette), "stock engine")] if has_stock else []
    ghosts = [(ghost_stroke(palette, number), name) for number, name in strips.ghost_names]
    return (*stock, *ghosts)


@contextmanager
def chart_export(
    chart: CompressorChart, strips: StripsChart, palette: Palette, name: str
) -> Iterator[ChartExport]:
    """One chart by its name; strips are laid out anew, unseen, until it is left."""
    if name == MAP:
        line, kept = chart.lines
        numbers = "" if chart.series is None else map_csv(chart.series, line, kept)
        yield ChartExport(chart, palette, TITLES[MAP], numbers)
        return
    series = [one for one in strips.series if name in (ALL_STRIPS, one.key)]
    if not series:
        raise KeyError(name)
    width, height = ALONE
    title = series[0].title
    if name == ALL_STRIPS:
        size = strips.viewport().size()
        width = max(size.width(), LEAST_WIDTH)
        height = max(size.height(), strips.rows * STRIP_HEIGHT + FOOT_HEIGHT)
        title = TITLES[ALL_STRIPS]
    sheet = QWidget()
    made = strips.copied("" if name == ALL_STRIPS else name)
    lay_out_unseen(sheet, [(made, height)], width)
    made.fit()
    try:
        yield ChartExport(made, palette, title, strips_csv(series, strips.others))
    finally:
        sheet.hide()
        sheet.deleteLater()
        QApplication.sendPostedEvents(sheet, QEvent.Type.DeferredDelete)
