"""The answer of the pulley span in words, short and whole."""

from __future__ import annotations

from collections.abc import Sequence

from app.fields import Units
from app.present.pulley_tables import (
    conflict_words,
    days_words,
    inward,
    span_headline,
    stop_words,
    title_of,
)
from engine_model.studies.span_records import AS_BUILT, Allowed, PulleySpan, Stop


def between(low: str, high: str) -> str:
    """Two sizes with the same unit in words: ``61.5 to 68.3 mm``, or one where they are equal."""
    return high if low == high else f"{low.rpartition(' ')[0]} to {high}"


def _ends(one: Allowed, units: Units) -> str:
    return between(*inward(one.low, one.high, units))


def stop_short(stop: Stop | None, days: Sequence[str]) -> str:
    """What stops a span at an end, in a few words."""
    if stop is None:
        return "nothing within the range looked at"
    case = "" if stop.case == AS_BUILT else f", {stop.case}"
    return f"{title_of(stop.entry.code)}, {days_words(stop.days, len(days))}{case}"


def verdict_words(span: PulleySpan, units: Units = "si") -> tuple[str, str]:
    """The answer in a few words, and what excludes what where nothing is allowed."""
    if span.allowed:
        return "Allowed: " + " and ".join(_ends(one, units) for one in span.allowed), ""
    return "No pulley is allowed", "; ".join(conflict_words(c, units) for c in span.conflicts)


def span_answer(span: PulleySpan, units: Units = "si") -> tuple[str, list[str], str]:
    """The answer, what stops it in the ledger's own sentences, and what was asked.

    Parameters
    ----------
    span : PulleySpan
        The span.
    units : Units
        Units shown.
    """
    verdict, _ = verdict_words(span, units)
    rows = [conflict_words(one, units) for one in span.conflicts]
    for one in span.allowed:
        before = f"{between(*inward(one.low, one.high, units))}, " if len(span.allowed) > 1 else ""
        rows.append(f"{before}smaller: {stop_words(one.smaller, span, units)}")
        rows.append(f"{before}larger: {stop_words(one.larger, span, units)}")
    asked = span_headline(span, units)[1:]
    return verdict, rows, " ".join(asked[: asked.index("")])
