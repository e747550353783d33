"""The ledger as the customer's page of the build sheet tells it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from app.fields import Units
from app.present.ledger_words import OF_NO_DAY
from app.present.sentences import PART_TITLES, PARTS, TITLES, sentence, state_words
from app.present.tables import told_once
from engine_model.inputs import Build
from engine_model.limits.belt_limits import NO_BELT
from engine_model.limits.engine_limits import NO_BOUND
from engine_model.results import Entry


@dataclass(frozen=True, slots=True)
class LedgerRow:
    """One entry of the ledger on the customer's page.

    Parameters
    ----------
    title : str
        What is judged.
    state : str
        ``clear``, ``close``, ``over`` or ``blank``.
    used : str
        State and share used in short.
    day : str
        Its worst day; empty where it has none.
    words : str
        Its sentence.
    """

    title: str
    state: str
    used: str
    day: str
    words: str


@dataclass(frozen=True, slots=True)
class LedgerPart:
    """One part of the ledger: what was judged, what could not be, and what has no bound."""

    title: str
    rows: tuple[LedgerRow, ...]
    blank: tuple[LedgerRow, ...]
    unbound: tuple[str, ...]

    @property
    def unjudged(self) -> tuple[str, ...]:
        """Titles of what was not judged."""
        return (*(row.title for row in self.blank), *self.unbound)


def ledger_parts(
    worst: Sequence[Entry], build: Build, units: Units = "si"
) -> tuple[LedgerPart, ...]:
    """The ledger in its three parts, each entry with its worst day."""
    parts = []
    for part in PARTS:
        mine = [e for e in told_once(tuple(worst)) if e.part == part]
        rows = [_ledger_row(e, build, units) for e in mine if e.basis != NO_BOUND]
        parts.append(
            LedgerPart(
                PART_TITLES[part],
                tuple(row for row in rows if row.state != "blank"),
                tuple(row for row in rows if row.state == "blank"),
                tuple(TITLES[e.code] for e in mine if e.basis == NO_BOUND),
            )
        )
    return tuple(parts)


def _ledger_row(entry: Entry, build: Build, units: Units) -> LedgerRow:
    title = "Belt" if entry.basis == NO_BELT else TITLES[entry.code]
    day = "" if entry.state == "blank" or entry.code in OF_NO_DAY else f"{entry.day} day"
    used = state_words(entry)
    return LedgerRow(title, entry.state, used, day, sentence(entry, build, units))
