"""The open build: one method edits, everything else follows from its signal."""

from __future__ import annotations

import errno
import hashlib
import itertools
import os
from pathlib import Path

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoStack

from app.fields import FIELD
from app.gui.commands import RecordCommand
from app.paths import is_shipped
from engine_model.files.build_file import build_to_document, load_build, save_build
from engine_model.files.layout import to_bytes
from engine_model.inputs import Build, Day

_GESTURES = itertools.count(1)

NO_FILE = "no file"
"""Digest of a file that is not there."""


class ChangedOutsideError(OSError):
    """A file that another program changed since it was opened or saved; it is left as it is."""

    def __init__(self, path: Path) -> None:
        sentence = f"{path}: not saved, another program changed it; both are untouched"
        super().__init__(errno.EEXIST, sentence, str(path))

    def __str__(self) -> str:
        """Return the sentence."""
        return str(self.strerror)


def digest_of(path: Path) -> str:
    """Digest of a file's content; a word where there is none or where it cannot be read."""
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except (FileNotFoundError, NotADirectoryError):
        return NO_FILE
    except OSError:
        return "unreadable"


def new_gesture() -> int:
    """A token that ties the edits of one drag together."""
    return next(_GESTURES)


class Document(QObject):
    """The open build with its file and its history.

    Signals
    -------
    changed(paths)
        The build changed; the paths that did, a frozenset of str (empty: another build).
    day_changed()
        Another day is shown.
    saved_changed()
        The file's name or the unsaved mark changed.
    """

    changed = Signal(object)
    day_changed = Signal()
    saved_changed = Signal()

    def __init__(self, build: Build, path: Path | None = None) -> None:
        super().__init__()
        self._build = build
        self._path = path
        self._day = build.target.day or "mild"
        self._digest = digest_of(path) if path else NO_FILE
        self._file_holds = True
        self.undo = QUndoStack(self)
        self.undo.cleanChanged.connect(self.saved_changed)

    @property
    def build(self) -> Build:
        """The build as it is now."""
        return self._build

    @property
    def path(self) -> Path | None:
        """Its file, or nothing yet."""
        return self._path

    @property
    def day(self) -> Day:
        """The day shown; the mild one where the build no longer knows its name."""
        known = self._build.known_days()
        return known.get(self._day, known["mild"])

    @property
    def is_saved(self) -> bool:
        """Whether the file holds the build as it is."""
        return self._file_holds and self.undo.isClean()

    @property
    def digest(self) -> str:
        """Digest of the file as it was opened or last saved."""
        return self._digest

    def is_foreign(self, path: Path) -> bool:
        """Whether a file is the open one and another program changed it."""
        if self._path is None or os.path.realpath(path) != os.path.realpath(self._path):
            return False
        return digest_of(path) not in (NO_FILE, self._digest)

    def set_file_holds(self, holds: bool) -> None:
        """Tell whether the file still is as it was opened or last saved."""
        if holds != self._file_holds:
            self._file_holds = holds
            self.saved_changed.emit()

    def keep_mine(self) -> None:
        """Stand by the build although the file was changed; the next save overwrites that."""
        if self._path is not None:
            self._digest, self._file_holds = digest_of(self._path), True
            self.undo.resetClean()
            self.saved_changed.emit()

    def show_day(self, name: str) -> None:
        """Show another day."""
        if name != self._day:
            self._day = name
            self.day_changed.emit()

    def edit(self, path: str, value: object, gesture: int | None = None) -> None:
        """Change one input; raises InputError where the value is not allowed."""
        self.edit_many({path: value}, f"Change {FIELD[path].label.lower()}", gesture)

    def edit_many(self, changes: dict[str, object], text: str, gesture: int | None = None) -> None:
        """Change several inputs as one step; raises InputError where one is not allowed."""
        self.replace(self._build.with_values(changes), frozenset(changes), text, gesture)

    def replace(
        self,
        build: Build,
        paths: frozenset[str],
        text: str,
        gesture: int | None = None,
        *,
        place: str = "",
    ) -> None:
        """Put another record of the build in place as one step, made in a place of its own."""
        if build == self._build:
            return
        command = RecordCommand(self._apply, self._build, build, paths, text, gesture)
        command.place = place
        self.undo.push(command)

    def _apply(self, build: Build, paths: frozenset[str]) -> None:
        self._build = build
        self.changed.emit(paths)

    def open(self, path: Path) -> None:
        """Open a file; raises FileFaultsError and leaves the present build where it cannot.

        A sample is opened as a copy without a file.
        """
        if is_shipped(path):
            self.take(load_build(path), None)
            return
        digest = digest_of(path)  # before the reading: a change in between is noticed later
        self._take(load_build(path), path, digest)

    def take(self, build: Build, path: Path | None) -> None:
        """Take another build as the open one, with a fresh history."""
        self._take(build, path, digest_of(path) if path else NO_FILE)

    def recover(self, build: Build, path: Path | None, day: str, digest: str) -> None:
        """Take an unsaved build of a former run; its file had this digest then."""
        self._take(build, path, digest, day, saved=False)

    def _take(
        self,
        build: Build,
        path: Path | None,
        digest: str,
        day: str | None = None,
        saved: bool = True,
    ) -> None:
        self._build, self._path, self._digest = build, path, digest
        self._day = day or build.target.day or "mild"
        self._file_holds = True
        self.undo.clear()  # an empty history keeps its clean mark, or its want of one
        if saved:
            self.undo.setClean()
        else:
            self.undo.resetClean()
        self.changed.emit(frozenset())
        self.day_changed.emit()
        self.saved_changed.emit()

    def read_again(self) -> None:
        """Take the file's build as one more step, so that undo brings the former one back."""
        if self._path is None:
            return
        digest = digest_of(self._path)
        self.replace(load_build(self._path), frozenset(), f"Read {self._path.name} again")
        self._now_saved(self._path, digest)

    def save(self, path: Path | None = None) -> None:
        """Save the build; raises OSError with a sentence and keeps everything where it cannot.

        A file that another program changed is left as it is: ChangedOutsideError.
        """
        target = path or self._path
        if target is None:
            raise OSError("no file name yet")
        if self.is_foreign(target):
            raise ChangedOutsideError(target)
        save_build(self._build, target)
        written = to_bytes(build_to_document(self._build))  # not what another wrote just after
        self._now_saved(target, hashlib.sha256(written).hexdigest())

    def _now_saved(self, path: Path, digest: str) -> None:
        self._path, self._digest, self._file_holds = path, digest, True
        self.undo.setClean()
        self.saved_changed.emit()
