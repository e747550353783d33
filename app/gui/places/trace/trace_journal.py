"""The unsaved trace on the disk within a second of an edit, offered back after a kill."""

from __future__ import annotations

import contextlib
import json
import os
import time
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QObject, QTimer, Signal

from app.gui.journal import journal_folder, write
from app.gui.leftovers import broken_sentence, is_running
from app.gui.places.trace.trace_document import TraceDocument
from app.gui.process import start_of
from engine_model.errors import Fault, FileFaultsError
from engine_model.files.reading import read_document
from engine_model.tracing.trace import Trace
from engine_model.tracing.trace_file import draft_document, trace_from_document

FORMAT = "pulleywright-trace-journal"
SUFFIX = ".trace-journal.json"
PACE_MS = 400
"""From an edit to the writing; edits in between go with it."""


class TraceJournal(QObject):
    """Keeps the unsaved trace in one file per running program.

    Signals
    -------
    trouble(sentence)
        The journal cannot be written; an empty sentence when it can again.
    """

    trouble = Signal(str)

    def __init__(self, document: TraceDocument, folder: Path | None = None) -> None:
        super().__init__(document)
        self._document = document
        self.folder = folder or journal_folder()
        process_id = os.getpid()
        self.path = self.folder / f"{process_id}-{start_of(process_id) or ''}{SUFFIX}"
        self._troubled = False
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(PACE_MS)
        self._timer.timeout.connect(self.write_now)
        document.changed.connect(self._note)
        document.saved_changed.connect(self._note)

    def _note(self) -> None:
        if self._document.is_saved:
            self.remove()
        elif not self._timer.isActive():
            self._timer.start()

    def write_now(self) -> bool:
        """Bring the journal up to date; whether it could be."""
        self._timer.stop()
        if self._document.is_saved:
            self.remove()
            return True
        document = self._document
        record = {
            "format": FORMAT,
            "version": 1,
            "written": time.time(),
            "path": _text(document.path),
            "picture_path": _text(document.picture_path),
            "draft": draft_document(document.trace),
        }
        try:
            write(self.path, json.dumps(record).encode("ascii"))
        except OSError as error:
            if not self._troubled:
                self._troubled = True
                self.trouble.emit(
                    f"The unsaved trace is not safe from a crash: {error.strerror or error}. "
                    "Save it; the journal is tried again."
                )
            self._timer.start(5000)
            return False
        if self._troubled:
            self._troubled = False
            self.trouble.emit("")
        self._timer.setInterval(PACE_MS)
        return True

    def remove(self) -> None:
        """Take the journal away: the file holds everything."""
        self._timer.stop()
        if self.path.exists():
            try:
                self.path.unlink()
            except OSError as error:
                self.trouble.emit(f"An old journal could not be removed: {error.strerror}.")


@dataclass(frozen=True, slots=True)
class LeftTrace:
    """The journal of a program that no longer runs, with its trace."""

    journal: Path
    trace: Trace
    written: float
    path: Path | None
    picture_path: Path | None


def find_left_traces(folder: Path) -> tuple[list[LeftTrace], list[str]]:
    """Traces left behind, the latest first, and sentences on those that cannot be read."""
    found, broken = [], []
    for unfinished in folder.glob(f"*{SUFFIX}.*.tmp") if folder.is_dir() else []:
        if not is_running(unfinished.name.partition(SUFFIX)[0]):
            with contextlib.suppress(OSError):
                unfinished.unlink()
    for journal in sorted(folder.glob(f"*{SUFFIX}")) if folder.is_dir() else []:
        if is_running(journal.name.partition(SUFFIX)[0]):
            continue
        try:
            found.append(_read(journal))
        except FileNotFoundError:
            continue  # taken up elsewhere just now
        except FileFaultsError as error:
            kept = journal.with_name(f"{journal.name}.broken")
            try:
                journal.rename(kept)
            except OSError:
                kept = journal
            broken.append(broken_sentence(error, kept).replace("build", "trace", 1))
    return sorted(found, key=lambda one: -one.written), broken


def _read(journal: Path) -> LeftTrace:
    content = read_document(journal).content
    if not isinstance(content, dict) or content.get("format") != FORMAT:
        raise FileFaultsError(str(journal), (Fault("format", "another", FORMAT),))
    draft, written = content.get("draft"), content.get("written")
    if not isinstance(draft, dict) or not isinstance(written, (int, float)):
        raise FileFaultsError(str(journal), (Fault("draft", "none", "a trace"),))
    return LeftTrace(
        journal,
        trace_from_document(draft),
        float(written),
        _path(content.get("path")),
        _path(content.get("picture_path")),
    )


def _text(path: Path | None) -> str | None:
    return None if path is None else os.path.abspath(path)


def _path(value: object) -> Path | None:
    return Path(value) if isinstance(value, str) and value else None
