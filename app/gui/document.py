"""The open build: one method edits, everything else follows from its signal."""

from __future__ import annotations

import itertools
from pathlib import Path

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoStack

from app.fields import FIELD
from app.gui.commands import BuildCommand
from engine_model.files.build_file import load_build, save_build
from engine_model.inputs import Build, Day

_GESTURES = itertools.count(1)


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
        return self.undo.isClean()

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
        self, build: Build, paths: frozenset[str], text: str, gesture: int | None = None
    ) -> None:
        """Put another record of the build in place as one step."""
        if build == self._build:
            return
        self.undo.push(BuildCommand(self._apply, self._build, build, paths, text, gesture))

    def _apply(self, build: Build, paths: frozenset[str]) -> None:
        self._build = build
        self.changed.emit(paths)

    def open(self, path: Path) -> None:
        """Open a file; raises FileFaultsError and leaves the present build where it cannot."""
        self.take(load_build(path), path)

    def take(self, build: Build, path: Path | None) -> None:
        """Take another build as the open one, with a fresh history."""
        self._build = build
        self._path = path
        self._day = build.target.day or "mild"
        self.undo.clear()
        self.changed.emit(frozenset())
        self.day_changed.emit()
        self.saved_changed.emit()

    def save(self, path: Path | None = None) -> None:
        """Save the build; raises OSError with a sentence and keeps everything where it cannot."""
        target = path or self._path
        if target is None:
            raise OSError("no file name yet")
        save_build(self._build, target)
        self._path = target
        self.undo.setClean()
        self.saved_changed.emit()
