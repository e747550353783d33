"""A click near a corner of the frame, or near where two lines cross, put exactly there."""

from __future__ import annotations

from itertools import combinations
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

REACH: Final = 12.0
"""How far from a click a crossing is sought [pixel]; chosen here."""

_ARM: Final = 16.0  # how far beyond the reach the lines are looked at [pixel]
_ANGLE_STEP: Final = 2.0  # of the directions tried [degree]
_LEAST_ANGLE: Final = 50.0  # between the two lines [degree]
_CANDIDATES: Final = 8  # lines kept
_LEAST_INK: Final = 5.0  # of a line over both arms: pixels of full ink
_STRAIGHT: Final = 0.15  # how far from a straight line its ink may seem [pixel]
_ACROSS: Final = np.arange(-4.0, 4.25, 0.5)  # a line's ink is gathered over [pixel]


def snap_to_crossing(
    picture: NDArray[np.uint8], click: ArrayLike, reach: float = REACH
) -> Floats | None:
    """Place where two printed lines cross or meet, near a click.

    Parameters
    ----------
    picture : ndarray of uint8, shape (height, width, 3)
        The picture as it was opened; it may be turned or seen at an angle.
    click : array_like, shape (2,)
        Where it was clicked. [pixel]
    reach : float
        How far the crossing may be. [pixel]

    Returns
    -------
    ndarray, shape (2,) or None
        Where the middles of the two lines meet, to a fraction of a pixel; None where no two
        lines cross near the click.

    Notes
    -----
    Lines are sought by their sums along every direction (a small Hough transform); of the pairs
    that meet near the click the one with most ink, close to it, is taken. Each line is then
    fitted to the middle of its ink along both arms, without the crossing itself.
    """
    place = np.asarray(click, dtype=float).reshape(2)
    height, width = picture.shape[:2]
    if not (np.all(np.isfinite(place)) and np.all(place >= 0.0)):
        return None
    if place[0] > width - 1 or place[1] > height - 1:
        return None
    side = int(np.ceil(reach + _ARM))
    middle = np.rint(place).astype(int)
    rows = slice(max(middle[1] - side, 0), middle[1] + side + 1)
    columns = slice(max(middle[0] - side, 0), middle[0] + side + 1)
    strength = _strength(picture[rows, columns])
    corner = np.array([columns.start, rows.start], dtype=float)
    found = _crossing(strength, place - corner, reach)
    return None if found is None else np.asarray(found + corner)


def _strength(piece: NDArray[np.uint8]) -> Floats:
    """Ink of a small piece of picture against its paper, 0 to 1."""
    from scipy.ndimage import gaussian_filter

    values = piece.astype(np.float64) / 255.0
    paper = np.median(values.reshape(-1, 3), axis=0)
    size = np.sqrt(np.sum((values - paper) ** 2, axis=-1) / 3.0)
    bare = float(np.quantile(size, 0.3))
    size = np.maximum(gaussian_filter(size, 0.7) - 1.5 * bare, 0.0)
    top = float(np.quantile(size, 0.98))
    return np.minimum(size / top, 1.0) if top > 0.04 else np.zeros_like(size)


def _crossing(strength: Floats, place: Floats, reach: float) -> Floats | None:
    best: tuple[float, Floats] | None = None
    for first, second in combinations(_lines(strength, place, reach), 2):
        turn = abs(first[0] - second[0]) % 180.0
        if min(turn, 180.0 - turn) < _LEAST_ANGLE:
            continue
        meeting = place + _meet(first, second)
        apart = float(np.hypot(*(meeting - place)))
        if apart > reach:
            continue
        worth = min(first[2], second[2]) * (1.0 - 0.5 * (apart / reach) ** 2)
        if best is None or worth > best[0]:
            refined = _refined(strength, place, first, second, meeting)
            if refined is not None and np.hypot(*(refined - place)) <= reach + 1.0:
                best = worth, refined
    return None if best is None else best[1]


def _lines(strength: Floats, place: Floats, reach: float) -> list[tuple[float, float, float]]:
    """Strongest lines near a place: direction [degree], offset [pixel], ink."""
    down, across = np.nonzero(strength > 0.1)
    weight = strength[down, across]
    x, y = across - place[0], down - place[1]
    inside = np.hypot(x, y) <= reach + _ARM
    x, y, weight = x[inside], y[inside], weight[inside]
    half = int(np.ceil(reach)) + 8
    angles = np.arange(0.0, 180.0, _ANGLE_STEP)
    ink = np.zeros((angles.size, 2 * half + 1))
    for row, angle in enumerate(np.radians(angles)):
        offset = np.rint(y * np.cos(angle) - x * np.sin(angle)).astype(int) + half
        kept = (offset >= 0) & (offset <= 2 * half)
        ink[row] = np.bincount(offset[kept], weight[kept], 2 * half + 1)
    # a line is thin: what lies beside it is no part of it
    ridge = ink.copy()
    ridge[:, 5:-5] -= 0.5 * (ink[:, :-10] + ink[:, 10:])
    ridge[:, :5] = ridge[:, -5:] = 0.0
    found = []
    for _ in range(_CANDIDATES):
        row, column = divmod(int(np.argmax(ridge)), ridge.shape[1])
        if ridge[row, column] < _LEAST_INK:
            break
        found.append((float(angles[row]), float(column - half), float(ridge[row, column])))
        for turned in range(row - 5, row + 6):
            # a line turned past half a circle has its offset reversed
            middle = column if 0 <= turned < angles.size else 2 * half - column
            ridge[turned % angles.size, max(middle - 3, 0) : middle + 4] = 0.0
    return found


def _meet(first: tuple[float, float, float], second: tuple[float, float, float]) -> Floats:
    """Where two lines meet, from the place their offsets count from."""
    angles = np.radians([first[0], second[0]])
    normals = np.column_stack([-np.sin(angles), np.cos(angles)])
    return np.linalg.solve(normals, np.array([first[1], second[1]]))


def _refined(
    strength: Floats,
    place: Floats,
    first: tuple[float, float, float],
    second: tuple[float, float, float],
    meeting: Floats,
) -> Floats | None:
    """Meeting of two lines fitted to the middle of their ink."""
    directions = [np.array([np.cos(a), np.sin(a)]) for a in np.radians([first[0], second[0]])]
    for _ in range(3):
        one = _fitted(strength, meeting, directions[0])
        other = _fitted(strength, meeting, directions[1])
        if one is None or other is None:
            return None
        (a, along_a), (b, along_b) = one, other
        step = np.linalg.solve(np.column_stack([along_a, -along_b]), b - a)
        meeting, directions = a + step[0] * along_a, [along_a, along_b]
    return meeting


def _fitted(strength: Floats, meeting: Floats, along: Floats) -> tuple[Floats, Floats] | None:
    """Point and direction of the line through the middle of the ink of both arms."""
    from scipy.ndimage import map_coordinates

    arm = np.concatenate([np.arange(-_ARM - 8.0, -4.0), np.arange(5.0, _ARM + 9.0)])
    normal = np.array([-along[1], along[0]])
    spots = meeting + arm[:, None, None] * along + _ACROSS[None, :, None] * normal
    inside = np.all((spots >= 0) & (spots <= np.array(strength.shape[::-1]) - 1), axis=(1, 2))
    ink = map_coordinates(strength, [spots[..., 1], spots[..., 0]], order=1, mode="nearest")
    middle = np.zeros(arm.size)
    for _ in range(4):
        window = ink * np.exp(-0.5 * ((_ACROSS - middle[:, None]) / 1.8) ** 2)
        mass = window.sum(axis=1)
        middle = (window @ _ACROSS) / np.maximum(mass, 1e-9)
    seen = inside & (mass > 0.3 * np.quantile(mass, 0.8)) & (mass > 0.3) & (np.abs(middle) < 3.0)
    run = _straight_run(arm, middle, seen)
    if run is None:
        return None
    shift, slope = run
    turned = along + slope * normal
    return meeting + shift * normal, turned / np.hypot(*turned)


def _straight_run(
    arm: Floats, middle: Floats, seen: NDArray[np.bool_]
) -> tuple[float, float] | None:
    """Shift and slope of the straight line most of the seen places lie on.

    At the corner of a frame the line is on one arm only and the other may hold a label: each
    arm alone and both together are tried.
    """
    best: tuple[float, float, float] | None = None
    for part in (seen & (arm > 0.0), seen & (arm < 0.0), seen):
        near = part
        for _ in range(4):
            if np.count_nonzero(near) < 6:
                break
            slope, shift = np.polyfit(arm[near], middle[near], 1)
            rest = np.abs(middle - shift - slope * arm)
            spread = float(np.median(rest[near]))
            worth = float(np.sum(seen / (1.0 + (rest / _STRAIGHT) ** 2)))
            if best is None or worth > best[0]:
                best = worth, float(shift), float(slope)
            near = seen & (rest < max(2.5 * spread, _STRAIGHT))
    return None if best is None or best[0] < 4.0 else best[1:]
