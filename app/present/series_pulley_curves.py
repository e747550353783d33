"""Series of power and boost against the blower pulley, and CSV text of both pulley charts."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.fields import Units, decimals_of, quantity_of, unit_of
from app.present.series_axes import nice_range
from app.present.series_pulleys import SpanSeries
from engine_model.studies.span_records import PulleySpan
from engine_model.units import from_si

Floats = NDArray[np.float64]

Columns = Sequence[tuple[str, str]]

PLOTS: tuple[tuple[str, str, str, str, str], ...] = (
    ("wheel", "Wheel power", "power", "wheel_power_peak_w", "wheel_power_limiter_w"),
    ("flywheel", "Flywheel power", "power", "flywheel_power_peak_w", "flywheel_power_limiter_w"),
    ("boost", "Boost", "boost", "boost_peak_pa", "boost_limiter_pa"),
)
"""Plots: key, title, kind of display, and fields of the curves at the peak and at the limiter."""


@dataclass(frozen=True, slots=True, eq=False)
class DayCurve:
    """Highest on the line, and at the limiter, on one day."""

    day: str
    peak: Floats
    limiter: Floats

    @property
    def is_same(self) -> bool:
        """Whether the limiter is where most is made, at every pulley."""
        return bool(np.allclose(self.peak, self.limiter, rtol=1e-9, atol=0.0, equal_nan=True))


@dataclass(frozen=True, slots=True, eq=False)
class PulleyPlot:
    """One quantity against the pulley.

    Parameters
    ----------
    key, title, unit : str
        Name, words and unit.
    curves : tuple of DayCurve
        One a day.
    target : float
        Target in the unit; nan where there is none here.
    target_words : str
        Its words.
    value_range : (float, float)
        Range of the axis.
    decimals : int
        Digits of a value after the point.
    """

    key: str
    title: str
    unit: str
    curves: tuple[DayCurve, ...]
    target: float
    target_words: str
    value_range: tuple[float, float]
    decimals: int

    def values_at(self, diameter: float, diameters: Floats) -> list[float]:
        """Highest values on every day at a diameter; nan outside those known."""
        if not diameters.size or not diameters[0] <= diameter <= diameters[-1]:
            return [float("nan")] * len(self.curves)
        return [float(np.interp(diameter, diameters, one.peak)) for one in self.curves]


@dataclass(frozen=True, slots=True, eq=False)
class PulleyCurvesSeries:
    """Power and boost against the pulley, ready to draw; diameters in the unit shown."""

    unit: str
    axis_label: str
    diameter: Floats
    plots: tuple[PulleyPlot, ...]
    decimals: int

    @property
    def days(self) -> tuple[str, ...]:
        """Days of the curves."""
        return tuple(one.day for one in self.plots[0].curves) if self.plots else ()


def pulley_curves_series(span: PulleySpan, units: Units = "si") -> PulleyCurvesSeries:
    """Series of power and boost of a pulley span; the power the target speaks of first.

    Parameters
    ----------
    span : PulleySpan
        The span.
    units : Units
        Units shown.
    """
    unit = unit_of("length", units)
    target = span.build.target
    order = sorted(PLOTS, key=lambda row: (row[2] != "power", row[0] != target.basis))
    plots = []
    for key, title, kind, peak_name, limiter_name in order:
        symbol, quantity = unit_of(kind, units), quantity_of(kind)
        peak, limiter = (
            np.asarray(from_si(getattr(span.curves, name), symbol, quantity), dtype=float)
            for name in (peak_name, limiter_name)
        )
        curves = tuple(DayCurve(day, peak[k], limiter[k]) for k, day in enumerate(span.curves.days))
        asked = target.power if key == target.basis else None
        line = float("nan") if asked is None else float(from_si(asked, symbol, quantity))
        decimals = 0 if kind == "power" else decimals_of(kind, units)
        words = ""
        if asked is not None:
            day = f", {target.day} day" if target.day else ""
            words = f"target {line:.{decimals}f} {symbol}{day}"
        known = np.concatenate([peak[np.isfinite(peak)], [0.0] if kind == "boost" else []])
        both = [*known.tolist(), *([line] if np.isfinite(line) else [])]
        span_range = nice_range(min(both), max(both)) if both else (0.0, 1.0)
        plots.append(PulleyPlot(key, title, symbol, curves, line, words, span_range, decimals))
    shown = np.asarray(from_si(span.curves.diameter, unit, "length"), dtype=float)
    label = f"Blower pulley [{unit}]"
    return PulleyCurvesSeries(unit, label, shown, tuple(plots), decimals_of("length", units))


def _number(value: float) -> str:
    return f"{value:.7g}" if np.isfinite(value) else ""


def _text(header: Sequence[str], rows: Iterable[Sequence[str]], about: Columns) -> str:
    texts = [text for _, text in about]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([*header, *(name for name, _ in about)])
    writer.writerows([*row, *texts] for row in rows)
    return out.getvalue()


def span_csv(series: SpanSeries, present: float = float("nan"), about: Columns = ()) -> str:
    """CSV text of a pulley span: allowed stretches, pulleys at hand, then every bar.

    Parameters
    ----------
    series : SpanSeries
        The span.
    present : float
        Present pulley in the unit shown.
    about : sequence of (str, str)
        Columns at the end that say the same in every row.
    """
    rows: list[tuple[str, ...]] = []
    for one in series.allowed:
        rows.append(("allowed, smallest", "", "", _number(one.low), "", one.smaller))
        rows.append(("allowed, largest", "", "", _number(one.high), "", one.larger))
    if np.isfinite(present):
        rows.append(("present pulley", "", "", _number(present), "", ""))
    rows += [
        ("pulley at hand", "", "", _number(m.diameter), _number(m.used), m.state)
        for m in series.shelf
    ]
    for bar in series.bars:
        ends = [x for one in bar.stretches for x in (one.start, one.stop)]
        every = np.unique(np.concatenate([series.diameter, ends]))
        for x in every.tolist():
            used = series.used_at(bar, x)
            days = "; ".join(bar.days)
            cells = (bar.title, bar.case, days, _number(x), _number(used), bar.state_at(x))
            rows.append(cells)
    header = ("what", "case", "days", f"pulley [{series.unit}]", "used [-]", "state or stop")
    return _text(header, rows, about)


def pulley_curves_csv(series: PulleyCurvesSeries, about: Columns = ()) -> str:
    """CSV text of power and boost: diameter, then every curve, then the target.

    Parameters
    ----------
    series : PulleyCurvesSeries
        The curves.
    about : sequence of (str, str)
        Columns at the end that say the same in every row.
    """
    header, columns = [f"pulley [{series.unit}]"], [series.diameter]
    for plot in series.plots:
        for one in plot.curves:
            where = f"{one.day} day [{plot.unit}]"
            header += [f"{plot.title}, highest, {where}", f"{plot.title}, at the limiter, {where}"]
            columns += [one.peak, one.limiter]
        if np.isfinite(plot.target):
            header.append(f"{plot.title}, target [{plot.unit}]")
            columns.append(np.full(series.diameter.shape, plot.target))
    return _text(header, ([_number(v) for v in row] for row in zip(*columns, strict=True)), about)
