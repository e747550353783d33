"""Text tables of a match, and its numbers for machines."""

from __future__ import annotations

import math
import textwrap
from dataclasses import dataclass
from typing import Any

import numpy as np

from app.fields import NOTHING, Display, display_of
from app.present.sentences import PART_TITLES, PARTS, SUBJECTS, TITLES, percent, sentence
from engine_model.fuel_choice import fuel_of
from engine_model.inputs import Build, Day
from engine_model.limits.belt_limits import NO_BELT
from engine_model.limits.engine_limits import NO_BOUND
from engine_model.results import BELT_FIELDS, LINE_FIELDS, Entry, Match, OperatingLine
from engine_model.units import from_si


@dataclass(frozen=True, slots=True)
class Column:
    """One column of the line's table."""

    key: str
    title: str
    display: str
    quantity: str
    decimals: int | None = None
    scale: float = 1.0
    unit: str | None = None


COLUMNS: tuple[Column, ...] = (
    Column("engine_speed_rpm", "engine", "speed", "speed"),
    Column("air_flow_kg_s", "air", "mass_flow", "mass_flow", 3),
    Column("boost_gauge_pa", "boost", "boost", "pressure"),
    Column("pressure_ratio", "PR", "dimensionless", "dimensionless", 2),
    Column("impeller_speed_rpm", "impeller", "speed", "speed", 1, 1e-3, "krpm"),
    Column("efficiency", "eff.", "share", "dimensionless", 0),
    Column("manifold_temperature_k", "charge", "temperature", "temperature", 0),
    Column("drive_power_w", "drive", "power", "power"),
    Column("flywheel_power_w", "flywheel", "power", "power", 0),
    Column("wheel_power_w", "wheel", "power", "power", 0),
    Column("flywheel_torque_nm", "torque", "torque", "torque"),
    Column("surge_margin", "surge", "share", "dimensionless", 0),
    Column("choke_margin", "choke", "share", "dimensionless", 0),
)
"""Columns of the text table."""


def _unit(display: Display, system: str) -> str:
    return display.us if system == "us" else display.si


def line_table(line: OperatingLine, system: str = "si", every: int = 1) -> list[str]:
    """Rows of text of an operating line: titles, units, numbers; at most 100 columns wide."""
    columns = []
    for c in COLUMNS:
        display = display_of(c.display)
        unit = _unit(display, system)
        values = np.asarray(from_si(getattr(line, c.key), unit, c.quantity)) * c.scale
        decimals = c.decimals
        if decimals is None:
            decimals = display.us_decimals if system == "us" else display.si_decimals
        texts = [NOTHING if math.isnan(v) else f"{v:.{decimals}f}" for v in values[::every]]
        head = [c.title, "-" if unit == "-" else (c.unit or unit)]
        width = max(len(t) for t in (*head, *texts))
        columns.append([t.rjust(width) for t in (*head, *texts)])
    rows = [" ".join(cells) for cells in zip(*columns, strict=True)]
    region = ["", "", *[str(name) for name in line.region[::every]]]
    short = {
        "on the map": "",
        "below the map": "below",
        "above the map": "above",
        "left of surge": "SURGE",
        "past choke": "CHOKE",
        "belt not driving": "NO BELT",
    }
    return [f"{row} {short.get(r, '')}".rstrip() for row, r in zip(rows, region, strict=True)]


_MARK = {"clear": "( )", "close": "(/)", "over": "(#)", "blank": "..."}


def ledger_table(
    entries: tuple[Entry, ...], build: Build, system: str = "si", days: bool = False
) -> list[str]:
    """Rows of text of a ledger in its three parts; at most 100 columns wide."""
    rows: list[str] = []
    for part in PARTS:
        rows.append(PART_TITLES[part])
        for e in told_once(entries):
            if e.part != part or e.basis == NO_BOUND:
                continue
            words = sentence(e, build, system)
            if days and e.state != "blank":
                words += f" ({e.day} day)"
            head = f"  {_MARK[e.state]} {e.state:<5} {percent(e.used):>7}  "
            title = SUBJECTS[e.code] if e.basis == NO_BELT else TITLES[e.code]
            rows += _wrapped(f"{title}: {words}", head, 100)
        unbound = [TITLES[e.code] for e in entries if e.part == part and e.basis == NO_BOUND]
        if unbound:
            head = f"  {_MARK['blank']} blank {percent(math.nan):>7}  "
            rows += _wrapped(f"{', '.join(unbound)}: {NO_BOUND}", head, 100)
    return rows


def told_once(entries: tuple[Entry, ...]) -> list[Entry]:
    """Entries with one alone for all that a build without a belt leaves blank."""
    first = next((e for e in entries if e.basis == NO_BELT), None)
    return [e for e in entries if e.basis != NO_BELT or e is first]


def _wrapped(text: str, head: str, width: int) -> list[str]:
    pieces = textwrap.wrap(text, width - len(head))
    return [head + pieces[0], *(" " * len(head) + p for p in pieces[1:])]


def plain(value: float) -> float | None:
    """Number for JSON: nan and infinity are null."""
    return float(value) if math.isfinite(value) else None


def entry_document(entry: Entry, build: Build) -> dict[str, Any]:
    """One entry for ``--json``."""
    return {
        "code": entry.code,
        "part": entry.part,
        "state": entry.state,
        "used": plain(entry.used),
        "value": plain(entry.value),
        "bound": plain(entry.bound),
        "unit": entry.unit,
        "engine_speed_rpm": plain(entry.engine_speed_rpm),
        "day": entry.day,
        "sentence": sentence(entry, build),
        "basis": entry.basis,
        "without_slip": entry.without_slip,
        "numbers": {name: plain(value) for name, value in entry.numbers},
    }


def match_document(
    build: Build, day: Day, line: OperatingLine, ledger: tuple[Entry, ...]
) -> dict[str, Any]:
    """A match for ``match --json``: SI, speeds in rpm, nan is null."""
    belt = build.drive.kind == "belt"
    names = [name for name in LINE_FIELDS if belt or name not in BELT_FIELDS]
    arrays: dict[str, Any] = {n: [plain(v) for v in getattr(line, n).tolist()] for n in names}
    arrays["region"] = [str(name) for name in line.region]
    return {
        "build": {
            "name": build.title,
            "invented": build.invented,
            "fuel": fuel_of(build.engine).name,
        },
        "day": {
            "name": day.name,
            "altitude_m": day.altitude,
            "pressure_pa": day.pressure,
            "temperature_k": day.temperature,
            "relative_humidity": day.relative_humidity,
        },
        "line": arrays,
        "ledger": [entry_document(e, build) for e in ledger],
    }


def headline(match: Match, system: str = "si") -> list[str]:
    """Three or four lines that say what a match is of, what it burns and what it gives."""
    build, day, line = match.build, match.day, match.line
    rows = [
        f"{build.title} on the {day.name} day" + (" (invented)" if build.invented else ""),
        f"Fuel {fuel_of(build.engine).name}",
    ]
    for basis, values in (("flywheel", line.flywheel_power_w), ("wheel", line.wheel_power_w)):
        if np.all(np.isnan(values)):
            rows.append(f"No {basis} power: engine and compressor do not meet")
            continue
        top = int(np.nanargmax(values))
        unit = _unit(display_of("power"), system)
        power = float(from_si(float(values[top]), unit, "power"))
        speed = line.engine_speed_rpm[top]
        rows.append(
            f"Highest {basis} power {power:.0f} {unit} at {speed:.0f} rpm, "
            "as on the day, uncorrected"
        )
    return rows
