"""What holds a car back, and how it coasts without drive: closed forms, elementwise."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]


@dataclass(frozen=True, slots=True, eq=False)
class Resistance:
    """Rolling resistance and drag.

    Parameters
    ----------
    rolling : float
        Force at any speed. [N]
    drag : ndarray, shape (n,)
        Force over the square of road speed, a line each. [N s2/m2]
    """

    rolling: float
    drag: Floats

    def only(self, index: Indices) -> Resistance:
        """The same of some of the lines."""
        return Resistance(self.rolling, self.drag[index])

    def drag_force(self, speed: Floats) -> Floats:
        """Force of the air at road speeds of shape (..., n, e) [N]."""
        return np.asarray(self.drag[:, None] * speed**2)

    def force(self, speed: Floats) -> Floats:
        """Both at road speeds of shape (..., n, e) [N]."""
        return np.asarray(self.rolling + self.drag[:, None] * speed**2)


@dataclass(frozen=True, slots=True, eq=False)
class Coasted:
    """Where a car is after it has coasted.

    Parameters
    ----------
    speed, time, distance : ndarray, shape (n,)
        Road speed at the end, time and distance taken. [m/s, s, m]
    """

    speed: Floats
    time: Floats
    distance: Floats

    def only(self, index: Indices) -> Coasted:
        """The same of some of the lines."""
        return Coasted(self.speed[index], self.time[index], self.distance[index])


def _over(f: Floats, z: Floats) -> Floats:
    """f(z) over z, 1 at nothing."""
    small = z < 1e-8
    return np.where(small, 1.0, f / np.where(small, 1.0, z))


def coast(road: Resistance, mass: float, speed: Floats, time: float, rest: Floats) -> Coasted:
    """Coast for a time, or until the distance ends or the car stands.

    Parameters
    ----------
    road : Resistance
        Rolling resistance and drag.
    mass : float
        Equivalent mass. [kg]
    speed : ndarray, shape (n,)
        Road speed at first. [m/s]
    time : float
        Longest time. [s]
    rest : ndarray, shape (n,)
        Longest distance. [m]

    Returns
    -------
    Coasted
        Where the car is then.

    References
    ----------
    dv/dt = -(a + b v^2): v = sqrt(a/b) tan(phi - sqrt(a b) t), written so that a or b may be 0.
    """
    a, b = road.rolling / mass, road.drag / mass
    root = np.sqrt(a * b)
    taken = np.full(speed.shape, float(time))
    if a > 0.0:
        z = speed * np.sqrt(b / a)
        taken = np.minimum(taken, speed / a * _over(np.arctan(z), z))  # it stands then
    theta = root * taken
    s = taken * _over(np.tan(theta), theta)
    after = np.maximum((speed - a * s) / (1.0 + b * speed * s), 0.0)
    half = 0.5 * theta
    way = speed * taken * _over(np.sin(theta), theta)
    way = way - 0.5 * a * taken**2 * _over(np.sin(half), half) ** 2
    distance = way * _over(np.log1p(b * way), b * way)
    ends = distance > rest
    if not ends.any():
        return Coasted(after, taken, distance)
    decay = -np.expm1(-2.0 * b * rest)
    twice = 2.0 * rest * _over(decay, 2.0 * b * rest)
    end = np.sqrt(np.maximum(speed**2 * (1.0 - decay) - a * twice, 0.0))
    loss = a + b * speed * end
    with np.errstate(divide="ignore", invalid="ignore"):
        u = np.where(loss > 0.0, (speed - end) / loss, rest / speed)
    short = u * _over(np.arctan(root * u), root * u)
    return Coasted(
        np.where(ends, end, after), np.where(ends, short, taken), np.where(ends, rest, distance)
    )
