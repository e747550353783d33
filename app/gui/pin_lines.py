"""Lines of the pins: computed once each, in slices between events, never during a drag."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QObject, QTimer, Signal

from app.gui.recompute import Snapshot
from app.present.pins import ROAD_SECTIONS, is_whole, pinned_build
from engine_model.compressor.surface import Surface
from engine_model.errors import InputError
from engine_model.inputs import Build, Day, Pin
from engine_model.limits.ledger import entries_of_day
from engine_model.matching import judge_days, surface_of
from engine_model.results import Entry, OperatingLine

_JUDGED_BY = (*ROAD_SECTIONS, "fuel_system", "bounds")
"""Sections that move a pin's line or its entries of *parts*."""


class Ghost(tuple[OperatingLine, str]):
    """A line to draw with its name; ``number`` is its pin's place in the build, for its colour."""

    number: int

    def __new__(cls, line: OperatingLine, name: str, number: int) -> Ghost:
        """Pair of line and name."""
        made = super().__new__(cls, (line, name))
        made.number = number
        return made


@dataclass(frozen=True, slots=True, eq=False)
class PinLine:
    """A pin's line over days.

    Parameters
    ----------
    build : Build
        The pinned build; the open one where the pin cannot be put on it.
    days : tuple of Day
        The days.
    line : OperatingLine or None
        Axes (day, engine speed); nothing where the pin cannot be drawn.
    ledger : tuple of Entry
        Entries of every day.
    fault : InputError or None
        Why it cannot be drawn.
    """

    build: Build
    days: tuple[Day, ...]
    line: OperatingLine | None = None
    ledger: tuple[Entry, ...] = ()
    fault: InputError | None = None

    def on(self, day: Day) -> OperatingLine | None:
        """Line on one day; nothing where it was not computed for it."""
        if self.line is None or day not in self.days:
            return None
        return self.line.part(self.days.index(day))

    def holds(self, build: Build, days: tuple[Day, ...]) -> bool:
        """Whether it is still the line of a pinned build on these days."""
        mine = self.build
        return (
            self.fault is None
            and self.days == days
            and all(getattr(mine, name) == getattr(build, name) for name in _JUDGED_BY)
        )


class PinLines(QObject):
    """Keeps the lines of a build's pins up to date.

    Signals
    -------
    changed()
        Every pin has its line again, or is told why not.
    progress(done, every)
        Pins that have their line, and all pins.
    """

    changed = Signal()
    progress = Signal(int, int)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._kept: dict[object, PinLine] = {}
        self._queue: list[tuple[Pin, Build]] = []
        self._days: tuple[Day, ...] = ()
        self._pins: tuple[Pin, ...] = ()
        self._checked: tuple[object, ...] | None = None
        self._surfaces: dict[float, Surface | None] = {}
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(0)
        self._timer.timeout.connect(self._slice)

    def of(self, pin: Pin) -> PinLine | None:
        """What is known of a pin; nothing while it waits."""
        return self._kept.get(pin.changes)

    @property
    def is_busy(self) -> bool:
        """Whether pins wait for their lines."""
        return bool(self._queue)

    def take(self, snapshot: Snapshot) -> None:
        """Look at a new state; what has to be computed follows in slices.

        During a drag nothing is started: the lines do not depend on the present pulley.
        """
        build = snapshot.match.build
        self._keep_surface(build, snapshot.surface)
        if snapshot.days_are_old:
            self._timer.stop()
            return
        days = tuple(build.known_days().values())
        state = self._state(build, days)
        if state != self._checked:
            self._checked = state
            self._check(build, days)
        if self._queue:
            self._timer.start()

    def _state(self, build: Build, days: tuple[Day, ...]) -> tuple[object, ...]:
        """Everything the lines depend on; whole pins do not depend on the road."""
        whole = all(is_whole(pin) for pin in build.pins)
        road = None if whole else tuple(getattr(build, name) for name in ROAD_SECTIONS)
        compressor = build.blower.compressor_map
        return build.pins, days, build.bounds, build.fuel_system, compressor, road

    def _keep_surface(self, build: Build, surface: Surface | None) -> None:
        """Take over the fitted surface of another compressor map; forget the former ones."""
        known = next((s for s in self._surfaces.values() if s is not None), None)
        if surface is None or (known and known.compressor_map is surface.compressor_map):
            return
        self._surfaces = {build.blower.typed_efficiency: surface}

    def _check(self, build: Build, days: tuple[Day, ...]) -> None:
        kept: dict[object, PinLine] = {}
        queue: list[tuple[Pin, Build]] = []
        for pin in build.pins:
            try:
                wanted = pinned_build(build, pin)
            except InputError as error:
                kept[pin.changes] = PinLine(build, days, fault=error)
                continue
            known = self._kept.get(pin.changes)
            if known is not None and known.holds(wanted, days):
                kept[pin.changes] = known
            else:
                queue.append((pin, wanted))
        self._kept, self._queue = kept, queue
        self._days, self._pins = days, build.pins
        if not queue:
            self.changed.emit()

    def _slice(self) -> None:
        """Compute one pin; the next one after the events that wait."""
        pin, build = self._queue.pop(0)
        self._kept[pin.changes] = self._line_of(build)
        if self._queue:
            self.progress.emit(len(self._pins) - len(self._queue), len(self._pins))
            self._timer.start()
        else:
            self.changed.emit()

    def _line_of(self, build: Build) -> PinLine:
        typed = build.blower.typed_efficiency
        try:
            any_fit = next(iter(self._surfaces.values()), None)
            surface = surface_of(build, self._surfaces.get(typed, any_fit))
            self._surfaces[typed] = surface
            line, verdicts, *_ = judge_days(build, self._days, surface=surface)
        except InputError as error:
            return PinLine(build, self._days, fault=error)
        names = tuple(day.name for day in self._days)
        entries = (entries_of_day(verdicts, k, names) for k in range(len(names)))
        return PinLine(build, self._days, line, tuple(e for one in entries for e in one))
