"""Compressor maps laid over each other: outlines and lines in one hue a map, named directly."""

from __future__ import annotations

import math

import numpy as np
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QPainter

from app.chart_tools.canvas import Frame, Metrics, cut, font, pen, polygon, wrapped
from app.chart_tools.palette import Palette
from app.chart_tools.parts import Curves, Text, backing_of
from app.chart_tools.placing import Box, Placer, around, centred
from app.chart_tools.strokes import Drawn, Stroke
from app.present.series_overlay import OverlayMap, OverlaySeries

SPEED_DASHES: tuple[tuple[float, ...], ...] = ((), (7.0, 4.0), (1.5, 3.0))
"""Dashes of the speed lines, so that grey print tells the maps apart."""

LINE_DASHES: tuple[tuple[float, ...], ...] = ((), (14.0, 3.0), (7.0, 3.0))
"""Dashes of the operating lines."""

OUTLINE, LINE, HALO = 2.0, 3.0, 5.5
"""Widths of outlines, operating lines and what stands them off [px]."""

CORNER, DISC = 10.0, 9.0
"""Room at the corner of the key, and radius of a letter's disc [px]."""

MOST_NOTES = 0.16
"""Share of the height that the notes take at most [-]: in a small picture they are left out."""

CLEAR = 5.0
"""Room kept at the left of and over the notes [px]."""

DOT = 5.0
"""Radius of the first line's dots [px]; later ones are smaller and stay seen on them."""

HOW_TO_READ = "a dot every 1000 rpm"
SPEEDS = "speed lines: corrected speed in 1000 rpm"


def hue_of(palette: Palette, place: int) -> str:
    """Colour of a map by its place."""
    return palette.trio[place % len(palette.trio)]


def overlay_key(series: OverlaySeries, palette: Palette) -> tuple[tuple[Stroke, str], ...]:
    """Strokes of the operating lines with what they are."""
    return tuple(
        (
            Stroke(hue_of(palette, k), LINE, LINE_DASHES[k]),
            f"{one.label}, {one.setting}" if one.setting else one.label,
        )
        for k, one in enumerate(series.maps)
    )


def overlay_curves(series: OverlaySeries, palette: Palette) -> Curves:
    """Speed lines and outlines of all maps, the first one on top."""
    curves = []
    for k, one in reversed(tuple(enumerate(series.maps))):
        hue, dashes = hue_of(palette, k), SPEED_DASHES[k]
        thin = pen(hue, 1.0, dashes, 190)
        curves += [(line.flow, line.ratio, thin) for line in one.map.speed_lines]
        whole = pen(hue, OUTLINE)
        top = one.map.speed_lines[-1]
        curves += [(*one.map.surge, whole), (*one.map.choke, whole), (top.flow, top.ratio, whole)]
    return Curves(curves)


class OverlayLines:
    """Operating lines of all maps with their dots, and every text of the picture.

    Parameters
    ----------
    series : OverlaySeries
        The maps.
    palette : Palette
        Colours.
    is_covered : bool
        Whether the lines and how they are driven are left out.
    """

    def __init__(self, series: OverlaySeries, palette: Palette, is_covered: bool) -> None:
        self._series, self._palette, self._covered = series, palette, is_covered
        self._bold = Metrics(font(palette.sized(12), bold=True))
        self._plain = Metrics(font(palette.sized(11)))
        self.texts: list[Text] = []
        self._lines: list[Drawn] = []
        self._halos: list[Drawn] = []
        self._dots: list[tuple[float, float, float, str]] = []
        self._discs: list[tuple[float, float, str, str]] = []
        self._key: list[tuple[Stroke, float]] = []
        self.placer = Placer(0.0, 0.0)

    def lay_out(self, frame: Frame) -> None:
        """Key first, then letters, ends of lines, speeds."""
        self.placer = Placer(frame.width, frame.height)
        self.texts, self._lines, self._dots, self._discs, self._key = [], [], [], [], []
        self._halos = []
        self._lay_key(frame)
        for k, one in enumerate(self._series.maps):
            self._lay_letter(frame, k, one)
        if not self._covered:
            for k, one in enumerate(self._series.maps):
                self._lay_line(frame, k, one)
        for k, one in enumerate(self._series.maps):
            self._lay_speeds(frame, k, one)

    def _lay_key(self, frame: Frame) -> None:
        """What is what, in the upper left corner."""
        tall, top = self._bold.height + 1.0, CORNER
        room = max(frame.width - 2.0 * CORNER - 34.0, 60.0)
        left = CORNER + 34.0
        for k, (stroke, _) in enumerate(overlay_key(self._series, self._palette)):
            one = self._series.maps[k]
            told = cut(one.label, self._bold, room) if self._covered else self._told(one, room)
            box = Box(left, top, self._bold.width(told), self._bold.height)
            hue = hue_of(self._palette, k)
            self.texts.append(Text(told, box, self._bold, hue, backing_of(self._palette.canvas)))
            self._key.append((stroke, top + 0.5 * self._bold.height))
            self.placer.taken.append(Box(CORNER, top, 34.0 + box.width, tall))
            top += tall
        self._lay_notes(frame)

    def _told(self, one: OverlayMap, room: float) -> str:
        """What a map is called and how it is driven; a long name is cut, not what drives it."""
        tail = f", {one.setting}" if one.setting else ""
        return cut(one.label, self._bold, room - self._bold.width(tail)) + tail

    def _lay_notes(self, frame: Frame) -> None:
        """How to read it, in the lower right corner, where no map has anything."""
        notes = [SPEEDS]
        if self._series.day and not self._covered:
            notes.insert(0, f"{self._series.day} day, {HOW_TO_READ}")
        if self._series.note:
            notes.append(self._series.note)
        room = 0.5 * frame.width
        rows = [row for note in notes for row in wrapped(note, self._plain, room)]
        top = frame.height - CORNER - len(rows) * self._plain.height
        if len(rows) * self._plain.height > MOST_NOTES * frame.height:
            return
        backing = backing_of(self._palette.canvas)
        for row in rows:
            wide = self._plain.width(row)
            box = Box(frame.width - CORNER - wide, top, wide, self._plain.height)
            self.texts.append(Text(row, box, self._plain, self._palette.faint_text, backing))
            # speeds at the ends of the lines keep clear of it
            self.placer.taken.append(Box(box.left - CLEAR, top - CLEAR, wide + CLEAR, box.height))
            top += self._plain.height

    @staticmethod
    def head_of(series: OverlaySeries, palette: Palette) -> float:
        """Height that the key takes [px]."""
        tall = Metrics(font(palette.sized(12), bold=True)).height + 1.0
        return CORNER + tall * len(series.maps) + 4.0

    def _lay_letter(self, frame: Frame, place: int, one: OverlayMap) -> None:
        """Letter of a map at its outline: on the surge side from the top, or on the choke side."""
        size = self._palette.sized(DISC)
        surge, choke = one.map.surge, one.map.choke
        for (flow, ratio), side in ((surge, -1.0), (choke, 1.0)):
            for at in (-1, -6, -14, -24, -40, -60):
                if abs(at) > flow.size:
                    break
                x, y = frame.point(float(flow[at]), float(ratio[at]))
                box = centred(x + side * (size + 4.0), y, 2.0 * size, 2.0 * size)
                if self.placer.place([box]):
                    middle = x + side * (size + 4.0)
                    self._discs.append((middle, y, one.letter, hue_of(self._palette, place)))
                    return

    def _lay_line(self, frame: Frame, place: int, one: OverlayMap) -> None:
        """Operating line, its dots, and letter with engine speed at its end."""
        line = one.line
        if line is None:
            return
        hue = hue_of(self._palette, place)
        x, y = frame.x(line.flow), frame.y(line.ratio)
        halo, stroke = (
            Stroke(self._palette.canvas, HALO),
            Stroke(hue, LINE, LINE_DASHES[place % len(LINE_DASHES)]),
        )
        runs = [(p.start, p.stop) for p in line.pieces if p.stop - p.start > 1]
        # halos under all of the lines: those of one engine nearly lie on each other
        self._halos += [Drawn(x[a:b], y[a:b], halo) for a, b in runs]
        self._lines += [Drawn(x[a:b], y[a:b], stroke) for a, b in runs]
        radius = DOT - 1.1 * place
        ticks = zip(frame.x(line.tick_flow), frame.y(line.tick_ratio), strict=True)
        for (a, b), labelled in zip(ticks, line.tick_labelled.tolist(), strict=True):
            if labelled:
                self._dots.append((float(a), float(b), radius, hue))
        good = np.flatnonzero(np.isfinite(x) & np.isfinite(y))
        if not good.size:
            return
        last = int(good[-1])
        words = f"{one.letter}  {line.engine_speed[last]:.0f} rpm"
        wide, tall = self._bold.width(words), self._bold.height
        box = self.placer.place(around(float(x[last]), float(y[last]), wide, tall, 8.0))
        if box is not None:
            backing = backing_of(self._palette.canvas)
            self.texts.append(Text(words, box, self._bold, hue, backing))

    def _lay_speeds(self, frame: Frame, place: int, one: OverlayMap) -> None:
        """Corrected speeds at the choke ends, where there is room."""
        for line in reversed(one.map.speed_lines):
            x, y = frame.point(float(line.flow[-1]), float(line.ratio[-1]))
            if not (math.isfinite(x) and math.isfinite(y)):
                continue
            wide, tall = self._plain.width(line.label), 0.86 * self._plain.height
            box = self.placer.place([Box(x + 5.0, y - 0.3 * tall, wide, tall)])
            if box is not None:
                backing = backing_of(self._palette.canvas, 170)
                hue = hue_of(self._palette, place)
                self.texts.append(Text(line.label, box, self._plain, hue, backing))

    def draw(self, painter: QPainter) -> None:
        """Draw lines, dots, key, texts, letters."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for line in (*self._halos, *self._lines):
            line.draw(painter)
        for x, y, radius, hue in self._dots:
            painter.setPen(pen(self._palette.canvas, 1.2))
            painter.setBrush(QColor(hue))
            painter.drawEllipse(QPointF(x, y), radius, radius)
        for text in self.texts:
            text.draw(painter)
        for stroke, level in self._key:
            painter.setPen(stroke.pen())
            painter.drawLine(QPointF(CORNER, level), QPointF(CORNER + 27.0, level))
        size = self._palette.sized(DISC)
        for x, y, letter, hue in self._discs:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(hue))
            painter.drawEllipse(QPointF(x, y), size, size)
            box = centred(x, y, self._bold.width(letter), self._bold.height)
            Text(letter, box, self._bold, self._palette.canvas).draw(painter)


class OverlayOutlines:
    """Efficiency outlines of the first map with their values, where its islands are shaded."""

    def __init__(self, one: OverlayMap, palette: Palette) -> None:
        self._one, self._palette = one, palette
        self._metrics = Metrics(font(palette.sized(11)))
        self._drawn: list[tuple[np.ndarray, np.ndarray]] = []
        self.texts: list[Text] = []

    def lay_out(self, frame: Frame) -> None:
        """Outlines in pixels, a value on each."""
        self._drawn, self.texts = [], []
        placer = Placer(frame.width, frame.height)
        for outline in reversed(self._one.map.outlines):
            pieces = [(frame.x(p[:, 0]), frame.y(p[:, 1])) for p in outline.pieces]
            self._drawn += pieces
            if not pieces:
                continue
            x, y = max(pieces, key=lambda piece: piece[0].size)
            wide, tall = self._metrics.width(outline.label), 0.86 * self._metrics.height
            order = np.argsort(y, kind="stable")[:: max(1, y.size // 12)]
            boxes = [centred(float(x[k]), float(y[k]), wide, tall) for k in order]
            box = placer.place(boxes)
            if box is not None:
                backing = backing_of(self._palette.canvas, 150)
                colour = self._palette.faint_text
                self.texts.append(Text(outline.label, box, self._metrics, colour, backing))

    def draw(self, painter: QPainter) -> None:
        """Draw outlines, then values."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(pen(self._palette.outline, 1.0, alpha=150))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for x, y in self._drawn:
            painter.drawPolyline(polygon(x, y))
        for text in self.texts:
            text.draw(painter)
