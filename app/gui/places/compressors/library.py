"""Compressor maps on the disk: a watched folder and files added by hand, read in a thread."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QFileSystemWatcher, QObject, QTimer, Signal

from app.gui.latest_work import LatestWork, Tell
from engine_model.compressor.map_data import CompressorMap
from engine_model.errors import FileFaultsError
from engine_model.files.map_file import load_map

ENDING = ".map.json"
"""Ending of the files of a watched folder that are taken up."""

SETTLE_MS = 200
"""The folder is looked at when nothing has happened in it for this long."""

POLL_MS = 4000
"""How often it is looked at besides: not every folder tells its changes."""

GONE = "the file is not there any more"


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """A file as it was read.

    Parameters
    ----------
    path : Path
        The file.
    stamp : tuple of int
        Time, size and number of the file when it was read; empty where it is not there.
    compressor_map : CompressorMap or None
        Its map; none where it has faults.
    sentence : str
        Its faults.
    """

    path: Path
    stamp: tuple[int, ...]
    compressor_map: CompressorMap | None
    sentence: str = ""


@dataclass(frozen=True, slots=True)
class _Wanted:
    """What is looked at: folder (empty: none) and files."""

    folder: str
    files: tuple[str, ...]


def _stamp(path: Path) -> tuple[int, ...]:
    try:
        told = path.stat()
    except OSError:
        return ()
    return told.st_mtime_ns, told.st_size, told.st_ino


def _faults_words(error: FileFaultsError) -> str:
    first = error.faults[0].sentence() if error.faults else "it cannot be read"
    more = len(error.faults) - 1
    return f"{first}; and {more} more fault{'s' * (more > 1)}" if more > 0 else first


def read_again(path: Path, former: Reading | None) -> Reading:
    """Reading of a file; the former one where the file is as it was."""
    stamp = _stamp(path)
    if former is not None and former.stamp == stamp:
        return former
    if not stamp:
        return Reading(path, stamp, None, GONE)
    try:
        return Reading(path, stamp, load_map(path))
    except FileFaultsError as error:
        return Reading(path, stamp, None, _faults_words(error))


def look(wanted: _Wanted, former: Mapping[Path, Reading]) -> tuple[tuple[Reading, ...], str]:
    """Readings of all files wanted, those of the folder first, and what is wrong with it."""
    paths, fault = [], ""
    if wanted.folder:
        try:
            found = [p for p in Path(wanted.folder).iterdir() if p.name.lower().endswith(ENDING)]
            paths = sorted(found, key=lambda p: p.name.casefold())
        except OSError as error:
            fault = f"{wanted.folder}: {error.strerror or 'cannot be read'}"
    paths += [Path(name) for name in wanted.files if Path(name) not in paths]
    return tuple(read_again(path, former.get(path)) for path in paths), fault


class Library(LatestWork):
    """Keeps up with a folder and some files by itself.

    Signals
    -------
    changed()
        A file came, went or is another.
    """

    changed = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__("library", parent)
        self._wanted = _Wanted("", ())
        self._readings: dict[Path, Reading] = {}
        self._is_read = True
        self.fault = ""
        self._watcher = QFileSystemWatcher(self)
        self._watcher.directoryChanged.connect(self._soon)
        self._watcher.fileChanged.connect(self._soon)
        self._settle = QTimer(self, singleShot=True, interval=SETTLE_MS)
        self._settle.timeout.connect(self.look)
        self._poll = QTimer(self, interval=POLL_MS)
        self._poll.timeout.connect(self._on_poll)

    @property
    def readings(self) -> tuple[Reading, ...]:
        """Files as last read."""
        return tuple(self._readings.values())

    @property
    def folder(self) -> str:
        """The watched folder; empty for none."""
        return self._wanted.folder

    @property
    def count_in_folder(self) -> int:
        """Maps of the watched folder that can be read."""
        by_hand = {Path(name) for name in self._wanted.files}
        return sum(
            one.compressor_map is not None and one.path not in by_hand for one in self.readings
        )

    @property
    def is_read(self) -> bool:
        """Whether all that is wanted was read once."""
        return self._is_read

    def set_wanted(self, folder: str, files: tuple[str, ...]) -> None:
        """Watch another folder and other files."""
        wanted = _Wanted(folder, files)
        if wanted == self._wanted:
            return
        self._wanted, self._is_read = wanted, False
        if folder or files:
            self._poll.start()
        else:
            self._poll.stop()
        self.look()

    def look(self) -> None:
        """Look at folder and files now."""
        wanted, former = self._wanted, dict(self._readings)

        def work(tell: Tell) -> None:
            tell("looked", look(wanted, former))

        self.begin(wanted, work)

    def take(self, kind: str, request: object, found: object) -> None:
        """Take the readings, and tell where something is new."""
        readings, fault = found  # type: ignore[misc]
        self._watch(readings, fault)
        new = {one.path: one for one in readings}
        same = list(new.values()) == list(self._readings.values()) and fault == self.fault
        first, self._is_read = not self._is_read, True
        self._readings, self.fault = new, fault
        if first or not same:
            self.changed.emit()

    def end(self) -> None:
        """End thread and timers."""
        self._poll.stop()
        self._settle.stop()
        super().end()

    def _soon(self, *_: object) -> None:
        self._settle.start()

    def _on_poll(self) -> None:
        if not self.is_busy:
            self.look()

    def _watch(self, readings: tuple[Reading, ...], fault: str) -> None:
        """Watch folder and files; files anew, another one may have taken a name over."""
        wanted = {str(one.path) for one in readings if one.stamp}
        if self._wanted.folder and not fault:
            wanted.add(self._wanted.folder)
        watched = {*self._watcher.files(), *self._watcher.directories()}
        if watched - wanted:
            self._watcher.removePaths(sorted(watched - wanted))
        if wanted - watched:
            self._watcher.addPaths(sorted(wanted - watched))


__all__ = ["ENDING", "GONE", "Library", "Reading", "look", "read_again"]
