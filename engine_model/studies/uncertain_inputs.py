"""The inputs that carry a spread in the error bars: one row each, with what the spread comes from.

Every spread is one standard deviation of a normal distribution about the input's value. A value
that was given is trusted twice as far as one that is assumed: half the spread.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.surface import SURGE_BAND
from engine_model.constants import STANDARD_PRESSURE
from engine_model.default_row import CHOSEN
from engine_model.defaults import DEFAULTS
from engine_model.errors import InputError
from engine_model.inputs import NAMED_DAYS, Build, Day, Variation

Floats = NDArray[np.float64]

GIVEN_SHARE: Final = 0.5
"""Spread of a given value over that of an assumed one [-]; chosen here, no source."""

GIVEN, ASSUMED, DERIVED = "given", "assumed", "derived"
"""Whether the value was set by the user, is a default, or follows from what was set."""

STOCK_FIGURES = ("engine.stock_torque", "engine.stock_power")
STOCK_SPREAD: Final = 0.10
"""Spread of a breathing fitted from stock figures that nobody has set [-]; as theirs, a tenth."""

MAP_EFFICIENCY, MAP_FLOW = 0.015, 0.02
"""Spreads of a traced compressor map's efficiency and flow [-]; chosen here, no source."""


@dataclass(frozen=True, slots=True)
class InputSpread:
    """Spread of one input.

    Parameters
    ----------
    key : str
        Stable name of the row.
    path : str
        Path of the input that it belongs to; empty where it is the compressor map's or the day's.
    size : float
        One standard deviation, of the unit; 0 where the input is held. On the day shown.
    unit : str
        Unit of the size; ``-`` for shares.
    basis : str
        ``given``, ``assumed`` or ``derived``.
    origin : str
        Where the size comes from.
    """

    key: str
    path: str
    size: float
    unit: str
    basis: str
    origin: str


Known = tuple[str, float, str, str]
"""Path, size, basis, origin."""


@dataclass(frozen=True, slots=True)
class UncertainInput:
    """One row: how large the spread is, and what it does to the match.

    Parameters
    ----------
    key : str
        Stable name.
    unit : str
        Unit of the size.
    known : callable
        Path, size, basis and origin for a build on a day; nothing where it has no such input.
    field : str
        What it varies: a field of ``Variation``.
    varied : callable
        Its values from the build and what is added to the input, of the unit.
    """

    key: str
    unit: str
    known: Callable[[Build, Day], Known | None]
    field: str
    varied: Callable[[Build, Floats], Floats]


def _of_path(path: str, size: float | None = None) -> Callable[[Build, Day], Known]:
    """Usual spread of the table of defaults, or a size."""

    def known(build: Build, day: Day) -> Known:
        row = DEFAULTS[path]
        usual = row.spread if size is None else size
        if path in build.given:
            return path, GIVEN_SHARE * usual, GIVEN, "half the usual spread; " + CHOSEN
        return path, usual, ASSUMED, "usual spread of the default; " + row.origin

    return known


def _where(
    applies: Callable[[Build], bool], known: Callable[[Build, Day], Known]
) -> Callable[[Build, Day], Known | None]:
    return lambda build, day: known(build, day) if applies(build) else None


def _breathing(build: Build, day: Day) -> Known:
    path, usual = "engine.volumetric_efficiency", DEFAULTS["engine.volumetric_efficiency"].spread
    if build.engine.volumetric_efficiency is not None:
        return path, GIVEN_SHARE * usual, GIVEN, "half the usual spread; " + CHOSEN
    if all(figure in build.given for figure in STOCK_FIGURES):
        return path, usual, DERIVED, "fitted from the stock figures given; " + CHOSEN
    return path, STOCK_SPREAD, ASSUMED, "fitted from stock figures that nobody has set: a tenth"


def _of_map(size: float) -> Callable[[Build, Day], Known]:
    def known(build: Build, day: Day) -> Known:
        cmap = build.blower.compressor_map
        if cmap is not None and cmap.provenance.kind == "measured":
            return "", GIVEN_SHARE * size, GIVEN, "a measured map: half that of a traced one"
        return "", size, ASSUMED, "reading of a traced map; " + CHOSEN

    return known


def _map_efficiency(build: Build, day: Day) -> Known:
    cmap = build.blower.compressor_map
    if cmap is not None and not cmap.has_efficiency:
        return _of_path("blower.typed_efficiency")(build, day)
    return _of_map(MAP_EFFICIENCY)(build, day)


def _surge_flow(build: Build, day: Day) -> Known:
    origin = (
        "left-out lines of the NASA CC3 maps; least on a traced line, most half-way to the next"
    )
    return "", SURGE_BAND, ASSUMED, origin


def _schedule(build: Build, day: Day) -> Known:
    """Spread of the schedule over its highest boost [-]."""
    path, size, basis, origin = _of_path("drive.boost_schedule")(build, day)
    drive = build.drive
    highest = max(boost for _, boost in drive.boost_schedule)
    if drive.boost_schedule_basis == "absolute":
        highest -= STANDARD_PRESSURE
    return path, size / highest if highest > size else 0.0, basis, origin


def _of_day(name: str) -> Callable[[Build, Day], Known]:
    usual = DEFAULTS[f"day.{name}"].spread

    def known(build: Build, day: Day) -> Known:
        own = NAMED_DAYS.get(day.name) != day and getattr(day, name) is not None
        if own:
            return "", GIVEN_SHARE * usual, GIVEN, "a day of your own: half that of a named one"
        return "", usual, ASSUMED, "what a named day can vary; " + CHOSEN

    return known


def _blown(build: Build) -> bool:
    return build.drive.kind != "none"


def _belt(build: Build) -> bool:
    return build.drive.kind == "belt"


def _free(build: Build) -> bool:
    return build.drive.kind == "free_shaft"


def _cooled(build: Build) -> bool:
    return _blown(build) and build.cooler.kind != "none"


def _factor(build: Build, shift: Floats) -> Floats:
    return np.maximum(1.0 + shift, 0.0)


def _shift(build: Build, shift: Floats) -> Floats:
    return shift


def _value(path: str) -> Callable[[Build, Floats], Floats]:
    """The input itself, held within its allowed range."""

    def varied(build: Build, shift: Floats) -> Floats:
        row = DEFAULTS[path]
        return np.asarray(np.clip(build.value(path) + shift, row.low, row.high))

    return varied


def _friction(build: Build, shift: Floats) -> Floats:
    return _value("engine.friction_scale")(build, shift) / build.engine.friction_scale


BLOWER, CRANK = "drive.blower_pulley_diameter", "drive.crank_pulley_diameter"
EFFECTIVENESS, COOLER_LOSS = "cooler.effectiveness", "cooler.pressure_loss"
FRICTION, DRIVELINE = "engine.friction_scale", "driveline.loss"
_U = UncertainInput

UNCERTAIN: Final[tuple[UncertainInput, ...]] = (
    _U("volumetric_efficiency", "-", _breathing, "volumetric_efficiency_factor", _factor),
    _U(
        "map_efficiency",
        "-",
        _where(_blown, _map_efficiency),
        "compressor_efficiency_shift",
        _shift,
    ),
    _U("map_flow", "-", _where(_blown, _of_map(MAP_FLOW)), "compressor_flow_factor", _factor),
    _U(
        "surge_flow",
        "-",
        _where(_blown, _surge_flow),
        "surge_flow_shift",
        lambda build, shift: shift / SURGE_BAND,
    ),
    _U(
        "blower_pulley",
        "m",
        _where(_belt, _of_path(BLOWER)),
        "blower_pulley_diameter",
        _value(BLOWER),
    ),
    _U("crank_pulley", "m", _where(_belt, _of_path(CRANK)), "crank_pulley_diameter", _value(CRANK)),
    _U("boost_schedule", "-", _where(_free, _schedule), "boost_factor", _factor),
    _U(
        "cooler_effectiveness",
        "-",
        _where(_cooled, _of_path(EFFECTIVENESS)),
        "cooler_effectiveness",
        _value(EFFECTIVENESS),
    ),
    _U(
        "cooler_pressure_loss",
        "Pa",
        _where(_cooled, _of_path(COOLER_LOSS)),
        "cooler_pressure_loss",
        _value(COOLER_LOSS),
    ),
    _U("friction", "-", _of_path(FRICTION), "friction_factor", _friction),
    _U("driveline_loss", "-", _of_path(DRIVELINE), "driveline_loss", _value(DRIVELINE)),
    _U("day_temperature", "K", _of_day("temperature"), "day_temperature_shift", _shift),
    _U("day_pressure", "Pa", _of_day("pressure"), "day_pressure_shift", _shift),
    _U("day_humidity", "-", _of_day("relative_humidity"), "day_humidity_shift", _shift),
)
"""Every input with a spread; its place is its axis in the draws, whatever the build."""

KEYS: Final = tuple(row.key for row in UNCERTAIN)


def spread_table(
    build: Build, days: Sequence[Day], sizes: Mapping[str, float] | None = None
) -> tuple[tuple[InputSpread, ...], Floats]:
    """Spreads of a build's inputs, and their sizes as an array.

    Parameters
    ----------
    build : Build
        The build.
    days : sequence of Day
        The days; the first is the one shown.
    sizes : mapping of str to float, optional
        Sizes of your own by key, one standard deviation; 0 holds an input. [unit of the row]

    Returns
    -------
    spreads : tuple of InputSpread
        One for each input that the build has.
    table : ndarray, shape (inputs, days)
        Sizes of every row of ``UNCERTAIN``; 0 where the build has no such input. [unit of the row]

    Raises
    ------
    InputError
        For a key that is none, or a size below 0.

    References
    ----------
    The table of defaults; what is not there is chosen here, and its row says so.
    """
    own = dict(sizes or {})
    for key, size in own.items():
        if key not in KEYS:
            raise InputError("spreads", key, "one of " + ", ".join(KEYS))
        if not (np.isfinite(size) and size >= 0.0):
            raise InputError(f"spreads.{key}", size, "0 or more, one standard deviation")
    found, table = [], np.zeros((len(UNCERTAIN), len(days)))
    for k, row in enumerate(UNCERTAIN):
        for j, day in enumerate(days):
            known = row.known(build, day)
            if known is None:
                continue
            path, size, basis, origin = known
            if row.key in own:
                size, basis, origin = float(own[row.key]), GIVEN, "a spread of your own"
            table[k, j] = size
            if j == 0:
                found.append(InputSpread(row.key, path, size, row.unit, basis, origin))
    return tuple(found), table


def variation_of(build: Build, table: Floats, draws: Floats) -> Variation:
    """Variation of samples.

    Parameters
    ----------
    build : Build
        The build.
    table : ndarray, shape (inputs, days)
        Sizes of the spreads, from :func:`spread_table`. [unit of the row]
    draws : ndarray, shape (samples, inputs)
        Standard normal draws. [-]

    Returns
    -------
    Variation
        Arrays of axes (sample, day, engine speed); inputs that are held are left out. SI

    References
    ----------
    Normal distribution; a value past its allowed range is held at the end of it.
    """
    values = {"volumetric_efficiency_factor": np.ones((draws.shape[0], 1, 1))}
    for k, row in enumerate(UNCERTAIN):
        if not np.any(table[k]):
            continue
        shift = draws[:, k, None, None] * table[k][None, :, None]
        values[row.field] = row.varied(build, shift)
    return Variation(**values)
