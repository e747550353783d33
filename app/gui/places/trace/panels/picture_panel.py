"""The picture on the table: which, its page, whether it is kept in the file, how far it fades."""

from __future__ import annotations

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QSlider,
    QSpinBox,
    QWidget,
)

from app.gui.places.trace.panels.parts import TracePanel, push_button, put_words, words_label
from app.present.trace_words import picture_facts
from engine_model.tracing.trace import PictureRef

NO_PICTURE = "No picture: open one, paste one, or type the points."


class DimSlider(QSlider):
    """A slider that takes the wheel only when it has the focus."""

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Elsewhere the panel scrolls."""
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()


class PageBox(QSpinBox):
    """A page number that takes the wheel only when it has the focus."""

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Elsewhere the panel scrolls."""
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()


class PicturePanel(TracePanel):
    """Opens a picture and tells about it.

    Signals
    -------
    open_asked(), paste_asked()
        A picture is to be opened, or taken from the clipboard.
    page_chosen(page)
        Another page of the document, from 0.
    embed_changed(embed)
        Whether the picture is kept in the file.
    dimming_changed(dimming)
        How far the picture fades, 0 to 1.
    """

    open_asked = Signal()
    paste_asked = Signal()
    page_chosen = Signal(int)
    embed_changed = Signal(bool)
    dimming_changed = Signal(float)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.open = push_button(
            "Open a picture\u2026",
            "PNG, JPEG, WebP, TIFF or a page of a PDF",
            self.open_asked.emit,
        )
        self.paste = push_button(
            "Paste", "Take the picture from the clipboard (Ctrl+V)", self.paste_asked.emit
        )
        self.give_icon(self.open, "open")
        self.give_icon(self.paste, "paste")
        self.name = QLabel(NO_PICTURE)
        self.facts = words_label()
        self.note = words_label()
        for label in (self.name, self.facts, self.note):
            label.setWordWrap(True)
            label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.page = PageBox()
        self.page.setAccessibleName("Page")
        self.page.setToolTip("Page of the document that is shown")
        self.page.setKeyboardTracking(False)
        self.page.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.page.valueChanged.connect(lambda number: self.page_chosen.emit(number - 1))
        self.pages = QLabel()
        self.embed = QCheckBox("Embed the picture in the file")
        self.embed.setAccessibleName("Embed the picture in the file")
        self.embed.setToolTip(
            "Keeps a copy, scaled down, in the compressor map's file, so that work can be taken "
            "up without the picture's own file. Builds never carry it."
        )
        self.embed.clicked.connect(self.embed_changed)
        self.dimming = DimSlider(Qt.Orientation.Horizontal)
        self.dimming.setRange(0, 100)
        self.dimming.setPageStep(10)
        self.dimming.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.dimming.setAccessibleName("Dim the picture")
        self.dimming.setToolTip("How far the picture fades behind what is traced, 0 to 100 %")
        self.dimming.valueChanged.connect(self._dimmed)
        self.share = QLabel("0 %")
        self._lay_out()
        self.set_picture(None)

    def _lay_out(self) -> None:
        row = QHBoxLayout()
        row.addWidget(self.open, 2)
        row.addWidget(self.paste, 1)
        self.column.addLayout(row)
        self.column.addWidget(self.name)
        self.column.addWidget(self.facts)
        self.page_row = QWidget()
        page = QHBoxLayout(self.page_row)
        page.setContentsMargins(0, 0, 0, 0)
        label = QLabel("&Page")
        label.setBuddy(self.page)
        for widget in (label, self.page, self.pages):
            page.addWidget(widget)
        page.addStretch(1)
        self.column.addWidget(self.page_row)
        self.column.addWidget(self.note)
        self.column.addWidget(self.embed)
        dim = QGridLayout()
        word = QLabel("&Dim the picture")
        word.setBuddy(self.dimming)
        self.share.setMinimumWidth(self.share.fontMetrics().horizontalAdvance("100 %"))
        self.share.setAlignment(Qt.AlignmentFlag.AlignRight)
        dim.addWidget(word, 0, 0)
        dim.addWidget(self.dimming, 0, 1)
        dim.addWidget(self.share, 0, 2)
        dim.setColumnStretch(1, 1)
        self.column.addLayout(dim)

    def set_picture(self, picture: PictureRef | None, pages: int = 1, note: str = "") -> None:
        """Tell about the picture on the table; emits nothing.

        Parameters
        ----------
        picture : PictureRef, optional
            Which; nothing where there is none.
        pages : int
            Pages of its document.
        note : str
            What is to be said of it, such as that it was scaled down.
        """
        there = picture is not None
        self.name.setText(NO_PICTURE if picture is None else picture.name or "pasted picture")
        put_words(self.facts, "" if picture is None else picture_facts(picture, pages))
        put_words(self.note, note)
        self.page_row.setVisible(there and pages > 1)
        with QSignalBlocker(self.page):
            self.page.setRange(1, max(1, pages))
            self.page.setValue(1 if picture is None else picture.page + 1)
        self.pages.setText(f"of {pages}")
        self.embed.setEnabled(there)
        self.dimming.setEnabled(there)

    def set_embed(self, embed: bool) -> None:
        """Show whether the picture is kept in the file; emits nothing."""
        self.embed.setChecked(embed)  # only clicks are told

    def set_dimming(self, dimming: float) -> None:
        """Show how far the picture fades, 0 to 1; emits nothing."""
        with QSignalBlocker(self.dimming):
            self.dimming.setValue(round(100.0 * dimming))
        self.share.setText(f"{self.dimming.value()} %")

    def _dimmed(self, percent: int) -> None:
        self.share.setText(f"{percent} %")
        self.dimming_changed.emit(percent / 100.0)
