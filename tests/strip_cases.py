"""An invented car of a given weight and power, for the rules of thumb of the drag strip.

The rules know weight and power alone. The car around them is one that fits the strip: tyres that
grip, quick shifts, gears so that the quarter mile ends in the fourth, power that holds on.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from engine_model.inputs import Vehicle
from engine_model.studies.full_throttle import full_throttle_run

Values = Mapping[str, float]
SPEEDS = np.linspace(1500.0, 6500.0, 101)
SHARE = np.interp(SPEEDS, [1500.0, 4500.0, 5600.0, 6500.0], [0.25, 0.85, 1.0, 0.97])
"""Power over the highest; invented."""
LOSS = 0.15
"""Share lost between flywheel and wheels, common practice."""


def strip_car(mass):
    return Vehicle(mass=mass, traction=0.9, shift_time=0.2)


def quarter_mile(x: Values) -> Values:
    power = (1.0 - LOSS) * x["power"] * SHARE
    run = full_throttle_run(strip_car(x["weight"]), SPEEDS, power)
    return {"ET": float(run.quarter_mile_time), "MPH": float(run.quarter_mile_speed)}
