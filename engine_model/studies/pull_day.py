"""The day of a pull: what its log tells of the air, the rest from a day that is known."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from engine_model.air.atmosphere import station_pressure
from engine_model.dyno.correction import pressure_at_station
from engine_model.files.pull_record import PullRun
from engine_model.inputs import Day

Floats = NDArray[np.float64]


def pull_day(
    runs: Sequence[PullRun], otherwise: Day, pressure_basis: str = "station"
) -> tuple[Day, tuple[str, ...]]:
    """Day of a pull.

    Parameters
    ----------
    runs : sequence of PullRun
        Its runs; the median of what they log counts.
    otherwise : Day
        Where the log tells nothing; its altitude brings a pressure reduced to sea level to the
        station.
    pressure_basis : str
        ``station`` or ``sea level``: what the log's ambient pressure is.

    Returns
    -------
    tuple of (Day, tuple of str)
        The day with its station pressure, and what of it the log told: any of ``temperature``,
        ``pressure``, ``relative_humidity``.
    """

    def middle(name: str) -> float | None:
        found = [getattr(run, name) for run in runs if getattr(run, name) is not None]
        values = np.concatenate(found) if found else np.array([])
        values = values[np.isfinite(values)]
        return float(np.median(values)) if values.size else None

    told: dict[str, float] = {}
    temperature, pressure = middle("ambient_temperature_k"), middle("ambient_pressure_pa")
    humidity = middle("relative_humidity")
    if temperature is not None:
        told["temperature"] = temperature
    if pressure is not None:
        reduced = pressure_basis == "sea level"
        here = pressure_at_station(pressure, otherwise.altitude) if reduced else pressure
        told["pressure"] = float(here)
    if humidity is not None:
        told["relative_humidity"] = min(humidity, 1.0)
    known = otherwise.pressure
    if known is None:
        known = float(station_pressure(otherwise.altitude))
    day = Day(
        otherwise.altitude,
        told.get("temperature", otherwise.temperature),
        told.get("relative_humidity", otherwise.relative_humidity),
        told.get("pressure", known),
        name="of the pull" if told else otherwise.name,
    )
    return day, tuple(told)
