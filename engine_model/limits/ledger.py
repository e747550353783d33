"""The ledger: every limit, judged on arrays, made into entries only where shown."""

from __future__ import annotations

import numpy as np

from engine_model.defaults import CLOSE_FROM
from engine_model.limits.compressor_limits import (
    judge_choke_margin,
    judge_impeller_speed,
    judge_impeller_speed_over_rev,
    judge_surge_margin,
    judge_tip_speed,
)
from engine_model.limits.engine_limits import (
    judge_boost,
    judge_charge_temperature,
    judge_inlet_depression,
    judge_piston_speed,
)
from engine_model.limits.judging import Check, Judged, Verdict
from engine_model.limits.trust_limits import (
    judge_assumed_inputs,
    judge_map_quality,
    judge_power_sanity,
    judge_share_off_map,
    judge_target_power,
)
from engine_model.results import Entry

CHECKS: tuple[Check, ...] = (
    Check("impeller_speed", "parts", "rpm", judge_impeller_speed),
    Check("impeller_speed_over_rev", "parts", "rpm", judge_impeller_speed_over_rev),
    Check("tip_speed", "parts", "m/s", judge_tip_speed),
    Check("surge_margin", "parts", "-", judge_surge_margin),
    Check("choke_margin", "parts", "-", judge_choke_margin),
    Check("charge_temperature", "parts", "K", judge_charge_temperature),
    Check("inlet_depression", "parts", "Pa", judge_inlet_depression),
    Check("piston_speed", "parts", "m/s", judge_piston_speed),
    Check("boost", "parts", "Pa", judge_boost),
    Check("target_power", "target", "W", judge_target_power),
    Check("share_off_map", "trust", "-", judge_share_off_map),
    Check("assumed_inputs", "trust", "-", judge_assumed_inputs),
    Check("power_sanity", "trust", "lb/(hp h)", judge_power_sanity),
    Check("map_quality", "trust", "-", judge_map_quality),
)
"""Every limit, in the order shown."""


def state_of(used: float) -> str:
    """State of a share used: clear below 0.9, close to 1, over above, blank where nan."""
    if np.isnan(used):
        return "blank"
    if used > 1.0:
        return "over"
    return "close" if used >= CLOSE_FROM else "clear"


def judge_all(judged: Judged) -> tuple[Verdict, ...]:
    """Verdicts of every check, in the order of ``CHECKS``."""
    return tuple(check.judge(judged) for check in CHECKS)


def entry_of(check: Check, verdict: Verdict, index: int, day: str) -> Entry:
    """Entry of one check on the day of an index of the last axis."""
    used = float(verdict.used[..., index])
    return Entry(
        check.code,
        check.part,
        state_of(used),
        used,
        float(verdict.value[..., index]),
        float(verdict.bound[..., index]),
        check.unit,
        float(verdict.engine_speed[..., index]),
        day,
        verdict.basis,
    )


def entries_of_day(
    verdicts: tuple[Verdict, ...], index: int, day_names: tuple[str, ...]
) -> tuple[Entry, ...]:
    """Ledger of one day."""
    pairs = zip(CHECKS, verdicts, strict=True)
    return tuple(entry_of(check, v, index, day_names[index]) for check, v in pairs)


def entries_of_worst_day(
    verdicts: tuple[Verdict, ...], day_names: tuple[str, ...]
) -> tuple[Entry, ...]:
    """Ledger over several days: each entry on the day where most is used."""
    entries = []
    for check, verdict in zip(CHECKS, verdicts, strict=True):
        known = np.where(np.isnan(verdict.used), -np.inf, verdict.used)
        index = int(np.argmax(known))
        entries.append(entry_of(check, verdict, index, day_names[index]))
    return tuple(entries)
