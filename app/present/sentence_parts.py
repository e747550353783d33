"""Parts that sentences of the ledger share."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable

from app.fields import Units, show
from engine_model.inputs import Build
from engine_model.results import Entry

Sentence = Callable[[Entry, Build, Units], str]


def at_speed(entry: Entry) -> str:
    """Where an entry is tightest: ``at 6200 rpm`` or nothing."""
    if math.isnan(entry.engine_speed_rpm):
        return ""
    return f" at {entry.engine_speed_rpm:.0f} rpm"


def against(kind: str, what: str) -> Sentence:
    """Sentence of a value against the most that is allowed, both of a kind of display."""

    def sentence(entry: Entry, build: Build, system: Units) -> str:
        value, bound = show(entry.value, kind, system), show(entry.bound, kind, system)
        just = "just over " if value == bound and entry.used > 1.0 else ""
        return f"{what} {just}{value}{at_speed(entry)}, most {bound}"

    return sentence


def numbers_of(entry: Entry) -> defaultdict[str, float]:
    """Further numbers of an entry by name; nan where one is not known."""
    return defaultdict(lambda: math.nan, entry.numbers)
