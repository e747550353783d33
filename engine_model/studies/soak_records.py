"""Records of heat soak: pull by pull, in time, and why there may be nothing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engine_model.errors import InputError
from engine_model.inputs import Build, Day
from engine_model.studies.soak_around import Settled

Floats = NDArray[np.float64]

NO_COOLER = "no charge cooler"
NO_MATCH = "no match"
REFUSED = "refused"


@dataclass(frozen=True, slots=True, eq=False)
class PullFigures:
    """Pull after pull, arrays of one length.

    Parameters
    ----------
    manifold_start, manifold_peak, manifold_end : ndarray
        Manifold temperature at the start, highest, at the end. [K]
    coolant_start, coolant_end : ndarray
        Reservoir, or the outside air of an air-to-air cooler, at both ends. [K]
    core_start, core_end : ndarray
        Metal of the charge core at both ends. [K]
    wheel_power : ndarray
        Wheel power at the limiter. [W]
    lost : ndarray
        Wheel power of the first pull less this one's. [W]
    heat : ndarray
        From the charge. [J]
    condensed : ndarray
        Water condensed. [kg]
    ice_left : ndarray
        Ice at the end. [kg]
    """

    manifold_start: Floats
    manifold_peak: Floats
    manifold_end: Floats
    coolant_start: Floats
    coolant_end: Floats
    core_start: Floats
    core_end: Floats
    wheel_power: Floats
    lost: Floats
    heat: Floats
    condensed: Floats
    ice_left: Floats


@dataclass(frozen=True, slots=True, eq=False)
class SoakCourse:
    """Pulls and pauses in time, interval after interval.

    Parameters
    ----------
    time, coolant, core : ndarray, shape (n + 1,)
        Ends of the intervals [s]; reservoir, or the outside air of an air-to-air cooler, and
        metal of the charge core [K].
    manifold, engine_speed : ndarray, shape (n,)
        Means of the intervals; nan in pauses. [K], [rpm]
    pull : ndarray of int, shape (n,)
        Number of the pull, from 0; -1 between pulls.
    """

    time: Floats
    coolant: Floats
    core: Floats
    manifold: Floats
    engine_speed: Floats
    pull: NDArray[np.intp]


@dataclass(frozen=True, slots=True, eq=False)
class HeatSoak:
    """What pull after pull does to a build on a day.

    Parameters
    ----------
    build : Build
        The build.
    day : Day
        The day.
    reason : str
        Why nothing could be worked out: ``NO_COOLER``, ``NO_MATCH`` or ``REFUSED``; empty where
        it could.
    fault_speed : float
        Engine speed at which the match has no solution. [rpm] nan where it has
    pulls : PullFigures or None
        The pulls.
    course : SoakCourse or None
        All of it in time.
    settled : Settled or None
        The cooler settled at the limiter.
    over_at : int or None
        First pull, from 0, in which the manifold passes the bound; nothing where none does.
    imbalance : float
        Energy stored less energy in, over the energy that moved. [-]
    fault : InputError or None
        What was refused.
    """

    build: Build
    day: Day
    reason: str = ""
    fault_speed: float = float("nan")
    pulls: PullFigures | None = None
    course: SoakCourse | None = None
    settled: Settled | None = None
    over_at: int | None = None
    imbalance: float = float("nan")
    fault: InputError | None = None

    @property
    def is_air(self) -> bool:
        """Whether the cooler is an air-to-air one, whose metal is what soaks."""
        return self.build.cooler.kind == "air"
