"""Plays a run: where in time it is, how fast it goes, and a tick for every picture."""

from __future__ import annotations

from time import perf_counter

from PySide6.QtCore import QObject, Qt, QTimer, Signal

TICK_MS = 20
"""Time between two pictures: fifty a second [ms]."""

LONGEST_LEAP_S = 0.1
"""Where the window was busy for longer, the run does not leap on [s]."""

SPEEDS: tuple[tuple[str, float], ...] = (
    ("as it is", 1.0),
    ("1/4", 1 / 4),
    ("1/16", 1 / 16),
    ("1/64", 1 / 64),
)
"""Slow motion in words, and as time of the run over time."""

USUAL_SPEED = 2
"""Place of the speed to begin with."""


class Player(QObject):
    """Time of a run, from 0 to its end.

    Signals
    -------
    moved(time)
        The time is another one. [s]
    playing_changed(playing)
        It begins or stops.
    """

    moved = Signal(float)
    playing_changed = Signal(bool)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.time = 0.0
        self.end = 0.0
        self.speed = SPEEDS[USUAL_SPEED][1]
        self.loops = False
        self._last = 0.0
        self._timer = QTimer(self, interval=TICK_MS)
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.timeout.connect(self.tick)

    @property
    def is_playing(self) -> bool:
        """Whether it runs."""
        return self._timer.isActive()

    def play(self) -> None:
        """Begin, at the start again where it stands at the end."""
        if self.end <= 0.0 or self.is_playing:
            return
        if self.time >= self.end:
            self.go_to(0.0)
        self._last = perf_counter()
        self._timer.start()
        self.playing_changed.emit(True)

    def pause(self) -> None:
        """Stop where it is."""
        if self.is_playing:
            self._timer.stop()
            self.playing_changed.emit(False)

    def toggle(self) -> None:
        """Play or pause."""
        if self.is_playing:
            self.pause()
        else:
            self.play()

    def go_to(self, time: float) -> None:
        """Put it at a time [s]; it goes on from there where it plays."""
        self.time = min(max(time, 0.0), self.end)
        self.moved.emit(self.time)

    def step(self, count: int) -> None:
        """Pause, and go on or back by pictures of the present slow motion."""
        self.pause()
        self.go_to(self.time + count * self.speed * TICK_MS * 1e-3)

    def tick(self) -> None:
        """Go on by the time that went by."""
        now = perf_counter()
        passed, self._last = min(now - self._last, LONGEST_LEAP_S), now
        time = self.time + passed * self.speed
        if time < self.end:
            self.go_to(time)
        elif self.loops:
            self.go_to(0.0)
        else:
            self.go_to(self.end)
            self.pause()
