"""A pull reconciled in numbers: the fit, what is uncertain after it, what the pull asks for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from engine_model.studies.reconcile_fit import (
    Fit,
    Plane,
    Task,
    fit_from,
    plane_about,
    rises_without,
    start_values,
)
from engine_model.studies.reconcile_model import AMOUNT, LEAK, START, STEADY
from engine_model.studies.reconcile_positive import positive_intervals
from engine_model.studies.reconcile_records import INTERVAL
from engine_model.studies.reconcile_slip import SlipTold, told_slip, weigh_starts

Floats = NDArray[np.float64]

ROUNDS: Final = 1
"""Times that the start is weighed and the rest fitted anew."""

NEAR: Final = 0.01
"""How near the fit without a starting slip is brought [-]; chosen here."""

LEAST_AMOUNT: Final = 0.002
"""Slip with which the fit at a start begins [-]; chosen here."""


@dataclass(frozen=True, slots=True, eq=False)
class Posterior:
    """What is known after a pull; one element a sought value.

    Parameters
    ----------
    values, spread, low, high : ndarray
        Estimates, standard errors and 95 % intervals. [SI]
    covariance : ndarray
        Of the values. [SI]
    fit : Fit
        The fit.
    rises : dict of tuple of str to float
        Rise of the sum of squares without one thing or another. [-]
    slip_gain : float
        Fall of the sum of squares by a slip that starts, its start's prior counted. [-]
    """

    values: Floats
    spread: Floats
    low: Floats
    high: Floats
    covariance: Floats
    fit: Fit
    rises: dict[tuple[str, ...], float]
    slip_gain: float


def posterior_of(task: Task) -> Posterior:
    """What is known after a pull.

    Parameters
    ----------
    task : Task
        Model, readings and beliefs.

    Returns
    -------
    Posterior
        Gauss's approximation about the fit; a slip that starts is weighed over every start.

    References
    ----------
    Tarantola, Inverse Problem Theory, SIAM 2005, sections 3.2 and 6.22, from memory.
    """
    b = task.beliefs
    if b.at(START) < 0:
        fit = fit_from(task, start_values(task), ())
        plane = plane_about(task, fit)
        return _told(task, fit, plane, None, 0.0)
    # only to be near: the start is sought next
    fit = fit_from(task, start_values(task), (START, AMOUNT), NEAR)
    for _ in range(ROUNDS):
        plane = plane_about(task, fit)
        weighed = weigh_starts(task, plane)
        weighed = weigh_starts(task, plane, float(weighed.starts[weighed.best]), False)
        begin = fit.values.copy()
        begin[b.at(START)] = weighed.starts[weighed.best]
        begin[b.at(AMOUNT)] = np.clip(
            weighed.amount[weighed.best], LEAST_AMOUNT, 0.5 * b.high[b.at(AMOUNT)]
        )
        fit = fit_from(task, begin, (START,))
    plane = plane_about(task, fit)
    weighed = weigh_starts(task, plane, float(fit.values[b.at(START)]))
    slip = told_slip(weighed, float(b.high[b.at(AMOUNT)]))
    return _told(task, fit, plane, slip, float(weighed.gain[weighed.best]))


def _told(task: Task, fit: Fit, plane: Plane, slip: SlipTold | None, gain: float) -> Posterior:
    b = task.beliefs
    covariance = np.diag(b.spread**2)
    free = plane.free
    if slip is not None:
        keep = free != b.at(AMOUNT)
        rest = free[keep]
        slopes = plane.slopes[:, keep]
        covariance[np.ix_(rest, rest)] = np.linalg.inv(slopes.T @ slopes) + slip.drawn
    else:
        covariance[np.ix_(free, free)] = np.linalg.inv(plane.slopes.T @ plane.slopes)
    values = fit.values.copy()
    spread = np.sqrt(np.diag(covariance))
    low = np.clip(values - INTERVAL * spread, b.low, b.high)
    high = np.clip(values + INTERVAL * spread, b.low, b.high)
    cut = np.array([at for at in free if b.codes[at] in (STEADY, LEAK)], dtype=int)
    if cut.size:
        # where the fit would go without bounds
        square = plane.slopes.T @ plane.slopes
        step = -np.linalg.solve(square, plane.slopes.T @ plane.misfit)
        ahead = step[np.searchsorted(free, cut)]
        found = positive_intervals(values[cut] + ahead, covariance[np.ix_(cut, cut)])
        for at, ends in zip(cut, found, strict=True):
            low[at], high[at] = min(ends[0], values[at]), max(ends[1], values[at])
    if slip is not None:
        for code, told in (
            (START, (slip.start, slip.start_spread, slip.start_low, slip.start_high)),
            (AMOUNT, (slip.amount, slip.amount_spread, slip.amount_low, slip.amount_high)),
        ):
            at = b.at(code)
            values[at], spread[at], low[at], high[at] = told
            covariance[at, at] = spread[at] ** 2
    return Posterior(values, spread, low, high, covariance, fit, rises_without(task, plane), gain)
