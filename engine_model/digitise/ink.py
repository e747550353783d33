"""Curves of a pictured compressor map that follow the printed ink between clicks.

All places are pixels of a straightened picture; :meth:`Straightened.to_values` turns them into
flow and pressure ratio.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.digitise.centre import centred, spaced
from engine_model.digitise.clean import Ink, Singles
from engine_model.digitise.snap import snap_to_ink as snap_to_ink  # offered here too
from engine_model.digitise.strip import (
    Guide,
    evenly,
    guide_of,
    ink_at,
    lengths,
    likeness,
    pixels_near,
    through,
)
from engine_model.digitise.walk import STRIDE, walk
from engine_model.errors import InputError

Floats = NDArray[np.float64]

CLICK_REACH: Final = 4.0
"""How far from a click its curve is sought [pixel]; chosen here, clicks wander by 1.5."""

_WIDENING: Final = 1.2  # of the strip with distance from a click
_SHARE: Final = 0.06  # half width of a straight strip over the length between clicks
_SHARE_TURN: Final = 0.3  # more of it a radian that the strip turns
_MOST_SHARE: Final = 0.3
_WIDEST: Final = 100.0  # half width of a strip [pixel]
_MOST_CELLS: Final = 40  # of half a strip, unless it is very wide
_MOST_STEPS: Final = 80  # of a stretch between clicks, unless it is very long
_HIDDEN_PRICE: Final = 0.7  # of a place under a grid line or under heavier ink
_LEAST_PRICE: Final = 0.12  # of a place in the middle of the ink: a detour is never free
_REACHES: Final = (6.0, 4.0, 4.0)  # across the path, drawn onto the ink again and again [pixel]
_GAP: Final = 12.0  # longest gap between dashes [pixel]
_GAP_WORTH: Final = 0.7  # likeness of such a gap over that of the dashes
_LONGEST: Final = 4.0  # curve that is followed, over the picture's height and width
_OVERLAP: Final = 40  # steps a closed curve is walked beyond its ends


@dataclass(frozen=True, slots=True, eq=False)
class Followed:
    """A path along the ink.

    Parameters
    ----------
    points : ndarray, shape (n, 2)
        Evenly along it; a closed path does not repeat its first. [pixel]
    seen : ndarray, shape (n,)
        How well the ink was seen: 0 in a gap or on a free stretch. [-] 0-1
    closed : bool
        Whether the last point is followed by the first.
    """

    points: Floats
    seen: Floats
    closed: bool


def follow_curve(
    ink: Ink, clicks: ArrayLike, closed: bool = False, free: Sequence[bool] = ()
) -> Followed:
    """Path through clicks that follows the ink between them.

    Parameters
    ----------
    ink : Ink
        The prepared picture.
    clicks : array_like, shape (k, 2)
        On or near the curve, in order; two or more, closed three or more. [pixel]
    closed : bool
        Whether the curve returns to its first click.
    free : sequence of bool
        For each stretch between clicks, whether it is drawn smoothly without following; none
        if empty. A closed curve has as many stretches as clicks, an open one fewer by one.

    Returns
    -------
    Followed
        The path on the middle of the ink.

    Notes
    -----
    The clicks say roughly where the curve is; none is passed through exactly.
    """
    table = _clicks(clicks, closed)
    stretches = len(table) - (0 if closed else 1)
    flags = tuple(bool(one) for one in free) or (False,) * stretches
    if len(flags) != stretches:
        raise InputError("trace.free", len(flags), f"{stretches} flags, one a stretch")
    line, place = through(table, closed)
    found = _references(ink, table, flags, closed)
    return _followed(ink, table, line, place, flags, closed, found)


def follow_segment(
    ink: Ink,
    start: ArrayLike,
    end: ArrayLike,
    before: ArrayLike | None = None,
    after: ArrayLike | None = None,
    free: bool = False,
) -> Followed:
    """Path between two clicks, live while the pointer moves.

    Parameters
    ----------
    ink : Ink
        The prepared picture.
    start, end : array_like, shape (2,)
        The clicks. [pixel]
    before, after : array_like, shape (2,), optional
        Clicks of the curve before and after them, which bend the way. [pixel]
    free : bool
        Whether to draw it smoothly without following.

    Returns
    -------
    Followed
        The path, open.
    """
    parts = [part for part in (before, start, end, after) if part is not None]
    table = _clicks(np.array([np.asarray(part, dtype=float) for part in parts]), False)
    first = 0 if before is None else 1
    line, place = through(table, False)
    kept = (lengths(line) >= place[first] - 1e-9) & (lengths(line) <= place[first + 1] + 1e-9)
    cut = np.array([0.0, place[first + 1] - place[first]])
    found = _references(ink, table, (free,) * (len(table) - 1), False)
    return _followed(ink, table[first : first + 2], line[kept], cut, (free,), False, found)


def _clicks(clicks: ArrayLike, closed: bool) -> Floats:
    table = np.asarray(clicks, dtype=float)
    least = 3 if closed else 2
    if table.ndim != 2 or table.shape[1] != 2 or len(table) < least:
        raise InputError("trace.clicks", np.shape(table), f"{least} places or more")
    if not np.all(np.isfinite(table)):
        raise InputError("trace.clicks", clicks, "finite places")
    apart = np.hypot(*np.diff(table, axis=0).T) > 0.5
    kept = np.append(True, apart)
    if not np.all(kept):
        raise InputError("trace.clicks", clicks, "places half a pixel or more apart")
    return table


def _references(
    ink: Ink, clicks: Floats, free: Sequence[bool], closed: bool
) -> tuple[Singles, ...]:
    """Inks the clicks lie on, most frequent first; what occurs by chance is dropped."""
    flags = np.array(free)
    before = np.roll(flags, 1) if closed else np.append(True, flags)
    after = flags if closed else np.append(flags, True)
    found = ink_at(ink, clicks[~(before & after)], CLICK_REACH)
    kept: list[tuple[int, Singles]] = []
    left = np.ones(len(found), dtype=bool)
    while np.any(left):
        rest = found[left]
        alike = np.array([likeness(rest, one) > 0.6 for one in rest])
        best = int(np.argmax(alike.sum(axis=1)))
        kept.append((int(alike[best].sum()), np.median(rest[alike[best]], axis=0)))
        left[np.flatnonzero(left)[alike[best]]] = False
    return tuple(ref for count, ref in kept if 2 * count >= kept[0][0])


def _followed(
    ink: Ink,
    clicks: Floats,
    line: Floats,
    place: Floats,
    free: Sequence[bool],
    closed: bool,
    references: tuple[Singles, ...],
) -> Followed:
    """Follow along a smooth line whose clicks lie at known lengths."""
    total = float(place[-1])
    if not references or all(free) or total > _LONGEST * sum(ink.shape):
        points = spaced(line)
        points = points[:-1] if closed else points
        return Followed(points, np.zeros(len(points)), closed)
    most = _most_width(line, place)
    longest = float(np.max(np.diff(place))) / (STRIDE * _MOST_STEPS)
    cell = min(2.0, max(1.0, float(most.max()) / _MOST_CELLS, longest))
    steps = max(2, round(total / (STRIDE * cell)) + 1)
    fine = evenly(line, total / (STRIDE * (steps - 1)))
    guide = guide_of(fine[:-1], True) if closed else guide_of(fine)
    at = np.linspace(0.0, total, steps)[: steps - 1 if closed else steps]
    width = _half_width(at, place, free, most)
    overlap = min(_OVERLAP, steps // 2) if closed else 0
    order = np.arange(-overlap, len(at) + overlap) % len(at)
    cells = np.arange(-STRIDE * overlap, STRIDE * (len(at) + overlap - 1) + 1)
    if closed:
        guide = Guide(
            guide.points[cells % len(guide.points)], guide.normals[cells % len(guide.points)]
        )
    cells_aside = int(np.ceil(float(width.max()) / cell))
    price = _prices(ink, guide, cell, cells_aside, references)
    offset = cell * walk(price, width[order] / cell)
    path, held = _rough(guide, offset, at[order], place, free, overlap, closed)
    reference = _reference_along(ink, path, references)
    for reach in _REACHES:
        path, seen = centred(ink, path, clicks, reference, closed, held, reach)
    return Followed(path, seen * (held == 0.0), closed)


def _most_width(line: Floats, place: Floats) -> Floats:
    """How far the curve may be from the line at most, for each stretch between clicks."""
    stretches = np.diff(place)
    if len(stretches) == 1:
        share = np.array([_MOST_SHARE])  # two clicks tell nothing of a bend
    else:
        along = np.diff(line, axis=0)
        heading = np.unwrap(np.arctan2(along[:, 1], along[:, 0]))
        at = np.interp(place, lengths(line)[1:], heading)
        share = np.minimum(_MOST_SHARE, _SHARE + _SHARE_TURN * np.abs(np.diff(at)))
    return np.asarray(np.minimum(_WIDEST, share * stretches + 8.0))


def _half_width(at: Floats, place: Floats, free: Sequence[bool], most: Floats) -> Floats:
    """How far the curve may be from the line through the clicks, at lengths along it."""
    stretch = np.clip(np.searchsorted(place, at, side="right") - 1, 0, len(free) - 1)
    near = np.minimum(at - place[stretch], place[stretch + 1] - at)
    width = np.minimum(CLICK_REACH + _WIDENING * np.maximum(near, 0.0), most[stretch])
    return np.where(np.array(free)[stretch], 0.0, width)


def _prices(
    ink: Ink, guide: Guide, cell: float, reach: int, references: tuple[Singles, ...]
) -> Singles:
    """Price of each cell of the strip along a guide."""
    parts = 2 if cell > 1.2 else 1
    across = np.arange(-reach * parts - (parts - 1), reach * parts + parts) * (cell / parts)
    places = guide.points[:, None, :] + guide.normals[:, None, :] * across[:, None]
    x, y = places[..., 0], places[..., 1]
    pixels = pixels_near(ink.shape, x, y)
    layers = ink.layers.reshape(-1, 4)[pixels]
    found = likeness(layers, references[0])
    for reference in references[1:]:
        found = np.maximum(found, likeness(layers, reference))
    if parts == 2:
        # each cell has its own place and half of either neighbour's
        found = np.maximum(found[:, 1::2], np.maximum(found[:, :-1:2], found[:, 2::2]))
        pixels = pixels[:, 1::2]
    found = _bridged(found, cell)
    erased = ink.erased.ravel()[pixels]
    # other ink, thick enough for the curve to run beneath it
    heavy = layers[..., 3] > min(float(one[3]) for one in references)
    hidden = erased | (heavy[:, 1::2] if parts == 2 else heavy)
    price = np.where(hidden, np.float32(_HIDDEN_PRICE), np.float32(1.0)) - found
    return np.asarray(np.maximum(price, np.float32(_LEAST_PRICE)), dtype=np.float32)


def _bridged(found: Singles, cell: float) -> Singles:
    """Likeness with short gaps along the strip filled, as between dashes."""
    from scipy.ndimage import maximum_filter1d

    gap = max(1, round(_GAP / cell))
    near = maximum_filter1d(found, 3, axis=1)
    ahead = maximum_filter1d(near, gap + 1, 0, mode="constant", origin=-(gap // 2))
    behind = maximum_filter1d(near, gap + 1, 0, mode="constant", origin=gap // 2)
    return np.maximum(found, _GAP_WORTH * np.minimum(ahead, behind))


def _rough(
    guide: Guide,
    offset: Floats,
    at: Floats,
    place: Floats,
    free: Sequence[bool],
    overlap: int,
    closed: bool,
) -> tuple[Floats, Floats]:
    """Walked path smoothed, and which of its points are held."""
    from scipy.ndimage import gaussian_filter1d

    stretch = np.clip(np.searchsorted(place, at, side="right") - 1, 0, len(free) - 1)
    flags = np.array(free)[stretch]
    smooth = np.where(flags, 0.0, gaussian_filter1d(offset, 1.5, mode="nearest"))
    rows = np.arange(len(guide.points)) / STRIDE
    points = guide.at(np.interp(rows, np.arange(len(smooth)), smooth))
    held = flags[np.minimum(np.rint(rows).astype(int), len(flags) - 1)].astype(float)
    if closed:
        kept = slice(STRIDE * overlap, len(points) - STRIDE * overlap + STRIDE - 1)
        points, held = points[kept], held[kept]
        points, held = np.vstack([points, points[:1]]), np.append(held, held[0])
    length = lengths(points)
    path = spaced(points)
    held = np.interp(np.linspace(0.0, length[-1], len(path)), length, held) > 0.5
    path = path[:-1] if closed else path
    return path, held[: len(path)].astype(float)


def _reference_along(ink: Ink, path: Floats, references: tuple[Singles, ...]) -> Singles:
    """Ink found most often along a path, among those the clicks lie on."""
    found = ink_at(ink, path[::3], 2.0)
    if not len(found):
        return references[0]
    alike = [likeness(found, reference) > 0.4 for reference in references]
    counts = [int(one.sum()) for one in alike]
    best = int(np.argmax(counts))
    if counts[best] < 3:
        return references[best]
    return np.asarray(np.median(found[alike[best]], axis=0), dtype=np.float32)
