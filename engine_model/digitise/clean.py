"""The ink of a straightened picture, freed of paper, uneven light and grid lines."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from engine_model.digitise.straighten import Straightened

Singles = NDArray[np.float32]
Mask = NDArray[np.bool_]

SPREAD: Final = 2.5
"""Over how much the weight of a line is gathered [pixel]; chosen here."""

_BLOCK: Final = 12  # side of the blocks whose medians make the paper [pixel]
_PAPER_REACH: Final = 7  # blocks the paper is smoothed over
_GRID_SHARE: Final = 0.2  # shortest straight stretch taken as part of a grid line, of the frame
_GRID_COVER: Final = 0.65  # of the frame a grid line covers in all
_GRID_INK: Final = 0.5  # of a stretch that is printed, the rest being gaps
_GRID_GAP: Final = 16  # longest gap of a dashed grid line [pixel]
_GRID_STEP: Final = 4  # grid lines are sought in every fourth column or row
_LEAST_CONTRAST: Final = 0.02  # of a grid line averaged along itself, of full scale


@dataclass(frozen=True, slots=True, eq=False)
class Ink:
    """What is printed on a straightened picture.

    Parameters
    ----------
    straight : Straightened
        The picture it was made from, with its axes.
    layers : ndarray of float32, shape (height, width, 4)
        Paper less picture in red, green and blue, -1 to 1: what the ink takes away, 0 where a
        grid line was; then the weight of the line, the size of that spread over `SPREAD`
        pixels, which tells a thick line from a thin one. [-]
    erased : ndarray of bool, shape (height, width)
        Where a grid line or the frame was taken away: there nothing is known of other ink.
    noise : float
        Standard deviation of the bare paper in one channel. [-]
    """

    straight: Straightened
    layers: Singles
    erased: Mask
    noise: float

    @property
    def shape(self) -> tuple[int, int]:
        """Height and width [pixel]."""
        return self.erased.shape[0], self.erased.shape[1]


def prepare(straight: Straightened) -> Ink:
    """Ink of a straightened picture.

    Parameters
    ----------
    straight : Straightened
        A picture whose axes run along rows and columns.

    Returns
    -------
    Ink
        What is printed, without the paper and its shade and without lines that run straight
        through the frame along an axis.

    Notes
    -----
    The paper is the median over blocks, smoothed. A grid line is a straight run of a fifth of
    the frame or more that, with others in its row, covers more than half of the frame; of its
    pixels those that are not darker than it, nor of another colour, are erased.
    """
    layers = np.empty((*straight.picture.shape[:2], 4), dtype=np.float32)
    colour = layers[..., :3]
    _take_paper_away(straight.picture, colour)
    strength = np.abs(colour[..., 0]) + np.abs(colour[..., 1]) + np.abs(colour[..., 2])
    noise = _noise(colour)
    erased = np.zeros(strength.shape, dtype=bool)
    left, top, right, bottom = straight.frame
    _erase_lines(colour, strength, erased, right - left, noise)
    turned = colour.transpose(1, 0, 2), strength.T, erased.T
    _erase_lines(*turned, bottom - top, noise)
    colour[erased] = 0.0  # a line erased later may have left its crossings
    layers[..., 3] = _weight(colour)
    return Ink(straight, layers, erased, noise)


def _weight(colour: Singles) -> Singles:
    from scipy.ndimage import gaussian_filter

    size = np.sqrt(np.einsum("ijk,ijk->ij", colour, colour))
    return np.asarray(gaussian_filter(size, SPREAD, truncate=2.5))


def _take_paper_away(picture: NDArray[np.uint8], colour: Singles) -> None:
    """Write paper less picture, of full scale, into `colour`."""
    from scipy.ndimage import median_filter

    height, width = picture.shape[:2]
    rows, columns = -(-height // _BLOCK), -(-width // _BLOCK)
    down, right = rows * _BLOCK - height, columns * _BLOCK - width
    whole = np.pad(picture, ((0, down), (0, right), (0, 0)), mode="edge")[::2, ::2]
    half = _BLOCK // 2
    blocks = whole.reshape(rows, half, columns, half, 3).transpose(0, 2, 4, 1, 3)
    sample = np.ascontiguousarray(blocks).reshape(rows, columns, 3, half * half)
    sample.partition(half * half // 2, axis=-1)
    medians = sample[..., half * half // 2]
    tall, wide = _interpolation(height, rows), _interpolation(width, columns)
    for channel in range(3):
        small = median_filter(medians[..., channel], _PAPER_REACH, mode="nearest")
        paper = tall @ (small.astype(np.float32) @ wide.T)
        paper -= picture[..., channel]
        np.multiply(paper, np.float32(1.0 / 255.0), out=colour[..., channel])


def _interpolation(fine: int, coarse: int) -> Singles:
    """Matrix that carries block centres to pixels, linearly."""
    place = np.clip((np.arange(fine) - (_BLOCK - 1) / 2.0) / _BLOCK, 0.0, coarse - 1.0)
    low = np.minimum(place.astype(int), max(coarse - 2, 0))
    share = place - low
    matrix = np.zeros((fine, coarse), dtype=np.float32)
    matrix[np.arange(fine), low] = 1.0 - share
    matrix[np.arange(fine), np.minimum(low + 1, coarse - 1)] += share
    return matrix


def _noise(colour: Singles) -> float:
    """Spread of the paper: from the median of its size, most of a picture being paper."""
    some = np.abs(colour[::5, ::5, 1])
    return float(1.4826 * np.median(some))


def _erase_lines(
    colour: Singles, strength: Singles, erased: Mask, frame_side: float, noise: float
) -> None:
    """Take away what lies on long straight rows, in place."""
    from scipy.ndimage import label, uniform_filter1d

    step = _GRID_STEP
    along = uniform_filter1d(strength, 2 * step + 1, axis=1)[:, step // 2 :: step]
    off = 6
    ridge = along.copy()
    ridge[off:-off] -= 0.5 * (along[: -2 * off] + along[2 * off :])
    ridge[:off] = ridge[-off:] = 0.0
    seen = ridge > max(3.0 * _LEAST_CONTRAST, 2.0 * noise)
    thick = seen.copy()
    thick[1:] |= seen[:-1]
    thick[:-1] |= seen[1:]
    least = max(4, int(_GRID_SHARE * frame_side / step))
    runs = _long_runs(thick, int(_GRID_GAP / step) + 1, least)
    names, count = label(runs, np.ones((3, 3), dtype=int))
    if not count:
        return
    inked = np.bincount(names.ravel(), weights=thick.ravel(), minlength=count + 1)
    printed = inked >= _GRID_INK * np.bincount(names.ravel(), minlength=count + 1)
    runs &= np.append(False, printed[1:])[names]
    names, count = label(runs, np.ones((3, 3), dtype=int))
    if not count:
        return
    cover = _cover(names, count, frame_side / step)
    for number in np.flatnonzero(cover >= _GRID_COVER) + 1:
        _erase_one(colour, strength, erased, names == number, noise)


def _long_runs(seen: Mask, gap: int, least: int) -> Mask:
    """Runs along rows of at least a length, gaps up to a length bridged."""
    from scipy.ndimage import maximum_filter1d, minimum_filter1d

    table = seen.astype(np.uint8)
    closed = minimum_filter1d(maximum_filter1d(table, 2 * gap + 1, axis=1), 2 * gap + 1, axis=1)
    length = least | 1
    opened = maximum_filter1d(minimum_filter1d(closed, length, axis=1), length, axis=1)
    return np.asarray(opened.astype(bool))


def _cover(names: NDArray[np.integer[Any]], count: int, frame_side: float) -> NDArray[np.float64]:
    """Share of the frame each run covers together with those that continue it in its row."""
    from scipy.ndimage import find_objects

    boxes = [box for box in find_objects(names) if box is not None]
    spans = np.array([(b[0].start, b[0].stop, b[1].start, b[1].stop) for b in boxes])
    length = spans[:, 3] - spans[:, 2]
    cover = np.zeros(count)
    for row, (top, bottom, start, stop) in enumerate(spans):
        level = (spans[:, 0] <= bottom + 1) & (spans[:, 1] >= top - 1)
        apart = (spans[:, 2] >= stop) | (spans[:, 3] <= start)
        cover[row] = length[row] + np.sum(length[level & apart])
    return np.asarray(cover / frame_side)


def _erase_one(colour: Singles, strength: Singles, erased: Mask, run: Mask, noise: float) -> None:
    """Take away the pixels of one grid line that show nothing but it."""
    rows = np.flatnonzero(run.any(axis=1))
    columns = np.flatnonzero(run.any(axis=0))
    top, bottom = max(rows[0] - 3, 0), min(rows[-1] + 4, len(strength))
    left = columns[0] * _GRID_STEP
    right = min((columns[-1] + 1) * _GRID_STEP, strength.shape[1])
    near = np.zeros((bottom - top, columns[-1] - columns[0] + 1), dtype=bool)
    band = run[top:bottom, columns[0] : columns[-1] + 1]
    for shift in range(-3, 4):
        source = band[max(0, -shift) : len(band) - max(0, shift)]
        near[max(0, shift) : len(band) + min(0, shift)] |= source
    near = np.repeat(near, _GRID_STEP, axis=1)[:, : right - left]
    piece, dark = colour[top:bottom, left:right], strength[top:bottom, left:right]
    near = near[:, : piece.shape[1]]
    middle = np.argmax(np.where(near, dark, -1.0), axis=0)
    peak = piece[middle, np.arange(piece.shape[1])]
    print_of_line = np.median(peak, axis=0)
    size = float(print_of_line @ print_of_line)
    if size <= 0.0:
        return
    share = piece @ print_of_line / size
    rest = piece - share[..., None] * print_of_line
    other = np.sqrt(np.sum(rest * rest, axis=-1))
    same = (share < 1.35) & (other < 0.3 * np.sqrt(size) + 3.0 * noise)
    alone = near & same
    erased[top:bottom, left:right] |= alone & (share > 0.15)
    piece[alone] = 0.0
