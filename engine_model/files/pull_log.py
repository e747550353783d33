"""Pulls from the log of any dyno or logger: a table as text, read row by row."""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from engine_model.errors import Fault, FileFaultsError
from engine_model.files.pull_channels import AIR_TO_FUEL, CHANNEL, GAPS, STOICHIOMETRIC
from engine_model.files.pull_layout import is_remark, is_units_row, open_layout
from engine_model.files.pull_record import (
    LONGEST_KEPT,
    Pull,
    PullLayout,
    PullMapping,
    PullRun,
    RefusedRow,
    SmoothedRun,
)
from engine_model.files.pull_runs import RunPicker, run_record
from engine_model.files.pull_text import LONGEST_LINE, cells_of, fault, lines_of, number_of
from engine_model.units import to_si

Floats = NDArray[np.float64]
Progress = Callable[[int, int], None]

PROGRESS_ROWS: Final = 4096
"""Rows between two calls of the progress."""

_SHOWN: Final = 40


@dataclass(frozen=True, slots=True)
class _Reader:
    """One mapped column: where it stands and how it becomes SI."""

    at: int
    channel: str
    factor: float
    shift: float
    low: float
    high: float


@dataclass(slots=True)
class _Counts:
    """What was met on the way."""

    rows: int = 0
    taken: int = 0
    blank: int = 0
    refused: int = 0
    gaps: int = 0
    kept: list[RefusedRow] = field(default_factory=list)

    def refuse(self, row: int, code: str, given: str, channel: str = "") -> None:
        self.refused += 1
        if len(self.kept) < LONGEST_KEPT:
            shown = given[:_SHOWN] + "…" * (len(given) > _SHOWN)
            self.kept.append(RefusedRow(row, code, shown, channel))


def load_pull(
    path: str | os.PathLike[str],
    mapping: PullMapping | None = None,
    *,
    remembered: Sequence[PullMapping] = (),
    on_progress: Progress | None = None,
) -> Pull:
    """Pull of a log: its runs as measured, and every refused row counted.

    Parameters
    ----------
    path : str or path-like
        The log.
    mapping : PullMapping, optional
        Which column is what; guessed or remembered unless given.
    remembered : sequence of PullMapping
        Mappings kept from earlier logs.
    on_progress : callable, optional
        Called with bytes read and bytes in all, now and then; what it raises ends the reading.

    Returns
    -------
    Pull
        With one run at least.

    Raises
    ------
    FileFaultsError
        Where the file is no table, a needed column is missing, or no run is in it.
    """
    layout = open_layout(path, remembered)
    used = layout.mapping if mapping is None else mapping
    name = layout.name
    readers = _readers(used, layout)
    picker = RunPicker([one.channel for one in readers if one.channel != "engine_speed"] + (
        [] if used.use("power") else ["power"]
    ))  # fmt: skip
    counts = _Counts()
    total = Path(path).stat().st_size
    for line, done in lines_of(path, layout.encoding):
        counts.rows += 1
        if counts.rows > layout.header_row:
            _take(line, layout, readers, counts, picker)
        if on_progress is not None and counts.rows % PROGRESS_ROWS == 0:
            on_progress(min(done, total), total)
    picker.end()
    if on_progress is not None:
        on_progress(total, total)
    if not picker.runs:
        told = f"{counts.taken} rows taken, {counts.refused} refused"
        raise fault(
            name,
            "rows",
            told + _first_refused(counts),
            "a run: engine speed rising by 1000 rpm or more, 8 readings or more, power above 0",
        )
    main = used.use("power") or used.use("torque")
    manifold = used.use("manifold_pressure")
    runs = tuple(
        run_record(
            at + 1,
            columns,
            main.basis if main is not None and main.basis else "wheel",
            manifold.basis if manifold is not None and manifold.basis else "absolute",
        )
        for at, columns in enumerate(picker.runs)
    )
    return Pull(
        name,
        layout if mapping is None else _with_mapping(layout, used),
        runs,
        counts.rows,
        counts.taken,
        picker.outside,
        counts.blank,
        tuple(counts.kept),
        counts.refused,
        counts.gaps,
    )


def _with_mapping(layout: PullLayout, mapping: PullMapping) -> PullLayout:
    return PullLayout(
        layout.name, layout.encoding, layout.delimiter, layout.decimal, layout.headers,
        layout.units, layout.header_row, layout.first_row, layout.sample, mapping, True,
    )  # fmt: skip


def _first_refused(counts: _Counts) -> str:
    if not counts.kept:
        return ""
    one = counts.kept[0]
    return f" (row {one.row}: {one.given!r}, {one.code.replace('_', ' ')})"


def _readers(mapping: PullMapping, layout: PullLayout) -> list[_Reader]:
    """Readers of the mapped columns, or every fault of the mapping."""
    faults = []
    shown = ", ".join(layout.headers)[:300]
    if mapping.headers != layout.headers:
        expected = ", ".join(mapping.headers)[:200]
        faults.append(Fault("headers", shown, f"those of the mapping: {expected}"))
    if mapping.use("engine_speed") is None:
        faults.append(Fault("columns", shown, "one of engine speed"))
    if mapping.use("power") is None and mapping.use("torque") is None:
        faults.append(Fault("columns", shown, "one of power or torque"))
    readers = []
    for use in mapping.uses:
        if use.channel not in CHANNEL or not 0 <= use.column < len(layout.headers):
            faults.append(Fault(f"column {use.column + 1}", use.channel, "a channel and a column"))
            continue
        channel = CHANNEL[use.channel]
        try:
            factor, shift = _scale(use.unit, channel.quantity)
        except ValueError:
            allowed = f"a unit of {channel.quantity.replace('_', ' ')}"
            faults.append(Fault(f"unit of {use.header!r}", repr(use.unit), allowed))
            continue
        readers.append(_Reader(use.column, use.channel, factor, shift, channel.low, channel.high))
    if faults:
        raise FileFaultsError(layout.name, tuple(faults))
    return readers


def _scale(unit: str, quantity: str) -> tuple[float, float]:
    """Factor and shift from a column's unit to SI."""
    if unit == AIR_TO_FUEL:
        return 1.0 / STOICHIOMETRIC, 0.0
    zero = to_si(0.0, unit, quantity)
    return to_si(1.0, unit, quantity) - zero, zero


def _take(
    line: str, layout: PullLayout, readers: list[_Reader], counts: _Counts, picker: RunPicker
) -> None:
    """Take one line: pass it over, refuse it or give it to the picker."""
    row = counts.rows
    if len(line) > LONGEST_LINE:
        counts.refuse(row, "too_long", line)
        return
    cells = cells_of(line, layout.delimiter)
    if not any(cells) or is_remark(line):
        counts.blank += 1
        return
    width = len(layout.headers)
    if len(cells) != width and not (len(cells) > width and not any(cells[width:])):
        counts.refuse(row, "too_few_cells" if len(cells) < width else "too_many_cells", line)
        return
    values = {}
    for one in readers:
        cell = cells[one.at]
        try:
            # a plain number with a point is most of a log
            number = float(cell) if layout.decimal == "." and cell[-1:].isdigit() else None
        except ValueError:
            number = None
        if number is None or "_" in cell:
            if cell.casefold() in GAPS:
                values[one.channel] = math.nan
                continue
            number = number_of(cell, layout.decimal)
        if number is None or not math.isfinite(number):
            _refuse_text(row, cells, cell, one.channel, layout, counts, picker)
            return
        value = number * one.factor + one.shift
        if not one.low <= value <= one.high:
            counts.refuse(row, "outside", cell, one.channel)
            return
        values[one.channel] = value
    _hand_over(row, line, values, readers, counts, picker)


def _refuse_text(
    row: int,
    cells: list[str],
    cell: str,
    channel: str,
    layout: PullLayout,
    counts: _Counts,
    picker: RunPicker,
) -> None:
    """Text among the values: headers or units again, which end a run, or a refused row."""
    again = tuple(one.strip('"') for one in cells[: len(layout.headers)]) == layout.headers
    if again or is_units_row(cells, layout.units):
        counts.blank += 1
        picker.end()
        return
    counts.refuse(row, "not_a_number", cell, channel)


def _hand_over(
    row: int,
    line: str,
    values: dict[str, float],
    readers: list[_Reader],
    counts: _Counts,
    picker: RunPicker,
) -> None:
    """Give the values of one row to the picker."""
    speed = values.pop("engine_speed")
    if math.isnan(speed):
        counts.refuse(row, "no_engine_speed", line)
        return
    if "power" not in values:
        values["power"] = values["torque"] * speed * math.pi / 30.0
    if math.isnan(values["power"]):
        counts.refuse(row, "no_power", line)
        return
    counts.taken += 1
    counts.gaps += sum(math.isnan(value) for value in values.values())
    picker.add(row, speed, values)


def smoothed_run(run: PullRun, width: float) -> SmoothedRun:
    """Run smoothed by a moving mean over engine speed; the raw readings stay beside it.

    Parameters
    ----------
    run : PullRun
        The run.
    width : float
        Full width of the mean. [rpm] 0 leaves it as it is

    Returns
    -------
    SmoothedRun
        Raw and smoothed, with the width told.

    References
    ----------
    None: a plain mean of all readings within half the width.
    """
    speed = run.engine_speed_rpm
    order = np.argsort(speed, kind="stable")
    ranked = speed[order]
    first = np.searchsorted(ranked, speed - 0.5 * width, "left")
    last = np.searchsorted(ranked, speed + 0.5 * width, "right")

    def mean(values: Floats) -> Floats:
        there = np.isfinite(values[order])
        total = np.append(0.0, np.cumsum(np.where(there, values[order], 0.0)))
        count = np.append(0, np.cumsum(there))
        n = count[last] - count[first]
        with np.errstate(invalid="ignore", divide="ignore"):
            smooth = (total[last] - total[first]) / n
        return np.where(np.isfinite(values), smooth, np.nan)

    names = [name for name in run.channels if name != "time_s"]
    new = {name: mean(getattr(run, name)) for name in names}
    kept = {
        one: getattr(run, one)
        for one in ("number", "first_row", "last_row", "row", "engine_speed_rpm", "power_basis",
                    "manifold_basis", "time_s")
    }  # fmt: skip
    shown = PullRun(**{**kept, **new})
    return SmoothedRun(run, shown, width, float(np.median(last - first)))
