"""What to measure first: how much of the spread in wheel power each input explains."""

from __future__ import annotations

import pyqtgraph as pg
from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QWidget

from app.chart_tools.axis import QuietAxis
from app.chart_tools.canvas import Part
from app.chart_tools.first_parts import RIGHT, FirstFonts, FirstRows, label_room
from app.chart_tools.palette import LIGHT, Palette
from app.chart_tools.parts import Text
from app.chart_tools.plot import BarePlot
from app.present.series_error_bars import FirstSeries

TITLE = "What to measure first"

NOTHING_SHOWN = f"{TITLE}: nothing is drawn"

AXIS_WORDS = "Share of the variance explained [%]"


class MeasureFirstChart(pg.GraphicsLayoutWidget):  # type: ignore[misc]
    """One bar an input, the largest first. Setters never emit.

    Parameters
    ----------
    parent : QWidget, optional
        Parent.
    palette : Palette
        Colours.
    """

    def __init__(self, parent: QWidget | None = None, palette: Palette = LIGHT) -> None:
        super().__init__(parent)
        self.setObjectName("measure_first_chart")
        self.setAccessibleName(NOTHING_SHOWN)
        # its ground covers everything: nothing under it need be drawn first
        self.viewport().setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self._palette = palette
        self._series: FirstSeries | None = None
        self.ci.layout.setContentsMargins(4, 6, 8, 2)
        self.ci.layout.setSpacing(0)
        self._bottom, self._left = QuietAxis("bottom"), QuietAxis("left")
        self._plot = BarePlot(self.ci, 0, 0, self._bottom, self._left, 1, mouse=False)
        self._make_parts()
        self._plot.box.sigResized.connect(self.fit)

    @property
    def series(self) -> FirstSeries | None:
        """What is shown."""
        return self._series

    @property
    def placed_texts(self) -> tuple[Text, ...]:
        """Texts as placed, in the pixels of the plot."""
        self._plot.fixed.lay_out()
        return () if self._series is None else tuple(self._rows.texts)

    @property
    def bar_widths(self) -> tuple[float, ...]:
        """Lengths of the bars [px]."""
        self._plot.fixed.lay_out()
        return tuple(bar.width() for bar in self._rows.bars)

    def set_series(self, series: FirstSeries | None) -> None:
        """Show other error bars, or nothing."""
        self._series = series
        self.setAccessibleName(NOTHING_SHOWN if series is None else series.spoken)
        self._make_parts()

    def set_palette(self, palette: Palette) -> None:
        """Change all colours."""
        self._palette = palette
        self._make_parts()

    def copied(self) -> MeasureFirstChart:
        """Return a new chart of all that is shown here."""
        made = MeasureFirstChart(palette=self._palette)
        made.set_series(self._series)
        return made

    def minimumSizeHint(self) -> QSize:
        """Return the least size that can be read."""
        return QSize(320, 220)

    def close(self) -> bool:
        """Close as any widget; pyqtgraph would tear the scene down under our layers."""
        return QWidget.close(self)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Leave the wheel to what lies around."""
        event.ignore()

    def fit(self, *_: object) -> None:
        """Give the bars the room beside their labels."""
        series, size = self._series, self._plot.box.rect()
        if series is None or size.width() < 40.0 or size.height() < 40.0:
            self._plot.refresh()
            return
        left = label_room(series, FirstFonts(self._palette), size.width())
        high = series.share_range[1]
        scale = high / max(size.width() - self._palette.sized(RIGHT) - left, 1.0)
        self._bottom.first, self._bottom.last = -1e-9 * high, high * (1.0 + 1e-9)
        across = (-scale * left, high + scale * self._palette.sized(RIGHT))
        self._plot.set_ranges(across, (0.0, 1.0))
        self._plot.refresh()

    def _make_parts(self) -> None:
        palette, series = self._palette, self._series
        self.setBackground(palette.background)
        self._plot.set_look(palette)
        self._left.setWidth(1)
        self._left.setStyle(showValues=False)
        self._left.set_words("", palette)
        self._bottom.set_words("" if series is None else AXIS_WORDS, palette)
        self._bottom.setStyle(showValues=series is not None)
        self._rows = FirstRows(palette, self._bottom)
        self._rows.series = series
        parts: list[Part] = [] if series is None else [self._rows]
        self._plot.fixed.set_parts(parts)
        self.fit()
