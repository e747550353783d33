"""The Build sheet place: the sheet as it will print, with notes beside it; assembly only."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QShowEvent, QUndoStack
from PySide6.QtWidgets import QDialog, QLabel, QSplitter, QVBoxLayout, QWidget

from app.gui.document import Document
from app.gui.file_names import FileKind, ask_save, plain_name, written_words
from app.gui.places.line.place import LinePlace
from app.gui.places.sheet.bar import SheetBar
from app.gui.places.sheet.feed import source_of
from app.gui.places.sheet.notes import NotesEdit
from app.gui.places.sheet.preview import WHOLE, Preview
from app.gui.preferences import Preferences
from app.gui.recompute import Recompute
from app.gui.widgets.floating import PassingWords
from app.present.cautions import CAUTIONS
from app.present.sheet_words import MeasuredPower
from app.sheet.pages import SheetPages
from app.sheet.paper import DEFAULT_PAPER, PAPERS
from app.sheet.writing import draw_pages, page_layout, pdf_of
from engine_model.files.atomic import write_atomically

SETTLE_MS = 120
"""From the last change to the pages laid out again."""

SHEET = FileKind("sheet", "a build sheet", "PDF (*.pdf)", (".pdf",))

COVERED = "The sheet tells every answer. Space shows or covers it, F11 leaves the classroom view."

NOTES_WIDTH = 250


class SheetPlace(QWidget):
    """The pages, what is done with them, and the notes."""

    own_files = None
    """The files of this place are the builds."""

    def __init__(
        self, document: Document, recompute: Recompute, line: LinePlace, preferences: Preferences
    ) -> None:
        super().__init__()
        self._document, self._line, self._preferences = document, line, preferences
        self._paper = DEFAULT_PAPER
        self._measured: MeasuredPower | None = None
        self._classroom = self._folded = self._stale = False
        self.bar, self.preview, self.notes = SheetBar(), Preview(), NotesEdit(document)
        self._lay_out()
        self.words = PassingWords(self, self.preview)
        self._timer = QTimer(self, singleShot=True, interval=SETTLE_MS)
        self._timer.timeout.connect(self.lay_out_pages)
        recompute.ready.connect(self.refresh)
        line.studies.changed.connect(self.refresh)
        preferences.changed.connect(self.refresh)
        document.saved_changed.connect(self.refresh)
        self.bar.paper_chosen.connect(self.set_paper)
        self.bar.zoom_chosen.connect(self.preview.set_zoom)
        self.bar.page_asked.connect(lambda step: self.preview.go_to(self.preview.page + step))
        self.bar.print_asked.connect(self.ask_print)
        self.bar.save_asked.connect(self.ask_save)
        self.preview.page_changed.connect(self._show_page)

    def _lay_out(self) -> None:
        head = QLabel("&Notes")
        head.setBuddy(self.notes)
        self.caution = QLabel(CAUTIONS["general"])
        self.caution.setObjectName("caution")
        self.caution.setWordWrap(True)
        self.side = QWidget()
        column = QVBoxLayout(self.side)
        column.setContentsMargins(4, 4, 8, 4)
        for widget in (head, self.notes, self.caution):
            column.addWidget(widget, 1 if widget is self.notes else 0)
        self.cover = QLabel(COVERED)
        self.cover.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.cover.setObjectName("headline")
        self.cover.hide()
        across = QSplitter(Qt.Orientation.Horizontal)
        across.setChildrenCollapsible(False)
        across.addWidget(self.preview)
        across.addWidget(self.side)
        across.setStretchFactor(0, 1)
        across.setSizes([1000, NOTES_WIDTH])
        self.across = across
        rows = QVBoxLayout(self)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(0)
        rows.addWidget(self.bar)
        rows.addWidget(across, 1)
        rows.addWidget(self.cover, 1)

    # the pages

    def set_measured(self, measured: MeasuredPower | None) -> None:
        """Take what a pull gave onto the sheet, or a line to fill in."""
        self._measured = measured
        self.refresh()

    def set_paper(self, key: str) -> None:
        """Choose the paper, by its key in ``PAPERS``."""
        self._paper = key
        self.bar.show_paper(key)
        self.lay_out_pages()

    def refresh(self, *_: object) -> None:
        """Lay the pages out again soon; with the next visit where they are not in sight."""
        self._stale = True
        if self.isVisible():
            self._timer.start()

    def lay_out_pages(self) -> None:
        """Lay the pages out now."""
        self._timer.stop()
        snapshot = self._line.snapshot
        if snapshot is None:
            return
        self._stale = False
        choices = self._preferences.choices
        source = source_of(snapshot, self._document, choices, self._measured)
        self.preview.show_pages(SheetPages(source, PAPERS[self._paper]))
        self._show_page(self.preview.page)

    def _show_page(self, page: int) -> None:
        self.bar.show_page(page, len(self.preview.views))

    def _fresh(self) -> SheetPages | None:
        """The pages as the build is now, typed notes included."""
        self.notes.take_over()
        if self._stale or self.preview.pages is None:
            self.lay_out_pages()
        return self.preview.pages

    # what is done with them

    def ask_save(self) -> None:
        """Ask for a file and write the PDF."""
        name = f"{plain_name(self._document.build.title)}-sheet.pdf"
        path = ask_save(self, self._preferences, SHEET, name, "Save the build sheet")
        if path is not None:
            self.save(path)

    def save(self, path: Path) -> bool:
        """Write the PDF; what failed is told in one sentence."""
        pages = self._fresh()
        if pages is None:
            self.say("There is no sheet yet: the build cannot be worked out.")
            return False
        try:
            write_atomically(path, pdf_of(pages))
        except OSError as error:
            self.say(f"{error}.")
            return False
        self.say_done(written_words(path))
        return True

    def ask_print(self) -> None:
        """Ask for a printer and print."""
        # the printers of the machine come in with the first question
        from PySide6.QtPrintSupport import QPrintDialog, QPrinter

        pages = self._fresh()
        if pages is None:
            return
        printer = QPrinter()
        printer.setDocName(pages.title)
        printer.setResolution(round(pages.resolution))
        printer.setPageLayout(page_layout(pages.paper))
        dialog = QPrintDialog(printer, self)
        dialog.setMinMax(1, pages.count)
        if dialog.exec() != QDialog.DialogCode.Accepted:
            return
        try:
            draw_pages(pages, printer, float(printer.resolution()))
        except OSError as error:
            self.say(f"Not printed: {error}.")
            return
        self.say_done(f"Sent to {printer.printerName() or printer.outputFileName()}")

    def say(self, sentence: str) -> None:
        """Show what is wrong, over the work; an empty sentence hides it."""
        self.words.say(sentence)

    def say_done(self, sentence: str) -> None:
        """Show calmly what was done; it goes by itself."""
        self.words.say_done(sentence)

    # what the window asks of a place

    @property
    def undo_stack(self) -> QUndoStack:
        """History of the build's edits."""
        return self._document.undo

    def fit(self) -> None:
        """Show whole pages."""
        self.bar.show_zoom(WHOLE)
        self.preview.set_zoom(WHOLE)

    def fold_panels(self, folded: bool) -> None:
        """Hide or show the notes."""
        self._folded = folded
        self.side.setVisible(not (folded or self._classroom))

    def set_classroom(self, on: bool) -> None:
        """The sheet covered until a key is pressed, or everything back."""
        self._classroom = on
        self.side.setVisible(not (on or self._folded))
        self._cover(on)

    def reveal_answers(self) -> None:
        """Show or cover the sheet of the classroom view."""
        if self._classroom:
            self._cover(not self.cover.isVisibleTo(self))

    def _cover(self, covered: bool) -> None:
        self.cover.setVisible(covered)
        self.across.setVisible(not covered)

    def may_leave(self) -> bool:
        """Typed notes go into the build."""
        self.notes.take_over()
        return True

    def end(self) -> None:
        """Take the pages' charts away."""
        self._timer.stop()
        self.preview.show_pages(None)

    def showEvent(self, event: QShowEvent) -> None:
        """Lay out what changed meanwhile."""
        super().showEvent(event)
        if self._stale or self.preview.pages is None:
            self._timer.start()
