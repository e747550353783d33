"""What the build sheet tells the customer: what was built, power, the ledger on its worst days.

Every power stands beside the word for where it is measured, *wheel* or *flywheel*, never plain.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

import numpy as np

from app.fields import FIELD, Units, show, write_value
from app.present.sentences import if_it_holds
from engine_model.compressor.surface import Surface
from engine_model.errors import InputError
from engine_model.fuel_choice import fuel_of
from engine_model.inputs import Build
from engine_model.plan_layout import told_paths
from engine_model.results import Entry, Match

BASES = ("wheel", "flywheel")
"""Where power is measured; the order of the columns."""

BASIS_TITLES = {"wheel": "WHEEL power", "flywheel": "FLYWHEEL power"}
BASIS_NOTES = {
    "wheel": "at the wheels, on the rollers",
    "flywheel": "at the crank, before gearbox",
}

UNCORRECTED = "as on the day, uncorrected"
"""Standard of what the bench promises and expects."""

GIVEN_MARK, ASSUMED_MARK = "\u25cf", "\u25cb"
"""Filled: the shop set it. Hollow: a default, assumed."""

BLANK_LINE = "__________"
"""Where a figure is to be written in by hand."""

MARKS = f"{GIVEN_MARK} given by the shop   {ASSUMED_MARK} assumed: a default that nobody has set"

NO_PULL = "no pull attached: to be filled in by hand"

NO_MAP = "No blower, so there is no compressor map."


@dataclass(frozen=True, slots=True)
class MeasuredPower:
    """Power that a pull gave, as the sheet tells it.

    Parameters
    ----------
    value : float
        The power. [W]
    basis : str
        ``wheel`` or ``flywheel``.
    standard : str
        Its correction in words: ``as on the day, uncorrected``, or a standard's name.
    date : str
        Date of the pull as written; may be empty.
    words : str
        What else must be said of it, such as a spread; may be empty.
    """

    value: float
    basis: str
    standard: str = UNCORRECTED
    date: str = ""
    words: str = ""

    def __post_init__(self) -> None:
        if self.basis not in BASES:
            raise InputError("measured.basis", self.basis, "wheel or flywheel")
        if not math.isfinite(self.value) or self.value <= 0.0:
            raise InputError("measured.value", self.value, "a power above 0")
        if not self.standard.strip():
            raise InputError("measured.standard", self.standard, "a standard, or uncorrected")


@dataclass(frozen=True, slots=True, eq=False)
class SheetSource:
    """Everything a build sheet is made from.

    Parameters
    ----------
    match : Match
        The match on the day of the charts.
    worst : tuple of Entry
        The ledger, each entry on its worst day.
    days : tuple of str
        Names of the days judged.
    surface : Surface or None
        The fitted compressor map; none without a blower.
    written_on : date
        Date of the sheet.
    digest : str
        Digest of the build file's content.
    shop : str
        Name of the shop; may be empty.
    logo : str
        File of its logo; may be empty.
    units : str or UnitChoice
        Units of the sheet.
    measured : MeasuredPower, optional
        What a pull gave; without it the sheet has a line to fill in.
    """

    match: Match
    worst: tuple[Entry, ...]
    days: tuple[str, ...]
    surface: Surface | None
    written_on: date
    digest: str
    shop: str = ""
    logo: str = ""
    units: Units = "si"
    measured: MeasuredPower | None = None

    @property
    def build(self) -> Build:
        """The build."""
        return self.match.build


@dataclass(frozen=True, slots=True)
class Row:
    """A name and its text.

    Parameters
    ----------
    label : str
        Name.
    text : str
        Text, with the marks of given and assumed in it.
    mark : str
        ``GIVEN_MARK``, ``ASSUMED_MARK``, or empty where neither holds.
    """

    label: str
    text: str
    mark: str = ""


def mark_of(build: Build, path: str) -> str:
    """Mark of an input: given by the shop or by its belt layout, else assumed."""
    given = path in build.given or path in told_paths(build.layout, build.drive)
    return GIVEN_MARK if given else ASSUMED_MARK


def _fact(build: Build, path: str, units: Units, words: str = "{}") -> str:
    """An input in words with its mark."""
    text = write_value(FIELD[path], build.value(path), units)
    return f"{words.format(text)} {mark_of(build, path)}"


_COOLERS = {"none": "none", "air": "air-to-air", "liquid": "liquid"}


def built_rows(build: Build, units: Units = "si") -> tuple[Row, ...]:
    """What was built, part by part."""

    def fact(path: str, words: str = "{}") -> str:
        return _fact(build, path, units, words)

    engine = ", ".join(
        (
            fact("engine.displacement"),
            fact("engine.cylinders", "{} cylinders"),
            fact("engine.compression_ratio", "compression ratio {}"),
            fact("engine.limiter", "limiter {}"),
        )
    )
    rows = [Row("Engine", engine)]
    compressor = build.blower.compressor_map
    if build.drive.kind == "none" or compressor is None:
        rows.append(Row("Compressor", "none: the engine breathes by itself"))
    else:
        kind = "" if build.drive.kind == "belt" else ", turbocharger (free shaft)"
        rows.append(Row("Compressor", f"{compressor.title}{kind}"))
    if build.drive.kind == "belt":
        pulleys = (
            fact("drive.crank_pulley_diameter", "crank {}"),
            fact("drive.blower_pulley_diameter", "blower {}"),
        )
        rows.append(Row("Pulleys", f"{', '.join(pulleys)} (outside diameters)"))
        belt = (fact("drive.ribs", "{} ribs"), fact("drive.belt_section", "section {}"))
        rows.append(Row("Belt", f"{', '.join(belt)}, {fact('drive.tensioner', 'tensioner {}')}"))
    if build.drive.kind == "free_shaft":
        highest = show(max(boost for _, boost in build.drive.boost_schedule), "boost", units)
        mark = mark_of(build, "drive.boost_schedule")
        basis = "abs" if build.drive.boost_schedule_basis == "absolute" else "gauge"
        rows.append(Row("Boost", f"by a schedule, up to {highest} {basis} {mark}"))
    if build.bypass.boost_cap is not None and build.drive.kind != "none":
        rows.append(Row("Bypass", fact("bypass.boost_cap", "opens at {} gauge")))
    cooler = f"{_COOLERS.get(build.cooler.kind, build.cooler.kind)} {mark_of(build, 'cooler.kind')}"
    if build.cooler.kind != "none":
        cooler += f", {fact('cooler.effectiveness', 'effectiveness {}')}"
    rows.append(Row("Charge cooler", cooler))
    fuel = f"{fuel_of(build.engine).name} {mark_of(build, 'engine.fuel')}"
    rows.append(Row("Fuel", f"{fuel}, {fact('engine.mixture', 'mixture (lambda) {}')}"))
    return tuple(rows)


@dataclass(frozen=True, slots=True)
class PowerRow:
    """One row of the power table.

    Parameters
    ----------
    title : str
        ``Promised``, ``Expected`` or ``Measured``.
    cells : tuple of str
        Text of each of ``BASES``, its basis in every number's own words.
    note : str
        Standard, day and where it comes from.
    under : tuple of str
        What stands under each cell; may be empty.
    """

    title: str
    cells: tuple[str, ...]
    note: str
    under: tuple[str, ...] = ("",) * len(BASES)


def _top(match: Match, basis: str, units: Units) -> tuple[str, str]:
    """Highest power of a line with its basis, and the engine speed there."""
    line = match.line
    values = line.wheel_power_w if basis == "wheel" else line.flywheel_power_w
    if np.all(np.isnan(values)):
        return f"no {basis} power", "engine and compressor do not meet"
    top = int(np.nanargmax(values))
    power = show(float(values[top]), "power", units)
    return f"{power} {basis}", f"highest, at {line.engine_speed_rpm[top]:.0f} rpm"


def power_rows(source: SheetSource) -> tuple[PowerRow, ...]:
    """Promised, expected and measured power, every number with where it is measured."""
    match, units, measured = source.match, source.units, source.measured
    target, day = source.build.target, match.day
    if target.power is None:
        promised = PowerRow("Promised", ("nothing promised",) * 2, "no target in the build")
    else:
        told = f"{show(target.power, 'power', units)} {target.basis}"
        cells = tuple(told if b == target.basis else f"not promised at the {b}" for b in BASES)
        when = f"for the {target.day or day.name} day"
        promised = PowerRow("Promised", cells, f"{when}, {UNCORRECTED}")
    place = (day.altitude, "altitude") if day.pressure is None else (day.pressure, "pressure")
    air = f"{show(day.temperature, 'temperature', units)}, {show(*place, units)}"
    tops = [_top(match, basis, units) for basis in BASES]
    expected = PowerRow(
        "Expected",
        tuple(power for power, _ in tops),
        f"worked out for the {day.name} day ({air}), {UNCORRECTED}; an estimate",
        tuple(speed for _, speed in tops),
    )
    if measured is None:
        unit = show(0.0, "power", units).partition(" ")[2]
        cells = tuple(f"{BLANK_LINE} {unit} {basis}" for basis in BASES)
        note = f"{NO_PULL}\nstandard {BLANK_LINE}  date {BLANK_LINE}"
        return promised, expected, PowerRow("Measured", cells, note)
    told = f"{show(measured.value, 'power', units)} {measured.basis}"
    cells = tuple(told if b == measured.basis else f"not measured at the {b}" for b in BASES)
    note = ", ".join(filter(None, (measured.standard, measured.date, measured.words)))
    return promised, expected, PowerRow("Measured", cells, note)


def power_words(source: SheetSource) -> tuple[str, ...]:
    """What keeps wheel and flywheel power, and days and standards, apart."""
    build, units = source.build, source.units
    loss = _fact(build, "driveline.loss", units)
    if build.driveline.constant_loss:
        loss += f" and {_fact(build, 'driveline.constant_loss', units)}"
    rows = [
        "Wheel and flywheel power are two readings of one engine, never to be set beside each "
        f"other: the driveline between them is taken to lose {loss}. A wheel figure is the "
        "smaller. Compare within one column, and only under one standard."
    ]
    target, day = build.target, source.match.day.name
    if target.power is not None and target.day is not None and target.day != day:
        rows.append(
            f"The promise is for the {target.day} day, the expectation for the {day} day: two "
            "different airs."
        )
    slip = next((e for e in source.match.ledger if e.code == "belt_slip"), None)
    if slip is not None and slip.value > 0.0:
        rows.append(
            "The belt slips: what is expected is with that slip, and a slipping belt protects "
            f"nothing. {if_it_holds(slip, units)}."
        )
    measured = source.measured
    if measured is not None and target.power is not None and measured.basis != target.basis:
        rows.append(
            f"Promised at the {target.basis}, measured at the {measured.basis}: not the same "
            "power, not to be subtracted."
        )
    return tuple(rows)
