"""Readings of a reconciliation, and noise that is alike from one reading to the next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engine_model.dyno.correction import standard_named
from engine_model.dyno.driveline import wheel_power
from engine_model.errors import InputError
from engine_model.files.pull_record import PullRun
from engine_model.inputs import Build, Day
from engine_model.studies.corrected_pull import air_of_day, driveline_of
from engine_model.studies.reconcile_records import Noise

Floats = NDArray[np.float64]

USED = ("power_w", "manifold_pressure_pa", "charge_temperature_k", "discharge_temperature_k")
"""Channels that are reconciled; power is at the wheels and as on the day."""

FEWEST = 10
"""Fewest readings of power that are reconciled."""

MOST = 1200
"""Readings used; of more, every second, third... is taken."""


@dataclass(frozen=True, slots=True, eq=False)
class Readings:
    """Readings of one pull or several.

    Parameters
    ----------
    engine_speed : ndarray
        Engine speeds. [rpm]
    place : ndarray
        Place of each reading in its run, a jump between runs. [-]
    measured : dict of str to ndarray
        By channel of ``USED``; nan where there is a gap. [SI]
    """

    engine_speed: Floats
    place: Floats
    measured: dict[str, Floats]


def readings_of(
    runs: Sequence[PullRun], build: Build, day: Day, standard: str = "none"
) -> Readings:
    """Readings of runs, power brought to the wheels as on the day, pressure to absolute.

    Parameters
    ----------
    runs : sequence of PullRun
        The runs.
    build : Build
        The build, whose driveline leads from flywheel to wheels.
    day : Day
        The day of the pull.
    standard : str
        What the power is corrected to already.

    Returns
    -------
    Readings
        One after the other, far apart from run to run.

    Raises
    ------
    InputError
        Where there are too few.
    """
    if not runs:
        raise InputError("runs", 0, "one run or more")
    air = air_of_day(day)
    factor = float(standard_named(standard).factor(air))
    if not np.isfinite(factor):
        raise InputError("standard", standard, "a standard whose factor is known")
    parts: dict[str, list[Floats]] = {name: [] for name in USED}
    for run in runs:
        power = run.power_w / factor
        if run.power_basis == "flywheel":
            power = wheel_power(power, *driveline_of(build))
        absent = np.full(run.size, np.nan)
        pressure = run.manifold_pressure_pa
        if pressure is not None and run.manifold_basis == "gauge":
            pressure = pressure + float(air.pressure)
        found = (power, pressure, run.charge_temperature_k, run.discharge_temperature_k)
        for name, values in zip(USED, found, strict=True):
            parts[name].append(absent if values is None else values)
    speed = np.concatenate([run.engine_speed_rpm for run in runs])
    place = np.concatenate([at * 1e6 + np.arange(run.size) for at, run in enumerate(runs)])
    every = -(-speed.size // MOST)
    measured = {name: np.concatenate(values)[::every] for name, values in parts.items()}
    kept = {name: values for name, values in measured.items() if np.any(np.isfinite(values))}
    count = int(np.sum(np.isfinite(kept.get("power_w", np.array([])))))
    if count < FEWEST:
        raise InputError("runs", count, f"{FEWEST} readings of power or more")
    return Readings(speed[::every], place[::every], kept)


@dataclass(frozen=True, slots=True, eq=False)
class Whitener:
    """Turns misfits into numbers of unit spread that do not know each other.

    Noise of one channel has the correlation exp(-distance/length), which a difference of
    neighbours takes away.

    Parameters
    ----------
    rows : dict of str to ndarray
        Readings of each channel that are there.
    spread : dict of str to ndarray
        Their standard deviations. [SI]
    alike : dict of str to ndarray
        Correlation of each with the one before. [-]
    """

    rows: dict[str, NDArray[np.intp]]
    spread: dict[str, Floats]
    alike: dict[str, Floats]

    def __call__(self, misfit: Mapping[str, Floats]) -> Floats:
        """White misfits of all channels in a row, any leading axes [-]."""
        parts = []
        for name, rows in self.rows.items():
            scaled = misfit[name][..., rows] / self.spread[name]
            alike = self.alike[name]
            fresh = (scaled[..., 1:] - alike * scaled[..., :-1]) / np.sqrt(1.0 - alike**2)
            parts.append(np.concatenate([scaled[..., :1], fresh], axis=-1))
        return np.concatenate(parts, axis=-1)


def whitener(readings: Readings, noise: Noise) -> Whitener:
    """Whitener of readings under a noise.

    Parameters
    ----------
    readings : Readings
        The readings.
    noise : Noise
        Their spread and how long it is alike.

    Returns
    -------
    Whitener
        Ready for misfits.

    References
    ----------
    Generalised least squares with first-order autoregressive errors; Draper & Smith, Applied
    Regression Analysis, 3rd ed., ch. 7, from memory.
    """
    rows, spread, alike = {}, {}, {}
    for name, values in readings.measured.items():
        there = np.flatnonzero(np.isfinite(values))
        rows[name] = there
        size = {
            "power_w": noise.power * np.maximum(np.abs(values[there]), 1e3),
            "manifold_pressure_pa": np.full(there.size, noise.pressure),
        }.get(name, np.full(there.size, noise.temperature))
        spread[name] = size
        away = np.abs(np.diff(readings.place[there]))
        alike[name] = np.exp(-away / max(noise.correlation_rows, 1e-3))
    return Whitener(rows, spread, alike)
