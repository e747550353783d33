"""Speed lines made comparable: cut to the traced surge line, freed of speed, resampled."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from engine_model.air.gas import compress, inlet_gas, moist_air
from engine_model.compressor.map_data import CompressorMap, SpeedLine

Floats = NDArray[np.float64]


def isentropic_head(pressure_ratio: Floats, reference_temperature: float) -> Floats:
    """Isentropic enthalpy rise [J/kg] of dry air from the reference temperature [K]."""
    pr = np.asarray(pressure_ratio, dtype=float)
    inlet = inlet_gas(moist_air(np.zeros_like(pr)), np.full_like(pr, reference_temperature))
    return compress(inlet, np.log(pr), np.ones_like(pr))[1]


def log_pressure_ratio(head: Floats, reference_temperature: float) -> Floats:
    """Logarithm of the pressure ratio [-] that an isentropic head [J/kg] gives.

    A head below that of an expansion to a fifth of the temperature, as a mislabelled trace can
    ask, is read as that one.
    """
    h = np.asarray(head, dtype=float)
    air = moist_air(np.zeros_like(h))
    t1 = np.full_like(h, reference_temperature)
    h1 = air.enthalpy(t1)
    t2 = t1 + h / air.specific_heat(t1)
    least = 0.2 * t1
    for _ in range(4):
        t2 = np.maximum(t2, least)
        t2 = t2 + (h1 + h - air.enthalpy(t2)) / air.specific_heat(t2)
    t2 = np.maximum(t2, least)
    rise = air.entropy(t2, np.log(t2)) - air.entropy(t1, np.log(t1))
    return np.asarray(rise / air.gas_constant)


@dataclass(frozen=True, slots=True, eq=False)
class ShapedLine:
    """One speed line in numbers that hardly change with speed.

    Parameters
    ----------
    corrected_speed : float
        Corrected speed. [rpm]
    surge_flow, choke_flow : float
        Corrected flow at its ends. [kg/s]
    surge_head : float
        Isentropic head at surge. [J/kg]
    surge_work : float
        Actual enthalpy rise at surge, nan without efficiency. [J/kg]
    flow_shape : ndarray
        (W - W_s)/(W_ch - W_s) on the common parameter. [-]
    head_shape : ndarray
        head/head_s on the common parameter. [-]
    work_shape : ndarray
        work/work_s on the common parameter, nan without efficiency. [-]
    """

    corrected_speed: float
    surge_flow: float
    choke_flow: float
    surge_head: float
    surge_work: float
    flow_shape: Floats
    head_shape: Floats
    work_shape: Floats


def _crossing(a: Floats, b: Floats, curve: Floats) -> tuple[float, Floats] | None:
    """First crossing of the line through a and b with a polyline, at a + t (b - a)."""
    best: tuple[float, Floats] | None = None
    direction = b - a
    for c, d in pairwise(curve):
        side = d - c
        cross = direction[0] * side[1] - direction[1] * side[0]
        if abs(cross) < 1e-15:
            continue
        offset = c - a
        t = (offset[0] * side[1] - offset[1] * side[0]) / cross
        u = (offset[0] * direction[1] - offset[1] * direction[0]) / cross
        if -1e-9 <= u <= 1.0 + 1e-9 and (best is None or abs(t) < abs(best[0])):
            best = (float(t), a + t * direction)
    return best


def end_on_curve(points: Floats, curve: Floats) -> Floats:
    """Speed line whose first point lies on a traced limit, cut or prolonged along its end chord.

    Parameters
    ----------
    points : ndarray, shape (n, 2)
        Points of the line from the end in question inwards, in scaled axes. [-]
    curve : ndarray, shape (m, 2)
        The traced limit in the same axes. [-]

    Returns
    -------
    ndarray, shape (k, 2)
        The line from the limit inwards; unchanged where no crossing is within a tenth of the
        axes.

    Notes
    -----
    A line that starts beyond the limit is cut at the first segment that crosses it.

    Examples
    --------
    >>> line = np.array([[0.2, 1.0], [1.0, 1.0]]); limit = np.array([[0.1, 0.0], [0.1, 2.0]])
    >>> bool(np.allclose(end_on_curve(line, limit)[0], [0.1, 1.0]))
    True
    """
    for i in range(len(points) - 1):
        hit = _crossing(points[i], points[i + 1], curve)
        if hit is not None and 0.0 <= hit[0] < 1.0 and (i > 0 or hit[0] > 0.0):
            return np.vstack([hit[1], points[i + 1 :]])
    hit = _crossing(points[0], points[1], curve)
    if hit is None or hit[0] > 0.0 or np.hypot(*(hit[1] - points[0])) > 0.1:
        return points
    return np.vstack([hit[1], points]) if hit[0] < -1e-9 else points


def _merged(points: Floats) -> Floats:
    step = np.hypot(*np.diff(points[:, :2], axis=0).T)
    keep = np.concatenate([[True], step > 1e-9 * np.max(np.abs(points[:, :2]))])
    return np.asarray(points[keep])


def _cut_to_limits(line: SpeedLine, compressor_map: CompressorMap) -> Floats:
    """Points (flow, pressure ratio, efficiency) of a line from the surge line to choke."""
    flow, ratio = line.flow(), line.pressure_ratio()
    efficiency = np.asarray(line.efficiency or np.full(flow.size, np.nan), dtype=float)
    every = np.vstack([p for one in compressor_map.speed_lines for p in one.points])
    scale = np.array([every[:, 0].max(), np.ptp(every[:, 1])])
    points = np.column_stack([flow, ratio]) / scale
    points = end_on_curve(points, np.array(compressor_map.surge_line) / scale)
    if compressor_map.choke_line is not None:
        choke = np.array(compressor_map.choke_line) / scale
        points = end_on_curve(points[::-1], choke)[::-1]
    points = points * scale
    # efficiency is carried along by the place of each point between the old ones
    old = np.concatenate(
        [[0.0], np.cumsum(np.hypot(*(np.diff(np.column_stack([flow, ratio]) / scale, axis=0)).T))]
    )
    place = np.array(
        [
            old[np.argmin(np.hypot(*((np.column_stack([flow, ratio]) - p) / scale).T))]
            for p in points
        ]
    )
    eta = np.interp(place, old, efficiency)
    points = _merged(np.column_stack([points, eta]))
    if compressor_map.choke_line is None and np.all(np.isfinite(points[:, 2])):
        low = np.flatnonzero(points[:, 2] < CHOKE_EFFICIENCY)
        peak = int(np.argmax(points[:, 2]))
        low = low[low > peak]
        if low.size:
            i = int(low[0])
            share = (points[i - 1, 2] - CHOKE_EFFICIENCY) / (points[i - 1, 2] - points[i, 2])
            points = np.vstack([points[:i], points[i - 1] + share * (points[i] - points[i - 1])])
            points = _merged(points)
    return points


CHOKE_EFFICIENCY = 0.60
"""Efficiency that marks choke on a map without a choke line [-]; common practice 0.58-0.60."""


def shape_lines(compressor_map: CompressorMap, parameter: Floats) -> tuple[ShapedLine, ...]:
    """Speed lines cut to the traced limits and resampled on a common parameter.

    Parameters
    ----------
    compressor_map : CompressorMap
        The traced map.
    parameter : ndarray
        Common parameter s, 0 at surge and 1 at choke. [-]

    Returns
    -------
    tuple of ShapedLine
        By rising corrected speed.

    Notes
    -----
    s is the normalised arc length in (W/W_ch, head/head_s): the choke end of a line is
    vertical in flow, so pressure ratio is not a function of flow.

    References
    ----------
    Similarity of compressors: at equal flow and head coefficients W/N and head/N^2 stay.
    """
    shaped = []
    t_ref = compressor_map.reference_temperature
    for line in compressor_map.speed_lines:
        points = _cut_to_limits(line, compressor_map)
        head = isentropic_head(points[:, 1], t_ref)
        work = head / points[:, 2]
        flow = points[:, 0]
        choke_flow = float(flow[-1])
        x = np.maximum.accumulate((flow - flow[0]) / (choke_flow - flow[0]))
        x = np.minimum(x, 1.0)
        step = np.hypot(np.diff(flow) / choke_flow, np.diff(head / head[0]))
        s = np.concatenate([[0.0], np.cumsum(step)])
        s /= s[-1]
        with_work = bool(np.all(np.isfinite(work)))
        shaped.append(
            ShapedLine(
                line.corrected_speed,
                float(flow[0]),
                choke_flow,
                float(head[0]),
                float(work[0]),
                PchipInterpolator(s, x)(parameter),
                PchipInterpolator(s, head / head[0])(parameter),
                PchipInterpolator(s, work / work[0])(parameter)
                if with_work
                else np.full_like(parameter, np.nan),
            )
        )
    return tuple(shaped)
