"""Bounds, target and what is missing in a strip, with their words."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
from PySide6.QtCore import QLineF
from PySide6.QtGui import QPainter, QPen

from app.chart_tools.canvas import Frame, Metrics, font, pen
from app.chart_tools.palette import Palette
from app.chart_tools.parts import Text, backing_of, hatch_strokes
from app.chart_tools.placing import Box
from app.chart_tools.strokes import Drawn
from app.present.series import StripBound, StripSeries

HEADER = 18.0
"""Pixels at the top of a strip kept for its title and values, at the usual size of the texts."""

DASHED = (5.0, 3.0)
SIDE, GAP = 8.0, 14.0
"""Room between a text and the side of its strip, and between target and verdict [px]."""


class StripBounds:
    """Bounds with their hatch; they stand still while a slider is dragged."""

    def __init__(self, palette: Palette) -> None:
        self._palette = palette
        self.bounds: tuple[StripBound, ...] = ()
        self._lines: list[tuple[QLineF, QPen]] = []
        self._strokes: list[QLineF] = []

    def lay_out(self, frame: Frame) -> None:
        """Lines across the strip."""
        self._lines, self._strokes = [], []
        for bound in self.bounds:
            if frame.bottom <= bound.value <= frame.top:
                self._lay_bound(frame, bound)

    def _lay_bound(self, frame: Frame, bound: StripBound) -> None:
        level = frame.point(0.0, bound.value)[1]
        across, stroke = np.array([0.0, frame.width]), pen(self._palette.limit, 1.3)
        if bound.side == "none":
            stroke = pen(self._palette.faint_text, 1.1, DASHED)
        else:
            side = -1.0 if bound.side == "above" else 1.0
            self._strokes += hatch_strokes(across, np.array([level, level]), side, 8.0, 9.0)
        self._lines.append((QLineF(0.0, level, frame.width, level), stroke))

    def draw(self, painter: QPainter) -> None:
        """Draw hatch and lines."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        painter.setPen(pen(self._palette.limit, 1.0, alpha=130))
        painter.drawLines(self._strokes)
        for line, stroke in self._lines:
            painter.setPen(stroke)
            painter.drawLine(line)


class StripTarget:
    """Line of the target, and what is missing to it; it follows the curves."""

    def __init__(self, palette: Palette) -> None:
        self._palette = palette
        self.series: StripSeries | None = None
        self._lines: list[tuple[QLineF, QPen]] = []

    def lay_out(self, frame: Frame) -> None:
        """Line across the strip, and one down to what is reached."""
        self._lines = []
        target = None if self.series is None else self.series.target
        if target is None or not frame.bottom <= target.value <= frame.top:
            return
        level = frame.point(0.0, target.value)[1]
        stroke = pen(self._palette.target, 1.6, DASHED)
        self._lines.append((QLineF(0.0, level, frame.width, level), stroke))
        if not (target.verdict and target.short) or self.series is None:
            return
        power = max(
            (float(np.interp(target.engine_speed, self.series.engine_speed, c.values)), c.name)
            for c in self.series.curves
            if c.name in target.name
        )[0]
        x, reached = frame.point(target.engine_speed, power)
        if math.isfinite(reached):
            self._lines.append((QLineF(x, level, x, reached), pen(self._palette.over, 1.4)))

    def draw(self, painter: QPainter) -> None:
        """Draw the lines."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        for line, stroke in self._lines:
            painter.setPen(stroke)
            painter.drawLine(line)


class LimitTexts:
    """Words of bounds and target, over the curves and clear of them where there is room.

    Parameters
    ----------
    palette : Palette
        Colours and size of the texts.
    curves : callable
        The curves as they are laid out.
    """

    def __init__(self, palette: Palette, curves: Callable[[], Sequence[Drawn]] = tuple) -> None:
        self._palette = palette
        self._small = Metrics(font(palette.sized(11)))
        self._bold = Metrics(font(palette.sized(11), bold=True))
        self._backing = backing_of(palette.canvas)
        self._header = palette.sized(HEADER)
        self.series: StripSeries | None = None
        self._curves = curves
        self.texts: list[Text] = []

    def lay_out(self, frame: Frame) -> None:
        """Put each text where no curve runs, near its line before further away."""
        self.texts = []
        series = self.series
        if series is None:
            return
        for bound in series.bounds:
            if frame.bottom <= bound.value <= frame.top:
                self._lay_bound(frame, bound)
        target = series.target
        if target is not None and frame.bottom <= target.value <= frame.top:
            self._lay_target(frame, series)

    def _lay_bound(self, frame: Frame, bound: StripBound) -> None:
        tall = self._small.height
        level = frame.point(0.0, bound.value)[1]
        # on the allowed side, where there is no hatch; then under the title
        beside = level - tall - 1.0 if bound.side == "below" else level + 1.0
        beside = min(max(beside, self._header), frame.height - tall)
        words = (bound.name, bound.name.partition(",")[0])
        boxes = [
            ((text, ""), Box(left, top, wide, tall))
            for text, wide in ((text, self._small.width(text)) for text in words)
            for left, top in (
                (SIDE, beside),
                (frame.width - SIDE - wide, beside),
                (SIDE, self._header),
                (frame.width - SIDE - wide, self._header),
            )
            if wide <= frame.width - 2.0 * SIDE or text == words[-1]
        ]
        (text, _), box = self._first_clear(boxes) or boxes[-4]
        colour = self._palette.faint_text
        self.texts.append(Text(text, box, self._small, colour, self._backing))

    def _lay_target(self, frame: Frame, series: StripSeries) -> None:
        """Name of the target and what is missing to it, one beside the other."""
        target = series.target
        assert target is not None
        tall = self._bold.height
        level = frame.point(0.0, target.value)[1]
        over, under = level - tall - 1.0, level + 2.0
        # over its line, under it, or on it, right under the title
        tops = [t for t in (over, under) if self._header <= t <= frame.height - tall]
        tops.append(self._header)
        room = frame.width - 2.0 * SIDE
        name, verdict = target.name.partition(",")[0], target.verdict.partition(",")[0]
        ways = [(target.name, target.verdict), (name, target.verdict), (name, verdict)]
        ways.append(("", verdict) if verdict else (name, ""))
        boxes = []
        for words in ways:
            widths = [self._small.width(words[0]), self._bold.width(words[1])]
            wide = sum(widths) + (GAP if all(widths) else 0.0)
            if wide <= room or words == ways[-1]:
                boxes += [
                    (words, Box(left, top, wide, tall))
                    for left in (SIDE, frame.width - SIDE - wide)
                    for top in tops
                ]
        (name, verdict), box = self._first_clear(boxes) or boxes[-2 * len(tops)]
        first, last = self._small.width(name), self._bold.width(verdict)
        colours = self._palette
        if name:
            named = Box(box.left, box.top, first, tall)
            self.texts.append(Text(name, named, self._small, colours.target, self._backing))
        if verdict:
            told = Box(box.left + box.width - last, box.top, last, tall)
            colour = colours.over if target.short else colours.clear
            self.texts.append(Text(verdict, told, self._bold, colour, self._backing))

    def _first_clear(
        self, boxes: Sequence[tuple[tuple[str, str], Box]]
    ) -> tuple[tuple[str, str], Box] | None:
        """Return the first place that no curve and no other text crosses."""
        curves = self._curves()
        for words, box in boxes:
            # the letters are lower than their line
            left, top, wide, tall = box.left - 2.0, box.top + 2.0, box.width + 4.0, box.height - 3.0
            if not any(box.overlaps(text.box) for text in self.texts) and not any(
                curve.crosses(left, top, wide, tall) for curve in curves
            ):
                return words, box
        return None

    def draw(self, painter: QPainter) -> None:
        """Draw the texts."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for text in self.texts:
            text.draw(painter)
