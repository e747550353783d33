"""Asks what is filmed and writes it: animated GIF, a series of PNG pictures, or the numbers."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QDoubleSpinBox,
    QFormLayout,
    QLabel,
    QProgressBar,
    QSpinBox,
    QVBoxLayout,
)

from app.chart_tools.palette import Palette
from app.gui.file_names import FileKind, ask_save, plain_name, written_words
from app.gui.places.surge.charts_export import TIME
from app.gui.places.surge.film import MOST_FRAMES, Film, FilmMaker
from app.gui.preferences import Preferences

if TYPE_CHECKING:
    from app.gui.places.surge.place import SurgePlace

KINDS: tuple[FileKind, ...] = (
    FileKind("film", "an animated GIF", "Animated GIF (*.gif)", (".gif",)),
    FileKind("film", "a series of pictures", "PNG pictures, numbered (*.png)", (".png",)),
    FileKind("film", "the run as numbers", "CSV table of numbers (*.csv)", (".csv",)),
)
"""What is written."""

USUAL_COUNT, USUAL_STEP_MS, USUAL_FRAME_MS = 120, 2.0, 50
"""Pictures, time of the run between two [ms], and how long each stands [ms]."""


class FilmDialog(QDialog):
    """Kind, piece of the run, progress.

    Parameters
    ----------
    place : SurgePlace
        Whose run is filmed.
    preferences : Preferences
        Keep the folder.
    palette : Palette
        Colours of the pictures.
    """

    def __init__(self, place: SurgePlace, preferences: Preferences, palette: Palette) -> None:
        super().__init__(place)
        self._place, self._preferences, self._palette = place, preferences, palette
        self.setWindowTitle("Film of the run")
        self.setMinimumSize(380, 320)
        self.kind, self.count = QComboBox(), QSpinBox()
        for one in KINDS:
            self.kind.addItem(one.title.capitalize().replace("gif", "GIF"))
        self.start, self.step, self.stands = QDoubleSpinBox(), QDoubleSpinBox(), QSpinBox()
        end = place.player.end
        self.start.setDecimals(3)
        self.start.setRange(0.0, max(end - 0.01, 0.0))
        self.start.setSingleStep(0.05)
        self.start.setSuffix(" s")
        self.start.setValue(min(place.player.time, self.start.maximum()))
        self.step.setRange(0.5, 50.0)
        self.step.setSingleStep(0.5)
        self.step.setSuffix(" ms of the run")
        self.step.setValue(USUAL_STEP_MS)
        self.count.setRange(2, MOST_FRAMES)
        self.count.setValue(USUAL_COUNT)
        self.stands.setRange(20, 1000)
        self.stands.setSingleStep(10)
        self.stands.setSuffix(" ms")
        self.stands.setValue(USUAL_FRAME_MS)
        self.about, self.state = QLabel(), QLabel()
        for label in (self.about, self.state):
            label.setWordWrap(True)
        self.bar = QProgressBar()
        self.bar.setAccessibleName("Progress of the film")
        self.bar.hide()
        form = QFormLayout()
        form.addRow("&What", self.kind)
        form.addRow("&From", self.start)
        form.addRow("&Every", self.step)
        form.addRow("&Pictures", self.count)
        form.addRow("Each s&tands", self.stands)
        standard = QDialogButtonBox.StandardButton
        self.buttons = QDialogButtonBox(standard.Save | standard.Close)
        self.buttons.accepted.connect(self.write)
        self.buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.addLayout(form)
        for widget in (self.about, self.state, self.bar, self.buttons):
            column.addWidget(widget)
        self.maker = FilmMaker(self)
        self.maker.stepped.connect(self._show_progress)
        self.maker.finished.connect(self._on_finished)
        self.maker.refused.connect(self._on_refused)
        self.kind.currentIndexChanged.connect(self._tell)
        for box in (self.start, self.step, self.count, self.stands):
            box.valueChanged.connect(self._tell)
        self._tell()

    def film(self) -> Film:
        """What is asked for."""
        shown = self._place.feed.shown
        name = "" if shown is None else shown.series.name
        build = "" if shown is None else shown.found.setup.build.title
        if shown is not None and shown.found.setup.build.invented:
            build = f"{build} (invented)"
        return Film(
            self.start.value(),
            1e-3 * self.step.value(),
            self.count.value(),
            self.stands.value(),
            f"{build} | {name} | left of surge an estimate",
        )

    def _tell(self, *_: object) -> None:
        """Say how much of the run it is, and how slow."""
        is_film, is_gif = self.kind.currentIndex() < 2, self.kind.currentIndex() == 0
        for box in (self.start, self.step, self.count):
            box.setEnabled(is_film)
        self.stands.setEnabled(is_gif)
        if not is_film:
            self.about.setText("Every half millisecond of the whole run.")
            return
        film = self.film()
        span, shown = film.step * film.count, 1e-3 * film.frame_ms * film.count
        over = film.start + span > self._place.player.end
        words = f"{span:.3f} s of the run"
        if is_gif:
            words += f" in {shown:.1f} s: {shown / span:.0f} times slower"
        self.about.setText(f"{words}; past the end it stands still." if over else f"{words}.")

    def write(self) -> None:
        """Ask for a name and write."""
        kind = KINDS[self.kind.currentIndex()]
        shown = self._place.feed.shown
        if shown is None:
            return
        title = f"{plain_name(shown.found.setup.build.title)}-{plain_name(shown.found.scene.name)}"
        path = ask_save(self, self._preferences, kind, f"{title}{kind.endings[0]}", "Write")
        if path is not None:
            self.write_to(path)

    def write_to(self, path: Path) -> None:
        """Write; numbers at once, pictures one by one."""
        self.state.setText("")
        if path.suffix.lower() == ".csv":
            try:
                with self._place.exports.shown(TIME, self._palette) as chart:
                    chart.write("csv", path, 1.0)
            except OSError as error:
                self._on_refused(f"{error}.")
                return
            self._on_finished(written_words(path))
            return
        self.buttons.button(QDialogButtonBox.StandardButton.Save).setEnabled(False)
        self.buttons.button(QDialogButtonBox.StandardButton.Close).setText("Cancel")
        page = self._place.run_page
        self.maker.start(self.film(), path, (page.map, page.time), self._palette)

    def _show_progress(self, done: int, about: int) -> None:
        self.bar.show()
        self.bar.setRange(0, about + 1)  # the writing is one more
        self.bar.setValue(done)

    def _rest(self) -> None:
        self.bar.hide()
        self.buttons.button(QDialogButtonBox.StandardButton.Save).setEnabled(True)
        self.buttons.button(QDialogButtonBox.StandardButton.Close).setText("Close")

    def _on_finished(self, words: str) -> None:
        self._rest()
        self._say(words)

    def _on_refused(self, words: str) -> None:
        self._rest()
        self._say(words, wrong=True)

    def _say(self, words: str, *, wrong: bool = False) -> None:
        """Say what was done plainly, and what went wrong in the colour of a fault."""
        self.state.setObjectName("sentence" if wrong else "")
        self.state.style().unpolish(self.state)
        self.state.style().polish(self.state)
        self.state.setText(words)

    def reject(self) -> None:
        """Cancel the film under way; else close."""
        if self.maker.is_busy:
            self.maker.cancel()
            self._rest()
            self._say("Cancelled.")
            return
        super().reject()

    def done(self, code: int) -> None:
        """End the thread with the dialog."""
        self.maker.end()
        super().done(code)
