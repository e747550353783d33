"""The pulley span and its grids in a thread: old results are dropped, work can be cancelled."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from typing import Any

from PySide6.QtCore import QObject, Signal

from engine_model.compressor.surface import Surface
from engine_model.errors import InputError
from engine_model.inputs import Build, Day
from engine_model.studies.pulley_grid import CRANK, pulley_grid
from engine_model.studies.pulley_span import pulley_span
from engine_model.studies.span_records import WorstCase

USUAL_STEPS = 9
"""Calls of the match that a span takes about."""


class DroppedError(Exception):
    """The work is no longer wanted."""


def asked_of(build: Build) -> Build:
    """A build without what a span does not depend on, its own pulley apart."""
    return replace(build, notes="", pins=(), scenes=(), given=frozenset())


@dataclass(frozen=True, slots=True, eq=False)
class SpanRequest:
    """What a span is asked of: a build with its shelf, days, worst cases, its fitted map."""

    build: Build
    days: tuple[Day, ...]
    worst: WorstCase
    surface: Surface | None


@dataclass(frozen=True, slots=True)
class GridRequest:
    """Columns and rows of a grid, for the request of its span."""

    kind: str
    blower_diameters: tuple[float, ...]
    rows: tuple[float, ...]


class SpanStudy(QObject):
    """Works out spans, one at a time, the last one asked for.

    Signals
    -------
    span_ready(request, span)
        The span of a request.
    grid_ready(request, grid)
        A grid of a request.
    refused(sentence)
        What was asked cannot be.
    busy(busy)
        Work begins or ends.
    stepped(done, about)
        Steps done, and how many it takes about.
    """

    span_ready = Signal(object, object)
    grid_ready = Signal(object, object)
    refused = Signal(str)
    busy = Signal(bool)
    stepped = Signal(int, int)
    _told = Signal(int, str, object, object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._generation = 0
        self._is_busy = False
        self._steps = USUAL_STEPS
        self._worker = ThreadPoolExecutor(max_workers=1, thread_name_prefix="pulleys")
        self._told.connect(self._take)

    @property
    def generation(self) -> int:
        """Number of the present work; results of any other are dropped."""
        return self._generation

    @property
    def is_busy(self) -> bool:
        """Whether a result is waited for."""
        return self._is_busy

    def start(self, request: SpanRequest) -> None:
        """Begin the span of a request; whatever was under way is dropped."""

        def work(on_step: Callable[[], None]) -> object:
            return pulley_span(
                request.build,
                request.days,
                worst=request.worst,
                surface=request.surface,
                on_step=on_step,
            )

        self._begin("span", request, work)

    def start_grid(self, request: SpanRequest, grid: GridRequest) -> None:
        """Begin a grid of a request."""

        def work(on_step: Callable[[], None]) -> object:
            crank = grid.kind == CRANK
            return pulley_grid(
                request.build,
                request.days,
                grid.blower_diameters,
                crank_diameters=grid.rows if crank else (),
                ribs=() if crank else tuple(round(count) for count in grid.rows),
                worst=request.worst,
                surface=request.surface,
                on_step=on_step,
            )

        self._begin("grid", request, work)

    def cancel(self) -> None:
        """Drop what is under way; it ends before its next step."""
        self._generation += 1
        self._set_busy(False)

    def end(self) -> None:
        """End the thread; the step it is at is waited for."""
        self.cancel()
        self._worker.shutdown(wait=True, cancel_futures=True)

    def _begin(self, kind: str, request: SpanRequest, work: Callable[..., object]) -> None:
        self._generation += 1
        self._set_busy(True)
        self._worker.submit(self._run, self._generation, kind, request, work)

    def _run(
        self, generation: int, kind: str, request: SpanRequest, work: Callable[..., object]
    ) -> None:
        """In the thread."""
        done = 0

        def on_step() -> None:
            nonlocal done
            if generation != self._generation:
                raise DroppedError
            self._told.emit(generation, "step", request, done)
            done += 1

        try:
            found: Any = work(on_step)
        except DroppedError:
            return
        except InputError as error:
            self._told.emit(generation, "refused", request, str(error))
            return
        self._told.emit(generation, kind, request, found)

    def _take(self, generation: int, kind: str, request: SpanRequest, found: object) -> None:
        if generation != self._generation:
            return
        if kind == "step":
            self._steps = max(self._steps, int(found) + 1)  # type: ignore[call-overload]
            self.stepped.emit(found, self._steps)
            return
        self._set_busy(False)
        if kind == "span":
            self.span_ready.emit(request, found)
        elif kind == "grid":
            self.grid_ready.emit(request, found)
        else:
            self.refused.emit(found)

    def _set_busy(self, busy: bool) -> None:
        if busy != self._is_busy:
            self._is_busy = busy
            self.busy.emit(busy)
