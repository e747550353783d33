"""The ledger: every limit, judged on arrays, made into entries only where shown."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from engine_model.defaults import CLOSE_FROM
from engine_model.limits.belt_limits import (
    judge_belt_grip,
    judge_belt_shift,
    judge_belt_slip,
    judge_belt_speed,
    judge_belt_tension,
    judge_hub_load,
    judge_same_belt,
    judge_smallest_pulley,
)
from engine_model.limits.compressor_limits import (
    judge_choke_margin,
    judge_impeller_speed,
    judge_impeller_speed_over_rev,
    judge_surge_margin,
    judge_tip_speed,
)
from engine_model.limits.engine_limits import (
    judge_air_meter,
    judge_boost,
    judge_charge_temperature,
    judge_exhaust_pressure,
    judge_inlet_depression,
    judge_manifold_sensor,
    judge_piston_speed,
    judge_power_bound,
    judge_torque,
)
from engine_model.limits.fuel_limits import judge_fuel_pump, judge_injector_duty
from engine_model.limits.judging import Check, Judged, Verdict
from engine_model.limits.knock_limits import judge_cylinder_pressure, judge_knock_retard
from engine_model.limits.trust_limits import (
    judge_assumed_inputs,
    judge_map_quality,
    judge_power_sanity,
    judge_share_off_map,
    judge_target_power,
)
from engine_model.results import Entry

Floats = NDArray[np.float64]

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
    Check("belt_grip", "parts", "N", judge_belt_grip),
    Check("belt_slip", "parts", "-", judge_belt_slip, in_span=False, slip_counts=True),
    Check("belt_tension", "parts", "N", judge_belt_tension),
    Check("belt_speed", "parts", "m/s", judge_belt_speed),
    Check("smallest_pulley", "parts", "m", judge_smallest_pulley),
    Check("hub_load", "parts", "N", judge_hub_load),
    Check("belt_shift", "parts", "N", judge_belt_shift),
    Check("same_belt", "parts", "m", judge_same_belt, in_span=False, slip_counts=True),
    Check("injector_duty", "parts", "-", judge_injector_duty),
    Check("fuel_pump", "parts", "m3/s", judge_fuel_pump),
    Check("torque", "parts", "N m", judge_torque),
    Check("power_bound", "parts", "W", judge_power_bound),
    Check("exhaust_pressure", "parts", "Pa", judge_exhaust_pressure),
    Check("manifold_sensor", "parts", "Pa", judge_manifold_sensor),
    Check("air_meter", "parts", "kg/s", judge_air_meter),
    Check("knock_retard", "parts", "deg", judge_knock_retard, span_bound="bounds.knock_retard"),
    Check(
        "cylinder_pressure",
        "parts",
        "Pa",
        judge_cylinder_pressure,
        span_bound="bounds.cylinder_pressure",
    ),
    Check("target_power", "target", "W", judge_target_power),
    Check("share_off_map", "trust", "-", judge_share_off_map),
    Check("assumed_inputs", "trust", "-", judge_assumed_inputs),
    Check("power_sanity", "trust", "lb/(hp h)", judge_power_sanity),
    Check("map_quality", "trust", "-", judge_map_quality),
)
"""Every limit, in the order shown."""


HELD = "with no belt slip, since slip protects nothing"
"""Words for an entry that is worse with no slip."""


def state_of(used: float) -> str:
    """State of a share used: clear below 0.9, close to 1, over above, blank where nan."""
    if np.isnan(used):
        return "blank"
    if used > 1.0:
        return "over"
    return "close" if used >= CLOSE_FROM else "clear"


def judge_all(judged: Judged) -> tuple[Verdict, ...]:
    """Verdicts of every check, in the order of ``CHECKS``."""
    held = judged.line_without_slip
    if held is None:
        return tuple(check.judge(judged) for check in CHECKS)
    belt = judged.belt
    if belt is not None and belt.grip is not None:
        belt = belt.on_line(judged.build.drive, held)
    knock = judged.knock_without_slip
    without = replace(judged, line=held, line_without_slip=None, belt=belt, knock=knock)
    return tuple(
        worse_of(check.judge(judged), check.judge(without)) if check.twice else check.judge(judged)
        for check in CHECKS
    )


def told_size(verdict: Verdict) -> Floats:
    """What a verdict without a share tells: its value, else the first of its numbers; or nan."""
    told = next(iter(verdict.numbers.values()), verdict.value)
    return np.where(np.isnan(verdict.value), told, verdict.value)


def worse_of(found: Verdict, held: Verdict) -> Verdict:
    """Verdict of a limit with the slip found and with none, where each line is the worse.

    Where neither is judged, the one that tells the larger number.
    """
    with np.errstate(invalid="ignore"):
        worse = (held.used > found.used) | (np.isnan(found.used) & ~np.isnan(held.used))
        neither = np.isnan(found.used) & np.isnan(held.used)
        worse |= neither & (told_size(held) > told_size(found))

    def pick(a: Floats, b: Floats) -> Floats:
        return np.where(worse, b, a)

    return Verdict(
        pick(found.used, held.used),
        pick(found.value, held.value),
        pick(found.bound, held.bound),
        pick(found.engine_speed, held.engine_speed),
        found.basis,
        worse,
        {name: pick(array, held.numbers[name]) for name, array in found.numbers.items()},
    )


def entry_of(check: Check, verdict: Verdict, index: int, day: str) -> Entry:
    """Entry of one check on the day of an index of the last axis."""
    used = float(verdict.used[..., index])
    slips = verdict.without_slip
    held = slips is not None and bool(np.broadcast_to(slips, verdict.used.shape)[..., index])
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
        f"{verdict.basis}; {HELD}" if held else verdict.basis,
        held,
        _known(verdict.numbers, index),
    )


def _known(numbers: dict[str, Floats], index: int) -> tuple[tuple[str, float], ...]:
    """Numbers of a day that are known; what is not is left out, since nan equals nothing."""
    pairs = ((name, float(array[..., index])) for name, array in numbers.items())
    return tuple((name, value) for name, value in pairs if not np.isnan(value))


def entries_of_day(
    verdicts: tuple[Verdict, ...], index: int, day_names: tuple[str, ...]
) -> tuple[Entry, ...]:
    """Ledger of one day."""
    pairs = zip(CHECKS, verdicts, strict=True)
    return tuple(entry_of(check, v, index, day_names[index]) for check, v in pairs)


def entries_of_worst_day(
    verdicts: tuple[Verdict, ...], day_names: tuple[str, ...]
) -> tuple[Entry, ...]:
    """Ledger over several days: each entry on the day where most is used, or most is told."""
    entries = []
    for check, verdict in zip(CHECKS, verdicts, strict=True):
        share = verdict.used
        if np.all(np.isnan(share)):
            share = told_size(verdict)
        index = int(np.argmax(np.where(np.isnan(share), -np.inf, share)))
        entries.append(entry_of(check, verdict, index, day_names[index]))
    return tuple(entries)
