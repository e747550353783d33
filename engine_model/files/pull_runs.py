"""Runs picked out of a log row by row: engine speed that rises at full throttle."""

from __future__ import annotations

from array import array
from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from engine_model.files.pull_record import PullRun

Floats = NDArray[np.float64]

LEAST_SPAN: Final = 1000.0
"""Least rise of engine speed in a run [rpm]; chosen here, no source."""

LEAST_ROWS: Final = 8
"""Fewest readings of a run; chosen here, no source."""

WIDE_OPEN: Final = 0.85
"""Throttle from which a run counts [-]; chosen here, no source."""

FALL: Final = 120.0
FALL_SHARE: Final = 0.03
"""Fall of engine speed below the greatest so far that ends a run [rpm], [-]; chosen here."""

LONGEST_PAUSE: Final = 2.0
"""Pause in a log that ends a run [s]; chosen here, no source."""

LONGEST_RUN: Final = 200_000
"""Rows after which a run ends whatever follows: memory stays bounded."""


class RunPicker:
    """Picks runs while rows come in; holds no more than one run's rows at a time.

    Parameters
    ----------
    names : sequence of str
        Names of the columns that come in beside row and engine speed.
    """

    def __init__(self, names: Sequence[str]) -> None:
        self.names = tuple(names)
        self.runs: list[dict[str, Floats]] = []
        self.outside = 0
        self._clear()

    def _clear(self) -> None:
        self._columns = {name: array("d") for name in ("row", "engine_speed", *self.names)}
        self._top = -np.inf
        self._time = np.nan
        self._run = np.nan

    @property
    def _size(self) -> int:
        return len(self._columns["row"])

    def add(self, row: int, engine_speed: float, values: Mapping[str, float]) -> None:
        """Take one row; units SI, engine speed in rpm."""
        throttle = values.get("throttle", np.nan)
        if throttle < WIDE_OPEN:
            self.end()
            self.outside += 1
            return
        time, run = values.get("time", np.nan), values.get("run", np.nan)
        broken = engine_speed < self._top - max(FALL, FALL_SHARE * self._top)
        paused = time - self._time > LONGEST_PAUSE or time < self._time
        if broken or paused or self._run < run or run < self._run or self._size >= LONGEST_RUN:
            self.end()
        columns = self._columns
        columns["row"].append(row)
        columns["engine_speed"].append(engine_speed)
        for name in self.names:
            columns[name].append(values[name])
        self._top = max(self._top, engine_speed)
        self._time, self._run = time, run

    def end(self) -> None:
        """End the present run: keep it where it is one."""
        size = self._size
        if not size:
            return
        columns = {name: np.array(column) for name, column in self._columns.items()}
        self._clear()
        kept = _risen(columns["engine_speed"], columns["power"])
        speed = columns["engine_speed"][kept]
        if speed.size >= LEAST_ROWS and np.max(speed) - np.min(speed) >= LEAST_SPAN:
            self.outside += size - speed.size
            self.runs.append({name: column[kept] for name, column in columns.items()})
        else:
            self.outside += size


def _risen(speed: Floats, power: Floats) -> slice:
    """Rows from where engine speed leaves its lowest for good to where it is greatest, driven."""
    low, high = float(np.min(speed)), float(np.max(speed))
    edge = 0.02 * (high - low)
    # the throttle is lifted at the top: the fastest row is often one without power
    last = int(np.argmax(np.where(power > 0.0, speed, -np.inf)))
    at_foot = speed[: last + 1] <= low + edge
    # a run from its first row on spends no longer there than anywhere else
    if int(np.sum(at_foot)) <= 3 + 0.06 * last:
        at_foot = np.zeros(last + 1, dtype=bool)
    below = np.flatnonzero(at_foot | ~(power[: last + 1] > 0.0))
    first = int(below[-1]) if below.size else 0
    if not power[first] > 0.0:
        first += 1
    return slice(first, last + 1)


_FIELDS: Final = {
    "time": "time_s",
    "manifold_pressure": "manifold_pressure_pa",
    "charge_temperature": "charge_temperature_k",
    "discharge_temperature": "discharge_temperature_k",
    "mixture": "mixture",
    "throttle": "throttle",
    "ambient_temperature": "ambient_temperature_k",
    "ambient_pressure": "ambient_pressure_pa",
    "relative_humidity": "relative_humidity",
}


def run_record(
    number: int, columns: Mapping[str, Floats], power_basis: str, manifold_basis: str
) -> PullRun:
    """Record of a picked run.

    Parameters
    ----------
    number : int
        Which run, the first 1.
    columns : mapping of str to ndarray
        Its columns by channel. [SI, engine speed in rpm]
    power_basis : str
        ``wheel`` or ``flywheel``.
    manifold_basis : str
        ``absolute`` or ``gauge``.

    Returns
    -------
    PullRun
        The run.
    """
    rows = columns["row"].astype(np.int64)
    more = {
        field: columns[name]
        for name, field in _FIELDS.items()
        if name in columns and np.any(np.isfinite(columns[name]))
    }
    return PullRun(
        number,
        int(rows[0]),
        int(rows[-1]),
        rows,
        columns["engine_speed"],
        columns["power"],
        power_basis,
        manifold_basis=manifold_basis,
        **more,
    )
