"""What the fitted surface draws over the picture: speed lines and islands, traced or not."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor, log10
from typing import Final

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.surface import Surface
from engine_model.tracing.document import flow_scale
from engine_model.tracing.trace import Axes

Floats = NDArray[np.float64]

_LINES: Final = 8  # steps of speed between the lowest line and the highest, about
_PLACES: Final = 65  # along a line
_ROWS: Final = 41  # of speeds the islands are drawn on
_NEAR_SPEED: Final = 0.3  # of a step: so near a traced line none is predicted
_NEAR_LEVEL: Final = 0.004  # of efficiency: so near a traced island none is predicted
_LEVEL_STEP: Final = 0.02
_FINE_LEVELS: Final = 4  # with fewer the step is halved
_PEAK: Final = 0.002  # of efficiency: outlines nearer to the best place are dots


@dataclass(frozen=True, slots=True, eq=False)
class PredictedLine:
    """A speed line of the fit.

    Parameters
    ----------
    speed : float
        Corrected speed. [rpm]
    points : ndarray, shape (n, 2)
        Flow [in the axes' unit] and pressure ratio [-], from surge to choke.
    traced : bool
        Whether a line of this speed was traced.
    """

    speed: float
    points: Floats
    traced: bool


@dataclass(frozen=True, slots=True, eq=False)
class PredictedIsland:
    """An efficiency outline of the fit.

    Parameters
    ----------
    efficiency : float
        Efficiency. [-]
    pieces : tuple of ndarray, each of shape (n, 2)
        Flow [in the axes' unit] and pressure ratio [-].
    traced : bool
        Whether an island of this efficiency was traced.
    """

    efficiency: float
    pieces: tuple[Floats, ...]
    traced: bool


@dataclass(frozen=True, slots=True, eq=False)
class Overlay:
    """Everything the fit draws.

    Parameters
    ----------
    lines : tuple of PredictedLine
        By rising speed.
    islands : tuple of PredictedIsland
        By rising efficiency; empty where no efficiency was traced.
    """

    lines: tuple[PredictedLine, ...]
    islands: tuple[PredictedIsland, ...]


def overlay(surface: Surface, axes: Axes) -> Overlay:
    """Speed lines and islands of a fitted surface, to be drawn over the picture.

    Parameters
    ----------
    surface : Surface
        The fit.
    axes : Axes
        Of the picture: its flow unit is that of the points.

    Returns
    -------
    Overlay
        Those at traced values, and at round values between them.
    """
    scale = flow_scale(axes)
    place = np.linspace(0.0, 1.0, _PLACES)
    traced = surface.line_speeds.tolist()
    speeds = _round_speeds(traced)
    flow, ratio, _ = surface.line(np.array(speeds)[:, None], place)
    lines = tuple(
        PredictedLine(speed, np.column_stack([flow[n] / scale, ratio[n]]), speed in traced)
        for n, speed in enumerate(speeds)
    )
    return Overlay(lines, _islands(surface, scale, place))


def _round_speeds(traced: list[float]) -> list[float]:
    """Traced speeds [rpm] and round ones between them."""
    step = _nice((traced[-1] - traced[0]) / _LINES)
    some = np.arange(ceil(traced[0] / step), floor(traced[-1] / step) + 1) * step
    apart = np.abs(some[:, None] - np.array(traced)).min(axis=1)
    return sorted([*traced, *some[apart > _NEAR_SPEED * step].tolist()])


def _nice(step: float) -> float:
    """Step rounded up to 1, 2 or 5 times a power of ten."""
    power = 10.0 ** floor(log10(step))
    return float(power * next(m for m in (1.0, 2.0, 5.0, 10.0) if m * power >= 0.999 * step))


def _islands(surface: Surface, scale: float, place: Floats) -> tuple[PredictedIsland, ...]:
    import contourpy

    compressor_map = surface.compressor_map
    if not compressor_map.has_efficiency:
        return ()
    traced = sorted({island.efficiency for island in compressor_map.islands})
    rows = np.linspace(surface.line_speeds[0], surface.line_speeds[-1], _ROWS)
    flow, ratio, efficiency = surface.line(rows[:, None], place)
    maker = contourpy.contour_generator(
        flow / scale, ratio, efficiency, line_type=contourpy.LineType.Separate
    )
    low, high = float(efficiency.min()), float(efficiency.max()) - _PEAK
    islands = []
    for level in _round_levels(traced, low, high):
        pieces = tuple(np.asarray(piece) for piece in maker.lines(level))
        if pieces:
            islands.append(PredictedIsland(level, pieces, level in traced))
    return tuple(islands)


def _round_levels(traced: list[float], low: float, high: float) -> list[float]:
    """Traced efficiencies and round ones between the lowest and the highest."""
    step = _LEVEL_STEP if high - low > _FINE_LEVELS * _LEVEL_STEP else _LEVEL_STEP / 2.0
    some = np.arange(ceil(low / step + 1e-9), floor(high / step) + 1) * step
    fresh = [round(float(v), 4) for v in some]
    fresh = [v for v in fresh if not traced or min(abs(v - t) for t in traced) > _NEAR_LEVEL]
    return sorted([*traced, *fresh])
