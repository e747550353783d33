"""What the pulley span returns: frozen records, arrays read-only."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from engine_model.inputs import Build
from engine_model.results import Entry

Floats = NDArray[np.float64]
Interval = tuple[float, float]

AS_BUILT, STUCK_SHUT = "as built", "bypass stuck shut"
"""The states in which a build is judged."""

NO_BALANCE = "no_balance"
"""Code of the stretches where a line has points without a solution and no limit says so."""


@dataclass(frozen=True, slots=True)
class WorstCase:
    """Worst cases that the span must hold; the bypass is taken together with the freezing day.

    Parameters
    ----------
    bypass_stuck_shut : bool
        Whether the parts must stand the boost without the bypass's cap, on every chosen day and
        on the freezing day.
    missed_shift : bool
        Whether impeller speed and tip speed are judged at the over-rev; else at the limiter.
    """

    bypass_stuck_shut: bool = False
    missed_shift: bool = True


@dataclass(frozen=True, slots=True)
class Stop:
    """What a pulley meets just beyond an edge.

    Parameters
    ----------
    diameter : float
        The edge. [m]
    smaller : bool
        Whether the limit is over on the side of the smaller pulleys.
    case : str
        State of the build.
    days : tuple of str
        Days on which the same limit has the same edge; the entry is of the first.
    entry : Entry
        The ledger's entry there.
    """

    diameter: float
    smaller: bool
    case: str
    days: tuple[str, ...]
    entry: Entry


@dataclass(frozen=True, slots=True)
class Allowed:
    """One stretch of allowed pulleys.

    Parameters
    ----------
    low, high : float
        Smallest and largest diameter. [m]
    smaller, larger : Stop or None
        What stops it at either end; none at the end of the range searched.
    """

    low: float
    high: float
    smaller: Stop | None
    larger: Stop | None


@dataclass(frozen=True, slots=True, eq=False)
class LimitBar:
    """One limit on one day along the pulley.

    Parameters
    ----------
    code, part : str
        The limit, and its part of the ledger.
    case, day : str
        State of the build, and the day.
    allowed : tuple of (float, float)
        Diameters where it is not over, the stretches not judged among them. [m]
    blank : tuple of (float, float)
        Diameters where it is not judged. [m]
    basis : str
        How it is judged, or why not.
    edges : tuple of Stop
        Where it goes over or comes back, rising.
    used : ndarray
        Share used at the diameters of the curves; nan where not judged. [-]
    """

    code: str
    part: str
    case: str
    day: str
    allowed: tuple[Interval, ...]
    blank: tuple[Interval, ...]
    basis: str
    edges: tuple[Stop, ...]
    used: Floats

    def __post_init__(self) -> None:
        self.used.flags.writeable = False


@dataclass(frozen=True, slots=True)
class LimitRow:
    """One limit over all days: what it alone allows.

    Parameters
    ----------
    code, part, case : str
        The limit, its part of the ledger, and the state of the build.
    allowed : tuple of Allowed
        What it alone allows on every day.
    """

    code: str
    part: str
    case: str
    allowed: tuple[Allowed, ...]


@dataclass(frozen=True, slots=True)
class NotJudged:
    """A limit that is judged nowhere, and why."""

    code: str
    basis: str


@dataclass(frozen=True, slots=True)
class Conflict:
    """Limits that leave no pulley together.

    Parameters
    ----------
    members : tuple of (str, str, str)
        Code, day and case of each.
    gap : float
        How far apart the nearest pulleys of two lie; nan where one alone or three are needed. [m]
    """

    members: tuple[tuple[str, str, str], ...]
    gap: float


@dataclass(frozen=True, slots=True)
class JudgedPulley:
    """One pulley: of the shelf, or the present one.

    Parameters
    ----------
    diameter : float
        Outside diameter. [m]
    state : str
        The worst state of its limits over all days.
    case : str
        State of the build of the tightest.
    entry : Entry or None
        The tightest limit; none where no limit is judged.
    """

    diameter: float
    state: str
    case: str
    entry: Entry | None


@dataclass(frozen=True, slots=True, eq=False)
class PulleyCurves:
    """Power and boost against the pulley, build as it is; axes (day, pulley).

    Parameters
    ----------
    days : tuple of str
        The days.
    diameter : ndarray
        Outside diameters. [m]
    wheel_power_peak_w, flywheel_power_peak_w : ndarray
        Highest on the line, as on the day, uncorrected. [W]
    wheel_power_limiter_w, flywheel_power_limiter_w : ndarray
        At the limiter. [W]
    boost_peak_pa, boost_limiter_pa : ndarray
        Highest on the line, and at the limiter, gauge. [Pa]
    """

    days: tuple[str, ...]
    diameter: Floats
    wheel_power_peak_w: Floats
    wheel_power_limiter_w: Floats
    flywheel_power_peak_w: Floats
    flywheel_power_limiter_w: Floats
    boost_peak_pa: Floats
    boost_limiter_pa: Floats

    def __post_init__(self) -> None:
        for one in fields(self):
            if one.name != "days":
                getattr(self, one.name).flags.writeable = False


@dataclass(frozen=True, slots=True, eq=False)
class PulleySpan:
    """The blower pulleys that keep every limit on every chosen day, without belt slip.

    Parameters
    ----------
    build : Build
        The build asked about.
    days : tuple of str
        The chosen days.
    search : (float, float)
        Range of diameters looked at. [m]
    worst : WorstCase
        The worst cases switched on.
    allowed : tuple of Allowed
        The span: none, one or several stretches.
    bars : tuple of LimitBar
        Every judged limit on every day.
    rows : tuple of LimitRow
        Every judged limit over all days.
    not_judged : tuple of NotJudged
        Limits judged nowhere.
    conflicts : tuple of Conflict
        Where nothing is allowed: limits that exclude each other, the widest gap first.
    shelf : tuple of JudgedPulley
        The pulleys of the shelf, in its order.
    present : JudgedPulley
        The build's own pulley.
    curves : PulleyCurves
        Power and boost against the pulley.
    """

    build: Build
    days: tuple[str, ...]
    search: Interval
    worst: WorstCase
    allowed: tuple[Allowed, ...]
    bars: tuple[LimitBar, ...]
    rows: tuple[LimitRow, ...]
    not_judged: tuple[NotJudged, ...]
    conflicts: tuple[Conflict, ...]
    shelf: tuple[JudgedPulley, ...]
    present: JudgedPulley
    curves: PulleyCurves
