"""What to put into the build after a pull, and what comes if the belt stops slipping."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from engine_model.defaults import DEFAULTS
from engine_model.errors import InputError
from engine_model.inputs import Variation
from engine_model.matching import match_many
from engine_model.studies.reconcile_model import (
    BREATHING,
    COOLER,
    LEAK,
    NODES,
    OUTPUT,
    PullModel,
)
from engine_model.studies.reconcile_posterior import Posterior
from engine_model.studies.reconcile_records import Change, IfBeltHolds, Known
from engine_model.studies.reconcile_told import CHARGE, MANIFOLD, TOLD
from engine_model.unpack import plan_of

Floats = NDArray[np.float64]

DIGITS: Final = 4


def if_belt_holds(model: PullModel, found: Posterior) -> IfBeltHolds:
    """The build as reconciled, with its slip and without.

    Parameters
    ----------
    model : PullModel
        The model.
    found : Posterior
        What is known.

    Returns
    -------
    IfBeltHolds
        Boost, impeller speed and wheel power of both.
    """
    values = found.values[None]
    slipping = model.line(values)
    holding = model.line(values, np.zeros((1, model.engine_speed.size)))
    boost = holding.boost_gauge_pa[0, 0]
    at = int(np.nanargmax(boost))
    powers = (model.wheel_power(values, line)[0] for line in (holding, slipping))
    with_belt, without = (float(np.nanmax(power)) for power in powers)
    return IfBeltHolds(
        float(model.engine_speed[at]),
        float(boost[at]),
        float(slipping.boost_gauge_pa[0, 0, at]),
        float(np.nanmax(holding.impeller_speed_rpm)),
        float(np.nanmax(slipping.impeller_speed_rpm)),
        with_belt,
        without,
    )


def changes_of(
    model: PullModel, found: Posterior, known: tuple[Known, ...], channels: tuple[str, ...]
) -> tuple[Change, ...]:
    """What to put into the build: breathing, cooler and the driveline's loss; never a slip.

    Parameters
    ----------
    model : PullModel
        The model.
    found : Posterior
        What is known.
    known : tuple of Known
        The same as rows.
    channels : tuple of str
        What was measured.

    Returns
    -------
    tuple of Change
        Only what the pull tells more of than was believed; empty where it tells nothing new.
    """
    build, b = model.build, model.beliefs
    told = {one.code: one.told for one in known}
    breathing = [one.told for one in known if one.code == BREATHING]
    new: dict[str, object] = {}
    words: dict[str, str] = {}
    if MANIFOLD in channels and float(np.mean(breathing)) > TOLD:
        stock = plan_of(build, b.node_speeds).stock.volumetric_efficiency
        table = stock * found.values[:NODES]
        low, high = DEFAULTS["engine.volumetric_efficiency"].low, DEFAULTS[
            "engine.volumetric_efficiency"
        ].high  # fmt: skip
        rows = zip(b.node_speeds, np.clip(table, low, high), strict=True)
        new["engine.volumetric_efficiency"] = tuple(
            (round(float(n), 1), round(float(eta), DIGITS)) for n, eta in rows
        )
        words["engine.volumetric_efficiency"] = (
            "reconciled with a pull: power and manifold pressure"
        )
        if build.engine.rated_flow is None:
            # the losses of ducts and exhaust stay what they were
            new["engine.rated_flow"] = float(plan_of(build, b.node_speeds).rated)
            words["engine.rated_flow"] = "as before the pull, so that losses stay"
    if CHARGE in channels and told.get(COOLER, 0.0) > TOLD:
        new["cooler.effectiveness"] = round(float(found.values[b.at(COOLER)]), DIGITS)
        words["cooler.effectiveness"] = "reconciled with a pull: charge temperature"
    loss = _loss_after(model, found, new) if told.get(OUTPUT, 0.0) > 0.0 else None
    if loss is not None:
        new["driveline.loss"] = loss
        words["driveline.loss"] = (
            "reconciled with a pull: the product of combustion and driveline, told as a loss"
        )
    return tuple(
        Change(path, value, build.value(path), words[path])  # type: ignore[arg-type]
        for path, value in new.items()
    )


def _loss_after(model: PullModel, found: Posterior, new: dict[str, object]) -> float | None:
    """Driveline loss with which the changed build gives the reconciled power, if it may be one."""
    build, b = model.build, model.beliefs
    values = found.values[None].copy()
    if b.at(LEAK) >= 0:
        values[0, b.at(LEAK)] = 0.0
    belt = build.drive.kind == "belt"
    still = np.zeros((1, model.engine_speed.size))
    wanted = model.wheel_power(values, model.line(values, still))[0]
    try:
        changed = build.with_values(new) if new else build
    except InputError:
        return None
    variation = Variation(slip=still[:, None]) if belt else None
    line = match_many(changed, [model.day], model.engine_speed, variation, surface=model.surface)
    flywheel = line.flywheel_power_w.reshape(-1)
    there = np.isfinite(wanted) & np.isfinite(flywheel) & (flywheel > 0.0)
    if not np.any(there):
        return None
    constant = build.driveline.constant_loss
    kept = float(np.median((wanted[there] + constant) / flywheel[there]))
    row = DEFAULTS["driveline.loss"]
    loss = round(1.0 - kept, DIGITS)
    return loss if row.low <= loss <= row.high else None
