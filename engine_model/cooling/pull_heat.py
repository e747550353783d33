"""What each pull did to a liquid loop."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engine_model.cooling.heat_soak import Soak
from engine_model.cooling.loop_intervals import Surroundings

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class PullHeat:
    """Pull after pull, arrays of one length.

    Parameters
    ----------
    manifold_start, manifold_end : ndarray
        Charge after the core in the first and last interval of the pull. [K]
    liquid_start, liquid_end : ndarray
        Reservoir at both ends. [K]
    from_charge, to_front : ndarray
        Heat from the charge and to the outside air during the pull. [J]
    condensed, ice_left : ndarray
        Water condensed in the pull, ice at its end. [kg]
    """

    manifold_start: Floats
    manifold_end: Floats
    liquid_start: Floats
    liquid_end: Floats
    from_charge: Floats
    to_front: Floats
    condensed: Floats
    ice_left: Floats


def pull_heats(result: Soak, around: Surroundings) -> PullHeat:
    """Temperatures and heat of every pull of a soak.

    Parameters
    ----------
    result : Soak
        What the loop did.
    around : Surroundings
        What came to it.

    Returns
    -------
    PullHeat
        One value a pull: temperatures [K], heats [J], masses [kg].

    References
    ----------
    Sums over the intervals of each pull.
    """
    count = int(np.max(around.pull, initial=-1)) + 1
    inside = [np.flatnonzero(around.pull == number) for number in range(count)]
    first = np.array([i[0] for i in inside], dtype=np.intp)
    last = np.array([i[-1] for i in inside], dtype=np.intp)

    def total(values: Floats) -> Floats:
        return np.array([np.sum(values[i]) for i in inside])

    return PullHeat(
        result.charge_outlet[first],
        result.charge_outlet[last],
        result.liquid[first],
        result.liquid[last + 1],
        total(result.from_charge),
        total(result.to_front),
        total(result.condensed),
        result.ice[last + 1],
    )
