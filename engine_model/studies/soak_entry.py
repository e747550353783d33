"""Heat soak as an entry of the ledger; too slow to be judged with the other limits."""

from __future__ import annotations

import numpy as np

from engine_model.limits.judging import share_used
from engine_model.limits.ledger import state_of
from engine_model.results import Entry
from engine_model.studies.heat_soak_study import HeatSoak

CHARGE_SOAK = "charge_soak"
"""Code of the entry."""


def soak_entry(found: HeatSoak) -> Entry | None:
    """Entry of the highest manifold temperature of all pulls; nothing where there are none.

    Parameters
    ----------
    found : HeatSoak
        The study.

    Returns
    -------
    Entry or None
        Counted from the day's temperature, as the charge temperature of the match is. [K]

    References
    ----------
    None: a choice of this bench.
    """
    pulls, settled = found.pulls, found.settled
    if pulls is None or settled is None:
        return None
    number = int(np.argmax(pulls.manifold_peak))
    value, bound = float(pulls.manifold_peak[number]), found.build.bounds.charge_temperature
    used = float(share_used(np.asarray(value), found.day.temperature, bound))
    cooler = found.build.cooler
    return Entry(
        CHARGE_SOAK,
        "parts",
        state_of(used),
        used,
        value,
        bound,
        "K",
        float("nan"),
        found.day.name,
        f"{cooler.pulls} pulls of {cooler.pull_time:g} s, {cooler.pause_time:g} s between, station "
        "3 of the liquid loop in time, counted from the day's temperature",
        numbers=(
            ("pull", number + 1.0),
            ("lost_power_w", float(pulls.lost[-1])),
            ("settled_coolant_rise_k", settled.coolant_rise),
            ("taken_coolant_rise_k", cooler.coolant_over_day),
        ),
    )
