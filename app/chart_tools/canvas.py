"""Pixel frame of a plot, and the layer that keeps what does not move.

Parts draw in the pixels of the plot's view box: pen widths and text sizes stay as they are at
every zoom, and an export at any scale draws the same parts again as vectors.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
import pyqtgraph as pg
from numpy.typing import NDArray
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontMetricsF,
    QPaintEngine,
    QPainter,
    QPen,
    QPixmap,
    QPolygonF,
)
from PySide6.QtWidgets import QGraphicsItem, QStyleOptionGraphicsItem, QWidget

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Frame:
    """Ranges of a plot and its size in pixels: from display units to pixels and back."""

    left: float
    right: float
    bottom: float
    top: float
    width: float
    height: float

    def x(self, values: Floats) -> Floats:
        """Pixels from the left."""
        return np.asarray((values - self.left) * (self.width / (self.right - self.left)))

    def y(self, values: Floats) -> Floats:
        """Pixels from the top."""
        return np.asarray((self.top - values) * (self.height / (self.top - self.bottom)))

    def point(self, x: float, y: float) -> tuple[float, float]:
        """Pixels of one point."""
        return (
            (x - self.left) * self.width / (self.right - self.left),
            (self.top - y) * self.height / (self.top - self.bottom),
        )

    def value(self, x: float, y: float) -> tuple[float, float]:
        """Display units of one pixel."""
        return (
            self.left + x * (self.right - self.left) / self.width,
            self.top - y * (self.top - self.bottom) / self.height,
        )

    def polygon(self, x: Floats, y: Floats) -> QPolygonF:
        """Polygon in pixels of points in display units."""
        return polygon(self.x(x), self.y(y))

    @property
    def rect(self) -> QRectF:
        """The whole plot."""
        return QRectF(0.0, 0.0, self.width, self.height)


def polygon(x: Floats, y: Floats) -> QPolygonF:
    """Qt polygon of pixel coordinates."""
    made: QPolygonF = pg.functions.arrayToQPolygonF(x, y)
    return made


def frame_of(view_box: Any) -> Frame | None:
    """Frame of a view box; nothing while it has no size."""
    (left, right), (bottom, top) = view_box.viewRange()
    size = view_box.rect()
    if size.width() < 2.0 or size.height() < 2.0 or right <= left or top <= bottom:
        return None
    return Frame(left, right, bottom, top, size.width(), size.height())


def pen(
    colour: str,
    width: float = 1.0,
    dashes: Sequence[float] = (),
    alpha: int = 255,
) -> QPen:
    """Pen of a colour "#rrggbb"; dashes in multiples of the width."""
    shade = QColor(colour)
    shade.setAlpha(alpha)
    made = QPen(shade, width)
    made.setCapStyle(Qt.PenCapStyle.FlatCap)
    made.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    if dashes:
        made.setDashPattern(list(dashes))
    return made


def font(points: float, *, bold: bool = False, italic: bool = False) -> QFont:
    """Return the charts' font at a size in pixels."""
    made = QFont()
    made.setPixelSize(round(points))
    made.setBold(bold)
    made.setItalic(italic)
    return made


class Metrics:
    """Width and height of texts in one font, measured once each."""

    def __init__(self, of: QFont) -> None:
        self.font = of
        self._metrics = QFontMetricsF(of)
        self._widths: dict[str, float] = {}
        self.height = self._metrics.height()
        self.ascent = self._metrics.ascent()

    def width(self, text: str) -> float:
        """Width of a text in pixels."""
        if text not in self._widths:
            self._widths[text] = self._metrics.horizontalAdvance(text)
        return self._widths[text]


def wrapped(text: str, metrics: Metrics, room: float, most: int = 3) -> list[str]:
    """Lines of a text that fit a width, parted at spaces; what is too much ends in "…"."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and metrics.width(longer) <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    if len(lines) > most:
        lines = [*lines[: most - 1], " ".join(lines[most - 1 :])]
    return [cut(line, metrics, room) for line in lines]


def cut(line: str, metrics: Metrics, room: float) -> str:
    """Text that fits a width, with "…" where it was cut."""
    if metrics.width(line) <= room:
        return line
    while len(line) > 1 and metrics.width(f"{line}…") > room:
        line = line[:-1]
    return f"{line}…"


class Part(Protocol):
    """One thing on a layer: laid out when the frame changes, then drawn as often as needed."""

    def lay_out(self, frame: Frame) -> None:
        """Work out pixels for a frame."""

    def draw(self, painter: QPainter) -> None:
        """Draw what was laid out."""


class Layer(QGraphicsItem):
    """Parts over the whole of a view box, in its pixels.

    Parameters
    ----------
    view_box : pyqtgraph.ViewBox
        Where it lies.
    height : float
        Order among the layers.
    kept : bool
        Whether the parts are drawn once into a pixmap and copied from there on the screen.

    Attributes
    ----------
    ground : QColor or None
        Colour under the parts; a kept picture with a ground is copied, one without is blended.
    """

    def __init__(self, view_box: Any, height: float, *, kept: bool = False) -> None:
        super().__init__(view_box)
        self.setZValue(height)
        self.setAcceptedMouseButtons(Qt.MouseButton.NoButton)
        self._view_box = view_box
        self._parts: list[Part] = []
        self._kept = kept
        self._picture: QPixmap | None = None
        self._laid_out: Frame | None = None
        self.frame: Frame | None = None
        self.ground: QColor | None = None

    def set_parts(self, parts: Sequence[Part]) -> None:
        """Replace the parts."""
        self._parts = list(parts)
        self.refresh()

    def refresh(self) -> None:
        """Lay the parts out again and draw them at the next paint."""
        frame = frame_of(self._view_box)
        if self.frame is None or frame is None or frame.rect != self.frame.rect:
            self.prepareGeometryChange()
        self.frame = frame
        self._laid_out = None
        self._picture = None
        self.update()

    def boundingRect(self) -> QRectF:
        """Return the whole view box."""
        return self.frame.rect if self.frame is not None else QRectF()

    def lay_out(self) -> None:
        """Lay the parts out now, if that is still to do."""
        if self.frame is None or self._laid_out is self.frame:
            return
        for part in self._parts:
            part.lay_out(self.frame)
        self._laid_out = self.frame

    def paint(
        self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None
    ) -> None:
        """Draw the parts, or copy the kept picture of them."""
        if self.frame is None:
            return
        self.lay_out()
        world = painter.worldTransform()
        moved_only = world.m11() == world.m22() == 1.0 and world.m12() == world.m21() == 0.0
        raster = painter.paintEngine().type() == QPaintEngine.Type.Raster
        if not (self._kept and moved_only and raster):
            self._draw(painter)
            return
        ratio = painter.device().devicePixelRatioF()
        if self._picture is None or self._picture.devicePixelRatio() != ratio:
            self._picture = self._draw_picture(ratio)
        painter.drawPixmap(0, 0, self._picture)

    def _draw_picture(self, ratio: float) -> QPixmap:
        assert self.frame is not None
        wide, tall = np.ceil(self.frame.width * ratio), np.ceil(self.frame.height * ratio)
        picture = QPixmap(int(wide), int(tall))
        picture.setDevicePixelRatio(ratio)
        picture.fill(Qt.GlobalColor.transparent if self.ground is None else self.ground)
        painter = QPainter(picture)
        self._draw(painter)
        painter.end()
        return picture

    def _draw(self, painter: QPainter) -> None:
        if self.ground is not None and self.frame is not None:
            painter.fillRect(self.frame.rect, self.ground)
        for part in self._parts:
            painter.save()
            part.draw(painter)
            painter.restore()
