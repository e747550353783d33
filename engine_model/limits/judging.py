"""What a check is given and what it returns."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from engine_model.belt_run import (
    BeltRun,
    belt_run,
    belt_tension_base,
    grip_at,
    grip_is_known,
    tensions_at,
)
from engine_model.compressor.map_data import CompressorMap
from engine_model.drive.belt_grip import belt_speed
from engine_model.inputs import Build
from engine_model.results import LineKnock, OperatingLine
from engine_model.sections import Drive

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class JudgedBelt:
    """The belt of solved lines.

    Parameters
    ----------
    run : BeltRun
        How it runs; of the lines' leading axes or of none.
    speed : ndarray
        Belt speed along the lines. [m/s]
    speed_at_limiter : ndarray
        Belt speed at the limiter; leading axes and day, or none. [m/s]
    crank_diameter, blower_diameter : ndarray
        Outside diameters; leading axes and day, or none. [m]
    grip, centrifugal : ndarray or None
        Largest effective tension and centrifugal tension along the lines; none where the
        figures that they need are not known. [N]
    tensions : ndarray or None
        Actual tensions of the spans that leave each pulley; last axis pulleys. [N]
    """

    run: BeltRun
    speed: Floats
    speed_at_limiter: Floats
    crank_diameter: Floats
    blower_diameter: Floats
    grip: Floats | None = None
    centrifugal: Floats | None = None
    tensions: Floats | None = None

    @staticmethod
    def of(build: Build, crank: Floats, blower: Floats, line: OperatingLine) -> JudgedBelt:
        """Belt of a build along lines that were solved with these pulleys [m]."""
        drive = build.drive
        pitch = crank + 2.0 * drive.pitch_line
        speed = belt_speed(pitch[..., None], line.engine_speed_rpm)
        at_limiter = belt_speed(pitch, build.engine.limiter)
        belt = JudgedBelt(belt_run(build, crank, blower), speed, at_limiter, crank, blower)
        return belt.on_line(drive, line) if grip_is_known(drive) else belt

    def on_line(self, drive: Drive, line: OperatingLine) -> JudgedBelt:
        """Return the same belt, its grip known, with its tensions on other lines."""
        run = self.run.along_speed()
        grip = grip_at(drive, run, self.speed) if self.grip is None else self.grip
        _, away = belt_tension_base(drive, self.speed)
        tensions = tensions_at(drive, run, line.belt_effective_tension_n, self.speed)
        return replace(self, grip=grip, centrifugal=away, tensions=tensions)


@dataclass(frozen=True, slots=True, eq=False)
class Judged:
    """Solved lines with what the checks need besides; axes (..., day, engine speed).

    Parameters
    ----------
    build : Build
        The build.
    line : OperatingLine
        The lines; the limiter is always among their engine speeds.
    ambient_temperature : ndarray
        Of each day. [K]
    ambient_pressure : ndarray
        Of each day. [Pa]
    day_names : tuple of str
        Names of the days.
    impeller_at_limiter, impeller_at_over_rev : ndarray
        Impeller speed without slip, leading axes and day; nan where there is none. [rpm]
    assumed, inputs : int
        Number of assumed inputs, and of all.
    heating_value : float
        Lower heating value of the fuel. [J/kg]
    belt : JudgedBelt or None
        The belt; none where there is none.
    line_without_slip : OperatingLine or None
        The lines with no slip of the belt, where it slips anywhere.
    knock, knock_without_slip : LineKnock or None
        Estimates of knock along both; none where they are not made, as in studies.
    """

    build: Build
    line: OperatingLine
    ambient_temperature: Floats
    ambient_pressure: Floats
    day_names: tuple[str, ...]
    impeller_at_limiter: Floats
    impeller_at_over_rev: Floats
    assumed: int
    inputs: int
    heating_value: float
    belt: JudgedBelt | None = None
    line_without_slip: OperatingLine | None = None
    knock: LineKnock | None = None
    knock_without_slip: LineKnock | None = None

    @property
    def lead_shape(self) -> tuple[int, ...]:
        """Shape of a verdict: everything but engine speed."""
        return self.line.air_flow_kg_s.shape[:-1]

    @property
    def compressor_map(self) -> CompressorMap | None:
        """The compressor map, where the build has a blower at work."""
        return None if self.build.drive.kind == "none" else self.build.blower.compressor_map


@dataclass(frozen=True, slots=True, eq=False)
class Verdict:
    """Shares used and the numbers behind them, one a line; leading axes and day.

    Parameters
    ----------
    used : ndarray
        Share of the limit; nan where it cannot be judged. [-]
    value, bound : ndarray
        What is judged against what, SI.
    engine_speed : ndarray
        Where it is tightest; nan where it belongs to no speed. [rpm]
    basis : str
        How it was judged.
    without_slip : ndarray of bool or None
        Where the line with no belt slip was the worse one; none where both are the same.
    numbers : dict of str to ndarray
        Further numbers to tell, SI, the unit in the name.
    """

    used: Floats
    value: Floats
    bound: Floats
    engine_speed: Floats
    basis: str
    without_slip: NDArray[np.bool_] | None = None
    numbers: dict[str, Floats] = field(default_factory=dict)


Judge = Callable[[Judged], Verdict]


@dataclass(frozen=True, slots=True)
class Check:
    """One row of the ledger.

    Parameters
    ----------
    code : str
        Stable name.
    part : str
        ``parts``, ``target`` or ``trust``.
    unit : str
        Unit of value and bound.
    judge : callable
        The function.
    in_span : bool
        Whether it stops a pulley in the pulley span.
    span_bound : str
        A limit whose estimate is dear stops a pulley where this bound of the build is set.
    slip_counts : bool
        Whether it is judged with the slip found alone. Slip protects no part, so that parts
        are judged with the slip found and with none, and the worse counts.
    """

    code: str
    part: str
    unit: str
    judge: Judge
    in_span: bool = True
    slip_counts: bool = False
    span_bound: str = ""

    def stops_pulley(self, build: Build) -> bool:
        """Whether it stops a pulley in the pulley span of a build."""
        if self.span_bound:
            return build.value(self.span_bound) is not None
        return self.in_span

    @property
    def twice(self) -> bool:
        """Whether it is judged with the slip found and with none."""
        return self.part == "parts" and not self.slip_counts


def worst(
    judged: Judged, used: Floats, value: Floats, bound: Floats | float, basis: str
) -> Verdict:
    """Verdict at the engine speed where most is used; nan points do not count.

    Parameters
    ----------
    judged : Judged
        The lines.
    used, value : ndarray
        Along the lines. [-], SI
    bound : ndarray or float
        What is judged against, SI.
    basis : str
        How it was judged.

    Returns
    -------
    Verdict
        One number a line; nan where no point of it can be judged. SI
    """
    lead, columns = used.shape[:-1], used.shape[-1]
    flat = used.reshape(-1, columns)
    index = np.argmax(np.where(np.isnan(flat), -np.inf, flat), axis=-1)
    rows = np.arange(flat.shape[0])

    def at(array: Floats) -> Floats:
        whole = array if array.shape == used.shape else np.broadcast_to(array, used.shape)
        return np.asarray(whole.reshape(-1, columns)[rows, index].reshape(lead))

    top = at(used)
    none = np.isnan(top)
    speed = np.where(none, np.nan, at(judged.line.engine_speed_rpm))
    value_at = np.where(none, np.nan, at(value))
    bound_at = np.full(lead, bound) if np.ndim(bound) == 0 else at(np.asarray(bound))
    return Verdict(top, value_at, bound_at, speed, basis)


def at_worst(used: Floats, array: Floats) -> Floats:
    """Values of an array where a share is highest on each line, as :func:`worst` picks it."""
    index = np.argmax(np.where(np.isnan(used), -np.inf, used), axis=-1)[..., None]
    return np.asarray(np.take_along_axis(array, index, axis=-1)[..., 0])


def blank(judged: Judged, basis: str) -> Verdict:
    """Verdict of a limit that is not judged."""
    nothing = np.full(judged.lead_shape, np.nan)
    return Verdict(nothing, nothing, nothing, nothing, basis)


def single(
    judged: Judged, value: Floats | float, bound: float, engine_speed: float, basis: str
) -> Verdict:
    """Verdict of a single number against a bound, by their ratio."""
    number = np.broadcast_to(np.asarray(value, dtype=float), judged.lead_shape)
    whole = np.full(judged.lead_shape, bound)
    return Verdict(number / whole, number, whole, np.full(judged.lead_shape, engine_speed), basis)


def share_used(value: Floats, rest: Floats | float, bound: Floats | float) -> Floats:
    """(value - rest)/(bound - rest); infinite where the bound is at or under its rest."""
    room = np.asarray(bound, dtype=float) - rest
    with np.errstate(divide="ignore", invalid="ignore"):
        used = (value - rest) / room
    return np.asarray(np.where(np.isnan(value), np.nan, np.where(room <= 0.0, np.inf, used)))
