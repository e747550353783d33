"""The table of differences between the present line and the pinned ones."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.fields import NOTHING, Units, decimals_of, quantity_of, show, unit_of
from app.present.sentences import TITLES, percent
from engine_model.errors import InputError
from engine_model.results import Entry, OperatingLine
from engine_model.units import from_si

Floats = NDArray[np.float64]

AT_LIMITER = math.inf
"""Stands for each line's own limiter among the engine speeds asked."""

USUAL_SPEEDS = (3000.0, 5000.0, AT_LIMITER)
"""Engine speeds at which boost is compared [rpm]."""

PRESENT = "Present"
"""Name of the first row."""


@dataclass(frozen=True, slots=True)
class Figures:
    """What is compared of one line, SI, speeds in rpm; nan where there is no solution.

    Parameters
    ----------
    name : str
        Name of the pin, or of the present line.
    flywheel_power, wheel_power : float
        Highest power. [W]
    flywheel_speed, wheel_speed : float
        Engine speed there. [rpm]
    boost : tuple of float
        Boost at the engine speeds asked, gauge. [Pa]
    charge_temperature : float
        In the manifold at the limiter. [K]
    impeller_speed : float
        At the limiter. [rpm]
    tightest : Entry or None
        Entry of *parts* that uses most of its limit on any day.
    note : str
        Something to say about the line.
    """

    name: str
    flywheel_power: float
    flywheel_speed: float
    wheel_power: float
    wheel_speed: float
    boost: tuple[float, ...]
    charge_temperature: float
    impeller_speed: float
    tightest: Entry | None
    note: str = ""


def _peak(line: OperatingLine, values: Floats) -> tuple[float, float]:
    if np.all(np.isnan(values)):
        return math.nan, math.nan
    top = int(np.nanargmax(values))
    return float(values[top]), float(line.engine_speed_rpm[top])


def _at(line: OperatingLine, values: Floats, speed: float) -> float:
    return float(np.interp(speed, line.engine_speed_rpm, values, left=math.nan, right=math.nan))


def tightest_part(entries: Iterable[Entry]) -> Entry | None:
    """Entry of *parts* with the largest share used; nothing where none has a number."""
    known = [e for e in entries if e.part == "parts" and not math.isnan(e.used)]
    return max(known, key=lambda e: e.used, default=None)


def figures_of(
    name: str,
    line: OperatingLine,
    limiter: float,
    ledger: Iterable[Entry],
    engine_speeds: Sequence[float] = USUAL_SPEEDS,
    note: str = "",
) -> Figures:
    """Figures of a line on the day shown, with its ledger over all days.

    Parameters
    ----------
    name : str
        Name of the line.
    line : OperatingLine
        The line, over engine speed.
    limiter : float
        Its limiter. [rpm]
    ledger : iterable of Entry
        Entries of every day.
    engine_speeds : sequence of float
        Where boost is read; ``AT_LIMITER`` is the line's own limiter. [rpm]
    note : str
        Something to say about the line.
    """
    flywheel, wheel = _peak(line, line.flywheel_power_w), _peak(line, line.wheel_power_w)
    boost = tuple(_at(line, line.boost_gauge_pa, limiter if s == AT_LIMITER else s)
                  for s in engine_speeds)  # fmt: skip
    return Figures(
        name,
        *flywheel,
        *wheel,
        boost,
        _at(line, line.manifold_temperature_k, limiter),
        _at(line, line.impeller_speed_rpm, limiter),
        tightest_part(ledger),
        note,
    )


@dataclass(frozen=True, slots=True)
class Column:
    """A column of numbers: title, kind of display, how to read value and engine speed."""

    title: str
    kind: str
    value: Callable[[Figures], float]
    speed: Callable[[Figures], float] | None = None


def _boost_column(index: int, speed: float) -> Column:
    where = "limiter" if speed == AT_LIMITER else f"{speed:.0f} rpm"
    return Column(f"Boost at {where}", "boost", lambda f: f.boost[index])


def columns_for(engine_speeds: Sequence[float] = USUAL_SPEEDS) -> tuple[Column, ...]:
    """Columns of numbers for the engine speeds asked."""
    return (
        Column("Flywheel power", "power", lambda f: f.flywheel_power, lambda f: f.flywheel_speed),
        Column("Wheel power", "power", lambda f: f.wheel_power, lambda f: f.wheel_speed),
        *(_boost_column(k, speed) for k, speed in enumerate(engine_speeds)),
        Column("Charge temperature at limiter", "temperature", lambda f: f.charge_temperature),
        Column("Impeller speed at limiter", "speed", lambda f: f.impeller_speed),
    )


TIGHTEST = "Tightest in parts, any day"
"""Title of the last column."""


def value_text(column: Column, figures: Figures, units: Units = "si") -> str:
    """Number of a cell without its unit."""
    return show(column.value(figures), column.kind, units, unit=False)


def difference(column: Column, figures: Figures, present: Figures, units: Units = "si") -> str:
    """Signed difference of a cell to the present line, in the column's unit, as both are shown."""
    symbol, quantity = unit_of(column.kind, units), quantity_of(column.kind)
    decimals = decimals_of(column.kind, units)
    here, there = (
        round(float(from_si(column.value(one), symbol, quantity)), decimals)
        for one in (figures, present)
    )
    return _signed(here - there, decimals)


def _signed(number: float, decimals: int) -> str:
    if not math.isfinite(number):
        return NOTHING
    text = f"{number:+.{decimals}f}"
    return text[1:] if float(text) == 0.0 else text


def used_difference(figures: Figures, present: Figures) -> str:
    """Signed difference of the shares used by the tightest entries, as both are shown [%]."""
    mine, its = figures.tightest, present.tightest
    if mine is None or its is None:
        return NOTHING
    texts = [percent(one.used).removesuffix(" %") for one in (mine, its)]
    try:
        here, there = (float(text) for text in texts)
    except ValueError:
        return NOTHING  # one has no room at all
    return _signed(here - there, max(len(text.partition(".")[2]) for text in texts))


def cell_text(column: Column, figures: Figures, present: Figures, units: Units = "si") -> str:
    """Cell on the screen: value, difference in brackets, engine speed of a peak."""
    text = value_text(column, figures, units)
    if figures is not present:
        text += f" ({difference(column, figures, present, units)})"
    if column.speed is not None and not math.isnan(column.speed(figures)):
        text += f" at {column.speed(figures):.0f}"
    return text


def tightest_text(figures: Figures, present: Figures) -> str:
    """Tightest entry on the screen: state, share, difference, title, day."""
    entry = figures.tightest
    if entry is None:
        return NOTHING
    change = "" if figures is present else f" ({used_difference(figures, present)})"
    return f"{entry.state} {percent(entry.used)}{change}, {TITLES[entry.code]}, {entry.day} day"


def head_of(column: Column, units: Units = "si") -> str:
    """Title of a column with its unit."""
    return f"{column.title} [{unit_of(column.kind, units)}]"


def difference_rows(
    present: Figures,
    pins: Sequence[Figures],
    engine_speeds: Sequence[float] = USUAL_SPEEDS,
    units: Units = "si",
) -> list[list[str]]:
    """Table for other programs: titles, then a row a line, value and difference apart.

    Parameters
    ----------
    present : Figures
        The present line.
    pins : sequence of Figures
        The pinned lines.
    engine_speeds : sequence of float
        Those the figures were read at. [rpm]
    units : str or UnitChoice
        Units shown.

    Returns
    -------
    list of list of str
        Cells; differences of the present line are blank.
    """
    columns = columns_for(engine_speeds)
    head = ["line"]
    for column in columns:
        symbol = unit_of(column.kind, units)
        head += [head_of(column, units), f"difference [{symbol}]"]
        head += [] if column.speed is None else ["at engine speed [rpm]"]
    head += [TIGHTEST, "state", "used [%]", "difference [%]", "day", "note"]
    rows = [head]
    for figures in (present, *pins):
        mine = figures is present
        cells = [figures.name]
        for column in columns:
            change = "" if mine else difference(column, figures, present, units)
            cells += [value_text(column, figures, units), change]
            if column.speed is not None:
                cells.append(show(column.speed(figures), "speed", units, unit=False))
        entry = figures.tightest
        if entry is None:
            cells += [NOTHING, NOTHING, NOTHING, NOTHING, NOTHING]
        else:
            used = percent(entry.used).removesuffix(" %")
            change = "" if mine else used_difference(figures, present)
            cells += [TITLES[entry.code], entry.state, used, change, entry.day]
        rows.append([*cells, figures.note])
    return rows


def difference_text(rows: Sequence[Sequence[str]]) -> str:
    """Rows as text with tabs between the cells, as spreadsheets paste it."""
    clean = ([" ".join(cell.split()) for cell in row] for row in rows)
    return "\n".join("\t".join(row) for row in clean)


def read_speeds(text: str, least: float = 500.0, most: float = 24000.0) -> tuple[float, ...]:
    """Engine speeds of a typed list, rising, each once [rpm].

    Raises
    ------
    InputError
        With the item at fault and what is allowed.

    Examples
    --------
    >>> read_speeds("5000, 3000")
    (3000.0, 5000.0)
    """
    speeds = set()
    for item in text.replace(";", ",").split(","):
        word = item.strip().removesuffix("rpm").strip()
        if not word:
            continue
        try:
            speed = float(word)
        except ValueError:
            speed = math.nan
        if not least <= speed <= most:
            raise InputError("Boost at", item.strip(), f"{least:.0f} to {most:.0f} rpm")
        speeds.add(speed)
    return tuple(sorted(speeds))
