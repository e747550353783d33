"""A scene of surge as it lies on the compressor map: trail, characteristic, load line."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.compressor.surge_orifice import two_way_orifice
from engine_model.studies.surge_run import SceneRun
from engine_model.studies.surge_setup import SurgeSetup

Floats = NDArray[np.float64]

NODES = 161
BACK_SHARE = 0.5
"""Reverse flow drawn, over the surge flow [-]."""

FLOW_HALVINGS = 22
"""Halvings of a search for a flow: to a millionth of the choke flow."""


class OnMap(NamedTuple):
    """A curve on the map's axes.

    Parameters
    ----------
    corrected_flow : ndarray
        Flow. [kg/s] below 0 where it is reversed
    pressure_ratio : ndarray
        Pressure before the throttle over that at the compressor's inlet. [-]
    """

    corrected_flow: Floats
    pressure_ratio: Floats


def _placed(setup: SurgeSetup, flow: ArrayLike, pressure: ArrayLike) -> OnMap:
    """Place on the map of flows [kg/s] and pressures before the throttle [Pa]."""
    w = np.asarray(flow, dtype=float)
    plant = setup.plant
    inlet = plant.ambient_pressure - plant.inlet_factor * w * np.abs(w)
    corrected = w * setup.to_corrected * plant.ambient_pressure / inlet
    return OnMap(np.asarray(corrected), np.asarray(np.asarray(pressure, dtype=float) / inlet))


def trail(found: SceneRun) -> OnMap:
    """Way of the operating point over the map in a scene.

    Parameters
    ----------
    found : SceneRun
        The scene.

    Returns
    -------
    OnMap
        Of the length of the run. Pressure is counted after the charge cooler, so that a settled
        point lies under its speed line by the cooler's loss. [SI]

    References
    ----------
    Corrected flow at the beginning's inlet temperature.
    """
    return _placed(found.setup, found.run.flow, found.run.plenum_pressure)


def driven_curve(setup: SurgeSetup, count: int = NODES) -> OnMap:
    """Characteristic of compressor, filter and cooler from reverse flow to choke.

    Parameters
    ----------
    setup : SurgeSetup
        The build made ready.
    count : int
        Points.

    Returns
    -------
    OnMap
        Left of the surge flow it is an estimate. [SI]

    References
    ----------
    :mod:`engine_model.compressor.surge_characteristic`.
    """
    row = setup.plant.rows[-1]
    flow = np.linspace(-BACK_SHARE * row.surge_flow, row.choke_flow, count)
    return _placed(setup, flow, row.pressure.values(flow))


def load_line(setup: SurgeSetup, throttle_area: float, count: int = NODES) -> OnMap:
    """Pressure that throttle and engine ask for a flow, standing still.

    Parameters
    ----------
    setup : SurgeSetup
        The build made ready.
    throttle_area : float
        Effective throttle area. [m2]
    count : int
        Points.

    Returns
    -------
    OnMap
        It meets :func:`driven_curve` in the settled point. [SI] nan where no pressure would do

    References
    ----------
    Heywood, 1st ed., appendix C, eq. (C.8) and (C.9), solved for the pressure upstream.
    """
    plant, row = setup.plant, setup.plant.rows[-1]
    orifice = two_way_orifice(plant.gamma, plant.even_share)
    ambient, engine = plant.ambient_pressure, plant.engine
    flows = np.linspace(0.0, row.choke_flow, count)
    highest = 10.0 * ambient
    pressures = []
    for flow in flows.tolist():
        part = throttle_area * row.thinness.value(flow)
        low, high = 0.0, highest
        for _ in range(60):
            middle = 0.5 * (low + high)
            behind = ambient
            if engine is not None:
                outside = engine.behind(middle, ambient)
                behind = engine.pressure(row.swallowing.value(flow), flow, outside)
            low, high = (middle, high) if orifice(part, middle, behind) < flow else (low, middle)
        pressures.append(math.nan if high == highest else 0.5 * (low + high))
    return _placed(setup, flows, pressures)


def load_lines(
    setup: SurgeSetup, throttle_areas: Sequence[float], pressures: Sequence[float]
) -> OnMap:
    """Flow that throttle and engine take at pressures before the throttle, standing still.

    Parameters
    ----------
    setup : SurgeSetup
        The build made ready.
    throttle_areas : sequence of float
        Effective throttle areas. [m2]
    pressures : sequence of float
        Absolute pressures before the throttle. [Pa]

    Returns
    -------
    OnMap
        A row an area, a column a pressure: the same curves as :func:`load_line`, along the other
        axis, so that what lies between two areas can be interpolated. [SI]

    References
    ----------
    Heywood, 1st ed., appendix C, eq. (C.8) and (C.9), solved for the flow.
    """
    plant, row = setup.plant, setup.plant.rows[-1]
    orifice = two_way_orifice(plant.gamma, plant.even_share)
    ambient, engine = plant.ambient_pressure, plant.engine
    most = 1.5 * row.choke_flow
    flows = np.empty((len(throttle_areas), len(pressures)))
    for k, area in enumerate(throttle_areas):
        for j, pressure in enumerate(pressures):
            outside = ambient if engine is None else engine.behind(pressure, ambient)
            low, high = 0.0, most
            for _ in range(FLOW_HALVINGS):
                flow = 0.5 * (low + high)
                behind = ambient
                if engine is not None:
                    behind = engine.pressure(row.swallowing.value(flow), flow, outside)
                passed = orifice(area * row.thinness.value(flow), pressure, behind)
                low, high = (flow, high) if passed > flow else (low, flow)
            flows[k, j] = 0.5 * (low + high)
    return _placed(setup, flows, np.broadcast_to(np.asarray(pressures, dtype=float), flows.shape))
