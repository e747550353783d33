"""Numbers that the search along sizes orders them by, and the sizes it begins with."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from engine_model.limits.judging import Verdict
from engine_model.results import OperatingLine
from engine_model.studies.compressor_sizes import Candidate, Sizes
from engine_model.studies.engine_weights import engine_speed_weights

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

COARSE = 41
"""Sizes first judged: every other one, and those between where something may be allowed."""


def judged_shares(used: Floats) -> Floats:
    """Shares, minus infinity where nothing is judged."""
    return np.where(np.isnan(used), -np.inf, used)


def over_days(verdict: Verdict) -> Floats:
    """The highest share over the days; minus infinity where nothing is judged."""
    return np.asarray(np.max(judged_shares(verdict.used), axis=-1))


def surge_jump(found: Sizes, check: int) -> Floats:
    """How much less of the surge limit is used where its first judged engine speed drops out.

    Points under the pressure ratio from which surge is judged do not count, so that the share
    falls by a step whenever the tightest of the others passes it.
    """
    line, verdict = found.line, found.verdicts[check]
    at = np.argmax(line.engine_speed_rpm == verdict.engine_speed[..., None], axis=-1)[..., None]
    after = np.minimum(at + 1, line.engine_speed_rpm.shape[-1] - 1)
    here, there = (
        1.0 - np.take_along_axis(line.surge_margin_low, k, axis=-1)[..., 0] for k in (at, after)
    )
    with np.errstate(invalid="ignore", divide="ignore"):
        step = np.abs(verdict.used * (1.0 - there / here))
    return np.asarray(np.max(np.where(np.isfinite(step), step, 0.0), axis=-1))


def peak(values: Floats) -> Floats:
    """Highest along the engine speed; minus infinity where nothing is solved."""
    return np.asarray(np.max(np.where(np.isnan(values), -np.inf, values), axis=-1))


def weighted_efficiency(candidate: Candidate, line: OperatingLine) -> Floats:
    """Efficiency weighted over engine speed [-]; minus infinity where a point is not solved."""
    weights = engine_speed_weights(candidate.build, candidate.engine_speeds, line.wheel_power_w)
    products = np.ascontiguousarray(weights * line.efficiency)
    return judged_shares(np.asarray(np.sum(products, axis=-1)))


def spread_places(sizes: Floats) -> Indices:
    """Places of the sizes first judged, at equal ratios."""
    count = min(COARSE, sizes.size)
    wish = np.geomspace(sizes[0], sizes[-1], count)
    rising = sizes[-1] >= sizes[0]
    places = np.searchsorted(sizes if rising else -sizes, wish if rising else -wish)
    found = np.unique(np.clip(places, 0, sizes.size - 1))
    # an odd number, so that every other one takes in both ends
    return found if found.size % 2 == 1 else np.delete(found, 1)
