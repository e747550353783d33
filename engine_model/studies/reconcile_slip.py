"""Where a belt begins to slip and by how much: every start is weighed, none is picked blindly.

Where a slip starts is no quantity that a slope can follow: the sum of squares has many dips over
it. So it is laid on a lattice; at each start everything else is solved to first order.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from engine_model.studies.reconcile_fit import Plane, Task
from engine_model.studies.reconcile_model import AMOUNT, START

Floats = NDArray[np.float64]

STARTS: Final = 64
"""Engine speeds at which a start of slip is weighed."""

FINE: Final = 33
"""More of them about the likeliest, over three steps of the lattice."""

TRIED_AMOUNT: Final = 0.02
"""Slip with which a start is tried, where none was found [-]; chosen here."""

AMOUNTS: Final = 400
"""Amounts at which their distribution is told."""


@dataclass(frozen=True, slots=True, eq=False)
class SlipWeighed:
    """A slip that starts, over every start.

    Parameters
    ----------
    starts : ndarray
        Engine speeds weighed. [rpm]
    weight : ndarray
        Share of belief of each, 1 in all. [-]
    amount, amount_spread : ndarray
        Amount at each, before it is cut at nothing, and its spread. [-]
    gain : ndarray
        Fall of the sum of squares at each against none. [-]
    pulled : ndarray
        Change of everything else with the amount; axes (start, free value). [SI]
    """

    starts: Floats
    weight: Floats
    amount: Floats
    amount_spread: Floats
    gain: Floats
    pulled: Floats

    @property
    def best(self) -> int:
        """Place of the start of the greatest gain."""
        return int(np.argmax(self.gain))


def lattice_of(low: float, high: float, about: float | None, whole: bool) -> Floats:
    """Engine speeds weighed, between bounds [rpm], denser about the likeliest where it is known."""
    coarse = np.linspace(low, high, STARTS)
    if about is None:
        return coarse
    reach = 1.5 * (coarse[1] - coarse[0])
    fine = np.linspace(max(about - reach, low), min(about + reach, high), FINE)
    if not whole:
        return fine
    outside = coarse[(coarse < fine[0]) | (coarse > fine[-1])]
    return np.sort(np.concatenate([outside, fine]))


def edges_of(starts: Floats) -> Floats:
    """Edges of the cells about engine speeds [rpm]."""
    return np.concatenate([starts[:1], 0.5 * (starts[1:] + starts[:-1]), starts[-1:]])


def weigh_starts(
    task: Task, plane: Plane, about: float | None = None, whole: bool = True
) -> SlipWeighed:
    """Weigh every start of a slip.

    Parameters
    ----------
    task : Task
        What is fitted.
    plane : Plane
        About a fit; its start and its amount do not count.
    about : float, optional
        Likeliest start, where it is known. [rpm]
    whole : bool
        Whether the rest is weighed too, rather than only what is about the likeliest.

    Returns
    -------
    SlipWeighed
        Each start with its amount.

    References
    ----------
    Linear model with a Gaussian prior, the amount integrated from nothing up; Tarantola, Inverse
    Problem Theory, SIAM 2005, section 3.2, from memory.
    """
    from scipy.special import log_ndtr

    b = task.beliefs
    at_start, at_amount = b.at(START), b.at(AMOUNT)
    keep = plane.free != at_amount
    jac = plane.slopes[:, keep]
    starts = lattice_of(b.low[at_start], b.high[at_start], about, whole)
    count = starts.size
    tried = float(plane.at[at_amount]) or TRIED_AMOUNT
    tried = max(tried, 0.25 * TRIED_AMOUNT)
    cases = np.repeat(plane.at[None], count + 1, axis=0)
    # the start's own prior is weighed apart
    cases[:, at_start] = b.mean[at_start]
    away = cases[:, :].copy()
    away[:count, at_start] = starts
    away[:count, at_amount] = tried
    away[count, at_amount] = 0.0
    readings = task.of_readings(away)
    beliefs = task.of_beliefs(np.where(np.arange(b.mean.size) == at_start, cases, away))
    found = np.concatenate([readings, beliefs], axis=1)
    none, slope = found[count], (found[:count] - found[count]) / tried
    # beliefs are among the rows: the square is never singular
    inverse = np.linalg.solve(jac.T @ jac, jac.T)
    apart = slope - (slope @ inverse.T) @ jac.T
    left = none - jac @ (inverse @ none)
    size = np.maximum(np.sqrt(np.sum(apart**2, axis=1)), 1e-9)
    amount = -(apart @ left) / size**2
    gain = np.maximum(amount, 0.0) ** 2 * size**2
    prior = ((starts - b.mean[at_start]) / b.spread[at_start]) ** 2
    score = 0.5 * (amount * size) ** 2 + log_ndtr(amount * size) - np.log(size) - 0.5 * prior
    weight = np.exp(score - np.max(score)) * np.diff(edges_of(starts))
    return SlipWeighed(
        starts, weight / np.sum(weight), amount, 1.0 / size, gain - prior, -(slope @ inverse.T)
    )


@dataclass(frozen=True, slots=True, eq=False)
class SlipTold:
    """A slip that starts: middle, spread and 95 % interval of start and amount.

    Parameters
    ----------
    start, start_spread, start_low, start_high : float
        Where it starts. [rpm]
    amount, amount_spread, amount_low, amount_high : float
        How much. [-]
    drawn : ndarray
        Covariance that it adds to everything else. [SI]
    """

    start: float
    start_spread: float
    start_low: float
    start_high: float
    amount: float
    amount_spread: float
    amount_low: float
    amount_high: float
    drawn: Floats


def told_slip(weighed: SlipWeighed, most: float) -> SlipTold:
    """Numbers of a weighed slip.

    Parameters
    ----------
    weighed : SlipWeighed
        Every start with its weight.
    most : float
        Greatest amount that is possible. [-]

    Returns
    -------
    SlipTold
        Middles are medians, intervals from 2.5 to 97.5 %.
    """
    from scipy.special import ndtr

    w, starts = weighed.weight, weighed.starts
    edges = edges_of(starts)
    cells = np.diff(edges)
    below = np.append(0.0, np.cumsum(w))
    start_low, start, start_high = (
        float(np.interp(share, below, edges)) for share in (0.025, 0.5, 0.975)
    )
    mean = float(np.sum(w * starts))
    start_spread = float(np.sqrt(np.sum(w * ((starts - mean) ** 2 + cells**2 / 12.0))))

    top = float(np.max(weighed.amount + 6.0 * weighed.amount_spread))
    amounts = np.linspace(0.0, min(max(top, 1e-4), most), AMOUNTS + 1)
    scaled = (amounts[:, None] - weighed.amount) / weighed.amount_spread
    nothing = ndtr(-weighed.amount / weighed.amount_spread)
    share = (ndtr(scaled) - nothing) / np.maximum(1.0 - nothing, 1e-300)
    whole = np.clip(share, 0.0, 1.0) @ w
    whole = np.maximum.accumulate(whole / max(float(whole[-1]), 1e-300))
    low, middle, high = (float(np.interp(p, whole, amounts)) for p in (0.025, 0.5, 0.975))
    centres, mass = 0.5 * (amounts[1:] + amounts[:-1]), np.diff(whole)
    average = float(np.sum(mass * centres))
    amount_spread = float(np.sqrt(np.sum(mass * (centres - average) ** 2)))

    size = np.maximum(weighed.amount, 0.0)
    moved = size[:, None] * weighed.pulled
    apart = moved - np.sum(w[:, None] * moved, axis=0)
    drawn = np.einsum("i,ij,ik->jk", w, apart, apart)
    # and the amount's own spread at each start
    drawn += np.einsum("i,ij,ik->jk", w * weighed.amount_spread**2, weighed.pulled, weighed.pulled)
    return SlipTold(
        start, start_spread, start_low, start_high, middle, amount_spread, low, high, drawn
    )
