"""Exports of views: PNG at any scale, SVG as vectors; CSV is text of the series.

Every file is made in memory and takes its name in one step: nothing half-written is left.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QLineF, QPointF, QRect, QRectF, QSize
from PySide6.QtGui import QColor, QImage, QImageWriter, QPainter
from PySide6.QtSvg import QSvgGenerator
from PySide6.QtWidgets import QGraphicsView

from app.chart_tools.canvas import Metrics, cut, font, wrapped
from app.chart_tools.strokes import Stroke
from engine_model.files.atomic import write_atomically

DOTS_PER_METRE = 96 / 0.0254
"""Pixels a metre at scale 1: 96 to the inch."""

MARGIN, SPACE = 10.0, 5.0
"""Room at the sides of a caption, and above and below it [px]."""

KEY_LINE, KEY_GAP = 26.0, 16.0
"""Length of a stroke in a key, and room between two entries [px]."""

MOST_LINES = 3
"""Lines that a row of a caption is cut to."""


@dataclass(frozen=True, slots=True)
class Caption:
    """Words under a picture that say what it is: the first row bold.

    Parameters
    ----------
    rows : tuple of str
        Rows of text, wrapped at the width of the picture.
    colour : str
        Colour of the words, "#rrggbb".
    key : tuple of (Stroke, str)
        Strokes of the picture with what they are, before the rows.
    text_scale : float
        Size of the words over the usual. [-]
    """

    rows: tuple[str, ...]
    colour: str
    key: tuple[tuple[Stroke, str], ...] = ()
    text_scale: float = 1.0


class _Placed:
    """A caption wrapped to a width."""

    def __init__(self, caption: Caption | None, width: float) -> None:
        self._colour = "" if caption is None else caption.colour
        self._lines: list[tuple[str, Metrics]] = []
        scale = 1.0 if caption is None else caption.text_scale
        bold, plain = Metrics(font(12 * scale, bold=True)), Metrics(font(11 * scale))
        for k, row in enumerate(() if caption is None else caption.rows):
            metrics = plain if k else bold
            texts = wrapped(row, metrics, width - 2.0 * MARGIN, MOST_LINES)
            self._lines += [(text, metrics) for text in texts]
        self._key: list[tuple[float, float, Stroke, str]] = []
        self._plain = plain
        tall = self._lay_key(() if caption is None else caption.key, width)
        self._rows_from = tall
        tall += sum(metrics.height for _, metrics in self._lines)
        self.height = round(tall + 2.0 * SPACE) if tall else 0

    def _lay_key(self, key: Sequence[tuple[Stroke, str]], width: float) -> float:
        """Entries one beside the other, as many as fit a line; how far down they reach."""
        metrics, room = self._plain, width - 2.0 * MARGIN
        left, line = 0.0, 0
        for stroke, name in key:
            text = cut(name, metrics, room - KEY_LINE - SPACE)
            wide = KEY_LINE + SPACE + metrics.width(text)
            if left and left + wide > room:
                left, line = 0.0, line + 1
            self._key.append((MARGIN + left, line * metrics.height, stroke, text))
            left += wide + KEY_GAP
        return (line + 1) * metrics.height + SPACE if key else 0.0

    def draw(self, painter: QPainter, top: float) -> None:
        """Draw at a height, in pixels of scale 1."""
        painter.setPen(QColor(self._colour))
        for left, down, stroke, text in self._key:
            below = top + SPACE + down
            middle = below + 0.5 * self._plain.height
            painter.setPen(stroke.pen())
            painter.drawLine(QLineF(left, middle, left + KEY_LINE, middle))
            painter.setPen(QColor(self._colour))
            painter.setFont(self._plain.font)
            beside = left + KEY_LINE + SPACE
            painter.drawText(QPointF(beside, below + self._plain.ascent), text)
        below = top + SPACE + self._rows_from
        for text, metrics in self._lines:
            painter.setFont(metrics.font)
            painter.drawText(QPointF(MARGIN, below + metrics.ascent), text)
            below += metrics.height


def _draw(painter: QPainter, views: Sequence[QGraphicsView], scale: float) -> float:
    """Draw views one below the other; how far down they reach."""
    top = 0.0
    for view in views:
        source = view.viewport().rect()
        target = QRectF(0.0, top, source.width() * scale, source.height() * scale)
        view.render(painter, target, source)
        top += source.height() * scale
    return top


def _size(views: Sequence[QGraphicsView]) -> QSize:
    sizes = [view.viewport().size() for view in views]
    return QSize(max(size.width() for size in sizes), sum(size.height() for size in sizes))


def picture_of(
    views: Sequence[QGraphicsView],
    background: str,
    scale: float = 1.0,
    caption: Caption | None = None,
) -> QImage:
    """Picture of views one below the other.

    Parameters
    ----------
    views : sequence of QGraphicsView
        Charts, laid out at their size.
    background : str
        Colour behind them, "#rrggbb".
    scale : float
        Pixels of the picture to one of the screen. [-] 0.25-8
    caption : Caption, optional
        Words under them.

    Raises
    ------
    OSError
        When there is no room in memory for so large a picture.
    """
    if not 0.25 <= scale <= 8.0:
        raise ValueError(f"scale {scale} is not within 0.25 to 8")
    size = _size(views)
    words = _Placed(caption, size.width())
    wide, tall = round(size.width() * scale), round((size.height() + words.height) * scale)
    image = QImage(wide, tall, QImage.Format.Format_RGB32)
    if image.isNull():
        raise OSError(f"a picture of {wide} by {tall} pixels cannot be held; choose a lower scale")
    image.fill(QColor(background))
    # the axes are recorded drawings, which Qt scales by the resolutions of screen and picture:
    # they must be the same while drawing
    image.setDotsPerMeterX(round(views[0].logicalDpiX() / 0.0254))
    image.setDotsPerMeterY(round(views[0].logicalDpiY() / 0.0254))
    painter = QPainter(image)
    below = _draw(painter, views, scale)
    painter.setRenderHint(QPainter.RenderHint.TextAntialiasing)
    painter.scale(scale, scale)
    words.draw(painter, below / scale)
    painter.end()
    image.setDotsPerMeterX(round(DOTS_PER_METRE * scale))
    image.setDotsPerMeterY(round(DOTS_PER_METRE * scale))
    return image


def export_png(
    views: Sequence[QGraphicsView],
    path: Path,
    background: str,
    scale: float = 2.0,
    caption: Caption | None = None,
) -> None:
    """Write a PNG of views one below the other.

    Raises
    ------
    OSError
        When the file cannot be written; what was there is kept.
    """
    picture = picture_of(views, background, scale, caption)
    buffer = _open_buffer()
    writer = QImageWriter(buffer, QByteArray(b"png"))
    if not writer.write(picture):
        raise OSError(f"cannot write {path}: {writer.errorString()}")
    write_atomically(path, bytes(buffer.data().data()))


def export_svg(
    views: Sequence[QGraphicsView],
    path: Path,
    background: str,
    title: str,
    caption: Caption | None = None,
) -> None:
    """Write an SVG of views one below the other; texts stay texts.

    Raises
    ------
    OSError
        When the file cannot be written; what was there is kept.
    """
    size = _size(views)
    words = _Placed(caption, size.width())
    whole = QSize(size.width(), size.height() + words.height)
    buffer = _open_buffer()
    generator = QSvgGenerator()
    generator.setOutputDevice(buffer)
    generator.setSize(whole)
    generator.setViewBox(QRect(0, 0, whole.width(), whole.height()))
    generator.setTitle(title)
    if caption is not None:
        generator.setDescription("\n".join(caption.rows))
    generator.setResolution(96)
    painter = QPainter(generator)
    painter.fillRect(QRectF(0.0, 0.0, whole.width(), whole.height()), QColor(background))
    words.draw(painter, _draw(painter, views, 1.0))
    painter.end()
    write_atomically(path, bytes(buffer.data().data()))


def _open_buffer() -> QBuffer:
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    return buffer


def export_csv(text: str, path: Path) -> None:
    """Write CSV text of a series as UTF-8.

    Raises
    ------
    OSError
        When the file cannot be written; what was there is kept.
    """
    write_atomically(path, text.encode("utf-8"))


__all__ = ["Caption", "export_csv", "export_png", "export_svg", "picture_of"]
