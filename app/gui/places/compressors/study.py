"""The compressor study in a thread: rows as they come, kept as long as they hold."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from PySide6.QtCore import QObject, Signal

from app.gui.latest_work import DroppedError, LatestWork, Tell
from engine_model.compressor.map_data import CompressorMap
from engine_model.inputs import Build, Day
from engine_model.studies.compressor_records import CompressorAim, CompressorRow
from engine_model.studies.compressor_study import compressor_rows


def asked_of(build: Build, question: CompressorAim) -> Build:
    """A build without what a row does not depend on."""
    bare = replace(build, notes="", pins=(), scenes=(), given=frozenset(), title="")
    drive = bare.drive
    if drive.kind != "belt":
        return bare
    drive = replace(drive, blower_pulley_diameter=question.blower_pulleys[1])
    if question.crank_pulleys:
        drive = replace(drive, crank_pulley_diameter=question.crank_pulleys[0])
    if question.ribs:
        drive = replace(drive, ribs=question.ribs[0])
    return replace(bare, drive=drive)


@dataclass(frozen=True, slots=True)
class Asked:
    """What a row answers: the build with its map, days and question."""

    build: Build
    days: tuple[Day, ...]
    question: CompressorAim


@dataclass(frozen=True, slots=True, eq=False)
class RunRequest:
    """The build as it is, days, question, the maps by their keys, and what each row answers."""

    build: Build
    days: tuple[Day, ...]
    question: CompressorAim
    maps: tuple[tuple[str, CompressorMap], ...]
    asked: dict[str, Asked]


def _rows(request: RunRequest, is_dropped: Tell) -> Iterator[tuple[str, CompressorRow]]:
    keys = [key for key, _ in request.maps]
    maps = [one for _, one in request.maps]

    def cancelled() -> bool:
        try:
            is_dropped("alive", None)
        except DroppedError:
            return True
        return False

    for row in compressor_rows(
        request.build, maps, request.days, request.question, cancelled=cancelled
    ):
        yield keys[row.place], row


class CompressorRun(LatestWork):
    """Works out rows, one run at a time.

    Signals
    -------
    row_ready(request, key, row)
        The row of a candidate.
    stepped(done, all)
        Candidates done.
    finished(request)
        All rows of a run are there.
    """

    row_ready = Signal(object, str, object)
    stepped = Signal(int, int)
    finished = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__("compressors", parent)
        self._done = 0

    def start(self, request: RunRequest) -> None:
        """Begin a run; whatever was under way is dropped."""
        self._done = 0

        def work(tell: Tell) -> None:
            for found in _rows(request, tell):
                tell("row", found)
            tell("end", None)

        self.begin(request, work)

    def take(self, kind: str, request: object, found: object) -> None:
        """Hand on a row, or the end."""
        assert isinstance(request, RunRequest)
        if kind == "row":
            key, row = found  # type: ignore[misc]
            self._done += 1
            self.stepped.emit(self._done, len(request.maps))
            self.row_ready.emit(request, key, row)
        elif kind == "end":
            self._set_busy(False)
            self.finished.emit(request)
