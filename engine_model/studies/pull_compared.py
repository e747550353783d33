"""A pull beside the build: promised, expected and measured power, runs averaged."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.surface import Surface
from engine_model.dyno.correction import standard_named
from engine_model.dyno.driveline import flywheel_power, wheel_power
from engine_model.errors import InputError
from engine_model.files.pull_record import PullMapping, PullRun
from engine_model.inputs import Build, Day
from engine_model.matching import match_many
from engine_model.results import OperatingLine
from engine_model.studies.averaged_runs import AveragedRuns, averaged_runs
from engine_model.studies.corrected_pull import air_of_day, driveline_of, pull_standards
from engine_model.studies.corrected_records import PullStandards
from engine_model.studies.measured_line import MeasuredLine, measured_line
from engine_model.studies.pull_day import pull_day
from engine_model.studies.reconcile_readings import FEWEST

Floats = NDArray[np.float64]
ByBasis = Mapping[str, Floats]


@dataclass(frozen=True, slots=True, eq=False)
class ComparedRun:
    """One run as on the day, uncorrected.

    Parameters
    ----------
    number : int
        Which run of the file.
    engine_speed_rpm : ndarray
        Engine speeds of its readings, rising. [rpm]
    power_w : mapping of str to ndarray
        Its readings by ``wheel`` and ``flywheel``. [W]
    """

    number: int
    engine_speed_rpm: Floats
    power_w: ByBasis


@dataclass(frozen=True, slots=True, eq=False)
class PullCompared:
    """What was promised, expected and measured, all as on the day of the pull, uncorrected.

    Powers are mappings by ``wheel`` and ``flywheel``; arrays run over ``engine_speed_rpm``.

    Parameters
    ----------
    build : Build
        The build as it stands.
    day : Day
        The day of the pull, station pressure in it.
    day_told : tuple of str
        What of it the log told: any of ``temperature``, ``pressure``, ``relative_humidity``.
    basis : str
        Where the log says it was measured: ``wheel`` or ``flywheel``.
    standard : str
        What the log's power was already corrected to; taken back here.
    width_rpm : float
        Full width of the smoothing. [rpm]
    runs : tuple of ComparedRun
        The runs chosen.
    engine_speed_rpm : ndarray
        Engine speeds of the average. [rpm]
    count : ndarray of int
        How many runs reach each.
    measured_w, low_w, high_w : mapping of str to ndarray
        Mean of the smoothed runs, and a standard deviation between runs either way. [W]
    expected_w : mapping of str to ndarray
        The match in the air of the pull; nan where there is none. [W]
    promised_w : mapping of str to float
        The target; nan where the build has none. [W]
    standards : PullStandards
        The average under every standard.
    line : OperatingLine
        The match in the air of the pull.
    on_map : MeasuredLine or None
        The pull on the compressor map, where its manifold pressure is known.
    """

    build: Build
    day: Day
    day_told: tuple[str, ...]
    basis: str
    standard: str
    width_rpm: float
    runs: tuple[ComparedRun, ...]
    engine_speed_rpm: Floats
    count: NDArray[np.int64]
    measured_w: ByBasis
    low_w: ByBasis
    high_w: ByBasis
    expected_w: ByBasis
    promised_w: Mapping[str, float]
    standards: PullStandards
    line: OperatingLine
    on_map: MeasuredLine | None

    def residual(self, basis: str) -> Floats:
        """Measured over expected less one [-], at the wheels or the flywheel."""
        return np.asarray(self.measured_w[basis] / self.expected_w[basis] - 1.0)


def by_basis(power: Floats, basis: str, build: Build) -> ByBasis:
    """Power at the wheels and at the flywheel, from one of both.

    Parameters
    ----------
    power : ndarray
        Power. [W]
    basis : str
        Where it is: ``wheel`` or ``flywheel``.
    build : Build
        Whose driveline lies between.

    Returns
    -------
    mapping of str to ndarray
        Power by ``wheel`` and ``flywheel``. [W]

    Raises
    ------
    InputError
        For another basis.

    References
    ----------
    Share and constant of :mod:`engine_model.dyno.driveline`; back is a division.

    Examples
    --------
    500 at the wheels with 15 % lost is 588 at the flywheel (common practice, no source):

    >>> from engine_model.inputs import Drive
    >>> build = Build(drive=Drive(kind="none")).with_value("driveline.loss", 0.15)
    >>> round(float(by_basis(np.array(500.0), "wheel", build)["flywheel"]))
    588
    """
    loss = driveline_of(build)
    if basis == "wheel":
        return {"wheel": power, "flywheel": flywheel_power(power, *loss)}
    if basis == "flywheel":
        return {"wheel": wheel_power(power, *loss), "flywheel": power}
    raise InputError("basis", basis, "wheel or flywheel")


def compare_pull(
    runs: Sequence[PullRun],
    build: Build,
    otherwise: Day,
    mapping: PullMapping,
    *,
    width: float = 100.0,
    surface: Surface | None = None,
) -> PullCompared:
    """Pull beside the build.

    Parameters
    ----------
    runs : sequence of PullRun
        Runs of one log, one at least; several are averaged.
    build : Build
        The build.
    otherwise : Day
        Air where the log tells nothing.
    mapping : PullMapping
        How the log was read: the basis of its ambient pressure, and its standard.
    width : float
        Full width of the smoothing. [rpm]
    surface : Surface, optional
        The fitted compressor map.

    Returns
    -------
    PullCompared
        All as on the day, uncorrected. [SI]

    Raises
    ------
    InputError
        Without a run, or where the build cannot be matched.

    References
    ----------
    Mean and sample standard deviation of :mod:`engine_model.studies.averaged_runs`.
    """
    if not runs:
        raise InputError("runs", "none", "one run at least")
    ambient = mapping.use("ambient_pressure")
    day, told = pull_day(runs, otherwise, ambient.basis if ambient else "station")
    air = air_of_day(day)
    factor = float(standard_named(mapping.standard).factor(air))
    basis = runs[0].power_basis
    on_day = [replace(run, power_w=run.power_w / factor) for run in runs]
    average = averaged_runs(on_day, width)
    keep = average.runs > 0
    grid, count = average.engine_speed_rpm[keep], average.runs[keep].astype(np.int64)
    mean, spread = average.mean["power_w"][keep], average.spread["power_w"][keep]
    apart = np.where(np.isfinite(spread), spread, 0.0)
    shown = []
    for run in on_day:
        order = np.argsort(run.engine_speed_rpm, kind="stable")
        power = by_basis(run.power_w[order], basis, build)
        shown.append(ComparedRun(run.number, run.engine_speed_rpm[order], power))
    line = match_many(build, [day], grid, surface=surface).part(0)
    measured = by_basis(mean, basis, build)
    target = np.asarray(np.nan if build.target.power is None else build.target.power)
    promised = by_basis(target, build.target.basis, build)
    return PullCompared(
        build,
        day,
        told,
        basis,
        mapping.standard,
        width,
        tuple(shown),
        grid,
        count,
        measured,
        by_basis(mean - apart, basis, build),
        by_basis(mean + apart, basis, build),
        {"wheel": line.wheel_power_w, "flywheel": line.flywheel_power_w},
        {key: float(value) for key, value in promised.items()},
        pull_standards(grid, mean, basis, day, build, surface=surface),
        line,
        _on_map(build, day, average, on_day[0], surface),
    )


def _on_map(
    build: Build, day: Day, average: AveragedRuns, first: PullRun, surface: Surface | None
) -> MeasuredLine | None:
    """The average on the compressor map; none without a blower, a pressure or enough of it."""
    mean, there = average.mean, average.runs > 0
    pressure = mean.get("manifold_pressure_pa")
    if build.drive.kind == "none" or pressure is None or int(there.sum()) < FEWEST:
        return None
    mixture = mean.get("mixture")
    run = PullRun(
        1,
        first.first_row,
        first.last_row,
        np.flatnonzero(there),
        average.engine_speed_rpm[there],
        mean["power_w"][there],
        first.power_basis,
        manifold_pressure_pa=pressure[there],
        manifold_basis=first.manifold_basis,
        mixture=None if mixture is None else mixture[there],
    )
    return measured_line(build, day, run, surface=surface)
