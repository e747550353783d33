"""View of a picture: from picture pixels to the widget's pixels and back. No Qt."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

LARGEST_ZOOM = 64.0
"""Widget pixels a picture pixel may take at most."""

FIT_MARGIN = 12.0
"""Room left round a fitted picture, in widget pixels."""

SIGHT_MARGIN = 48.0
"""How much of the picture stays in the widget, however far it is pushed, in widget pixels."""


@dataclass(frozen=True, slots=True)
class View:
    """Zoom and place of a picture in a widget.

    Picture coordinates count pixel centres: the middle of the top left pixel is (0, 0).

    Attributes
    ----------
    zoom : float
        Widget pixels a picture pixel takes.
    left, top : float
        Where (0, 0) of the picture lies in the widget, in widget pixels.
    """

    zoom: float
    left: float
    top: float

    def to_widget(self, x: float, y: float) -> tuple[float, float]:
        """Widget pixels of a picture point."""
        return self.left + self.zoom * x, self.top + self.zoom * y

    def to_picture(self, x: float, y: float) -> tuple[float, float]:
        """Picture point of widget pixels."""
        return (x - self.left) / self.zoom, (y - self.top) / self.zoom

    def place(self, points: Floats) -> Floats:
        """Widget pixels of picture points, N x 2."""
        return np.asarray(points) * self.zoom + (self.left, self.top)

    def moved(self, right: float, down: float) -> View:
        """View with the picture pushed by widget pixels."""
        return replace(self, left=self.left + right, top=self.top + down)

    def zoomed(self, factor: float, x: float, y: float, smallest: float) -> View:
        """View zoomed about widget pixels, which keep their picture point."""
        zoom = min(max(self.zoom * factor, smallest), LARGEST_ZOOM)
        turn = zoom / self.zoom
        return View(zoom, x + (self.left - x) * turn, y + (self.top - y) * turn)


def fitted(wide: int, tall: int, width: float, height: float) -> View:
    """View that shows a whole picture in the middle of a widget.

    Parameters
    ----------
    wide, tall : int
        Size of the picture in its pixels.
    width, height : float
        Size of the widget in its pixels.
    """
    room_across = max(width - 2.0 * FIT_MARGIN, 1.0)
    room_down = max(height - 2.0 * FIT_MARGIN, 1.0)
    zoom = min(room_across / wide, room_down / tall, LARGEST_ZOOM)
    return View(
        zoom,
        0.5 * (width - zoom * wide) + 0.5 * zoom,
        0.5 * (height - zoom * tall) + 0.5 * zoom,
    )


def smallest_zoom(wide: int, tall: int, width: float, height: float) -> float:
    """Zoom below which a picture is not shrunk: a quarter of the fitted one, or of full size."""
    return 0.25 * min(fitted(wide, tall, width, height).zoom, 1.0)


def in_sight(view: View, wide: int, tall: int, width: float, height: float) -> View:
    """View pushed back until a strip of the picture lies in the widget."""
    half = 0.5 * view.zoom
    left = _kept(view.left - half, view.zoom * wide, width)
    top = _kept(view.top - half, view.zoom * tall, height)
    return View(view.zoom, left + half, top + half)


def _kept(start: float, length: float, room: float) -> float:
    margin = min(SIGHT_MARGIN, 0.5 * room, length)
    return min(max(start, margin - length), room - margin)


def showing(view: View, x: float, y: float, width: float, height: float, margin: float) -> View:
    """View pushed as little as needed for a picture point to lie well inside the widget."""
    across, down = view.to_widget(x, y)
    margin = min(margin, 0.5 * width, 0.5 * height)
    return view.moved(
        min(max(across, margin), width - margin) - across,
        min(max(down, margin), height - margin) - down,
    )
