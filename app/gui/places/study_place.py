"""What places that show a study have alike: an answer in words, charts, a cover for classes."""

from __future__ import annotations

from contextlib import AbstractContextManager
from dataclasses import replace
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QShowEvent, QUndoStack
from PySide6.QtWidgets import QLabel, QWidget

from app.chart_tools.palette import Palette
from app.gui.document import Document
from app.gui.places.line.chart_export import ChartExport
from app.gui.places.pulleys.tables import dial_icons
from app.gui.preferences import Preferences
from app.gui.recompute import Snapshot
from app.gui.theme import PALETTES, state_colors
from app.gui.widgets.floating import PassingWords
from app.gui.window import CLASSROOM_SCALE


class StudyPlace(QWidget):
    """A place over a study of the build. A subclass lays it out and has ``feed`` and ``exports``.

    Signals
    -------
    covered(covered)
        The answers are covered or uncovered, in the classroom view.
    """

    covered = Signal(bool)

    own_files = None
    """The files of this place are the builds."""

    charts: tuple[tuple[str, str], ...] = ()
    """Names of its charts, and what they are in a menu."""

    feed: Any
    exports: Any
    words: PassingWords

    def __init__(self, document: Document, preferences: Preferences, answer_name: str) -> None:
        super().__init__()
        self._document, self._preferences = document, preferences
        self._classroom = self._covered = self._folded = False
        self.answer = QLabel()
        self.answer.setWordWrap(True)
        self.answer.setTextFormat(Qt.TextFormat.RichText)
        self.answer.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse
            | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        self.answer.setContentsMargins(8, 4, 8, 2)
        self.answer.setAccessibleName(answer_name)
        self.caution = QLabel()
        self.caution.hide()
        self.caution.setObjectName("caution")
        self.caution.setWordWrap(True)
        self.caution.setContentsMargins(8, 0, 8, 2)
        self.cover = QLabel("Classroom view. Space shows or covers the answers, F11 leaves.")
        self.cover.setObjectName("headline")
        self.cover.hide()
        self._choose_look()

    # what a subclass says

    def fold_panels(self, folded: bool) -> None:
        """Hide or show what stands at the sides."""
        raise NotImplementedError

    def show_covered(self, covered: bool) -> None:
        """Cover or uncover what answers."""
        raise NotImplementedError

    def dress(self) -> None:
        """Show everything in the colours, units and size of text chosen."""
        raise NotImplementedError

    # what the window asks of a place

    @property
    def undo_stack(self) -> QUndoStack:
        """History of the build's edits."""
        return self._document.undo

    def set_classroom(self, on: bool) -> None:
        """Panels away and answers covered, or everything back."""
        self._classroom = on
        self.cover.setVisible(on)
        self._cover(on)
        self.fold_panels(on)
        self._dress()

    def reveal_answers(self) -> None:
        """Show or cover the answers of the classroom view."""
        if self._classroom:
            self._cover(not self._covered)

    def _cover(self, covered: bool) -> None:
        self._covered = covered
        self.answer.setVisible(not covered)
        self.show_covered(covered)
        self.covered.emit(covered)

    @property
    def is_covered(self) -> bool:
        """Whether the answers are covered."""
        return self._covered

    def may_leave(self) -> bool:
        """Nothing of its own is lost."""
        return True

    def end(self) -> None:
        """End the threads."""
        self.feed.end()

    def say(self, sentence: str) -> None:
        """Show what is wrong, over the work; an empty sentence hides it."""
        self.words.say(sentence)

    def say_done(self, sentence: str) -> None:
        """Show calmly what was done; it goes by itself."""
        self.words.say_done(sentence)

    def show_snapshot(self, snapshot: Snapshot) -> None:
        """Show a new state of the build."""
        self.feed.show_snapshot(snapshot)

    def shown(self, chart: str) -> AbstractContextManager[ChartExport]:
        """One of the charts, to be written or copied."""
        found: AbstractContextManager[ChartExport] = self.exports.shown(chart, self._palette)
        return found

    def showEvent(self, event: QShowEvent) -> None:
        """Work out what changed meanwhile."""
        super().showEvent(event)
        self.feed.catch_up()

    def _choose_look(self) -> None:
        choices = self._preferences.choices
        scale = choices.text_scale * (CLASSROOM_SCALE if self._classroom else 1.0)
        self._palette: Palette = replace(PALETTES[choices.theme], text_scale=scale)
        self.icons = dial_icons(state_colors(choices.theme))

    def _dress(self, *_: object) -> None:
        self._choose_look()
        self.dress()
