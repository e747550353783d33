"""A build in one state on its days: every limit of the span judged for any pulleys."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.surface import Surface
from engine_model.inputs import Build, Day, Variation
from engine_model.knock_line import knock_of_line, knock_plan
from engine_model.limits.judging import Check, Judged, Verdict
from engine_model.limits.ledger import CHECKS, entry_of
from engine_model.line_judging import judged_lines
from engine_model.matching import match_many
from engine_model.results import Entry, OperatingLine
from engine_model.studies.span_edges import OVER_FROM
from engine_model.studies.span_records import AS_BUILT, NO_BALANCE, STUCK_SHUT, WorstCase

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

_UNSOLVED = 2.0
"""Share given to lines with points without a solution; any above 1."""


def go_on() -> None:
    """Goes on with the study: nobody counts its steps."""


@dataclass(frozen=True, slots=True, eq=False)
class Case:
    """A build in one state on its days.

    Parameters
    ----------
    name : str
        The state.
    build : Build
        The build in that state.
    days : tuple of Day
        Its days.
    checks : tuple of Check
        What is judged.
    dear : tuple of Check
        What is judged besides and takes the estimate of knock, sought by itself.
    engine_speeds : ndarray
        Engine speeds of its lines. [rpm]
    surface : Surface or None
        Its fitted compressor map.
    on_step : callable
        Called before every call of the match; what it raises ends the study.
    """

    name: str
    build: Build
    days: tuple[Day, ...]
    checks: tuple[Check, ...]
    dear: tuple[Check, ...]
    engine_speeds: Floats
    surface: Surface | None
    on_step: Callable[[], None] = go_on

    def judge(self, diameters: Floats, days: Sequence[Day]) -> tuple[OperatingLine, list[Verdict]]:
        """Lines of diameters [m] (pulleys, days) and the verdict of every check on each."""
        line, judged = self._judged(diameters, days)
        return line, [*self._usual(judged), *self._with_knock(judged)]

    def _judged(self, diameters: Floats, days: Sequence[Day]) -> tuple[OperatingLine, Judged]:
        self.on_step()
        variation = Variation(blower_pulley_diameter=diameters[:, :, None], slip=np.zeros((1, 1)))
        line = match_many(self.build, days, self.engine_speeds, variation, surface=self.surface)
        return line, judged_lines(self.build, days, line, diameters)

    def _usual(self, judged: Judged) -> list[Verdict]:
        verdicts = [check.judge(judged) for check in self.checks]
        return [*verdicts, no_balance(judged.line, verdicts)]

    def _with_knock(self, judged: Judged) -> list[Verdict]:
        if not self.dear:
            return []
        plan = knock_plan(self.build, self.engine_speeds)
        told = replace(judged, knock=knock_of_line(plan, judged.line, remedy=False))
        return [check.judge(told) for check in self.dear]

    def used(self, diameters: Floats, days: Indices) -> Floats:
        """Shares used [-] of diameters [m] (pulleys, days picked): (limits, pulleys, days).

        Of the checks and of lines without a solution.
        """
        _, judged = self._judged(diameters, [self.days[k] for k in days])
        return np.stack([v.used for v in self._usual(judged)])

    def used_of_dear(self, diameters: Floats, days: Indices) -> Floats:
        """Shares used as in :meth:`used`, of the dear checks alone."""
        _, judged = self._judged(diameters, [self.days[k] for k in days])
        return np.stack([v.used for v in self._with_knock(judged)])

    def entry(self, verdicts: list[Verdict], limit: int, pulley: int, day: int) -> Entry:
        """Entry of one limit for one pulley on one day."""
        whole = verdicts[limit]
        used, value, bound, speed = (
            np.asarray(a)[pulley]
            for a in (whole.used, whole.value, whole.bound, whole.engine_speed)
        )
        numbers = {name: np.asarray(array)[pulley] for name, array in whole.numbers.items()}
        one = Verdict(used, value, bound, speed, whole.basis, numbers=numbers)
        return entry_of(self.all_checks[limit], one, day, self.days[day].name)

    @property
    def all_checks(self) -> tuple[Check, ...]:
        """The checks, that of lines without a solution, and the dear ones."""
        return (*self.checks, NO_BALANCE_CHECK, *self.dear)


def _never(_: object) -> Verdict:
    raise NotImplementedError("judged from the verdicts of the other checks")


NO_BALANCE_CHECK = Check(NO_BALANCE, "parts", "-", _never)
"""Stands for the lines without a solution; its verdicts come from :func:`no_balance`."""


def no_balance(line: OperatingLine, verdicts: list[Verdict]) -> Verdict:
    """Lines with points without a solution that no check calls over.

    The ledger counts such points as left of surge or past choke; what it does not judge must
    not pass as allowed.

    Parameters
    ----------
    line : OperatingLine
        The lines; axes (..., day, engine speed). [SI]
    verdicts : list of Verdict
        What every check says of them.

    Returns
    -------
    Verdict
        Share used above 1 where that is so, else 0. [-]
    """
    with np.errstate(invalid="ignore"):
        over = np.any([v.used > OVER_FROM for v in verdicts], axis=0)
    lost = np.isnan(line.air_flow_kg_s)
    some = np.any(lost, axis=-1) & ~over
    first = np.argmax(lost, axis=-1)[..., None]
    speeds = np.broadcast_to(line.engine_speed_rpm, lost.shape)
    at = np.where(some, np.take_along_axis(speeds, first, axis=-1)[..., 0], np.nan)
    nothing = np.full(some.shape, np.nan)
    basis = "engine and compressor do not meet, and no limit says on which side"
    return Verdict(np.where(some, _UNSOLVED, 0.0), nothing, nothing, at, basis)


def cases_of(
    build: Build,
    days: Sequence[Day],
    worst: WorstCase,
    engine_speeds: Floats,
    surface: Surface | None,
    on_step: Callable[[], None] = go_on,
) -> tuple[Case, ...]:
    """The states in which a build is judged, each on its days.

    Parameters
    ----------
    build : Build
        The build.
    days : sequence of Day
        The chosen days.
    worst : WorstCase
        The worst cases switched on.
    engine_speeds : ndarray
        Engine speeds of the lines. [rpm]
    surface : Surface or None
        The fitted compressor map.
    on_step : callable
        As of :class:`Case`.

    Returns
    -------
    tuple of Case
        The build as it is, and with the bypass stuck shut where that is asked and differs: on
        the chosen days where a boost cap is set, and on the freezing day. What was promised is
        promised with the bypass working, so the target is not judged there.
    """
    left_out = {"trust"} if worst.missed_shift else {"trust", "impeller_speed_over_rev"}
    if not worst.missed_shift:
        # no over-rev: what is judged at it is judged at the limiter, once
        build = build.with_value("engine.over_rev", build.engine.limiter)
    stopping = (c for c in CHECKS if c.stops_pulley(build))
    every = tuple(c for c in stopping if not {c.part, c.code} & left_out)
    checks = tuple(c for c in every if not c.span_bound)
    dear = tuple(c for c in every if c.span_bound)
    found = [Case(AS_BUILT, build, tuple(days), checks, dear, engine_speeds, surface, on_step)]
    if worst.bypass_stuck_shut:
        freezing = build.known_days()["freezing"]
        there = tuple(days) if build.bypass.boost_cap is not None else ()
        if freezing not in days:
            there = (*there, freezing)
        if there:
            shut = build.with_value("bypass.boost_cap", None)
            parts = tuple(c for c in checks if c.part == "parts")
            words = (STUCK_SHUT, shut, there, parts, dear, engine_speeds, surface, on_step)
            found.append(Case(*words))
    return tuple(found)
