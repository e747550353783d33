"""Exports of the charts: the dialogs, the charts' own menus, the clipboard."""

from __future__ import annotations

import csv
import datetime
import io
from contextlib import AbstractContextManager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QPointF
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QDialog, QMenu, QMessageBox

from app.gui.chart_menu import ChartMenu
from app.gui.export_dialog import ExportChoice, ExportDialog
from app.gui.file_names import FileKind, ask_save, plain_name, written_words
from app.gui.places.line.chart_export import ALL_STRIPS, KINDS, MAP, ChartExport, charts_of
from app.present.caption import caption_rows
from app.present.series import STRIP_OF

if TYPE_CHECKING:
    from app.gui.window import Window

COPY_SCALE = 2.0
"""Pixels of a copied picture to one of the screen [-]."""


class Exporting:
    """Asks what and where to, writes, and says so."""

    def __init__(self, window: Window) -> None:
        self._window = window
        self._last = ExportChoice(MAP)
        self._places: list[Any] = []  # what they offer is told in DEVELOPERS.md
        line = window.line
        self.menus = (
            ChartMenu(line.map, self._fill_map_menu),
            ChartMenu(line.strips, self._fill_strips_menu),
        )

    def add_place(self, place: Any) -> None:
        """Offer the charts of another place too; it is loaded with its first visit."""
        self._places.append(place)
        for name, words in place.charts:

            def fill(menu: QMenu, _: QPointF | None, name: str = name, words: str = words) -> None:
                if self._place_of(name) is not None:
                    self._add_entries(menu, name, words)

            ChartMenu(place.chart_of(name), fill)

    def _place_of(self, chart: str) -> Any | None:
        """The place that has a chart now; nothing for those of the Line place."""
        return next((one for one in self._places if chart in one.exports.titles), None)

    def _shown(self, chart: str) -> AbstractContextManager[ChartExport]:
        """One of the charts, of whatever place."""
        place = self._place_of(chart)
        if place is not None:
            return place.shown(chart)
        return self._window.line.drawing.shown(chart)

    def _say_done(self, words: str) -> None:
        place = self._window.place
        (place if place in self._places else self._window.line).say_done(words)

    # asking

    def ask(self, chart: str = "") -> None:
        """Ask for kind, scale and file of a chart; without a name, the one with the focus."""
        line = self._window.line
        charts = charts_of(line.map, line.strips) if line.snapshot is not None else {}
        for place in self._places:
            charts |= place.exports.titles
        if not charts:
            line.say("There is no chart to export: show a strip, or choose a compressor map.")
            return
        chart = chart or self._chart_in_sight()
        offered = ExportChoice(chart, self._last.kind, self._last.scale)
        dialog = ExportDialog(charts, offered, self._window)
        if dialog.exec() != QDialog.DialogCode.Accepted:
            return
        self._last = dialog.choice
        path = self._ask_path(self._last)
        if path is not None:
            self.write(self._last, path)

    def _chart_in_sight(self) -> str:
        place = self._window.place
        if place in self._places:
            return str(place.chart_in_sight)
        if self._window.line.strips.hasFocus():
            return ALL_STRIPS
        return MAP if self._place_of(self._last.chart) is not None else self._last.chart

    def _ask_path(self, choice: ExportChoice) -> Path | None:
        ending = f".{choice.kind}"
        kind = FileKind("chart", "a chart", f"{KINDS[choice.kind]} (*{ending})", (ending,))
        window, name = self._window, self._suggestion(choice)
        return ask_save(window, window.preferences, kind, name, "Export a chart")

    def _suggestion(self, choice: ExportChoice) -> str:
        plain = plain_name(self._window.document.build.title)
        return f"{plain}-{choice.chart.replace('_', '-')}.{choice.kind}"

    # doing

    def write(self, choice: ExportChoice, path: Path) -> None:
        """Write a file; what failed is told in one sentence."""
        try:
            with self._shown(choice.chart) as shown:
                shown.write(choice.kind, path, choice.scale, self._caption(choice.chart))
        except OSError as error:
            QMessageBox.warning(self._window, "Not written", f"{error}.")
            return
        self._say_done(written_words(path))

    def _caption(self, chart: str) -> tuple[str, ...]:
        choices = self._window.preferences.choices
        place = self._place_of(chart)
        if place is not None:
            return place.exports.caption(choices.units_shown, choices.shelf.shop)
        snapshot = self._window.line.snapshot
        if snapshot is None:
            return ()
        today = datetime.date.today()
        return caption_rows(snapshot.match, today, choices.units_shown, choices.shelf.shop)

    def copy_picture(self, chart: str) -> None:
        """Put the picture of a chart on the clipboard."""
        with self._shown(chart) as shown:
            QGuiApplication.clipboard().setImage(shown.picture(COPY_SCALE, self._caption(chart)))
            self._say_done(f"Copied as a picture: {shown.title}")

    def copy_numbers(self, chart: str) -> None:
        """Put the numbers of a chart on the clipboard, with tabs between the cells."""
        with self._shown(chart) as shown:
            rows = csv.reader(io.StringIO(shown.numbers))
            QGuiApplication.clipboard().setText("\n".join("\t".join(row) for row in rows))
            self._say_done(f"Copied as numbers: {shown.title}")

    # the charts' own menus

    def _fill_map_menu(self, menu: QMenu, _: QPointF | None) -> None:
        if self._window.line.map.series is not None:
            self._add_entries(menu, MAP, "the map")
        menu.addAction(self._window.actions_by_name["fit_map"])

    def _fill_strips_menu(self, menu: QMenu, place: QPointF | None) -> None:
        strips = self._window.line.strips
        key = "" if place is None else strips.key_at(place)
        if key:
            self._add_entries(menu, key, f"“{STRIP_OF[key].title}”")
        if strips.keys:
            self._add_entries(menu, ALL_STRIPS, "all strips")
        menu.addMenu(self._window.strips_menu)

    def _add_entries(self, menu: QMenu, chart: str, words: str) -> None:
        menu.addAction(f"Export {words}…", lambda: self.ask(chart))
        menu.addAction(f"Copy {words} as a picture", lambda: self.copy_picture(chart))
        menu.addAction(f"Copy the numbers of {words}", lambda: self.copy_numbers(chart))
        menu.addSeparator()
