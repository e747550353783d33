"""A compressor's characteristic from reverse flow to choke, for motion in time.

Right of surge stands the speed line itself. Left of it no map has readings: a cubic leads to the
pressure ratio at no flow, a parabola from there into reverse flow. The cubic has no slope at no
flow and the line's own slope at surge, so the whole is smooth in its first derivative; where the
line is level at surge it is the cubic of Moore and Greitzer.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.interpolate import PchipInterpolator

from engine_model.errors import InputError

Floats = NDArray[np.float64]

REVERSE_FLOW_SHARE = 0.5
"""Reverse flow, over the surge flow, that doubles the ratio at no flow [-]; chosen here."""

LEAST_STEP = 1e-4
"""Least step of flow between nodes, over the choke flow [-]: so far is a wall from upright."""


def zero_flow_ratio(
    tip_speed: ArrayLike,
    inducer_speed: ArrayLike,
    temperature: ArrayLike,
    specific_heat: ArrayLike,
    gamma: ArrayLike = 1.4,
) -> Floats:
    """Pressure ratio of an impeller that turns without flow, from the centrifugal field alone.

    Parameters
    ----------
    tip_speed : array_like
        Speed of the impeller's outlet. [m/s]
    inducer_speed : array_like
        Speed of its inlet at the radius that counts, 0 to the inducer's tip. [m/s]
    temperature : array_like
        Total temperature at the inlet. [K]
    specific_heat : array_like
        Isobaric specific heat. [J/(kg K)]
    gamma : array_like
        Ratio of specific heats. [-]

    Returns
    -------
    ndarray
        Pressure ratio at no flow. [-]

    References
    ----------
    Hansen, Jorgensen & Larsen 1981; Gravdahl & Egeland, Compressor Surge and Rotating Stall,
    1999. Authors differ on the inducer's radius (mean, root mean square, tip): a band.

    Examples
    --------
    60 000 rpm, 90 mm and 49 mm, 298.15 K:

    >>> turn = 60000.0 / 30.0 * np.pi
    >>> round(float(zero_flow_ratio(turn * 0.045, turn * 0.0245, 298.15, 1005.0)), 5)
    1.36887
    """
    u2, u1 = np.asarray(tip_speed, dtype=float), np.asarray(inducer_speed, dtype=float)
    heat = 2.0 * np.asarray(specific_heat, dtype=float) * np.asarray(temperature, dtype=float)
    g = np.asarray(gamma, dtype=float)
    return np.asarray((1.0 + (u2 * u2 - u1 * u1) / heat) ** (g / (g - 1.0)))


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """A curve of cubic pieces in plain numbers, quick to read one value at a time.

    Parameters
    ----------
    breaks : tuple of float
        Where the pieces begin; the first and the last one go on beyond the ends.
    pieces : tuple of (float, float, float, float)
        Coefficients of each piece from its beginning, lowest power first.
    """

    breaks: tuple[float, ...]
    pieces: tuple[tuple[float, float, float, float], ...]

    def _piece(self, x: float) -> tuple[float, tuple[float, float, float, float]]:
        index = min(max(bisect_right(self.breaks, x) - 1, 0), len(self.pieces) - 1)
        return x - self.breaks[index], self.pieces[index]

    def value(self, x: float) -> float:
        """Height of the curve."""
        d, (a, b, c, e) = self._piece(x)
        return a + d * (b + d * (c + d * e))

    def slope(self, x: float) -> float:
        """First derivative of the curve."""
        d, (_, b, c, e) = self._piece(x)
        return b + d * (2.0 * c + 3.0 * d * e)

    def values(self, x: ArrayLike) -> Floats:
        """Heights at many places."""
        flat = np.ravel(np.asarray(x, dtype=float))
        return np.array([self.value(float(one)) for one in flat]).reshape(np.shape(x))


def curve_through(nodes: ArrayLike, values: ArrayLike, slopes: ArrayLike) -> Curve:
    """Curve through nodes with given slopes there.

    Parameters
    ----------
    nodes : array_like
        Rising places. [any unit]
    values, slopes : array_like
        Height and first derivative at each. [any unit]

    Returns
    -------
    Curve
        Cubic pieces, smooth in the first derivative; straight beyond the last node.

    References
    ----------
    Hermite's cubic.
    """
    x, y, m = (np.asarray(one, dtype=float) for one in (nodes, values, slopes))
    h = np.diff(x)
    rise = np.diff(y) / h
    second = (3.0 * rise - 2.0 * m[:-1] - m[1:]) / h
    third = (m[:-1] + m[1:] - 2.0 * rise) / (h * h)
    rows = np.column_stack([y[:-1], m[:-1], second, third]).tolist()
    beyond = (float(y[-1]), float(m[-1]), 0.0, 0.0)
    return Curve(tuple(x.tolist()), (*((a, b, c, d) for a, b, c, d in rows), beyond))


def apart(flow: ArrayLike, largest: float) -> Floats:
    """Flows of a line, the same or a little more each, so that they rise.

    Parameters
    ----------
    flow : array_like
        Flows from surge to choke, not falling. [kg/s]
    largest : float
        Choke flow. [kg/s]

    Returns
    -------
    ndarray
        Flows that rise by at least ``LEAST_STEP`` of the choke flow. [kg/s]

    References
    ----------
    None: a choice of this bench.
    """
    steps = np.maximum(np.diff(np.asarray(flow, dtype=float)), LEAST_STEP * largest)
    first = float(np.asarray(flow, dtype=float)[0])
    return np.concatenate([[first], first + np.cumsum(steps)])


def slopes_along(flow: ArrayLike, values: ArrayLike) -> Floats:
    """Slopes of a shape-preserving cubic through a line that ends in a wall.

    Parameters
    ----------
    flow : array_like
        Rising flows, from surge to choke. [kg/s]
    values : array_like
        Pressures or ratios there. [any unit]

    Returns
    -------
    ndarray
        Slopes; at the end no flatter than the last step falls, so that the wall goes on. [any unit]

    References
    ----------
    Fritsch & Carlson 1980 (the cubic).
    """
    w, y = np.asarray(flow, dtype=float), np.asarray(values, dtype=float)
    slopes = np.asarray(PchipInterpolator(w, y).derivative()(w))
    slopes[-1] = min(slopes[-1], (y[-1] - y[-2]) / (w[-1] - w[-2]))
    return slopes


def characteristic(flow: ArrayLike, pressure_ratio: ArrayLike, at_no_flow: float) -> Curve:
    """Pressure ratio of a speed line over flow, from reverse flow to choke.

    Parameters
    ----------
    flow : array_like
        Flows of the line from surge to choke, rising. [kg/s]
    pressure_ratio : array_like
        Its pressure ratios. [-]
    at_no_flow : float
        Pressure ratio at no flow, from :func:`zero_flow_ratio`. [-]

    Returns
    -------
    Curve
        PR_0 (1 + (W/0.5 W_s)^2) left of no flow, a cubic to surge, then the line. [-]

    Raises
    ------
    InputError
        For a line that does not begin at a flow above 0, or does not rise.

    References
    ----------
    Moore & Greitzer, J. Eng. Gas Turbines Power 108 (1986) 68, for the cubic; Gravdahl &
    Egeland 1999 for the parabola; the width of the parabola is chosen here.

    Examples
    --------
    H = 0.18, W = 0.25 and 0.30 at no flow: 0.66 at surge (0.5), 0.48 and slope 1.08 half-way.

    >>> curve = characteristic([0.5, 0.6, 0.7], [0.66, 0.63, 0.50], 0.30)
    >>> level = characteristic([0.5, 0.6, 0.7], [0.66, 0.66, 0.50], 0.30)
    >>> round(level.value(0.25), 12), round(level.slope(0.25), 12)
    (0.48, 1.08)
    """
    w, ratio = np.asarray(flow, dtype=float), np.asarray(pressure_ratio, dtype=float)
    if w.size < 2 or not w[0] > 0.0 or not np.all(np.diff(w) > 0.0):
        raise InputError("flow", w.tolist()[:3], "two flows or more above 0, rising from surge")
    right = slopes_along(w, ratio)
    surge = float(w[0])
    width = REVERSE_FLOW_SHARE * surge
    nodes = np.concatenate([[-width, 0.0], w])
    values = np.concatenate([[2.0 * at_no_flow, at_no_flow], ratio])
    slopes = np.concatenate([[-2.0 * at_no_flow / width, 0.0], right])
    return curve_through(nodes, values, slopes)


def peak_of(curve: Curve, low: float, high: float, steps: int = 400) -> float:
    """Flow of a curve's highest point between two flows.

    Parameters
    ----------
    curve : Curve
        The curve.
    low, high : float
        Ends. [kg/s]
    steps : int
        Steps of the first look.

    Returns
    -------
    float
        Flow of the peak: the rightmost change from rising to falling, else the higher end. [kg/s]

    References
    ----------
    None: bisection on the slope.
    """
    places = np.linspace(low, high, steps + 1)
    slopes = [curve.slope(float(one)) for one in places]
    for index in range(steps - 1, -1, -1):
        if slopes[index] > 0.0 >= slopes[index + 1]:
            left, right = float(places[index]), float(places[index + 1])
            for _ in range(60):
                middle = 0.5 * (left + right)
                left, right = (middle, right) if curve.slope(middle) > 0.0 else (left, middle)
            return 0.5 * (left + right)
    return low if curve.value(low) > curve.value(high) else high
