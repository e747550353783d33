"""Bounds, target and what is missing in a strip, with their words."""

from __future__ import annotations

import math

import numpy as np
from PySide6.QtCore import QLineF
from PySide6.QtGui import QPainter, QPen

from app.chart_tools.canvas import Frame, Metrics, font, pen
from app.chart_tools.palette import Palette
from app.chart_tools.parts import Text, backing_of, hatch_strokes
from app.chart_tools.placing import Box
from app.present.series import StripBound, StripSeries

HEADER = 18.0
"""Pixels at the top of a strip kept for its title and values."""

DASHED = (5.0, 3.0)


class StripBounds:
    """Bounds with their hatch; they stand still while a slider is dragged."""

    def __init__(self, palette: Palette) -> None:
        self._palette = palette
        self._small = Metrics(font(11))
        self.bounds: tuple[StripBound, ...] = ()
        self._lines: list[tuple[QLineF, QPen]] = []
        self._strokes: list[QLineF] = []
        self.texts: list[Text] = []

    def lay_out(self, frame: Frame) -> None:
        """Lines across the strip and their texts."""
        self._lines, self._strokes, self.texts = [], [], []
        for bound in self.bounds:
            self._lay_bound(frame, bound)

    def _lay_bound(self, frame: Frame, bound: StripBound) -> None:
        if not frame.bottom <= bound.value <= frame.top:
            return
        level = frame.point(0.0, bound.value)[1]
        across, stroke = np.array([0.0, frame.width]), pen(self._palette.limit, 1.3)
        plain = bound.side == "none"
        if plain:
            stroke = pen(self._palette.faint_text, 1.1, DASHED)
        else:
            side = -1.0 if bound.side == "above" else 1.0
            self._strokes += hatch_strokes(across, np.array([level, level]), side, 8.0, 9.0)
        self._lines.append((QLineF(0.0, level, frame.width, level), stroke))
        tall = self._small.height
        wide = self._small.width(bound.name)
        # on the allowed side, where there is no hatch
        top = level - tall - 1.0 if bound.side == "below" else level + 1.0
        top = min(max(top, HEADER), frame.height - tall)
        box = Box(8.0, top, wide, tall)
        backing = backing_of(self._palette.canvas)
        self.texts.append(Text(bound.name, box, self._small, self._palette.faint_text, backing))

    def draw(self, painter: QPainter) -> None:
        """Draw hatch and lines."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        painter.setPen(pen(self._palette.limit, 1.0, alpha=130))
        painter.drawLines(self._strokes)
        for line, stroke in self._lines:
            painter.setPen(stroke)
            painter.drawLine(line)


class StripTarget:
    """The target with its words, and what is missing; it follows the curves."""

    def __init__(self, palette: Palette) -> None:
        self._palette = palette
        self._small = Metrics(font(11))
        self._bold = Metrics(font(11, bold=True))
        self.series: StripSeries | None = None
        self._lines: list[tuple[QLineF, QPen]] = []
        self.texts: list[Text] = []

    def lay_out(self, frame: Frame) -> None:
        """Line across the strip and its texts."""
        self._lines, self.texts = [], []
        series = self.series
        if series is None:
            return
        target = series.target
        if target is None or not frame.bottom <= target.value <= frame.top:
            return
        level = frame.point(0.0, target.value)[1]
        stroke = pen(self._palette.target, 1.6, DASHED)
        self._lines.append((QLineF(0.0, level, frame.width, level), stroke))
        backing = backing_of(self._palette.canvas)
        tall = self._small.height
        over = level - tall - 1.0 if level - tall > HEADER else level + 2.0
        name = Box(8.0, over, self._small.width(target.name), tall)
        self.texts.append(Text(target.name, name, self._small, self._palette.target, backing))
        if not target.verdict:
            return
        wide = self._bold.width(target.verdict)
        colour = self._palette.over if target.short else self._palette.clear
        x = frame.point(target.engine_speed, 0.0)[0]
        box = self._free_box(frame, series, name, x, level, wide)
        self.texts.append(Text(target.verdict, box, self._bold, colour, backing))
        power = max(
            (float(np.interp(target.engine_speed, series.engine_speed, c.values)), c.name)
            for c in series.curves
            if c.name in target.name
        )[0]
        reached = frame.point(target.engine_speed, power)[1]
        if target.short and math.isfinite(reached):
            self._lines.append((QLineF(x, level, x, reached), pen(self._palette.over, 1.4)))

    def _free_box(
        self, frame: Frame, series: StripSeries, name: Box, x: float, level: float, wide: float
    ) -> Box:
        """Place beside the target line that no curve crosses, near an x if there is one."""
        tall = self._bold.height
        lowest, highest = name.left + name.width + 14.0, frame.width - wide - 6.0
        near = min(max(x - 0.5 * wide, lowest), highest)
        tops = [t for t in (level - tall - 1.0, level + 2.0) if HEADER <= t < frame.height - tall]
        boxes = [
            Box(left, top, wide, tall)
            for left in (near, near - 0.6 * wide, near - 1.2 * wide, near - 2.4 * wide)
            for top in tops
            if left >= lowest
        ]
        along = frame.x(series.engine_speed)
        for box in boxes:
            curves = (frame.y(curve.values) for curve in series.curves)
            if not any(box.grown(2.0).holds(along, y).any() for y in curves):
                return box
        return boxes[0] if boxes else Box(near, name.top, wide, tall)

    def draw(self, painter: QPainter) -> None:
        """Draw the lines."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        for line, stroke in self._lines:
            painter.setPen(stroke)
            painter.drawLine(line)


class LimitTexts:
    """Texts of bounds and target, over the curves."""

    def __init__(self, bounds: StripBounds, target: StripTarget) -> None:
        self._bounds, self._target = bounds, target

    def lay_out(self, frame: Frame) -> None:
        """Leave it to bounds and target."""

    def draw(self, painter: QPainter) -> None:
        """Draw the texts."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for text in (*self._bounds.texts, *self._target.texts):
            text.draw(painter)
