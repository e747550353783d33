"""A pull beside the build: promised, expected and measured power, runs averaged."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.surface import Surface
from engine_model.dyno.correction import standard_named
from engine_model.dyno.driveline import flywheel_power, wheel_power
from engine_model.errors import InputError
from engine_model.files.pull_log import smoothed_run
from engine_model.files.pull_record import PullMapping, PullRun
from engine_model.inputs import Build, Day
from engine_model.matching import match_many
from engine_model.results import OperatingLine
from engine_model.studies.corrected_pull import air_of_day, driveline_of, pull_standards
from engine_model.studies.corrected_records import PullStandards
from engine_model.studies.pull_day import pull_day
from engine_model.studies.pull_on_map import MeasuredOnMap, pull_on_map

Floats = NDArray[np.float64]
ByBasis = Mapping[str, Floats]

BASES: Final = ("wheel", "flywheel")

GRID_STEP: Final = 25.0
"""Step of the engine speeds at which runs are averaged. [rpm]"""


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
    smoothed_w : mapping of str to ndarray
        The same, smoothed. [W]
    """

    number: int
    engine_speed_rpm: Floats
    power_w: ByBasis
    smoothed_w: ByBasis


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
    measured_w, lowest_w, highest_w : mapping of str to ndarray
        Mean of the smoothed runs, and their lowest and highest. [W]
    expected_w : mapping of str to ndarray
        The match in the air of the pull; nan where there is none. [W]
    promised_w : mapping of str to float
        The target; nan where the build has none. [W]
    standards : PullStandards
        The average under every standard.
    line : OperatingLine
        The match in the air of the pull.
    on_map : MeasuredOnMap or None
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
    lowest_w: ByBasis
    highest_w: ByBasis
    expected_w: ByBasis
    promised_w: Mapping[str, float]
    standards: PullStandards
    line: OperatingLine
    on_map: MeasuredOnMap | None

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

    >>> build = Build().with_values({"driveline.loss": 0.15, "driveline.constant_loss": 0.0})
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
    The mean of runs that reach an engine speed is plain; their spread is lowest and highest.
    """
    if not runs:
        raise InputError("runs", "none", "one run at least")
    ambient = mapping.use("ambient_pressure")
    day, told = pull_day(runs, otherwise, ambient.basis if ambient else "station")
    air = air_of_day(day)
    factor = float(standard_named(mapping.standard).factor(air))
    basis = runs[0].power_basis
    shown, lines, pressures, mixtures = [], [], [], []
    low = min(float(run.engine_speed_rpm.min()) for run in runs)
    high = max(float(run.engine_speed_rpm.max()) for run in runs)
    grid = GRID_STEP * np.arange(np.ceil(low / GRID_STEP), np.floor(high / GRID_STEP) + 1.0)
    for run in runs:
        order = np.argsort(run.engine_speed_rpm, kind="stable")
        speed = run.engine_speed_rpm[order]
        smoothed = smoothed_run(run, width).shown
        smooth = smoothed.power_w[order] / factor
        raw = run.power_w[order] / factor
        both = by_basis(raw, basis, build), by_basis(smooth, basis, build)
        shown.append(ComparedRun(run.number, speed, *both))
        lines.append(np.interp(grid, speed, smooth, left=np.nan, right=np.nan))
        shift = float(air.pressure) if run.manifold_basis == "gauge" else 0.0
        pressures.append(_on_grid(grid, speed, smoothed.manifold_pressure_pa, order) + shift)
        mixtures.append(_on_grid(grid, speed, smoothed.mixture, order))
    of_runs = np.array(lines)
    there = np.isfinite(of_runs)
    count = there.sum(axis=0)
    keep = count > 0
    grid, count, of_runs, there = grid[keep], count[keep], of_runs[:, keep], there[:, keep]
    mean = np.where(there, of_runs, 0.0).sum(axis=0) / count
    lowest = np.where(there, of_runs, np.inf).min(axis=0)
    highest = np.where(there, of_runs, -np.inf).max(axis=0)
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
        by_basis(lowest, basis, build),
        by_basis(highest, basis, build),
        {"wheel": line.wheel_power_w, "flywheel": line.flywheel_power_w},
        {key: float(value) for key, value in promised.items()},
        pull_standards(grid, mean, basis, day, build, surface=surface),
        line,
        pull_on_map(
            build, line, measured["flywheel"], _mean(pressures)[keep], _mean(mixtures)[keep]
        ),
    )


def _on_grid(grid: Floats, speed: Floats, values: Floats | None, order: NDArray[np.intp]) -> Floats:
    """Values of a run at the engine speeds of the average; nan where it has none."""
    if values is None:
        return np.full(grid.size, np.nan)
    ranked = values[order]
    there = np.isfinite(ranked)
    if not there.any():
        return np.full(grid.size, np.nan)
    return np.interp(grid, speed[there], ranked[there], left=np.nan, right=np.nan)


def _mean(lines: Sequence[Floats]) -> Floats:
    """Plain mean of the runs that have a value; nan where none has."""
    values = np.array(lines)
    there = np.isfinite(values)
    with np.errstate(invalid="ignore"):
        return np.asarray(np.where(there, values, 0.0).sum(axis=0) / there.sum(axis=0))
