"""From the snapshot of the bench to what the sheet tells."""

from __future__ import annotations

from datetime import date

from app.gui.document import Document
from app.gui.preferences import Choices
from app.gui.recompute import Snapshot
from app.present.ledger_words import worst_of
from app.present.sheet_words import MeasuredPower, SheetSource
from app.present.sheet_workshop import build_digest
from engine_model.results import Entry


def worst_entries(snapshot: Snapshot) -> tuple[Entry, ...]:
    """The ledger of a snapshot, each entry on its worst day, in its own order."""
    found: dict[str, list[Entry]] = {}
    for entries in snapshot.by_day.values():
        for entry in entries:
            found.setdefault(entry.code, []).append(entry)
    codes = dict.fromkeys([entry.code for entry in snapshot.match.ledger])
    return tuple(worst_of(found[code]) for code in (*codes, *(c for c in found if c not in codes)))


def source_of(
    snapshot: Snapshot,
    document: Document,
    choices: Choices,
    measured: MeasuredPower | None = None,
) -> SheetSource:
    """What the sheet of the open build tells."""
    build = snapshot.match.build
    saved = document.path is not None and document.is_saved
    return SheetSource(
        snapshot.match,
        worst_entries(snapshot),
        tuple(snapshot.by_day),
        snapshot.surface if build.drive.kind != "none" else None,
        date.today(),
        document.digest if saved else build_digest(build),
        build.shelf.shop or choices.shelf.shop,
        choices.shelf.logo,
        choices.units_shown,
        measured,
    )
