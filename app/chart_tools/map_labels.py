"""Outlines, speed lines and limits of a compressor map with all their texts."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from PySide6.QtGui import QPainter, QPolygonF

from app.chart_tools.canvas import Frame, Metrics, font, pen, polygon, wrapped
from app.chart_tools.palette import Palette
from app.chart_tools.parts import HATCH_DEPTH, Text, backing_of
from app.chart_tools.placing import Box, Placer, centred, cut_out, refined
from app.present.series import LineSeries, MapSeries, Outline, SpeedLine

Floats = NDArray[np.float64]

VALUE_TEXT, SPEED_TEXT, SIDE_TEXT, TITLE_TEXT = 11, 11, 13, 13
CORNER = 12.0
TURN = math.radians(12.0)
"""How far the row of values turns off the ridge, towards the choke side."""

LEAST_TITLE = 120.0
"""Width that the title may take in any case [px]."""

WAYS_BACK = 12
"""Places tried for the speed of a line that leaves the view, from its end backwards."""

_NEAR = 24
SIDE_GAP = HATCH_DEPTH + 4.0


class MapLines:
    """Everything of the map that is a line with a text: nothing covers anything.

    Parameters
    ----------
    series : MapSeries
        The map.
    palette : Palette
        Colours.
    band_words : str
        What the band about the operating line is; empty without one.
    """

    def __init__(self, series: MapSeries, palette: Palette, band_words: str = "") -> None:
        self._series, self._palette = series, palette
        self._values = Metrics(font(palette.sized(VALUE_TEXT)))
        self._speeds = Metrics(font(palette.sized(SPEED_TEXT), bold=True))
        self._sides = Metrics(font(palette.sized(SIDE_TEXT), italic=True))
        self._title = Metrics(font(palette.sized(TITLE_TEXT), bold=True))
        self._outlines: list[QPolygonF] = []
        self.texts: list[Text] = []
        self.placer = Placer(0.0, 0.0)
        self.title_box = Box(0.0, 0.0, 0.0, 0.0)
        self.line: LineSeries | None = None
        self.band_words = band_words
        self._speed_points = self._line_points = np.empty(0), np.empty(0)

    def lay_out(self, frame: Frame) -> None:
        """Place title, sides, speeds, then the values on the outlines."""
        self.placer = Placer(frame.width, frame.height)
        self.texts = []
        self._place_title(frame)
        self._place_speeds(frame)
        self._place_side(frame, "surge side", self._series.surge, -1.0, (0.62, 0.5, 0.75, 0.4))
        self._place_side(frame, "choke side", self._series.choke, 1.0, (0.5, 0.38, 0.6, 0.25))
        self._outlines = []
        lines = [refined(frame.x(s.flow), frame.y(s.ratio), 3.0) for s in self._series.speed_lines]
        if lines:
            x, y = zip(*lines, strict=True)
            self._speed_points = np.concatenate(x), np.concatenate(y)
        self._line_points = self._points_of_line(frame)
        for outline in reversed(self._series.outlines):
            self._place_value(frame, outline)

    def level_boxes(self) -> list[Box]:
        """Boxes of the level texts, which the hatch leaves free."""
        return [text.box for text in self.texts if not text.turn]

    def draw(self, painter: QPainter) -> None:
        """Draw outlines, then texts."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(pen(self._palette.outline, 1.0))
        for line in self._outlines:
            painter.drawPolyline(line)
        for text in self.texts:
            text.draw(painter)

    def _place_title(self, frame: Frame) -> None:
        """Title, note and unit of the speeds in the upper left corner, one block."""
        rows = [(self._series.title, self._title, self._palette.text)]
        if self._series.note:
            rows.append((self._series.note, self._sides, self._palette.close))
        if self._series.speed_lines:
            words = "speed lines: corrected speed in 1000 rpm"
            rows.append((words, self._values, self._palette.faint_text))
        if self.band_words:
            rows.append((self.band_words, self._values, self._palette.faint_text))
        room = self._room_for_title(frame, sum(metrics.height for _, metrics, _ in rows))
        rows = [
            (part, metrics, colour)
            for words, metrics, colour in rows
            for part in wrapped(words, metrics, room)
        ]
        height = sum(metrics.height for _, metrics, _ in rows)
        widest = max(metrics.width(words) for words, metrics, _ in rows)
        self.title_box = Box(CORNER, CORNER, widest, height)
        if self.placer.place([self.title_box]) is None:
            self.title_box = Box(CORNER, CORNER, 0.0, 0.0)
            return
        top = CORNER
        for words, metrics, colour in rows:
            box = Box(CORNER, top, metrics.width(words), metrics.height)
            self.texts.append(Text(words, box, metrics, colour))
            top += metrics.height

    def _room_for_title(self, frame: Frame, height: float) -> float:
        """Pixels from the corner to the surge side, as far down as the block reaches."""
        x, y = frame.x(self._series.surge[0]), frame.y(self._series.surge[1])
        beside = x[(y > 0.0) & (y < CORNER + 1.5 * height) & (x > 0.0)]
        nearest = float(beside.min()) - SIDE_GAP if beside.size else frame.width
        return max(min(nearest, frame.width) - 2.0 * CORNER, LEAST_TITLE)

    def _points_of_line(self, frame: Frame) -> tuple[Floats, Floats]:
        """Points of the operating line in pixels, close together."""
        line = self.line
        if line is None:
            return np.empty(0), np.empty(0)
        good = np.isfinite(line.flow) & np.isfinite(line.ratio)
        if good.sum() < 2:
            return np.empty(0), np.empty(0)
        return refined(frame.x(line.flow[good]), frame.y(line.ratio[good]), 3.0)

    def _place_speeds(self, frame: Frame) -> None:
        """Corrected speeds at the choke ends, outside the hatch, or where lines leave the view."""
        metrics = self._speeds
        ends = [frame.point(*end) for end in zip(*self._series.choke, strict=True)]
        last = self._series.speed_lines[-1] if self._series.speed_lines else None
        for line in reversed(self._series.speed_lines):
            x, y = frame.point(float(line.flow[-1]), float(line.ratio[-1]))
            if not (-20.0 <= x <= frame.width and 0.0 <= y <= frame.height):
                self._place_at_visible_end(frame, line)
                continue
            angle = _outward(ends, x, y)
            wide, tall = metrics.width(line.label), 0.86 * metrics.height
            candidates = []
            for far in (0.0, 7.0, 14.0, 24.0):
                gap = SIDE_GAP + far
                across = math.cos(angle) * (gap + 0.5 * wide)
                down = math.sin(angle) * (gap + 0.5 * tall)
                candidates.append(centred(x + across, y + down, wide, tall))
                right = centred(x + gap + 0.5 * wide, y, wide, tall)
                # the top one stands beside its line, clear of the fall
                candidates.insert(0 if not far and line is last else len(candidates), right)
            box = self.placer.place(candidates)
            if box is not None:
                colour = self._palette.speed_line
                self.texts.append(Text(line.label, box, metrics, colour))

    def _place_at_visible_end(self, frame: Frame, line: SpeedLine) -> None:
        """Corrected speed on its line, as near the choke end as the view reaches."""
        metrics = self._speeds
        wide, tall = metrics.width(line.label), 0.86 * metrics.height
        x, y = refined(frame.x(line.flow), frame.y(line.ratio), 3.0)
        seen = np.flatnonzero((x > 0.0) & (x < frame.width) & (y > 0.0) & (y < frame.height))
        places = seen[::-4][:WAYS_BACK].tolist()
        boxes = [centred(float(x[k]), float(y[k]), wide, tall) for k in places]
        box = self.placer.place(boxes)
        if box is not None:
            backing = backing_of(self._palette.canvas)
            self.texts.append(Text(line.label, box, metrics, self._palette.speed_line, backing))

    def _place_side(
        self,
        frame: Frame,
        words: str,
        curve: tuple[Floats, Floats],
        side: float,
        shares: tuple[float, ...],
    ) -> None:
        """Name of a side along its limit, outside the hatch."""
        x, y = frame.x(curve[0]), frame.y(curve[1])
        along = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(x), np.diff(y)))])
        metrics = self._sides
        wide, tall = metrics.width(words), metrics.height
        if along[-1] < wide:
            return
        for share in shares:
            for far in (0.0, 20.0, 34.0, 50.0) if side > 0.0 else (0.0, 14.0):
                ends = share * along[-1] + np.array([-0.5, 0.0, 0.5]) * wide
                px, py = np.interp(ends, along, x), np.interp(ends, along, y)
                angle = math.atan2(py[2] - py[0], px[2] - px[0])
                gap = SIDE_GAP + 0.5 * tall + far
                middle_x = px[1] - math.sin(angle) * gap * side
                middle_y = py[1] + math.cos(angle) * gap * side
                reach_x = abs(math.cos(angle)) * wide + abs(math.sin(angle)) * tall
                reach_y = abs(math.sin(angle)) * wide + abs(math.cos(angle)) * tall
                box = centred(middle_x, middle_y, reach_x, reach_y)
                if self.placer.place([box]):
                    turn = math.degrees(angle)
                    colour = self._palette.faint_text
                    self.texts.append(Text(words, box, metrics, colour, turn=turn))
                    return
        # no room along the limit: level, in the corner on its side
        left = frame.width - wide - CORNER if side > 0.0 else CORNER
        top = frame.height - tall - CORNER if side > 0.0 else self.title_box.height + 2.0 * CORNER
        corner = self.placer.place([Box(left, top, wide, tall)])
        if corner is not None:
            self.texts.append(Text(words, corner, metrics, self._palette.faint_text))

    def _place_value(self, frame: Frame, outline: Outline) -> None:
        """Value on its outline, which it interrupts."""
        metrics = self._values
        wide, tall = metrics.width(outline.label), 0.86 * metrics.height
        pieces = [refined(frame.x(p[:, 0]), frame.y(p[:, 1]), 3.0) for p in outline.pieces]
        taken: list[Box] = []
        if pieces:
            x, y = max(pieces, key=lambda piece: piece[0].size)
            boxes = self._clear_first(_by_ray(x, y, *self._ray(frame), wide, tall))
            box = self.placer.place(boxes)
            if box is not None:
                taken.append(box.grown(1.0))
                colour = self._palette.text
                self.texts.append(Text(outline.label, box, metrics, colour))
        for x, y in pieces:
            self._outlines += [polygon(px, py) for px, py in cut_out(x, y, taken)]

    def _ray(self, frame: Frame) -> tuple[tuple[float, float], float]:
        """Middle of the best island, and the direction up along it, a little to the right."""
        pieces = self._series.outlines[-1].pieces
        if not pieces:
            return (0.5 * frame.width, 0.5 * frame.height), -0.25 * math.pi
        points = np.vstack(pieces)
        x, y = frame.x(points[:, 0]), frame.y(points[:, 1])
        middle = float(x.mean()), float(y.mean())
        (xx, xy), (_, yy) = np.cov(x, y)
        angle = 0.5 * math.atan2(2.0 * xy, xx - yy)
        return middle, angle + TURN

    def _clear_first(self, boxes: list[Box]) -> list[Box]:
        """Boxes that no line crosses, then those that a speed line does, then the rest.

        The near ones only; the operating line is the one of the last rest.
        """
        (x, y), (along, up) = self._speed_points, self._line_points
        off_line = [box for box in boxes[:_NEAR] if not box.grown(3.0).holds(along, up).any()]
        clear = [box for box in off_line if not box.holds(x, y).any()]
        first = clear + [box for box in off_line if box not in clear]
        return first + [box for box in boxes if box not in first]


def _outward(ends: Sequence[tuple[float, float]], x: float, y: float) -> float:
    """Direction on the screen that points away from the map at a place of the choke line."""
    far = [math.hypot(a - x, b - y) for a, b in ends]
    near = min(max(far.index(min(far)), 1), len(ends) - 2)
    (a, b), (c, d) = ends[near - 1], ends[near + 1]
    return math.atan2(d - b, c - a) + 0.5 * math.pi


def _by_ray(
    x: Floats,
    y: Floats,
    start: tuple[float, float],
    angle: float,
    wide: float,
    tall: float,
) -> list[Box]:
    """Boxes on a curve, those near a ray first, so that the values stand in a row."""
    index = np.arange(1, x.size - 1, 2)
    dx, dy = x[index] - start[0], y[index] - start[1]
    cos, sin = math.cos(angle), math.sin(angle)
    beside, along = np.abs(dx * sin - dy * cos), dx * cos + dy * sin
    order = np.argsort(np.where(along > 0.0, beside, 1e4 + beside), kind="stable")
    return [centred(float(x[k]), float(y[k]), wide, tall) for k in index[order]]
