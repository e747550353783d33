"""The measured line on the compressor map: flow from power and mixture, ratio from pressure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from engine_model.air.atmosphere import station_pressure
from engine_model.compressor.surface import Surface
from engine_model.dyno.driveline import flywheel_power
from engine_model.engine.power import mixture_factor
from engine_model.errors import InputError
from engine_model.files.pull_record import PullRun
from engine_model.inputs import Build, Day
from engine_model.matching import match_many
from engine_model.studies.corrected_pull import driveline_of
from engine_model.studies.reconcile_readings import readings_of
from engine_model.studies.reconcile_records import Noise
from engine_model.unpack import plan_of

Floats = NDArray[np.float64]

OUTPUT_SPREAD: Final = 0.04
"""Spread of combustion times driveline, which flow from power leans on [-]; chosen here."""


@dataclass(frozen=True, slots=True, eq=False)
class MeasuredLine:
    """A run as points of the compressor map, one standard error either way.

    Parameters
    ----------
    engine_speed_rpm : ndarray
        Engine speeds. [rpm]
    air_flow_kg_s, corrected_flow_kg_s : ndarray
        Flow inferred from power and mixture. [kg/s]
    corrected_flow_error_kg_s : ndarray
        Its standard error. [kg/s]
    pressure_ratio, pressure_ratio_error : ndarray
        From manifold pressure, the model's losses added; nan without that channel. [-]
    mixture_measured : bool
        Whether the mixture was logged; else the build's counts.
    """

    engine_speed_rpm: Floats
    air_flow_kg_s: Floats
    corrected_flow_kg_s: Floats
    corrected_flow_error_kg_s: Floats
    pressure_ratio: Floats
    pressure_ratio_error: Floats
    mixture_measured: bool


def measured_line(
    build: Build,
    day: Day,
    run: PullRun,
    *,
    standard: str = "none",
    noise: Noise | None = None,
    surface: Surface | None = None,
) -> MeasuredLine:
    """Run on the compressor map.

    Parameters
    ----------
    build : Build
        A blown build; its friction, pumping, blower power and losses are added to the readings.
    day : Day
        The day of the pull.
    run : PullRun
        The run.
    standard : str
        What its power is corrected to already.
    noise : Noise, optional
        How far readings may be trusted.
    surface : Surface, optional
        The fitted compressor map.

    Returns
    -------
    MeasuredLine
        A point a reading; nan where the build has no match.

    References
    ----------
    Power balance: indicated power is flywheel power, friction, pumping and blower drive; fuel is
    indicated power over work per fuel, air is fuel times air over fuel.
    """
    if build.drive.kind == "none":
        raise InputError("drive.kind", "none", "a build with a compressor")
    asked = Noise() if noise is None else noise
    readings = readings_of([run], build, day, standard)
    every = -(-run.size // readings.engine_speed.size)
    n = readings.engine_speed
    line = match_many(build, [day], n, surface=surface).part(0)
    work = plan_of(build, n[:1]).work_per_fuel
    engine = flywheel_power(readings.measured["power_w"], *driveline_of(build))
    indicated = engine + (line.fuel_flow_kg_s * work - line.flywheel_power_w)
    mixture = np.full(n.size, build.engine.mixture)
    if run.mixture is not None:
        logged = np.clip(run.mixture[::every], 0.70, None)
        mixture = np.where(np.isfinite(logged), logged, mixture)
    leaner = mixture / build.engine.mixture
    worth = mixture_factor(mixture) / mixture_factor(build.engine.mixture)
    share = indicated / (line.fuel_flow_kg_s * work) * leaner / worth
    engine_flow = (line.air_flow_kg_s - line.bypass_flow_kg_s) * share
    flow = engine_flow + line.bypass_flow_kg_s
    grown = flow / line.air_flow_kg_s
    corrected = line.corrected_flow_kg_s * grown
    absent = np.full(n.size, np.nan)
    pressure = readings.measured.get("manifold_pressure_pa", absent)
    ambient = float(station_pressure(day.altitude)) if day.pressure is None else day.pressure
    inlet = ambient - (ambient - line.inlet_pressure_pa) * grown**2
    discharge = pressure + (line.discharge_pressure_pa - line.manifold_pressure_pa) * grown**2
    return MeasuredLine(
        n,
        flow,
        corrected,
        corrected * float(np.hypot(asked.power, OUTPUT_SPREAD)),
        discharge / inlet,
        asked.pressure / inlet,
        run.mixture is not None,
    )
