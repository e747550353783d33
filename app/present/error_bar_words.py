"""Error bars in words: bands, chances, what to measure first, and numbers for machines."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Any

import numpy as np

from app.fields import NOTHING, Units, show, unit_of
from app.present.sentences import TITLES
from app.present.tables import plain
from engine_model.studies.uncertain_inputs import InputSpread
from engine_model.studies.uncertain_records import EntryChance, ErrorBars, LineBand, MeasureFirst

WIDTH = 100
"""Columns of the text."""


@dataclass(frozen=True, slots=True)
class SpreadName:
    """How an input with a spread is called, and how its spread is shown.

    Parameters
    ----------
    name : str
        Name within a sentence.
    kind : str
        Kind of display; ``%`` for shares of the value, ``points`` for shares as they are.
    """

    name: str
    kind: str


SPREAD_NAMES: dict[str, SpreadName] = {
    "volumetric_efficiency": SpreadName("volumetric efficiency", "%"),
    "map_efficiency": SpreadName("compressor efficiency", "points"),
    "map_flow": SpreadName("flow of the compressor map", "%"),
    "surge_flow": SpreadName("surge flow between traced lines", "%"),
    "blower_pulley": SpreadName("blower pulley", "length"),
    "crank_pulley": SpreadName("crank pulley", "length"),
    "boost_schedule": SpreadName("boost schedule", "%"),
    "cooler_effectiveness": SpreadName("cooler effectiveness", "points"),
    "cooler_pressure_loss": SpreadName("cooler pressure loss", "pressure"),
    "friction": SpreadName("friction scale", "dimensionless"),
    "driveline_loss": SpreadName("driveline loss", "points"),
    "day_temperature": SpreadName("day's temperature", "temperature_difference"),
    "day_pressure": SpreadName("day's pressure", "pressure"),
    "day_humidity": SpreadName("day's relative humidity", "points"),
}
"""Every input with a spread."""

MEANING = (
    "Bands hold the middle 90 % of the samples. A spread is one standard deviation of a normal "
    "distribution; what has none here stands as it is, the build's other figures and the map's "
    "shape included."
)
"""What bands and spreads mean."""

BAND_ROWS: tuple[tuple[str, str, str], ...] = (
    ("boost_gauge_pa", "boost, gauge", "boost"),
    ("pressure_ratio", "pressure ratio", "dimensionless"),
    ("air_flow_kg_s", "air flow", "mass_flow"),
    ("flywheel_power_w", "flywheel power", "power"),
    ("wheel_power_w", "wheel power", "power"),
    ("flywheel_torque_nm", "flywheel torque", "torque"),
    ("manifold_temperature_k", "charge temperature", "temperature"),
    ("impeller_speed_rpm", "impeller speed", "speed"),
)
"""Rows of the table of bands: field, title, kind of display."""


def spread_text(spread: InputSpread, units: Units = "si") -> str:
    """Spread with its sign: ``±3.0 %``, ``±1.5 points``, ``±0.2 mm``."""
    kind = SPREAD_NAMES[spread.key].kind
    if kind in ("%", "points"):
        return f"±{100.0 * spread.size:.1f} {kind}"
    return f"±{show(spread.size, kind, units)}"


def chance_text(share: float, samples: int) -> str:
    """Chance as text; what never or always happened in the samples is not called certain.

    Examples
    --------
    >>> chance_text(0.0, 1024), chance_text(0.296, 1024), chance_text(1.0, 1024)
    ('under 0.1 %', '30 %', 'over 99.9 %')
    """
    if math.isnan(share):
        return NOTHING
    least = 100.0 / samples
    edge = f"{least:.1g}" if least < 1.0 else f"{least:.0f}"
    if share <= 0.0:
        return f"under {edge} %"
    if share >= 1.0:
        return f"over {100.0 - float(edge):g} %"
    decimals = 1 if min(share, 1.0 - share) < 0.095 else 0
    return f"{100.0 * share:.{decimals}f} %"


def peak_words(bars: ErrorBars, units: Units = "si") -> str:
    """The highest wheel power with its band."""
    peak = bars.peak_wheel_power
    if math.isnan(peak.middle):
        return "No wheel power in any sample: engine and compressor do not meet."
    low, middle = (show(one, "power", units, unit=False) for one in (peak.low, peak.middle))
    return (
        f"Highest wheel power {low} to {show(peak.high, 'power', units)}, {middle} in the middle, "
        f"on the {bars.days[0]} day, as on the day, uncorrected"
    )


def target_words(bars: ErrorBars, units: Units = "si") -> str:
    """The chance that the target is met; nothing where there is none."""
    target = bars.build.target
    if target.power is None or math.isnan(bars.target_met):
        return ""
    where = f" on the {target.day} day" if target.day is not None else ""
    asked = f"{show(target.power, 'power', units)} at the {target.basis}{where}"
    return f"Chance that the target of {asked} is met: {chance_text(bars.target_met, bars.samples)}"


def first_words(bars: ErrorBars, others: int = 3) -> str:
    """What to measure first, and so many others."""
    told = [one for one in bars.measure_first if one.share >= 0.005]
    if not told:
        return "No input with a spread moves the highest wheel power."
    first = told[0]
    words = (
        f"Measure first: {name_of(first)} explains {100.0 * first.share:.0f} % of the spread in "
        "wheel power"
    )
    more = ", ".join(f"{name_of(one)} {100.0 * one.share:.0f} %" for one in told[1 : 1 + others])
    return f"{words}; {more}" if more else words


def name_of(one: MeasureFirst | InputSpread) -> str:
    """Name of an input with its article: ``the volumetric efficiency``."""
    return f"the {SPREAD_NAMES[one.key].name}"


def explained_words(bars: ErrorBars) -> str:
    """How much the inputs explain one by one."""
    if math.isnan(bars.explained):
        return ""
    return (
        f"One by one they explain {100.0 * bars.explained:.1f} % of the variance (R squared of a "
        "fit with a straight and a bent term for each input); the rest is theirs together"
    )


def unsolved_words(bars: ErrorBars) -> str:
    """Where samples have no solution; nothing where all have one."""
    least = int(np.argmin(bars.solved))
    share = float(bars.solved[least])
    if share >= 1.0:
        return ""
    speed = bars.engine_speed[least]
    return (
        f"At {speed:.0f} rpm {100.0 * (1.0 - share):.3g} % of the samples have no "
        "solution; bands are of those that have"
    )


def likely_over(bars: ErrorBars) -> tuple[EntryChance, ...]:
    """Entries of parts and trust that are over in some sample, the likeliest first."""
    some = [one for one in bars.chances if one.over > 0.0 and one.part != "target"]
    return tuple(sorted(some, key=lambda one: -one.over))


def chance_words(bars: ErrorBars) -> list[str]:
    """The chance of every entry that may be over, one a line."""
    rows = []
    for one in likely_over(bars):
        words = f"{TITLES[one.code]}: {chance_text(one.over, bars.samples)}"
        if len(bars.days) > 1:
            words += f", most often on the {one.day} day"
        if one.judged < 1.0:
            words += f" (judged in {100.0 * one.judged:.3g} % of the samples)"
        rows.append(words)
    never = [one for one in bars.chances if one.over == 0.0 and one.part != "target"]
    if never:
        text = chance_text(0.0, bars.samples)
        rows.append(f"{'the other' if rows else 'all'} {len(never)} judged: {text} each")
    return rows


def band_table(bars: ErrorBars, units: Units = "si") -> list[list[str]]:
    """Rows of the bands at the engine speed of the highest middle wheel power; titles first."""
    middle = bars.band("wheel_power_w").middle
    at = int(np.argmax(np.where(np.isnan(middle), -np.inf, middle)))
    rows = [[f"at {bars.engine_speed[at]:.0f} rpm", "5 %", "middle", "95 %", "unit"]]
    for field, title, kind in BAND_ROWS:
        if field not in bars.has:
            continue
        band = bars.band(field)
        values = (float(array[at]) for array in (band.low, band.middle, band.high))
        numbers = [show(value, kind, units, unit=False) for value in values]
        rows.append([title, *numbers, unit_of(kind, units)])
    return rows


def spread_rows(bars: ErrorBars, units: Units = "si") -> list[list[str]]:
    """Rows of the spreads: name, size, given or assumed, where the size comes from, share."""
    shares = {one.key: one.share for one in bars.measure_first}
    return [
        [
            SPREAD_NAMES[one.key].name,
            spread_text(one, units),
            one.basis,
            one.origin,
            f"{100.0 * shares[one.key]:.1f} %" if one.key in shares else NOTHING,
        ]
        for one in bars.spreads
    ]


def error_bars_text(bars: ErrorBars, units: Units = "si") -> list[str]:
    """Rows that ``match --error-bars`` prints; at most 100 columns wide."""
    doubt = f"a chance is good to about {math.ceil(100.0 * bars.doubt):.0f} points"
    rows = [f"Error bars, from {bars.samples} samples; {doubt}"]
    told = [peak_words(bars, units), target_words(bars, units), unsolved_words(bars)]
    for words in filter(None, told):
        rows += _wrapped(words)
    rows += ["", *(f"  {row}" for row in _columns(band_table(bars, units)))]
    rows += ["", "Chance to be over" + (" on any of the days" if len(bars.days) > 1 else "")]
    rows += [row for words in chance_words(bars) for row in _wrapped(words)]
    rows += ["", *textwrap.wrap(first_words(bars), WIDTH)]
    table = [row[:3] + row[4:] for row in spread_rows(bars, units)]
    rows += [f"  {row}" for row in _columns([["input", "spread", "basis", "explains"], *table])]
    rows += [row for words in (explained_words(bars), MEANING) for row in _wrapped(words)]
    return rows


def _wrapped(words: str) -> list[str]:
    return textwrap.wrap(words, WIDTH, initial_indent="  ", subsequent_indent="    ")


def _columns(rows: Sequence[Sequence[str]]) -> list[str]:
    """Rows of text; the first column to the left, the others to the right."""
    widths = [max(len(row[k]) for row in rows) for k in range(len(rows[0]))]
    return [
        "  ".join([row[0].ljust(widths[0]), *(c.rjust(w) for c, w in zip(row[1:], widths[1:],
        strict=True))])
        for row in rows
    ]  # fmt: skip


def error_bars_document(bars: ErrorBars) -> dict[str, Any]:
    """Error bars for ``match --json``: SI, speeds in rpm, nan is null."""
    peak, on_map = bars.peak_wheel_power, bars.line_band
    return {
        "samples": bars.samples,
        "seed": bars.seed,
        "days": list(bars.days),
        "engine_speed_rpm": bars.engine_speed.tolist(),
        "solved": bars.solved.tolist(),
        "bands": {
            band.field: {
                "low": _numbers(band.low),
                "middle": _numbers(band.middle),
                "high": _numbers(band.high),
            }
            for band in bars.bands
        },
        "line_band": None
        if on_map is None
        else {one.name: _numbers(getattr(on_map, one.name)) for one in fields(LineBand)},
        "peak_wheel_power_w": {
            "low": plain(peak.low),
            "middle": plain(peak.middle),
            "high": plain(peak.high),
            "standard_deviation": plain(peak.deviation),
        },
        "target_met": plain(bars.target_met),
        "chances": [
            {
                "code": one.code,
                "part": one.part,
                "over": plain(one.over),
                "judged": one.judged,
                "day": one.day,
            }
            for one in bars.chances
        ],
        "measure_first": [
            {"key": one.key, "share": plain(one.share)} for one in bars.measure_first
        ],
        "explained": plain(bars.explained),
        "spreads": [
            {
                "key": one.key,
                "path": one.path,
                "standard_deviation": one.size,
                "unit": one.unit,
                "basis": one.basis,
                "origin": one.origin,
            }
            for one in bars.spreads
        ],
    }


def _numbers(values: np.ndarray[Any, np.dtype[np.float64]]) -> list[float | None]:
    return [plain(value) for value in values.tolist()]
