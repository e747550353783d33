"""One strip: its plot, layers and parts; made once, then given new series."""

from __future__ import annotations

from app.chart_tools.axis import Grid
from app.chart_tools.band_parts import ErrorBands, ShownBand
from app.chart_tools.palette import Palette
from app.chart_tools.plot import BarePlot
from app.chart_tools.strip_header import StripHeader
from app.chart_tools.strip_limits import HEADER, LimitTexts, StripBounds, StripTarget
from app.chart_tools.strip_parts import ReferenceCurves, StripCurves
from app.present.series import StripSeries


class StripPlot:
    """One strip of several.

    Parameters
    ----------
    plot : BarePlot
        Its plot.
    lowest : bool
        Whether the axis of engine speed stands under it.
    """

    def __init__(self, plot: BarePlot, lowest: bool) -> None:
        self.plot, self.lowest = plot, lowest
        self.box, self.fixed, self.moving = plot.box, plot.fixed, plot.moving
        self.bottom, self.left = plot.bottom, plot.left
        self.series: StripSeries | None = None
        self.value_range = (0.0, 1.0)
        self.speed_range = (0.0, 1.0)

    def make_parts(self, palette: Palette) -> None:
        """New parts in a palette's colours, with what they showed before."""
        self.plot.set_look(palette)
        self.left.set_words("", palette)
        self.header_height = palette.sized(HEADER)
        self.bounds, self.reference = StripBounds(palette), ReferenceCurves(palette)
        self.target, self.curves = StripTarget(palette), StripCurves(palette)
        self.header = StripHeader(palette)
        grid = Grid(self.bottom, self.left, palette)
        self.bands = ErrorBands(palette)
        self.fixed.set_parts([grid, self.bands, self.reference, self.bounds])
        self.texts = LimitTexts(palette, lambda: self.curves.drawn)
        self.moving.set_parts([self.target, self.curves, self.texts, self.header])

    def show(self, series: StripSeries | None) -> None:
        """Show a series; ranges stay."""
        self.series = series
        self.target.series = self.curves.series = self.header.series = self.texts.series = series
        bounds = () if series is None else series.bounds
        if bounds != self.bounds.bounds:
            self.bounds.bounds = bounds
            self.fixed.refresh()
        self.moving.refresh()

    def show_reference(
        self, stock: tuple[StripSeries, ...], ghosts: tuple[tuple[int, StripSeries], ...]
    ) -> None:
        """Show the stock engine and the ghosts, each with its number."""
        same = len(ghosts) == len(self.reference.ghosts) and all(
            a[0] == b[0] and a[1] is b[1]
            for a, b in zip(ghosts, self.reference.ghosts, strict=False)
        )
        if not same or [id(s) for s in stock] != [id(s) for s in self.reference.stock]:
            self.reference.stock, self.reference.ghosts = stock, ghosts
            self.fixed.refresh()

    def show_bands(self, bands: tuple[ShownBand, ...]) -> None:
        """Show bands about the curves; ranges stay."""
        if bands is not self.bands.bands and (bands or self.bands.bands):
            self.bands.bands = self.header.bands = bands
            self.fixed.refresh()

    def set_ranges(self) -> None:
        """Ranges as last chosen, with room for the header at the top."""
        low, high = self.value_range
        head = self.header_height
        tall = max(self.box.rect().height(), head + 20.0)
        top = low + (high - low) * tall / (tall - head)
        self.left.last = high + 1e-9 * abs(high)
        self.plot.set_ranges(self.speed_range, (low, top))
        self.plot.refresh()
