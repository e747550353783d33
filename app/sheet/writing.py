"""Build sheets as files, pictures and on printers: the same pages, drawn by the same code."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from PySide6.QtCore import QBuffer, QIODevice, QMarginsF, QSizeF
from PySide6.QtGui import QImage, QPagedPaintDevice, QPageLayout, QPageSize, QPainter, QPdfWriter

from app.present.sheet_words import SheetSource
from app.sheet.pages import SheetPages
from app.sheet.paper import DOTS, Paper
from engine_model.files.atomic import write_atomically


@contextmanager
def sheet_pages(source: SheetSource, paper: Paper | None = None) -> Iterator[SheetPages]:
    """Pages of a sheet, closed when they are left."""
    pages = SheetPages(source, paper)
    try:
        yield pages
    finally:
        pages.close()


def page_layout(paper: Paper) -> QPageLayout:
    """The whole page, upright; the sheet has its own margins."""
    size, upright = QPageSize(paper.size), QPageLayout.Orientation.Portrait
    layout = QPageLayout(size, upright, QMarginsF(0.0, 0.0, 0.0, 0.0))
    layout.setMode(QPageLayout.Mode.FullPageMode)
    return layout


def draw_pages(pages: SheetPages, device: QPagedPaintDevice, resolution: float) -> None:
    """Draw every page on a paged device whose resolution is that of the screen's layout.

    Raises
    ------
    OSError
        Where the device cannot be begun.
    """
    painter = QPainter()
    if not painter.begin(device):
        raise OSError("the pages cannot be drawn there")
    try:
        for page in range(pages.count):
            if page:
                device.newPage()
            painter.save()
            painter.scale(resolution / DOTS, resolution / DOTS)
            pages.draw(painter, page)
            painter.restore()
    finally:
        painter.end()


def pdf_of(pages: SheetPages) -> bytes:
    """PDF of a sheet: vectors, its fonts within it."""
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setTitle(pages.title)
    writer.setCreator("Pulleywright")
    # the axes of the charts are recorded drawings, which Qt scales by the resolutions of screen
    # and paper: they must be the same
    writer.setResolution(round(pages.resolution))
    writer.setPageLayout(page_layout(pages.paper))
    draw_pages(pages, writer, pages.resolution)
    return bytes(buffer.data().data())


def write_sheet(source: SheetSource, path: Path, paper: Paper | None = None) -> int:
    """Write the PDF of a sheet in one step; returns how many pages it has.

    Raises
    ------
    OSError
        When the file cannot be written, in one sentence; what was there is kept.
    """
    with sheet_pages(source, paper) as pages:
        write_atomically(path, pdf_of(pages))
        return pages.count


def picture_of_page(pages: SheetPages, page: int, scale: float) -> QImage:
    """Picture of one page.

    Parameters
    ----------
    pages : SheetPages
        The sheet.
    page : int
        Page, from 0.
    scale : float
        Pixels of the picture to one of the layout. [-]
    """
    size = QSizeF(pages.paper.width * scale, pages.paper.height * scale).toSize()
    image = QImage(size, QImage.Format.Format_RGB32)
    image.fill(0xFFFFFFFF)
    dots = round(pages.resolution / 0.0254)
    image.setDotsPerMeterX(dots)
    image.setDotsPerMeterY(dots)
    painter = QPainter(image)
    painter.scale(scale, scale)
    pages.draw(painter, page)
    painter.end()
    return image
