"""Single matches that the compressor study is compared with; no part of the study between.

Every size of the lattice is a match of its own. Ledger entries alone say what is allowed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from app.paths import sample_builds, sample_maps
from engine_model.files.build_file import load_build
from engine_model.files.map_file import load_map
from engine_model.limits.ledger import CHECKS
from engine_model.matching import default_engine_speeds, match
from engine_model.problem import surface_of
from engine_model.studies.full_throttle import engine_speed_weights
from engine_model.unpack import air_of

OVER = 1.0 + 1e-9
TRIMS = tuple(f"frame-95-{trim}" for trim in ("small", "middle", "large"))
PULLEY = "drive.blower_pulley_diameter"
MORE = {"bounds.boost": 75e3, "bounds.charge_temperature": 355.0, "drive.ribs": 10}
CLOSER = {**MORE, "bounds.belt_speed": 110.0, "bounds.piston_speed": 40.0}
"""Limits that no size changes are out of the way, so that the others decide."""

# a belt of the fitted pulley's length is a matter of the belt bought; slip shows in the grip
LEFT_OUT = {"belt_slip", "same_belt"}
ORDER = {check.code: k for k, check in enumerate(CHECKS)}


def sample_build(name, changes=None):
    return load_build(sample_builds()[name]).with_values(changes or {})


def trims():
    return tuple(load_map(sample_maps()[name]) for name in TRIMS)


def with_map(build, compressor_map):
    """The build with another compressor: its typed impeller limit stays, its step-up goes."""
    if compressor_map == build.blower.compressor_map:
        return build
    blower = replace(build.blower, compressor_map=compressor_map, step_up=None)
    given = build.given - {"blower.step_up"}
    return replace(build, blower=blower, given=given)


@dataclass
class Tried:
    """One size that keeps every limit on every day."""

    size: float
    power: float
    efficiency: float
    shares: tuple
    tightest: tuple


def tried(build, days, size, surface):
    """What single matches say of one size, or nothing where a limit is over on a day."""
    speeds = default_engine_speeds(build)
    powers, efficiencies, used, entries = [], [], {}, []
    for number, day in enumerate(days):
        one = match(build, day, surface=surface)
        counted = [e for e in one.ledger if e.part != "trust" and e.code not in LEFT_OUT]
        if any(e.used > OVER for e in counted) or np.any(np.isnan(one.line.air_flow_kg_s)):
            return None
        for entry in counted:
            if entry.part == "parts" and not np.isnan(entry.used):
                used[entry.code] = max(used.get(entry.code, -np.inf), entry.used)
                entries.append((-entry.used, ORDER[entry.code], number, entry))
        powers.append(float(np.max(one.line.wheel_power_w)))
        air = air_of([day]).density
        weights = engine_speed_weights(build, speeds, one.line.wheel_power_w, air_density=air[0])
        efficiencies.append(float(np.sum(weights * one.line.efficiency)))
    shares = tuple(sorted((round(u, 9) for u in used.values()), reverse=True))
    entry = min(entries, key=lambda item: item[:3])[3]
    told = (entry.code, entry.day, entry.used, entry.value, entry.bound, entry.engine_speed_rpm)
    return Tried(size, min(powers), min(efficiencies), shares, told)


def sweep(build, days, sizes, change):
    """Every size that is allowed, from mild to strong."""
    surface = surface_of(build)
    found = (tried(change(build, size), days, size, surface) for size in sizes)
    return [one for one in found if one is not None]


def with_pulley(build, size):
    return build.with_value(PULLEY, float(size))


KEYS = {
    "target_headroom": lambda one: one.shares,
    "power": lambda one: (-round(one.power, 3),),
    "efficiency": lambda one: (-round(one.efficiency, 9),),
}


def best_of(allowed, aim):
    """The best size under an aim, the mildest of equal ones; none of none."""
    return min(allowed, key=KEYS[aim], default=None)


def told(row):
    """The same of a row of the study."""
    entry = row.tightest
    return (entry.code, entry.day, entry.used, entry.value, entry.bound, entry.engine_speed_rpm)
