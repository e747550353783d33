"""Two coupled linear temperatures over an interval, exactly."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def first_phi(exponent: Floats) -> Floats:
    """(exp(z) - 1)/z of an exponent z [-], 1 at 0."""
    small = np.abs(exponent) < 1e-8
    z = np.where(small, 1.0, exponent)
    return np.asarray(np.where(small, 1.0 + 0.5 * exponent, np.expm1(z) / z))


def second_phi(exponent: Floats) -> Floats:
    """(exp(z) - 1 - z)/z^2 of an exponent z [-], 1/2 at 0."""
    small = np.abs(exponent) < 0.05
    z = np.where(small, 1.0, exponent)
    s = np.where(small, exponent, 0.0)
    # six terms: 4e-14 at 0.05
    series = np.full_like(s, 1.0 / 5040.0)
    for k in (720.0, 120.0, 24.0, 6.0, 2.0):
        series = series * s + 1.0 / k
    return np.asarray(np.where(small, series, (np.expm1(z) - z) / (z * z)))


@dataclass(frozen=True, slots=True, eq=False)
class Propagator:
    """Matrices that take a rate at the start to the change and to its time integral.

    Parameters
    ----------
    change : tuple of ndarray
        Rows of the first phi function of the matrix, times the duration. [s]
    integral : tuple of ndarray
        Rows of the second, times its square. [s2]
    """

    change: tuple[Floats, Floats, Floats, Floats]
    integral: tuple[Floats, Floats, Floats, Floats]

    def rows(self) -> list[tuple[float, ...]]:
        """Both matrices of every interval, as plain numbers [s], [s2]."""
        return list(zip(*(m.tolist() for m in (*self.change, *self.integral)), strict=True))


def propagator(
    top_left: Floats, top_right: Floats, low_left: Floats, low_right: Floats, duration: Floats
) -> Propagator:
    """Propagators of dx/dt = A x + b over intervals, A with real eigenvalues.

    Parameters
    ----------
    top_left, top_right, low_left, low_right : ndarray
        A, row by row; the product of its off-diagonal entries not negative. [1/s]
    duration : ndarray
        Of the interval. [s]

    Returns
    -------
    Propagator
        x rises by change (A x + b), its integral is x duration + integral (A x + b). [s]

    References
    ----------
    Functions of a 2 x 2 matrix by its eigenvalues (Lagrange-Sylvester); Higham, Functions of
    Matrices (2008), section 10.7 for the phi functions.

    Examples
    --------
    >>> one, none = np.ones(1), np.zeros(1)
    >>> change = propagator(-one, none, none, none, one).change
    >>> round(float(change[0][0]), 6), float(change[3][0])
    (0.632121, 1.0)
    """
    middle = 0.5 * (top_left + low_right) * duration
    half = 0.5 * (top_left - low_right) * duration
    off = top_right * duration, low_left * duration
    apart = np.sqrt(half * half + off[0] * off[1])
    # the slope between eigenvalues, their derivative where they meet (1e-10)
    step = np.maximum(apart, 1e-5)
    found = []
    for phi, scale in ((first_phi, duration), (second_phi, duration * duration)):
        mean = 0.5 * (phi(middle + apart) + phi(middle - apart)) * scale
        slope = 0.5 * (phi(middle + step) - phi(middle - step)) / step * scale
        found.append((mean + slope * half, slope * off[0], slope * off[1], mean - slope * half))
    return Propagator(found[0], found[1])
