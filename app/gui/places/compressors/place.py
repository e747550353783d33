"""The Compressors place: the answer above, the table, and the chosen ones laid over each other."""

from __future__ import annotations

from html import escape
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QIcon
from PySide6.QtWidgets import (
    QFileDialog,
    QLabel,
    QSplitter,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from app.chart_tools.thumbnail import map_thumbnail
from app.charts.compressor_overlay_chart import CompressorOverlayChart
from app.gui.document import Document
from app.gui.file_names import MAP, FileKind, ask_open, ask_save, plain_name, written_words
from app.gui.places.compressors.charts_export import OVERLAY, CompressorExports
from app.gui.places.compressors.controls import Controls
from app.gui.places.compressors.detail import Detail
from app.gui.places.compressors.feed import Feed
from app.gui.places.compressors.model import Look
from app.gui.places.compressors.overlay_bar import OverlayBar
from app.gui.places.compressors.table import CompressorTable
from app.gui.places.study_place import StudyPlace
from app.gui.preferences import Preferences
from app.gui.recompute import Recompute
from app.gui.widgets.floating import PassingWords
from app.present.cautions import CAUTIONS
from app.present.compressor_shown import ShownRow
from engine_model.files.atomic import write_atomically

NO_BLOWER = "This build has no blower: there is no compressor to choose."

TABLE = FileKind("table", "a table", "CSV table of numbers (*.csv)", (".csv",))
MOST_TABLE = 0.42
"""Share of the height that the table takes at most by itself [-]."""

LEFT = 200
"""Width of the left column at the usual text [px]."""


def is_map_file(path: Path) -> bool:
    """Whether a file may be a compressor map by its name."""
    name = path.name.lower()
    return path.is_file() and name.endswith(".json") and not name.endswith(".build.json")


class CompressorsPlace(StudyPlace):
    """Compares compressor maps over every chosen day."""

    def __init__(self, document: Document, recompute: Recompute, preferences: Preferences) -> None:
        super().__init__(document, preferences, "The comparison of compressors in words")
        self._is_parted = False
        self._pictures: dict[str, tuple[object, ...]] = {}
        self.controls, self.table, self.detail = Controls(), CompressorTable(), Detail()
        self.chart, self.bar = CompressorOverlayChart(), OverlayBar()
        self.exports = CompressorExports(self.chart)
        self._lay_out()
        self.setAcceptDrops(True)
        # over what is drawn: titles and rows of the table stay to be read
        self.words = PassingWords(self, self.bar, lambda: self.bar.free_place(self.beside.width()))
        self.feed = Feed(self, document, recompute, preferences)
        self.controls.csv.clicked.connect(self.write_table)
        preferences.changed.connect(self._dress)
        self._dress()

    def _lay_out(self) -> None:
        picture = QWidget()
        under = QVBoxLayout(picture)
        under.setContentsMargins(0, 0, 0, 0)
        under.setSpacing(0)
        under.addWidget(self.bar)
        under.addWidget(self.chart, 1)
        beside = self.beside = QSplitter(Qt.Orientation.Horizontal)
        for widget, share in ((picture, 68), (self.detail, 32)):
            beside.addWidget(widget)
            beside.setStretchFactor(beside.count() - 1, share)
        beside.setSizes([680, 320])
        middle = self.middle = QSplitter(Qt.Orientation.Vertical)
        middle.addWidget(self.table)
        middle.addWidget(beside)
        middle.setStretchFactor(0, 2)
        middle.setStretchFactor(1, 3)
        middle.setSizes([240, 360])
        across = self.across = QSplitter(Qt.Orientation.Horizontal)
        right = QWidget()
        rows = QVBoxLayout(right)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(0)
        # not over the left column, which stands still whatever the answer says
        rows.addWidget(self.answer)
        rows.addWidget(middle, 1)
        across.addWidget(self.controls)
        across.addWidget(right)
        across.setStretchFactor(1, 1)
        across.setSizes([LEFT, 1000])
        middle.splitterMoved.connect(self._on_parted)
        for splitter in (beside, middle, across):
            splitter.setChildrenCollapsible(False)
        self.no_blower = QLabel(NO_BLOWER)
        self.no_blower.setWordWrap(True)
        self.no_blower.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.pages = QStackedWidget()
        self.pages.addWidget(across)
        self.pages.addWidget(self.no_blower)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(self.pages, 1)
        layout.addWidget(self.caution)
        layout.addWidget(self.cover)

    def _on_parted(self, *_: object) -> None:
        self._is_parted = True

    # what the window asks of a place

    charts = ((OVERLAY, "the compressors laid over each other"),)
    """Names of its charts, and what they are in a menu."""

    def chart_of(self, name: str) -> QWidget:
        """One of its charts."""
        return {OVERLAY: self.chart}[name]

    @property
    def chart_in_sight(self) -> str:
        """Name of the chart that is exported first."""
        return OVERLAY

    def fit(self) -> None:
        """Show the maps whole."""
        self.chart.fit()

    def fold_panels(self, folded: bool) -> None:
        """Hide or show the column at the left and the words at the right."""
        self._folded = folded
        self.controls.setVisible(not folded)
        self.detail.setVisible(not (folded or self._covered))
        self.caution.setVisible(folded)

    def show_covered(self, covered: bool) -> None:
        """Leave out what answers, or show it."""
        self.chart.set_covered(covered)
        self.table.setVisible(not covered)
        self.bar.set_covered(covered)
        self.detail.setVisible(not (covered or self._folded))

    # what is shown

    def show_drive(self, kind: str) -> None:
        """Show the comparison, or say why there is none."""
        self.pages.setCurrentIndex(1 if kind == "none" else 0)
        own = {"belt": "belt", "free_shaft": "hot"}.get(kind, "general")
        words = [CAUTIONS[key] for key in dict.fromkeys(("impeller_speed", own, "general"))]
        self.controls.caution.setText("\n\n".join(words))
        self.caution.setText(" ".join(words))

    def show_answer(self, verdict: str, rows: list[str]) -> None:
        """Show the answer in words; the last row says what was asked."""
        quiet = self.palette().placeholderText().color().name()
        told = [f"<b>{escape(verdict)}</b>", *(escape(row) for row in rows[:-1])]
        told.append(f"<span style='color:{quiet}'>{escape(rows[-1])}</span>")
        self.answer.setText("<br>".join(told))
        self.chart.setAccessibleDescription(f"{verdict}. {' '.join(rows)}")
        self.exports.build, self.exports.aim = self._document.build, self.controls.aim
        self.exports.days = self.controls.chosen_days(self._document.build)
        self.exports.rows = self.feed.rows

    def fit_rows(self) -> None:
        """Give the table the height that its rows need, unless the user parted them himself."""
        total = sum(self.middle.sizes())
        wanted = min(self.table.wanted_height(), round(MOST_TABLE * total))
        if not self._is_parted and total and self.table.isVisible():
            self.middle.setSizes([wanted, total - wanted])

    def look(self) -> Look:
        """How the table looks."""
        units = self._preferences.choices.units_shown
        quiet = self.palette().placeholderText().color()
        return Look(units, self.icons, quiet, self.thumbnail)

    def thumbnail(self, one: ShownRow) -> QIcon | None:
        """Picture of a candidate with the line of its tightest day, painted once."""
        candidate = self.feed.candidate(one.key)
        if candidate is None or candidate.compressor_map is None:
            return None
        worst = None if one.row is None else one.row.worst
        line = None if worst is None else worst.line
        height = self.table.iconSize().height()
        asked = (candidate.compressor_map, line, self._palette, height)
        kept = self._pictures.get(one.key)
        if kept is None or any(a is not b for a, b in zip(kept[:2], asked[:2], strict=True)):
            kept = None
        if kept is None or kept[2:4] != asked[2:]:
            drawn = map_thumbnail(candidate.compressor_map, line, self._palette, height)
            icon = QIcon(drawn)
            icon.addPixmap(drawn, QIcon.Mode.Selected)
            kept = (*asked, icon)
            self._pictures[one.key] = kept
        picture = kept[4]
        assert isinstance(picture, QIcon)
        return picture

    # files

    def ask_folder(self) -> None:
        """Ask for the folder that is watched."""
        start = self._preferences.choices.library or self._preferences.folder_of(MAP.key)
        folder = QFileDialog.getExistingDirectory(self, "Watch a folder of compressor maps", start)
        if folder:
            self.feed.candidates.watch_folder(folder)

    def ask_files(self) -> None:
        """Ask for a compressor map and put it on the table."""
        path = ask_open(self, self._preferences, MAP, "Add a compressor map")
        if path is not None:
            self.feed.candidates.add_files([path])

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Accept compressor maps and a folder; builds are the window's."""
        paths = [Path(url.toLocalFile()) for url in event.mimeData().urls()]
        if any(path.is_dir() or is_map_file(path) for path in paths):
            event.acceptProposedAction()
        else:
            event.ignore()

    def dropEvent(self, event: QDropEvent) -> None:
        """Put the compressor maps dropped on the table; a folder is watched."""
        paths = [Path(url.toLocalFile()) for url in event.mimeData().urls()]
        folders = [path for path in paths if path.is_dir()]
        if folders:
            self.feed.candidates.watch_folder(str(folders[0].absolute()))
        self.feed.candidates.add_files([path for path in paths if is_map_file(path)])

    def write_table(self) -> None:
        """Ask for a name and write the table as it is shown."""
        name = f"{plain_name(self._document.build.title)}-compressors.csv"
        path = ask_save(self, self._preferences, TABLE, name, "Write the table")
        if path is not None:
            self.write_table_to(path)

    def write_table_to(self, path: Path) -> None:
        """Write the table as it is shown; what failed is told in one sentence."""
        model, units = self.table.rows_model, self._preferences.choices.units_shown
        text = self.exports.table(model.rows, model.columns, units)
        try:
            write_atomically(path, text.encode("utf-8"))
        except OSError as error:
            self.say(f"{error}.")
            return
        self.say_done(written_words(path))

    def dress(self) -> None:
        """Show everything in the colours, units and size of text chosen."""
        self.chart.set_palette(self._palette)
        self.controls.set_units(self._preferences.choices.units_shown)
        self.feed.catch_up()
