"""Parts of the belt's drawing: pulleys, pitch line with its direction, tensioner, texts."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPolygonF

from app.chart_tools.canvas import Frame, Metrics, font, pen, wrapped
from app.chart_tools.palette import Palette
from app.chart_tools.parts import Text, backing_of
from app.chart_tools.placing import Box, Placer, centred, refined
from app.chart_tools.strokes import Stroke
from app.present.series_belt import BeltCircle, BeltSeries

Floats = NDArray[np.float64]

BELT_WIDTH, GHOST_WIDTH = 2.4, 1.6
ARROW, GAP = 7.0, 7.0
"""Half the length of an arrow head, and the room between a pulley and its texts [px]."""

NAMED_FROM = 46.0
"""Length of a span from which its direction is marked [px]."""

TEXT = 12
GHOST = 1
"""Which of the ghosts' colours the belt round another pulley has."""

SHARES = (0.0, -0.25, 0.25)
"""Places along a span at which its name is tried, from its middle, as shares of its length."""

PIVOT = 4.0
"""Radius of an arm's pivot [px]."""

CLOSE = 4.0
"""Distance of the points along the belt that texts keep off [px]."""

STEPS_OUT = 8
"""Rings of places that are tried for a text about its pulley."""


def belt_stroke(palette: Palette) -> Stroke:
    """Stroke of the belt."""
    return Stroke(palette.line, BELT_WIDTH)


def ghost_stroke(palette: Palette) -> Stroke:
    """Stroke of the belt round another pulley."""
    return Stroke(palette.ghosts[GHOST], GHOST_WIDTH, (6.0, 4.0))


def arrow_head(x: float, y: float, angle: float, size: float = ARROW) -> QPolygonF:
    """Triangle about a point in pixels that shows a direction on the screen [rad]."""
    c, s = math.cos(angle), math.sin(angle)
    corners = ((size, 0.0), (-size, 0.75 * size), (-size, -0.75 * size))
    return QPolygonF([QPointF(x + c * a - s * b, y + s * a + c * b) for a, b in corners])


class BeltPart:
    """All of a belt's drawing on one layer.

    Parameters
    ----------
    series : BeltSeries
        The layout.
    palette : Palette
        Colours.
    """

    def __init__(self, series: BeltSeries, palette: Palette) -> None:
        self._series, self._palette = series, palette
        self._plain = Metrics(font(palette.sized(TEXT)))
        self._bold = Metrics(font(palette.sized(TEXT), bold=True))
        self.texts: list[Text] = []
        self._frame: Frame | None = None

    def lay_out(self, frame: Frame) -> None:
        """Place the texts."""
        self._frame, self.texts = frame, []
        placer = Placer(frame.width, frame.height, 3.0)
        self._add_titles(placer)
        travel = self._series.travel
        if travel is not None and travel.pivot is not None:
            placer.taken.append(centred(*frame.point(*travel.pivot), 2.0 * PIVOT, 2.0 * PIVOT))
        belt = self._belt_points()
        for one in sorted(self._series.circles, key=lambda circle: -circle.radius):
            self._add_label(one, placer, belt)
        for span in (one for one in self._series.spans if one.name):
            x, y = frame.point(span.x, span.y)
            wide, tall = self._plain.width(span.name), self._plain.height
            run = span.length * self._scale
            along = math.cos(span.angle) * run, -math.sin(span.angle) * run
            boxes = (
                box
                for share in SHARES
                for box in _beside(x + share * along[0], y + share * along[1], along, wide, tall)
            )
            box = self._best(boxes, placer, belt)
            if box is not None:
                self._add(span.name, box, self._plain, self._palette.faint_text)
        self._add_travel(placer, belt)

    def _belt_points(self) -> Floats:
        """Points close together along both belts, in pixels."""
        both = []
        for outline in (self._series.outline, self._series.ghost_outline):
            points = self._pixels(outline)
            if len(points):
                both.append(np.column_stack(refined(points[:, 0], points[:, 1], CLOSE)))
        return np.vstack(both) if both else np.empty((0, 2))

    def _best(self, boxes: Iterable[Box], placer: Placer, belt: Floats) -> Box | None:
        """Take the first free place off the belt and off all pulleys, as far as there is one."""
        free = [box for box in boxes if placer.free(box)]
        clear = [box for box in free if not box.grown(2.0).holds(belt[:, 0], belt[:, 1]).any()]
        best = [box for box in clear if not self._on_pulley(box)]
        found = next(iter(best or clear or free), None)
        if found is not None:
            placer.taken.append(found)
        return found

    def _pixels(self, points: Floats) -> Floats:
        frame = self._frame
        if frame is None or not points.size:
            return np.empty((0, 2))
        return np.column_stack((frame.x(points[:, 0]), frame.y(points[:, 1])))

    def _add(self, text: str, box: Box, metrics: Metrics, colour: str) -> None:
        backing = backing_of(self._palette.canvas, 200)
        self.texts.append(Text(text, box, metrics, colour, backing))

    def _titles(self, width: float) -> list[tuple[str, Metrics, str]]:
        """What the lines are, in rows that fit a width."""
        look = self._palette
        told = [
            (self._series.words, self._bold, look.text),
            (self._series.ghost_words, self._plain, look.ghosts[GHOST]),
        ]
        return [
            (row, metrics, colour)
            for words, metrics, colour in told
            for row in wrapped(words, metrics, width - 2.0 * GAP)
        ]

    def title_height(self, width: float) -> float:
        """Height of the titles on a plot of a width [px]."""
        return sum(metrics.height + 2.0 for _, metrics, _ in self._titles(width)) + GAP

    def _add_titles(self, placer: Placer) -> None:
        top = GAP
        for words, metrics, colour in self._titles(placer.width):
            box = Box(GAP, top, metrics.width(words), metrics.height)
            placer.taken.append(box)
            self._add(words, box, metrics, colour)
            top += metrics.height + 2.0

    def _label(self, one: BeltCircle) -> list[tuple[str, Metrics, str]]:
        look = self._palette
        rows = [(one.name, self._bold, look.text)]
        more = [one.role] if one.role not in one.name.lower() else []
        more += ["on its back"] if one.is_back else []
        more += [f"wrap {one.wrap:.0f}\u00b0"] if math.isfinite(one.wrap) else []
        rows += [(words, self._plain, look.text) for words in more]
        ghost = self._series.ghost_circle
        if ghost is not None and ghost.name == one.name and math.isfinite(ghost.wrap):
            rows.append((f"wrap {ghost.wrap:.0f}\u00b0", self._plain, look.ghosts[GHOST]))
        return rows

    def _add_label(self, one: BeltCircle, placer: Placer, belt: Floats) -> None:
        assert self._frame is not None
        rows = self._label(one)
        wide = max(metrics.width(words) for words, metrics, _ in rows)
        tall = sum(metrics.height for _, metrics, _ in rows)
        x, y = self._frame.point(one.x, one.y)
        r = one.radius * self._scale
        box = centred(x, y, wide, tall)
        if math.hypot(wide, tall) <= 2.0 * (r - 3.0) and placer.free(box):
            placer.taken.append(box)
        else:
            box = self._best(_rings(x, y, r, wide, tall), placer, belt) or box
        top = box.top
        for words, metrics, colour in rows:
            left = box.left + 0.5 * (box.width - metrics.width(words))
            place = Box(left, top, metrics.width(words), metrics.height)
            self._add(words, place, metrics, colour)
            top += metrics.height

    @property
    def _scale(self) -> float:
        """Pixels of a display unit, the same on both axes."""
        frame = self._frame
        return 0.0 if frame is None else frame.width / (frame.right - frame.left)

    def _on_pulley(self, box: Box) -> bool:
        assert self._frame is not None
        for one in self._series.circles:
            x, y = self._frame.point(one.x, one.y)
            r = one.radius * self._scale
            near_x = min(max(x, box.left), box.left + box.width)
            near_y = min(max(y, box.top), box.top + box.height)
            if math.hypot(near_x - x, near_y - y) < r:
                return True
        return False

    def _add_travel(self, placer: Placer, belt: Floats) -> None:
        travel = self._series.travel
        if travel is None or self._frame is None:
            return
        at, reach = travel.pivot, PIVOT
        if at is None:
            at, reach = (float(travel.way[-1, 0]), float(travel.way[-1, 1])), travel.radius
            reach *= self._scale
        wide, tall = self._plain.width(travel.words), self._plain.height
        box = self._best(_rings(*self._frame.point(*at), reach, wide, tall), placer, belt)
        if box is not None:
            self._add(travel.words, box, self._plain, self._palette.second)

    # drawing

    def draw(self, painter: QPainter) -> None:
        """Draw pulleys, tensioner, ghost, belt, texts."""
        if self._frame is None:
            return
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for one in self._series.circles:
            self._draw_circle(painter, one)
        self._draw_travel(painter)
        self._draw_ghost(painter)
        self._draw_line(painter, self._series.outline, belt_stroke(self._palette))
        self._draw_arrows(painter)
        for text in self.texts:
            text.draw(painter)

    def _disc(self, x: float, y: float, radius: float) -> QRectF:
        assert self._frame is not None
        px, py = self._frame.point(x, y)
        r = radius * self._scale
        return QRectF(px - r, py - r, 2.0 * r, 2.0 * r)

    def _draw_circle(self, painter: QPainter, one: BeltCircle) -> None:
        look = self._palette
        widths = {"crank": 2.4, "blower": 2.4}
        painter.setPen(pen(look.speed_line, widths.get(one.role, 1.2)))
        painter.setBrush(QColor(look.grid if one.role == "idler" else look.background))
        place = self._disc(one.x, one.y, one.radius)
        painter.drawEllipse(place)
        middle = place.center()
        painter.setPen(pen(look.speed_line, 1.0))
        for dx, dy in ((4.0, 0.0), (0.0, 4.0)):
            reach = QPointF(dx, dy)
            painter.drawLine(QLineF(middle - reach, middle + reach))

    def _draw_travel(self, painter: QPainter) -> None:
        travel = self._series.travel
        if travel is None or self._frame is None:
            return
        look = self._palette
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(pen(look.second, 1.0, (3.0, 3.0)))
        for x, y in (travel.way[0], travel.way[-1]):
            painter.drawEllipse(self._disc(float(x), float(y), travel.radius))
        painter.setPen(pen(look.second, 2.0))
        way = self._pixels(travel.way)
        painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in way.tolist()]))
        if travel.pivot is None:
            return
        x, y = self._frame.point(*travel.pivot)
        carried = self._carried()
        if carried is not None:
            painter.drawLine(QLineF(x, y, *self._frame.point(carried.x, carried.y)))
        painter.setBrush(QColor(look.canvas))
        painter.drawEllipse(QRectF(x - PIVOT, y - PIVOT, 2.0 * PIVOT, 2.0 * PIVOT))

    def _carried(self) -> BeltCircle | None:
        """The pulley that the tensioner carries: the nearest to its way."""
        travel = self._series.travel
        if travel is None or not self._series.circles:
            return None

        def far(one: BeltCircle) -> float:
            return float(np.min(np.hypot(travel.way[:, 0] - one.x, travel.way[:, 1] - one.y)))

        return min(self._series.circles, key=far)

    def _draw_ghost(self, painter: QPainter) -> None:
        one, stroke = self._series.ghost_circle, ghost_stroke(self._palette)
        if one is not None:
            painter.setPen(stroke.pen())
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawEllipse(self._disc(one.x, one.y, one.radius))
        self._draw_line(painter, self._series.ghost_outline, stroke)

    def _draw_line(self, painter: QPainter, outline: Floats, stroke: Stroke) -> None:
        points = self._pixels(outline)
        if len(points):
            painter.setPen(stroke.pen())
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in points.tolist()]))

    def _draw_arrows(self, painter: QPainter) -> None:
        assert self._frame is not None
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(self._palette.line))
        for span in self._series.spans:
            if span.length * self._scale >= NAMED_FROM:
                painter.drawPolygon(arrow_head(*self._frame.point(span.x, span.y), -span.angle))


def _rings(x: float, y: float, r: float, wide: float, tall: float) -> list[Box]:
    """Boxes about a disc, outwards, sixteen directions a ring."""
    boxes = []
    for step in range(STEPS_OUT):
        for k in range(16):
            angle = k * math.pi / 8.0
            c, s = math.cos(angle), math.sin(angle)
            reach = r + GAP * (1.0 + 2.0 * step)
            at_x = x + c * (reach + 0.5 * wide * abs(c)) + 0.5 * wide * c * (1.0 - abs(c))
            at_y = y + s * (reach + 0.5 * tall)
            boxes.append(centred(at_x, at_y, wide, tall))
    return boxes


def _beside(
    x: float, y: float, along: tuple[float, float], wide: float, tall: float
) -> Iterator[Box]:
    """Boxes on both sides of a point of a line that runs in a direction on the screen."""
    run = max(math.hypot(*along), 1e-9)
    c, s = -along[1] / run, along[0] / run
    for step in range(STEPS_OUT):
        reach = 5.0 + 6.0 * step + 0.5 * (wide * abs(c) + tall * abs(s))
        for side in (1.0, -1.0):
            yield centred(x + side * c * reach, y + side * s * reach, wide, tall)
