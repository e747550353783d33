"""Heat soak as an entry of the ledger; too slow to be judged with the other limits."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from engine_model.limits.judging import share_used
from engine_model.limits.ledger import state_of
from engine_model.results import Entry
from engine_model.studies.soak_records import NO_COOLER, NO_MATCH, HeatSoak

CHARGE_SOAK = "charge_soak"
"""Code of the entry."""

BEFORE = "charge_temperature"
"""Code of the entry that it stands behind."""

_WHAT = {"air": "air-to-air cooler", "liquid": "liquid loop"}


def _blank(found: HeatSoak) -> Entry:
    """Entry that says why there is nothing."""
    speed, bound = found.fault_speed, found.build.bounds.charge_temperature
    why = {
        NO_COOLER: "no charge cooler: none that soaks",
        NO_MATCH: f"not worked out: engine and compressor do not meet at {speed:.0f} rpm",
    }.get(found.reason, f"not worked out: {found.fault}")
    none = float("nan")
    return Entry(
        CHARGE_SOAK, "parts", "blank", none, none, bound, "K", speed, found.day.name, why
    )  # fmt: skip


def soak_entry(found: HeatSoak) -> Entry:
    """Entry of the highest manifold temperature of all pulls; blank where there are none.

    Parameters
    ----------
    found : HeatSoak
        The study.

    Returns
    -------
    Entry
        Counted from the day's temperature, as the charge temperature of the match is. [K]

    References
    ----------
    None: a choice of this bench.
    """
    pulls, settled, cooler = found.pulls, found.settled, found.build.cooler
    if pulls is None or settled is None:
        return _blank(found)
    number = int(np.argmax(pulls.manifold_peak))
    value, bound = float(pulls.manifold_peak[number]), found.build.bounds.charge_temperature
    used = float(share_used(np.asarray(value), found.day.temperature, bound))
    numbers = {
        "pull": number + 1.0,
        "lost_power_w": float(pulls.lost[-1]),
        "settled_coolant_rise_k": settled.coolant_rise,
        "taken_coolant_rise_k": cooler.coolant_over_day,
    }
    if found.is_air:
        numbers |= {
            "settled_manifold_k": settled.manifold,
            "matched_manifold_k": settled.matched,
        }
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
        f"3 of the {_WHAT[cooler.kind]} in time, counted from the day's temperature",
        numbers=tuple(numbers.items()),
    )


def worst_soak(entries: Sequence[Entry]) -> Entry:
    """Entry of the day on which most of the bound is used; the first where all are blank."""
    return max(entries, key=lambda e: -np.inf if np.isnan(e.used) else e.used)


def with_soak(ledger: tuple[Entry, ...], entry: Entry) -> tuple[Entry, ...]:
    """Ledger with the entry of heat soak behind that of the charge temperature."""
    place = next((k + 1 for k, e in enumerate(ledger) if e.code == BEFORE), len(ledger))
    return (*ledger[:place], entry, *ledger[place:])
