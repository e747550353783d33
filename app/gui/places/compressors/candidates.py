"""Candidates: the build's own compressor map, the samples, the library, files added by hand."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from app.gui.document import Document
from app.gui.places.compressors.library import Library
from app.gui.preferences import Preferences
from app.paths import sample_maps
from app.present.map_words import usual_drive
from engine_model.compressor.map_data import CompressorMap
from engine_model.files.map_file import load_map

OWN = "in this build"
FORMER = "formerly in this build"


@dataclass(frozen=True, slots=True, eq=False)
class Candidate:
    """A compressor map that may be chosen, or a file with faults.

    Parameters
    ----------
    key : str
        Tells candidates apart, the same from run to run.
    source : str
        Where it comes from, in words.
    compressor_map : CompressorMap or None
        The map; none where its file has faults.
    sentence : str
        The faults.
    is_own : bool
        Whether the build has it now.
    path : str
        Its file where it was added by hand; such a one can be taken off the list.
    """

    key: str
    source: str
    compressor_map: CompressorMap | None
    sentence: str = ""
    is_own: bool = False
    path: str = ""

    @property
    def title(self) -> str:
        """Title of the map, or the name of the file."""
        one = self.compressor_map
        return Path(self.key.partition(":")[2]).name if one is None else one.title


def _joined(candidates: Iterable[Candidate], own: CompressorMap | None) -> list[Candidate]:
    """Each map once, under the first of its names; that of the build is marked."""
    found: list[Candidate] = []
    place: dict[CompressorMap, int] = {}
    for one in candidates:
        cmap = one.compressor_map
        if cmap is None or cmap not in place:
            if cmap is not None:
                place[cmap] = len(found)
            found.append(one)
            continue
        first = found[place[cmap]]
        if one.source not in (OWN, FORMER):
            found[place[cmap]] = replace(
                first, source=f"{first.source}; {one.source}", path=first.path or one.path
            )
    if own is not None and own in place:
        at = place[own]
        mine = found.pop(at)
        told = mine.source if mine.source == OWN else f"{OWN}; {mine.source}"
        found.insert(0, replace(mine, source=told, is_own=True))
    return found


class Candidates(QObject):
    """The list of candidates and which of them are chosen.

    Signals
    -------
    changed()
        Other candidates, or others are chosen.
    """

    changed = Signal()

    def __init__(
        self, document: Document, preferences: Preferences, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._document, self._preferences = document, preferences
        self.library = Library(self)
        self._samples = tuple(
            Candidate(f"sample:{name}", f"sample {name}", load_map(file))
            for name, file in sample_maps().items()
        )
        self._former: list[CompressorMap] = []
        self._own = document.build.blower.compressor_map
        self._all: list[Candidate] = []
        self.library.changed.connect(self.refresh)
        document.changed.connect(self._on_document)
        preferences.maps_changed.connect(self._follow)
        self._follow()
        self.refresh()

    @property
    def every(self) -> tuple[Candidate, ...]:
        """All candidates, that of the build first."""
        return tuple(self._all)

    @property
    def chosen(self) -> tuple[Candidate, ...]:
        """Those that are chosen and can be read."""
        return tuple(one for one in self._all if self.is_chosen(one))

    def is_chosen(self, one: Candidate) -> bool:
        """Whether a candidate is chosen: as ticked, else what fits the build's kind of drive."""
        if one.compressor_map is None:
            return False
        ticked = dict(self._preferences.choices.map_ticks).get(one.key)
        if ticked is not None:
            return ticked
        if one.is_own or not one.key.startswith("sample:"):
            return True
        return usual_drive(one.compressor_map) == self._document.build.drive.kind

    def tick(self, key: str, on: bool) -> None:
        """Choose a candidate, or not."""
        others = tuple(p for p in self._preferences.choices.map_ticks if p[0] != key)
        self._preferences.change(map_ticks=(*others, (key, on)))
        self.changed.emit()

    def add_files(self, paths: Iterable[Path]) -> None:
        """Put files on the list."""
        known = self._preferences.choices.added_maps
        new = [str(p.absolute()) for p in paths]
        self._preferences.change(added_maps=tuple(dict.fromkeys((*known, *new))))

    def take_off(self, path: str) -> None:
        """Take a file that was added by hand off the list; it stays on the disk."""
        kept = tuple(p for p in self._preferences.choices.added_maps if p != path)
        self._preferences.change(added_maps=kept)

    def watch_folder(self, folder: str) -> None:
        """Watch another folder as the library; empty for none."""
        self._preferences.change(library=folder)

    def end(self) -> None:
        """End the library's thread."""
        self.library.end()

    def refresh(self) -> None:
        """Make the list anew, and tell."""
        own = self._document.build.blower.compressor_map
        by_hand = set(self._preferences.choices.added_maps)
        files = []
        for reading in self.library.readings:
            name = str(reading.path)
            added = name if name in by_hand else ""
            source = f"file {reading.path.name}" if added else f"library, {reading.path.name}"
            files.append(
                Candidate(
                    f"file:{name}", source, reading.compressor_map, reading.sentence, path=added
                )
            )
        mine = [] if own is None else [Candidate("build:own", OWN, own)]
        former = [
            Candidate(f"build:{k}", FORMER, one) for k, one in enumerate(self._former) if one != own
        ]
        self._all = _joined([*self._samples, *files, *mine, *former], own)
        self.changed.emit()

    def _follow(self, *_: object) -> None:
        choices = self._preferences.choices
        self.library.set_wanted(choices.library, choices.added_maps)

    def _on_document(self, paths: object) -> None:
        if not paths:
            self._former = []  # another build
        own, former = self._document.build.blower.compressor_map, self._own
        if own is former:
            return
        self._own = own
        if paths and former is not None and former not in self._former:
            self._former.append(former)
        self.refresh()
