"""A click put on the printed ink beside it."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.digitise.clean import Ink
from engine_model.digitise.strip import pixels_near

Floats = NDArray[np.float64]


def snap_to_ink(ink: Ink, click: ArrayLike, reach: float = 8.0) -> Floats:
    """Place of the middle of the ink nearest to a click.

    Parameters
    ----------
    ink : Ink
        The prepared picture.
    click : array_like, shape (2,)
        Where it was clicked. [pixel]
    reach : float
        How far to look. [pixel]

    Returns
    -------
    ndarray, shape (2,)
        On the ink, or the click itself where there is none near. [pixel]
    """
    place = np.asarray(click, dtype=float).reshape(1, 2)
    side = np.arange(-np.ceil(reach), np.ceil(reach) + 1.0)
    across, down = np.meshgrid(side, side)
    pixels = pixels_near(ink.shape, place[0, 0] + across, place[0, 1] + down)
    colour = ink.layers.reshape(-1, 4)[pixels, :3]
    strength = np.sqrt(np.sum(colour * colour, axis=-1))
    strength = np.where(strength > max(0.06, 5.0 * ink.noise), strength, 0.0)
    inside = across**2 + down**2 <= reach**2
    worth = strength * np.exp(-(across**2 + down**2) / (0.5 * reach**2)) * inside
    if not np.any(worth > 0.0):
        return np.asarray(place[0])
    best = np.unravel_index(int(np.argmax(worth)), worth.shape)
    # middle of the ink around the best place
    apart = (across - across[best]) ** 2 + (down - down[best]) ** 2
    weight = strength * np.exp(-apart / (2.0 * 1.5**2))
    weight = weight / weight.sum()
    rounded = np.rint(place[0])
    return np.asarray(rounded + np.array([np.sum(weight * across), np.sum(weight * down)]))
