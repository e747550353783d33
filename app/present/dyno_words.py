"""What the Dyno place says: the air, corrections as rows, reconciled values as rows."""

from __future__ import annotations

import math
from typing import Final

from app.fields import NOTHING, Units, show
from app.present.pull_words import STANDARD_NAMES
from app.present.reconcile_words import REASONS, VALUE_TITLES, change_row
from app.present.series_dyno import peak_of
from app.present.sheet_words import MeasuredPower
from app.present.span_words import verdict_words
from engine_model.dyno.correction import LEAST_FACTOR, MOST_FACTOR
from engine_model.studies.corrected_records import PullStandards
from engine_model.studies.pull_compared import PullCompared
from engine_model.studies.reconcile_records import Known, Reconciled
from engine_model.studies.span_records import PulleySpan

_PERCENT: Final = ("steady_slip", "slip_amount", "leak")

FLAG: Final = f"! outside {LEAST_FACTOR:g}\u2013{MOST_FACTOR:g}"


def air_words(found: PullCompared, units: Units = "si") -> str:
    """Air of the pull, and what of it was not in the log."""
    day = found.day
    names = {
        "temperature": show(day.temperature, "temperature", units),
        "pressure": f"{show(day.pressure or math.nan, 'pressure', units)} at the station",
        "relative_humidity": f"{100.0 * day.relative_humidity:.0f} % humidity",
    }
    told = [words for name, words in names.items() if name in found.day_told]
    rest = [words for name, words in names.items() if name not in found.day_told]
    parts = [f"{', '.join(told)} from the log"] if told else []
    if rest:
        parts.append(f"{', '.join(rest)} from the day shown: not in the log")
    return f"Air of the pull: {'; '.join(parts)}."


def corrected_words(found: PullCompared) -> str:
    """What the log's power was corrected to already."""
    if found.standard == "none":
        return f"The log's power is taken as {found.basis} power as on the day, uncorrected."
    name = STANDARD_NAMES[found.standard]
    return f"The log's {found.basis} power is corrected to {name}; that is taken back here."


def standards_rows(found: PullStandards, units: Units = "si") -> list[list[str]]:
    """Rows of the table of corrections, titles first."""
    rows = [
        [
            "standard",
            "factor",
            "wheel power",
            "flywheel power",
            "model, factor",
            "model, wheel power",
            "flag",
        ]
    ]
    for one in found.rows:
        powers = (one.peak_wheel_power_w, one.peak_flywheel_power_w, one.model_wheel_power_w)
        wheel, flywheel, model = (show(power, "power", units) for power in powers)
        rows.append(
            [
                STANDARD_NAMES[one.standard],
                f"{one.factor:.4f}" if math.isfinite(one.factor) else NOTHING,
                wheel,
                flywheel,
                f"{one.model_factor:.4f}" if math.isfinite(one.model_factor) else NOTHING,
                model,
                FLAG if one.is_flagged else "",
            ]
        )
    return rows


def reasons_words(found: PullStandards) -> str:
    """Why factor and model differ."""
    head = (
        f"Greatest power of the pull, near {found.peak_speed_rpm:.0f} rpm. Model: the same build "
        "run again in the standard's own air. Why the two differ: "
    )
    rows = [head + " ".join(REASONS[code] for code in found.reasons)]
    if any(one.is_flagged for one in found.rows):
        rows.append(f"{FLAG}: no standard reaches there.")
    return "\n".join(rows)


def _texts(one: Known) -> tuple[str, str, str, str, str]:
    scale, digits, unit = 1.0, 3, ""
    if one.code in _PERCENT:
        scale, digits, unit = 100.0, 2, " %"
    elif one.code == "slip_start":
        digits, unit = 0, " rpm"
    elif one.code.endswith("offset"):
        digits, unit = 1, " K"
    numbers = (one.value, one.standard_error, one.low, one.high, one.prior)
    value, error, low, high, prior = (f"{scale * number:.{digits}f}" for number in numbers)
    return f"{value} ± {error}{unit}", low, high, prior, f"{one.told:.0%}"


def known_rows(found: Reconciled) -> list[list[str]]:
    """Rows of the reconciled values, titles first."""
    rows = [["value", "± standard error", "95 % from", "to", "believed before", "told by the pull"]]
    slips = any(one.code == "belt_slips_from" for one in found.diagnosis)
    for one in found.known:
        if one.code == "slip_start" and not slips:
            continue
        title = VALUE_TITLES[one.code]
        if math.isfinite(one.engine_speed_rpm):
            title = f"{title} at {one.engine_speed_rpm:.0f} rpm"
        rows.append([title, *_texts(one)])
    return rows


def changes_words(found: Reconciled, units: Units = "si") -> list[str]:
    """What would go into the build, and where it comes from; never a slip."""
    if not found.changes:
        return ["Nothing to put into the build."]
    rows = ["To put into the build (never a slip):"]
    return rows + [
        f"{change_row(one.path, one.value, one.was, units)}: {one.provenance}"
        for one in found.changes
    ]


def notes_with(notes: str, found: Reconciled, name: str, date: str, units: Units = "si") -> str:
    """Notes of a build with where its new values come from."""
    told = [
        f"{change_row(one.path, one.value, one.was, units)}: {one.provenance}"
        for one in found.changes
    ]
    head = f"{name}, {date}:"
    return "\n".join([*([notes.rstrip()] if notes.strip() else []), head, *told])


def advice_words(before: PulleySpan, after: PulleySpan, units: Units = "si") -> str:
    """Which pulleys are allowed now, and were before the pull's values were put in."""
    was, now = (verdict_words(one, units)[0] for one in (before, after))
    if was == now:
        return f"Blower pulley, as before the pull: {now}."
    return f"Blower pulley before the pull's values: {was}. With them: {now}."


def measured_power(found: PullCompared, name: str) -> MeasuredPower | None:
    """What the sheet tells of a pull: greatest power, as the log has its basis."""
    value, speed = peak_of(found.engine_speed_rpm, found.measured_w[found.basis])
    if not math.isfinite(value) or value <= 0.0:
        return None
    words = f"at {speed:.0f} rpm, {name}"
    if len(found.runs) > 1:
        words += f", mean of {len(found.runs)} runs"
    return MeasuredPower(value, found.basis, STANDARD_NAMES["none"], "", words)
