"""A picture in a widget with what lies over it: what is shown, and which part of it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QWidget

from app.chart_tools.palette import Palette
from app.gui.places.trace.inks import OVERLAY_DASHES
from app.gui.places.trace.layers import Picture
from app.gui.places.trace.painting import Painting
from app.gui.places.trace.scene import Scene
from app.gui.places.trace.shapes import CurveView, KnownPoint
from app.gui.places.trace.view import View, fitted, in_sight, showing, smallest_zoom

Floats = NDArray[np.float64]

SETTLE = 90
"""Milliseconds without a change of the view after which it is drawn properly."""

EDGE_SLACK = 10.0
"""How far outside the picture a press still counts, in widget pixels; it lands on the edge."""


class Table(QWidget):
    """Shows a picture and what is traced on it; knows nothing of what the curves mean.

    All coordinates are picture pixels; the middle of the top left pixel is (0, 0).

    Signals
    -------
    told(words)
        The words on the plate.
    view_changed(zoom)
        Widget pixels a picture pixel takes.
    """

    told = Signal(str)
    view_changed = Signal(float)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.scene = Scene()
        self.view = View(1.0, 0.0, 0.0)
        self._painting = Painting(self.scene)
        self._fitted, self._told = True, ""
        self._settling = QTimer(self)
        self._settling.setSingleShot(True)
        self._settling.setInterval(SETTLE)
        self._settling.timeout.connect(self._settle)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setMinimumSize(240, 180)
        self.setAccessibleName("Picture of the compressor map")

    def let_go(self) -> None:
        """End a gesture before the picture changes under it."""

    def set_picture(self, rgb: NDArray[np.uint8] | None, keep_view: bool = False) -> None:
        """Show a picture, height x width x 3 of uint8, or none; it is copied."""
        self.let_go()
        self.scene.picture = Picture(rgb) if rgb is not None else None
        self._painting.picture_changed()
        self.scene.aim = None
        if not keep_view:
            self.fit()
        self.refresh()

    def set_dimming(self, share: float) -> None:
        """Fade the picture into the ground: 0 not at all, 1 quite."""
        self.scene.dimming = min(max(share, 0.0), 1.0)
        self.refresh()

    def set_ground(self, palette: Palette) -> None:
        """Colours round the picture; lines on it are light or dark as they read on it."""
        self.scene.ground = palette
        self.refresh()

    def set_curves(self, curves: Iterable[CurveView]) -> None:
        """Show these curves in place of those shown."""
        self.scene.curves = list(curves)
        self.scene.forget()
        self._painting.curves_changed()
        self.refresh()

    def set_overlay(self, lines: Iterable[tuple[Floats, str]]) -> None:
        """Show predicted curves: points N x 2, nan between pieces, and a style, one of KINDS."""
        taken = [(np.asarray(points, dtype=np.float64), style) for points, style in lines]
        if wrong := [style for _, style in taken if style not in OVERLAY_DASHES]:
            allowed = ", ".join(OVERLAY_DASHES)
            raise ValueError(f"style of a predicted curve is {wrong[0]!r}; allowed: {allowed}")
        self.scene.overlay = taken
        self._painting.overlay_changed()
        self.refresh()

    def set_points(self, points: Sequence[KnownPoint]) -> None:
        """Show these known points in place of those shown."""
        self.scene.points = list(points)
        self.scene.forget()
        self.refresh()

    def set_preview(self, path: Floats | None) -> None:
        """Show the segment between the last click and the pointer, or none."""
        self.scene.preview = path if path is not None and len(path) > 1 else None
        self.refresh()

    def set_words(self, words: Callable[[float, float], str]) -> None:
        """Give what the plate says of a picture point."""
        self.scene.words = words
        self.refresh()

    def set_empty_words(self, words: str) -> None:
        """Give what stands where no picture is."""
        self.scene.empty_words = words
        self.refresh()

    # its view

    def fit(self) -> None:
        """Show the whole picture."""
        self._fitted = True
        picture = self.scene.picture
        if picture is not None:
            self.view = fitted(picture.wide, picture.tall, self.width(), self.height())
            self._viewed()

    def set_view(self, view: View) -> None:
        """Show a part of the picture; a strip of it stays in sight."""
        picture = self.scene.picture
        if picture is not None:
            self.view = in_sight(view, picture.wide, picture.tall, self.width(), self.height())
            self._fitted = False
            self._viewed()

    def zoom_by(self, factor: float, about: QPointF | None = None) -> None:
        """Zoom about widget pixels; without, about the crosshair or the middle."""
        picture = self.scene.picture
        if picture is None:
            return
        if about is None and self.scene.aim is not None:
            about = QPointF(*self.view.to_widget(*self.scene.aim))
        if about is None or not self.rect().contains(about.toPoint()):
            about = QPointF(0.5 * self.width(), 0.5 * self.height())
        least = smallest_zoom(picture.wide, picture.tall, self.width(), self.height())
        self.set_view(self.view.zoomed(factor, about.x(), about.y(), least))

    def show_spot(self, x: float, y: float) -> None:
        """Push the picture as little as needed for a point to be well in sight."""
        view = showing(self.view, x, y, self.width(), self.height(), 40.0)
        if view != self.view:
            self.set_view(view)

    def _viewed(self) -> None:
        # curves are stretched at once and drawn properly when the view rests
        self._painting.draft = True
        self._settling.start()
        self.view_changed.emit(self.view.zoom)
        self.refresh()

    def _settle(self) -> None:
        self._painting.settle()
        self.update()

    # for what is done on it

    def spot(self, at: QPointF) -> tuple[float, float]:
        """Picture point of widget pixels, on the picture's edge where they lie outside."""
        return self.clamped(*self.view.to_picture(at.x(), at.y()))

    def clamped(self, x: float, y: float) -> tuple[float, float]:
        """Nearest point of the picture."""
        picture = self.scene.picture
        assert picture is not None
        wide, tall = picture.wide - 0.5, picture.tall - 0.5
        return min(max(x, -0.5), wide), min(max(y, -0.5), tall)

    def on_picture(self, at: QPointF) -> bool:
        """Whether widget pixels lie on the picture, or just beside it."""
        picture = self.scene.picture
        if picture is None:
            return False
        slack = EDGE_SLACK
        return picture.frame(self.view).adjusted(-slack, -slack, slack, slack).contains(at)

    def aim_at(self, x: float, y: float, *, by_keys: bool) -> None:
        """Put the crosshair on a picture point; the keys' one is brought in sight."""
        self.scene.aim, self.scene.by_keys = (x, y), by_keys
        if by_keys:
            self.show_spot(x, y)

    def refresh(self) -> None:
        """Paint soon; say the words on the plate where they have changed."""
        self.update()
        words = self.scene.plate()
        if words != self._told:
            self._told = words
            self.told.emit(words)

    def sizeHint(self) -> QSize:
        """Return room for a picture."""
        return QSize(800, 600)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the scene."""
        painter = QPainter(self)
        self._painting.paint(painter, self.view, self.size(), focused=self.hasFocus())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep a fitted picture fitted, another in sight."""
        if self._fitted:
            self.fit()
        else:
            self.set_view(self.view)
