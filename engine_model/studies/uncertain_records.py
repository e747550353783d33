"""Results of the error bars, and the statistics that make them of samples."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from engine_model.errors import InputError
from engine_model.inputs import Build
from engine_model.studies.uncertain_inputs import InputSpread

Floats = NDArray[np.float64]

LOW, MIDDLE, HIGH = 0.05, 0.50, 0.95
"""Shares of the samples under the edges and the middle of every band [-]."""


@dataclass(frozen=True, slots=True, eq=False)
class Band:
    """Quantiles of one field of the operating line across engine speed, each point by itself.

    Parameters
    ----------
    field : str
        Field of the operating line, its unit in the name.
    low, middle, high : ndarray
        5, 50 and 95 % of the samples lie under them; nan where none has a solution. SI
    """

    field: str
    low: Floats
    middle: Floats
    high: Floats

    def __post_init__(self) -> None:
        for array in (self.low, self.middle, self.high):
            array.flags.writeable = False


@dataclass(frozen=True, slots=True, eq=False)
class LineBand:
    """Band about the operating line on the compressor map.

    At each engine speed the samples' distance across the middle line, flow and ratio each
    counted over its own span along the line, has its 5 and 95 % quantiles at the two edges.

    Parameters
    ----------
    flow, ratio : ndarray
        The middle: medians of corrected flow [kg/s] and pressure ratio [-].
    low_flow, low_ratio, high_flow, high_ratio : ndarray
        The edges: towards choke, and towards surge. [kg/s], [-]
    """

    flow: Floats
    ratio: Floats
    low_flow: Floats
    low_ratio: Floats
    high_flow: Floats
    high_ratio: Floats

    def __post_init__(self) -> None:
        for one in fields(self):
            getattr(self, one.name).flags.writeable = False


@dataclass(frozen=True, slots=True)
class Quantiles:
    """5, 50 and 95 % quantiles of a number, and its standard deviation; nan without samples. SI."""

    low: float
    middle: float
    high: float
    deviation: float


@dataclass(frozen=True, slots=True)
class EntryChance:
    """The chance that an entry of the ledger is over.

    Parameters
    ----------
    code, part : str
        Entry and its part of the ledger.
    over : float
        Share of the samples in which it is over on any of the days; nan where it is never
        judged. [-]
    judged : float
        Share of the samples in which it is judged at all. [-]
    day : str
        The day on which it is over most often; empty where it never is.
    by_day : tuple of float
        Share of the samples in which it is over, a day each; nan where never judged. [-]
    """

    code: str
    part: str
    over: float
    judged: float
    day: str
    by_day: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class MeasureFirst:
    """How much of the spread in the highest wheel power one input explains.

    Parameters
    ----------
    key : str
        Row of ``UNCERTAIN``.
    share : float
        First-order share of the variance; nan where the power has no spread. [-]
    """

    key: str
    share: float


@dataclass(frozen=True, slots=True, eq=False)
class ErrorBars:
    """The match with error bars.

    Parameters
    ----------
    build : Build
        The build.
    days : tuple of str
        The days; bands are of the first.
    samples, seed : int
        Number of samples, and what they were drawn with.
    engine_speed : ndarray
        Engine speeds of the bands. [rpm]
    bands : tuple of Band
        One for each field.
    line_band : LineBand or None
        The band on the compressor map; none without a compressor.
    solved : ndarray
        Share of the samples that have a solution, at each engine speed. [-]
    peak_wheel_power : Quantiles
        Of the highest wheel power on each line. [W]
    peak_samples : ndarray
        The highest wheel power of each sample. [W]
    chances : tuple of EntryChance
        One for each entry, in the ledger's order.
    target_met : float
        Share of the samples that reach the target; nan where none is judged. [-]
    spreads : tuple of InputSpread
        Spreads of the inputs, one standard deviation each.
    measure_first : tuple of MeasureFirst
        Shares of the variance, the largest first.
    explained : float
        Share of the variance explained by all inputs one by one (R squared); the rest is of
        inputs together, or of bends. [-]
    """

    build: Build
    days: tuple[str, ...]
    samples: int
    seed: int
    engine_speed: Floats
    bands: tuple[Band, ...]
    line_band: LineBand | None
    solved: Floats
    peak_wheel_power: Quantiles
    peak_samples: Floats
    chances: tuple[EntryChance, ...]
    target_met: float
    spreads: tuple[InputSpread, ...]
    measure_first: tuple[MeasureFirst, ...]
    explained: float

    def __post_init__(self) -> None:
        for array in (self.engine_speed, self.solved, self.peak_samples):
            array.flags.writeable = False

    def band(self, field: str) -> Band:
        """Band of a field of the operating line.

        Raises
        ------
        InputError
            For a field without one.
        """
        for one in self.bands:
            if one.field == field:
                return one
        known = ", ".join(band.field for band in self.bands)
        raise InputError("field", field, f"one of {known}")

    @property
    def has(self) -> frozenset[str]:
        """Fields that have a band."""
        return frozenset(one.field for one in self.bands)

    @property
    def doubt(self) -> float:
        """Most that a chance may be off by chance alone, one standard error [-]: 1/(2 sqrt(n))."""
        return float(0.5 / np.sqrt(self.samples))


def quantiles(values: Floats, shares: tuple[float, ...] = (LOW, MIDDLE, HIGH)) -> Floats:
    """Quantiles along the first axis, between the two samples next to each; nan do not count.

    Parameters
    ----------
    values : ndarray, shape (samples, ...)
        Samples, of any unit. [-]
    shares : tuple of float
        Shares that lie under the quantiles. [-] 0-1

    Returns
    -------
    ndarray, shape (shares, ...)
        Quantiles; nan where no sample is a number. Unit of the samples. [-]

    References
    ----------
    Hyndman & Fan, Sample Quantiles in Statistical Packages, The American Statistician 50 (1996),
    definition 7.

    Examples
    --------
    >>> float(quantiles(np.array([1.0, 2.0, 4.0, np.nan]), (0.25,))[0])
    1.5
    """
    ordered = np.sort(np.ascontiguousarray(np.moveaxis(values, 0, -1)), axis=-1)
    count = np.sum(~np.isnan(ordered), axis=-1)
    out = np.empty((len(shares), *count.shape))
    for k, share in enumerate(shares):
        place = share * np.maximum(count - 1, 0)
        index = np.floor(place).astype(np.intp)
        above = np.minimum(index + 1, np.maximum(count - 1, 0))
        low = np.take_along_axis(ordered, index[..., None], axis=-1)[..., 0]
        high = np.take_along_axis(ordered, above[..., None], axis=-1)[..., 0]
        with np.errstate(invalid="ignore"):
            between = low + (place - index) * (high - low)
        out[k] = np.where((low == high) | (place == index), low, between)
    return out


def line_band(flow: Floats, ratio: Floats) -> LineBand:
    """Band about a sampled operating line on the compressor map.

    Parameters
    ----------
    flow, ratio : ndarray, shape (samples, engine speeds)
        Corrected flow [kg/s] and pressure ratio [-].

    Returns
    -------
    LineBand
        Middle and edges. [kg/s], [-]

    References
    ----------
    None: a choice of this bench.
    """
    x, y = quantiles(flow, (MIDDLE,))[0], quantiles(ratio, (MIDDLE,))[0]
    width, height = _span(x), _span(y)
    dx, dy = _slope(x / width), _slope(y / height)
    length = np.hypot(dx, dy)
    # where the line stands still it is taken to run along the flow
    known = length > 0.0
    dx = np.where(known, dx / np.where(known, length, 1.0), 1.0)
    dy = np.where(known, dy / np.where(known, length, 1.0), 0.0)
    across = (ratio - y) / height * dx - (flow - x) / width * dy
    low, high = quantiles(across, (LOW, HIGH))
    return LineBand(
        x,
        y,
        x - low * dy * width,
        y + low * dx * height,
        x - high * dy * width,
        y + high * dx * height,
    )


def _span(values: Floats) -> float:
    known = values[np.isfinite(values)]
    span = float(np.ptp(known)) if known.size else 0.0
    return span if span > 0.0 else 1.0


def _slope(values: Floats) -> Floats:
    """Change from the point before to the point after; one-sided at the ends and beside gaps."""
    step = np.diff(values)
    before = np.concatenate([[np.nan], step])
    after = np.concatenate([step, [np.nan]])
    both = np.where(np.isnan(before), 0.0, before) + np.where(np.isnan(after), 0.0, after)
    return np.where(np.isnan(values), np.nan, both)


def first_order_shares(draws: Floats, values: Floats) -> tuple[Floats, float]:
    """First-order shares of the variance of a number, by regression on normal inputs.

    The number is fitted by a constant and, for each input, Hermite polynomials of first and
    second degree, which are orthonormal under the normal distribution: the variance of an
    input's own two terms over the whole is its first-order Sobol index, bends of second degree
    included.

    Parameters
    ----------
    draws : ndarray, shape (samples, inputs)
        Standard normal draws. [-]
    values : ndarray, shape (samples,)
        The number, of any unit; nan do not count. [-]

    Returns
    -------
    shares : ndarray, shape (inputs,)
        Shares of the variance; nan where there is none, or too few samples. [-]
    explained : float
        R squared of the fit; nan likewise. [-]

    References
    ----------
    Sudret, Global sensitivity analysis using polynomial chaos expansions, Reliability Engineering
    & System Safety 93 (2008) 964-979.
    """
    known = np.isfinite(values)
    z, y = draws[known], values[known]
    inputs = draws.shape[1]
    nothing = np.full(inputs, np.nan), float("nan")
    if inputs == 0 or y.size < 4 * inputs + 2:
        return nothing
    centred = y - np.mean(y)
    total = float(np.sum(centred**2))
    if total <= 1e-20 * float(np.sum(y**2)):
        return nothing
    bends = (z**2 - 1.0) / np.sqrt(2.0)
    terms = np.column_stack([np.ones(y.size), z, bends])
    # the terms are nearly orthogonal, so that the normal equations do; plain sums, so that no
    # threads of a library are woken for so little
    products = np.einsum("ni,nj->ij", terms, terms)
    found = np.linalg.solve(products, np.einsum("ni,n->i", terms, centred))
    rest = centred - np.einsum("ni,i->n", terms, found)
    own = z * found[1 : inputs + 1] + bends * found[inputs + 1 :]
    shares = np.var(own, axis=0) * y.size / total
    return shares, 1.0 - float(np.sum(rest**2)) / total
