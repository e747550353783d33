"""Knock along the operating lines of a build: what its stock engine is held against."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from engine_model.engine.knock import (
    Anchor,
    KnockEstimate,
    anchor_of,
    knock_estimate,
    retard_factor,
    stock_angles,
)
from engine_model.engine.knock_charge import Intake, KnockSettings
from engine_model.engine.knock_integral import COARSE, USUAL
from engine_model.engine.knock_remedy import temperature_without_retard
from engine_model.engine.stock_fit import StockEngine, StockFigures, fit_stock_engine, rated_flow
from engine_model.fuel.fuels import Fuel, fuel_named
from engine_model.fuel_choice import fuel_of
from engine_model.inputs import Build
from engine_model.results import LineKnock, OperatingLine
from engine_model.stock_points import stock_figures

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]


@dataclass(frozen=True, slots=True, eq=False)
class KnockPlan:
    """A build as the estimate of knock sees it; arrays one element an engine speed.

    Parameters
    ----------
    anchor : Anchor
        The constant of the stock engine.
    stock_angle : ndarray
        Its angle of half burnt. [deg]
    stock_ratio : ndarray
        Its exhaust over manifold pressure. [-]
    engine_speed : ndarray
        Engine speed. [rpm]
    compression_ratio, mixture : float
        Of the build. [-]
    fuel : Fuel
        What it burns, with the octane number that counts.
    """

    anchor: Anchor
    stock_angle: Floats
    stock_ratio: Floats
    engine_speed: Floats
    compression_ratio: float
    mixture: float
    fuel: Fuel

    def estimate(
        self, at: Indices, pressure: Floats, temperature: Floats, exhaust: Floats
    ) -> KnockEstimate:
        """Estimate for points with stations 3 and 4 given [Pa], [K], [Pa].

        Parameters
        ----------
        at : ndarray
            Index of each point's engine speed.
        pressure, temperature, exhaust : ndarray
            Stations 3 and 4. [Pa], [K], [Pa]
        """
        intake = self._intake(at, pressure, temperature, exhaust)
        angle = self.stock_angle[at]
        return knock_estimate(intake, self.compression_ratio, self.fuel, self.anchor, angle)

    def efficiency_factor(
        self, at: Indices, pressure: Floats, temperature: Floats, exhaust: Floats
    ) -> Floats:
        """Indicated efficiency over that of the stock spark [-], of points as in :meth:`estimate`.

        Where more retard is asked for than is sought, that of the most that is sought.
        """
        found = self.estimate(at, pressure, temperature, exhaust)
        factor = found.efficiency_factor
        if not np.any(found.beyond):
            return factor
        angle = self.stock_angle[at]
        most = self.anchor.settings.latest - angle
        last = retard_factor(most, self.compression_ratio, angle, self.anchor)
        return np.where(found.beyond, last, factor)

    def temperature_needed(
        self, at: Indices, pressure: Floats, temperature: Floats, exhaust: Floats
    ) -> Floats:
        """Charge temperature [K] that would need no retard, of points as in :meth:`estimate`."""
        intake = self._intake(at, pressure, temperature, exhaust)
        return temperature_without_retard(
            intake, self.compression_ratio, self.fuel, self.anchor, self.stock_angle[at]
        )

    def _intake(
        self, at: Indices, pressure: Floats, temperature: Floats, exhaust: Floats
    ) -> Intake:
        return Intake(
            self.engine_speed[at],
            pressure,
            temperature,
            exhaust,
            self.mixture,
            self.stock_ratio[at],
        )


def knock_plan(build: Build, engine_speed: Floats, coarse: bool = False) -> KnockPlan:
    """Unpack a build for the estimate at a set of engine speeds.

    Parameters
    ----------
    build : Build
        The build.
    engine_speed : ndarray
        Engine speeds. [rpm]
    coarse : bool
        Whether the crank turns in coarser steps, within 0.3 % of power.

    Returns
    -------
    KnockPlan
        The stock engine is worked out once for the same figures and speeds.

    References
    ----------
    One constant, anchored at the stock engine's torque peak: chosen here, no source.
    """
    e = build.engine
    speeds = tuple(float(n) for n in engine_speed)
    kept = _stock(stock_figures(build), e.stock_fuel, e.stock_half_burnt, speeds, coarse)
    anchor, angle, ratio = kept
    return KnockPlan(anchor, angle, ratio, engine_speed, e.compression_ratio, e.mixture, fuel_of(e))


@lru_cache(maxsize=16)
def _stock(
    figures: StockFigures,
    fuel_name: str,
    half_burnt: float,
    speeds: tuple[float, ...],
    coarse: bool,
) -> tuple[Anchor, Floats, Floats]:
    """Anchor, and the stock engine's angles and pressure ratios at the speeds."""
    fuel = fuel_named(fuel_name, "engine.stock_fuel")
    rated = rated_flow(figures, fuel)
    every = np.array([figures.torque_speed, *speeds])
    stock = fit_stock_engine(every, figures, fuel, rated)
    ratio = stock.exhaust_pressure / stock.manifold_pressure
    peak, whole = (_drawn(every, stock, ratio, figures.mixture, part) for part in _PARTS)
    settings = KnockSettings(half_burnt=half_burnt)
    resolution = COARSE if coarse else USUAL
    anchor = anchor_of(peak, figures.compression_ratio, fuel, settings, resolution)
    angles = stock_angles(whole, figures.compression_ratio, fuel, anchor)
    for array in (angles, ratio):
        array.flags.writeable = False
    return anchor, angles, ratio[1:]


_PARTS = (slice(0, 1), slice(1, None))


def _drawn(speed: Floats, stock: StockEngine, ratio: Floats, mixture: float, part: slice) -> Intake:
    return Intake(
        speed[part],
        stock.manifold_pressure[part],
        stock.manifold_temperature[part],
        stock.exhaust_pressure[part],
        mixture,
        ratio[part],
    )


def knock_of_line(plan: KnockPlan, line: OperatingLine, remedy: bool = True) -> LineKnock:
    """Estimate of knock along operating lines.

    Parameters
    ----------
    plan : KnockPlan
        The build at the lines' engine speeds.
    line : OperatingLine
        Lines of any leading axes.
    remedy : bool
        Whether the charge temperature that needs no retard is sought too.

    Returns
    -------
    LineKnock
        Of the lines' axes.

    References
    ----------
    As ``knock_estimate``.
    """
    p3, t3, p4 = _states(line)
    at = np.broadcast_to(np.arange(p3.shape[-1]), p3.shape)
    return _line_knock(plan, line, plan.estimate(at, p3, t3, p4), remedy)


def _states(line: OperatingLine) -> tuple[Floats, Floats, Floats]:
    """Stations 3 and 4 along lines [Pa], [K], [Pa]."""
    return line.manifold_pressure_pa, line.manifold_temperature_k, line.exhaust_pressure_pa


def _line_knock(
    plan: KnockPlan, line: OperatingLine, found: KnockEstimate, remedy: bool
) -> LineKnock:
    p3, t3, p4 = _states(line)
    shape = p3.shape
    needed = np.full(shape[:-1], np.nan)
    if remedy:
        known = np.where(found.beyond, np.inf, np.nan_to_num(found.retard, nan=-1.0))
        worst = np.argmax(known, axis=-1)[..., None]
        a, b, c = (np.take_along_axis(x, worst, axis=-1)[..., 0] for x in (p3, t3, p4))
        needed = plan.temperature_needed(worst[..., 0], a, b, c)
    return LineKnock(
        found.retard,
        found.retard_low,
        found.retard_high,
        found.efficiency_factor,
        found.peak_pressure,
        found.peak_pressure_unretarded,
        found.octane_without_retard,
        found.beyond,
        needed,
    )


def knock_of_other(
    plan: KnockPlan, line: OperatingLine, known: OperatingLine, knock: LineKnock
) -> LineKnock:
    """Estimate along lines that differ from known ones at some points only.

    Parameters
    ----------
    plan : KnockPlan
        The build at the lines' engine speeds.
    line, known : OperatingLine
        The lines, such as those with no belt slip, and those with the slip found.
    knock : LineKnock
        Estimate along the known ones.

    Returns
    -------
    LineKnock
        Of the lines' axes, the same as if all of it were estimated; the charge temperature that
        needs no retard is not sought.

    References
    ----------
    As ``knock_estimate``.
    """
    p3 = line.manifold_pressure_pa
    other = np.flatnonzero((p3 != known.manifold_pressure_pa).ravel())
    at = np.broadcast_to(np.arange(p3.shape[-1]), p3.shape).ravel()[other]
    t3, p4 = line.manifold_temperature_k.ravel()[other], line.exhaust_pressure_pa.ravel()[other]
    found = plan.estimate(at, p3.ravel()[other], t3, p4)

    def put(old: NDArray[Any], new: NDArray[Any]) -> NDArray[Any]:
        whole = old.copy()
        whole.reshape(-1)[other] = new
        return whole

    merged = KnockEstimate(
        put(knock.retard_deg, found.retard),
        put(knock.retard_low_deg, found.retard_low),
        put(knock.retard_high_deg, found.retard_high),
        put(knock.efficiency_factor, found.efficiency_factor),
        put(knock.peak_pressure_pa, found.peak_pressure),
        put(knock.peak_pressure_unretarded_pa, found.peak_pressure_unretarded),
        put(knock.octane_without_retard, found.octane_without_retard),
        put(knock.is_beyond, found.beyond),
    )
    return _line_knock(plan, line, merged, False)
