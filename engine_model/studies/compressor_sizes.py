"""One candidate on one crank pulley and belt, judged at any sizes on every chosen day.

Without belt slip: what slips is over by its grip, and elsewhere nothing slips.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.map_data import CompressorMap
from engine_model.compressor.surface import Surface
from engine_model.errors import InputError
from engine_model.inputs import Build, Day, Variation
from engine_model.knock_line import knock_of_line, knock_plan
from engine_model.limits.judging import Check, Verdict
from engine_model.limits.ledger import CHECKS, entry_of
from engine_model.line_judging import judged_lines
from engine_model.matching import default_engine_speeds, match_many
from engine_model.results import Entry, OperatingLine
from engine_model.studies.compressor_records import CompressorAim, Schedule, Setting
from engine_model.studies.span_cases import NO_BALANCE_CHECK, no_balance

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

NO_STEP_UP = 1.0
"""Step-up of a compressor map without a gear of its own."""


@dataclass(frozen=True, slots=True, eq=False)
class Sizes:
    """Sizes judged in one call.

    Parameters
    ----------
    line : OperatingLine
        Lines of axes (size, day, engine speed).
    verdicts : tuple of Verdict
        One a limit of the candidate, axes (size, day); those of knock left out.
    """

    line: OperatingLine
    verdicts: tuple[Verdict, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Candidate:
    """A build with a candidate's compressor map, one crank pulley and one belt.

    Parameters
    ----------
    build : Build
        The build.
    days : tuple of Day
        The chosen days.
    surface : Surface
        The fitted compressor map.
    engine_speeds : ndarray
        Engine speeds of its lines, the limiter among them. [rpm]
    checks : tuple of Check
        What is judged of every size: parts and target, then that every point is solved.
    burn : tuple of Check
        Limits that need the estimate of knock; only those with a bound.
    """

    build: Build
    days: tuple[Day, ...]
    surface: Surface | None
    engine_speeds: Floats
    checks: tuple[Check, ...]
    burn: tuple[Check, ...]

    @staticmethod
    def of(build: Build, days: Sequence[Day], surface: Surface | None) -> Candidate:
        """Candidate of a build that has its compressor map already."""
        checks = tuple(
            c for c in CHECKS if c.in_span and not c.span_bound and c.part in ("parts", "target")
        )
        burn = tuple(c for c in CHECKS if c.span_bound and c.stops_pulley(build))
        speeds = default_engine_speeds(build)
        return Candidate(build, tuple(days), surface, speeds, (*checks, NO_BALANCE_CHECK), burn)

    @property
    def free_shaft(self) -> bool:
        """Whether a boost stands in the place of the pulley."""
        return self.build.drive.kind == "free_shaft"

    def judge(self, sizes: Floats) -> Sizes:
        """Lines and verdicts of sizes: pulleys [m], or boosts [Pa] of a free shaft."""
        # a compressor far too small or large has points where nothing is
        with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
            return self._judge(sizes)

    def _judge(self, sizes: Floats) -> Sizes:
        build, speeds = self.build, self.engine_speeds
        lead = (sizes.size, len(self.days))
        if self.free_shaft:
            asked = np.stack([self._asked(size) for size in sizes.tolist()])
            varied = Variation(boost_gauge=np.broadcast_to(asked[:, None], (*lead, speeds.size)))
            line = match_many(build, self.days, speeds, varied, surface=self.surface)
            judged = judged_lines(build, self.days, line)
        else:
            diameters = np.repeat(sizes[:, None], lead[1], axis=1)
            varied = Variation(blower_pulley_diameter=diameters[..., None], slip=np.zeros((1, 1)))
            line = match_many(build, self.days, speeds, varied, surface=self.surface)
            judged = judged_lines(build, self.days, line, diameters)
        verdicts = [check.judge(judged) for check in self.checks[:-1]]
        parts = [v for c, v in zip(self.checks, verdicts, strict=False) if c.part == "parts"]
        return Sizes(line, (*verdicts, no_balance(line, parts)))

    def _asked(self, boost: float) -> Floats:
        table = np.array(scaled_schedule(self.build, boost))
        share = self.engine_speeds / self.build.engine.limiter
        return np.asarray(np.interp(share, table[:, 0], table[:, 1]))

    def judge_burn(self, line: OperatingLine) -> tuple[Verdict, ...]:
        """Verdicts of the limits that need the estimate of knock, of lines of any axes."""
        plan = knock_plan(self.build, self.engine_speeds)
        judged = replace(
            judged_lines(self.build, self.days, line), knock=knock_of_line(plan, line, False)
        )
        return tuple(check.judge(judged) for check in self.burn)

    def setting(self, size: float) -> Setting:
        """How a size drives the compressor."""
        drive = self.build.drive
        if self.free_shaft:
            nothing = float("nan")
            return Setting(nothing, nothing, 0, size, scaled_schedule(self.build, size))
        return Setting(size, drive.crank_pulley_diameter, drive.ribs)

    def entries(
        self, checks: Sequence[Check], verdicts: Sequence[Verdict], day: int
    ) -> tuple[Entry, ...]:
        """Entries on one day of verdicts of one size, those not judged left out."""
        found = (
            entry_of(check, verdict, day, self.days[day].name)
            for check, verdict in zip(checks, verdicts, strict=True)
        )
        return tuple(e for e in found if e.state != "blank")


def verdict_at(verdict: Verdict, place: int) -> Verdict:
    """Verdict of one size of a call, axis (day)."""
    whole = (verdict.used, verdict.value, verdict.bound, verdict.engine_speed)
    used, value, bound, speed = (np.asarray(array)[place] for array in whole)
    numbers = {name: np.asarray(array)[place] for name, array in verdict.numbers.items()}
    return Verdict(used, value, bound, speed, verdict.basis, numbers=numbers)


def with_candidate(build: Build, compressor_map: CompressorMap) -> Build:
    """Build with a candidate's compressor map.

    A typed maximum impeller speed stays: the lower of it and the map's binds. A typed step-up
    stays where the candidate has none of its own; else it goes back to blank, which takes the
    candidate's.
    """
    blower = build.blower
    if compressor_map == blower.compressor_map:
        return build
    other = replace(blower, compressor_map=compressor_map)
    if compressor_map.built_in_step_up == NO_STEP_UP:
        return replace(build, blower=other)
    given = build.given - {"blower.step_up"}
    return replace(build, blower=replace(other, step_up=None), given=given)


def scaled_schedule(build: Build, boost: float) -> Schedule:
    """Boost schedule of a free shaft, every boost by one factor, its highest as given [Pa]."""
    shares, values = np.array(build.drive.boost_schedule).T
    scaled = values * (boost / float(np.max(values)))
    return tuple((float(a), float(b)) for a, b in zip(shares, scaled, strict=True))


def check_drive(build: Build) -> None:
    """Raise an :class:`InputError` where a build has no size to look for."""
    drive = build.drive
    if drive.kind == "none":
        raise InputError("drive.kind", drive.kind, "belt or free_shaft, to compare compressors")
    if drive.kind != "free_shaft":
        return
    if drive.boost_schedule_basis == "absolute":
        allowed = "gauge, for a schedule that is scaled"
        raise InputError("drive.boost_schedule_basis", drive.boost_schedule_basis, allowed)
    highest = max(value for _, value in drive.boost_schedule)
    if not highest > 0.0:
        raise InputError("drive.boost_schedule", highest, "a schedule with boost")


def combinations(build: Build, question: CompressorAim) -> list[Build]:
    """Builds of every crank pulley and rib count asked for; the build's own where none is."""
    if build.drive.kind == "free_shaft":
        return [build]
    cranks = question.crank_pulleys or (build.drive.crank_pulley_diameter,)
    ribs = question.ribs or (build.drive.ribs,)
    return [_driven(build, float(crank), int(count)) for crank in cranks for count in ribs]


def _driven(build: Build, crank: float, ribs: int) -> Build:
    drive = build.drive
    changes: dict[str, object] = {}
    if crank != drive.crank_pulley_diameter:
        changes["drive.crank_pulley_diameter"] = crank
    if ribs != drive.ribs:
        changes["drive.ribs"] = ribs
    return build.with_values(changes) if changes else build
