"""Grids of pulleys: which sizes are asked, and what the cells say."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from app.fields import Units, show, unit_of
from app.present.pulley_tables import title_of
from app.present.sentences import percent, sentence
from app.present.series_axes import nice_step
from engine_model.defaults import DEFAULTS, PULLEY_SEARCH
from engine_model.inputs import Build
from engine_model.studies.pulley_grid import CRANK, RIBS, PulleyGrid
from engine_model.studies.span_records import AS_BUILT, NO_BALANCE, JudgedPulley, PulleySpan
from engine_model.units import from_si, to_si

MOST_COLUMNS, PARTS = 9, 7
"""Blower pulleys of a grid at most, and about how many where the shelf has none."""

AROUND = 0.08
"""Share of a size by which the columns reach beyond the allowed span [-]."""

ROUND = 2
"""Rows on either side of the build's own."""

CRANK_STEPS = {"in": 0.25, "mm": 10.0}
"""Steps of the crank pulleys, in units that have round sizes of their own."""

HEADS = {CRANK: "Crank pulley", RIBS: "Ribs"}
"""What the rows are, in words."""


def grid_columns(span: PulleySpan, shelf: Sequence[float], units: Units = "si") -> list[float]:
    """Blower pulleys of a grid [m]: the shelf's nearest to the span, else round sizes.

    Parameters
    ----------
    span : PulleySpan
        The span.
    shelf : sequence of float
        Sizes at hand. [m]
    units : Units
        Units in which sizes are round.
    """
    present = span.build.drive.blower_pulley_diameter
    low = span.allowed[0].low if span.allowed else present
    high = span.allowed[-1].high if span.allowed else present
    least, most = PULLEY_SEARCH
    sizes = sorted({size for size in shelf if least <= size <= most})
    if sizes:
        middle = 0.5 * (low + high)
        near = sorted(sizes, key=lambda size: abs(size - middle))[:MOST_COLUMNS]
        return sorted(near)
    unit = unit_of("length", units)
    low, high = max(low * (1.0 - AROUND), least), min(high * (1.0 + AROUND), most)
    first, last = (float(from_si(x, unit, "length")) for x in (low, high))
    step = nice_step(last - first, PARTS)
    count = np.arange(np.ceil(first / step - 1e-9), np.floor(last / step + 1e-9) + 0.5)
    return [float(to_si(k * step, unit, "length")) for k in count.tolist()][:MOST_COLUMNS]


def grid_rows(build: Build, kind: str, units: Units = "si") -> list[float]:
    """Crank pulleys [m] or ribs of a grid: the build's own and some on either side.

    Parameters
    ----------
    build : Build
        The build.
    kind : str
        ``crank_pulley_diameter`` or ``ribs``.
    units : Units
        Units in which the steps are round.
    """
    steps = range(-ROUND, ROUND + 1)
    if kind == RIBS:
        bounds = DEFAULTS["drive.ribs"]
        found = [float(build.drive.ribs + k) for k in steps]
    else:
        bounds = DEFAULTS["drive.crank_pulley_diameter"]
        unit = unit_of("length", units)
        step = float(to_si(CRANK_STEPS.get(unit, 0.0), unit, "length")) or 0.01
        found = [build.drive.crank_pulley_diameter + k * step for k in steps]
    assert bounds.low is not None
    assert bounds.high is not None
    return [value for value in found if bounds.low <= value <= bounds.high]


def row_head(grid: PulleyGrid, value: float, units: Units = "si") -> str:
    """Name of a row: a size, or a number of ribs."""
    if grid.kind == RIBS:
        return f"{value:.0f} ribs"
    return show(value, "length", units)


def cell_text(cell: JudgedPulley) -> str:
    """State and share of a cell, short."""
    if cell.entry is None:
        return cell.state
    if cell.entry.code == NO_BALANCE:
        return f"{cell.state}, no balance"
    return f"{cell.state} {percent(cell.entry.used)}"


def cell_words(
    grid: PulleyGrid, value: float, cell: JudgedPulley, build: Build, units: Units = "si"
) -> str:
    """What a cell says: the pair, its state, and the tightest limit in the ledger's sentence."""
    row = f"{HEADS[grid.kind].lower()} {row_head(grid, value, units)}"
    if grid.kind == RIBS:
        row = row_head(grid, value, units)
    pair = f"Blower pulley {show(cell.diameter, 'length', units)}, {row}: {cell.state}"
    return pair + tightest_words(cell, build, units)


def tightest_words(cell: JudgedPulley, build: Build, units: Units = "si") -> str:
    """Tightest limit of a pulley in the ledger's sentence, after a full stop."""
    entry = cell.entry
    if entry is None:
        return ""
    told = entry.basis if entry.code == NO_BALANCE else sentence(entry, build, units)
    case = "" if cell.case == AS_BUILT else f", {cell.case}"
    return f". {title_of(entry.code)}: {told} ({entry.day} day{case})"


def grid_table(grid: PulleyGrid, units: Units = "si") -> list[list[str]]:
    """The whole grid as rows of text, titles first."""
    head = [f"{HEADS[grid.kind]} / blower pulley"]
    rows = [head + [show(size, "length", units) for size in grid.blower_diameters]]
    for value, cells in zip(grid.rows, grid.cells, strict=True):
        told = []
        for cell in cells:
            tight = "" if cell.entry is None else f", {title_of(cell.entry.code)}"
            told.append(cell_text(cell) + tight)
        rows.append([row_head(grid, value, units), *told])
    return rows


def hand_rows(span: PulleySpan, units: Units = "si") -> list[list[str]]:
    """Pulleys at hand as rows of text, titles first: what, size, state, used, limit, day, words."""
    rows = [["", "pulley", "state", "used", "tightest limit", "day", "in words"]]
    every = [("present", span.present), *(("shelf", one) for one in span.shelf)]
    for name, one in every:
        size = show(one.diameter, "length", units)
        entry = one.entry
        if entry is None:
            rows.append([name, size, one.state, "", "", "", ""])
            continue
        case = "" if one.case == AS_BUILT else f", {one.case}"
        told = entry.basis if entry.code == NO_BALANCE else sentence(entry, span.build, units)
        rows.append(
            [
                name,
                size,
                one.state,
                percent(entry.used),
                title_of(entry.code),
                f"{entry.day}{case}",
                told,
            ]
        )
    return rows
