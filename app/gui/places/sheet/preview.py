"""The sheet on the screen: its pages below each other, drawn by the code that prints them."""

from __future__ import annotations

from PySide6.QtCore import QRect, QSize, Qt, Signal
from PySide6.QtGui import QColor, QImage, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QFrame, QScrollArea, QWidget

from app.sheet.pages import SheetPages
from app.sheet.writing import picture_of_page

GAP = 16
"""Room around the pages [px]."""

WIDTH, WHOLE = "Fit the width", "Whole page"
SCALES = (0.5, 0.75, 1.0, 1.25, 1.5, 2.0)
"""Zooms offered [-]; 1 is 96 pixels to the inch."""

ZOOMS = (WIDTH, WHOLE, *(f"{100 * scale:.0f} %" for scale in SCALES))
MOST_FITTED = 2.0
"""Zoom that fitting does not pass [-]."""


class PageView(QWidget):
    """One page; its picture is kept until page or size change."""

    def __init__(self, pages: SheetPages, page: int) -> None:
        super().__init__()
        self._pages, self._page = pages, page
        self._picture: QImage | None = None
        self._scale = 1.0
        self.setAccessibleName(f"Page {page + 1} of {pages.count} of the build sheet")

    def set_scale(self, scale: float) -> None:
        """Show at a zoom."""
        paper = self._pages.paper
        size = QSize(round(paper.width * scale), round(paper.height * scale))
        if size != self.size():
            self._scale, self._picture = scale, None
            self.setFixedSize(size)

    def paintEvent(self, _: QPaintEvent) -> None:
        """Draw the page and its edge."""
        ratio = self.devicePixelRatioF()
        if self._picture is None or self._picture.devicePixelRatio() != ratio:
            self._picture = picture_of_page(self._pages, self._page, self._scale * ratio)
            self._picture.setDevicePixelRatio(ratio)
        painter = QPainter(self)
        painter.drawImage(QRect(0, 0, self.width(), self.height()), self._picture)
        painter.setPen(QPen(QColor("#8a949e"), 1.0))
        painter.drawRect(0, 0, self.width() - 1, self.height() - 1)


class Preview(QScrollArea):
    """Every page of a sheet.

    Signals
    -------
    page_changed(page)
        Another page is in sight, from 0.
    """

    page_changed = Signal(int)

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName("Build sheet as it will print")
        self.setFrameShape(QFrame.Shape.NoFrame)
        # a bar that comes and goes would change the width that is fitted
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOn)
        self._column = QWidget()
        self.setWidget(self._column)
        self.views: list[PageView] = []
        self._pages: SheetPages | None = None
        self._zoom = WIDTH
        self.verticalScrollBar().valueChanged.connect(self._tell)

    @property
    def pages(self) -> SheetPages | None:
        """The sheet shown."""
        return self._pages

    @property
    def page(self) -> int:
        """Page in sight, from 0: the one at the middle of the view."""
        middle = self.verticalScrollBar().value() + self.viewport().height() // 2
        above = [k for k, view in enumerate(self.views) if view.y() <= middle]
        return above[-1] if above else 0

    def show_pages(self, pages: SheetPages | None) -> None:
        """Show another sheet at the place of the former one, which is closed."""
        where, before = self.verticalScrollBar().value(), self._pages
        for view in self.views:
            view.hide()
            view.deleteLater()
        self._pages = pages
        count = 0 if pages is None else pages.count
        self.views = [] if pages is None else [PageView(pages, k) for k in range(count)]
        for view in self.views:
            view.setParent(self._column)
            view.show()
        self._fit()
        if before is not None:
            before.close()
        self.verticalScrollBar().setValue(where)
        self._tell()

    def set_zoom(self, zoom: str) -> None:
        """Choose one of ``ZOOMS``; the page in sight stays."""
        page, self._zoom = self.page, zoom
        self._fit()
        self.go_to(page)

    def go_to(self, page: int) -> None:
        """Bring a page into sight, from 0."""
        if self.views:
            view = self.views[min(max(page, 0), len(self.views) - 1)]
            self.verticalScrollBar().setValue(view.y() - GAP // 2)
            self._tell()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Fit again."""
        super().resizeEvent(event)
        self._fit()

    def scale(self) -> float:
        """Zoom as a number [-]."""
        if self._pages is None:
            return 1.0
        if self._zoom not in (WIDTH, WHOLE):
            return SCALES[ZOOMS.index(self._zoom) - 2]
        paper, room = self._pages.paper, self.viewport().size()
        scale = (room.width() - 2 * GAP) / paper.width
        if self._zoom == WHOLE:
            scale = min(scale, (room.height() - 2 * GAP) / paper.height)
        return min(max(scale, 0.2), MOST_FITTED)

    def _fit(self) -> None:
        scale, below = self.scale(), GAP
        for view in self.views:
            view.set_scale(scale)
        widest = max((view.width() for view in self.views), default=0) + 2 * GAP
        wide = max(widest, self.viewport().width())
        for view in self.views:
            view.move((wide - view.width()) // 2, below)
            below += view.height() + GAP
        self._column.resize(wide, below)

    def _tell(self, *_: object) -> None:
        self.page_changed.emit(self.page)
