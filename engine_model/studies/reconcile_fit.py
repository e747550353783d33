"""Bounded nonlinear least squares of a pull with priors, and what is uncertain after it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from engine_model.studies.reconcile_model import (
    AMOUNT,
    LEAK,
    STEADY,
    Beliefs,
    PullModel,
)
from engine_model.studies.reconcile_readings import Whitener

Floats = NDArray[np.float64]

STEP: Final = 0.02
"""Step of a slope, share of a quantity's spread before the pull [-]; chosen here."""

FAR: Final = 60.0
"""Misfit of a reading that the model cannot give, in spreads [-]; chosen here."""

MOST_CALLS: Final = 40


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """A fit.

    Parameters
    ----------
    values : ndarray
        What was found, in the order of the beliefs. [SI]
    cost : float
        Sum of squares, readings and priors. [-]
    misfit : ndarray
        White misfits of the readings. [-]
    held : tuple of str
        Codes held where they were.
    """

    values: Floats
    cost: float
    misfit: Floats
    held: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Task:
    """Model, readings and beliefs together."""

    model: PullModel
    measured: Mapping[str, Floats]
    white: Whitener
    on_step: Callable[[], None]

    @property
    def beliefs(self) -> Beliefs:
        """What is believed before the pull."""
        return self.model.beliefs

    def of_readings(self, values: Floats) -> Floats:
        """White misfits of readings; axes (case, number) [-]."""
        self.on_step()
        expected = self.model.channels(values)
        apart = {name: got - expected[name] for name, got in self.measured.items()}
        for name, rows in self.white.rows.items():
            there = apart[name][:, rows]
            if not np.all(np.isfinite(there)):
                far = FAR * self.white.spread[name]
                apart[name][:, rows] = np.where(np.isfinite(there), there, far)
        return self.white(apart)

    def of_beliefs(self, values: Floats) -> Floats:
        """White distances from what was believed; axes (case, number) [-]."""
        return np.asarray((values - self.beliefs.mean) @ self.beliefs.unroot.T)

    def all(self, values: Floats) -> Floats:
        """Misfits of readings, then of beliefs."""
        return np.concatenate([self.of_readings(values), self.of_beliefs(values)], axis=1)

    def around(self, at: Floats, free: NDArray[np.intp]) -> tuple[Floats, Floats]:
        """Misfits at a point, and their slopes over the free values by steps ahead."""
        b = self.beliefs
        step = STEP * b.spread[free]
        ahead = np.where(at[free] + step <= b.high[free], step, -step)
        found = self.all(np.concatenate([at[None], _moved(at, free, ahead)]))
        return found[0], np.asarray(((found[1:] - found[0]) / ahead[:, None]).T)

    def both_sides(self, at: Floats, free: NDArray[np.intp]) -> tuple[Floats, Floats]:
        """The same by steps to both sides, where the bounds leave room."""
        b = self.beliefs
        step = STEP * b.spread[free]
        ahead = np.where(at[free] + step <= b.high[free], step, -step)
        behind = np.where(at[free] - ahead >= b.low[free], -ahead, 0.0)
        cases = [at[None], _moved(at, free, ahead), _moved(at, free, behind)]
        found = self.all(np.concatenate(cases))
        up, down = found[1 : free.size + 1], found[free.size + 1 :]
        return found[0], np.asarray(((up - down) / (ahead - behind)[:, None]).T)


def _moved(at: Floats, free: NDArray[np.intp], step: Floats) -> Floats:
    """Cases that each move one free value by its step."""
    cases = np.repeat(at[None], free.size, axis=0)
    cases[np.arange(free.size), free] += step
    return cases


def start_values(task: Task) -> Floats:
    """Values to begin with: what is believed, slips and leak at nothing [SI]."""
    b = task.beliefs
    return np.clip(b.mean, b.low, b.high)


def free_of(beliefs: Beliefs, held: tuple[str, ...]) -> NDArray[np.intp]:
    """Places of what is not held."""
    return np.array([at for at, code in enumerate(beliefs.codes) if code not in held])


def fit_from(task: Task, begin: Floats, held: tuple[str, ...], near: float = 1e-4) -> Fit:
    """Fit from a beginning, some codes held where they are.

    Parameters
    ----------
    task : Task
        What is fitted.
    begin : ndarray
        Where to begin. [SI]
    held : tuple of str
        Codes held.
    near : float
        Share by which the sum of squares may still fall. [-]

    Returns
    -------
    Fit
        The nearest least.

    References
    ----------
    Trust region reflective of scipy, Branch, Coleman & Li, SIAM J. Sci. Comput. 21 (1999) 1.
    """
    from scipy.optimize import least_squares

    b = task.beliefs
    free = free_of(b, held)

    def placed(x: Floats) -> Floats:
        values = begin.copy()
        values[free] = x
        return values

    # one call of the match gives misfits and slopes: scipy asks for both, one after the other
    last: list[tuple[Floats, Floats, Floats]] = []

    def misfits(x: Floats) -> Floats:
        found = task.around(placed(x), free)
        last[:] = [(x.copy(), *found)]
        return found[0]

    def slopes(x: Floats) -> Floats:
        if not last or not np.array_equal(last[0][0], x):
            misfits(x)
        return last[0][2]

    inside = 1e-6 * (b.high - b.low)[free]
    found = least_squares(
        misfits,
        np.clip(begin[free], b.low[free] + inside, b.high[free] - inside),
        jac=slopes,
        bounds=(b.low[free], b.high[free]),
        x_scale=b.spread[free],
        ftol=near,
        xtol=1e-5,
        gtol=1e-6,
        max_nfev=MOST_CALLS,
        # the exact one takes a singular value decomposition of all rows at every step
        tr_solver="lsmr",
    )
    misfit = np.asarray(found.fun)[: -b.mean.size]
    return Fit(placed(found.x), 2.0 * float(found.cost), misfit, held)


@dataclass(frozen=True, slots=True, eq=False)
class Plane:
    """A pull to first order about a fit: misfits and their slopes over what is free.

    Parameters
    ----------
    free : ndarray
        Places of what is free.
    at : ndarray
        Values it is about. [SI]
    misfit : ndarray
        White misfits there, beliefs after readings. [-]
    slopes : ndarray
        Axes (number, free value).
    """

    free: NDArray[np.intp]
    at: Floats
    misfit: Floats
    slopes: Floats


def plane_about(task: Task, fit: Fit) -> Plane:
    """First order about a fit, by differences to both sides."""
    free = free_of(task.beliefs, fit.held)
    return Plane(free, fit.values, *task.both_sides(fit.values, free))


HYPOTHESES: Final = ((AMOUNT,), (LEAK,), (STEADY,), (LEAK, STEADY))
"""What is held at nothing in turn, to see whether the pull asks for it."""


def rises_without(task: Task, plane: Plane) -> dict[tuple[str, ...], float]:
    """Rise of the sum of squares where faults are held at nothing, to first order.

    What was believed of the faults themselves does not count: the readings decide.

    Parameters
    ----------
    task : Task
        What is fitted.
    plane : Plane
        About the fit.

    Returns
    -------
    dict of tuple of str to float
        By the codes held; bounds kept. [-]

    References
    ----------
    Likelihood ratio of nested models; bounded linear least squares of scipy.
    """
    from scipy.optimize import lsq_linear

    b = task.beliefs
    low = (b.low - plane.at)[plane.free]
    high = (b.high - plane.at)[plane.free]
    count = plane.misfit.size - b.mean.size
    # the faults know nothing of the rest: their beliefs are rows of their own
    silent = [count + b.at(code) for code in (LEAK, STEADY, AMOUNT) if b.at(code) >= 0]
    misfit, slopes = plane.misfit.copy(), plane.slopes.copy()
    misfit[silent], slopes[silent] = 0.0, 0.0
    # the triangle of all rows: the same sums of squares in a dozen rows
    triangle = np.asarray(np.linalg.qr(np.column_stack([slopes, misfit]), mode="r"))
    slopes, misfit = triangle[:, :-1], triangle[:, -1]

    def least(held: tuple[str, ...]) -> float:
        gone = np.array([b.codes[at] in held for at in plane.free], dtype=bool)
        fixed = misfit - slopes[:, gone] @ plane.at[plane.free][gone]
        kept = ~gone
        scale = b.spread[plane.free][kept]
        found = lsq_linear(
            slopes[:, kept] * scale,
            -fixed,
            bounds=(low[kept] / scale - 1e-12, high[kept] / scale + 1e-12),
        )
        return 2.0 * float(found.cost)

    base = least(())
    asked = [held for held in HYPOTHESES if all(b.at(code) in plane.free for code in held)]
    return {held: max(least(held) - base, 0.0) for held in asked}
