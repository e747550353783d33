"""What a full-throttle run through the gears comes to, in words; an estimate that says so."""

from __future__ import annotations

import numpy as np

from app.fields import Units, show
from engine_model.errors import InputError
from engine_model.results import Match
from engine_model.studies.full_throttle import full_throttle_run
from engine_model.unpack import air_of
from engine_model.vehicle_rows import VEHICLE_ROWS

ASKED = "vehicle.mass"
"""Input without which no run is told: nobody's car is assumed."""


def run_lines(match: Match, units: Units = "si") -> list[str]:
    """One line on the quarter mile; nothing where the mass of the car is not given."""
    build, line = match.build, match.line
    if ASKED not in build.given:
        return []
    try:
        run = full_throttle_run(
            build.vehicle,
            line.engine_speed_rpm,
            line.wheel_power_w,
            limiter=build.engine.limiter,
            air_density=air_of([match.day]).density[0],
        )
    except InputError as error:
        return [f"No full-throttle run: {error}"]
    if np.isnan(run.quarter_mile_time):
        return ["No full-throttle run: power is missing on the way, or the car does not move"]
    assumed = sum(row.path not in build.given for row in VEHICLE_ROWS)
    known = f", {assumed} of {len(VEHICLE_ROWS)} figures of the car assumed" if assumed else ""
    speed = show(float(run.quarter_mile_speed), "road_speed", units)
    return [
        f"Full-throttle run (estimate{known}): quarter mile "
        f"{float(run.quarter_mile_time):.1f} s at {speed}"
    ]
