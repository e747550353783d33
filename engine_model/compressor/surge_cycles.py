"""A run in time counted: cycles a second, their size, whether the flow turns back."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.surge_dynamics import SurgeRun

Floats = NDArray[np.float64]

LEAST_SWING = 0.02
"""Swing of flow, over the run's largest flow, below which there is no cycle [-]; chosen here."""


@dataclass(frozen=True, slots=True)
class Cycles:
    """Surge of a run in numbers.

    Parameters
    ----------
    reverses : bool
        Whether the flow turns back anywhere.
    reversals : int
        How often.
    cycles_per_second : float
        From the first to the last reversal, where there are two or more; else of the swing at
        the end. [Hz] 0 where it does not swing
    flow_swing : float
        Highest less lowest flow within a cycle, of the middle one by size. [kg/s]
    pressure_swing : float
        The same of plenum pressure: no slow sinking over many cycles is in it. [Pa]
    least_flow : float
        Lowest flow of the run. [kg/s]
    peak_pressure : float
        Highest plenum pressure of the run, absolute. [Pa]
    first_reversal : float
        Time of the first. [s] nan where none
    lasts : bool
        Whether it still swings at the end.
    """

    reverses: bool
    reversals: int
    cycles_per_second: float
    flow_swing: float
    pressure_swing: float
    least_flow: float
    peak_pressure: float
    first_reversal: float
    lasts: bool


def _upward(time: Floats, value: Floats, level: float) -> Floats:
    """Times at which a course rises through a level."""
    below = value < level
    index = np.flatnonzero(below[:-1] & ~below[1:])
    share = (level - value[index]) / (value[index + 1] - value[index])
    return np.asarray(time[index] + share * (time[index + 1] - time[index]))


def _swing(time: Floats, value: Floats, edges: Floats) -> float:
    """Highest less lowest within a cycle, of the middle one by size; 0 where there is none."""
    inside = [(time >= low) & (time <= high) for low, high in pairwise(edges)]
    sizes = [float(np.ptp(value[one])) for one in inside if one.any()]
    return float(np.median(sizes)) if sizes else 0.0


def count_cycles(run: SurgeRun) -> Cycles:
    """Cycles of a run.

    Parameters
    ----------
    run : SurgeRun
        The run.

    Returns
    -------
    Cycles
        Its numbers. [SI]

    References
    ----------
    None: counting.
    """
    time, flow, pressure = run.time, run.flow, run.plenum_pressure
    turned = run.reversals
    tail = time >= time[-1] - 0.25 * (time[-1] - time[0])
    scale = LEAST_SWING * float(np.max(np.abs(flow)))
    tail_swing = float(np.ptp(flow[tail]))
    crossings = _upward(time[tail], flow[tail], float(np.mean(flow[tail])))
    # a course that only drifts passes its mean once
    lasts = tail_swing > scale and crossings.size >= 2
    rate = 0.0
    edges = turned
    if turned.size >= 2:
        rate = (turned.size - 1) / float(turned[-1] - turned[0])
    elif lasts:
        rate = (crossings.size - 1) / float(crossings[-1] - crossings[0])
        edges = crossings
    return Cycles(
        bool(turned.size > 0 or np.min(flow) < 0.0),
        int(turned.size),
        rate,
        _swing(time, flow, edges),
        _swing(time, pressure, edges),
        float(np.min(flow)),
        float(np.max(pressure)),
        float(turned[0]) if turned.size else float("nan"),
        lasts,
    )
