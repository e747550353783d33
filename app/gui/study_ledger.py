"""Entries of the ledger that studies give beside the match: heat soak, and the bypass valve."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from app.gui.recompute import Recompute, Snapshot
from app.gui.soak_ledger import SoakLedger
from app.gui.valve_ledger import ValveLedger


class StudyLedger(QObject):
    """Every study that has an entry of its own.

    Signals
    -------
    changed()
        An entry is another one.
    """

    changed = Signal()

    def __init__(self, recompute: Recompute) -> None:
        super().__init__(recompute)
        self.soak, self.valve = SoakLedger(recompute), ValveLedger(recompute)
        self.soak.changed.connect(self.changed)
        self.valve.changed.connect(self.changed)

    def dressed(self, snapshot: Snapshot) -> Snapshot:
        """The snapshot with the entries known."""
        return self.valve.dressed(self.soak.dressed(snapshot))

    def end(self) -> None:
        """End the threads."""
        self.valve.end()
