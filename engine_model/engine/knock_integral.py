"""Pressure and end gas through compression and burn, and the Livengood-Wu integral.

Everything is relative to the closing of the inlet valve: v = V/V0, pi = p/p0. With one
polytropic exponent n, K = pi v^n rises by the burn only, dK = (n - 1) q v^(n-1) dx, and the
end gas follows T = T0 pi^((n-1)/n).
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import NDArray

from engine_model.constants import CYCLE_GAMMA, STANDARD_PRESSURE
from engine_model.engine.cylinder import (
    DELAY_FACTOR,
    DELAY_OCTANE_EXPONENT,
    DELAY_PRESSURE_EXPONENT,
    DELAY_TEMPERATURE,
    ROD_OVER_CRANK,
    ratio_from_cosine,
)

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

COMPRESSION_SPAN = 90.0
"""Crank angle before the burn that counts [deg]; what lies before it is under 1e-4."""

DEGREES_PER_SECOND_AT_1_RPM = 6.0


@dataclass(frozen=True, slots=True)
class Burn:
    """What is assumed of the burn; chosen here, no source, but for the Wiebe constants.

    Parameters
    ----------
    efficiency_factor, form_factor : float
        Wiebe's a and m. [-] Heywood section 9.2.
    duration : float
        From start to end of the burn. [deg]
    closing : float
        Closing of the inlet valve after bottom centre. [deg]
    polytropic_exponent : float
        Of compression, burn and end gas alike. [-]
    """

    efficiency_factor: float = 5.0
    form_factor: float = 2.0
    duration: float = 50.0
    closing: float = 50.0
    polytropic_exponent: float = 1.32

    @property
    def half_burnt(self) -> float:
        """Crank angle from the start of burning until half has burnt [deg]."""
        y = (np.log(2.0) / self.efficiency_factor) ** (1.0 / (self.form_factor + 1.0))
        return float(self.duration * y)


@dataclass(frozen=True, slots=True)
class Resolution:
    """How finely the crank turns, and how closely the root is sought.

    Parameters
    ----------
    panels : int
        Simpson panels of the burn, two crank-angle steps each.
    compression_nodes : int
        Gauss nodes of the compression before it.
    tolerance : float
        On the logarithm of the integral. [-]
    """

    panels: int
    compression_nodes: int
    tolerance: float


FULL = Resolution(16, 10, 1e-6)
USUAL = Resolution(8, 6, 1e-5)
"""What a ledger needs: within 1e-4 of power of the full one."""

COARSE = Resolution(4, 4, 4e-3)
"""Within 0.3 % of power of the full one (0.1 % at 7 degrees of retard)."""


@dataclass(frozen=True, slots=True, eq=False)
class Grid:
    """Crank angles as offsets from the start of burning, columns: compression, then burn.

    Parameters
    ----------
    cosine, sine : ndarray
        Of the offsets. [-]
    weight : ndarray
        Of the rate in the integral. [deg]
    burn_rate : ndarray
        Rate of burning, burn only. [1/deg]
    before : int
        Rows of the compression.
    panel : float
        Two crank-angle steps of the burn. [deg]
    """

    cosine: Floats
    sine: Floats
    weight: Floats
    burn_rate: Floats
    before: int
    panel: float


@functools.lru_cache(maxsize=64)
def grid_of(burn: Burn, resolution: Resolution) -> Grid:
    """Offsets and weights [deg] of a burn at a resolution."""
    steps = 2 * resolution.panels
    y = np.linspace(0.0, 1.0, steps + 1)
    a, power = burn.efficiency_factor, burn.form_factor
    rate = a * (power + 1.0) * y**power * np.exp(-a * y ** (power + 1.0)) / burn.duration
    simpson = np.where(np.arange(steps + 1) % 2, 4.0, 2.0)
    simpson[[0, -1]] = 1.0
    panel = burn.duration / resolution.panels
    nodes, weights = np.polynomial.legendre.leggauss(resolution.compression_nodes)
    before = COMPRESSION_SPAN * 0.5 * (nodes - 1.0)
    offset = np.radians(np.concatenate((before, y * burn.duration)))[:, None]
    weight = np.concatenate((0.5 * COMPRESSION_SPAN * weights, panel / 6.0 * simpson))
    return Grid(np.cos(offset), np.sin(offset), weight[:, None], rate[:, None], before.size, panel)


def _running(rate: Floats, panel: float) -> Floats:
    """Integral from the first node to every node, Simpson over pairs of steps (fourth order)."""
    first, middle, last = rate[:-1:2], rate[1::2], rate[2::2]
    result = np.empty_like(rate)
    result[0] = 0.0
    whole = first + last
    whole += 4.0 * middle
    np.cumsum(whole, axis=0, out=result[2::2])
    result[2::2] *= panel / 6.0
    half = 5.0 * first
    half += 8.0 * middle
    half -= last
    half *= panel / 24.0
    half += result[:-1:2]
    result[1::2] = half
    return result


def _sum_of(rows: Floats) -> Floats:
    # one row after another, whatever the shape, so that no result depends on its neighbours
    return np.asarray(np.cumsum(rows, axis=0)[-1])


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """The burn of many points, rows over crank angle.

    Parameters
    ----------
    log_volume : ndarray
        Logarithm of volume over closing volume. [-]
    power : ndarray
        Volume over closing volume, to the power n - 1. [-]
    log_growth : ndarray
        Logarithm of K. [-]
    """

    log_volume: Floats
    power: Floats
    log_growth: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Charges:
    """Many charges at the closing of the inlet valve, one-dimensional.

    Parameters
    ----------
    compression_ratio : ndarray
        Compression ratio. [-]
    temperature : ndarray
        At closing, fuel and residual mixed in. [K]
    heat : ndarray
        Heat of the burn over p0 V0. [-]
    log_scale : ndarray
        Logarithm of what turns the integral over crank angle into Livengood and Wu's. [1/deg]
    log_target : ndarray
        Logarithm of the integral to be met. [-]
    closing_volume : ndarray
        Over clearance volume. [-]
    """

    compression_ratio: Floats
    temperature: Floats
    heat: Floats
    log_scale: Floats
    log_target: Floats
    closing_volume: Floats

    def only(self, index: Indices) -> Charges:
        """Return some of the charges."""
        return Charges(
            self.compression_ratio[index],
            self.temperature[index],
            self.heat[index],
            self.log_scale[index],
            self.log_target[index],
            self.closing_volume[index],
        )


def closing_volume(compression_ratio: Floats, burn: Burn) -> Floats:
    """Volume at the closing of the inlet valve over clearance volume [-]."""
    cosine = np.full(1, -np.cos(np.radians(burn.closing)))
    return ratio_from_cosine(cosine, compression_ratio, ROD_OVER_CRANK)


def log_scale(octane: Floats, pressure: Floats, engine_speed: Floats) -> Floats:
    """Logarithm of the integral's scale [1/deg] from octane [-], p0 [Pa] and speed [rpm]."""
    seconds = 1.0 / (DEGREES_PER_SECOND_AT_1_RPM * engine_speed)
    delay = 1e-3 * DELAY_FACTOR
    return np.asarray(
        np.log(seconds / delay)
        - DELAY_OCTANE_EXPONENT * np.log(octane / 100.0)
        + DELAY_PRESSURE_EXPONENT * np.log(pressure / STANDARD_PRESSURE)
    )


def _volumes(ratio: Floats, angle: Floats, burn: Burn, grid: Grid, skip: int = 0) -> Floats:
    """Volume over clearance volume [-] when half has burnt at an angle [deg]."""
    start = np.radians(angle - burn.half_burnt)
    cosines = grid.cosine[skip:] * np.cos(start)
    cosines -= grid.sine[skip:] * np.sin(start)
    return ratio_from_cosine(cosines, ratio, ROD_OVER_CRANK)


def course_of(charges: Charges, angle: Floats, burn: Burn, grid: Grid) -> Course:
    """Course of compression and burn when half has burnt at an angle [deg]."""
    less = burn.polytropic_exponent - 1.0
    u = _volumes(charges.compression_ratio, angle, burn, grid)
    u /= charges.closing_volume
    np.log(u, out=u)
    w = u * less
    np.exp(w, out=w)
    growth = np.zeros_like(u)
    burning = _running(w[grid.before :] * grid.burn_rate, grid.panel)
    burning *= less * charges.heat
    np.log1p(burning, out=growth[grid.before :])
    return Course(u, w, growth)


def log_integral(charges: Charges, angle: Floats, burn: Burn, grid: Grid) -> Floats:
    """Logarithm of the Livengood-Wu integral [-] when half has burnt at an angle [deg]."""
    n = burn.polytropic_exponent
    course = course_of(charges, angle, burn, grid)
    # 1.7 ln pi - 3800/T, with ln pi = ln K - n ln v and T = T0 v^(1-n) K^((n-1)/n)
    inverse = course.log_growth * ((1.0 - n) / n)
    np.exp(inverse, out=inverse)
    inverse *= course.power
    inverse *= -DELAY_TEMPERATURE / charges.temperature
    rate = course.log_volume
    rate *= -n
    rate += course.log_growth
    rate *= DELAY_PRESSURE_EXPONENT
    rate += inverse
    np.exp(rate, out=rate)
    rate *= grid.weight
    total = np.log(_sum_of(rate))
    total += charges.log_scale
    return np.asarray(total)


def peak_ratio(charges: Charges, angle: Floats, burn: Burn, grid: Grid) -> Floats:
    """Peak cylinder pressure over closing pressure [-] when half has burnt at an angle [deg]."""
    n = burn.polytropic_exponent
    course = course_of(charges, angle, burn, grid)
    log_pressure = (course.log_growth - n * course.log_volume)[grid.before :]
    top = np.argmax(log_pressure, axis=0)
    inner = np.clip(top, 1, log_pressure.shape[0] - 2)
    column = np.arange(inner.size)
    before, here, after = (log_pressure[inner + k, column] for k in (-1, 0, 1))
    bend = before - 2.0 * here + after
    rise = after - before
    with np.errstate(divide="ignore", invalid="ignore"):
        peak = here - rise * rise / (8.0 * bend)
    edge = (top != inner) | ~(bend < 0.0)
    highest = np.where(edge, log_pressure[top, column], peak)
    # a burn that starts after top centre may stay under the compression
    late = angle > burn.half_burnt
    compressed = n * np.log(charges.closing_volume)
    highest = np.where(late, np.maximum(highest, compressed), highest)
    return np.asarray(np.exp(highest))


def cycle_share(compression_ratio: Floats, angle: Floats, burn: Burn, grid: Grid) -> Floats:
    """Efficiency of the ideal cycle [-] when half has burnt at an angle [deg].

    A sum of constant-volume cycles over the burn, each with the expansion left to it.
    """
    v = _volumes(compression_ratio, angle, burn, grid, grid.before)
    v /= compression_ratio
    np.log(v, out=v)
    v *= CYCLE_GAMMA - 1.0
    np.expm1(v, out=v)
    v *= grid.burn_rate
    v *= grid.weight[grid.before :]
    return -_sum_of(v)


@dataclass(frozen=True, slots=True, eq=False)
class RetardEquations:
    """Equations of :mod:`engine_model.roots`: the integral meets its target."""

    charges: Charges
    burn: Burn
    grid: Grid

    def residual(self, angle: Floats) -> Floats:
        """Logarithm of integral over target [-] when half has burnt at an angle [deg]."""
        return log_integral(self.charges, angle, self.burn, self.grid) - self.charges.log_target

    def only(self, index: Indices) -> Self:
        """Return the equations of some of the points."""
        return type(self)(self.charges.only(index), self.burn, self.grid)
