"""Error bars on the Line place: bands on the charts, chances in the ledger and in *Why*."""

from __future__ import annotations

from collections.abc import Callable
from html import escape

from PySide6.QtCore import QObject

from app.gui.error_bars_study import ErrorBarsStudy
from app.gui.panels.ledger_panel import LedgerPanel
from app.gui.places.line.drawing import Drawing
from app.gui.preferences import Preferences
from app.gui.recompute import Recompute
from engine_model.results import Entry


class BarsShown(QObject):
    """Hands the error bars to what shows them, while they are switched on.

    Parameters
    ----------
    recompute : Recompute
        Whose snapshots are studied.
    preferences : Preferences
        Whether the bars are shown.
    drawing : Drawing
        Draws the bands.
    ledger : LedgerPanel
        Tells the chances.
    retell : callable
        Called where *Why* has something else to tell.
    """

    def __init__(
        self,
        recompute: Recompute,
        preferences: Preferences,
        drawing: Drawing,
        ledger: LedgerPanel,
        retell: Callable[[], None],
    ) -> None:
        super().__init__(recompute)
        self._preferences, self._retell = preferences, retell
        self._drawing, self._ledger = drawing, ledger
        self.study = ErrorBarsStudy(recompute, preferences, self)
        self._shown: tuple[object, bool] = (None, False)
        self.study.changed.connect(self._show)
        preferences.changed.connect(self._show)

    def _show(self, *_: object) -> None:
        """Show the bars where they are others, or older, than those shown."""
        bars = self.study.bars if self._preferences.choices.error_bars else None
        is_old = self.study.is_old
        if self._shown[0] is bars and (bars is None or self._shown[1] == is_old):
            return
        self._shown = bars, is_old
        self._drawing.set_bars(bars, is_old=is_old)
        self._ledger.set_bars(bars, is_old=is_old)
        self._retell()

    def markup(self, entry: Entry) -> str:
        """Sentence on the chance of an entry, to follow other words."""
        bars = self.study.bars
        if bars is None or not self._preferences.choices.error_bars:
            return ""
        from app.present.chance_words import chance_sentence

        words = chance_sentence(entry, bars, is_old=self.study.is_old)
        return f" {escape(words)}" if words else ""
