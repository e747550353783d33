"""What a usable compressor map still needs, what looks wrong, and handing it over."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLabel, QWidget

from app.gui.places.trace.panels.parts import StateLine, TracePanel, push_button
from app.gui.places.trace.panels.sentences_list import SentencesList
from app.present.trace_words import ready_sentence

NEEDED = "Still needed for a usable compressor map"
BETTER = "Would make it better"
WRONG = "What looks wrong"
NOTHING = "Nothing is traced yet"


@dataclass(frozen=True, slots=True)
class NeedRow:
    """Something still needed, as a sentence.

    Parameters
    ----------
    code : str
        Its code.
    sentence : str
        Its words.
    curve : int, optional
        Number of the curve it is about.
    blocking : bool
        Whether there is no compressor map without it.
    """

    code: str
    sentence: str
    curve: int | None = None
    blocking: bool = True


@dataclass(frozen=True, slots=True)
class FaultRow:
    """Something that looks wrong, as a sentence.

    Parameters
    ----------
    sentence : str
        Its words.
    curve : int, optional
        Number of the curve.
    point : int, optional
        Number of the point to look at.
    state : str
        ``over`` or ``close``.
    blocking : bool
        Whether a file of it would be refused; a residual blocks nothing.
    """

    sentence: str
    curve: int | None = None
    point: int | None = None
    state: str = "over"
    blocking: bool = True


class NeedsPanel(TracePanel):
    """Lists what is missing and wrong; offers to save and use the map once nothing is.

    Signals
    -------
    need_chosen(code, curve)
        A need was chosen; curve is None where it is about none.
    fault_chosen(curve, point)
        A fault was chosen; either is None where it is about none.
    save_asked(), use_asked()
        The compressor map is to be saved, or put into the present build.
    """

    need_chosen = Signal(str, object)
    fault_chosen = Signal(object, object)
    save_asked = Signal()
    use_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._needs: tuple[NeedRow, ...] = ()
        self._better: tuple[NeedRow, ...] = ()
        self._faults: tuple[FaultRow, ...] = ()
        self._counts: tuple[int, int] | None = None
        tip = "Enter or a click goes to the place where it is mended"
        self.verdict = StateLine()
        self.needed = SentencesList(NEEDED, tip)
        self.better = SentencesList(BETTER, tip)
        self.wrong = SentencesList(WRONG, tip)
        self.headings = {word: QLabel(word) for word in (NEEDED, BETTER, WRONG)}
        self.save = push_button(
            "Save the compressor map\u2026",
            "Writes the compressor map with its trace, so that it can be taken up again",
            self.save_asked.emit,
        )
        self.use = push_button(
            "Use in this build",
            "Puts the compressor map under the present operating line",
            self.use_asked.emit,
        )
        self.give_icon(self.save, "save")
        self.give_icon(self.use, "place-line")
        self.column.addWidget(self.verdict)
        for word, view in ((NEEDED, self.needed), (WRONG, self.wrong), (BETTER, self.better)):
            self.headings[word].setBuddy(view)
            self.headings[word].setObjectName("headline")
            self.headings[word].setWordWrap(True)
            self.column.addWidget(self.headings[word])
            self.column.addWidget(view)
        self.column.addWidget(self.save)
        self.column.addWidget(self.use)
        self.needed.picked.connect(lambda row: self._chosen(self._needs[row]))
        self.better.picked.connect(lambda row: self._chosen(self._better[row]))
        self.wrong.picked.connect(self._fault_chosen)
        self._can_save: bool | None = None
        self.recolour(self.theme)
        self._refresh()

    @property
    def is_usable(self) -> bool:
        """Whether nothing blocks the use of the compressor map."""
        told = self._counts is not None
        return told and not self._needs and not any(row.blocking for row in self._faults)

    def set_needs(self, needs: Sequence[NeedRow], lines: int, islands: int) -> None:
        """Show what is still needed, and how many lines and islands there are; emits nothing."""
        self._needs = tuple(row for row in needs if row.blocking)
        self._better = tuple(row for row in needs if not row.blocking)
        self._counts = (lines, islands)
        self._refresh()

    def set_faults(self, faults: Sequence[FaultRow]) -> None:
        """Show what looks wrong; emits nothing."""
        self._faults = tuple(faults)
        self._refresh()

    def set_can_save(self, can_save: bool | None) -> None:
        """Whether it can be saved; nothing: only a usable map can; emits nothing."""
        self._can_save = can_save
        self._refresh()

    def recolour(self, theme: str) -> None:
        """Take the colours of a theme."""
        super().recolour(theme)
        self.verdict.set_theme(theme)
        for view in (self.needed, self.better, self.wrong):
            view.set_theme(theme)

    def _refresh(self) -> None:
        blocking = sum(row.blocking for row in self._faults)
        counts = self._counts
        words = NOTHING if counts is None else ready_sentence(*counts, len(self._needs), blocking)
        doubtful = self._faults or self._better
        state = ("close" if doubtful else "clear") if self.is_usable else "over"
        if not self.is_usable and not blocking:
            state = "blank"  # unfinished is not wrong
        self.verdict.show_state(state, words)
        self.needed.set_sentences([("blank", row.sentence) for row in self._needs])
        self.better.set_sentences([("blank", row.sentence) for row in self._better])
        self.wrong.set_sentences([(row.state, row.sentence) for row in self._faults])
        self.headings[NEEDED].setVisible(bool(self._needs))
        self.headings[BETTER].setVisible(bool(self._better))
        self.headings[WRONG].setVisible(bool(self._faults))
        self.use.setEnabled(self.is_usable)
        self.save.setEnabled(self.is_usable if self._can_save is None else self._can_save)

    def _chosen(self, row: NeedRow) -> None:
        self.need_chosen.emit(row.code, row.curve)

    def _fault_chosen(self, number: int) -> None:
        row = self._faults[number]
        self.fault_chosen.emit(row.curve, row.point)
