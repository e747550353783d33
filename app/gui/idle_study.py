"""A study, a slice at a time while nothing else is to be done."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from time import perf_counter
from typing import Any

from PySide6.QtCore import QObject, QTimer, Signal

from app.gui.recompute import Recompute, Snapshot
from engine_model.compressor.surface import Surface
from engine_model.errors import InputError
from engine_model.inputs import Build, Day
from engine_model.studies.sensitivity import ranked, sensitivity_steps

MakeSteps = Callable[[Build, Day, Surface | None], Iterator[Any]]
"""What begins a study: an iterator that may hand out nothing after a step."""

SLICE_S = 0.006
"""Longest turn; a step that would pass it waits for the next turn."""

MARGIN = 1.25
"""The next step is taken to last this many times the last one."""

LONG_STEP_REST = 2.0
"""After a step that is longer than a slice the window has this many times as long for itself."""

REST_MS = 120
"""The build must be left alone this long before a study begins."""


@dataclass(eq=False)
class _Run:
    """A study under way."""

    generation: int
    build: Build
    day: Day
    steps: Iterator[Any]
    found: list[Any] = field(default_factory=list)


def _sensitivity(build: Build, day: Day, surface: Surface | None) -> Iterator[Any]:
    return sensitivity_steps(build, day, surface=surface)


class IdleStudy(QObject):
    """Works out a study in idle time; unless told otherwise that of the assumed inputs.

    Parameters
    ----------
    recompute : Recompute, optional
        Whose snapshots it follows; without it, those it is handed.
    parent : QObject, optional
        Parent.
    make_steps : callable, optional
        Begins a study.
    conclude : callable, optional
        Makes the result of what the steps handed out.

    Signals
    -------
    ready(found)
        The result: of the assumed inputs a tuple of Sensitivity, the largest effect first.
    handed(one)
        A step has handed something out; the study goes on.
    stale()
        The last result no longer belongs to the build.
    refused(error)
        The build cannot be studied: an InputError.
    """

    ready = Signal(object)
    handed = Signal(object)
    stale = Signal()
    refused = Signal(object)

    def __init__(
        self,
        recompute: Recompute | None = None,
        parent: QObject | None = None,
        make_steps: MakeSteps = _sensitivity,
        conclude: Callable[[Sequence[Any]], Any] = ranked,
    ) -> None:
        super().__init__(parent if parent is not None else recompute)
        self._make_steps, self._conclude = make_steps, conclude
        self._generation = 0
        self._run: _Run | None = None
        self._result: tuple[Build, Day, Any] | None = None
        self._last_step = 0.0
        # longest turn so far [s], for benchmarks
        self.longest_slice = 0.0
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.setInterval(REST_MS)
        self._turns = QTimer(self)
        self._turns.setInterval(0)
        self._rest.timeout.connect(self._begin)
        self._turns.timeout.connect(self._turn)
        if recompute is not None:
            recompute.ready.connect(self.follow)
            recompute.refused.connect(self.cancel)

    @property
    def generation(self) -> int:
        """Number of the present study; results of any other are dropped."""
        return self._generation

    @property
    def is_running(self) -> bool:
        """Whether a study waits or is under way."""
        return self._run is not None

    @property
    def result(self) -> Any:
        """The last result, where it belongs to the build as last heard of."""
        return None if self._result is None else self._result[2]

    def follow(self, snapshot: Snapshot) -> None:
        """Take a new snapshot: start over where build or day changed, wait while dragging."""
        build, day = snapshot.match.build, snapshot.match.day
        if snapshot.days_are_old:
            self.cancel()
        elif not self._knows(build, day):
            self.start(build, day, snapshot.surface)

    def _knows(self, build: Build, day: Day) -> bool:
        if self._run is not None:
            return self._run.build == build and self._run.day == day
        return self._result is not None and self._result[:2] == (build, day)

    def start(self, build: Build, day: Day, surface: Surface | None = None) -> None:
        """Begin the study of a build, after a rest; whatever was under way is dropped."""
        self.cancel()
        steps = self._make_steps(build, day, surface)
        self._run = _Run(self._generation, build, day, steps)
        self._rest.start()

    def _begin(self) -> None:
        self._turns.start(0)

    def cancel(self, *_: object) -> None:
        """Drop the study under way and the last result."""
        self._generation += 1
        self._rest.stop()
        self._turns.stop()
        self._run = None
        if self._result is not None:
            self._result = None
            self.stale.emit()

    def _turn(self) -> None:
        run = self._run
        if run is None:
            self._turns.stop()
            return
        began = now = perf_counter()
        done, first = False, True
        while not done and (first or now - began + MARGIN * self._last_step <= SLICE_S):
            first = False
            try:
                one = next(run.steps)
            except StopIteration:
                done = True
            except InputError as error:
                # where the build cannot be matched the window says why already
                self.cancel()
                self.refused.emit(error)
                return
            else:
                if one is not None:
                    run.found.append(one)
                    self.handed.emit(one)
                    if self._run is not run:
                        return
            before, now = now, perf_counter()
            self._last_step = now - before
        self.longest_slice = max(self.longest_slice, now - began)
        if done:
            self._finish(run)
            return
        # an open bypass makes a match too long to be cut into slices
        pause = LONG_STEP_REST * self._last_step if self._last_step > SLICE_S else 0.0
        self._turns.setInterval(round(1e3 * pause))

    def _finish(self, run: _Run) -> None:
        self._turns.stop()
        if run.generation != self._generation:
            return
        self._run = None
        found = self._conclude(run.found)
        self._result = (run.build, run.day, found)
        self.ready.emit(found)
