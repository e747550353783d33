"""Compressor maps on the disk: a watched folder and files added by hand, read in a thread."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QFileSystemWatcher, QObject, QTimer, Signal

from app.gui.latest_work import LatestWork, Tell
from engine_model.compressor.map_data import CompressorMap
from engine_model.errors import FileFaultsError
from engine_model.files.build_record import BUILD_FORMAT
from engine_model.files.map_file import load_map
from engine_model.files.map_record import MAP_FORMAT
from engine_model.files.reading import decode, read_bytes, read_document
from engine_model.files.trace_record import TRACE_FORMAT

ENDING = ".map.json"
"""Ending of the files of a watched folder that are taken up."""

SETTLE_MS = 200
"""The folder is looked at when nothing has happened in it for this long."""

POLL_MS = 4000
"""How often it is looked at besides: not every folder tells its changes."""

LOOKED_AT = 4000
"""Letters of a file that are looked at for what no text has."""

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


KINDS = {BUILD_FORMAT: "a build file", TRACE_FORMAT: "a map that is still being traced"}
"""Files of other kinds, by their format."""


def plain_fault(path: Path) -> str:
    """What a file that is no compressor map is, in plain words; empty where it is nearly one."""
    try:
        data = read_bytes(path)
        text = decode(path.name, data)
    except FileFaultsError as error:
        is_there = error.faults and error.faults[0].where != "file"
        return "not readable text" if is_there else ""
    if not text.strip():
        return "empty file"
    if any(ord(one) < 32 and one not in "\t\r\n\f" for one in text[:LOOKED_AT]):
        return "not readable text"
    try:
        content = read_document(path).content
    except FileFaultsError:
        return "" if text.lstrip().startswith(("{", "[")) else "not a compressor map: other text"
    kind = content.get("format") if isinstance(content, dict) else None
    if kind == MAP_FORMAT:
        return ""
    what = KINDS.get(kind, "a file of another kind") if isinstance(kind, str) else "other data"
    return f"not a compressor map: it is {what}"


def _faults_words(error: FileFaultsError, path: Path) -> str:
    plain = plain_fault(path)
    if plain:
        return plain
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
        return Reading(path, stamp, None, _faults_words(error, path))


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


def passed_over(folder: str) -> int:
    """Files of a folder that are not looked at for their names; hidden ones do not count."""
    if not folder:
        return 0
    try:
        return sum(
            not p.name.lower().endswith(ENDING) and not p.name.startswith(".") and p.is_file()
            for p in Path(folder).iterdir()
        )
    except OSError:
        return 0


@dataclass(frozen=True, slots=True)
class FolderCounts:
    """Files of the watched folder: maps, files with faults, and those passed over."""

    maps: int = 0
    faults: int = 0
    others: int = 0

    def words(self) -> str:
        """How many of each there are."""
        told = ["1 map" if self.maps == 1 else f"{self.maps} maps"]
        if self.faults:
            files = "1 file" if self.faults == 1 else f"{self.faults} files"
            told.append(f"{files} with faults")
        words = ", ".join(told)
        if self.others:
            names = "1 other name" if self.others == 1 else f"{self.others} other names"
            words += f"; {names} passed over: maps end in {ENDING}"
        return words


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
        self.fault, self._others = "", 0
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
    def counts(self) -> FolderCounts:
        """Files of the watched folder."""
        by_hand = {Path(name) for name in self._wanted.files}
        mine = [one.compressor_map is not None for one in self.readings if one.path not in by_hand]
        return FolderCounts(sum(mine), len(mine) - sum(mine), self._others)

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
            tell("looked", (*look(wanted, former), passed_over(wanted.folder)))

        self.begin(wanted, work)

    def take(self, kind: str, request: object, found: object) -> None:
        """Take the readings, and tell where something is new."""
        readings, fault, others = found  # type: ignore[misc]
        self._watch(readings, fault)
        new = {one.path: one for one in readings}
        same = list(new.values()) == list(self._readings.values()) and fault == self.fault
        same = same and others == self._others
        first, self._is_read = not self._is_read, True
        self._readings, self.fault, self._others = new, fault, others
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
