"""Steps of the burn: what the estimate of knock asks for at the point."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from engine_model.engine.cylinder import DELAY_OCTANE_EXPONENT
from engine_model.knock_line import KnockPlan, knock_plan
from engine_model.results import Step, StepNumber
from engine_model.steps.point import Point

Floats = NDArray[np.float64]

BURN = "burn"

_LEAST_SHOWN = 0.05
"""Retard that rounds to none [deg]."""

_SOURCE = (
    "Livengood-Wu integral of Douaud and Eyzat's delay (SAE 780080, Heywood section 9.6), held at "
    "the stock engine's torque peak; an estimate, pre-ignition is outside it"
)


def _estimate(point: Point) -> tuple[KnockPlan, tuple[Floats, Floats, Floats]]:
    plan = knock_plan(point.build, np.array([point.engine_speed.value]))
    names = ("manifold_pressure_pa", "manifold_temperature_k", "exhaust_pressure_pa")
    p3, t3, p4 = (np.array([point.at(name)]) for name in names)
    return plan, (p3, t3, p4)


def spark_factor(point: Point) -> float:
    """Indicated efficiency with the advance given up over that with the stock spark [-]."""
    plan, states = _estimate(point)
    return float(plan.efficiency_factor(np.zeros(1, dtype=np.intp), *states)[0])


def burn_steps(point: Point) -> list[Step]:
    """Steps of the estimate of knock; none where nothing balances."""
    if not point.is_solved:
        return []
    plan, states = _estimate(point)
    found = plan.estimate(np.zeros(1, dtype=np.intp), *states)
    octane, own = float(found.octane_without_retard[0]), plan.fuel.octane
    held = float(np.exp(plan.anchor.log_integral))
    # the delay goes with a power of the octane number
    asked = held * (octane / own) ** DELAY_OCTANE_EXPONENT
    less, low, high = (float(a[0]) for a in (found.retard, found.retard_low, found.retard_high))
    if found.beyond[0]:
        note = "It asks for more retard than the estimate seeks."
    elif high < _LEAST_SHOWN:
        note = "No less advance than stock by this estimate."
    else:
        note = f"Less advance than stock: about {less:.1f} deg (band {low:.1f} to {high:.1f})."
    return [
        Step(
            "burn.octane_without_retard", BURN, "Octane that needs no retard", octane,
            "dimensionless", "ON_0", "ON_0 = ON (I/I_0)^(1/3.402)",
            (
                point.given("ON", "engine.octane", "dimensionless", own),
                StepNumber("I", asked, "dimensionless"),
                StepNumber("I_0", held, "dimensionless"),
            ),
            f"{_SOURCE}; I is that of this charge with the stock engine's burn, I_0 the constant",
            note,
        ),
    ]  # fmt: skip
