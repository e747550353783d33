"""Pulls in words: channels, what was guessed, refused rows, runs."""

from __future__ import annotations

from typing import Final

from app.fields import Units, show
from engine_model.files.pull_channels import CHANNEL, GAPS, Channel
from engine_model.files.pull_record import ColumnUse, Pull, PullRun, RefusedRow, SmoothedRun
from engine_model.units import from_si

CHANNEL_NAMES: Final = {
    "engine_speed": "engine speed",
    "power": "power",
    "torque": "torque",
    "manifold_pressure": "manifold pressure",
    "charge_temperature": "charge temperature",
    "discharge_temperature": "discharge temperature",
    "mixture": "mixture (lambda)",
    "throttle": "throttle",
    "ambient_temperature": "ambient temperature",
    "ambient_pressure": "ambient pressure",
    "relative_humidity": "relative humidity",
    "time": "time",
    "run": "number of the run",
}
"""Channels by key."""

STANDARD_NAMES: Final = {
    "none": "as on the day, uncorrected",
    "sae_j1349_1990": "SAE J1349 (1990)",
    "sae_j1349_2004": "SAE J1349 (2004)",
    "sae_j607": "SAE J607",
    "iso_1585_spark": "ISO 1585, spark ignition",
    "iso_1585_compression": "ISO 1585, compression ignition",
    "din_70020": "DIN 70020",
}
"""Correction standards by key."""


def unit_shown(channel: Channel) -> str:
    """Unit in which what is possible is told."""
    return {
        "pressure": "kPa", "temperature": "°C", "power": "kW", "speed": "rpm", "torque": "N m",
        "time": "s",
    }.get(channel.quantity, "-")  # fmt: skip


def refused_sentence(one: RefusedRow) -> str:
    """Refused row as a sentence: which row, what was given, what is allowed."""
    name = CHANNEL_NAMES.get(one.channel, "")
    if one.code == "outside":
        channel = CHANNEL[one.channel]
        unit = unit_shown(channel)
        low, high = (
            f"{from_si(bound, unit, channel.quantity):.10g}"
            for bound in (channel.low, channel.high)
        )
        told = "" if unit == "-" else f" {unit}"
        return f"Row {one.row}: {name} {one.given!r} given; allowed: {low} to {high}{told}."
    words = {
        "too_few_cells": "fewer cells than headers given; allowed: one a header",
        "too_many_cells": "more cells than headers given; allowed: one a header",
        "too_long": "a line of more than 20000 characters given; allowed: shorter ones",
        "not_a_number": f"{name} {one.given!r} given; allowed: a number, or an empty cell",
        "no_engine_speed": "no engine speed given; allowed: a number",
        "no_power": "no power given; allowed: a number",
    }
    return f"Row {one.row}: {words[one.code]}."


def use_sentence(use: ColumnUse) -> str:
    """What a column is taken for, and what of it is a guess."""
    unit = "plain number" if use.unit == "-" else use.unit
    basis = f", {use.basis}" if use.basis else ""
    guessed = [{"unit": "unit", "basis": use.basis}.get(one, one) for one in use.guessed]
    tail = f" (guessed: {', '.join(guessed)})" if guessed else ""
    return f"{use.header}: {CHANNEL_NAMES[use.channel]}, {unit}{basis}{tail}"


def run_sentence(run: PullRun, units: Units = "si") -> str:
    """One run: its rows, engine speeds and greatest power as logged."""
    low, high = float(run.engine_speed_rpm.min()), float(run.engine_speed_rpm.max())
    power = show(float(run.power_w[run.power_w == run.power_w].max()), "power", units)
    return (
        f"Run {run.number}: rows {run.first_row} to {run.last_row}, {run.size} readings, "
        f"{low:.0f} to {high:.0f} rpm, greatest {run.power_basis} power {power} as logged"
    )


def pull_sentences(pull: Pull, units: Units = "si") -> list[str]:
    """What was read: columns, runs, rows that belong to none, refused ones."""
    layout = pull.layout
    rows = [f"{pull.name}: {pull.rows} rows, {pull.taken} taken, {pull.refused_count} refused"]
    rows[0] += f", {pull.outside} taken but in no run" if pull.outside else ""
    rows[0] += f", {pull.gaps} empty cells" if pull.gaps else ""
    rows += [f"  {use_sentence(use)}" for use in layout.mapping.uses]
    rows.append(f"  power in the log: {STANDARD_NAMES[layout.mapping.standard]}")
    rows += [f"  {run_sentence(run, units)}" for run in pull.runs]
    return rows + [f"  {text}" for text in refused_sentences(pull)]


def refused_sentences(pull: Pull, most: int = 5) -> list[str]:
    """The first refused rows as sentences, the rest as a count."""
    rows = [refused_sentence(one) for one in pull.refused[:most]]
    rest = pull.refused_count - len(rows)
    return [*rows, f"And {rest} more rows refused."] if rest > 0 else rows


def smoothing_sentence(run: SmoothedRun) -> str:
    """How a drawn run is smoothed."""
    if run.width_rpm <= 0.0:
        return "As measured, not smoothed."
    return (
        f"Smoothed over {run.width_rpm:.0f} rpm (about {run.width_rows:.0f} readings); "
        "the readings stand behind it."
    )


def gap_words() -> str:
    """Words in a cell that are read as no value."""
    return ", ".join(sorted(word for word in GAPS if word))
