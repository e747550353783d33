"""Fit of the surface to a traced compressor map."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator, RBFInterpolator

from engine_model.compressor.lines import (
    ShapedLine,
    isentropic_head,
    log_pressure_ratio,
    shape_lines,
)
from engine_model.compressor.map_data import CompressorMap
from engine_model.compressor.surface import (
    LEAST_FLOW_SHARE,
    LEAST_HEAD_SHARE,
    S_PER_UNIT,
    SPEED_NODES,
    SPEED_REACH,
    Surface,
)

Floats = NDArray[np.float64]

ASSUMED_EFFICIENCY = 0.70
"""Efficiency of a map without any [-]; chosen here, no source, shown as assumed."""

ISLAND_SMOOTHING = 1e-4
"""Smoothing of the radial basis in scaled coordinates [-]; 0.03 points median on known maps."""

_COARSE_SPEEDS, _COARSE_STEP = 33, 4


def _across(speeds: Floats, values: Floats, at: Floats) -> Floats:
    """Shape-preserving interpolation across speed, constant beyond the outer lines."""
    inside = np.clip(at, speeds[0], speeds[-1])
    return np.asarray(PchipInterpolator(speeds, values, axis=0)(inside))


def _surge_ends(
    lines: tuple[ShapedLine, ...], compressor_map: CompressorMap, speeds: Floats
) -> tuple[Floats, Floats]:
    """Surge flow over speed and surge head over speed squared at the nodes.

    The head coefficient runs straight from line to line; the flow is read off the traced
    surge line at that head, so that a surge line with more points than speed lines counts.
    """
    traced = np.array([line.corrected_speed for line in lines])
    psi = np.array([line.surge_head for line in lines]) / traced**2
    phi = np.array([line.surge_flow for line in lines]) / traced
    head = np.interp(speeds, traced, psi) * speeds**2
    curve = np.array(compressor_map.surge_line)
    curve_head = isentropic_head(curve[:, 1], compressor_map.reference_temperature)
    flow = np.interp(head, curve_head, curve[:, 0])
    with np.errstate(divide="ignore", invalid="ignore"):
        phi_nodes = flow / speeds
    covered = (head >= curve_head[0]) & (head <= curve_head[-1])
    covered &= (speeds >= traced[0]) & (speeds <= traced[-1])
    phi_nodes = np.where(covered, phi_nodes, np.interp(speeds, traced, phi))
    return phi_nodes, np.interp(speeds, traced, psi)


def _island_efficiency(compressor_map: CompressorMap, flow: Floats, ratio: Floats) -> Floats:
    """Efficiency read from the islands by a cubic radial basis."""
    points = np.vstack([p for island in compressor_map.islands for p in island.points])
    values = np.concatenate(
        [np.full(len(island.points), island.efficiency) for island in compressor_map.islands]
    )
    scale = np.ptp(points, axis=0)
    _, first = np.unique(np.round(points / scale, 9), axis=0, return_index=True)
    first = np.sort(first)
    basis = RBFInterpolator(
        points[first] / scale, values[first], kernel="cubic", smoothing=ISLAND_SMOOTHING
    )
    asked = np.column_stack([np.ravel(flow), np.ravel(ratio)]) / scale
    return np.asarray(basis(asked).reshape(flow.shape))


def _kept_inside(compressor_map: CompressorMap, efficiency: Floats) -> Floats:
    """Efficiency no lower than the outermost island, no higher than one above the innermost."""
    levels = np.unique([island.efficiency for island in compressor_map.islands])
    spacing = levels[-1] - levels[-2] if levels.size > 1 else 0.0
    return np.asarray(np.clip(efficiency, levels[0], levels[-1] + spacing))


def _efficiency(
    compressor_map: CompressorMap,
    lines: tuple[ShapedLine, ...],
    speeds: Floats,
    flow: Floats,
    log_ratio: Floats,
    head_shape: Floats,
    typed_efficiency: float,
) -> Floats:
    """Efficiency on the grid between surge and choke."""
    if compressor_map.lines_have_efficiency:
        traced = np.array([line.corrected_speed for line in lines])
        work_shape = _across(traced, np.array([line.work_shape for line in lines]), speeds)
        work_s = np.array([line.surge_work for line in lines]) / traced**2
        head_s = np.array([line.surge_head for line in lines]) / traced**2
        work_s = _across(traced, work_s, speeds)
        head_s = np.interp(np.clip(speeds, traced[0], traced[-1]), traced, head_s)
        return np.asarray(head_shape * (head_s / work_s)[:, None] / work_shape)
    if not compressor_map.islands:
        return np.full(flow.shape, typed_efficiency)
    # the basis is evaluated on a coarse grid, then carried over by a shape-preserving cubic
    traced = np.array([line.corrected_speed for line in lines])
    rows = np.linspace(traced[0], traced[-1], _COARSE_SPEEDS)
    index = np.clip(np.searchsorted(speeds, rows), 1, speeds.size - 1)
    share = (rows - speeds[index - 1]) / (speeds[index] - speeds[index - 1])
    columns = np.arange(0, flow.shape[1], _COARSE_STEP)

    def row_values(table: Floats, power: int) -> Floats:
        some = table[:, columns]
        mixed = some[index - 1] * (1.0 - share[:, None]) + some[index] * share[:, None]
        return np.asarray(mixed * rows[:, None] ** power)

    coarse = _island_efficiency(
        compressor_map, row_values(flow, 1), np.exp(row_values(log_ratio, 2))
    )
    fine = PchipInterpolator(columns, coarse, axis=1)(np.arange(flow.shape[1]))
    return _kept_inside(compressor_map, _across(rows, fine, speeds))


def fit_surface(
    compressor_map: CompressorMap, typed_efficiency: float = ASSUMED_EFFICIENCY
) -> Surface:
    """Fit the surface that carries a traced map from surge to choke and beyond.

    Parameters
    ----------
    compressor_map : CompressorMap
        The traced map.
    typed_efficiency : float
        Isentropic efficiency of a map that carries none. [-] 0.3-0.9

    Returns
    -------
    Surface
        Look-up of pressure ratio, efficiency, corrected speed, surge and choke flow.

    Notes
    -----
    Lines are resampled at equal s; flow and head shapes are interpolated across speed by
    shape-preserving cubics and scaled by the surge and choke ends, whose coefficients W/N and
    head/N^2 are functions of speed of their own and constant beyond the outer lines. Right of
    choke the flow stays and the head falls to nothing at s = 2 with the work kept; left of
    surge the head is kept.

    References
    ----------
    Similarity of compressors (equal flow and head coefficients); measured against left-out
    speed lines of NASA TM-107541 in the tests.
    """
    s = np.linspace(0.0, 1.0, S_PER_UNIT + 1)
    lines = shape_lines(compressor_map, s)
    traced = np.array([line.corrected_speed for line in lines])
    step = traced[-1] * SPEED_REACH / (SPEED_NODES - 1)
    speeds = np.arange(SPEED_NODES) * step
    phi_s, psi_s = _surge_ends(lines, compressor_map, speeds)
    phi_ch = _across(traced, np.array([ln.choke_flow for ln in lines]) / traced, speeds)
    flow_shape = _across(traced, np.array([ln.flow_shape for ln in lines]), speeds)
    head_shape = _across(traced, np.array([ln.head_shape for ln in lines]), speeds)
    t_ref = compressor_map.reference_temperature

    flow = phi_s[:, None] + flow_shape * (phi_ch - phi_s)[:, None]
    # ln PR over speed squared has a limit at no speed: head/(R T_ref)
    safe = np.where(speeds > 0.0, speeds, step * 1e-3)

    def per_square(head_coefficient: Floats) -> Floats:
        square = safe[:, None] ** 2
        return np.asarray(log_pressure_ratio(head_coefficient * square, t_ref) / square)

    log_ratio = per_square(psi_s[:, None] * head_shape)
    eta = _efficiency(compressor_map, lines, speeds, flow, log_ratio, head_shape, typed_efficiency)
    left = np.linspace(-2.0, 0.0, 2 * S_PER_UNIT + 1)[:-1]
    left_share = np.interp(left, [-2.0, -1.0, 0.0], [0.0, LEAST_FLOW_SHARE, 1.0])
    fall = np.maximum(1.0 - s[1:], LEAST_HEAD_SHARE)
    ones_left, ones_right = np.ones(left.size), np.ones(fall.size)
    flow_grid = np.hstack([phi_s[:, None] * left_share, flow, phi_ch[:, None] * ones_right])
    log_grid = np.hstack(
        [
            log_ratio[:, :1] * ones_left,
            log_ratio,
            per_square((psi_s * head_shape[:, -1])[:, None] * fall),
        ]
    )
    eta_grid = np.hstack([eta[:, :1] * ones_left, eta, eta[:, -1:] * fall])
    return Surface(
        compressor_map,
        np.ascontiguousarray(flow_grid).ravel(),
        np.ascontiguousarray(log_grid).ravel(),
        np.ascontiguousarray(eta_grid).ravel(),
        phi_s,
        phi_ch,
        step,
        traced,
        typed_efficiency,
    )
