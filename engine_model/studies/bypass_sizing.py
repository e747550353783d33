"""How large a bypass valve must be to keep a lifted throttle out of surge."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from engine_model.compressor.surface import Surface
from engine_model.compressor.surge_cycles import count_cycles
from engine_model.compressor.surge_dynamics import run_in_time, settled_state
from engine_model.errors import InputError
from engine_model.inputs import Build, Day
from engine_model.limits.ledger import state_of
from engine_model.problem import surface_of
from engine_model.results import Entry
from engine_model.studies.surge_run import QUIET_BEFORE
from engine_model.studies.surge_setup import SurgeSetup, surge_setup
from engine_model.surge_rows import VALVE_CODE

LARGEST_VALVE = 0.10
"""Largest bore tried [m]; chosen here."""

LOOKED_AT = (0.0, 0.02, 0.03, 0.04, 0.055, 0.075, LARGEST_VALVE)
"""Bores tried before the search between two of them [m]; chosen here."""

FINE = 2.5e-4
"""Width at which the search ends [m]: a quarter of a millimetre."""

SHARE_OF_LIMITER = (0.4, 0.55, 0.7, 0.85, 1.0)
"""Engine speeds of a curve over the limiter [-]; chosen here."""

AFTER_LIFT = 0.6
"""Time looked at after the throttle is shut [s]; a cycle that lasts is seen in it."""

COARSE = 1e-4
"""Relative tolerance of the runs [-]."""


@dataclass(frozen=True, slots=True)
class ValveSize:
    """Smallest valve at one engine speed.

    Parameters
    ----------
    engine_speed : float
        Engine speed. [rpm]
    diameter : float
        Smallest bore that keeps the lift out of surge; 0 where none is needed, nan where none
        of those tried does, where the build has no match, or the line is weak. [m]
    reverses_without : bool
        Whether the flow turns back without a valve.
    plain : bool
        Whether every larger bore tried keeps it out too.
    solved : bool
        Whether the build has a match there.
    weak : bool
        Whether the line is too weak at surge to be judged (``bounds.surge_judged_above``).
    """

    engine_speed: float
    diameter: float
    reverses_without: bool
    plain: bool
    solved: bool = True
    weak: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class ValveCurve:
    """Smallest valve over engine speed.

    Parameters
    ----------
    build : Build
        The build.
    day : Day
        The day.
    sizes : tuple of ValveSize
        By rising engine speed.
    to_come : int
        Engine speeds asked for that are not worked out. [-]
    """

    build: Build
    day: Day
    sizes: tuple[ValveSize, ...]
    to_come: int = 0

    @property
    def largest(self) -> ValveSize | None:
        """The hardest engine speed judged; one that no valve keeps out first."""
        judged = [one for one in self.sizes if one.solved and not one.weak]
        if not judged:
            return None
        return max(judged, key=lambda one: math.inf if math.isnan(one.diameter) else one.diameter)

    @property
    def at_edge(self) -> bool:
        """Whether the hardest engine speed is the lowest judged, so that a harder one may hide."""
        hardest = self.largest
        if hardest is None or hardest.diameter == 0.0:
            return False
        judged = [one.engine_speed for one in self.sizes if one.solved and not one.weak]
        return len(judged) > 1 and hardest.engine_speed == min(judged)


def surges(setup: SurgeSetup, diameter: float, start: list[float] | None = None) -> bool:
    """Whether a lift surges with a valve: the flow turns back, or it goes on swinging.

    Parameters
    ----------
    setup : SurgeSetup
        The build made ready.
    diameter : float
        Bore of the valve. [m] 0 is none
    start : list of float, optional
        The settled beginning, where the caller has it. [SI]

    Returns
    -------
    bool
        Whether it does.

    References
    ----------
    :mod:`engine_model.compressor.surge_dynamics`.
    """
    plant = replace(setup.plant, valve=replace(setup.plant.valve, diameter=diameter))
    shut = QUIET_BEFORE + setup.build.surge.lift_time
    throttle = ((0.0, setup.open_area), (QUIET_BEFORE, setup.open_area), (shut, setup.shut_area))
    speed = ((0.0, setup.engine_speed),)
    run = run_in_time(plant, throttle, speed, shut + AFTER_LIFT, start, tolerance=COARSE)
    found = count_cycles(run)
    return found.reverses or found.lasts


def smallest_valve(setup: SurgeSetup) -> ValveSize:
    """Smallest bypass valve that keeps a lift out of surge at one engine speed.

    Parameters
    ----------
    setup : SurgeSetup
        The build made ready at that engine speed.

    Returns
    -------
    ValveSize
        The bore. [m]

    Notes
    -----
    A larger valve is taken to be the safer one. That is looked at on a few bores first; where it
    does not hold, the largest bore at which the answer changes is told, and that it is not plain.

    References
    ----------
    None: bisection.
    """
    if setup.is_weak:
        return ValveSize(setup.engine_speed, math.nan, False, True, weak=True)
    start = settled_state(setup.plant, setup.open_area, setup.engine_speed)
    bad = [surges(setup, diameter, start) for diameter in LOOKED_AT]
    plain = not any(b and not a for a, b in pairwise(bad))
    speed = setup.engine_speed
    if not any(bad):
        return ValveSize(speed, 0.0, False, True)
    last = max(index for index, one in enumerate(bad) if one)
    if last == len(LOOKED_AT) - 1:
        return ValveSize(speed, math.nan, bad[0], plain)
    low, high = LOOKED_AT[last], LOOKED_AT[last + 1]
    while high - low > FINE:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if surges(setup, middle, start) else (low, middle)
    return ValveSize(speed, high, bad[0], plain)


def valve_steps(
    build: Build,
    day: Day,
    engine_speeds: Sequence[float] | None = None,
    *,
    surface: Surface | None = None,
) -> Iterator[ValveCurve | None]:
    """Valve sizing an engine speed a step, for a caller that works in idle time.

    Parameters
    ----------
    build : Build
        The build.
    day : Day
        The day.
    engine_speeds : sequence of float, optional
        Engine speeds; shares of the limiter unless given. [rpm]
    surface : Surface, optional
        The fitted compressor map.

    Yields
    ------
    ValveCurve or None
        Nothing after every engine speed, then the curve.

    References
    ----------
    As :func:`smallest_valve`.
    """
    limiter = build.engine.limiter
    speeds = [s * limiter for s in SHARE_OF_LIMITER] if engine_speeds is None else engine_speeds
    fitted = surface_of(build, surface)
    sizes = []
    for speed in sorted(float(one) for one in np.unique(np.asarray(speeds, dtype=float))):
        try:
            setup = surge_setup(build, day, speed, surface=fitted)
            sizes.append(smallest_valve(setup))
        except InputError as error:
            if error.field not in ("surge.engine_speed", "throttle area"):
                raise
            sizes.append(ValveSize(speed, math.nan, False, True, solved=False))
        yield None
    yield ValveCurve(build, day, tuple(sizes))


def bypass_sizing(
    build: Build,
    day: Day,
    engine_speeds: Sequence[float] | None = None,
    *,
    surface: Surface | None = None,
) -> ValveCurve:
    """Smallest bypass valve over a range of engine speeds.

    Parameters
    ----------
    build : Build
        The build; the valve's opening pressure, lag and outlet are its own.
    day : Day
        The day.
    engine_speeds : sequence of float, optional
        Engine speeds; shares of the limiter unless given. [rpm]
    surface : Surface, optional
        The fitted compressor map.

    Returns
    -------
    ValveCurve
        The curve.

    Raises
    ------
    InputError
        For a build that cannot surge.

    References
    ----------
    As :func:`smallest_valve`.
    """
    steps = valve_steps(build, day, engine_speeds, surface=surface)
    return next(one for one in steps if one is not None)


def valve_entry(curve: ValveCurve) -> Entry | None:
    """Entry of the ledger where the build names a valve; nothing where it names none.

    Parameters
    ----------
    curve : ValveCurve
        The study.

    Returns
    -------
    Entry or None
        Smallest bore over the build's, at the hardest engine speed. [m]

    References
    ----------
    None: a choice of this bench.
    """
    valve, hardest = curve.build.surge.valve_diameter, curve.largest
    if valve is None or hardest is None:
        return None
    needed = hardest.diameter
    none_does = math.isnan(needed)
    used = math.inf if none_does else needed / valve
    return Entry(
        VALVE_CODE,
        "parts",
        state_of(used),
        used,
        LARGEST_VALVE if none_does else needed,
        valve,
        "m",
        hardest.engine_speed,
        curve.day.name,
        "smallest bore that keeps a lifted throttle out of surge in time, over engine speeds from "
        f"{curve.sizes[0].engine_speed:.0f} rpm; an estimate",
        numbers=(("none_does", float(none_does)), ("plain", float(hardest.plain))),
    )
