"""What the build sheet tells the workshop: inputs, belt, injectors, the checklist, provenance."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass
from importlib import metadata

from app.fields import FIELDS, Field, Units, columns_of, show, write_value
from app.present.belt_words import told_words
from app.present.cautions import CAUTIONS
from app.present.headline import counts_of, is_blank
from app.present.map_words import map_facts
from app.present.sentences import SUBJECTS, TITLES, sentence
from app.present.sheet_ledger import ledger_parts
from app.present.sheet_words import BLANK_LINE, MARKS, Row, SheetSource, mark_of
from engine_model.counted_inputs import idle_inputs
from engine_model.files.build_file import build_to_document
from engine_model.fuel_run import injector_count
from engine_model.inputs import Build
from engine_model.results import Entry
from engine_model.studies.sensitivity import derived_value

MAKERS = "maker's figure"

NOT_INSTALLED = "of a checkout that is not installed"


@dataclass(frozen=True, slots=True)
class Group:
    """Inputs under one heading."""

    title: str
    rows: tuple[Row, ...]


def _table_text(field: Field, value: Sequence[tuple[float, float]], units: Units) -> str:
    first, second = columns_of(field)
    heads = f"{first.heading(units)}: {second.heading(units)}".replace(" [-]", "")
    rows = "; ".join(f"{first.write(a, units)}: {second.write(b, units)}" for a, b in value)
    return f"{rows} ({heads})"


def input_text(build: Build, field: Field, units: Units = "si") -> tuple[str, str]:
    """Text and mark of an input: its value with the unit, derived, or blank."""
    path, value = field.path, build.value(field.path)
    told = told_words(build, units).get(path)
    if told is not None:
        return f"{told}, by the belt layout", mark_of(build, path)
    if isinstance(value, tuple):
        return _table_text(field, value, units), mark_of(build, path)
    if value is not None:
        text = (
            value.replace("_", " ") if isinstance(value, str) else write_value(field, value, units)
        )
        return text, mark_of(build, path)
    if is_blank(path, value):
        return "blank", ""
    derived = derived_value(build, path)
    if derived is None:
        return "derived", mark_of(build, path)
    return f"{write_value(field, derived, units)}, derived", mark_of(build, path)


def input_groups(build: Build, units: Units = "si") -> tuple[Group, ...]:
    """Every input that bears on the build, by group, in reading order."""
    idle = idle_inputs(build) - build.given
    found: dict[str, list[Row]] = {}
    for field in FIELDS:
        if field.path not in idle:
            text, mark = input_text(build, field, units)
            found.setdefault(field.group, []).append(Row(field.label, text, mark))
    return tuple(Group(title, tuple(rows)) for title, rows in found.items())


def idle_words(build: Build) -> str:
    """Names of the inputs that move nothing of the build, in one sentence; may be empty."""
    idle = idle_inputs(build) - build.given
    groups: dict[str, list[str]] = {}
    for field in FIELDS:
        if field.path in idle:
            groups.setdefault(field.group, []).append(field.label)
    told = "; ".join(f"{title}: {', '.join(labels)}" for title, labels in groups.items())
    return f"Not used by this build, left at their defaults. {told}." if told else ""


def input_words(build: Build) -> str:
    """How many inputs are given, and what the marks mean."""
    return f"{counts_of(build)}.   {MARKS}"


def _told(source: SheetSource, subjects: Sequence[str]) -> tuple[Row, ...]:
    """Entries of some subjects in whole sentences, each with its worst day."""

    def text(entry: Entry) -> str:
        words = sentence(entry, source.build, source.units)
        return words if entry.state == "blank" else f"{words} ({entry.day} day)"

    return tuple(Row(TITLES[e.code], text(e)) for e in source.worst if SUBJECTS[e.code] in subjects)


def belt_rows(source: SheetSource) -> tuple[Row, ...]:
    """Pulleys and belt as the workshop sets them up; nothing without a belt."""
    if source.build.drive.kind != "belt":
        return ()
    return _told(source, ("Belt", "Impeller"))


def injector_rows(source: SheetSource) -> tuple[Row, ...]:
    """Injectors, and what they and the pump are asked."""
    build, units = source.build, source.units
    fuel = build.fuel_system
    flow = fuel.injector_flow
    each = "a flow that is not given" if flow is None else show(flow, "volume_flow", units)
    size = f"{injector_count(build)} of {each}"
    rated = (
        f"rated across {show(fuel.injector_rating_pressure, 'fuel_pressure', units)} at "
        f"{show(fuel.injector_rating_density, 'fuel_density', units)}"
    )
    mark = mark_of(build, "fuel_system.injector_flow")
    return (Row("Injectors", f"{size} {mark}, {rated}"), *_told(source, ("Fuel",)))


ANY, BLOWN, BELT, LIQUID = "any", "blown", "belt", "liquid"

CHECKLIST: tuple[tuple[str, str, str], ...] = (
    (BELT, "Belt tension, cold, belt run in", MAKERS),
    (BELT, "Pulleys in line, belt full width in the grooves", "offset"),
    (BELT, "Torque of the pulley bolts", MAKERS),
    (BELT, "Torque of the bracket bolts", MAKERS),
    (BELT, "Guard fitted, nothing within reach of the belt", "checked"),
    (BLOWN, "Impeller speed limit", MAKERS),
    (BLOWN, "Oil feed: kind, quantity, drain free", MAKERS),
    (BLOWN, "Inlet duct and filter: nothing loose inside", "checked"),
    (BLOWN, "Charge pipes pressed off, clamps tight", "pressure held"),
    (BLOWN, "Bypass valve opens freely", "opens at"),
    (LIQUID, "Coolant loop filled and bled, pump runs", "quantity"),
    (ANY, "Fuel pressure at idle and at full boost", MAKERS),
    (ANY, "Injectors: static flow, connector, resistance", MAKERS),
    (ANY, "Fuel in the tank is the fuel of this sheet", "checked"),
    (ANY, "Spark plugs: heat range and gap", MAKERS),
    (ANY, "Engine oil: grade and quantity", MAKERS),
    (ANY, "Limiter set in the controller", "set to"),
    (ANY, "Mixture watched by a sensor in the first pull", "lambda"),
    (ANY, "Knock listened for in the first pull", "by"),
)
"""The shop's checklist: for which builds, what is checked, and what is written in. Common
practice, no source; no figure is printed that is the part maker's to give."""


def checklist(build: Build) -> tuple[tuple[str, str], ...]:
    """Lines of the checklist: what is checked, and the blank to fill in."""
    kinds = {ANY}
    if build.drive.kind != "none":
        kinds.add(BLOWN)
    if build.drive.kind == "belt":
        kinds.add(BELT)
    if build.cooler.kind == "liquid":
        kinds.add(LIQUID)
    return tuple(
        (words, f"{written}: {BLANK_LINE}") for kind, words, written in CHECKLIST if kind in kinds
    )


def ledger_rest(source: SheetSource) -> tuple[Row, ...]:
    """Entries that the tables of belt and fuel do not tell, in whole sentences."""
    told = {row.label for row in (*belt_rows(source), *injector_rows(source))}
    rows = []
    for part in ledger_parts(source.worst, source.build, source.units):
        rows += [
            Row(row.title, f"{row.words} ({row.day})" if row.day else row.words)
            for row in (*part.rows, *part.blank)
            if row.title not in told
        ]
        if part.unbound:
            rows.append(Row("No bound given", f"{', '.join(part.unbound)}: not judged"))
    return tuple(rows)


def caution_words(build: Build) -> tuple[str, ...]:
    """Cautions that bear on the build."""
    away = set()
    if build.drive.kind != "belt":
        away |= {"belt", "belt_slip"}
    if build.drive.kind == "none":
        away |= {"impeller_speed", "hot"}
    return tuple(words for key, words in CAUTIONS.items() if key not in away)


def build_digest(build: Build) -> str:
    """SHA-256 of a build as its file would hold it, for one that has no file."""
    text = json.dumps(build_to_document(build), ensure_ascii=False, sort_keys=True)
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def version_words() -> str:
    """Name and version of the program."""
    try:
        return f"Pulleywright {metadata.version('pulleywright')}"
    except metadata.PackageNotFoundError:
        return f"Pulleywright {NOT_INSTALLED}"


def provenance_rows(source: SheetSource) -> tuple[Row, ...]:
    """Where build and compressor map come from, what judged them, and when."""
    build, units = source.build, source.units
    rows = [
        Row("Sheet of", source.written_on.isoformat()),
        Row("Program", version_words()),
        Row("Build", f"{build.title}; SHA-256 {source.digest}"),
    ]
    if build.invented:
        rows.append(Row("Invented", "this build is a sample: no real engine, part or car"))
    compressor = build.blower.compressor_map
    if compressor is not None and build.drive.kind != "none":
        facts = dict(map_facts(compressor, units))
        rows.append(Row("Compressor map", f"{compressor.title}. {facts['Comes from']}"))
        rows.append(Row("Reference state", facts["Reference state"]))
    known = build.known_days()
    airs = [
        f"{name} {show(known[name].temperature, 'temperature', units)}, "
        f"{show(known[name].altitude, 'altitude', units)}, "
        f"{show(known[name].relative_humidity, 'share', units)} humidity"
        for name in source.days
        if name in known
    ]
    return (*rows, Row("Days judged", "; ".join(airs)))
