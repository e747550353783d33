"""The picture of a compressor map redrawn with its axes along rows and columns."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.digitise.axes import Calibration
from engine_model.errors import InputError

Floats = NDArray[np.float64]
Picture = NDArray[np.uint8]
Limits = tuple[tuple[float, float], tuple[float, float]]

MARGIN = 0.12
"""What is shown around the frame, as a share of the frame [-]; chosen here for its labels."""

LONGEST_SIDE = 1800
"""Longest side of a straightened picture [pixel]; chosen here: more brings no accuracy."""

LEAST_FRAME = 1000
"""Longer side of the frame that a small picture is enlarged to [pixel]; chosen here."""

MOST_ENLARGED = 3.0
"""Most that a small picture is enlarged [-]; chosen here."""

SHORTEST_FRAME = 100
"""Shortest side of a frame worth tracing [pixel]; chosen here."""


@dataclass(frozen=True, slots=True, eq=False)
class Straightened:
    """A picture whose columns are flow and whose rows are pressure ratio.

    Parameters
    ----------
    picture : ndarray of uint8, shape (height, width, 3)
        Red, green, blue.
    limits : ((float, float), (float, float))
        Lowest and highest flow [any], lowest and highest pressure ratio [-] of the frame.
    frame : (float, float, float, float)
        Left, top, right and bottom of the frame. [pixel]
    """

    picture: Picture
    limits: Limits
    frame: tuple[float, float, float, float]

    @property
    def scale(self) -> tuple[float, float]:
        """Pixels per unit of flow [1/any] and per unit of pressure ratio [1], both positive."""
        left, top, right, bottom = self.frame
        (low, high), (floor, ceiling) = self.limits
        return (right - left) / (high - low), (bottom - top) / (ceiling - floor)

    def to_pixels(self, values: ArrayLike) -> Floats:
        """Places [pixel] of flow [any] and pressure ratio [-], shape (..., 2)."""
        table = np.asarray(values, dtype=float)
        across, up = self.scale
        x = self.frame[0] + (table[..., 0] - self.limits[0][0]) * across
        y = self.frame[3] - (table[..., 1] - self.limits[1][0]) * up
        return np.stack([x, y], axis=-1)

    def to_values(self, pixels: ArrayLike) -> Floats:
        """Flow [any] and pressure ratio [-] at places [pixel], shape (..., 2)."""
        table = np.asarray(pixels, dtype=float)
        across, up = self.scale
        flow = self.limits[0][0] + (table[..., 0] - self.frame[0]) / across
        ratio = self.limits[1][0] + (self.frame[3] - table[..., 1]) / up
        return np.stack([flow, ratio], axis=-1)


def straighten(
    picture: Picture,
    calibration: Calibration,
    limits: Limits | None = None,
    margin: float = MARGIN,
    longest_side: int = LONGEST_SIDE,
) -> Straightened:
    """Picture redrawn so that flow runs along rows and pressure ratio up columns.

    Parameters
    ----------
    picture : ndarray of uint8, shape (height, width, 3)
        As it was opened.
    calibration : Calibration
        Of that picture.
    limits : ((float, float), (float, float)), optional
        Flow [any] and pressure ratio [-] of the frame's sides, where the known points are not
        its corners; the box around the points if not given.
    margin : float
        What is shown around the frame, as a share of it. [-] 0-1
    longest_side : int
        Longest side of the result. [pixel]

    Returns
    -------
    Straightened
        One of its pixels is about one of the picture's, of a small picture less, of a large
        one more.
    """
    (low, high), (floor, ceiling) = limits or calibration.limits
    if not (low < high and floor < ceiling and np.all(np.isfinite([low, high, floor, ceiling]))):
        raise InputError("trace.limits", limits, "two rising pairs of finite numbers")
    corners = calibration.to_pixels([(low, floor), (high, floor), (high, ceiling), (low, ceiling)])
    if not np.all(np.isfinite(corners)):
        raise InputError("trace.limits", limits, "sides of a frame the picture can show")
    edges = np.hypot(*(np.roll(corners, -1, axis=0) - corners).T)
    width, height = (edges[0] + edges[2]) / 2.0, (edges[1] + edges[3]) / 2.0
    if min(width, height) < SHORTEST_FRAME:
        given = f"{width:.0f} x {height:.0f} pixels"
        raise InputError(
            "trace.corners_px", given, f"a frame of {SHORTEST_FRAME} pixels or more each way"
        )
    longer = max(width, height)
    scale = float(np.clip(LEAST_FRAME / longer, 1.0, MOST_ENLARGED))
    scale = min(scale, longest_side / ((1.0 + 2.0 * margin) * longer))
    width, height = width * scale, height * scale
    left, top = margin * width, margin * height
    frame = (left, top, left + width, top + height)
    columns, rows = int(np.ceil(width + 2.0 * left)) + 1, int(np.ceil(height + 2.0 * top)) + 1
    blank = Straightened(np.empty((0, 0, 3), dtype=np.uint8), (limits or calibration.limits), frame)
    places = _grid_of_places(blank, calibration, columns, rows)
    return Straightened(_resampled(picture, places, 1.0 / scale), blank.limits, frame)


def _grid_of_places(
    straight: Straightened, calibration: Calibration, columns: int, rows: int
) -> NDArray[np.float32]:
    """Row and column on the old picture of every new pixel, shape (2, rows, columns)."""
    flow = straight.to_values(np.column_stack([np.arange(columns), np.zeros(columns)]))[:, 0]
    ratio = straight.to_values(np.column_stack([np.zeros(rows), np.arange(rows)]))[:, 1]
    m = np.array(calibration.values_to_pixels)
    parts = m[:, :1] * flow, m[:, 1:2] * ratio + m[:, 2:]
    depth = parts[1][2][:, None] + parts[0][2]
    depth = np.where(depth > 0.0, 1.0 / np.where(depth > 0.0, depth, 1.0), np.nan)
    places = np.empty((2, rows, columns), dtype=np.float32)
    for axis in (0, 1):
        places[1 - axis] = (parts[1][axis][:, None] + parts[0][axis]) * depth
    # beyond the horizon: anywhere outside
    return np.nan_to_num(places, copy=False, nan=-1e6, posinf=-1e6, neginf=-1e6)


def _resampled(picture: Picture, places: NDArray[np.float32], reduction: float) -> Picture:
    """Picture read bilinearly at places, averaged over blocks first where it is reduced."""
    from scipy.ndimage import map_coordinates

    block = int(reduction + 0.25)  # 0 or 1: as it is
    if block > 1:
        picture = _block_means(picture, block)
        places -= np.float32((block - 1) / 2.0)
        places /= np.float32(block)
    paper = np.median(picture[:: max(1, len(picture) // 200), ::8].reshape(-1, 3), axis=0)
    result = np.empty((*places.shape[1:], 3), dtype=np.uint8)
    for channel in range(3):
        plane = np.ascontiguousarray(picture[..., channel])
        map_coordinates(
            plane, places, result[..., channel], 1, mode="constant", cval=float(paper[channel])
        )
    return result


def _block_means(picture: Picture, block: int) -> Picture:
    rows, columns = (side - side % block for side in picture.shape[:2])
    total = np.zeros((rows // block, columns // block, 3), dtype=np.uint32)
    for down in range(block):
        for right in range(block):
            total += picture[down:rows:block, right:columns:block]
    return ((total + block * block // 2) // (block * block)).astype(np.uint8)
