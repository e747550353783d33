"""Search along the sizes of one candidate: the best under an aim, and the last allowed.

Sizes lie on a lattice from mild to strong. A coarse set of them is judged, then only those that
may still be better than the best known, until none is left.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, fields
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from engine_model.limits.judging import Verdict
from engine_model.results import OperatingLine
from engine_model.studies.compressor_numbers import (
    over_days,
    peak,
    spread_places,
    surge_jump,
    weighted_efficiency,
)
from engine_model.studies.compressor_records import (
    ACCEPTED,
    EFFICIENCY,
    POWER,
    REFUSED,
    SHORT,
)
from engine_model.studies.compressor_sizes import Candidate, Sizes, verdict_at
from engine_model.studies.lattice import Range, between, least, less, sorted_shares
from engine_model.studies.span_edges import OVER_FROM

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Indices = NDArray[np.intp]

MARGIN = 0.05
"""How far over its bound a limit may seem to be between the first ones [-]; chosen here."""

ROUGH = 3e-3
"""Share that numbers of a line with an open bypass jump by: the cap is met between two engine
speeds of the line, at another place for every size [-]; chosen here."""

MANY = 12
"""Sizes judged in a round where many may be better."""

MOST_ROUNDS = 200
"""Rounds of a search at most; each judges one more size or more."""

POWER_DIGITS = 3
"""Digits after the point to which watts are compared."""


class Answer(NamedTuple):
    """What a search found.

    Parameters
    ----------
    standing : str
        ``accepted``, ``short`` or ``refused``.
    best : int
        Place of the best size.
    last : int or None
        Place of the last allowed size; none where none is.
    key : tuple of float
        Compares searches of one candidate: the least is best.
    """

    standing: str
    best: int
    last: int | None
    key: tuple[float, ...]


@dataclass(slots=True, eq=False)
class Search:
    """Sizes of one candidate and what is known of each.

    Parameters
    ----------
    candidate : Candidate
        The candidate.
    sizes : ndarray, shape (m,)
        Sizes from mild to strong: pulleys falling [m], boosts rising [Pa].
    aim : str
        What is looked for.
    on_step : callable
        Called before every call of the match; what it raises ends the search.
    """

    candidate: Candidate
    sizes: Floats
    aim: str
    on_step: Callable[[], None]
    used: Floats = field(init=False)
    target: Floats = field(init=False)
    merit: Floats = field(init=False)
    jumps: Floats = field(init=False)
    known: Bools = field(init=False)
    burnt: Bools = field(init=False)
    calls: list[Sizes] = field(init=False, default_factory=list)
    where: dict[int, tuple[int, int]] = field(init=False, default_factory=dict)
    burn_verdicts: dict[int, tuple[Verdict, ...]] = field(init=False, default_factory=dict)
    _parts: Indices = field(init=False)
    _targets: Indices = field(init=False)
    _surge: int = field(init=False)

    def __post_init__(self) -> None:
        checks, burn = self.candidate.checks, self.candidate.burn
        size = self.sizes.size
        self._parts = np.flatnonzero([c.part == "parts" for c in checks])
        self._targets = np.flatnonzero([c.part == "target" for c in checks])
        self._surge = [checks[k].code for k in self._parts].index("surge_margin")
        # the limits of the burn stand below the others
        self.used = np.full((self._parts.size + len(burn), size), -np.inf)
        self.jumps = np.zeros((self._parts.size, size))
        self.target = np.full(size, -np.inf)
        self.merit = np.full(size, -np.inf)
        self.known = np.zeros(size, dtype=bool)
        self.burnt = np.zeros(size, dtype=bool)

    def run(self) -> Answer:
        """Judge sizes until none that is left may be better."""
        spread = spread_places(self.sizes)
        self._judge(spread[::2])
        self._judge(self._between(spread))
        for _ in range(MOST_ROUNDS):
            more = self._wanted()
            if more.size == 0:
                break
            self._judge(more)
            self._judge_burn(more)
        return self._answer()

    def _between(self, spread: Indices) -> Indices:
        """Of the sizes left out at first, those beside which something may be allowed."""
        parts, target, _ = self._ranges()
        most = OVER_FROM + MARGIN
        hope = np.all(parts.low <= most, axis=0) & (target.low[0] <= most)
        ends = zip(spread[:-2:2], spread[2::2], strict=True)
        wanted = [bool(np.any(hope[a : b + 1])) for a, b in ends]
        return np.asarray(spread[1:-1:2][wanted])

    def _judge(self, places: Indices) -> None:
        """Judge places of the lattice by all limits but those of the burn."""
        new = places[~self.known[places]]
        if new.size:
            self.on_step()
            found = self.candidate.judge(self.sizes[new])
            number = len(self.calls)
            self.calls.append(found)
            used = np.stack([over_days(v) for v in found.verdicts])
            self.used[: self._parts.size, new] = used[self._parts]
            self.jumps[self._surge, new] = surge_jump(found, int(self._parts[self._surge]))
            if self._targets.size:
                self.target[new] = np.max(used[self._targets], axis=0)
            self.merit[new] = self._merit_of(found.line)
            self.known[new] = True
            self.where.update({int(p): (number, k) for k, p in enumerate(new)})

    def _merit_of(self, line: OperatingLine) -> Floats:
        """What the aim looks for, more is better; on the day of least."""
        if self.aim == EFFICIENCY:
            return np.asarray(np.min(weighted_efficiency(self.candidate, line), axis=-1))
        return np.asarray(np.min(peak(line.wheel_power_w), axis=-1))

    def _judge_burn(self, places: Indices) -> None:
        """Estimate the burn at places that the other limits allow, or all where none is."""
        if not self.candidate.burn:
            return
        rows = self.used[: self._parts.size]
        keeps = np.all(rows <= OVER_FROM, axis=0)
        need = places[~self.burnt[places] & (keeps[places] | ~np.any(keeps & self.known))]
        if need.size == 0:
            return
        self.on_step()
        whole = [
            self.calls[number].line.part(k) for number, k in (self.where[p] for p in need.tolist())
        ]
        found = self.candidate.judge_burn(_stacked(whole))
        for row, verdict in enumerate(found):
            self.used[self._parts.size + row, need] = over_days(verdict)
        for k, place in enumerate(need.tolist()):
            self.burn_verdicts[place] = tuple(verdict_at(v, k) for v in found)
        self.burnt[need] = True

    def _settled(self) -> Bools:
        """Sizes of which everything is known that counts."""
        if not self.candidate.burn:
            return self.known
        over = np.any(self.used[: self._parts.size] > OVER_FROM, axis=0)
        return np.asarray(self.known & (self.burnt | over))

    def _ranges(self) -> tuple[Range, Range, Range]:
        """Bounds of parts, target and merit on the whole lattice."""
        at, size, count = np.flatnonzero(self.known), self.sizes.size, self._parts.size
        table = np.vstack([self.used[:count, at], self.target[None, at], self.merit[None, at]])
        moving = np.flatnonzero(np.any(table != table[:, :1], axis=1))
        low = np.repeat(table[:, :1], size, axis=1)
        high, about = low.copy(), low.copy()
        rough = np.vstack([self.jumps[:, at], np.zeros((2, at.size))])
        if self.candidate.build.bypass.boost_cap is not None:
            rough = np.maximum(rough, ROUGH * np.where(np.isfinite(table), np.abs(table), 0.0))
        found = between(at, table[moving], size, rough[moving])
        low[moving], high[moving], about[moving] = found
        parts = Range(low[:count], high[:count], about[:count])
        if self.candidate.burn:
            known = np.flatnonzero(self.burnt)
            if known.size:
                rows = self.used[count:, known]
                burn = between(known, rows, size, np.zeros_like(rows))
            else:
                shape = (len(self.candidate.burn), size)
                burn = Range(*(np.full(shape, x) for x in (-np.inf, np.inf, np.nan)))
            parts = Range(*(np.vstack(pair) for pair in zip(parts, burn, strict=True)))
        target, merit = (
            Range(low[k : k + 1], high[k : k + 1], about[k : k + 1]) for k in (count, count + 1)
        )
        return parts, target, merit

    def _key(self, used: Floats, merit: Floats) -> Floats:
        """Rows that order sizes under the aim, the least best; shape (sizes, n)."""
        if self.aim == EFFICIENCY:
            return np.round(-merit, 9)[:, None]
        if self.aim == POWER:
            return np.round(-merit, POWER_DIGITS)[:, None]
        return sorted_shares(used)

    def _stage(self) -> tuple[str, Bools, Floats]:
        """Standing so far, the sizes that have it, and the rows they are ordered by."""
        settled = self._settled()
        keeps = settled & np.all(self.used <= OVER_FROM, axis=0)
        whole = keeps & (self.target <= OVER_FROM)
        if np.any(whole):
            return ACCEPTED, whole, self._key(self.used, self.merit)
        if np.any(keeps):
            return SHORT, keeps, np.round(self.target, 9)[:, None]
        return REFUSED, settled, sorted_shares(self.used)

    def _wanted(self) -> Indices:
        """Places to judge next; none where the answer is settled."""
        parts, target, merit = self._ranges()
        settled = self._settled()
        stage, having, rows = self._stage()
        with np.errstate(invalid="ignore"):
            keep = ~settled & np.all(parts.low <= OVER_FROM, axis=0)
            reach = target.low[0] <= OVER_FROM
            about = np.max(parts.about, axis=0)
        if self.candidate.burn and np.any(keep) and np.count_nonzero(self.burnt) < 4:
            # the burn knows nothing yet: over the whole of what the others may allow
            some = np.flatnonzero(keep & reach) if np.any(keep & reach) else np.flatnonzero(keep)
            return np.unique(some[np.linspace(0, some.size - 1, 4).astype(int)])
        if stage == ACCEPTED:
            best = rows[least(rows, np.flatnonzero(having))]
            hopes = keep & reach & less(self._key(parts.low, merit.high[0]), best)
            order = self._key(parts.about, merit.about[0])
            allowed = keep & reach
        else:
            hopes = keep & reach
            order = np.maximum(about, target.about[0])[:, None]
            allowed = keep
            if not np.any(hopes) and stage == SHORT:
                best = rows[least(rows, np.flatnonzero(having))]
                hopes = keep & less(np.round(target.low.T, 9), best)
                order = target.about.T
            elif not np.any(hopes):
                hopes, order = keep, about[:, None]
        if stage == REFUSED and not np.any(hopes):
            best = rows[least(rows, np.flatnonzero(having))]
            hopes = ~settled & less(sorted_shares(parts.low), best)
            order, allowed = sorted_shares(parts.about), np.zeros_like(keep)
        places = self._picked(hopes, order)
        if np.any(having) and stage != REFUSED:
            places += self._at_the_end(having, allowed, about)
        wanted = np.unique(np.array(places, dtype=np.intp))
        return wanted[~settled[wanted]]

    def _picked(self, hopes: Bools, order: Floats) -> list[int]:
        """Of the sizes that may be better: the likeliest and its neighbours, and the ends."""
        some = np.flatnonzero(hopes)
        if some.size == 0:
            return []
        # what has no estimate comes last
        likely = least(np.where(np.isnan(order), np.inf, order), some)
        last = self.sizes.size - 1
        if self.candidate.burn:
            # every one of them is dear
            return [likely, int(some[some.size // 2])] if some.size > MANY else [likely]
        found = [max(likely - 1, 0), likely, min(likely + 1, last)]
        if some.size > 2 * MANY:
            found += some[:: some.size // MANY].tolist()
        elif some.size > len(found) + 2:
            found.append(int(some[some.size // 2]))
        return found

    def _at_the_end(self, having: Bools, allowed: Bools, about: Floats) -> list[int]:
        """Sizes beyond the last allowed one that may be allowed, and the one next to it."""
        last = int(np.flatnonzero(having)[-1])
        beyond = np.flatnonzero(allowed & (np.arange(having.size) > last))
        if beyond.size == 0:
            return [last + 1] if last + 1 < having.size else []
        inside = beyond[about[beyond] <= OVER_FROM]
        edge = int(inside[-1]) if inside.size else int(beyond[0])
        found = [edge, min(edge + 1, having.size - 1)]
        if beyond.size > 4 and not self.candidate.burn:
            found.append(int(beyond[beyond.size // 2]))
        return found

    def _answer(self) -> Answer:
        stage, having, rows = self._stage()
        places = np.flatnonzero(having)
        best = least(rows, places)
        last = None if stage == REFUSED else int(places[-1])
        return Answer(stage, best, last, tuple(rows[best].tolist()))


def _stacked(lines: list[OperatingLine]) -> OperatingLine:
    """Lines of several sizes as one, a further axis before."""
    names = [one.name for one in fields(OperatingLine)]
    return OperatingLine(**{n: np.stack([getattr(one, n) for one in lines]) for n in names})
