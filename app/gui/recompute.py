"""From an edit to a result: at once when idle, paced when busy."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QObject, QTimer, Signal

from app.gui.document import Document
from engine_model.compressor.surface import Surface
from engine_model.errors import InputError
from engine_model.inputs import Build, Day, Drive
from engine_model.limits.ledger import entries_of_day
from engine_model.matching import judge_days, match_many, surface_of
from engine_model.results import Entry, LineKnock, Match, OperatingLine
from engine_model.studies.soak_entry import CHARGE_SOAK
from engine_model.surge_rows import VALVE_CODE

PACE_MS = 16
"""While busy, results follow each other by this much."""


@dataclass(frozen=True, slots=True, eq=False)
class Snapshot:
    """Everything the views show, of one state of the build.

    Parameters
    ----------
    match : Match
        Line and ledger on the day shown.
    by_day : dict
        Ledger of every day, by the day's name.
    days_are_old : bool
        Whether the other days' ledgers are as of the last stop of a drag.
    surface : Surface or None
        The fitted compressor map.
    stock : OperatingLine
        The stock engine, unblown, on the day shown.
    old_soak_days : frozenset of str
        Days whose entry of heat soak is as of the last stop.
    old_valve_days : frozenset of str
        The same of the entry of the bypass valve.
    """

    match: Match
    by_day: dict[str, tuple[Entry, ...]]
    days_are_old: bool
    surface: Surface | None
    stock: OperatingLine
    old_soak_days: frozenset[str] = frozenset()
    old_valve_days: frozenset[str] = frozenset()

    def is_old(self, entry: Entry) -> bool:
        """Whether an entry is as of the last stop."""
        if entry.code == CHARGE_SOAK:
            return entry.day in self.old_soak_days
        if entry.code == VALVE_CODE:
            return entry.day in self.old_valve_days
        return self.days_are_old and entry.day != self.match.day.name


class Recompute(QObject):
    """Computes snapshots of a document.

    Signals
    -------
    ready(snapshot)
        A new snapshot.
    refused(message)
        The build cannot be computed, in one sentence.
    """

    ready = Signal(object)
    refused = Signal(str)

    def __init__(self, document: Document) -> None:
        super().__init__(document)
        self._document = document
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(PACE_MS)
        self._timer.timeout.connect(self._after_pause)
        self._waiting = False
        self._dragging = False
        self._surface: Surface | None = None
        self._by_day: dict[str, tuple[Entry, ...]] = {}
        self._knock: LineKnock | None = None
        self._stock: tuple[object, OperatingLine] | None = None
        document.changed.connect(self.request)
        document.day_changed.connect(self.request)

    @property
    def surface(self) -> Surface | None:
        """Fitted compressor map of the build."""
        return self._surface

    def set_dragging(self, dragging: bool) -> None:
        """While a slider is dragged only the day shown is computed."""
        was, self._dragging = self._dragging, dragging
        if was and not dragging:
            self.request()

    def request(self, *_: object) -> None:
        """Compute at once when idle, else when the pause is over."""
        if self._timer.isActive():
            self._waiting = True
            return
        self._timer.start()
        self.compute()

    def _after_pause(self) -> None:
        if self._waiting:
            self._waiting = False
            self.request()

    def compute(self) -> None:
        """Compute the snapshot now."""
        build, day = self._document.build, self._document.day
        try:
            snapshot = self._snapshot(build, day)
        except InputError as error:
            self.refused.emit(str(error))
            return
        self.ready.emit(snapshot)

    def _snapshot(self, build: Build, day: Day) -> Snapshot:
        self._surface = surface_of(build, self._surface)
        days = [day]
        if not self._dragging:
            days += [other for name, other in build.known_days().items() if name != day.name]
        # knock, a slow course beside the rest, is estimated at every second tick of a drag
        known = self._knock if self._dragging else None
        judged = judge_days(
            build, days, surface=self._surface, coarse=self._dragging, known_knock=known
        )
        line, verdicts, held, knock = judged
        self._knock = knock if self._dragging and known is None else None
        names = tuple(d.name for d in days)
        fresh = {n: entries_of_day(verdicts, i, names) for i, n in enumerate(names)}
        # while dragging the other days are as of the last stop, as far as they still exist
        known = build.known_days() if self._dragging else ()
        self._by_day = {n: e for n, e in self._by_day.items() if n in known} | fresh
        held_here = None if held is None else held.part(0)
        match = Match(build, day, line.part(0), fresh[day.name], held_here, knock.part(0))
        return Snapshot(
            match, self._by_day, self._dragging, self._surface, self._stock_line(build, day, line)
        )

    def _stock_line(self, build: Build, day: Day, line: OperatingLine) -> OperatingLine:
        key = (build.engine, build.inlet, build.exhaust, build.driveline, day)
        if self._stock is None or self._stock[0] != key:
            stock = Build(
                engine=build.with_values(
                    {
                        "engine.mixture": build.engine.stock_mixture,
                        "engine.fuel": build.engine.stock_fuel,
                        "engine.ethanol_share": None,
                    }
                ).engine,
                drive=Drive(kind="none"),
                inlet=build.inlet,
                exhaust=build.exhaust,
                driveline=build.driveline,
            )
            speeds = np.array(line.engine_speed_rpm[0])
            self._stock = (key, match_many(stock, [day], speeds).part(0))
        return self._stock[1]
