"""Heat soak beside the match: studied in idle time, its entries put into the ledger shown."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from PySide6.QtCore import QObject, Signal

from app.gui.idle_study import IdleStudy
from app.gui.recompute import Recompute, Snapshot
from engine_model.compressor.surface import Surface
from engine_model.inputs import Build, Day
from engine_model.results import Entry
from engine_model.studies.soak_days import is_of, soak_days_steps
from engine_model.studies.soak_entry import soak_entry, with_soak
from engine_model.studies.soak_records import HeatSoak


def _first(found: Sequence[HeatSoak]) -> HeatSoak:
    """The day shown, which comes first."""
    return found[0]


class SoakLedger(QObject):
    """Keeps the last studies of heat soak, one a day that the ledger covers.

    Signals
    -------
    changed()
        An entry is another one, or all are gone.
    """

    changed = Signal()

    def __init__(self, recompute: Recompute) -> None:
        super().__init__(recompute)
        self._found: dict[str, HeatSoak] = {}
        self._entries: dict[str, Entry] = {}
        self.study = IdleStudy(recompute, self, self._steps, _first)
        self.study.handed.connect(self._take)
        self.study.refused.connect(lambda _: self._drop())

    def _steps(self, build: Build, day: Day, surface: Surface | None) -> Iterator[Any]:
        others = (one for name, one in build.known_days().items() if name != day.name)
        return soak_days_steps(build, [day, *others], surface, self._found)

    def found(self, build: Build, day: Day) -> HeatSoak | None:
        """The study of a build on a day, where it is known."""
        one = self._found.get(day.name)
        return one if is_of(one, build, day) else None

    def _take(self, found: HeatSoak) -> None:
        name = found.day.name
        if self._found.get(name) is found:
            return
        self._found[name], self._entries[name] = found, soak_entry(found)
        self.changed.emit()

    def _drop(self) -> None:
        self._found.clear()
        self._entries.clear()
        self.changed.emit()

    def dressed(self, snapshot: Snapshot) -> Snapshot:
        """The snapshot with the entries of heat soak, marked where they are of a former build."""
        match = snapshot.match
        here = self._entries.get(match.day.name)
        if here is None:
            return snapshot
        days = match.build.known_days() | {match.day.name: match.day}
        by_day, old = dict(snapshot.by_day), set()
        for name, entry in self._entries.items():
            if name in by_day and name in days:
                by_day[name] = with_soak(by_day[name], entry)
                if not is_of(self._found[name], match.build, days[name]):
                    old.add(name)
        return replace(
            snapshot,
            match=replace(match, ledger=with_soak(match.ledger, here)),
            by_day=by_day,
            old_soak_days=frozenset(old),
        )
