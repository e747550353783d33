"""A build reconciled with a pull: what was measured says what the model did not know."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.surface import Surface
from engine_model.errors import InputError
from engine_model.files.pull_record import PullRun
from engine_model.inputs import Build, Day
from engine_model.matching import match_many
from engine_model.problem import surface_of
from engine_model.studies.reconcile_changes import changes_of, if_belt_holds
from engine_model.studies.reconcile_fit import Task
from engine_model.studies.reconcile_model import beliefs_of, pull_model
from engine_model.studies.reconcile_posterior import posterior_of
from engine_model.studies.reconcile_readings import FEWEST, Readings, readings_of, whitener
from engine_model.studies.reconcile_records import FittedLine, Noise, Reconciled
from engine_model.studies.reconcile_told import (
    STRANGE,
    diagnose,
    fault_of,
    known_of,
    pairs_told,
    slip_is_seen,
)

Floats = NDArray[np.float64]


def reconcile(
    build: Build,
    day: Day,
    runs: Sequence[PullRun],
    *,
    standard: str = "none",
    noise: Noise | None = None,
    surface: Surface | None = None,
    on_step: Callable[[], None] | None = None,
) -> Reconciled:
    """Build reconciled with a pull: bounded nonlinear least squares with priors.

    Sought are volumetric efficiency against engine speed, the product of combustion and driveline
    loss, slip of the belt (steady, and from an engine speed on), a leak after the compressor, the
    cooler's effectiveness, and the offsets of the temperature sensors.

    Parameters
    ----------
    build : Build
        The build as it stands.
    day : Day
        The day of the pull, with its station pressure.
    runs : sequence of PullRun
        One run or several.
    standard : str
        What their power is corrected to already.
    noise : Noise, optional
        How far readings may be trusted.
    surface : Surface, optional
        The fitted compressor map.
    on_step : callable, optional
        Called before every call of the match; what it raises ends the study.

    Returns
    -------
    Reconciled
        Values with standard errors, a diagnosis, changes for the build. A slip is never among
        the changes.

    Raises
    ------
    InputError
        Where there are too few readings, or the build gives nothing to compare them with.
    """
    asked = Noise() if noise is None else noise
    fitted = surface_of(build, surface)
    readings = readings_of(runs, build, day, standard)
    expected = match_many(build, [day], readings.engine_speed, surface=fitted)
    there = np.isfinite(expected.wheel_power_w[0])
    if int(np.sum(there & np.isfinite(readings.measured["power_w"]))) < FEWEST:
        raise InputError("build", build.title, "a build that has a match along the pull")
    readings = _only(readings, there)
    if build.drive.kind == "none":
        readings = _without_compressor(readings)
    channels = tuple(readings.measured)
    beliefs = beliefs_of(build, readings.engine_speed, channels, asked.temperature_bias)
    model = pull_model(build, day, fitted, readings.engine_speed, beliefs)
    task = Task(model, readings.measured, whitener(readings, asked), on_step or (lambda: None))
    found = posterior_of(task)
    misfit = float(np.sqrt(np.mean(found.fit.misfit**2)))
    known = known_of(beliefs, found)
    apart, alike = pairs_told(beliefs, channels)
    slips = slip_is_seen(found) or fault_of(found, channels) in ("steady_slip", "slip_or_leak")
    best = model.channels(found.fit.values[None])
    line = FittedLine(
        readings.engine_speed,
        dict(readings.measured),
        {
            "power_w": expected.wheel_power_w[0][there],
            "manifold_pressure_pa": expected.manifold_pressure_pa[0][there],
            "charge_temperature_k": expected.manifold_temperature_k[0][there],
            "discharge_temperature_k": expected.discharge_temperature_k[0][there],
        },
        {name: best[name][0] for name in best},
    )
    return Reconciled(
        build,
        day,
        channels,
        int(np.sum([np.sum(np.isfinite(one)) for one in readings.measured.values()])),
        known,
        apart,
        alike,
        diagnose(build, beliefs, found, channels, misfit),
        () if misfit > STRANGE else changes_of(model, found, known, channels),
        line,
        misfit,
        if_belt_holds(model, found) if slips and build.drive.kind == "belt" else None,
        asked,
    )


def _only(readings: Readings, there: NDArray[np.bool_]) -> Readings:
    """Readings of which the build has a match."""
    measured = {name: values[there] for name, values in readings.measured.items()}
    return Readings(readings.engine_speed[there], readings.place[there], measured)


def _without_compressor(readings: Readings) -> Readings:
    """Readings of an unblown engine: nothing discharges."""
    kept = {k: v for k, v in readings.measured.items() if k != "discharge_temperature_k"}
    return replace(readings, measured=kept)
