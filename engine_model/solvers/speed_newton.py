"""Newton's steps on mass balance and one more condition, in place and impeller speed."""

from __future__ import annotations

from typing import Protocol, Self

import numpy as np
from numpy.typing import NDArray

from engine_model.solvers.chain import Chain, States

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]
Flags = NDArray[np.bool_]

MASS_TOLERANCE = 1e-9
"""Square of the flows' ratio less one at a solved point [-]."""

TOLERANCE = 1e-10
"""The other condition at a solved point [-]."""

MOST_STEPS = 14
_NUDGE = 1e-7


class Condition(Protocol):
    """What must vanish besides the mass balance, elementwise."""

    def residual(self, states: States, log_speed: Floats) -> Floats:
        """Residual at states reached with a logarithm of the corrected speed [rpm]."""
        ...

    def only(self, index: Indices) -> Self:
        """Return the condition of some of the points."""
        ...


def _both(
    chain: Chain, s: Floats, log_speed: Floats, condition: Condition
) -> tuple[Floats, Floats]:
    at = chain.at_speed(np.exp(log_speed))
    states = at.breathe(at.to_manifold(s))
    ratio = states.flow / np.maximum(states.engine_flow, 1e-9)
    return ratio * ratio - 1.0, condition.residual(states, log_speed)


def newton_speed(
    chain: Chain, condition: Condition, s: Floats, log_speed: Floats
) -> tuple[Floats, Floats, Flags]:
    """Place and corrected speed at which the flows agree and a condition holds.

    Each point steps on its own from its own start and is frozen when done, so that no point
    depends on another.

    Parameters
    ----------
    chain : Chain
        The points; their speeds are ignored.
    condition : Condition
        The other condition.
    s, log_speed : ndarray
        Start: place [-], logarithm of corrected speed [rpm].

    Returns
    -------
    s, log_speed : ndarray
        Where each point ended.
    done : ndarray of bool
        Which points meet both.
    """
    s, u = s.copy(), log_speed.copy()
    done = np.zeros(s.size, dtype=bool)
    place = np.arange(s.size)
    for _ in range(MOST_STEPS):
        whole = place.size == s.size
        part = chain if whole else chain.only(place)
        goal = condition if whole else condition.only(place)
        a, b = s[place], u[place]
        f, g = _both(part, a, b, goal)
        good = (np.abs(f) <= MASS_TOLERANCE) & (np.abs(g) <= TOLERANCE)
        done[place[good]] = True
        f_s, g_s = _both(part, a + _NUDGE, b, goal)
        f_u, g_u = _both(part, a, b + _NUDGE, goal)
        f_s, g_s, f_u, g_u = ((x - y) / _NUDGE for x, y in ((f_s, f), (g_s, g), (f_u, f), (g_u, g)))
        with np.errstate(divide="ignore", invalid="ignore"):
            bottom = f_s * g_u - f_u * g_s
            ds = -(f * g_u - f_u * g) / bottom
            du = -(f_s * g - f * g_s) / bottom
        usable = np.isfinite(ds) & np.isfinite(du) & ~good
        keep = np.flatnonzero(usable)
        if keep.size == 0:
            break
        place = place[keep]
        s[place] = np.clip(a[keep] + np.clip(ds[keep], -0.3, 0.3), -2.0, 1.999)
        u[place] = b[keep] + np.clip(du[keep], -0.25, 0.25)
    return s, u, done
