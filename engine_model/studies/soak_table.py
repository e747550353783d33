"""The match of one pull for a few coolant temperatures, read by manifold temperature.

The engine feels the coolant through the manifold temperature alone, so that everything of a pull
is read at the manifold temperature that the loop gives, straight between the matches.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.surface import Surface
from engine_model.constants import ZERO_CELSIUS
from engine_model.cooling.loop_intervals import means
from engine_model.defaults import DEFAULTS, LOWEST_ENGINE_SPEED
from engine_model.inputs import Build, Day
from engine_model.matching import match_many

Floats = NDArray[np.float64]

RISES = {
    "liquid": (-8.0, 4.0, 16.0, 32.0, 64.0),
    "air": (-40.0, -20.0, 0.0, 20.0, 45.0, 75.0),
}
"""Coolant temperatures matched, over the one at the start [K]; chosen here. A core's metal stands
nearer to the charge than outside air does: it asks for more of them."""

INTERVALS = 48
"""Intervals of a pull; chosen here: ten pulls in a few hundredths of a second."""


def coolant_rises(build: Build, day: Day) -> tuple[float, ...]:
    """Coolant temperatures over the day's that are matched [K], rising.

    Ice has one of its own, and the outside air of an air-to-air cooler that of the match.
    """
    cooler, row = build.cooler, DEFAULTS["cooler.coolant_rise"]
    rises = [cooler.start_rise + rise for rise in RISES[cooler.kind]]
    if cooler.kind == "air":
        rises.append(cooler.coolant_over_day)
    elif cooler.ice_mass > 0.0:
        rises.append(ZERO_CELSIUS - day.temperature)
    inside = {min(max(rise, row.low), row.high) for rise in rises}
    return tuple(sorted(inside))


def read_between(nodes: Floats, values: Floats, wanted: Floats) -> Floats:
    """Values at wanted places, column by column, straight between nodes and on beyond them.

    Parameters
    ----------
    nodes : ndarray, shape (k, n)
        Rising down each column, or all alike where nothing is taken out of the charge. [K]
    values : ndarray, shape (k, n)
        Values at the nodes, in a unit of their own. [-]
    wanted : ndarray, shape (n,)
        One place a column. [K]

    Returns
    -------
    ndarray, shape (n,)
        In the unit of the values. [-]

    References
    ----------
    Linear interpolation.

    Examples
    --------
    >>> column = np.array([[300.0], [310.0], [330.0]])
    >>> float(read_between(column, 2.0 * column, np.array([315.0]))[0])
    630.0
    """
    columns = np.arange(nodes.shape[1])
    over = np.minimum(np.sum(nodes[1:-1] <= wanted, axis=0), nodes.shape[0] - 2)
    low, high = nodes[over, columns], nodes[over + 1, columns]
    step = high - low
    share = np.where(step > 0.0, (wanted - low) / np.where(step > 0.0, step, 1.0), 0.0)
    below, above = values[over, columns], values[over + 1, columns]
    return np.asarray(below + share * (above - below))


@dataclass(frozen=True, slots=True, eq=False)
class ChargeTable:
    """Matches of one pull, coolant by coolant; shape (coolants, speeds). SI, speeds in rpm.

    Parameters
    ----------
    engine_speed : ndarray, shape (speeds,)
        Speeds at the ends of the intervals. [rpm]
    manifold : ndarray
        Manifold temperature. [K]
    flow : ndarray
        Humid air through the charge core. [kg/s]
    inlet : ndarray
        Temperature of the charge before the core. [K]
    pressure : ndarray
        Pressure of the charge after the core, absolute. [Pa]
    wheel_power : ndarray
        Wheel power. [W]
    """

    engine_speed: Floats
    manifold: Floats
    flow: Floats
    inlet: Floats
    pressure: Floats
    wheel_power: Floats

    @property
    def fault_speed(self) -> float | None:
        """First engine speed at which a match has no solution [rpm]; nothing where all have."""
        known = np.all(np.isfinite(self.manifold + self.flow + self.wheel_power), axis=0)
        missing = self.engine_speed[~known]
        return float(missing[0]) if missing.size else None

    def means(self) -> ChargeTable:
        """The same in the middle of every interval, as means of its ends."""

        def each(values: Floats) -> Floats:
            return np.asarray(0.5 * (values[:, 1:] + values[:, :-1]))

        return ChargeTable(
            means(self.engine_speed),
            each(self.manifold),
            each(self.flow),
            each(self.inlet),
            each(self.pressure),
            each(self.wheel_power),
        )

    def at(self, values: Floats, manifold: Floats) -> Floats:
        """One of the tables at a manifold temperature of every speed [K], in its unit."""
        return read_between(self.manifold, values, manifold)

    def last(self) -> ChargeTable:
        """The limiter alone."""
        return ChargeTable(
            self.engine_speed[-1:],
            self.manifold[:, -1:],
            self.flow[:, -1:],
            self.inlet[:, -1:],
            self.pressure[:, -1:],
            self.wheel_power[:, -1:],
        )


def pull_speeds(build: Build) -> Floats:
    """Engine speeds of a pull, evenly from the line's lowest to the limiter [rpm]."""
    limiter = build.engine.limiter
    return np.linspace(min(LOWEST_ENGINE_SPEED, 0.5 * limiter), limiter, INTERVALS + 1)


def charge_table_steps(
    build: Build, day: Day, surface: Surface | None = None
) -> Iterator[ChargeTable | None]:
    """The table of a pull, a match a step; the table itself is the last one.

    Parameters
    ----------
    build : Build
        The build.
    day : Day
        The day.
    surface : Surface, optional
        The fitted compressor map, where the caller has it.

    Yields
    ------
    ChargeTable or None
        Nothing after every match, then the table. [SI]

    References
    ----------
    :func:`engine_model.matching.match_many`.
    """
    speeds = pull_speeds(build)
    lines = []
    for rise in coolant_rises(build, day):
        cooled = build.with_value("cooler.coolant_rise", rise)
        lines.append(match_many(cooled, [day], speeds, surface=surface).part(0))
        yield None

    def stacked(name: str) -> Floats:
        return np.stack([getattr(line, name) for line in lines])

    yield ChargeTable(
        speeds,
        stacked("manifold_temperature_k"),
        stacked("air_flow_kg_s"),
        stacked("discharge_temperature_k"),
        stacked("manifold_pressure_pa"),
        stacked("wheel_power_w"),
    )
