"""Which assumed inputs move the target most: each changed alone by its usual spread."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from engine_model.compressor.surface import Surface
from engine_model.cooler_rows import LOOP_PATHS
from engine_model.default_row import Default
from engine_model.defaults import DEFAULTS
from engine_model.engine.stock_fit import rated_flow
from engine_model.errors import InputError
from engine_model.fuel.fuels import fuel_named
from engine_model.fuel_choice import ethanol_share_of, fuel_of
from engine_model.fuel_run import injector_count
from engine_model.inputs import INPUT_PATHS, Build, Day
from engine_model.matching import match_many
from engine_model.problem import surface_of
from engine_model.stock_points import stock_figures
from engine_model.surge_rows import SURGE_PATHS
from engine_model.vehicle_rows import VEHICLE_PATHS

Table = tuple[tuple[float, float], ...]

_HALVINGS = 30


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """What one assumed input does to the highest power.

    Parameters
    ----------
    path : str
        Path of the input.
    spread : float
        Usual spread either side, of the table of defaults, SI.
    effect_w : float
        Half the difference between the highest power with the input up and down by its
        spread; negative where more of it costs power; nan where the match refuses either. [W]
    effect_share : float
        The same over the highest power of the build as it is. [-]
    """

    path: str
    spread: float
    effect_w: float
    effect_share: float


def _rated_flow(build: Build) -> float:
    stock_fuel = fuel_named(build.engine.stock_fuel, "engine.stock_fuel")
    return rated_flow(stock_figures(build), stock_fuel)


def _maximum_impeller_speed(build: Build) -> float | None:
    cmap = build.blower.compressor_map
    return None if cmap is None else cmap.maximum_speed


def _tension_of(build: Build, tensioner: str) -> float | None:
    """Tension that a kind of tensioning keeps; nothing with the other kind."""
    return build.drive.rib_tension if build.drive.tensioner == tensioner else None


_DERIVED: dict[str, Callable[[Build], float | None]] = {
    "engine.stroke": lambda build: build.engine.piston_stroke,
    "engine.over_rev": lambda build: build.engine.over_rev_speed,
    "engine.rated_flow": _rated_flow,
    "engine.ethanol_share": lambda build: ethanol_share_of(build.engine),
    "engine.octane": lambda build: fuel_of(build.engine).octane,
    "blower.step_up": lambda build: build.blower.gear_ratio,
    "blower.maximum_impeller_speed": _maximum_impeller_speed,
    "drive.pitch_offset": lambda build: build.drive.pitch_line,
    "drive.crank_wrap": lambda build: build.drive.crank_arc,
    "drive.mass_per_rib": lambda build: build.drive.rib_mass,
    "drive.sprung_tension": lambda build: _tension_of(build, "sprung"),
    "drive.fixed_tension": lambda build: _tension_of(build, "fixed"),
    "drive.tension_allowance": lambda build: build.drive.rib_allowance,
    "drive.smallest_pulley": lambda build: build.drive.least_pulley,
    "fuel_system.injectors": injector_count,
    "fuel_system.pump_pressure": lambda build: build.fuel_system.rated_pump_pressure,
    "vehicle.shift_speed": lambda build: build.engine.limiter,
    "cooler.coolant_rise": lambda build: build.cooler.coolant_over_day,
}
"""Numbers of inputs left to be derived. A fitted volumetric efficiency is not among them: it is
what the stock figures say, and those have spreads of their own."""


def derived_value(build: Build, path: str) -> float | None:
    """Number that stands in for an input left blank; nothing where it is given or none does.

    Parameters
    ----------
    build : Build
        The build.
    path : str
        Path of the input.

    Returns
    -------
    float or None
        The number. [SI]

    References
    ----------
    Where each is derived: over-rev and stroke with the engine's figures, the rated flow with the
    stock engine, gear and largest speed with the compressor map.
    """
    if build.value(path) is not None or path not in _DERIVED:
        return None
    return _DERIVED[path](build)


def _value_of(build: Build, path: str) -> float | Table | None:
    value = build.value(path)
    if value is None:
        return derived_value(build, path)
    return value if isinstance(value, tuple) else float(value)


_NO_POWER = frozenset(
    f"drive.{name}"
    for name in (
        "tension_allowance",
        "smallest_pulley",
        "impeller_inertia",
        "shift_drop",
        "shift_time",
        "fitted_pulley_diameter",
        "belt_take_up",
    )
).union(
    LOOP_PATHS,
    VEHICLE_PATHS,
    SURGE_PATHS,
    (path for path in INPUT_PATHS if path.startswith("fuel_system.")),
)
"""Inputs that are judged but move no power."""


def studied_inputs(build: Build) -> tuple[str, ...]:
    """Paths of the assumed inputs that have a usual spread and a value, in reading order."""
    return tuple(
        path
        for path in INPUT_PATHS
        if path not in build.given
        and path not in _NO_POWER
        and DEFAULTS[path].spread > 0.0
        and _value_of(build, path) is not None
    )


def _shifted(row: Default, value: float | Table, step: float) -> float | Table:
    """Value plus a step, within the allowed range; a table moves as a whole."""
    if isinstance(value, tuple):
        return tuple((x, min(max(y + step, row.low), row.high)) for x, y in value)
    return min(max(value + step, row.low), row.high)


def _changed(build: Build, path: str, value: float | Table, step: float) -> Build:
    """The build with an input moved by a step, or as far towards it as its other inputs allow."""
    row = DEFAULTS[path]
    try:
        return build.with_value(path, _shifted(row, value, step))
    except InputError:
        nearest = build
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        share = 0.5 * (low + high)
        try:
            nearest = build.with_value(path, _shifted(row, value, share * step))
        except InputError:
            high = share
        else:
            low = share
    return nearest


def _judged_day(build: Build, day: Day) -> Day:
    target = build.target
    if target.power is None or target.day is None:
        return day
    return build.known_days()[target.day]


def _highest_power(build: Build, day: Day, surface: Surface | None) -> float:
    """Highest power on the line, at the target's basis; nan where nothing balances [W]."""
    line = match_many(build, [day], surface=surface)
    at_flywheel = build.target.power is not None and build.target.basis == "flywheel"
    power = line.flywheel_power_w if at_flywheel else line.wheel_power_w
    found = power[np.isfinite(power)]
    return float(found.max()) if found.size else math.nan


def _power_or_nan(build: Build, day: Day, surface: Surface | None) -> float:
    try:
        return _highest_power(build, day, surface)
    except InputError:
        return math.nan


def sensitivity_steps(
    build: Build, day: Day, *, surface: Surface | None = None
) -> Iterator[Sensitivity | None]:
    """Effects of the assumed inputs one by one, for a caller that computes in idle time.

    Parameters
    ----------
    build : Build
        The build.
    day : Day
        The day shown; the target's own day is taken where it names one.
    surface : Surface, optional
        The fitted compressor map, where the caller has it.

    Yields
    ------
    Sensitivity or None
        An effect after each input, in reading order; None where the work can be paused in
        between, so that no stretch is longer than one match (or one fit of a map, where the
        efficiency of a map without any is the input).

    Raises
    ------
    InputError
        Where the build itself cannot be matched.

    References
    ----------
    One-at-a-time change about the build, central difference over the usual spread.
    """
    where = _judged_day(build, day)
    fitted = surface_of(build, surface)
    if fitted is not surface:
        yield None
    base = _highest_power(build, where, fitted)
    yield None
    for path in studied_inputs(build):
        value, spread = _value_of(build, path), DEFAULTS[path].spread
        if value is None:
            continue
        powers = []
        for step in (spread, -spread):
            changed = _changed(build, path, value, step)
            # another fit where the input is the efficiency of a map without any
            own = surface_of(changed, fitted)
            if own is not fitted:
                yield None
            powers.append(_power_or_nan(changed, where, own))
            if step > 0.0:
                yield None
        effect = 0.5 * (powers[0] - powers[1])
        share = effect / base if base > 0.0 else math.nan
        yield Sensitivity(path, spread, effect, share)


def ranked(found: Iterable[Sensitivity]) -> tuple[Sensitivity, ...]:
    """Effects in order of size, the largest first; those that could not be computed last."""

    def size(one: Sensitivity) -> float:
        return math.inf if math.isnan(one.effect_w) else -abs(one.effect_w)

    return tuple(sorted(found, key=size))


def assumed_that_matter(
    build: Build, day: Day, *, surface: Surface | None = None, limit: int | None = None
) -> tuple[Sensitivity, ...]:
    """Assumed inputs by their effect on the highest power.

    Each assumed input is moved alone, up and down by its usual spread (less where its range
    or the other inputs do not allow it). Choices, counts, bounds and blanks are left out.

    Parameters
    ----------
    build : Build
        The build.
    day : Day
        The day shown; the target's own day is taken where it names one.
    surface : Surface, optional
        The fitted compressor map, where the caller has it.
    limit : int, optional
        How many are returned; all unless given.

    Returns
    -------
    tuple of Sensitivity
        The largest effect first. The power is the target's, at wheels or flywheel; the
        highest wheel power where there is no target.

    References
    ----------
    As :func:`sensitivity_steps`.
    """
    steps = sensitivity_steps(build, day, surface=surface)
    found = ranked(one for one in steps if one is not None)
    return found if limit is None else found[:limit]
