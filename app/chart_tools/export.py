"""Exports of views: PNG at any scale, SVG as vectors; CSV is text of the series."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import QByteArray, QRect, QRectF, QSize
from PySide6.QtGui import QColor, QImage, QImageWriter, QPainter
from PySide6.QtSvg import QSvgGenerator
from PySide6.QtWidgets import QGraphicsView

DOTS_PER_METRE = 96 / 0.0254
"""Pixels a metre at scale 1: 96 to the inch."""


def _draw(painter: QPainter, views: Sequence[QGraphicsView], scale: float) -> None:
    """Draw views one below the other."""
    top = 0.0
    for view in views:
        source = view.viewport().rect()
        target = QRectF(0.0, top, source.width() * scale, source.height() * scale)
        view.render(painter, target, source)
        top += source.height() * scale


def _size(views: Sequence[QGraphicsView]) -> QSize:
    sizes = [view.viewport().size() for view in views]
    return QSize(max(size.width() for size in sizes), sum(size.height() for size in sizes))


def picture_of(views: Sequence[QGraphicsView], background: str, scale: float = 1.0) -> QImage:
    """Picture of views one below the other.

    Parameters
    ----------
    views : sequence of QGraphicsView
        Charts, laid out at their size.
    background : str
        Colour behind them, "#rrggbb".
    scale : float
        Pixels of the picture to one of the screen. [-] 0.25-8
    """
    if not 0.25 <= scale <= 8.0:
        raise ValueError(f"scale {scale} is not within 0.25 to 8")
    size = _size(views)
    image = QImage(
        round(size.width() * scale), round(size.height() * scale), QImage.Format.Format_RGB32
    )
    image.fill(QColor(background))
    # the axes are recorded drawings, which Qt scales by the resolutions of screen and picture:
    # they must be the same while drawing
    image.setDotsPerMeterX(round(views[0].logicalDpiX() / 0.0254))
    image.setDotsPerMeterY(round(views[0].logicalDpiY() / 0.0254))
    painter = QPainter(image)
    _draw(painter, views, scale)
    painter.end()
    image.setDotsPerMeterX(round(DOTS_PER_METRE * scale))
    image.setDotsPerMeterY(round(DOTS_PER_METRE * scale))
    return image


def export_png(
    views: Sequence[QGraphicsView], path: Path, background: str, scale: float = 2.0
) -> None:
    """Write a PNG of views one below the other.

    Raises
    ------
    OSError
        When the file cannot be written.
    """
    writer = QImageWriter(str(path), QByteArray(b"png"))
    if not writer.write(picture_of(views, background, scale)):
        raise OSError(f"cannot write {path}: {writer.errorString()}")


def export_svg(views: Sequence[QGraphicsView], path: Path, background: str, title: str) -> None:
    """Write an SVG of views one below the other; texts stay texts.

    Raises
    ------
    OSError
        When the file cannot be written.
    """
    size = _size(views)
    generator = QSvgGenerator()
    generator.setFileName(str(path))
    generator.setSize(size)
    generator.setViewBox(QRect(0, 0, size.width(), size.height()))
    generator.setTitle(title)
    generator.setResolution(96)
    painter = QPainter()
    if not painter.begin(generator):
        raise OSError(f"cannot write {path}")
    painter.fillRect(QRectF(0.0, 0.0, size.width(), size.height()), QColor(background))
    _draw(painter, views, 1.0)
    painter.end()


def export_csv(text: str, path: Path) -> None:
    """Write CSV text of a series as UTF-8."""
    path.write_text(text, encoding="utf-8", newline="\n")


__all__ = ["export_csv", "export_png", "export_svg", "picture_of"]
