"""Which inputs bear on a build, and how many of them nobody has set."""

from __future__ import annotations

from typing import Final

from engine_model.cooler_rows import UNUSED_LOOP_PATHS
from engine_model.defaults import DEFAULTS
from engine_model.inputs import INPUT_PATHS, Build
from engine_model.plan_layout import told_paths
from engine_model.surge_rows import SURGE_PATHS
from engine_model.vehicle_rows import VEHICLE_PATHS

_FREE_SHAFT_ONLY: Final = frozenset(
    {"drive.boost_schedule", "drive.boost_schedule_basis", "exhaust.turbine_back_pressure"}
)
_BELT_BOUNDS = ("bounds.belt_speed", "bounds.belt_slip", "bounds.hub_load", "bounds.belt_shift")
_BELT_ONLY: Final = frozenset(
    {p for p in INPUT_PATHS if p.startswith("drive.")} - {"drive.kind"} - _FREE_SHAFT_ONLY
) | frozenset(_BELT_BOUNDS)
_OF_RUN: Final = frozenset(p for p in VEHICLE_PATHS if p.startswith("vehicle."))
_MAY_BE_BLANK: Final = frozenset(p for p in INPUT_PATHS if DEFAULTS[p].origin.startswith("blank"))


def unused_inputs(build: Build) -> frozenset[str]:
    """Paths of inputs that the kinds of drive and charge cooler have no use for."""
    unused = frozenset[str]() if build.drive.kind == "belt" else _BELT_ONLY
    if build.drive.kind != "free_shaft":
        unused |= _FREE_SHAFT_ONLY
    if build.drive.kind == "none":
        unused |= SURGE_PATHS
    return unused | UNUSED_LOOP_PATHS[build.cooler.kind]


def idle_inputs(build: Build) -> frozenset[str]:
    """Paths of inputs that move nothing told of the build: unused ones, those of car and surge.

    The car's count where it is given or engine speeds are weighed by its run; the points of the
    weighting where it is typed; those of surge in time where a bypass valve is named, which the
    ledger then judges.
    """
    idle = unused_inputs(build)
    if build.surge.valve_diameter is None:
        idle |= SURGE_PATHS
    kind = build.weighting.kind
    if kind != "run" and "vehicle.mass" not in build.given:
        idle |= _OF_RUN
    return idle if kind == "typed" else idle | {"weighting.points"}


def assumed_inputs(build: Build) -> tuple[str, ...]:
    """Paths of inputs that nobody has set and that bear on the build, in the order of the table.

    Limits left blank are no inputs, and what a layout of the belt tells is not assumed.
    """
    apart = build.given | told_paths(build.layout, build.drive) | idle_inputs(build)
    return tuple(
        path
        for path in INPUT_PATHS
        if path not in apart and not (path in _MAY_BE_BLANK and build.value(path) is None)
    )


def count_inputs(build: Build) -> tuple[int, int]:
    """Assumed inputs, and those with the given ones."""
    assumed = len(assumed_inputs(build))
    return assumed, assumed + len(build.given | told_paths(build.layout, build.drive))
