"""A reconciliation in words: values with their errors, a diagnosis in sentences, what to change."""

from __future__ import annotations

import math
import textwrap
from typing import Any, Final

from app.fields import FIELD, Units, show, write_value
from app.present.cautions import CAUTIONS
from app.present.pull_words import STANDARD_NAMES
from engine_model.studies.corrected_records import PullStandards
from engine_model.studies.reconcile_records import Diagnosis, IfBeltHolds, Known, Reconciled

WIDTH: Final = 100

CHANNEL_TITLES: Final = {
    "power_w": "wheel power",
    "manifold_pressure_pa": "manifold pressure",
    "charge_temperature_k": "charge temperature",
    "discharge_temperature_k": "discharge temperature",
}
"""Channels that are reconciled."""

VALUE_TITLES: Final = {
    "volumetric_efficiency": "volumetric efficiency, over the build's",
    "output_factor": "combustion times driveline, over the build's",
    "steady_slip": "belt slip at every speed",
    "slip_start": "engine speed from which the belt slips",
    "slip_amount": "belt slip from there on",
    "leak": "leak after the compressor, share of its flow",
    "cooler_effectiveness": "cooler effectiveness",
    "charge_sensor_offset": "offset of the charge temperature sensor",
    "discharge_sensor_offset": "offset of the discharge temperature sensor",
}
"""Reconciled values by code."""

_PERCENT: Final = ("steady_slip", "slip_amount", "leak")

REASONS: Final = {
    "unblown_as_the_factor_thinks": "An unblown engine is what the factors are made for.",
    "impeller_speed_stays_boost_does_not": (
        "The belt holds the impeller at its speed, but in cooler air the same speed makes more "
        "boost, which no factor knows."
    ),
    "blower_power_follows_the_air": "The power that the blower takes follows the density of the "
    "air; the factors hold friction still.",
    "boost_cap_holds_boost": "The boost cap holds boost over the day's ambient.",
    "schedule_holds_boost": "A free shaft holds its boost by schedule whatever the air; a factor "
    "then corrects too much.",
    "charge_cooler_between": "The charge cooler stands between the day's temperature and the "
    "manifold's.",
    "spark_follows_the_air": "Knock asks for less retard in cooler air, which no factor knows.",
}
"""Why a factor and the model differ."""


def _share(numbers: dict[str, float], name: str) -> str:
    """``3.0 ± 0.4 %``."""
    return f"{100 * numbers[name]:.1f} ± {100 * numbers[f'{name}_error']:.1f} %"


def diagnosis_sentence(one: Diagnosis) -> str:
    """One thing that a pull says, as a sentence."""
    n = dict(one.numbers)
    plain = _PLAIN.get(one.code)
    if plain is not None:
        return plain
    if one.code == "belt_slips_from":
        where = f"{n['from_rpm']:.0f} ± {n['from_rpm_error']:.0f} rpm"
        return f"The belt slips from {where} on, by {_share(n, 'slip')} beyond creep."
    if one.code == "steady_slip":
        return f"The belt slips at every speed, by {_share(n, 'slip')} beyond creep."
    if one.code == "leak":
        return f"Air leaks after the compressor: {_share(n, 'leak')} of its flow."
    if one.code == "slip_or_leak":
        told = f"a leak of {_share(n, 'leak')}"
        if "slip" in n:
            told = f"slip of {_share(n, 'slip')} beside {told} fits"
        return (
            f"Slip or leak: less pressure than the impeller should make; {told}. Only a discharge "
            "temperature, and one that is sure enough, can tell which."
        )
    if one.code in ("breathing_low", "breathing_high"):
        way = "less" if one.code == "breathing_low" else "more"
        return (
            f"The engine breathes {way} than the build says: volumetric efficiency "
            f"{n['factor']:.3f} ± {n['factor_error']:.3f} of it."
        )
    if one.code in ("output_low", "output_high"):
        way = "Less" if one.code == "output_low" else "More"
        return (
            f"{way} of the fuel's work reaches the wheels than the build says: "
            f"{n['value']:.3f} ± {n['value_error']:.3f} of it; combustion and driveline are one "
            "number here."
        )
    if one.code in ("cooler_weak", "cooler_strong"):
        way = "less" if one.code == "cooler_weak" else "more"
        return (
            f"The charge cooler does {way} than the build says: effectiveness {n['value']:.2f} ± "
            f"{n['value_error']:.2f}, the build has {n['was']:.2f}."
        )
    return (
        f"The model does not follow this pull: readings miss it by {n['misfit']:.1f} times their "
        "noise; the values below are then not to be trusted."
    )


_PLAIN: Final = {
    "as_expected": "Nothing in the pull differs from the build by more than its noise.",
    "not_this_build": "What it would take to explain this pull is far from the build: is it a pull "
    "of this car, and are its columns and units what they were taken for?",
    "untold_starting_slip_and_breathing": "Slip that starts at a speed cannot be told without "
    "power.",
    "untold_constant_slip_and_breathing": "A constant slip and volumetric efficiency cannot be "
    "told apart without manifold pressure.",
    "untold_slip_and_leak": "Slip and leak cannot be told apart without manifold pressure and a "
    "discharge temperature.",
    "untold_breathing_and_output": "Volumetric efficiency and the power made of the air cannot be "
    "told apart without manifold pressure.",
    "untold_cooler_and_breathing": "The cooler cannot be judged without manifold pressure and a "
    "charge temperature.",
    "untold_combustion_and_driveline": "Combustion and driveline loss are one product: no pull "
    "tells them apart.",
    "spark_in_output": "Spark retarded for knock is in that product too.",
}


def known_row(one: Known) -> str:
    """One reconciled value as a row of the table."""
    title = VALUE_TITLES[one.code]
    if math.isfinite(one.engine_speed_rpm):
        title = f"{title} at {one.engine_speed_rpm:.0f} rpm"
    if one.code in _PERCENT:
        scale, digits, unit = 100.0, 2, "%"
    elif one.code == "slip_start":
        scale, digits, unit = 1.0, 0, "rpm"
    elif one.code.endswith("offset"):
        scale, digits, unit = 1.0, 1, "K"
    else:
        scale, digits, unit = 1.0, 3, "-"
    value, error, low, high = (
        f"{scale * number:.{digits}f}"
        for number in (one.value, one.standard_error, one.low, one.high)
    )
    return f"{title:54s} {value:>7s} ± {error:>6s} {low:>7s} {high:>7s} {unit:4s}{one.told:6.0%}"


def known_table(found: Reconciled) -> list[str]:
    """Table of the reconciled values."""
    head = f"{'value':54s} {'':7s} ± {'error':>6s} {'95 %':>7s} {'':7s} {'unit':4s}{'told':>6s}"
    rows = [known_row(one) for one in found.known]
    slips = any(one.code == "belt_slips_from" for one in found.diagnosis)
    if not slips:
        rows = [
            row
            for row, one in zip(rows, found.known, strict=True)
            if one.code not in ("slip_start",)
        ]
    return [head, *rows]


def holds_sentence(one: IfBeltHolds, units: Units = "si") -> str:
    """What comes if the belt stops slipping."""
    return (
        "If the belt stops slipping: boost "
        f"{show(one.boost_slipping_pa, 'boost', units)} becomes "
        f"{show(one.boost_gauge_pa, 'boost', units)} at {one.engine_speed_rpm:.0f} rpm, impeller "
        f"{one.impeller_slipping_rpm:.0f} becomes {one.impeller_speed_rpm:.0f} rpm, wheel power "
        f"{show(one.wheel_power_slipping_w, 'power', units)} becomes "
        f"{show(one.wheel_power_w, 'power', units)}. Every limit is judged without this slip."
    )


def change_row(path: str, value: object, was: object, units: Units = "si") -> str:
    """One change for the build: label, new value and old."""
    field = FIELD[path]
    new, old = (write_value(field, one, units) for one in (value, was))
    return f"{field.label}: {new} (was {old or 'derived'})"


def standards_table(found: PullStandards, units: Units = "si") -> list[str]:
    """One pull under every standard, beside the model in that air."""
    rows = [f"{'standard':32s} {'factor':>7s} {'wheel':>10s} {'flywheel':>10s} {'model':>7s} wheel"]
    for one in found.rows:
        name = STANDARD_NAMES[one.standard]
        wheel, flywheel, model = (
            show(power, "power", units) if math.isfinite(power) else "-"
            for power in (
                one.peak_wheel_power_w,
                one.peak_flywheel_power_w,
                one.model_wheel_power_w,
            )
        )
        mark = " !" if one.is_flagged else ""
        factor = f"{one.factor:.4f}" if math.isfinite(one.factor) else "-"
        rows.append(
            f"{name:32s} {factor:>7s} {wheel:>10s} {flywheel:>10s} {one.model_factor:7.4f} "
            f"{model}{mark}"
        )
    if any(one.is_flagged for one in found.rows):
        rows.append("! factor outside 0.93-1.07, where the standards do not reach")
    return rows


def reconcile_text(
    found: Reconciled, standards: PullStandards, day_told: tuple[str, ...], units: Units = "si"
) -> list[str]:
    """Rows that the command prints."""
    told = ", ".join(name.replace("_", " ") for name in day_told) or "nothing"
    day = found.day
    rows = [
        f"{found.build.title}: {found.readings} readings of "
        + ", ".join(CHANNEL_TITLES[one] for one in found.channels),
        f"Air: {show(day.temperature, 'temperature', units)}, "
        f"{(day.pressure or 0.0) / 1e3:.2f} kPa at the station, "
        f"{100 * day.relative_humidity:.0f} % humidity (from the log: {told})",
        "",
        *(diagnosis_sentence(one) for one in found.diagnosis),
    ]
    if found.if_belt_holds is not None:
        rows += ["", holds_sentence(found.if_belt_holds, units)]
    rows += ["", *known_table(found), ""]
    rows += [
        "Told: how much of an answer is the pull's, the rest is what was believed before it. "
        f"Readings miss the fit by {found.misfit:.1f} times their noise.",
        "",
    ]
    if found.changes:
        rows.append("To put into the build (never the slip):")
        for one in found.changes:
            rows.append(f"  {change_row(one.path, one.value, one.was, units)}")
            rows.append(f"    {one.provenance}")
    else:
        rows.append("Nothing to put into the build.")
    rows += ["", "Greatest power under the standards; 'model': the same build in that air"]
    rows += standards_table(standards, units)
    rows += ["", *(REASONS[code] for code in standards.reasons)]
    belt = ("belt",) if found.build.drive.kind == "belt" else ()
    slip = ("belt_slip",) if found.if_belt_holds is not None else ()
    rows += ["", " ".join(CAUTIONS[key] for key in (*belt, *slip, "dyno", "general"))]
    return [line for row in rows for line in wrapped(row)]


def wrapped(row: str) -> list[str]:
    """A row in lines of at most 100 columns; what stands in columns is left."""
    return [row] if len(row) <= WIDTH else textwrap.wrap(row, WIDTH, subsequent_indent="  ")


def _number(value: Any) -> Any:
    """Value for JSON: no nan."""
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, (tuple, list)):
        return [_number(one) for one in value]
    return value


def reconcile_document(found: Reconciled, standards: PullStandards) -> dict[str, Any]:
    """The same for machines, SI; nan is null."""
    names = ("code", "value", "standard_error", "low", "high", "prior", "prior_error",
             "engine_speed_rpm", "told")  # fmt: skip
    holds = found.if_belt_holds
    fields = () if holds is None else type(holds).__slots__
    return {
        "build": {"name": found.build.title},
        "day": {
            "name": found.day.name,
            "temperature_k": found.day.temperature,
            "pressure_pa": found.day.pressure,
            "relative_humidity": found.day.relative_humidity,
        },
        "channels": list(found.channels),
        "readings": found.readings,
        "misfit": _number(found.misfit),
        "known": [{name: _number(getattr(one, name)) for name in names} for one in found.known],
        "told_apart": list(found.told_apart),
        "not_told_apart": list(found.not_told_apart),
        "diagnosis": [
            {
                "code": one.code,
                "weight": one.weight,
                **{name: _number(value) for name, value in one.numbers},
                "sentence": diagnosis_sentence(one),
            }
            for one in found.diagnosis
        ],
        "changes": [
            {
                "path": one.path,
                "value": _number(one.value),
                "was": _number(one.was),
                "provenance": one.provenance,
            }
            for one in found.changes
        ],
        "if_belt_holds": None
        if holds is None
        else {name: _number(getattr(holds, name)) for name in fields},
        "standards": [
            {
                "standard": one.standard,
                "factor": _number(one.factor),
                "flagged": one.is_flagged,
                "peak_wheel_power_w": _number(one.peak_wheel_power_w),
                "peak_flywheel_power_w": _number(one.peak_flywheel_power_w),
                "model_factor": _number(one.model_factor),
                "model_wheel_power_w": _number(one.model_wheel_power_w),
            }
            for one in standards.rows
        ],
        "reasons": list(standards.reasons),
    }
