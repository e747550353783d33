"""The pulley span and its grids in a thread: old results are dropped, work can be cancelled."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import dataclass, replace

from PySide6.QtCore import QObject, Signal

from app.gui.latest_work import LatestWork, Tell
from engine_model.compressor.surface import Surface
from engine_model.inputs import Build, Day
from engine_model.studies.pulley_grid import CRANK, pulley_grid
from engine_model.studies.pulley_span import pulley_span
from engine_model.studies.span_records import WorstCase

USUAL_STEPS = 9
"""Calls of the match that a span takes about."""


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


class SpanStudy(LatestWork):
    """Works out spans, one at a time, the last one asked for.

    Signals
    -------
    span_ready(request, span)
        The span of a request.
    grid_ready(request, grid)
        A grid of a request.
    stepped(done, about)
        Steps done, and how many it takes about.
    """

    span_ready = Signal(object, object)
    grid_ready = Signal(object, object)
    stepped = Signal(int, int)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__("pulleys", parent)
        self._steps = USUAL_STEPS

    def start(self, request: SpanRequest) -> None:
        """Begin the span of a request; whatever was under way is dropped."""

        def work(tell: Tell) -> None:
            found = pulley_span(
                request.build,
                request.days,
                worst=request.worst,
                surface=request.surface,
                on_step=_counted(tell),
            )
            tell("span", found)

        self.begin(request, work)

    def start_grid(self, request: SpanRequest, grid: GridRequest) -> None:
        """Begin a grid of a request."""

        def work(tell: Tell) -> None:
            crank = grid.kind == CRANK
            found = pulley_grid(
                request.build,
                request.days,
                grid.blower_diameters,
                crank_diameters=grid.rows if crank else (),
                ribs=() if crank else tuple(round(count) for count in grid.rows),
                worst=request.worst,
                surface=request.surface,
                on_step=_counted(tell),
            )
            tell("grid", found)

        self.begin(request, work)

    def take(self, kind: str, request: object, found: object) -> None:
        """Hand on a step, a span or a grid."""
        if kind == "step":
            self._steps = max(self._steps, int(found) + 1)  # type: ignore[call-overload]
            self.stepped.emit(found, self._steps)
            return
        # before the views look at it: what they see is worked out
        self._set_busy(False)
        (self.span_ready if kind == "span" else self.grid_ready).emit(request, found)


def _counted(tell: Tell) -> Callable[[], None]:
    """Tell the steps done before each one."""
    done = itertools.count()
    return lambda: tell("step", next(done))
