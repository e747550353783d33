"""What the compressor study is asked and what it returns: frozen records, arrays read-only."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.map_data import CompressorMap
from engine_model.defaults import PULLEY_SEARCH, PULLEY_SPAN
from engine_model.errors import InputError
from engine_model.inputs import Build
from engine_model.results import Entry, OperatingLine

Floats = NDArray[np.float64]
Interval = tuple[float, float]
Schedule = tuple[tuple[float, float], ...]

TARGET_HEADROOM, POWER, EFFICIENCY = "target_headroom", "power", "efficiency"
AIMS = (TARGET_HEADROOM, POWER, EFFICIENCY)
"""What a study looks for."""

ACCEPTED, SHORT, REFUSED, UNFIT = "accepted", "short", "refused", "unfit"
STANDINGS = (ACCEPTED, SHORT, REFUSED, UNFIT)
"""How a compressor stands: every limit kept; the parts kept and the target missed; no size keeps
the parts; it cannot be fitted or solved."""

EFFICIENCY_ASSUMED, PRESSURE_STATIC = "efficiency_assumed", "pressure_static"
"""Marks of a compressor map: no efficiency, so that one is assumed; pressure total to static."""

FULL, MARKED = "full", "marked"
"""Groups that are ranked apart."""

PULLEY_STEP = 1e-4
"""Distance of the pulleys looked at [m]: whole multiples of it; chosen here."""

BOOST_SEARCH = (2e4, 2.5e5)
"""Range of the highest boost of a free shaft's schedule [Pa gauge]; chosen here."""

BOOST_STEP = 1e3
"""Distance of the boosts looked at [Pa]: whole multiples of it; chosen here."""

_MOST_SIZES = 20_000


@dataclass(frozen=True, slots=True)
class CompressorAim:
    """The question put to the compressor study; candidate maps and days are given beside it.

    Parameters
    ----------
    aim : str
        ``target_headroom``, ``power`` or ``efficiency``.
    blower_pulleys : (float, float)
        Range of outside diameters. [m] 0.04-0.25
    pulley_step : float
        The pulleys are the whole multiples of it in the range. [m]
    crank_pulleys : tuple of float
        Crank pulleys, outside diameters; the build's own where empty. [m]
    ribs : tuple of int
        Rib counts; the build's own where empty. [-]
    boosts : (float, float)
        Range of the highest boost of a free shaft's schedule, in place of the pulley. [Pa gauge]
    boost_step : float
        The boosts are the whole multiples of it in the range. [Pa]
    speeds : tuple of float
        Engine speeds that matter: power is told there. [rpm]
    """

    aim: str = TARGET_HEADROOM
    blower_pulleys: Interval = PULLEY_SPAN
    pulley_step: float = PULLEY_STEP
    crank_pulleys: tuple[float, ...] = ()
    ribs: tuple[int, ...] = ()
    boosts: Interval = BOOST_SEARCH
    boost_step: float = BOOST_STEP
    speeds: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        if self.aim not in AIMS:
            raise InputError("aim", self.aim, "one of " + ", ".join(AIMS))
        least, most = PULLEY_SEARCH
        low, high = self.blower_pulleys
        if not least <= low <= high <= most:
            allowed = f"two diameters, not falling, {least:g} to {most:g} m"
            raise InputError("blower_pulleys", self.blower_pulleys, allowed)
        low, high = self.boosts
        if not 0.0 < low <= high <= 5e5:
            raise InputError("boosts", self.boosts, "two boosts, not falling, above 0 to 5e5 Pa")
        for name, step, (low, high) in (
            ("pulley_step", self.pulley_step, self.blower_pulleys),
            ("boost_step", self.boost_step, self.boosts),
        ):
            if not (step > 0.0 and (high - low) / step <= _MOST_SIZES):
                raise InputError(name, step, f"above 0, at most {_MOST_SIZES} sizes in the range")

    def sizes(self, free_shaft: bool) -> Floats:
        """Sizes looked at, rising: pulleys [m], or highest boosts [Pa] of a free shaft."""
        low, high = self.boosts if free_shaft else self.blower_pulleys
        step = self.boost_step if free_shaft else self.pulley_step
        first, last = int(np.ceil(low / step - 1e-9)), int(np.floor(high / step + 1e-9))
        # through decimal digits, so that a size is the number that is typed for it
        return np.array([round(k * step, 9) for k in range(first, last + 1)])


@dataclass(frozen=True, slots=True)
class Setting:
    """One way to drive a compressor.

    Parameters
    ----------
    blower_pulley, crank_pulley : float
        Outside diameters; nan for a free shaft. [m]
    ribs : int
        Ribs of the belt; 0 for a free shaft.
    boost : float
        Highest boost of the schedule of a free shaft; nan for a belt. [Pa gauge]
    boost_schedule : tuple of (float, float)
        That schedule, share of the limiter [-] and boost [Pa gauge]; empty for a belt.
    """

    blower_pulley: float
    crank_pulley: float
    ribs: int
    boost: float = float("nan")
    boost_schedule: Schedule = ()


@dataclass(frozen=True, slots=True)
class Room:
    """Room left to grow: the last allowed size in the direction of more boost.

    Parameters
    ----------
    setting : Setting
        It, crank pulley and ribs as in the answer.
    wheel_power_peak_w : float
        Highest power at the wheels there, on the day of least, uncorrected. [W]
    gain_w : float
        That less the answer's. [W]
    stop : Entry or None
        What is over one step further; none at the end of the range looked at.
    """

    setting: Setting
    wheel_power_peak_w: float
    gain_w: float
    stop: Entry | None


@dataclass(frozen=True, slots=True, eq=False)
class DayNumbers:
    """What the answer gives on one day.

    Parameters
    ----------
    day : str
        Its name.
    wheel_power_peak_w, flywheel_power_peak_w : float
        Highest on the line, as on the day, uncorrected. [W]
    peak_speed_rpm : float
        Engine speed of the highest power at the wheels. [rpm]
    boost_peak_pa : float
        Highest boost, gauge. [Pa]
    drive_power_peak_w : float
        Highest power that the compressor asks of its drive or shaft. [W]
    weighted_efficiency : float
        Efficiency of the compressor weighted over engine speed. [-]
    wheel_power_at_w : ndarray
        Power at the wheels at the engine speeds that matter. [W]
    tightest : Entry or None
        Limit of the parts used most that day; none where none is judged.
    line : OperatingLine
        The operating line, for thumbnails and for laying over each other.
    """

    day: str
    wheel_power_peak_w: float
    flywheel_power_peak_w: float
    peak_speed_rpm: float
    boost_peak_pa: float
    drive_power_peak_w: float
    weighted_efficiency: float
    wheel_power_at_w: Floats
    tightest: Entry | None
    line: OperatingLine

    def __post_init__(self) -> None:
        self.wheel_power_at_w.flags.writeable = False


@dataclass(frozen=True, slots=True, eq=False)
class CompressorRow:
    """One candidate and its answer.

    Parameters
    ----------
    place : int
        Its place among the candidates, from 0.
    compressor_map : CompressorMap
        The candidate.
    standing : str
        ``accepted``, ``short``, ``refused`` or ``unfit``.
    why : str
        What keeps it from being accepted, in a sentence; empty where it is accepted.
    marks : tuple of str
        ``efficiency_assumed``, ``pressure_static``.
    setting : Setting or None
        Best size under the aim; where no size keeps the parts, that which is over by least; none
        where nothing could be solved.
    tightest : Entry or None
        Limit of the parts used most over the days, on its day.
    shares : tuple of float
        Share used of every judged limit of the parts over the days, the largest first. [-]
    target : Entry or None
        Target as the ledger judges it on its worst day; none where no target is set.
    target_margin_w : float
        Power less target on that day, negative where it is missed; nan without a target. [W]
    wheel_power_peak_w : float
        Highest power at the wheels, on the day of least, uncorrected. [W]
    power_day : str
        That day.
    weighted_efficiency : float
        Weighted over engine speed, on the day of least. [-]
    efficiency_day : str
        That day.
    boost_peak_pa, drive_power_peak_w : float
        Highest over the days. [Pa gauge], [W]
    room : Room or None
        Room left to grow; none where no size keeps the parts.
    days : tuple of DayNumbers
        The answer day by day.
    impeller_limit : float
        Lower of the typed maximum impeller speed and the map's; nan where none is known. [rpm]
    impeller_limit_from : str
        Whose it is: ``build``, ``map``, or empty.
    next_tightest : Entry or None
        Limit used most but the tightest.
    tightest_is_fixed : bool
        Whether the tightest is used alike at every size.
    """

    place: int
    compressor_map: CompressorMap
    standing: str
    why: str
    marks: tuple[str, ...]
    setting: Setting | None = None
    tightest: Entry | None = None
    shares: tuple[float, ...] = ()
    target: Entry | None = None
    target_margin_w: float = float("nan")
    wheel_power_peak_w: float = float("nan")
    power_day: str = ""
    weighted_efficiency: float = float("nan")
    efficiency_day: str = ""
    boost_peak_pa: float = float("nan")
    drive_power_peak_w: float = float("nan")
    room: Room | None = None
    days: tuple[DayNumbers, ...] = ()
    impeller_limit: float = float("nan")
    impeller_limit_from: str = ""
    next_tightest: Entry | None = None
    tightest_is_fixed: bool = False

    @property
    def title(self) -> str:
        """Title of the compressor map."""
        return self.compressor_map.title

    @property
    def group(self) -> str:
        """Group it is ranked in: ``full``, or ``marked`` where the map says less."""
        return MARKED if self.marks else FULL

    @property
    def worst(self) -> DayNumbers | None:
        """The day on which most of a limit is used."""
        named = "" if self.tightest is None else self.tightest.day
        return next((one for one in self.days if one.day == named), None)


@dataclass(frozen=True, slots=True, eq=False)
class CompressorRanking:
    """Candidates ranked under an aim: the full group first, then the marked one.

    Parameters
    ----------
    build : Build
        The build asked about.
    question : CompressorAim
        The question.
    days : tuple of str
        The chosen days.
    rows : tuple of CompressorRow
        Best first within each group; equal ones in the order of the candidates.
    """

    build: Build
    question: CompressorAim
    days: tuple[str, ...]
    rows: tuple[CompressorRow, ...] = field(default=())

    @property
    def winner(self) -> CompressorRow | None:
        """The first accepted row; none where no compressor keeps every limit."""
        return next((row for row in self.rows if row.standing == ACCEPTED), None)


_RANK = {standing: place for place, standing in enumerate(STANDINGS)}


def rank_key(row: CompressorRow, aim: str) -> tuple[float | tuple[float, ...], ...]:
    """Key that sorts rows under an aim, best first.

    Parameters
    ----------
    row : CompressorRow
        A row.
    aim : str
        What is looked for.

    Returns
    -------
    tuple
        Group, standing, then the aim's own numbers: the tightest share and, where it is equal,
        the next; power; or efficiency. Short rows by what is missing to the target, refused ones
        by how far they are over.
    """
    shares = tuple(round(share, 9) for share in row.shares)
    own = {
        TARGET_HEADROOM: shares,
        POWER: (-row.wheel_power_peak_w,),
        EFFICIENCY: (-row.weighted_efficiency,),
    }[aim]
    numbers = {SHORT: (-row.target_margin_w,), REFUSED: shares, UNFIT: ()}.get(row.standing, own)
    last = tuple(np.inf if np.isnan(number) else float(number) for number in numbers)
    return (float(row.group == MARKED), float(_RANK[row.standing]), last, float(row.place))


def ranked(rows: tuple[CompressorRow, ...], aim: str) -> tuple[CompressorRow, ...]:
    """Rows in the order of an aim, whatever the order in which they were finished."""
    return tuple(sorted(rows, key=lambda row: rank_key(row, aim)))
