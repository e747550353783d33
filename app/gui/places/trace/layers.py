"""Layers of the canvas: the picture, and what is kept drawn until the view changes."""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPixmap

from app.chart_tools.palette import DARK, LIGHT, Palette
from app.chart_tools.placing import Box
from app.gui.places.trace.view import View

Draw = Callable[[QPainter, View, QRectF], None]

MARGIN = 96
"""How far a kept layer is drawn beyond the widget, in widget pixels: small pushes only copy."""

CRISP_ZOOM = 4.0
"""From here on picture pixels are shown as squares."""

SMALLEST_LEVEL = 64
"""The picture is halved until its longer side is at most this long."""

INK_SIDE, INK_STEP = 900, 24
"""Longest side of the copy in which print is looked for, and the step of grey that tells it."""

DARK_BELOW = 0.6
"""Lightness of the shown picture below which the dark palette draws on it."""


class KeptLayer:
    """Something drawn once for a view and a key, then copied while the view is only pushed.

    Parameters
    ----------
    opaque : bool
        Whether it covers all that is under it.
    """

    def __init__(self, *, opaque: bool = False) -> None:
        self._opaque = opaque
        self._pixmap: QPixmap | None = None
        self._key: Hashable = None
        self._view = View(1.0, 0.0, 0.0)

    def paint(
        self,
        painter: QPainter,
        view: View,
        size: QSize,
        key: Hashable,
        draw: Draw,
        *,
        draft: bool = False,
    ) -> None:
        """Copy what is kept, or draw it.

        Parameters
        ----------
        painter : QPainter
            On the widget.
        view : View
            The present view.
        size : QSize
            Size of the widget.
        key : hashable
            Whatever else changes the drawing.
        draw : callable
            Draws in widget pixels within the given bounds, which reach beyond the widget.
        draft : bool
            Whether a stretched copy will do for now: the view is being zoomed.
        """
        ratio = painter.deviceTransform().m11()
        whole = (key, size.width(), size.height(), ratio)
        bounds = QRectF(-MARGIN, -MARGIN, size.width() + 2 * MARGIN, size.height() + 2 * MARGIN)
        same = self._pixmap is not None and whole == self._key
        stretched = view.zoom != self._view.zoom
        if same and stretched and draft:
            self._stretch(painter, view, bounds)
            return
        shift = self._shift(view, ratio) if same and not stretched else None
        if shift is None:
            self._pixmap = self._drawn(bounds, ratio, view, draw)
            self._key, self._view, shift = whole, view, QPointF(0.0, 0.0)
        elif max(abs(shift.x()), abs(shift.y())) > MARGIN:
            self._pixmap = self._pushed(bounds, ratio, view, shift, draw)
            self._view, shift = view, QPointF(0.0, 0.0)
        assert self._pixmap is not None
        painter.drawPixmap(bounds.topLeft() + shift, self._pixmap)

    def _shift(self, view: View, ratio: float) -> QPointF | None:
        """How far the kept drawing is to be pushed; nothing where it would blur."""
        across, down = view.left - self._view.left, view.top - self._view.top
        if any(abs(d * ratio - round(d * ratio)) > 1e-3 for d in (across, down)):
            return None
        return QPointF(across, down)

    def _stretch(self, painter: QPainter, view: View, bounds: QRectF) -> None:
        """Copy what is kept for another zoom."""
        assert self._pixmap is not None
        turn = view.zoom / self._view.zoom
        painter.save()
        painter.translate(view.left - self._view.left * turn, view.top - self._view.top * turn)
        painter.scale(turn, turn)
        painter.drawPixmap(bounds.topLeft(), self._pixmap)
        painter.restore()

    def _drawn(self, bounds: QRectF, ratio: float, view: View, draw: Draw) -> QPixmap:
        image = self._empty(bounds, ratio)
        painter = QPainter(image)
        painter.translate(-bounds.topLeft())
        draw(painter, view, bounds)
        painter.end()
        return QPixmap.fromImage(image)

    def _pushed(
        self, bounds: QRectF, ratio: float, view: View, shift: QPointF, draw: Draw
    ) -> QPixmap:
        """Copy what stays in reach and draw only the strips that come in."""
        assert self._pixmap is not None
        image = self._empty(bounds, ratio)
        painter = QPainter(image)
        painter.translate(-bounds.topLeft())
        kept = bounds.translated(shift).intersected(bounds)
        painter.drawPixmap(bounds.topLeft() + shift, self._pixmap)
        strips = [
            QRectF(bounds.left(), bounds.top(), kept.left() - bounds.left(), bounds.height()),
            QRectF(kept.right(), bounds.top(), bounds.right() - kept.right(), bounds.height()),
            QRectF(kept.left(), bounds.top(), kept.width(), kept.top() - bounds.top()),
            QRectF(kept.left(), kept.bottom(), kept.width(), bounds.bottom() - kept.bottom()),
        ]
        for strip in strips if not kept.isEmpty() else [bounds]:
            if strip.width() > 0.0 and strip.height() > 0.0:
                painter.save()
                painter.setClipRect(strip)
                draw(painter, view, strip)
                painter.restore()
        painter.end()
        return QPixmap.fromImage(image)

    def _empty(self, bounds: QRectF, ratio: float) -> QImage:
        shape = QSize(math.ceil(bounds.width() * ratio), math.ceil(bounds.height() * ratio))
        opaque, blended = QImage.Format.Format_RGB32, QImage.Format.Format_ARGB32_Premultiplied
        image = QImage(shape, opaque if self._opaque else blended)
        image.setDevicePixelRatio(ratio)
        image.fill(Qt.GlobalColor.black if self._opaque else Qt.GlobalColor.transparent)
        return image


class Picture:
    """A picture with its halved copies, so that a shrunk view is sharp and quick.

    Parameters
    ----------
    rgb : ndarray
        Height x width x 3, uint8.
    """

    def __init__(self, rgb: NDArray[np.uint8]) -> None:
        if rgb.ndim != 3 or rgb.shape[2] != 3 or rgb.dtype != np.uint8 or rgb.size == 0:
            raise ValueError(
                f"picture has shape {rgb.shape} and type {rgb.dtype}; allowed: height x width x 3 "
                "of uint8, at least 1 x 1"
            )
        self.tall, self.wide = int(rgb.shape[0]), int(rgb.shape[1])
        data = np.ascontiguousarray(rgb)
        shared = QImage(data.data, self.wide, self.tall, 3 * self.wide, QImage.Format.Format_RGB888)
        self.levels = [shared.convertToFormat(QImage.Format.Format_RGB32)]
        while max(self.levels[-1].width(), self.levels[-1].height()) > SMALLEST_LEVEL:
            last = self.levels[-1]
            half = QSize(max(1, last.width() // 2), max(1, last.height() // 2))
            self.levels.append(
                last.scaled(
                    half,
                    Qt.AspectRatioMode.IgnoreAspectRatio,
                    Qt.TransformationMode.SmoothTransformation,
                ).convertToFormat(QImage.Format.Format_RGB32)
            )
        self.lightness = self._lightness()
        self._ink = self._find_ink()

    def _lightness(self) -> float:
        """Median lightness, 0 to 1: of the paper, not of the ink."""
        small = self.levels[-1]
        shades = [
            small.pixelColor(x, y).lightnessF()
            for x in range(small.width())
            for y in range(small.height())
        ]
        return float(np.median(shades))

    def _find_ink(self) -> NDArray[np.bool_]:
        """Where a small copy changes from light to dark: print and lines."""
        level = next(one for one in self.levels if max(one.width(), one.height()) <= INK_SIDE)
        grey = level.convertToFormat(QImage.Format.Format_Grayscale8)
        rows = np.frombuffer(grey.constBits(), dtype=np.uint8).reshape(
            grey.height(), grey.bytesPerLine()
        )
        shades = rows[:, : grey.width()].astype(np.int16)
        ink = np.zeros(shades.shape, dtype=bool)
        ink[:, 1:] |= np.abs(np.diff(shades, axis=1)) > INK_STEP
        ink[1:, :] |= np.abs(np.diff(shades, axis=0)) > INK_STEP
        return ink

    def ink_share(self, view: View, box: Box) -> float:
        """Share of a box, in widget pixels, that covers print."""
        rows, columns = self._ink.shape
        left, top = view.to_picture(box.left, box.top)
        right, bottom = view.to_picture(box.left + box.width, box.top + box.height)
        x0, x1 = (int(max(x + 0.5, 0.0) * columns / self.wide) for x in (left, right))
        y0, y1 = (int(max(y + 0.5, 0.0) * rows / self.tall) for y in (top, bottom))
        under = self._ink[y0 : y1 + 1, x0 : x1 + 1]
        return float(under.mean()) if under.size else 0.0

    def draw(self, painter: QPainter, view: View, bounds: QRectF, *, smooth: bool = True) -> None:
        """Draw the part within bounds, in widget pixels."""
        ratio = painter.deviceTransform().m11()
        shrink = 1.0 / max(view.zoom * ratio, 1e-9)
        number = min(int(math.log2(shrink)), len(self.levels) - 1) if shrink > 1.0 else 0
        level = self.levels[number if smooth else 0]
        # edges of the picture lie half a pixel outside the outer pixel centres
        left, top = view.to_widget(-0.5, -0.5)
        across = view.zoom * self.wide / level.width()
        down = view.zoom * self.tall / level.height()
        x0 = max(0, math.floor((bounds.left() - left) / across) - 1)
        y0 = max(0, math.floor((bounds.top() - top) / down) - 1)
        x1 = min(level.width(), math.ceil((bounds.right() - left) / across) + 1)
        y1 = min(level.height(), math.ceil((bounds.bottom() - top) / down) + 1)
        if x1 <= x0 or y1 <= y0:
            return
        painter.setRenderHint(
            QPainter.RenderHint.SmoothPixmapTransform, smooth and view.zoom < CRISP_ZOOM
        )
        target = QRectF(left + x0 * across, top + y0 * down, (x1 - x0) * across, (y1 - y0) * down)
        painter.drawImage(target, level, QRectF(x0, y0, x1 - x0, y1 - y0))

    def frame(self, view: View) -> QRectF:
        """The picture's edge in widget pixels."""
        left, top = view.to_widget(-0.5, -0.5)
        return QRectF(left, top, view.zoom * self.wide, view.zoom * self.tall)


def dimmed_colour(ground: str, share: float) -> QColor:
    """Colour to lay over the picture so that it goes a share of the way to the ground."""
    made = QColor(ground)
    made.setAlphaF(min(max(share, 0.0), 1.0))
    return made


def inks_on(picture: Picture | None, ground: Palette, dimming: float) -> Palette:
    """Palette whose lines read on a picture as it is shown: light or dark."""
    if picture is None:
        return ground
    own = QColor(ground.canvas).lightnessF()
    shown = picture.lightness * (1.0 - dimming) + own * dimming
    return LIGHT if shown >= DARK_BELOW else DARK
