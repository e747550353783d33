"""One chart of the Line place as it stands: its picture, its numbers, its files."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtGui import QImage
from PySide6.QtWidgets import QGraphicsView

from app.chart_tools.export import Caption, export_csv, export_png, export_svg, picture_of
from app.chart_tools.line_parts import LINE_WIDTH, ghost_stroke
from app.chart_tools.palette import Palette
from app.chart_tools.strip_parts import stock_stroke
from app.chart_tools.strokes import Stroke
from app.charts.compressor_chart import CompressorChart
from app.charts.picture import laid_out_unseen
from app.charts.strips_chart import StripsChart
from app.gui.places.line.bands import NO_BANDS, LineBands
from app.present.series import STRIP_OF, StripSeries, map_csv, strips_csv

MAP, ALL_STRIPS = "compressor_map", "strips"
"""Names of the two charts; a strip alone goes by its key."""

TITLES = {MAP: "Compressor map with the operating line", ALL_STRIPS: "All strips"}

ALONE = (840, 440)
"""Size of the picture of one strip alone at scale 1 [px]."""

LEAST_WIDTH, STRIP_HEIGHT, FOOT_HEIGHT = 900, 170, 60
"""Least width of the picture of all strips, and least height of a strip and of its foot [px].

On the screen the strips may be lower: a picture has room for what they say."""

BAND_SWATCH = 8.0
"""Width of the stroke that stands for a band in the key [px]."""

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
    key : tuple of (Stroke, str)
        Its lines with what they are.
    """

    view: QGraphicsView
    palette: Palette
    title: str
    numbers: str
    key: tuple[tuple[Stroke, str], ...] = ()

    def _caption(self, rows: tuple[str, ...]) -> Caption | None:
        look = self.palette
        return Caption(rows, look.text, self.key, look.text_scale) if rows else None

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


def _key(
    strips: StripsChart, palette: Palette, own: str, shown: Sequence[StripSeries] = ()
) -> tuple[tuple[Stroke, str], ...]:
    """Strokes of the lines with their names: the line itself, the stock engine, the pins."""
    lines = [(Stroke(palette.line, LINE_WIDTH), own)]
    keys = {strip.key for strip in shown}
    if any(strip.key in keys for strip in strips.stock):
        lines.append((stock_stroke(palette), "stock engine"))
    ghosts = [(ghost_stroke(palette, number), name) for number, name in strips.ghost_names]
    return (*lines, *ghosts)


@contextmanager
def chart_export(
    chart: CompressorChart,
    strips: StripsChart,
    palette: Palette,
    name: str,
    line_name: str = "",
    about: Sequence[tuple[str, str]] = (),
    bands: LineBands = NO_BANDS,
) -> Iterator[ChartExport]:
    """One chart by its name; strips are laid out anew, unseen, until it is left.

    Parameters
    ----------
    chart, strips : CompressorChart, StripsChart
        The charts.
    palette : Palette
        Their colours.
    name : str
        ``MAP``, ``ALL_STRIPS`` or the key of a strip.
    line_name : str
        What the operating line is called in the key.
    about : sequence of (str, str)
        Columns of the table of numbers that say the same in every row.
    bands : LineBands
        Bands of the error bars.
    """
    if name == MAP:
        chart.settle()
        line, kept = chart.lines
        numbers = ""
        if chart.series is not None:
            band = bands.map_numbers, bands.words
            numbers = map_csv(chart.series, line, kept, about, *band)
        key = _key(strips, palette, line_name)
        yield ChartExport(chart, palette, TITLES[MAP], numbers, key)
        return
    series = [one for one in strips.series if name in (ALL_STRIPS, one.key)]
    if not series:
        raise KeyError(name)
    width, height = ALONE
    title = series[0].title
    if name == ALL_STRIPS:
        size = strips.viewport().size()
        width = max(size.width(), round(palette.sized(LEAST_WIDTH)))
        least = strips.rows * STRIP_HEIGHT + FOOT_HEIGHT
        height = max(size.height(), round(palette.sized(least)))
        title = TITLES[ALL_STRIPS]
    made = strips.copied("" if name == ALL_STRIPS else name)
    with laid_out_unseen(made, width, height):
        made.fit()
        edges = [
            (one, band, bands.end)
            for one in series
            for band in bands.strip_numbers.get(one.key, ())
        ]
        numbers = strips_csv(series, strips.others, about, edges)
        key = _key(strips, palette, line_name, series)
        if edges:
            # the strips themselves say it short
            key = (*key, (Stroke(palette.stock, BAND_SWATCH), bands.words))
        yield ChartExport(made, palette, title, numbers, key)
