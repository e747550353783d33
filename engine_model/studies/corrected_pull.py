"""One pull under all standards, beside the model run again in their reference air."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.air.atmosphere import saturation_pressure, station_pressure
from engine_model.compressor.surface import Surface
from engine_model.dyno.correction import STANDARDS, Standard, is_flagged, standard_named
from engine_model.dyno.driveline import flywheel_power, wheel_power
from engine_model.dyno.factors import MECHANICAL_EFFICIENCY, Air
from engine_model.errors import InputError
from engine_model.inputs import Build, Day
from engine_model.matching import match_many
from engine_model.results import OperatingLine
from engine_model.studies.corrected_records import CorrectedPull, PullStandards

Floats = NDArray[np.float64]

REASONS: Final[tuple[tuple[str, Callable[[Build], bool]], ...]] = (
    ("unblown_as_the_factor_thinks", lambda build: build.drive.kind == "none"),
    ("impeller_speed_stays_boost_does_not", lambda build: build.drive.kind == "belt"),
    ("blower_power_follows_the_air", lambda build: build.drive.kind == "belt"),
    ("boost_cap_holds_boost", lambda build: build.bypass.boost_cap is not None),
    ("schedule_holds_boost", lambda build: build.drive.kind == "free_shaft"),
    ("charge_cooler_between", lambda build: build.cooler.kind != "none"),
    ("spark_follows_the_air", lambda build: build.engine.spark == "estimated"),
)
"""Why a factor and the model differ: code, and whether it holds for a build."""


def air_of_day(day: Day, **more: float) -> Air:
    """Air of a day as the standards ask for it.

    Parameters
    ----------
    day : Day
        The day.
    **more : float
        ``mechanical_efficiency`` [-], ``fuel_per_litre`` [mg/(L cycle)].

    Returns
    -------
    Air
        The air; its vapour by relative humidity.
    """
    pressure = float(station_pressure(day.altitude)) if day.pressure is None else day.pressure
    vapour = day.relative_humidity * saturation_pressure(day.temperature)
    return Air(np.asarray(pressure), vapour, np.asarray(day.temperature), **more)


def reference_day(standard: Standard) -> Day:
    """Dry day of a standard's reference air; the uncorrected has none."""
    if not np.isfinite(standard.reference_pressure):
        raise InputError("standard", standard.key, "a standard with a reference air")
    return Day(
        temperature=standard.reference_temperature,
        relative_humidity=0.0,
        pressure=standard.reference_pressure,
        name=standard.key,
    )


def pull_standards(
    engine_speed: ArrayLike,
    power: ArrayLike,
    basis: str,
    day: Day,
    build: Build,
    *,
    standard: str = "none",
    mechanical_efficiency: float = MECHANICAL_EFFICIENCY,
    surface: Surface | None = None,
) -> PullStandards:
    """One pull under every standard, and the model in the reference air of each.

    Parameters
    ----------
    engine_speed : array_like
        Engine speeds of the pull. [rpm]
    power : array_like
        Its power. [W]
    basis : str
        ``wheel`` or ``flywheel``.
    day : Day
        The day of the pull, with its station pressure.
    build : Build
        The build; its driveline loss leads from wheels to flywheel, by division.
    standard : str
        What the power is already corrected to.
    mechanical_efficiency : float
        For the 2004 form of SAE J1349. [-]
    surface : Surface, optional
        The fitted compressor map.

    Returns
    -------
    PullStandards
        A row a standard, uncorrected first. [SI]

    Raises
    ------
    InputError
        For a basis or a standard that is not known, or a pull without a reading.

    References
    ----------
    The sources of the rows of ``STANDARDS``.
    """
    n = np.asarray(engine_speed, dtype=float)
    given = np.asarray(power, dtype=float)
    if basis not in ("wheel", "flywheel"):
        raise InputError("basis", basis, "wheel or flywheel")
    if n.shape != given.shape or n.ndim != 1 or not np.any(np.isfinite(given)):
        raise InputError("power", given.shape, "a power for every engine speed, one at least")
    line = driveline_of(build)
    peak = float(n[int(np.nanargmax(given))])
    rows = tuple(STANDARDS.values())
    days = [day if row.key == "none" else reference_day(row) for row in rows]
    model = match_many(build, days, np.array([peak]), surface=surface)
    more = {
        "mechanical_efficiency": mechanical_efficiency,
        "fuel_per_litre": fuel_per_litre(build, model, peak),
    }
    air = air_of_day(day, **more)
    measured = given / float(standard_named(standard).factor(air))
    engine = measured if basis == "flywheel" else flywheel_power(measured, *line)
    of_model = model.flywheel_power_w[:, 0]
    boost = model.boost_gauge_pa[:, 0]
    reasons = tuple(code for code, holds in REASONS if holds(build))
    found = []
    for at, (row, its_day) in enumerate(zip(rows, days, strict=True)):
        factor = float(row.factor(air))
        ratio = float(of_model[at] / of_model[0])
        engine_here = engine * factor
        wheels_here = wheel_power(engine_here, *line)
        found.append(
            CorrectedPull(
                row.key,
                factor,
                bool(is_flagged(factor)),
                its_day,
                n,
                wheels_here,
                engine_here,
                _greatest(wheels_here),
                _greatest(engine_here),
                ratio,
                float(wheel_power(np.nanmax(engine) * ratio, *line)),
                float(boost[0]),
                float(boost[at]),
            )
        )
    return PullStandards(day, tuple(found), peak, reasons)


def driveline_of(build: Build) -> tuple[float, float]:
    """Share [-] and constant [W] that a build's driveline loses."""
    return build.driveline.loss, build.driveline.constant_loss


def fuel_per_litre(build: Build, model: OperatingLine, engine_speed: float) -> float:
    """Fuel per litre and cycle over the boost pressure ratio, as ISO 1585 asks for it.

    Parameters
    ----------
    build : Build
        The build.
    model : OperatingLine
        Its lines; the first day's first speed counts.
    engine_speed : float
        That speed. [rpm]

    Returns
    -------
    float
        q_c of a four-stroke, two revolutions a cycle. [mg/(L cycle)]

    References
    ----------
    ISO 1585: q_c = q/r, from memory.
    """
    cycles = engine_speed / 120.0
    fuel = float(model.fuel_flow_kg_s[0, 0]) * 1e6 / (cycles * build.engine.displacement * 1e3)
    blown = build.drive.kind != "none"
    return fuel / (float(model.pressure_ratio[0, 0]) if blown else 1.0)


def _greatest(values: Floats) -> float:
    return float(np.nanmax(values)) if np.any(np.isfinite(values)) else float("nan")
