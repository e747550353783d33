"""Names at the ends of curves: clear of each other, of the curves and of printed text."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from PySide6.QtGui import QPainter

from app.chart_tools.canvas import Metrics
from app.chart_tools.palette import Palette
from app.chart_tools.parts import Text, backing_of
from app.chart_tools.placing import Box, Placer, around, centred, refined
from app.gui.places.trace.inks import Pieces, curve_colour
from app.gui.places.trace.layers import Picture
from app.gui.places.trace.shapes import CurveView
from app.gui.places.trace.view import View

Floats = NDArray[np.float64]

CELL = 6.0
"""Side of the squares in which curves are looked up, in widget pixels."""

GAPS = (7.0, 16.0, 30.0)
"""Distances of a name from its curve that are tried."""

_TRIES = sorted(
    (0.5 * rank + 1.0 * far, rank, gap) for rank in range(4) for far, gap in enumerate(GAPS)
)
"""What a place costs at least, which anchor it is at, and how far from it."""


class Names:
    """Names placed for a view, which go with the picture until they are placed anew."""

    def __init__(self, texts: Sequence[Text], view: View) -> None:
        self._texts = [(text, view.to_picture(*_middle(text.box))) for text in texts]

    def draw(self, painter: QPainter, view: View) -> None:
        """Draw them where their curves are now."""
        for text, spot in self._texts:
            x, y = view.to_widget(*spot)
            text.box = centred(x, y, text.box.width, text.box.height)
            text.draw(painter)


def _middle(box: Box) -> tuple[float, float]:
    return box.left + 0.5 * box.width, box.top + 0.5 * box.height


class Busy:
    """Squares of the widget that curves run through.

    Parameters
    ----------
    width, height : float
        Size of the widget in its pixels.
    """

    def __init__(self, width: float, height: float) -> None:
        self._cells = np.zeros((int(height / CELL) + 1, int(width / CELL) + 1), dtype=bool)

    def add(self, run: Floats) -> None:
        """Mark the squares along a polyline."""
        x, y = refined(run[:, 0], run[:, 1], 0.8 * CELL)
        across, down = (x / CELL).astype(int), (y / CELL).astype(int)
        rows, columns = self._cells.shape
        good = (across >= 0) & (across < columns) & (down >= 0) & (down < rows)
        self._cells[down[good], across[good]] = True

    def count(self, box: Box) -> int:
        """Squares under a box that are taken."""
        left, top = max(int(box.left / CELL), 0), max(int(box.top / CELL), 0)
        right = int((box.left + box.width) / CELL) + 1
        bottom = int((box.top + box.height) / CELL) + 1
        return int(self._cells[top:bottom, left:right].sum())


def place_labels(
    curves: Sequence[tuple[CurveView, Pieces]],
    others: Sequence[tuple[CurveView, Pieces]],
    view: View,
    palette: Palette,
    metrics: Metrics,
    picture: Picture | None,
    placer: Placer,
) -> list[Text]:
    """Place the names of curves.

    Parameters
    ----------
    curves : sequence
        Those to be named, each with its visible pieces in widget pixels.
    others : sequence
        Those not to be covered either.
    view : View
        The present view.
    palette : Palette
        Colours.
    metrics : Metrics
        The font.
    picture : Picture or None
        Its printed ink is left uncovered where there is room.
    placer : Placer
        Size of the widget and boxes that are taken already; the new ones are added.
    """
    busy = Busy(placer.width, placer.height)
    for _, pieces in (*curves, *others):
        for run, _ in pieces:
            busy.add(run)
    texts = []
    for curve, pieces in curves:
        if not curve.label or not pieces:
            continue
        size = metrics.width(curve.label), metrics.height
        best: tuple[float, Box] | None = None
        anchors = _anchors(curve, np.vstack([run for run, _ in pieces]), placer)
        for cost, rank, gap in _TRIES:
            if rank >= len(anchors):
                continue
            if best is not None and cost >= best[0]:
                break
            x, y = anchors[rank]
            for turn, box in enumerate(around(float(x), float(y), *size, gap)):
                if not placer.free(box):
                    continue
                full = cost + 0.1 * turn + 0.6 * busy.count(box)
                if picture is not None:
                    full += 6.0 * picture.ink_share(view, box)
                if best is None or full < best[0]:
                    best = full, box
        if best is not None:
            placer.taken.append(best[1])
            colour = curve_colour(curve.kind, palette)
            texts.append(Text(curve.label, best[1], metrics, colour, backing_of(palette.canvas)))
    return texts


def _anchors(curve: CurveView, points: Floats, placer: Placer) -> list[Floats]:
    """Points of a curve beside which its name may stand, best first."""
    x, y = points[:, 0], points[:, 1]
    inside = points[(x >= 0.0) & (x <= placer.width) & (y >= 0.0) & (y <= placer.height)]
    if len(inside) == 0:
        return []
    if curve.closed:
        x, y = inside[:, 0], inside[:, 1]
        return [inside[i] for i in (y.argmin(), x.argmax(), y.argmax(), x.argmin())]
    # the last end of a speed line is most often the one at choke
    middle = len(inside) // 2
    return [inside[-1], inside[0], inside[(middle + len(inside)) // 2], inside[middle]]
