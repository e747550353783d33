"""Words of the ledger's entries that studies give: heat soak, and the bypass valve in a lift."""

from __future__ import annotations

from app.fields import Units, show
from app.present.sentence_parts import Sentence, at_speed, numbers_of
from app.present.soak_sentences import soak_sentence
from engine_model.inputs import Build
from engine_model.results import Entry

STUDY_TITLES: dict[str, str] = {
    "charge_soak": "Charge temperature, pull after pull",
    "bypass_valve": "Bypass valve in a lift",
}
"""Title of each entry."""

STUDY_SUBJECTS: dict[str, str] = {"charge_soak": "Charge air", "bypass_valve": "Surge"}
"""Subject row that an entry unfolds from."""

STUDY_WITHIN: dict[str, str] = {"charge_soak": "Heat soak", "bypass_valve": "Valve"}
"""Short title of each entry under its subject."""


def _valve(entry: Entry, build: Build, system: Units) -> str:
    """Smallest valve that keeps a lift out of surge, beside the build's."""
    numbers, own = numbers_of(entry), show(entry.bound, "length", system)
    size = show(entry.value, "length", system)
    if numbers["none_does"]:
        return f"no valve up to {size} keeps a lift from surging{at_speed(entry)}; yours is {own}"
    words = f"a lift asks for {size}{at_speed(entry)}, of {own}"
    return words if numbers["plain"] else f"{words}; not every larger one keeps it out"


STUDY_SENTENCES: dict[str, Sentence] = {"charge_soak": soak_sentence, "bypass_valve": _valve}
"""Sentence of each entry."""
