"""The pages of a build sheet: laid out once, drawn alike on paper and on the screen."""

from __future__ import annotations

from PySide6.QtCore import QLineF, QRectF
from PySide6.QtGui import QColor, QPainter

from app.chart_tools.canvas import pen
from app.charts.picture import application
from app.present.sheet_words import UNCORRECTED, SheetSource
from app.present.sheet_workshop import version_words
from app.sheet.blocks import Block, Space, Turn, stacked
from app.sheet.customer_page import customer_page
from app.sheet.paper import DEFAULT_PAPER, FOOT, MARGIN, PAPERS, Paper
from app.sheet.text import RULE, Styles
from app.sheet.workshop_page import workshop_pages

FOOT_TITLE = 40
"""Letters of the title in the foot of a page."""


class SheetPages:
    """The pages of a build sheet. To be closed when it is no longer drawn.

    Parameters
    ----------
    source : SheetSource
        What it tells.
    paper : Paper, optional
        Size of the paper; A4 unless given.
    """

    def __init__(self, source: SheetSource, paper: Paper | None = None) -> None:
        application()
        self.source, self.paper = source, paper or PAPERS[DEFAULT_PAPER]
        self._styles = Styles()
        first, self._charts = customer_page(source, self._styles, self.paper)
        # what does not fit the first page goes on with the workshop's
        fits = sum(block.height for block in first) <= self.paper.depth
        turn: Block = Turn() if fits else Space(10.0)
        blocks = [*first, turn, *workshop_pages(source, self._styles, self.paper)]
        self._pages: list[list[Block]] = stacked(blocks, self.paper.depth)
        view = self._charts[0].view
        self.resolution = float(view.logicalDpiX())

    @property
    def count(self) -> int:
        """How many pages."""
        return len(self._pages)

    @property
    def title(self) -> str:
        """Title of the document."""
        return f"Build sheet: {self.source.build.title}"

    def draw(self, painter: QPainter, page: int) -> None:
        """Draw a page in layout pixels, its upper left corner at the origin."""
        painter.fillRect(QRectF(0.0, 0.0, self.paper.width, self.paper.height), QColor("#ffffff"))
        painter.setRenderHints(
            QPainter.RenderHint.Antialiasing | QPainter.RenderHint.TextAntialiasing
        )
        below = MARGIN
        for block in self._pages[page]:
            painter.save()
            block.draw(painter, MARGIN, below)
            painter.restore()
            below += block.height
        self._foot(painter, page)

    def _foot(self, painter: QPainter, page: int) -> None:
        style, width = self._styles.quiet, self.paper.room
        top = self.paper.height - MARGIN - FOOT + 8.0
        painter.setPen(pen(RULE, 1.0))
        painter.drawLine(QLineF(MARGIN, top, MARGIN + width, top))
        number = f"page {page + 1} of {self.count}"
        title = self.source.build.title
        title = title if len(title) <= FOOT_TITLE else f"{title[: FOOT_TITLE - 1]}…"
        told = f"{version_words()} | {title} | power {UNCORRECTED}, unless it says otherwise"
        room = width - style.width(number) - 20.0
        style.draw(painter, MARGIN, top + 4.0, style.lines(told, room)[0])
        style.draw(painter, MARGIN + width - style.width(number), top + 4.0, number)

    def close(self) -> None:
        """Take the charts' widgets away."""
        for chart in self._charts:
            chart.close()
        self._charts = []
        self._pages = []
