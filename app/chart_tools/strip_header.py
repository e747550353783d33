"""Header of a strip: title with unit, key of the curves, the cursor and the values at it."""

from __future__ import annotations

import math
from itertools import accumulate

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF
from PySide6.QtGui import QPainter, QPen

from app.chart_tools.band_parts import ShownBand, band_swatch
from app.chart_tools.canvas import Frame, Metrics, cut, font, pen
from app.chart_tools.line_parts import ghost_stroke
from app.chart_tools.palette import Palette
from app.chart_tools.parts import Text, backing_of
from app.chart_tools.placing import Box
from app.chart_tools.strip_limits import HEADER, SIDE
from app.chart_tools.strip_parts import band_pen, curve_stroke, stock_stroke
from app.present.series import StripSeries

KEY_LINE, KEY_GAP, KEY_SPACE = 20.0, 16.0, 6.0
"""Length of a stroke in the key, room before it, and between it and its name [px]."""

TIGHT = 0.6
"""Share of those lengths where there is no room for them [-]."""

LEAST_TITLE = 0.6
"""Share of a title that is left when it is cut for the values [-]."""

BLANK = "blank: cannot be computed for this build"

Key = tuple[str, QPen]


class StripHeader:
    """Title, key, cursor, and the values there; what has no room is said shorter."""

    def __init__(self, palette: Palette) -> None:
        self._palette = palette
        self._bold = Metrics(font(palette.sized(12), bold=True))
        self._plain = Metrics(font(palette.sized(11)))
        self._tall = palette.sized(HEADER)
        self.series: StripSeries | None = None
        self.engine_speed = float("nan")
        self.ghosts: tuple[tuple[int, str], ...] = ()
        self.has_stock = False
        self.bands: tuple[ShownBand, ...] = ()
        self.is_covered = False
        self.texts: list[Text] = []
        self._laid_for: object = None
        self._keys: list[tuple[QLineF, QPen]] = []
        self._cursor: QLineF | None = None
        self._dots: list[QPointF] = []

    def lay_out(self, frame: Frame) -> None:
        """Title at the left, values at the right, both on the header's line."""
        series = self.series
        is_blank = series is None or not any(np.isfinite(c.values).any() for c in series.curves)
        self._dots, self._cursor = [], None
        values = () if series is None else self._lay_cursor(frame, series)
        words = None if series is None else (series.label, tuple(c.name for c in series.curves))
        shown = values if not self.is_covered else ()
        kept = self.ghosts, self.has_stock, self.bands
        state = frame.width, frame.height, words, is_blank, shown, kept
        if state == self._laid_for:
            return  # as with most ticks of a drag
        self._laid_for = state
        self.texts, self._keys = [], []
        if series is not None:
            self._lay_words(frame, series, shown, is_blank=is_blank)

    def _lay_words(
        self, frame: Frame, series: StripSeries, values: tuple[str, ...], *, is_blank: bool
    ) -> None:
        if is_blank:
            wide, tall = self._plain.width(BLANK), self._plain.height
            top = 0.5 * (frame.height + self._tall - tall)
            box = Box(0.5 * (frame.width - wide), top, wide, tall)
            self.texts.append(Text(BLANK, box, self._plain, self._palette.faint_text))
        room = frame.width - 2.0 * SIDE
        short = series.title.partition(",")[0]
        labels = [series.label, f"{short} [{series.unit}]"]
        if values:
            # the values bring the unit
            label, words = self._title_and_values((series.label, short), values, room)
            labels = [label]
            if words:
                wide = self._bold.width(words)
                self._write(words, SIDE + room - wide, self._bold, self._palette.text)
                room -= wide + KEY_GAP
        else:
            labels.append(short)
        self._lay_title_and_key(labels, room, *self._keys_of(series))

    def _title_and_values(
        self, labels: tuple[str, str], values: tuple[str, ...], room: float
    ) -> tuple[str, str]:
        """Title and values that stand beside each other: both whole, or shorter, or no values."""
        ways = [(labels[0], values[0]), *((labels[1], words) for words in values)]
        for label, words in ways:
            if self._bold.width(label) + KEY_GAP + self._bold.width(words) <= room:
                return label, words
        label, words = ways[-1]
        left = room - KEY_GAP - self._bold.width(words)
        if left < LEAST_TITLE * self._bold.width(label):
            return label, ""
        return cut(label, self._bold, left), words

    def _keys_of(self, series: StripSeries) -> tuple[list[Key], list[Key]]:
        """Names and pens of the strip's own curves, and of the faint ones."""
        palette = self._palette
        curves = [c for c in series.curves if c.style != "edge"]
        # one curve alone is named by the title
        named = curves if len(curves) > 1 else []
        own = [(c.name, curve_stroke(palette, c.style).pen()) for c in named]
        if len(curves) < len(series.curves):
            own.append(("band of doubt", band_pen(palette)))
        for band in self.bands[:1]:
            own.append((band.words, band_swatch(palette, band.style, is_old=band.is_old)))
        faint = [("stock", stock_stroke(palette).pen())] if self.has_stock else []
        faint += [(name, ghost_stroke(palette, k).pen()) for k, name in self.ghosts]
        return own, faint

    def _lay_title_and_key(
        self, labels: list[str], room: float, own: list[Key], faint: list[Key]
    ) -> None:
        """Title and key: everything, or less room between, or a shorter title, or fewer names."""
        every = [*own, *faint]
        ways = [(labels[0], 1.0), *((label, TIGHT) for label in labels)]
        reaches = [self._reaches(label, every, share) for label, share in ways]
        counts = [max((n for n, r in enumerate(one) if r <= room), default=-1) for one in reaches]
        best = max(counts)
        wanted = best if best in (len(every), -1) else min(best, len(own))
        way = next(k for k, count in enumerate(counts) if count >= wanted)
        label, share = ways[-1 if best < 0 else way]
        self._write(cut(label, self._bold, room), SIDE, self._bold, self._palette.text)
        count = max(counts[way], 0)
        at = SIDE + self._bold.width(label)
        level = 1.0 + 0.5 * self._tall
        for name, stroke in every[:count]:
            at += share * KEY_GAP
            self._keys.append((QLineF(at, level, at + share * KEY_LINE, level), stroke))
            at += share * (KEY_LINE + KEY_SPACE)
            self._write(name, at, self._plain, self._palette.faint_text)
            at += self._plain.width(name)
        if 0 < count < len(every):
            words = _more(len(every) - count)
            self._write(words, at + share * KEY_GAP, self._plain, self._palette.faint_text)

    def _reaches(self, label: str, keys: list[Key], share: float) -> list[float]:
        """Pixels to the end of the title and 0, 1, 2, ... names, and of the count of the rest."""
        around = share * (KEY_GAP + KEY_LINE + KEY_SPACE)
        widths = [self._bold.width(label), *(around + self._plain.width(name) for name, _ in keys)]
        reaches = list(accumulate(widths))
        for count in range(1, len(keys)):
            reaches[count] += share * KEY_GAP + self._plain.width(_more(len(keys) - count))
        return reaches

    def _write(self, words: str, left: float, metrics: Metrics, colour: str) -> None:
        box = Box(left, 2.0, metrics.width(words), self._tall - 2.0)
        self.texts.append(Text(words, box, metrics, colour))

    def _lay_cursor(self, frame: Frame, series: StripSeries) -> tuple[str, ...]:
        """Cursor line and dots; return the values there in words, longest first."""
        speed = self.engine_speed
        x = series.engine_speed
        if not (math.isfinite(speed) and x.size and x[0] <= speed <= x[-1]):
            return ()
        at = frame.point(speed, 0.0)[0]
        self._cursor = QLineF(at, self._tall, at, frame.height)
        found = []
        shown = [c for c in series.curves if c.style != "edge"]
        for curve in shown:
            value = float(np.interp(speed, x, curve.values))
            if not math.isfinite(value):
                continue
            y = frame.point(0.0, value)[1]
            if self._tall <= y <= frame.height:
                self._dots.append(QPointF(at, y))
            group = "," if value >= 1e4 else ""
            number = f"{value:{group}.{series.decimals}f}"
            found.append((curve.name, number.replace("-", "\u2212").replace(",", "\u202f")))
        if not found:
            return ()
        bare = ",  ".join(number for _, number in found) + f" {series.unit}"
        named = ",  ".join(" ".join(pair) for pair in found) + f" {series.unit}"
        words = named if len(shown) > 1 else bare
        return f"{speed:.0f} rpm:  {words}", words, bare

    def draw(self, painter: QPainter) -> None:
        """Draw cursor, key and texts."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        if self._cursor is not None:
            painter.setPen(pen(self._palette.cursor, 1.0))
            painter.drawLine(self._cursor)
        for line, stroke in self._keys:
            painter.setPen(stroke)
            painter.drawLine(line)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(pen(self._palette.canvas, 1.2))
        painter.setBrush(backing_of(self._palette.line, 255))
        for dot in self._dots:
            painter.drawEllipse(QRectF(dot.x() - 3.5, dot.y() - 3.5, 7.0, 7.0))
        for text in self.texts:
            text.draw(painter)


def _more(count: int) -> str:
    return f"and {count} more"
