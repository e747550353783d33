"""The journal: the unsaved build on the disk within a second of an edit, for after a kill."""

from __future__ import annotations

import json
import os
import time
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path

from PySide6.QtCore import QObject, QStandardPaths, QTimer, Signal

from app.gui.document import Document
from app.gui.leftovers import JOURNAL_FORMAT, SUFFIX, VERSION
from app.gui.process import start_of
from engine_model.files.atomic import write_atomically
from engine_model.files.build_file import build_to_document

PACE_MS = 300
"""From an edit to the writing; edits in between go with it."""

RETRY_MS = 3000
"""From a writing that failed to the next."""


def journal_folder() -> Path:
    """Folder of the journals of this user."""
    place = QStandardPaths.StandardLocation.AppDataLocation
    return Path(QStandardPaths.writableLocation(place)) / "journal"


class Journal(QObject):
    """Keeps the unsaved build of a document in one file per running program.

    The text is made at once, the disk is waited for in a thread of its own. The file goes as
    soon as the build is saved, and with :meth:`close`.

    Signals
    -------
    trouble(sentence)
        The journal cannot be written; told once, then tried again until it can.
    mended()
        It can be written again.
    """

    trouble = Signal(str)
    mended = Signal()

    def __init__(self, document: Document, folder: Path | None = None) -> None:
        super().__init__(document)
        self._document = document
        process_id = os.getpid()
        start = start_of(process_id) or ""
        self._path = (folder or journal_folder()) / f"{process_id}-{start}{SUFFIX}"
        self._writer = ThreadPoolExecutor(max_workers=1, thread_name_prefix="journal")
        self._writing: Future[None] | None = None
        self._behind = False
        self._in_trouble = False
        self._closed = False
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self._turn)
        document.changed.connect(self._note)
        document.day_changed.connect(self._note)
        document.saved_changed.connect(self._note)

    @property
    def path(self) -> Path:
        """The journal's file; there only while something is not saved."""
        return self._path

    def write_now(self) -> bool:
        """Bring the journal up to date before returning; whether it could be."""
        if self._closed:
            return False
        self._wait()
        self._timer.stop()
        self._behind = False
        if self._document.is_saved:
            self._remove()
            return True
        try:
            write(self._path, self._text())
        except OSError as error:
            self._failed(error)
            return False
        self._succeeded()
        return True

    def close(self) -> None:
        """End on purpose: what is not saved was given up by the user, the journal goes."""
        if self._closed:
            return
        self._wait()
        self._closed = True
        self._timer.stop()
        self._writer.shutdown(wait=True)
        self._remove()

    def _note(self, *_: object) -> None:
        if self._closed:
            return
        if self._document.is_saved:  # the file holds it: an older journal must not outlive it
            self._wait()
            self._timer.stop()
            self._behind = False
            self._remove()
            return
        self._behind = True
        if not self._timer.isActive():
            self._timer.start(PACE_MS)

    def _turn(self) -> None:
        """Collect the last writing, start the next."""
        if self._writing is not None:
            if not self._writing.done():
                self._timer.start(PACE_MS // 10)
                return
            self._wait()
            if self._in_trouble:
                return
            if self._behind:
                # a drag edits all the time: the pace holds between writings too
                self._timer.start(PACE_MS)
            return
        if self._behind:
            self._behind = False
            self._writing = self._writer.submit(write, self._path, self._text())
            self._timer.start(PACE_MS // 10)

    def _wait(self) -> None:
        """Wait for a writing under way and hear how it went."""
        writing, self._writing = self._writing, None
        if writing is None:
            return
        try:
            writing.result()
        except OSError as error:
            self._failed(error)
        else:
            self._succeeded()

    def _failed(self, error: OSError) -> None:
        self._behind = True
        self._timer.start(RETRY_MS)
        self._tell(
            f"Unsaved work is not safe from a crash: {_reason(error, self._path)}. "
            "Save the build; the journal is tried again."
        )

    def _tell(self, sentence: str) -> None:
        if not self._in_trouble:
            self._in_trouble = True
            self.trouble.emit(sentence)

    def _succeeded(self) -> None:
        if self._in_trouble:
            self._in_trouble = False
            self.mended.emit()

    def _remove(self) -> None:
        if not self._path.exists():
            return
        try:
            self._path.unlink()
        except OSError as error:
            self._tell(f"An old journal could not be removed: {_reason(error, self._path)}.")

    def _text(self) -> bytes:
        document = self._document
        record = {
            "format": JOURNAL_FORMAT,
            "version": VERSION,
            "written": time.time(),
            "path": os.path.abspath(document.path) if document.path else None,
            "digest": document.digest,
            "day": document.day.name,
            "saved": document.is_saved,
            "build": build_to_document(document.build),
        }
        return json.dumps(record).encode("ascii")


def write(path: Path, text: bytes) -> None:
    """Write a journal in one step, making its folder; raises OSError where it cannot."""
    path.parent.mkdir(parents=True, exist_ok=True)
    write_atomically(path, text)


def _reason(error: OSError, path: Path) -> str:
    words = os.strerror(error.errno) if error.errno else str(error)
    return f"{words.lower()} in {path.parent}"
