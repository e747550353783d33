"""Row under the pictures: play, pause, step, slow motion, loop, what is shown, the run kept."""

from __future__ import annotations

import math

from PySide6.QtCore import QSize, Signal
from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QLabel, QToolButton, QWidget

from app.gui.icons import make_icon
from app.gui.places.surge.knobs import ListBox
from app.gui.places.surge.player import SPEEDS, USUAL_SPEED, Player

WINDOWS: tuple[tuple[str, float], ...] = (
    ("the whole run", math.inf),
    ("0.5 s", 0.5),
    ("0.2 s", 0.2),
)
"""Time shown at once, in words and in seconds."""

USUAL_WINDOW = 1

BUTTONS: tuple[tuple[str, str, str, str], ...] = (
    ("start", "to-start", "To the start", "Home"),
    ("back", "step-back", "One picture back", "Left"),
    ("play", "play", "Play or pause", "P"),
    ("on", "step-on", "One picture on", "Right"),
)
"""Name, icon, words and key of each button."""


class Transport(QWidget):
    """Buttons of the player.

    Signals
    -------
    window_chosen(seconds)
        Another time is shown at once. [s]
    keep_asked()
        The present run is kept, or the one kept is put away.
    film_asked()
        A film of the run is wanted.
    """

    window_chosen = Signal(float)
    keep_asked = Signal()
    film_asked = Signal()

    def __init__(self, player: Player) -> None:
        super().__init__()
        self._player = player
        self._color = ""
        self.buttons: dict[str, QToolButton] = {}
        row = QHBoxLayout(self)
        row.setContentsMargins(8, 0, 8, 2)
        row.setSpacing(3)
        for name, _, words, key in BUTTONS:
            button = QToolButton()
            button.setAutoRaise(True)
            button.setIconSize(QSize(20, 20))
            button.setToolTip(f"{words} ({key})")
            button.setAccessibleName(words)
            row.addWidget(button)
            self.buttons[name] = button
        self.speed, self.window = ListBox(), ListBox()
        for words, speed in SPEEDS:
            self.speed.addItem(words, speed)
        self.speed.setCurrentIndex(USUAL_SPEED)
        self.speed.setToolTip("Slow motion: time of the run over time ( [ slower, ] faster )")
        self.speed.setAccessibleName("Slow motion")
        for words, seconds in WINDOWS:
            self.window.addItem(words, seconds)
        self.window.setCurrentIndex(USUAL_WINDOW)
        self.window.setToolTip("Time shown at once against time")
        self.window.setAccessibleName("Time shown at once")
        self.loop = QCheckBox("&Loop")
        self.loop.setToolTip("Begin again at the end")
        self.clock = QLabel()
        self.clock.setAccessibleName("Time in the run")
        self.keep = QToolButton()
        self.keep.setToolTip("Keep this run under the next ones, for comparison (G)")
        self.film = QToolButton()
        self.film.setText("&Film…")
        self.film.setToolTip("Write the run as an animated GIF, a series of PNG pictures, or CSV")
        slow = QLabel("S&peed")
        slow.setBuddy(self.speed)
        shown = QLabel("S&how")
        shown.setBuddy(self.window)
        row.addSpacing(6)
        for widget in (slow, self.speed, self.loop):
            row.addWidget(widget)
        row.addSpacing(10)
        row.addWidget(self.clock)
        row.addStretch(1)
        for widget in (self.keep, shown, self.window, self.film):
            row.addWidget(widget)
        self.show_kept("")
        self._connect()

    def _connect(self) -> None:
        player = self._player
        self.buttons["start"].clicked.connect(lambda: player.go_to(0.0))
        self.buttons["back"].clicked.connect(lambda: player.step(-1))
        self.buttons["play"].clicked.connect(player.toggle)
        self.buttons["on"].clicked.connect(lambda: player.step(1))
        self.speed.currentIndexChanged.connect(self._take_speed)
        self.loop.toggled.connect(self._take_loop)
        self.window.currentIndexChanged.connect(
            lambda _: self.window_chosen.emit(self.window.currentData())
        )
        self.keep.clicked.connect(self.keep_asked)
        self.film.clicked.connect(self.film_asked)
        player.playing_changed.connect(lambda _: self._show_icons())
        player.moved.connect(self.show_time)

    def _take_speed(self, _: int) -> None:
        self._player.speed = float(self.speed.currentData())

    def _take_loop(self, on: bool) -> None:
        self._player.loops = on

    def slower(self, steps: int) -> None:
        """Slower by steps; faster where it is below 0."""
        last = self.speed.count() - 1
        self.speed.setCurrentIndex(min(max(self.speed.currentIndex() + steps, 0), last))

    def show_time(self, time: float) -> None:
        """Say the time in the run; emits nothing."""
        self.clock.setText(f"{time:.4f} s of {self._player.end:.2f} s")

    def show_kept(self, name: str) -> None:
        """Say whether a run is kept; emits nothing."""
        self.keep.setText(f"Put “{name}” away" if name else "&Keep this run")

    def set_color(self, color: str) -> None:
        """Recolour the icons."""
        self._color = color
        self._show_icons()

    def _show_icons(self) -> None:
        for name, icon, _, _ in BUTTONS:
            shown = "pause" if name == "play" and self._player.is_playing else icon
            self.buttons[name].setIcon(make_icon(shown, self._color))
