"""Error bars of the build on the day shown, worked out in a thread after each stop."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from app.gui.idle_study import REST_MS
from app.gui.latest_work import LatestWork, Tell
from app.gui.preferences import Preferences
from app.gui.recompute import Recompute, Snapshot
from engine_model.compressor.surface import Surface
from engine_model.inputs import Build, Day

if TYPE_CHECKING:
    from engine_model.studies.uncertain_records import ErrorBars

FOUND, STEP = "found", "step"

CHUNK_POINTS = 16_384
"""Points of a step [-]: some hundredths of a second, so that a drag soon has the machine."""


@dataclass(frozen=True, slots=True, eq=False)
class Asked:
    """What error bars are asked for: build, the day shown, the others, map, samples."""

    build: Build
    day: Day
    others: tuple[Day, ...]
    surface: Surface | None
    samples: int

    def same_as(self, other: Asked | None) -> bool:
        """Whether the answer is that of another question."""
        return (
            other is not None
            and (self.build, self.day, self.samples) == (other.build, other.day, other.samples)
            and self.others == other.others
        )


class ErrorBarsStudy(LatestWork):
    """Keeps the last error bars; they are old as soon as the build is another.

    The day shown comes first, alone; then all days, for the chances of the ledger.

    Parameters
    ----------
    recompute : Recompute
        Whose snapshots it follows.
    preferences : Preferences
        Whether the bars are shown, and how many samples are taken.

    Signals
    -------
    changed()
        The bars are others, or old, or gone.
    """

    changed = Signal()

    def __init__(
        self, recompute: Recompute, preferences: Preferences, parent: QObject | None = None
    ) -> None:
        super().__init__("error-bars", parent)
        self._preferences = preferences
        self._bars: ErrorBars | None = None
        self._asked: Asked | None = None
        self._wanted: Asked | None = None
        self._snapshot: Snapshot | None = None
        self._is_old = self._is_watched = False
        self.refusal = ""
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.setInterval(REST_MS)
        self._rest.timeout.connect(self._begin)
        recompute.ready.connect(self.follow)
        recompute.refused.connect(self._leave)
        self.refused.connect(self._refuse)
        preferences.changed.connect(self._on_preferences)

    @property
    def bars(self) -> ErrorBars | None:
        """The last error bars."""
        return self._bars

    @property
    def is_old(self) -> bool:
        """Whether they are of the last stop, and the build is another now."""
        return self._is_old

    @property
    def is_working(self) -> bool:
        """Whether others are waited for."""
        return self._rest.isActive() or self.is_busy

    @property
    def is_on(self) -> bool:
        """Whether anybody looks."""
        return self._is_watched or self._preferences.choices.error_bars

    def watch(self, watched: bool) -> None:
        """Work while a dialog looks, whether or not the bars are drawn."""
        self._is_watched = watched
        self._on_preferences()

    def follow(self, snapshot: Snapshot) -> None:
        """Take a new snapshot: start over where it is another question, wait while dragging."""
        self._snapshot = snapshot
        if not self.is_on:
            return
        if snapshot.days_are_old:
            self._leave()
            return
        match = snapshot.match
        others = tuple(d for name, d in match.build.known_days().items() if name != match.day.name)
        samples = self._preferences.choices.error_bar_samples
        asked = Asked(match.build, match.day, others, snapshot.surface, samples)
        if asked.same_as(self._wanted):
            return
        self._leave()
        self._wanted = asked
        if (
            asked.same_as(self._asked)
            and self._bars is not None
            and len(self._bars.days) > len(others)
        ):
            self._is_old = False
            self.changed.emit()
            return
        self._rest.start()
        self.changed.emit()

    def again(self) -> None:
        """Try once more what was refused."""
        self._wanted = None
        if self._snapshot is not None:
            self.follow(self._snapshot)

    def take(self, kind: str, request: object, found: object) -> None:
        """Take what the thread found."""
        if kind != FOUND or not isinstance(request, Asked):
            return
        self._bars, self._asked = found, request  # type: ignore[assignment]
        self._is_old, self.refusal = False, ""
        self.changed.emit()

    def _begin(self) -> None:
        asked = self._wanted
        if asked is not None:
            self.begin(asked, lambda tell: _work(asked, tell))

    def _leave(self, *_: object) -> None:
        """Drop what is under way; what is there is of the last stop."""
        self._rest.stop()
        if self._wanted is None and not self.is_busy:
            return
        self._wanted = None
        self.cancel()
        if self._bars is not None and not self._is_old:
            self._is_old = True
            self.changed.emit()

    def _refuse(self, sentence: str) -> None:
        self._bars = self._asked = None
        self.refusal = sentence
        self.changed.emit()

    def _on_preferences(self, *_: object) -> None:
        if self.is_on:
            if self._snapshot is not None:
                self.follow(self._snapshot)
        elif self._wanted is not None or self._bars is not None:
            self._rest.stop()
            self.cancel()
            self._wanted = self._asked = self._bars = None
            self._is_old = False
            self.changed.emit()


def _work(asked: Asked, tell: Tell) -> None:
    """In the thread: the day shown, then all days."""
    # the statistics come in with the first study
    from engine_model.studies.uncertainty import error_bars

    for days in dict.fromkeys(((asked.day,), (asked.day, *asked.others))):
        tell(
            FOUND,
            error_bars(
                asked.build,
                days,
                samples=asked.samples,
                surface=asked.surface,
                on_step=lambda: tell(STEP, None),
                chunk_points=CHUNK_POINTS,
            ),
        )
