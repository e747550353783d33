"""The Surge place: a scene, its question, two pictures that move, bypass valve and choke."""

from __future__ import annotations

from dataclasses import replace
from html import escape

from PySide6.QtCore import Qt
from PySide6.QtGui import QHideEvent, QKeyEvent, QShowEvent
from PySide6.QtWidgets import QLabel, QSplitter, QStackedWidget, QTabWidget, QVBoxLayout, QWidget

from app.gui.document import Document
from app.gui.places.study_place import StudyPlace
from app.gui.places.surge.charts_export import CHOKE, MAP, TIME, VALVE, SurgeExports
from app.gui.places.surge.controls import Controls
from app.gui.places.surge.feed import Feed
from app.gui.places.surge.pages import ChokePage, RunPage, ValvePage
from app.gui.places.surge.player import Player
from app.gui.places.surge.scene_bar import SceneBar
from app.gui.preferences import Preferences
from app.gui.recompute import Recompute
from app.gui.theme import surfaces
from app.gui.widgets.floating import PassingWords
from app.present.cautions import CAUTIONS
from app.present.series_choke import choke_series, choke_words
from app.present.series_valve import QUESTION, valve_answer, valve_lines, valve_series
from app.present.surge_tables import choke_answer
from app.present.surge_words import fault_words
from engine_model.errors import InputError
from engine_model.inputs import Build
from engine_model.studies.bypass_sizing import ValveCurve
from engine_model.studies.choke_page import ChokeScene

NO_BLOWER = "This build has no blower: nothing surges."

NO_BELT = (
    "Speed is added by smaller blower pulleys here, and this build has no belt. A turbocharger's "
    "choke margin along its boost stands in the ledger of the place Line."
)

RUN, VALVES, CHOKED = 0, 1, 2
"""Pages."""

LEFT = 220
"""Width of the left column at the usual text [px]."""

SIDE = 8
"""Room at the sides of a sentence [px]."""

MORE = 10
"""Pictures of a step with Shift."""


class SurgePlace(StudyPlace):
    """Surge in time on the build's own compressor map."""

    def __init__(self, document: Document, recompute: Recompute, preferences: Preferences) -> None:
        super().__init__(document, preferences, "The answer of the scene")
        self.player = Player(self)
        self.bar, self.controls = SceneBar(), Controls()
        self.run_page = RunPage(self.player)
        self.valve_page, self.choke_page = ValvePage(), ChokePage()
        self._charts = {
            MAP: self.run_page.map,
            TIME: self.run_page.time,
            VALVE: self.valve_page.chart,
            CHOKE: self.choke_page.chart,
        }
        self.exports = SurgeExports(self._charts)
        self._answers = ["", "", ""]
        self._lay_out()
        self.words = PassingWords(self, self.room, self._words_place)
        self.bar.chosen.connect(lambda _: self.controls.restore())
        self.bar.asked.connect(self._on_asked)
        self.feed = Feed(self, document, recompute, preferences)
        self.player.moved.connect(self._show_time)
        self.run_page.time.scrubbed.connect(self._scrub)
        transport = self.run_page.transport
        transport.window_chosen.connect(self.run_page.time.set_window)
        transport.film_asked.connect(self.make_film)
        self.run_page.time.set_window(transport.window.currentData())
        self.pages.currentChanged.connect(self._on_page)
        # a letter typed next is a key of the place, no search in a list
        for combo in (self.bar.combo, transport.speed, transport.window):
            combo.activated.connect(lambda _: self.setFocus(Qt.FocusReason.OtherFocusReason))
        preferences.changed.connect(self._dress)
        self._dress()

    def _lay_out(self) -> None:
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.pages = QTabWidget()
        self.pages.setDocumentMode(True)
        self.pages.addTab(self.run_page, "Surge")
        self.pages.addTab(self.valve_page, "Bypass valve")
        self.pages.addTab(self.choke_page, "Choke")
        middle = QWidget()
        rows = QVBoxLayout(middle)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(0)
        rows.addWidget(self.bar)
        rows.addWidget(self.answer)
        rows.addWidget(self.pages, 1)
        # a line of its own under the pages for what is wrong: nothing is covered, nothing moves
        self.room = QWidget()
        rows.addWidget(self.room)
        across = self.across = QSplitter(Qt.Orientation.Horizontal)
        across.addWidget(self.controls)
        across.addWidget(middle)
        across.setStretchFactor(1, 1)
        across.setSizes([LEFT, 1000])
        across.setChildrenCollapsible(False)
        self.no_blower = QLabel(NO_BLOWER)
        self.no_blower.setWordWrap(True)
        self.no_blower.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.whole = QStackedWidget()
        self.whole.addWidget(across)
        self.whole.addWidget(self.no_blower)
        self.caution.setText(CAUTIONS["general"])
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(self.whole, 1)
        layout.addWidget(self.caution)
        layout.addWidget(self.cover)

    def _words_place(self) -> tuple[int, int, int]:
        """Place of a sentence: on its line, growing upward where it needs more of them."""
        wide = self.room.width() - 2 * SIDE
        needed = self.words.heightForWidth(max(wide, 1))
        return SIDE, self.room.height() - needed - 1, wide

    def _on_asked(self, what: str) -> None:
        if what == "reset":
            self.controls.restore()

    # what the window asks of a place

    charts = (
        (MAP, "surge on the map"),
        (TIME, "surge against time"),
        (VALVE, "the smallest bypass valve"),
        (CHOKE, "choke"),
    )
    """Names of its charts, and what they are in a menu."""

    def chart_of(self, name: str) -> QWidget:
        """One of its charts."""
        return self._charts[name]

    @property
    def chart_in_sight(self) -> str:
        """Name of the chart that is exported first."""
        return {RUN: MAP, VALVES: VALVE, CHOKED: CHOKE}[self.pages.currentIndex()]

    def fit(self) -> None:
        """Show the map whole."""
        self.run_page.map.fit()

    def fold_panels(self, folded: bool) -> None:
        """Hide or show the knobs."""
        self._folded = folded
        self.controls.setVisible(not folded)
        self.caution.setVisible(folded)

    def set_classroom(self, on: bool) -> None:
        """Panels away and answers covered, or everything back."""
        self.bar.set_bare(on)
        super().set_classroom(on)

    def show_covered(self, covered: bool) -> None:
        """Leave out what answers, or show it."""
        self.run_page.map.set_covered(covered)
        self.run_page.time.set_covered(covered)
        self.valve_page.set_covered(covered)
        self.choke_page.set_covered(covered)

    # what is shown

    def show_drive(self, kind: str) -> None:
        """Show the place, or say why there is nothing to show."""
        self.whole.setCurrentIndex(1 if kind == "none" else 0)
        if kind not in ("none", "belt"):
            # known at once: no empty charts stand there meanwhile
            self.feed.choke = self.exports.choke = None
            self._answers[CHOKED] = ""
            self.choke_page.show_fault(NO_BELT)

    @property
    def shows_valves(self) -> bool:
        """Whether the page of the bypass valve is seen."""
        return self.pages.currentIndex() == VALVES

    def show_page(self, *, choke: bool) -> None:
        """Show the page that a scene belongs to; the valves may stay in sight."""
        if choke:
            self.pages.setCurrentIndex(CHOKED)
        elif self.pages.currentIndex() == CHOKED:
            self.pages.setCurrentIndex(RUN)

    @property
    def question(self) -> str:
        """Question of the page where it is not the scene's."""
        return QUESTION if self.shows_valves else ""

    def _on_page(self, index: int) -> None:
        if index != RUN:
            self.player.pause()
        if index == CHOKED:
            self.controls.show_numbers([])
        self.feed.scenes.choose_kind(choke=index == CHOKED)
        self.feed.show_scene()
        self._show_answer()
        self.feed.page_turned()

    def show_answer(self, words: str) -> None:
        """Say the answer of the run."""
        self._answers[RUN] = words
        self._show_answer()

    def show_running(self) -> None:
        """Let the last answer stand back until the run is whole."""
        if self.pages.currentIndex() == RUN:
            quiet = self.palette().placeholderText().color().name()
            words = escape(self._answers[RUN] or "Running \u2026")
            self.answer.setText(f"<span style='color:{quiet}'>{words}</span>")

    def _show_answer(self) -> None:
        self.answer.setText(f"<b>{escape(self._answers[self.pages.currentIndex()])}</b>")
        self.exports.scene = self.feed.scenes.name
        self.exports.units = self._preferences.choices.units_shown

    def show_valves(self, curve: ValveCurve, changed: Build) -> None:
        """Show a sizing as far as it is known, beside the scene's own valve."""
        units = self._preferences.choices.units_shown
        own = replace(curve, build=changed)
        self.exports.curve = own
        self.valve_page.chart.set_series(valve_series(own, units))
        self.valve_page.show_words(valve_lines(own, units))
        self._answers[VALVES] = valve_answer(own, units, stopped=not self.feed.valves.is_busy)
        self._show_answer()

    def show_choke(self, found: ChokeScene) -> None:
        """Show a choke scene."""
        units = self._preferences.choices.units_shown
        self.exports.choke = found
        self.choke_page.show_fault("")
        self.choke_page.chart.set_series(choke_series(found, units))
        self.choke_page.show_words(choke_words(found, units))
        self._answers[CHOKED] = choke_answer(found, units)
        self.controls.show_numbers([])
        self._show_answer()

    def show_choke_fault(self, error: InputError) -> None:
        """Say why this build has no choke page."""
        words = NO_BELT if error.field == "drive.kind" else fault_words(error)
        self.exports.choke = None
        self._answers[CHOKED] = ""
        self.choke_page.show_fault(words)
        self.controls.show_numbers([])
        self._show_answer()

    def _show_time(self, time: float) -> None:
        self.run_page.map.set_time(time)
        self.run_page.time.set_time(time)

    def _scrub(self, time: float) -> None:
        self.player.pause()
        self.player.go_to(time)

    # keys

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Play, step, slow down, change the scene."""
        player, transport = self.player, self.run_page.transport
        many = MORE if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 1
        acts = {
            Qt.Key.Key_P: player.toggle,
            Qt.Key.Key_Left: lambda: player.step(-many),
            Qt.Key.Key_Right: lambda: player.step(many),
            Qt.Key.Key_Home: lambda: player.go_to(0.0),
            Qt.Key.Key_End: lambda: player.go_to(player.end),
            Qt.Key.Key_BracketLeft: lambda: transport.slower(1),
            Qt.Key.Key_BracketRight: lambda: transport.slower(-1),
            Qt.Key.Key_L: transport.loop.toggle,
            Qt.Key.Key_G: self.feed.keep_or_drop,
            Qt.Key.Key_PageDown: lambda: self.bar.step(1),
            Qt.Key.Key_PageUp: lambda: self.bar.step(-1),
        }
        act = acts.get(Qt.Key(event.key()))
        if act is None:
            super().keyPressEvent(event)
        else:
            act()

    def showEvent(self, event: QShowEvent) -> None:
        """Take the keys."""
        super().showEvent(event)
        self.setFocus(Qt.FocusReason.OtherFocusReason)

    def hideEvent(self, event: QHideEvent) -> None:
        """Stand still where nobody looks."""
        super().hideEvent(event)
        self.player.pause()

    # films

    def make_film(self) -> None:
        """Ask for a kind of film and write it."""
        # pictures come in with the first film
        from app.gui.places.surge.film_dialog import FilmDialog

        if self.feed.shown is None or not self.feed.shown.series.is_whole:
            self.say("The run is not ready yet.")
            return
        self.player.pause()
        dialog = FilmDialog(self, self._preferences, self._palette)
        dialog.exec()
        dialog.deleteLater()

    def dress(self) -> None:
        """Show everything in the colours, units and size of text chosen."""
        for chart in self._charts.values():
            chart.set_palette(self._palette)
        units = self._preferences.choices.units_shown
        self.controls.set_units(units)
        # room for two lines: the pictures stay where they are when the answer changes
        self.answer.setMinimumHeight(2 * self.answer.fontMetrics().lineSpacing() + 8)
        self.room.setFixedHeight(self.answer.fontMetrics().lineSpacing() + 12)
        self.run_page.transport.set_color(surfaces(self._preferences.choices.theme)["text"])
        if self.feed.curve is not None:
            self.show_valves(self.feed.curve, self.feed.scenes.changed_build())
        if self.feed.choke is not None:
            self.show_choke(self.feed.choke)
        self.feed.catch_up()
