"""The bypass valve beside the match: sized in a thread once the build is left alone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from app.gui.latest_work import LatestWork, Tell
from app.gui.recompute import Recompute, Snapshot
from engine_model.compressor.surface import Surface
from engine_model.errors import InputError
from engine_model.inputs import Build, Day
from engine_model.results import Entry

if TYPE_CHECKING:
    from engine_model.studies.bypass_sizing import ValveCurve

REST_MS = 500
"""The build must be left alone this long before valves are sized."""

BEFORE = "surge_margin"
"""Entry that it stands behind."""


def asked_of(build: Build) -> Build:
    """A build without what the sizes do not depend on, its own valve too."""
    surge = replace(build.surge, valve_diameter=None)
    return replace(build, notes="", pins=(), scenes=(), given=frozenset(), surge=surge)


def with_valve(ledger: tuple[Entry, ...], entry: Entry) -> tuple[Entry, ...]:
    """Ledger with the entry of the bypass valve behind that of the surge margin."""
    place = next((k + 1 for k, e in enumerate(ledger) if e.code == BEFORE), len(ledger))
    return (*ledger[:place], entry, *ledger[place:])


class _Sizing(LatestWork):
    """Sizes valves day after day."""

    found = Signal(object)

    def __init__(self, parent: QObject) -> None:
        super().__init__("valve ledger", parent)

    def start(self, build: Build, days: tuple[Day, ...], surface: Surface | None) -> None:
        """Begin; whatever was under way is dropped."""

        def work(tell: Tell) -> None:
            for day in days:
                for one in _steps(build, day, surface):
                    tell("step" if one is None else "curve", one)

        self.begin(build, work)

    def take(self, kind: str, request: object, found: object) -> None:
        """Hand on a day's curve."""
        if kind == "curve":
            self.found.emit(found)


def _steps(build: Build, day: Day, surface: Surface | None) -> Iterator[ValveCurve | None]:
    """Sizing of a day; nothing where the build cannot surge, which is told in its own place."""
    # the study comes in with the first build that names a valve
    from engine_model.studies.bypass_sizing import valve_steps

    try:
        yield from valve_steps(build, day, surface=surface)
    except InputError:
        return


class ValveLedger(QObject):
    """Keeps the sizing of every day that the ledger covers, where the build names a valve.

    Signals
    -------
    changed()
        An entry is another one, or all are gone.
    """

    changed = Signal()

    def __init__(self, recompute: Recompute) -> None:
        super().__init__(recompute)
        self._curves: dict[str, ValveCurve] = {}
        self._sizing = _Sizing(self)
        self._sizing.found.connect(self._take)
        self._next: tuple[Build, tuple[Day, ...], Surface | None] | None = None
        self._rest = QTimer(self, singleShot=True, interval=REST_MS)
        self._rest.timeout.connect(self._begin)
        recompute.ready.connect(self.follow)
        recompute.refused.connect(lambda _: self._stop())

    @property
    def is_busy(self) -> bool:
        """Whether sizes are waited for."""
        return self._rest.isActive() or self._sizing.is_busy

    def follow(self, snapshot: Snapshot) -> None:
        """Take a new snapshot: size what is not known; wait while dragging."""
        build = snapshot.match.build
        self._stop()
        if build.surge.valve_diameter is None or build.drive.kind == "none":
            self._curves.clear()
            return
        if snapshot.days_are_old:
            return
        bare, first = asked_of(build), snapshot.match.day
        others = [one for name, one in build.known_days().items() if name != first.name]
        days = tuple(day for day in (first, *others) if not self._knows(bare, day))
        if days:
            self._next = bare, days, snapshot.surface
            self._rest.start()

    def _knows(self, bare: Build, day: Day) -> bool:
        one = self._curves.get(day.name)
        return one is not None and one.build == bare and one.day == day

    def _begin(self) -> None:
        if self._next is not None:
            self._sizing.start(*self._next)

    def _stop(self) -> None:
        self._rest.stop()
        self._sizing.cancel()

    def _take(self, curve: ValveCurve) -> None:
        self._curves[curve.day.name] = curve
        self.changed.emit()

    def dressed(self, snapshot: Snapshot) -> Snapshot:
        """The snapshot with the entries of the valve, marked where they are of a former build."""
        match = snapshot.match
        build = match.build
        if build.surge.valve_diameter is None or not self._curves:
            return snapshot
        from engine_model.studies.bypass_sizing import valve_entry

        bare, days = asked_of(build), build.known_days() | {match.day.name: match.day}
        by_day, old, ledger = dict(snapshot.by_day), set(), match.ledger
        for name, curve in self._curves.items():
            entry = valve_entry(replace(curve, build=build))
            if entry is None or name not in days:
                continue
            if name in by_day:
                by_day[name] = with_valve(by_day[name], entry)
            if name == match.day.name:
                ledger = with_valve(ledger, entry)
            if not self._knows(bare, days[name]):
                old.add(name)
        return replace(
            snapshot,
            match=replace(match, ledger=ledger),
            by_day=by_day,
            old_valve_days=frozenset(old),
        )

    def end(self) -> None:
        """End the thread."""
        self._rest.stop()
        self._sizing.end()
