"""Promised, expected and measured power ready to draw, and as numbers."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from app.fields import Units, show, unit_of
from app.present.pull_words import STANDARD_NAMES
from app.present.series_axes import nice_range
from app.present.series_csv import Columns
from app.present.series_panels import (
    Level,
    Panel,
    PanelCurve,
    PanelSeries,
    Spread,
    columns_csv,
)
from engine_model.studies.pull_compared import PullCompared
from engine_model.units import from_si

Floats = NDArray[np.float64]

TITLE = "Promised, expected and measured power"

MOST_READINGS = 6000
"""Readings that are drawn, of all runs; of more, one in so many."""

AS_ON_DAY = STANDARD_NAMES["none"]


def promised_words(found: PullCompared, basis: str, units: Units) -> str:
    """What was promised, where, and what that is at the place drawn."""
    target = found.build.target
    if target.power is None:
        return ""
    when = f" for the {target.day} day" if target.day else ""
    told = f"promised: {show(target.power, 'power', units)} {target.basis}{when}"
    if target.basis == basis:
        return told
    return f"{told}, that is {show(found.promised_w[basis], 'power', units)} {basis}"


def smoothed_words(found: PullCompared) -> str:
    """How the measured line was smoothed and averaged."""
    width = f"smoothed over {found.width_rpm:.0f} rpm" if found.width_rpm > 0 else "not smoothed"
    if len(found.runs) > 1:
        return f"measured, mean of {len(found.runs)} runs ± standard deviation, {width}"
    return f"measured, run {found.runs[0].number}, {width}"


def dyno_series(found: PullCompared, basis: str, units: Units = "si") -> PanelSeries:
    """Series of the chart.

    Parameters
    ----------
    found : PullCompared
        The pull beside the build.
    basis : str
        ``wheel`` or ``flywheel``: what is drawn.
    units : Units
        Units shown.
    """
    unit = unit_of("power", units)

    def shown(watts: Floats) -> Floats:
        return np.asarray(from_si(watts, unit, "power"), dtype=float)

    speeds = found.engine_speed_rpm
    measured, expected = shown(found.measured_w[basis]), shown(found.expected_w[basis])
    raw = [shown(run.power_w[basis]) for run in found.runs]
    every = max(1, -(-sum(one.size for one in raw) // MOST_READINGS))
    named = "readings" if every == 1 else f"readings, one in {every}"
    curves = [
        PanelCurve(
            run.engine_speed_rpm[::every], values[::every], "readings", named if k == 0 else ""
        )
        for k, (run, values) in enumerate(zip(found.runs, raw, strict=True))
    ]
    curves.append(PanelCurve(speeds, expected, "second", "expected: the match in the pull's air"))
    curves.append(PanelCurve(speeds, measured, "main", smoothed_words(found)))
    promised = float(from_si(found.promised_w[basis], unit, "power"))
    levels: tuple[Level, ...] = ()
    if math.isfinite(promised):
        levels = (Level(promised, promised_words(found, basis, units)),)
    known = np.concatenate((measured, expected, [promised], *raw))
    known = known[np.isfinite(known)]
    several = found.count > 1
    low, high = shown(found.low_w[basis]), shown(found.high_w[basis])
    across = (
        float(min(speeds[0], *(run.engine_speed_rpm[0] for run in found.runs))) - 50.0,
        float(max(speeds[-1], *(run.engine_speed_rpm[-1] for run in found.runs))) + 50.0,
    )
    power = Panel(
        f"{basis.capitalize()} power, {AS_ON_DAY} [{unit}]",
        tuple(curves),
        across,
        nice_range(min(0.0, float(known.min())), 1.04 * float(known.max())),
        levels=levels,
        decimals=0 if unit != "MW" else 3,
        spreads=(Spread(speeds[several], low[several], high[several]),) if several.any() else (),
    )
    residual = 100.0 * found.residual(basis)
    with np.errstate(invalid="ignore"):
        edges = [100.0 * (one[basis] / found.expected_w[basis] - 1.0)
                 for one in (found.low_w, found.high_w)]  # fmt: skip
    there = several & np.isfinite(residual)
    finite = residual[np.isfinite(residual)]
    most = max(2.0, float(np.abs(finite).max())) if finite.size else 2.0
    strip = Panel(
        f"Measured {basis} power over expected, less one [%]",
        (PanelCurve(speeds, residual, "main"),),
        across,
        nice_range(-most, most),
        "Engine speed [rpm]",
        levels=(Level(0.0, "as expected"),),
        decimals=1,
        spreads=(Spread(speeds[there], edges[0][there], edges[1][there]),) if there.any() else (),
    )
    return PanelSeries((power, strip), "; ".join(dyno_lines(found, basis, units)))


def peak_of(speeds: Floats, values: Floats) -> tuple[float, float]:
    """Greatest value and its engine speed; nan where there is none."""
    if not np.any(np.isfinite(values)):
        return math.nan, math.nan
    at = int(np.nanargmax(values))
    return float(values[at]), float(speeds[at])


def dyno_lines(found: PullCompared, basis: str, units: Units = "si") -> list[str]:
    """Promised, expected and measured in words: the greatest of each, where and how."""
    speeds = found.engine_speed_rpm
    measured, at = peak_of(speeds, found.measured_w[basis])
    expected, there = peak_of(speeds, found.expected_w[basis])
    rows = [f"Measured: {show(measured, 'power', units)} {basis} at {at:.0f} rpm, {AS_ON_DAY}"]
    if math.isfinite(expected):
        share = 100.0 * (measured / expected - 1.0)
        way = f"{abs(share):.1f} % {'less' if share < 0.0 else 'more'}"
        told = f"{show(expected, 'power', units)} {basis} at {there:.0f} rpm"
        rows.append(f"expected in the same air: {told}; measured is {way}")
    else:
        rows.append("expected: the build has no match along the pull")
    promised = promised_words(found, basis, units)
    rows.append(promised or "nothing promised: no target in the build")
    return rows


def dyno_csv(found: PullCompared, basis: str, units: Units = "si", about: Columns = ()) -> str:
    """CSV text of the averaged pull beside the build."""
    unit = unit_of("power", units)

    def shown(watts: Floats) -> Floats:
        return np.asarray(from_si(watts, unit, "power"), dtype=float)

    tail = f"{basis} power, {AS_ON_DAY} [{unit}]"
    columns = [
        ("engine speed [rpm]", found.engine_speed_rpm),
        (f"measured {tail}", shown(found.measured_w[basis])),
        (f"less a standard deviation, {tail}", shown(found.low_w[basis])),
        (f"with a standard deviation, {tail}", shown(found.high_w[basis])),
        (f"expected {tail}", shown(found.expected_w[basis])),
        ("runs", found.count.astype(float)),
    ]
    return columns_csv(columns, about)
