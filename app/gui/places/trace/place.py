"""The Trace place: from a picture of a compressor map to its file; assembly only."""

from __future__ import annotations

from math import ceil, log10
from pathlib import Path

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QUndoStack
from PySide6.QtWidgets import (
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from app.gui.document import Document
from app.gui.places.trace.canvas import TraceCanvas
from app.gui.places.trace.curve_menu import open_curve_menu
from app.gui.places.trace.desk import TraceDesk
from app.gui.places.trace.feed import Feed
from app.gui.places.trace.panels.about_panel import AboutPanel
from app.gui.places.trace.panels.axes_panel import AxesPanel
from app.gui.places.trace.panels.column import PanelColumn
from app.gui.places.trace.panels.curves_panel import CurvesPanel
from app.gui.places.trace.panels.hand_over_panel import HandOverPanel
from app.gui.places.trace.panels.known_points import FEWEST
from app.gui.places.trace.panels.needs_panel import NeedsPanel
from app.gui.places.trace.panels.pen_panel import KEYS, PenPanel
from app.gui.places.trace.panels.picture_panel import PicturePanel
from app.gui.places.trace.panels.points_panel import PointsPanel
from app.gui.places.trace.plain_keys import PlainKeys
from app.gui.places.trace.table_files import TableFiles
from app.gui.places.trace.tool_row import TOOLS, ToolRow
from app.gui.places.trace.trace_document import TraceDocument
from app.gui.places.trace.trace_files import TraceFiles
from app.gui.places.trace.trace_journal import TraceJournal
from app.gui.preferences import Preferences
from app.gui.theme import PALETTES
from app.gui.widgets.floating import PassingWords

READY = "The axes are known. Take the pen (P): the picture is straightened for it."

EMPTY = (
    "Open a picture of a compressor map, drop it here, or paste it (Ctrl+V).\n"
    "Then: mark four corners of the plot frame, say what the axes show, draw the curves."
)


class TracePlace(QWidget):
    """Panels at both sides of the picture.

    Signals
    -------
    handed_over()
        A map was put into the build.

    Parameters
    ----------
    build : Document
        The open build, into which a traced map is put.
    preferences : Preferences
        Look and units.
    folder : Path, optional
        Folder of the journals.
    """

    handed_over = Signal()

    def __init__(
        self, build: Document, preferences: Preferences, folder: Path | None = None
    ) -> None:
        super().__init__()
        self._preferences = preferences
        self.document = TraceDocument(self)
        self.canvas = TraceCanvas()
        self.desk = TraceDesk(self.document, self.canvas)
        self.picture, self.axes, self.pen = PicturePanel(), AxesPanel(), PenPanel()
        self.curves, self.needs = CurvesPanel(), NeedsPanel()
        self.about, self.points = AboutPanel(), PointsPanel()
        self.table_map = HandOverPanel(for_table=True)
        self.convert = HandOverPanel(for_table=False)
        self.left, self.right = PanelColumn(), PanelColumn()
        self.tool_row = ToolRow(self.take_tool)
        self.tools, self.busy = self.tool_row.buttons, self.tool_row.busy
        self._lay_out()
        self.words = PassingWords(self, self.canvas)
        self.files = TraceFiles(self.document, build, self, self.words.say, self.words.say_done)
        self.feed = Feed(self)
        keys = {key: self.tools[mode] for mode, _, key, _ in TOOLS}
        keys |= {key: self.pen.buttons[kind] for kind, key in KEYS.items()}
        PlainKeys(self, keys, self.points.table)
        self.table_files = TableFiles(self)
        self.journal = TraceJournal(self.document, folder)
        self.journal.trouble.connect(self.words.say)
        self._connect()
        self._on_preferences()

    def _lay_out(self) -> None:
        self.left.add("Picture", self.picture)
        self.left.add("Axes", self.axes)
        self.left.add("Pen", self.pen)
        self.right.add("Curves", self.curves)
        self.right.add("Is it usable?", self.needs)
        self.right.add("About the compressor map", self.about, opened=False)
        table = self.right.add("Without a picture: a table of points", self.points, opened=False)
        table.rows.addWidget(self.table_map)
        self.right.add("At another reference state", self.convert, opened=False)
        middle = QWidget()
        column = QVBoxLayout(middle)
        column.setContentsMargins(0, 4, 0, 0)
        column.setSpacing(4)
        column.addWidget(self.tool_row)
        column.addWidget(self.canvas, 1)
        self.canvas.set_empty_words(EMPTY)
        across = QSplitter(Qt.Orientation.Horizontal)
        for widget in (self.left, middle, self.right):
            across.addWidget(widget)
        across.setStretchFactor(1, 1)
        across.setSizes([310, 700, 310])
        across.setChildrenCollapsible(False)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.addWidget(across)
        self.setAcceptDrops(True)

    def _connect(self) -> None:
        document, desk, files = self.document, self.desk, self.files
        self.tool_row.snaps.toggled.connect(lambda on: setattr(desk, "snaps", on))
        self.tool_row.loupe.toggled.connect(self._loupe)
        document.busy.connect(self.busy.set_words)
        document.refused.connect(self.words.say)
        document.saved_changed.connect(self._on_saved)
        document.changed.connect(self._on_saved)
        document.picture_changed.connect(self._on_picture)
        document.prepared_changed.connect(self._on_prepared)
        desk.said.connect(self.words.say)
        desk.mode_changed.connect(self._on_mode)
        desk.points_changed.connect(desk.axes_with_points)
        self.picture.open_asked.connect(files.open_picture)
        self.picture.paste_asked.connect(files.paste)
        self.picture.page_chosen.connect(files.show_page)
        self.picture.embed_changed.connect(lambda on: setattr(document, "embed", on))
        self.picture.dimming_changed.connect(self.canvas.set_dimming)
        self.needs.save_asked.connect(files.save_file)
        self.needs.use_asked.connect(self._use)
        self.canvas.menu_asked.connect(
            lambda key, node, where: open_curve_menu(desk, document.trace, key, node, where)
        )
        self.canvas.set_words(self._words_at)
        self._preferences.changed.connect(self._on_preferences)

    # what the window asks of a place

    @property
    def undo_stack(self) -> QUndoStack:
        """History of the trace's edits."""
        return self.document.undo_stack

    @property
    def own_files(self) -> TraceFiles:
        """Opening and saving act on the trace here."""
        return self.files

    def fit(self) -> None:
        """Show the whole picture."""
        self.canvas.fit()

    def fold_panels(self, folded: bool) -> None:
        """Hide or show the panels at both sides."""
        self.left.setVisible(not folded)
        self.right.setVisible(not folded)

    def set_classroom(self, on: bool) -> None:
        """Panels away, or everything back."""
        self.fold_panels(on)

    def may_leave(self) -> bool:
        """Whether the trace may be left: saved, or the user says so."""
        return self.files.may_leave()

    def end(self) -> None:
        """End the threads."""
        self.feed.close()
        self.journal.remove()
        self.document.close()

    # tools

    def take_tool(self, mode: str) -> None:
        """Take a tool in hand."""
        if mode == "pen":
            self.desk.take_pen(self.pen.kind, self.pen.value)
        else:
            self.desk.set_mode(mode)
        self.canvas.setFocus()

    def _use(self) -> None:
        if self.files.use_trace():
            self.handed_over.emit()

    def _words_at(self, x: float, y: float) -> str:
        """Flow and pressure ratio under the pointer, where the axes are known."""
        prepared = self.document.prepared
        if prepared is None:
            return f"{x:.0f}, {y:.0f} px"
        flow, ratio = prepared.calibration.to_values(self.desk.from_canvas(x, y)).tolist()
        low, high = prepared.calibration.limits[0]
        decimals = max(0, 4 - ceil(log10(high - low)))
        unit = self.document.trace.axes.flow_unit or ""
        # what is no more than the pen's noise is nothing, not minus nothing
        return f"flow {round(flow, decimals) + 0.0:.{decimals}f} {unit}, pressure ratio {ratio:.3f}"

    def _loupe(self, on: bool) -> None:
        self.canvas.set_loupe(on)

    def _on_mode(self, mode: str) -> None:
        self.tool_row.show_tool(mode)
        if mode != "points" and self.words.text() == READY:
            self.words.hide()
        with QSignalBlocker(self.tool_row.loupe):
            self.tool_row.loupe.setChecked(self.canvas.scene.loupe)
        self.axes.set_waiting(self.desk.waiting if mode == "points" else None)
        if mode == "points":
            self.left.show_panel("Axes")

    def _on_saved(self) -> None:
        """Tell which file is on the table, and whether it holds everything."""
        document = self.document
        path = document.path
        name = "" if document.is_empty else "not saved yet" if path is None else path.name
        unsaved = path is not None and not document.is_saved
        self.tool_row.file_name.set_words(f"{name}, changed" if unsaved else name)
        self.tool_row.file_name.setToolTip("" if path is None else str(path))

    def _on_picture(self) -> None:
        self.desk.show_picture()
        trace, picture = self.document.trace, self.document.picture
        pages = 1 if picture is None else picture.page_count
        note = "" if picture is None else picture.note
        self.picture.set_picture(trace.picture, pages, note)
        self.picture.set_embed(self.document.embed)
        if picture is not None and self.document.prepared is None and self.desk.mode == "look":
            # a trace that is taken up again goes on with its curves
            known = len(trace.axes.values) >= FEWEST
            self.desk.set_mode("edit" if known else "points")

    def _on_prepared(self) -> None:
        if self.document.prepared is not None and self.desk.mode == "points":
            self.words.say_done(READY)
            return  # the user looks at the corners still
        self.desk.show_picture()

    def _on_preferences(self, *_: object) -> None:
        choices = self._preferences.choices
        self.canvas.set_ground(PALETTES[choices.theme])
        self.tool_row.recolour(choices.theme)
        for panel in (self.axes, self.about, self.convert):
            panel.set_system(choices.units_shown)
        for panel in (
            self.picture, self.axes, self.pen, self.curves, self.needs, self.about, self.points,
            self.table_map, self.convert,
        ):  # fmt: skip
            panel.recolour(choices.theme)

    # files on the table

    def dragEnterEvent(self, event) -> None:  # type: ignore[no-untyped-def]
        """Accept files and pictures."""
        if event.mimeData().hasUrls():
            event.acceptProposedAction()

    def dropEvent(self, event) -> None:  # type: ignore[no-untyped-def]
        """Put the first file dropped on the table."""
        urls = event.mimeData().urls()
        if urls:
            self.files.take_path(Path(urls[0].toLocalFile()))
            event.acceptProposedAction()

    def keyPressEvent(self, event) -> None:  # type: ignore[no-untyped-def]
        """Paste a picture."""
        if event.key() == Qt.Key.Key_V and event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.files.paste()
        else:
            super().keyPressEvent(event)
