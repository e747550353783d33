"""Over the sheet: paper, zoom, pages, printing, PDF."""

from __future__ import annotations

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QPushButton, QWidget

from app.gui.places.sheet.preview import ZOOMS
from app.sheet.paper import PAPERS


class SheetBar(QWidget):
    """What is chosen of the sheet, and what is done with it.

    Signals
    -------
    paper_chosen(key)
        Another size of paper.
    zoom_chosen(zoom)
        One of ``ZOOMS``.
    page_asked(step)
        The page before (-1) or the next (1).
    print_asked(), save_asked()
        Print, or save as PDF.
    """

    paper_chosen = Signal(str)
    zoom_chosen = Signal(str)
    page_asked = Signal(int)
    print_asked = Signal()
    save_asked = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.paper, self.zoom = QComboBox(), QComboBox()
        for paper in PAPERS.values():
            self.paper.addItem(paper.title, paper.key)
        self.zoom.addItems(list(ZOOMS))
        self.before, self.after = QPushButton("◂"), QPushButton("▸")
        self.print = QPushButton("P&rint…")
        self.save = QPushButton("Save as &PDF…")
        self.number = QLabel()
        row = QHBoxLayout(self)
        row.setContentsMargins(8, 4, 8, 4)
        for words, box, tip in (
            ("P&aper", self.paper, "Size of the paper"),
            ("&Zoom", self.zoom, "How large the pages are shown"),
        ):
            label = QLabel(words)
            label.setBuddy(box)
            box.setToolTip(tip)
            box.setAccessibleName(tip)
            row.addWidget(label)
            row.addWidget(box)
        row.addSpacing(12)
        for widget, tip in (
            (self.before, "Page before"),
            (self.number, ""),
            (self.after, "Next page"),
        ):
            if isinstance(widget, QPushButton):
                widget.setFixedWidth(34)
                widget.setAccessibleName(tip)
                widget.setToolTip(tip)
            row.addWidget(widget)
        row.addStretch(1)
        for button, tip in (
            (self.print, "Print the sheet"),
            (self.save, "Write the sheet as a PDF"),
        ):
            button.setToolTip(tip)
            row.addWidget(button)
        self.paper.activated.connect(lambda _: self.paper_chosen.emit(self.paper.currentData()))
        self.zoom.activated.connect(lambda _: self.zoom_chosen.emit(self.zoom.currentText()))
        self.before.clicked.connect(lambda: self.page_asked.emit(-1))
        self.after.clicked.connect(lambda: self.page_asked.emit(1))
        self.print.clicked.connect(self.print_asked)
        self.save.clicked.connect(self.save_asked)
        self.show_page(0, 0)

    def show_page(self, page: int, count: int) -> None:
        """Tell which page is in sight, from 0; emits nothing."""
        self.number.setText(f"page {page + 1} of {count}" if count else "no page")
        self.before.setEnabled(page > 0)
        self.after.setEnabled(page + 1 < count)
        for button in (self.print, self.save):
            button.setEnabled(count > 0)

    def show_paper(self, key: str) -> None:
        """Show which paper is chosen; emits nothing."""
        with QSignalBlocker(self.paper):
            self.paper.setCurrentIndex(max(self.paper.findData(key), 0))

    def show_zoom(self, zoom: str) -> None:
        """Show which zoom is chosen; emits nothing."""
        with QSignalBlocker(self.zoom):
            self.zoom.setCurrentText(zoom)
