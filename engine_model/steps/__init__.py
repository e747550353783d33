"""Named step records of one point of a match: what *Why* shows, station by station."""

from __future__ import annotations

import math
from dataclasses import replace

from engine_model.compressor.surface import Surface
from engine_model.results import Match, Step
from engine_model.steps.air_steps import DAY, INLET, day_steps, inlet_steps
from engine_model.steps.belt_steps import DRIVE
from engine_model.steps.blend_steps import blend_steps
from engine_model.steps.burn_steps import BURN, burn_steps
from engine_model.steps.charge_steps import CHARGE, charge_steps
from engine_model.steps.compressor_steps import (
    COMPRESSOR,
    compressor_steps,
    drive_steps,
)
from engine_model.steps.crank_steps import CRANK, crank_steps
from engine_model.steps.engine_steps import ENGINE, engine_steps
from engine_model.steps.fuel_steps import FUEL, fuel_steps
from engine_model.steps.limit_steps import LIMITS, limit_steps
from engine_model.steps.point import point_of
from engine_model.steps.stock_steps import STOCK, stock_steps

STATIONS = (DAY, INLET, DRIVE, COMPRESSOR, CHARGE, STOCK, ENGINE, FUEL, BURN, CRANK, LIMITS)
"""Stations of the steps, in the order walked."""

_WALK = (
    day_steps,
    inlet_steps,
    drive_steps,
    compressor_steps,
    charge_steps,
    stock_steps,
    blend_steps,
    engine_steps,
    fuel_steps,
    burn_steps,
    crank_steps,
    limit_steps,
)


def match_steps(
    match: Match, engine_speed: float, *, surface: Surface | None = None
) -> tuple[Step, ...]:
    """Steps from the filter to the crankshaft at one engine speed, solved at exactly it.

    Parameters
    ----------
    match : Match
        The match: its build on its day.
    engine_speed : float
        Engine speed; it need not be one of the match's. [rpm] 100-24000
    surface : Surface, optional
        The fitted compressor map, where the caller has it.

    Returns
    -------
    tuple of Step
        In the order of ``STATIONS``. A step that the build has no use for is absent; where
        engine and compressor do not meet, values are nan and the step's note says why.

    References
    ----------
    As :func:`engine_model.matching.match_many`; each step names its own.
    """
    point = point_of(match, engine_speed, surface)
    steps = tuple(step for walk in _WALK for step in walk(point))
    if point.is_solved:
        return steps
    why = f"Engine and compressor do not meet at this speed: {point.line.region}."
    return tuple(replace(s, note=why) if math.isnan(s.value) else s for s in steps)
