"""The pulley span: which blower pulleys keep every limit on every chosen day, and what stops them.

Found without belt slip. Limits are judged on the ledger's own lines; the edges are roots.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.surface import Surface
from engine_model.defaults import PULLEY_SEARCH, PULLEY_SPAN
from engine_model.errors import InputError
from engine_model.inputs import Build, Day
from engine_model.limits.judging import Verdict
from engine_model.limits.ledger import state_of
from engine_model.matching import default_engine_speeds
from engine_model.problem import surface_of
from engine_model.results import Entry, OperatingLine
from engine_model.studies.span_cases import Case, cases_of, go_on
from engine_model.studies.span_conflicts import conflicts_of
from engine_model.studies.span_edges import Track, find_tracks, intersection
from engine_model.studies.span_records import (
    NO_BALANCE,
    Allowed,
    JudgedPulley,
    LimitBar,
    LimitRow,
    NotJudged,
    PulleyCurves,
    PulleySpan,
    Stop,
    WorstCase,
)

Floats = NDArray[np.float64]
Interval = tuple[float, float]

STEP = 0.03
"""Step of the diameters first looked at, relative [-]."""

BEYOND = 2e-7
"""How far beyond an edge its entry is made [m]."""

SAME = 1e-7
"""Edges nearer than this are the same [m]."""

_AS_ASKED = WorstCase()


def pulley_span(
    build: Build,
    days: Sequence[Day] | None = None,
    *,
    search: Interval | None = None,
    worst: WorstCase = _AS_ASKED,
    surface: Surface | None = None,
    on_step: Callable[[], None] = go_on,
) -> PulleySpan:
    """Blower pulleys that keep every limit on every chosen day, without belt slip.

    Parameters
    ----------
    build : Build
        A belt-driven build.
    days : sequence of Day, optional
        The chosen days; every day the build knows unless given.
    search : (float, float), optional
        Range of diameters looked at; 45 to 130 mm, widened to the present pulley and to those
        of the shelf, unless given. [m] 0.04-0.25
    worst : WorstCase
        The worst cases switched on.
    surface : Surface, optional
        The fitted compressor map, where the caller has it.
    on_step : callable
        Called before every call of the match; what it raises ends the study.

    Returns
    -------
    PulleySpan
        The span, what stops it at either end, every limit on every day, the pulleys of the
        shelf, and power and boost against the pulley. Edges are within a micrometre; [m].

    Raises
    ------
    InputError
        For a build without a belt, no days, or a range that cannot be.

    References
    ----------
    As ``match_many``; roots by Chandrupatla's method.
    """
    if build.drive.kind != "belt":
        raise InputError("drive.kind", build.drive.kind, "belt, to ask for pulleys")
    chosen = tuple(build.known_days().values() if days is None else days)
    if not chosen:
        raise InputError("days", 0, "one day or more")
    names = [day.name for day in chosen]
    if len(set(names)) != len(names):
        raise InputError("days", names, "days of different names")
    low, high = _range(build, search)
    grid = np.geomspace(low, high, int(np.ceil(np.log(high / low) / STEP)) + 1)
    speeds = default_engine_speeds(build)
    cases = cases_of(build, chosen, worst, speeds, surface_of(build, surface), on_step)
    pulleys = np.array([build.drive.blower_pulley_diameter, *build.shelf.pulleys])
    judged = [_JudgedCase.of(case, grid, pulleys) for case in cases]
    bars = tuple(bar for one in judged for bar in one.bars())
    kept = tuple(bar for bar in bars if not _wholly_blank(bar))
    allowed = _allowed(kept, (low, high))
    if any(bar.code == NO_BALANCE and bar.edges for bar in kept):
        shown = kept
    else:
        shown = tuple(bar for bar in kept if bar.code != NO_BALANCE)
    found = [_judged_pulley(judged, k) for k in range(pulleys.size)]
    return PulleySpan(
        build,
        tuple(names),
        (low, high),
        worst,
        allowed,
        shown,
        _rows(shown, (low, high)),
        _not_judged(bars),
        () if allowed else conflicts_of(kept),
        tuple(found[1:]),
        found[0],
        judged[0].curves,
    )


def _range(build: Build, search: Interval | None) -> Interval:
    """Range of diameters looked at, or an :class:`InputError` [m]."""
    least, most = PULLEY_SEARCH
    if search is None:
        sizes = (build.drive.blower_pulley_diameter, *build.shelf.pulleys)
        low, high = min(PULLEY_SPAN[0], *sizes), max(PULLEY_SPAN[1], *sizes)
        return max(low, least), min(high, most)
    low, high = search
    if not least <= low < high <= most:
        raise InputError("search", search, f"two diameters, rising, {least:g} to {most:g} m")
    return float(low), float(high)


@dataclass(frozen=True, slots=True, eq=False)
class _JudgedCase:
    """A case with its edges and what the ledger says beyond each, and its single pulleys."""

    case: Case
    tracks: tuple[tuple[Track, ...], ...]
    used: Floats
    verdicts: list[Verdict]
    edge_verdicts: list[Verdict]
    pulley_diameters: Floats
    pulley_verdicts: list[Verdict]
    curves: PulleyCurves

    @staticmethod
    def of(case: Case, grid: Floats, pulleys: Floats) -> _JudgedCase:
        days = len(case.days)
        line, verdicts = case.judge(np.repeat(grid[:, None], days, axis=1), case.days)
        used = np.stack([v.used for v in verdicts])
        usual = len(case.checks) + 1
        tracks = find_tracks(case.used, grid, used[:usual])
        if case.dear:
            tracks += find_tracks(case.used_of_dear, grid, used[usual:])
        # one call for the entries beyond all edges, and for the single pulleys
        beyond = [
            [x for row in tracks for x in _beyond(row[day])] or [grid[0]] for day in range(days)
        ]
        most = max(len(column) for column in beyond)
        table = np.stack([np.pad(c, (0, most - len(c)), mode="edge") for c in beyond], axis=1)
        together = np.concatenate([table, np.repeat(pulleys[:, None], days, axis=1)])
        _, last = case.judge(together, case.days)
        edges = [_part(v, slice(0, most)) for v in last]
        singles = [_part(v, slice(most, None)) for v in last]
        return _JudgedCase(
            case,
            tracks,
            used,
            verdicts,
            edges,
            pulleys,
            singles,
            _curves(line, grid, case.days),
        )

    def bars(self) -> list[LimitBar]:
        """Every limit on every day."""
        found = []
        place = [0] * len(self.case.days)
        stops: dict[tuple[int, int], list[Stop]] = {}
        for limit, row in enumerate(self.tracks):
            for day, track in enumerate(row):
                mine = stops.setdefault((limit, day), [])
                over = track.over_first
                for edge in track.edges:
                    entry = self.case.entry(self.edge_verdicts, limit, place[day], day)
                    names = (self.case.days[day].name,)
                    mine.append(Stop(edge, over, self.case.name, names, entry))
                    place[day] += 1
                    over = not over
        for limit, check in enumerate(self.case.all_checks):
            for day, one in enumerate(self.case.days):
                track = self.tracks[limit][day]
                found.append(
                    LimitBar(
                        check.code,
                        check.part,
                        self.case.name,
                        one.name,
                        track.allowed,
                        track.blank,
                        self.verdicts[limit].basis,
                        tuple(stops[limit, day]),
                        self.used[limit, :, day].copy(),
                    )
                )
        return found

    def entries(self, pulley: int) -> list[Entry]:
        """Entries of a single pulley, every limit on every day, those not judged left out."""
        days, limits = range(len(self.case.days)), range(len(self.case.all_checks))
        every = [
            self.case.entry(self.pulley_verdicts, limit, pulley, day)
            for limit in limits
            for day in days
        ]
        return [e for e in every if e.state != "blank" and (e.code != NO_BALANCE or e.used > 1.0)]


def _beyond(track: Track) -> list[float]:
    """Diameters a little beyond each edge, on the side where the limit is over [m]."""
    found, over = [], track.over_first
    for edge in track.edges:
        found.append(edge - BEYOND if over else edge + BEYOND)
        over = not over
    return found


def _part(verdict: Verdict, key: slice) -> Verdict:
    whole = (verdict.used, verdict.value, verdict.bound, verdict.engine_speed)
    used, value, bound, speed = (np.asarray(a)[key] for a in whole)
    numbers = {name: np.asarray(array)[key] for name, array in verdict.numbers.items()}
    return Verdict(used, value, bound, speed, verdict.basis, numbers=numbers)


def _curves(line: OperatingLine, grid: Floats, days: Sequence[Day]) -> PulleyCurves:
    """Power and boost against the pulley, from lines of axes (pulley, day, engine speed)."""

    def peak(values: Floats) -> Floats:
        known = np.max(np.where(np.isnan(values), -np.inf, values), axis=-1)
        return np.where(np.isinf(known), np.nan, known).T

    def last(values: Floats) -> Floats:
        return values[..., -1].T.copy()

    wheel, flywheel, boost = line.wheel_power_w, line.flywheel_power_w, line.boost_gauge_pa
    return PulleyCurves(
        tuple(day.name for day in days),
        grid.copy(),
        peak(wheel),
        last(wheel),
        peak(flywheel),
        last(flywheel),
        peak(boost),
        last(boost),
    )


def _wholly_blank(bar: LimitBar) -> bool:
    return not bar.edges and bool(np.all(np.isnan(bar.used)))


def _allowed(bars: Sequence[LimitBar], whole: Interval) -> tuple[Allowed, ...]:
    """What a set of bars allows together, and what stops it at either end."""
    stops = [stop for bar in bars for stop in bar.edges]
    return tuple(
        Allowed(low, high, _stop(stops, low, True), _stop(stops, high, False))
        for low, high in intersection([bar.allowed for bar in bars], whole)
    )


def _stop(stops: Sequence[Stop], edge: float, smaller: bool) -> Stop | None:
    """The first limit of the ledger with an edge there, with all its days."""
    there = [s for s in stops if s.smaller is smaller and abs(s.diameter - edge) <= SAME]
    if not there:
        return None
    first = there[0]
    same = [s for s in there if (s.case, s.entry.code) == (first.case, first.entry.code)]
    days = tuple(name for s in same for name in s.days)
    return Stop(first.diameter, smaller, first.case, days, first.entry)


def _rows(bars: Sequence[LimitBar], whole: Interval) -> tuple[LimitRow, ...]:
    found = []
    for case, code in dict.fromkeys((bar.case, bar.code) for bar in bars):
        mine = [bar for bar in bars if (bar.case, bar.code) == (case, code)]
        found.append(LimitRow(code, mine[0].part, case, _allowed(mine, whole)))
    return tuple(found)


def _not_judged(bars: Sequence[LimitBar]) -> tuple[NotJudged, ...]:
    judged = {bar.code for bar in bars if not _wholly_blank(bar)}
    blank = {bar.code: bar.basis for bar in bars if bar.code not in judged}
    return tuple(NotJudged(code, basis) for code, basis in blank.items())


def _judged_pulley(judged: Sequence[_JudgedCase], pulley: int) -> JudgedPulley:
    pairs = [(entry, one.case.name) for one in judged for entry in one.entries(pulley)]
    diameter = float(judged[0].pulley_diameters[pulley])
    if not pairs:
        return JudgedPulley(diameter, "blank", judged[0].case.name, None)
    entry, case = max(pairs, key=lambda pair: pair[0].used)
    return JudgedPulley(diameter, state_of(entry.used), case, entry)
