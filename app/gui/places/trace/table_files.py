"""Maps of the table of points, and maps at another reference state: saved and handed over."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFileDialog

from engine_model.compressor.map_data import CompressorMap
from engine_model.errors import FileFaultsError, InputError
from engine_model.files.atomic import write_atomically
from engine_model.files.map_csv import map_to_table
from engine_model.files.map_file import save_map
from engine_model.tracing.points import convert_reference, map_from_points
from engine_model.tracing.to_map import trace_to_map

if TYPE_CHECKING:
    from app.gui.places.trace.place import TracePlace

MAPS = "Compressor maps (*.map.json)"
TABLES = "Tables (*.csv *.txt *.tsv)"
MOST_FAULTS = 6
ROW = re.compile(r"row (\d+)(?: \([^)]*\))?")
LARGEST_TABLE = 5_000_000
"""Bytes of a table read; chosen here."""


class TableFiles:
    """What the table's buttons do."""

    def __init__(self, place: TracePlace) -> None:
        self._place = place
        place.points.import_asked.connect(self.bring)
        place.points.export_asked.connect(self.export)
        place.table_map.save_asked.connect(self.save)
        place.table_map.use_asked.connect(self.use)
        place.convert.convert_asked.connect(self.convert)

    @property
    def has_table(self) -> bool:
        """Whether points are typed."""
        return bool(self._place.points.table_text())

    def made(self) -> CompressorMap | None:
        """Map of the table; nothing, with sentences, where it cannot be one."""
        text = self._place.points.table_text()
        if not text:
            self._place.points.say("The table has no points yet, or some cells are at fault.")
            return None
        try:
            found = map_from_points(text, self._place.document.trace)
        except FileFaultsError as error:
            self._tell(error)
            return None
        self._place.points.say("")
        return found

    def use(self) -> None:
        """Put the table's map into the build."""
        found = self.made()
        if found is not None:
            self._place.files.use(found)
            self._place.handed_over.emit()

    def save(self) -> None:
        """Save the table's map."""
        found = self.made()
        if found is not None:
            self._save(found)

    def convert(self, temperature: float, pressure: float) -> None:
        """Save what lies on the table, traced or typed, at another reference state."""
        try:
            found = self.made() if self.has_table else trace_to_map(self._place.document.trace)
        except FileFaultsError as error:
            self._place.words.say(f"There is no usable map yet: {error.faults[0].sentence()}.")
            return
        if found is None:
            return
        try:
            self._save(convert_reference(found, temperature, pressure))
        except InputError as error:
            self._place.words.say(f"{error.value} given; allowed: {error.allowed}.")

    def _save(self, found: CompressorMap) -> None:
        path = self._ask("Save the compressor map", "typed.map.json", MAPS, ".map.json")
        if path is not None:
            self._write(path, lambda: save_map(found, path))

    def bring(self) -> None:
        """Take a CSV file into the table."""
        name, _ = QFileDialog.getOpenFileName(self._place, "Import a table", "", TABLES)
        if not name:
            return
        path = Path(name)
        try:
            if path.stat().st_size > LARGEST_TABLE:
                self._place.points.say(f"{path.name} is larger than {LARGEST_TABLE} bytes.")
                return
            text = path.read_text(encoding="utf-8-sig")
        except OSError as error:
            self._place.points.say(f"{path.name} was not read: {error.strerror or error}.")
            return
        except UnicodeDecodeError:
            self._place.points.say(f"{path.name} is no text in UTF-8: save it as CSV UTF-8.")
            return
        self._place.points.paste_text(text)

    def export(self) -> None:
        """Write the table, or else the traced map's points, as CSV."""
        text = self._place.points.table_text()
        if not text:
            try:
                text = map_to_table(trace_to_map(self._place.document.trace))
            except FileFaultsError:
                self._place.points.say("There are no points to write yet.")
                return
        path = self._ask("Export the points", "points.csv", TABLES, ".csv")
        if path is not None:
            self._write(path, lambda: write_atomically(path, text.encode("utf-8")))

    def _ask(self, title: str, suggestion: str, kinds: str, ending: str) -> Path | None:
        name, _ = QFileDialog.getSaveFileName(self._place, title, suggestion, kinds)
        if not name:
            return None
        path = Path(name)
        return path if path.suffix else path.with_name(path.name + ending)

    def _write(self, path: Path, writing: Callable[[], object]) -> None:
        try:
            writing()
        except FileFaultsError as error:
            self._tell(error)
        except OSError as error:
            self._place.words.say(f"{path.name} was not written: {error.strerror or error}.")
        else:
            self._place.words.say_done(f"Written: {path.name}")

    def _tell(self, error: FileFaultsError) -> None:
        told, rows_at_fault = [], {}
        for fault in error.faults:
            # the text that was read has a line of titles first
            row = ROW.match(fault.where)
            number = int(row[1]) - 1 if row else 0
            where = ROW.sub(f"row {number}", fault.where) if row else fault.where
            told.append(f"{replace(fault, where=where).sentence()}.")
            if row:
                rows_at_fault.setdefault(number - 1, told[-1])
        self._place.points.set_row_faults(rows_at_fault)
        more = len(told) - MOST_FAULTS
        rows = told[:MOST_FAULTS] + ([f"and {more} more."] if more > 0 else [])
        self._place.points.say(" ".join(rows))
