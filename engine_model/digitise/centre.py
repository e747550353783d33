"""A rough path drawn onto the middle of the ink it follows, to a fraction of a pixel."""

from __future__ import annotations

from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from engine_model.digitise.clean import Ink, Singles
from engine_model.digitise.strip import Guide, between, evenly, guide_of, likeness, pixels_near

Floats = NDArray[np.float64]

STIFFNESS: Final = 10.0
"""Length below which a path does not follow the wander of the ink [pixel]; chosen here."""

STEP: Final = 2.0
"""From point to point of a path [pixel]; chosen here."""

_CELL: Final = 0.5  # across the strip [pixel]
_WINDOW: Final = 1.9  # half width of the window about the middle [pixel]
_ALONG: Final = 2.0  # the strip is smoothed along the path over so much [pixel]
_CLICK_PULL: Final = 0.1  # weight of a click beside that of well seen ink
_LEAST_PULL: Final = 0.001  # weight of the path as it came
_WANDER: Final = 0.4  # spread about the run that is never taken for other ink [pixel]
_PLIANT: Final = 1e-3  # stiffness where a free stretch begins or ends, over that elsewhere
_FLOOR: Final = 0.08  # likeness taken for paper


def centred(
    ink: Ink,
    path: Floats,
    clicks: Floats,
    reference: Singles,
    closed: bool,
    held: Floats,
    reach: float,
) -> tuple[Floats, Floats]:
    """Path moved across itself onto the middle of the ink.

    Parameters
    ----------
    ink : Ink
        The prepared picture.
    path : ndarray, shape (n, 2)
        Points `STEP` apart near the curve. [pixel]
    clicks : ndarray, shape (k, 2)
        What the path was led by; where no ink is seen they count, at the ends of an open path
        three times as much. [pixel]
    reference : ndarray, shape (4,)
        Ink of the curve. [-]
    closed : bool
        Whether the path returns to its start (which is not repeated).
    held : ndarray, shape (n,)
        1 where a point must stay as it is (a free stretch), 0 elsewhere. [-]
    reach : float
        How far across the path to look. [pixel]

    Returns
    -------
    path : ndarray, shape (n, 2)
        The path on the middle of the ink, smooth. [pixel]
    seen : ndarray, shape (n,)
        How well the ink was seen at each point. [-] 0-1

    Notes
    -----
    Centroid in a window that is drawn to the middle (mean shift), then a smoothing by squared
    third differences of the path (after Whittaker) with weights that fade for places off the
    common run; a gap is bridged with a steady bend.
    """
    from scipy.ndimage import gaussian_filter1d

    guide = guide_of(path, closed)
    across = np.arange(-round(reach / _CELL), round(reach / _CELL) + 1) * _CELL
    places = guide.points[:, None, :] + guide.normals[:, None, :] * across[:, None]
    x, y = places[..., 0], places[..., 1]
    found = likeness(between(ink.layers, x, y), reference)
    known = 1.0 - ink.erased.ravel()[pixels_near(ink.shape, x, y)].astype(np.float32)
    mode: Literal["wrap", "nearest"] = "wrap" if closed else "nearest"
    found = gaussian_filter1d(found * known, _ALONG / STEP, axis=0, mode=mode)
    known = gaussian_filter1d(known, _ALONG / STEP, axis=0, mode=mode)
    strength = np.maximum(found / np.maximum(known, 0.2) - _FLOOR, 0.0)
    middle = np.zeros(len(path))
    for _ in range(6):
        window = np.exp(-0.5 * ((across - middle[:, None]) / _WINDOW) ** 2)
        mass = np.sum(strength * window, axis=1)
        middle = np.sum(strength * window * across, axis=1) / np.maximum(mass, 1e-6)
    window = np.exp(-0.5 * ((across - middle[:, None]) / _WINDOW) ** 2)
    mass = np.sum(strength * window, axis=1) * _CELL
    sure = np.sum(known * window, axis=1) / np.sum(window, axis=1)
    full = max(float(np.quantile(mass, 0.7)), 0.2)
    seen = np.clip(mass / full, 0.0, 1.0) * sure**2 * (np.abs(middle) < reach - 1.0)
    seen = seen * (1.0 - held)
    pull, towards = _pulls(guide, clicks, closed)
    offset = _smoothed(middle, seen, held, (pull, towards), _bend(guide, closed), closed)
    return guide.at(offset), np.asarray(seen)


def _pulls(guide: Guide, clicks: Floats, closed: bool) -> tuple[Floats, Floats]:
    """Weight of the clicks at each point of a path, and the offset they ask for [pixel]."""
    pull, towards = np.full(len(guide.points), _LEAST_PULL), np.zeros(len(guide.points))
    for number, click in enumerate(clicks):
        apart = click - guide.points
        row = int(np.argmin(apart[:, 0] ** 2 + apart[:, 1] ** 2))
        at_end = not closed and number in (0, len(clicks) - 1)
        pull[row] = 3.0 * _CLICK_PULL if at_end else _CLICK_PULL
        towards[row] = float(apart[row] @ guide.normals[row])
    return pull, np.clip(towards, -4.0, 4.0)


def _bend(guide: Guide, closed: bool) -> Floats:
    """Second difference of a path across itself [pixel]."""
    points = guide.points
    bend = np.zeros_like(points)
    bend[1:-1] = points[2:] - 2.0 * points[1:-1] + points[:-2]
    if closed:
        bend[0] = points[1] - 2.0 * points[0] + points[-1]
        bend[-1] = points[0] - 2.0 * points[-1] + points[-2]
    return np.asarray(np.sum(bend * guide.normals, axis=1))


def _smoothed(
    offset: Floats,
    weight: Floats,
    held: Floats,
    pulls: tuple[Floats, Floats],
    bend: Floats,
    closed: bool,
) -> Floats:
    """Smooth run of measured offsets [pixel], places off the run counting less.

    What is smooth is the moved path, whose second difference is the path's plus the offset's.
    """
    count = len(offset)
    if count < 8:
        return offset
    wrap = min(count, 60) if closed else 0
    order = np.arange(-wrap, count + wrap) % count
    value, base, fixed = offset[order], weight[order], held[order]
    pull, towards = pulls[0][order] + 1e3 * fixed, np.where(fixed > 0.0, 0.0, pulls[1][order])
    # at the ends of a free stretch the path may turn
    runs_on = np.ptp(np.lib.stride_tricks.sliding_window_view(fixed, 4), axis=1) == 0.0
    stiffness = (STIFFNESS / STEP) ** 6 * np.where(runs_on, 1.0, _PLIANT)
    now = base.copy()
    run = value
    for _ in range(4):
        both = now + pull
        asked = (now * value + pull * towards) / both
        run = _whittaker(asked, both, bend[order], stiffness)
        rest = value - run
        some = base > 0.3
        spread = 1.4826 * float(np.median(np.abs(rest[some]))) if np.any(some) else 0.0
        now = base / (1.0 + (rest / (2.5 * max(spread, _WANDER))) ** 2) ** 2
    return np.asarray(run[wrap : wrap + count])


def _whittaker(value: Floats, weight: Floats, bend: Floats, stiffness: Floats) -> Floats:
    """Least squares of weighted misfit and of the change of bend of the moved path."""
    from scipy.linalg import solveh_banded

    count = len(value)
    # third differences: the sum of outer products of (-1, 3, -3, 1)
    pattern = np.array([-1.0, 3.0, -3.0, 1.0])
    bands = np.zeros((4, count))
    push = np.zeros(count)
    # the ends of the bend are not known: its change there is left out
    change = np.concatenate([[0.0], np.diff(bend[1:-1]), [0.0]])[: count - 3]
    for first in range(4):
        rows = slice(first, count - 3 + first)
        push[rows] += pattern[first] * stiffness * change
        for second in range(first, 4):
            apart = second - first
            product = pattern[first] * pattern[second]
            bands[3 - apart, second : count - 3 + second] += product * stiffness
    bands[3] += weight
    return np.asarray(solveh_banded(bands, weight * value - push))


def spaced(points: Floats) -> Floats:
    """Points a step apart along a line, shape (n, 2) [pixel]."""
    return evenly(points, STEP)
