"""A scene of surge ready to draw: on the compressor map, and against time."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.fields import Units, unit_of
from app.present.series_axes import MapAxes, nice_range
from app.present.series_csv import Columns
from app.present.series_panels import Panel, PanelCurve, PanelSeries, columns_csv
from app.present.surge_words import answer_words, side_words
from engine_model.compressor.surge_limits import Limit
from engine_model.studies.surge_run import SceneRun
from engine_model.studies.surge_view import driven_curve, load_lines, trail
from engine_model.units import from_si

Floats = NDArray[np.float64]

LOAD_AREAS, LOAD_PRESSURES = 13, 33
"""Throttle areas and pressures at which the load line is worked out."""

LOAD_ABOVE = 1.15
"""Highest pressure of a load line over the highest of run and characteristic [-]."""

TIME_WORDS = "Time [s]"


@dataclass(frozen=True, slots=True, eq=False)
class LoadLines:
    """Load lines of a scene at several throttle openings; between them it is interpolated.

    Parameters
    ----------
    log_area : ndarray
        Logarithm of the effective areas. [ln m2]
    flow, ratio : ndarray
        A row an area, in the map's units.
    """

    log_area: Floats
    flow: Floats
    ratio: Floats

    def at(self, log_area: float) -> tuple[Floats, Floats]:
        """Flow and pressure ratio of the load line at a throttle's area."""
        place = float(np.interp(log_area, self.log_area, np.arange(self.log_area.size)))
        low = min(int(place), self.log_area.size - 2)
        share = place - low
        # flows grow nearly as a power of the area
        flow = self.flow[low] ** (1.0 - share) * self.flow[low + 1] ** share
        return flow, self.ratio[low] + share * (self.ratio[low + 1] - self.ratio[low])


@dataclass(frozen=True, slots=True, eq=False)
class SurgeSeries:
    """A scene ready to draw; arrays over time have one length.

    Parameters
    ----------
    name : str
        What it is called beside another one.
    is_whole : bool
        Whether the run has come to its end.
    duration : float
        Of the whole run. [s]
    time : ndarray
        Times. [s]
    flow, ratio : ndarray
        The operating point on the map, in the map's units.
    log_area : ndarray
        Logarithm of the throttle's effective area. [ln m2]
    fact : tuple of ndarray
        Characteristic right of the surge line: flow and ratio in the map's units.
    estimate : tuple of ndarray
        The same from reverse flow to the surge line.
    limit : tuple of ndarray
        Limit for small motions over the map's speed lines, where there is one.
    limit_words : str
        How far it lies from the traced surge line.
    panels : PanelSeries
        Pressure, flow, throttle and valve against time.
    flow_range : tuple of float
        Flows that the run and the characteristic reach, in the map's units.
    ratio_range : tuple of float
        The same of pressure ratio.
    """

    name: str
    is_whole: bool
    duration: float
    time: Floats
    flow: Floats
    ratio: Floats
    log_area: Floats
    fact: tuple[Floats, Floats]
    estimate: tuple[Floats, Floats]
    limit: tuple[Floats, Floats]
    limit_words: str
    panels: PanelSeries
    flow_range: tuple[float, float]
    ratio_range: tuple[float, float]

    def index_at(self, time: float) -> int:
        """Place of a time in the arrays; the last where the run has not come so far."""
        last = self.time.size - 1
        step = float(self.time[1] - self.time[0])
        return min(max(round(time / step), 0), last)


def _shown(values: Floats, unit: str, quantity: str) -> Floats:
    return np.asarray(from_si(values, unit, quantity), dtype=float)


def time_panels(found: SceneRun, duration: float, units: Units = "si") -> PanelSeries:
    """Pressure, flow, throttle and valve of a scene against time.

    Parameters
    ----------
    found : SceneRun
        The scene.
    duration : float
        Of the whole run. [s]
    units : Units
        Units shown.
    """
    run = found.run
    bar, flow_unit = unit_of("boost", units), unit_of("mass_flow", units)
    plenum, manifold = (
        _shown(one, bar, "pressure") for one in (run.plenum_pressure, run.manifold_pressure)
    )
    flow = _shown(run.flow, flow_unit, "mass_flow")
    throttle = 100.0 * run.throttle_area / found.setup.open_area
    valve = 100.0 * run.valve_opening
    has_valve = found.setup.build.surge.valve_diameter is not None
    across = (0.0, duration)
    opened = [PanelCurve(run.time, throttle, "main", "throttle" if has_valve else "")]
    if has_valve:
        opened.append(PanelCurve(run.time, valve, "second", "bypass valve"))
    pressures = Panel(
        f"Pressure [{bar} abs]",
        (
            PanelCurve(run.time, plenum, "main", "before the throttle"),
            PanelCurve(run.time, manifold, "second", "manifold"),
        ),
        across,
        nice_range(min(plenum.min(), manifold.min()), plenum.max()),
        decimals=_digits(plenum),
    )
    flows = Panel(
        f"Flow through the compressor [{flow_unit}]",
        (PanelCurve(run.time, flow, "main"),),
        across,
        nice_range(min(flow.min(), 0.0), flow.max()),
        decimals=_digits(flow),
    )
    openings = Panel(
        "Throttle, bypass valve: open [%]" if has_valve else "Throttle open [%]",
        tuple(opened),
        across,
        (0.0, 100.0),
        TIME_WORDS,
        decimals=0,
    )
    spoken = f"{found.scene.name}. {answer_words(found, units)}"
    return PanelSeries((pressures, flows, openings), spoken)


def _digits(values: Floats) -> int:
    """Digits that tell a hundredth of the largest value."""
    largest = float(np.max(np.abs(values)))
    return max(0, 2 - math.floor(math.log10(largest))) if largest > 0.0 else 2


def surge_series(
    found: SceneRun,
    limits: Sequence[Limit],
    axes: MapAxes,
    duration: float,
    name: str,
    units: Units = "si",
) -> SurgeSeries:
    """Series of a scene.

    Parameters
    ----------
    found : SceneRun
        The scene, or the beginning of it.
    limits : sequence of Limit
        Of the map's speed lines.
    axes : MapAxes
        Axes of the map.
    duration : float
        Of the whole run. [s]
    name : str
        What it is called beside another one.
    units : Units
        Units shown.
    """
    scale = axes.flow_scale
    way, curve = trail(found), driven_curve(found.setup)
    split = int(np.searchsorted(curve.corrected_flow, found.limit.traced_flow))
    x, y = curve.corrected_flow * scale, curve.pressure_ratio
    known = [one for one in limits if math.isfinite(one.flow)]
    limit = (
        np.array([one.flow * scale for one in known]),
        np.array([one.pressure_ratio for one in known]),
    )
    flow = way.corrected_flow * scale
    return SurgeSeries(
        name,
        found.run.time[-1] > duration - 1e-6,
        duration,
        found.run.time,
        flow,
        way.pressure_ratio,
        np.log(found.run.throttle_area),
        (x[max(split - 1, 0) :], y[max(split - 1, 0) :]),
        (x[:split], y[:split]),
        limit,
        f"small motions grow from here: {side_words(found.limit.gap)}",
        time_panels(found, duration, units),
        (float(min(flow.min(), 0.0)), float(max(flow.max(), x.max()))),
        (float(way.pressure_ratio.min()), float(max(way.pressure_ratio.max(), np.nanmax(y)))),
    )


def load_series(found: SceneRun, axes: MapAxes) -> LoadLines:
    """Load lines of a scene at the throttle openings that it passes.

    Parameters
    ----------
    found : SceneRun
        The scene.
    axes : MapAxes
        Axes of the map.
    """
    setup = found.setup
    areas = np.geomspace(setup.shut_area, setup.open_area, LOAD_AREAS)
    ambient = setup.plant.ambient_pressure
    row = setup.plant.rows[-1]
    highest = max(float(found.run.plenum_pressure.max()), row.pressure.value(row.surge_flow))
    pressures = np.linspace(ambient, LOAD_ABOVE * highest, LOAD_PRESSURES)
    lines = load_lines(setup, areas.tolist(), pressures.tolist())
    flow = np.maximum(lines.corrected_flow * axes.flow_scale, 1e-9)
    return LoadLines(np.log(areas), flow, lines.pressure_ratio)


def run_csv(found: SceneRun, units: Units = "si", about: Columns = ()) -> str:
    """CSV text of a run in time.

    Parameters
    ----------
    found : SceneRun
        The scene.
    units : Units
        Units shown.
    about : sequence of (str, str)
        Columns at the end that say the same in every row.
    """
    run, way = found.run, trail(found)
    bar, flow_unit = unit_of("boost", units), unit_of("mass_flow", units)
    columns = (
        ("time [s]", run.time),
        (f"flow [{flow_unit}]", _shown(run.flow, flow_unit, "mass_flow")),
        (f"before the throttle [{bar} abs]", _shown(run.plenum_pressure, bar, "pressure")),
        (f"manifold [{bar} abs]", _shown(run.manifold_pressure, bar, "pressure")),
        ("throttle open [%]", 100.0 * run.throttle_area / found.setup.open_area),
        ("bypass valve open [%]", 100.0 * run.valve_opening),
        ("engine speed [rpm]", run.engine_speed),
        ("impeller speed [rpm]", run.impeller_speed),
        ("corrected flow [kg/s]", way.corrected_flow),
        ("pressure ratio [-]", way.pressure_ratio),
    )
    return columns_csv(columns, about)
