"""The flow through an orifice in both directions, one value at a time in plain numbers."""

from __future__ import annotations

import math
from collections.abc import Callable

Orifice = Callable[[float, float, float], float]
"""Effective area over sqrt(R T) [m2 s/m = kg/(s Pa)], pressures either side [Pa] -> flow [kg/s]."""

EVEN_SHARE = 5e-4
"""Difference of pressure, over the higher one, below which the flow is smoothed [-]; chosen."""


def two_way_orifice(gamma: float = 1.4, even_share: float = EVEN_SHARE) -> Orifice:
    """Mass flow through an orifice or throttle plate in both directions, quick to call.

    Parameters
    ----------
    gamma : float
        Ratio of specific heats. [-] above 1.
    even_share : float
        Share of the pressure below which the root of the difference becomes a cubic, odd in the
        difference: a root has no slope at nothing. [-] above 0

    Returns
    -------
    callable
        Of effective area over sqrt(R T) [kg/(s Pa)] and the pressures either side [Pa]: flow
        from the first to the second, negative where the second is higher. [kg/s]

    References
    ----------
    Heywood, 1st ed., appendix C, eq. (C.8) and choked (C.9).

    Examples
    --------
    >>> flow = two_way_orifice()
    >>> part = 0.8 * 0.00384845 / math.sqrt(287.053 * 298.15)
    >>> round(flow(part, 1e5, 95e3), 4), round(flow(part, 40e3, 1e5), 4)
    (0.3238, -0.7206)
    """
    power = 1.0 / gamma
    factor = math.sqrt(2.0 * gamma / (gamma - 1.0))
    critical = (2.0 / (gamma + 1.0)) ** (gamma / (gamma - 1.0))
    root, per_share = math.sqrt, 1.0 / even_share

    def shape(ratio: float) -> float:
        y = ratio**power
        return factor * root(y * (y - ratio))

    even_from = 1.0 - even_share
    choked, even = shape(critical), shape(even_from)

    def flow(part: float, first: float, second: float) -> float:
        if first >= second:
            high, ratio, sign = first, second / first, part
        else:
            high, ratio, sign = second, first / second, -part
        if ratio > even_from:
            y = (1.0 - ratio) * per_share
            return sign * high * even * y * (1.25 - 0.25 * y * y)
        if ratio < critical:
            return sign * high * choked
        y = ratio**power
        return sign * high * factor * root(y * (y - ratio))

    return flow
