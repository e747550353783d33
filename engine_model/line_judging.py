"""Solved lines made ready for the checks: any leading shape, any pulleys."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from engine_model.counted_inputs import count_inputs
from engine_model.drive.ratio import impeller_speed, pitch_ratio
from engine_model.fuel_choice import fuel_of
from engine_model.inputs import Build, Day
from engine_model.limits.judging import Judged, JudgedBelt
from engine_model.results import OperatingLine
from engine_model.unpack import Air, air_of

Floats = NDArray[np.float64]


def judged_lines(
    build: Build,
    days: Sequence[Day],
    line: OperatingLine,
    blower_pulley_diameter: Floats | None = None,
    crank_pulley_diameter: Floats | None = None,
    line_without_slip: OperatingLine | None = None,
    air: Air | None = None,
) -> Judged:
    """Lines with what the checks need besides.

    Parameters
    ----------
    build : Build
        The build.
    days : sequence of Day
        The days of the last axis but one.
    line : OperatingLine
        Lines of any leading axes; the limiter is among their engine speeds. [SI]
    blower_pulley_diameter, crank_pulley_diameter : ndarray, optional
        Outside diameters the lines were solved with, of the lines' axes without engine speed;
        the build's unless given. [m]
    line_without_slip : OperatingLine, optional
        The same lines with no slip of the belt, where it slips anywhere.
    air : Air, optional
        The air the lines were solved with, of the lines' axes without engine speed; that of the
        days unless given.

    Returns
    -------
    Judged
        For ``judge_all``.
    """
    air = air_of(days) if air is None else air
    lead = line.air_flow_kg_s.shape[:-1]
    at_limiter = at_over_rev = np.full(lead, np.nan)
    belt = None
    if build.drive.kind == "belt":
        drive = build.drive
        given = (crank_pulley_diameter, blower_pulley_diameter)
        own = (drive.crank_pulley_diameter, drive.blower_pulley_diameter)
        crank, driven = (np.asarray(b if a is None else a) for a, b in zip(given, own, strict=True))
        ratio = pitch_ratio(crank, driven, drive.pitch_line)
        gear, creep = build.blower.gear_ratio, drive.belt_creep
        limiter, over_rev = build.engine.limiter, build.engine.over_rev_speed
        at_limiter = np.broadcast_to(impeller_speed(limiter, ratio, gear, creep), lead)
        at_over_rev = np.broadcast_to(impeller_speed(over_rev, ratio, gear, creep), lead)
        belt = JudgedBelt.of(build, crank, driven, line)
    assumed, inputs = count_inputs(build)
    return Judged(
        build,
        line,
        air.temperature,
        air.pressure,
        tuple(day.name for day in days),
        at_limiter,
        at_over_rev,
        assumed,
        inputs,
        fuel_of(build.engine).heating_value,
        belt,
        line_without_slip,
    )
