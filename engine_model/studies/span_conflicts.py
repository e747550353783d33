"""Which limits exclude each other where no pulley is allowed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations

from engine_model.studies.span_edges import Interval, intersection
from engine_model.studies.span_records import Conflict, LimitBar

_EVERY = (0.0, math.inf)


def conflicts_of(bars: Sequence[LimitBar]) -> tuple[Conflict, ...]:
    """Limits that leave no pulley together, told as shortly as can be.

    Parameters
    ----------
    bars : sequence of LimitBar
        Judged limits on their days, which together allow nothing.

    Returns
    -------
    tuple of Conflict
        Limits over at every pulley; else the pairs of limits without a common pulley, each on
        the days where they are furthest apart, the widest gap first; else one set of three or
        more from which none can be left out.
    """
    alone = [bar for bar in bars if not bar.allowed]
    if alone:
        first = {(bar.code, bar.case): bar for bar in reversed(alone)}
        ordered = [bar for bar in alone if first[bar.code, bar.case] is bar]
        return tuple(Conflict((_name(bar),), math.nan) for bar in ordered)
    pairs: dict[tuple[tuple[str, str], tuple[str, str]], Conflict] = {}
    for a, b in combinations(bars, 2):
        gap = _gap(a.allowed, b.allowed)
        if gap is None:
            continue
        key = (a.code, a.case), (b.code, b.case)
        if key not in pairs or gap > pairs[key].gap:
            pairs[key] = Conflict((_name(a), _name(b)), gap)
    if pairs:
        return tuple(sorted(pairs.values(), key=lambda one: -one.gap))
    needed = list(bars)
    for bar in bars:
        others = [one for one in needed if one is not bar]
        if not intersection([one.allowed for one in others], _EVERY):
            needed = others
    return (Conflict(tuple(_name(bar) for bar in needed), math.nan),)


def _name(bar: LimitBar) -> tuple[str, str, str]:
    return bar.code, bar.day, bar.case


def _gap(a: Sequence[Interval], b: Sequence[Interval]) -> float | None:
    """Distance of the nearest diameters of two sets [m]; nothing where they meet."""
    if intersection([tuple(a), tuple(b)], _EVERY):
        return None
    return min(max(c - y, x - d) for x, y in a for c, d in b)
