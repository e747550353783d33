"""Work of the Dyno place in threads: a log read, compared with the build, reconciled."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from app.gui.latest_work import LatestWork, Tell
from engine_model.compressor.surface import Surface
from engine_model.errors import FileFaultsError
from engine_model.files.pull_layout import open_layout
from engine_model.files.pull_log import load_pull
from engine_model.files.pull_record import PullMapping, PullRun
from engine_model.inputs import Build, Day
from engine_model.studies.pull_compared import compare_pull
from engine_model.studies.pulley_span import pulley_span
from engine_model.studies.reconcile import reconcile

MOST_FAULTS = 5
"""Faults of a file that are told."""

USUAL_STEPS = 12
"""Calls of the match that a reconciliation takes about."""


@dataclass(frozen=True, slots=True, eq=False)
class ReadRequest:
    """A log to be read; with the mapping of the user's own, or as remembered or guessed."""

    path: Path
    mapping: PullMapping | None
    remembered: tuple[PullMapping, ...]


@dataclass(frozen=True, slots=True, eq=False)
class PullRequest:
    """Runs to be compared with a build; ``day`` tells what the log does not."""

    build: Build
    day: Day
    runs: tuple[PullRun, ...]
    mapping: PullMapping
    width: float
    surface: Surface | None


class PullReading(LatestWork):
    """Reads logs, the last one asked for.

    Signals
    -------
    layout_ready(layout)
        What the file looks like; comes before its rows.
    pull_ready(request, pull)
        The log as read.
    failed(request, sentences)
        It cannot be read.
    stepped(done, whole)
        Share read, in thousandths.
    """

    layout_ready = Signal(object)
    pull_ready = Signal(object, object)
    failed = Signal(object, object)
    stepped = Signal(int, int)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__("pull", parent)

    def start(self, request: ReadRequest) -> None:
        """Begin to read; whatever was under way is dropped."""

        def work(tell: Tell) -> None:
            try:
                layout = open_layout(request.path, request.remembered)
                tell("layout", layout)
                pull = load_pull(
                    request.path,
                    request.mapping,
                    remembered=request.remembered,
                    on_progress=lambda done, whole: tell("step", 1000 * done // max(whole, 1)),
                )
            except FileFaultsError as error:
                told = [fault.sentence() for fault in error.faults[:MOST_FAULTS]]
                more = len(error.faults) - MOST_FAULTS
                tell("failed", [*told, *([f"And {more} more."] if more > 0 else [])])
                return
            except OSError as error:
                tell("failed", [f"{error}."])
                return
            tell("pull", pull)

        self.begin(request, work)

    def take(self, kind: str, request: object, found: object) -> None:
        """Hand on a step, a layout, a pull or what is wrong."""
        if kind == "step":
            self.stepped.emit(found, 1000)
        elif kind == "layout":
            self.layout_ready.emit(found)
        else:
            self._set_busy(False)
            (self.pull_ready if kind == "pull" else self.failed).emit(request, found)


class PullComparing(LatestWork):
    """Compares a pull with the build.

    Signals
    -------
    compared(request, found)
        The pull beside the build.
    """

    compared = Signal(object, object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__("compare", parent)

    def start(self, request: PullRequest) -> None:
        """Begin; whatever was under way is dropped."""

        def work(tell: Tell) -> None:
            found = compare_pull(
                request.runs,
                request.build,
                request.day,
                request.mapping,
                width=request.width,
                surface=request.surface,
            )
            tell("compared", found)

        self.begin(request, work)

    def take(self, kind: str, request: object, found: object) -> None:
        """Hand on what was found."""
        self._set_busy(False)
        self.compared.emit(request, found)


class Reconciling(LatestWork):
    """Reconciles the build with a pull.

    Signals
    -------
    reconciled(request, found)
        What the pull says.
    stepped(done, about)
        Calls of the match done, and how many it takes about.
    """

    reconciled = Signal(object, object)
    stepped = Signal(int, int)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__("reconcile", parent)
        self._steps = USUAL_STEPS

    def start(self, request: PullRequest, day: Day) -> None:
        """Begin on the day of the pull; whatever was under way is dropped."""
        steps = itertools.count()

        def work(tell: Tell) -> None:
            found = reconcile(
                request.build,
                day,
                request.runs,
                standard=request.mapping.standard,
                surface=request.surface,
                on_step=lambda: tell("step", next(steps)),
            )
            tell("reconciled", found)

        self.begin(request, work)

    def take(self, kind: str, request: object, found: object) -> None:
        """Hand on a step or what was found."""
        if kind == "step":
            self._steps = max(self._steps, int(found) + 1)  # type: ignore[call-overload]
            self.stepped.emit(found, self._steps)
            return
        self._set_busy(False)
        self.reconciled.emit(request, found)


class PulleyAdvice(LatestWork):
    """Finds which pulleys are allowed before and after a change of the build.

    Signals
    -------
    found(before, after)
        Both spans.
    """

    found = Signal(object, object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__("advice", parent)

    def start(self, before: Build, after: Build, surface: Surface | None) -> None:
        """Begin; whatever was under way is dropped."""
        steps = itertools.count()

        def work(tell: Tell) -> None:
            spans = [
                pulley_span(one, surface=surface, on_step=lambda: tell("step", next(steps)))
                for one in (before, after)
            ]
            tell("spans", tuple(spans))

        self.begin(None, work)

    def take(self, kind: str, request: object, found: object) -> None:
        """Hand on the spans."""
        if kind == "spans" and isinstance(found, tuple):
            self._set_busy(False)
            self.found.emit(*found)
