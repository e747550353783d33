"""Heat soak beside the match: studied in idle time, its entry put into the ledger shown."""

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
from engine_model.studies.heat_soak_study import HeatSoak, heat_soak_steps
from engine_model.studies.soak_entry import soak_entry


def _steps(build: Build, day: Day, surface: Surface | None) -> Iterator[Any]:
    return heat_soak_steps(build, day, surface)


def _last(found: Sequence[HeatSoak]) -> HeatSoak:
    return found[-1]


class SoakLedger(QObject):
    """Keeps the last study of heat soak.

    Signals
    -------
    changed()
        The entry is another one, or no longer of the build.
    """

    changed = Signal()

    def __init__(self, recompute: Recompute) -> None:
        super().__init__(recompute)
        self.study = IdleStudy(recompute, self, _steps, _last)
        self._entry: Entry | None = None
        self.study.ready.connect(self._take)
        self.study.refused.connect(lambda _: self._drop())

    def _take(self, found: HeatSoak) -> None:
        self._entry = soak_entry(found)
        self.changed.emit()

    def _drop(self) -> None:
        self._entry = None
        self.changed.emit()

    def dressed(self, snapshot: Snapshot) -> Snapshot:
        """The snapshot with the entry of heat soak, marked where it is of a former build."""
        entry, match = self._entry, snapshot.match
        if entry is None or match.build.cooler.kind != "liquid" or entry.day not in snapshot.by_day:
            return snapshot
        by_day = dict(snapshot.by_day)
        by_day[entry.day] = (*by_day[entry.day], entry)
        return replace(
            snapshot,
            match=replace(match, ledger=(*match.ledger, entry)),
            by_day=by_day,
            soak_is_old=self.study.result is None,
        )
