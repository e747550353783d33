"""Series of heat soak: temperatures and power, pull by pull, pauses drawn as gaps of one width."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.fields import Units, show, unit_of
from app.present.series_axes import nice_range
from app.present.soak_words import soaking
from engine_model.studies.soak_records import HeatSoak, PullFigures, SoakCourse
from engine_model.units import from_si

Floats = NDArray[np.float64]

LOWER = 0.02
"""Room under the coldest curve, over the span of all [-]."""

HALF = 0.36
"""Half the width of a pull on the axis of pulls, on which pulls are 1 apart [-]."""


@dataclass(frozen=True, slots=True, eq=False)
class SoakSeries:
    """Heat soak ready to draw; the axis across counts pulls, time runs evenly within each.

    Parameters
    ----------
    temperature_unit, power_unit : str
        Units.
    pulls : int
        Number of pulls.
    across, manifold : ndarray
        Manifold temperature; nan between pulls.
    coolant_across, coolant : ndarray
        Temperature of what soaks, through the pauses too.
    coolant_words : str
        What that is: ``coolant``, or the ``core`` of an air-to-air cooler.
    bound : float
        Bound of the manifold temperature.
    bound_words : str
        Its words.
    power : ndarray
        Wheel power at the limiter, one a pull.
    power_words : tuple of str
        The same as text.
    temperature_range, power_range : (float, float)
        Ranges of the axes.
    spoken : str
        What the chart says to who cannot see it.
    """

    temperature_unit: str
    power_unit: str
    pulls: int
    across: Floats
    manifold: Floats
    coolant_across: Floats
    coolant: Floats
    coolant_words: str
    bound: float
    bound_words: str
    power: Floats
    power_words: tuple[str, ...]
    temperature_range: tuple[float, float]
    power_range: tuple[float, float]
    spoken: str


def _pull_ends(course: SoakCourse) -> Floats:
    """Place of every end of an interval on the axis of pulls."""
    across = np.empty(course.time.size)
    count = int(course.pull.max()) + 1
    for number in range(count):
        inside = np.flatnonzero(course.pull == number)
        first, last = int(inside[0]), int(inside[-1]) + 1
        times = course.time[first : last + 1]
        share = (times - times[0]) / (times[-1] - times[0])
        across[first : last + 1] = number + 1.0 + HALF * (2.0 * share - 1.0)
    # a pause is as wide as a gap, however long it is
    gaps = np.flatnonzero(course.pull < 0)
    for number in range(1, count):
        mine = gaps[(gaps > np.flatnonzero(course.pull == number - 1)[-1])]
        mine = mine[mine < np.flatnonzero(course.pull == number)[0]]
        if mine.size > 1:
            inner = np.linspace(number + HALF, number + 1.0 - HALF, mine.size + 1)
            across[mine[1:]] = inner[1:-1]
    return across


def _figures(found: HeatSoak) -> tuple[PullFigures, SoakCourse] | None:
    if found.pulls is None or found.course is None:
        return None
    return found.pulls, found.course


def _soaking_of(found: HeatSoak, course: SoakCourse) -> Floats:
    """Temperature of what soaks [K]."""
    return course.core if found.is_air else course.coolant


def soak_series(found: HeatSoak, units: Units = "si") -> SoakSeries | None:
    """Series of a study; nothing where it has no pulls.

    Parameters
    ----------
    found : HeatSoak
        The study.
    units : Units
        Units shown.
    """
    both = _figures(found)
    if both is None:
        return None
    pulls, course = both
    degrees, power_unit = unit_of("temperature", units), unit_of("power", units)

    def shown(values: Floats) -> Floats:
        return np.asarray(from_si(values, degrees, "temperature"), dtype=float)

    ends = _pull_ends(course)
    middles = 0.5 * (ends[1:] + ends[:-1])
    manifold, coolant = shown(course.manifold), shown(_soaking_of(found, course))
    limit = found.build.bounds.charge_temperature
    bound = float(from_si(limit, degrees, "temperature"))
    power = np.asarray(from_si(pulls.wheel_power, power_unit, "power"), dtype=float)
    known = np.concatenate([manifold[np.isfinite(manifold)], coolant, [bound]])
    middle = 0.5 * (power.min() + power.max())
    # a fall of a few per cent is seen, a change of nothing does not look like one
    spread = max(float(np.ptp(power)), 0.02 * abs(middle))
    words = tuple(show(one, "power", units, unit=False) for one in pulls.wheel_power.tolist())
    return SoakSeries(
        degrees,
        power_unit,
        pulls.wheel_power.size,
        middles,
        manifold,
        ends,
        coolant,
        soaking(found),
        bound,
        f"bound {show(limit, 'temperature', units)}",
        power,
        words,
        nice_range(float(known.min()) - LOWER * float(np.ptp(known)), float(known.max())),
        nice_range(middle - spread, middle + spread),
        _spoken(pulls, words, units),
    )


def _spoken(pulls: PullFigures, words: Sequence[str], units: Units) -> str:
    """What the chart says to who cannot see it."""
    unit = unit_of("power", units)
    told = [
        f"pull {k + 1}: {show(peak, 'temperature', units)} at most, {power} {unit}"
        for k, (peak, power) in enumerate(zip(pulls.manifold_peak.tolist(), words, strict=True))
    ]
    return "Heat soak; " + "; ".join(told)


def soak_csv(found: HeatSoak, units: Units = "si", about: Sequence[tuple[str, str]] = ()) -> str:
    """CSV text of a study in time, an interval a row.

    Parameters
    ----------
    found : HeatSoak
        The study.
    units : Units
        Units shown.
    about : sequence of (str, str)
        Columns at the end that say the same in every row.
    """
    degrees = unit_of("temperature", units)
    header = [
        "pull",
        "time [s]",
        "engine speed [rpm]",
        f"manifold [{degrees}]",
        f"{'outside air' if found.is_air else 'coolant'} [{degrees}]",
        f"charge core [{degrees}]",
        f"wheel power at the limiter [{unit_of('power', units)}]",
    ]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([*header, *(name for name, _ in about)])
    both = _figures(found)
    if both is not None:
        writer.writerows([*row, *(text for _, text in about)] for row in _rows(*both, units))
    return out.getvalue()


def _rows(pulls: PullFigures, course: SoakCourse, units: Units) -> list[list[str]]:
    """An interval a row, at its end; the power beside the last one of each pull."""
    degrees, power_unit = unit_of("temperature", units), unit_of("power", units)

    def text(value: float, unit: str, quantity: str) -> str:
        return f"{float(from_si(value, unit, quantity)):.7g}" if np.isfinite(value) else ""

    rows = []
    last = {int(np.flatnonzero(course.pull == k)[-1]): k for k in range(pulls.wheel_power.size)}
    for k, pull in enumerate(course.pull.tolist()):
        power = float(pulls.wheel_power[last[k]]) if k in last else np.nan
        rows.append(
            [
                str(pull + 1) if pull >= 0 else "pause",
                f"{course.time[k + 1]:.7g}",
                text(course.engine_speed[k], "rpm", "speed"),
                text(course.manifold[k], degrees, "temperature"),
                text(course.coolant[k + 1], degrees, "temperature"),
                text(course.core[k + 1], degrees, "temperature"),
                text(power, power_unit, "power"),
            ]
        )
    return rows
