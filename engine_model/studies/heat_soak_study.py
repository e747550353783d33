"""Heat soak: a charge cooler over pull after pull, and what it costs.

A pull is a full-throttle run from the line's lowest engine speed to the limiter, the engine speed
rising evenly. Between pulls the charge stands, pump and fan run on.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.surface import Surface
from engine_model.cooling.heat_soak import Soak
from engine_model.cooling.loop_intervals import Surroundings
from engine_model.inputs import Build, Day
from engine_model.problem import surface_of
from engine_model.studies.soak_air import air_on_day
from engine_model.studies.soak_around import CoolerOnDay
from engine_model.studies.soak_loop import loop_on_day
from engine_model.studies.soak_records import (
    NO_COOLER,
    NO_MATCH,
    HeatSoak,
    PullFigures,
    SoakCourse,
)
from engine_model.studies.soak_table import ChargeTable, charge_table_steps

Floats = NDArray[np.float64]

AGREED = 1e-3
"""Manifold temperature of cooler and match that counts as the same [K]; chosen here."""

MOST_ROUNDS = 12
"""Rounds at most until they agree; each leaves a fiftieth of the error."""

ON_DAY: dict[str, Callable[[Build, Day], CoolerOnDay]] = {"air": air_on_day, "liquid": loop_on_day}
"""What makes a build's cooler on a day, by its kind."""


def _ends(means: Floats) -> tuple[float, float]:
    """Values at both ends [K], straight on from the means of the outermost intervals [K]."""
    first, last = 1.5 * means[0] - 0.5 * means[1], 1.5 * means[-1] - 0.5 * means[-2]
    return float(first), float(last)


class _Stretches:
    """Pulls and pauses as they are worked out, one after another."""

    def __init__(self, on_day: CoolerOnDay, table: ChargeTable, ice_mass: float) -> None:
        self.on_day, self.table, self.limiter = on_day, table.means(), table.last()
        self.state = on_day.begun(ice_mass)
        self.guess = self.table.manifold[0]
        self.done: list[tuple[Surroundings, Soak, int]] = []
        self.power: list[float] = []

    def pull(self, number: int, seconds: float) -> None:
        """A pull: match and loop agree on the manifold temperature."""
        for _ in range(MOST_ROUNDS):
            around = self.on_day.around.pull(self.table, self.guess, seconds)
            result, after = self.on_day.soaked(around, self.state)
            apart = float(np.max(np.abs(result.charge_outlet - self.guess)))
            self.guess = result.charge_outlet
            if apart < AGREED:
                break
        self.state = after
        self.done.append((around, result, number))
        limiter = self.limiter
        ended = np.array([_ends(self.guess)[1]])
        self.power.append(float(limiter.at(limiter.wheel_power, ended)[0]))

    def pause(self, seconds: float) -> None:
        """A pause, where there is one."""
        around = self.on_day.around.pause(seconds)
        if around is not None:
            result, self.state = self.on_day.soaked(around, self.state)
            self.done.append((around, result, -1))

    def figures(self) -> PullFigures:
        """What each pull did."""
        pulls = [result for _, result, number in self.done if number >= 0]
        power = np.array(self.power)
        ends = np.array([_ends(one.charge_outlet) for one in pulls])
        inner = np.array([one.charge_outlet.max() for one in pulls])
        return PullFigures(
            ends[:, 0],
            np.maximum(inner, ends.max(axis=1)),
            ends[:, 1],
            np.array([one.liquid[0] for one in pulls]),
            np.array([one.liquid[-1] for one in pulls]),
            np.array([one.core[0] for one in pulls]),
            np.array([one.core[-1] for one in pulls]),
            power,
            power[0] - power,
            np.array([one.from_charge.sum() for one in pulls]),
            np.array([one.condensed.sum() for one in pulls]),
            np.array([one.ice[-1] for one in pulls]),
        )

    def course(self) -> SoakCourse:
        """All of it in time."""
        first = self.done[0][1]
        times = [np.zeros(1)]
        coolant, core = [first.liquid[:1]], [first.core[:1]]
        manifold, speed, pulls = [], [], []
        for around, result, number in self.done:
            times.append(times[-1][-1] + result.time[1:])
            coolant.append(result.liquid[1:])
            core.append(result.core[1:])
            none = np.full(around.duration.size, np.nan)
            manifold.append(result.charge_outlet if number >= 0 else none)
            speed.append(self.table.engine_speed if number >= 0 else none)
            pulls.append(np.full(around.duration.size, number))
        return SoakCourse(
            np.concatenate(times),
            np.concatenate(coolant),
            np.concatenate(core),
            np.concatenate(manifold),
            np.concatenate(speed),
            np.concatenate(pulls),
        )

    def imbalance(self) -> float:
        """Energy stored less energy in, over the energy that moved [-]."""
        net = moved = 0.0
        for _, one, _ in self.done:
            into = one.from_charge + one.from_bay - one.to_front
            net += float(np.sum(one.stored - into))
            moved += float(np.sum(np.abs(one.from_charge) + np.abs(one.from_bay)))
            moved += float(np.sum(np.abs(one.to_front)))
        return net / moved if moved > 0.0 else 0.0


def soak_steps(
    build: Build, day: Day, on_day: CoolerOnDay, table: ChargeTable
) -> Iterator[HeatSoak | None]:
    """Pulls of a cooler on its table, a pull a step; the study itself is the last one.

    Parameters
    ----------
    build : Build
        The build: number of pulls, their time, and its bound.
    day : Day
        The day.
    on_day : CoolerOnDay
        Its cooler.
    table : ChargeTable
        Matches of a pull.

    Yields
    ------
    HeatSoak or None
        Nothing after every pull, then the study. [SI]

    References
    ----------
    :func:`engine_model.cooling.heat_soak.soak`,
    :func:`engine_model.cooling.air_core.air_soak`.
    """
    fault = table.fault_speed
    if fault is not None:
        yield HeatSoak(build, day, NO_MATCH, fault)
        return
    cooler = build.cooler
    stretches = _Stretches(on_day, table, cooler.ice_mass)
    for number in range(cooler.pulls):
        if number > 0:
            stretches.pause(cooler.pause_time)
        stretches.pull(number, cooler.pull_time)
        yield None
    figures = stretches.figures()
    over = np.flatnonzero(figures.manifold_peak > build.bounds.charge_temperature)
    yield HeatSoak(
        build,
        day,
        pulls=figures,
        course=stretches.course(),
        settled=on_day.settled(table),
        over_at=int(over[0]) if over.size else None,
        imbalance=stretches.imbalance(),
    )


def heat_soak_steps(
    build: Build, day: Day, surface: Surface | None = None
) -> Iterator[HeatSoak | None]:
    """Heat soak a step at a time, for a caller that works in idle time.

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
    HeatSoak or None
        Nothing after every match and every pull, then the study. [SI]

    References
    ----------
    As :func:`heat_soak`.
    """
    if build.cooler.kind not in ON_DAY:
        yield HeatSoak(build, day, NO_COOLER)
        return
    on_day = ON_DAY[build.cooler.kind](build, day)
    fitted = surface_of(build, surface)
    for table in charge_table_steps(build, day, fitted):
        if table is None:
            yield None
        else:
            yield from soak_steps(build, day, on_day, table)


def heat_soak(build: Build, day: Day, surface: Surface | None = None) -> HeatSoak:
    """Pull after pull of a build with a charge cooler on a day.

    Parameters
    ----------
    build : Build
        The build.
    day : Day
        The day.
    surface : Surface, optional
        The fitted compressor map, where the caller has it.

    Returns
    -------
    HeatSoak
        Pull by pull and in time, or why nothing could be worked out. [SI]

    Raises
    ------
    InputError
        For figures of the cooler that cannot be.

    References
    ----------
    Energy balances of charge core and reservoir between matches at several temperatures of
    coolant or outside air; exchangers by effectiveness (Kays & London).
    """
    return next(one for one in heat_soak_steps(build, day, surface) if one is not None)
