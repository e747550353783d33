"""The canvas of the Trace place at work: points marked, curves drawn and edited."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QObject, Signal

from app.gui.document import new_gesture
from app.gui.places.trace.canvas import TraceCanvas
from app.gui.places.trace.curve_views import known_points, stroke_view, traced_view
from app.gui.places.trace.panels.known_points import CHECK
from app.gui.places.trace.points_desk import PointsDesk
from app.gui.places.trace.shapes import Mark
from app.gui.places.trace.stroke import Stroke
from app.gui.places.trace.trace_document import TraceDocument
from app.present.trace_words import curve_title
from engine_model.digitise.corners import snap_to_crossing
from engine_model.errors import InputError
from engine_model.tracing import edits
from engine_model.tracing.trace import CurveKind, Point

Floats = NDArray[np.float64]


class TraceDesk(QObject):
    """Turns what is done on the canvas into edits of the trace, and shows the trace on it.

    All places kept are pixels of the picture as it was opened; the canvas shows the
    straightened one while the pen is in use.

    Signals
    -------
    mode_changed(mode)
        Another tool is in hand.
    stroke_changed()
        The curve in the making grew or went.
    chosen(curve)
        A curve was chosen on the canvas; -1 none.
    points_changed()
        A known point was marked or moved.
    said(sentence)
        What cannot be done; empty when it is over.
    """

    mode_changed = Signal(str)
    stroke_changed = Signal()
    chosen = Signal(int)
    points_changed = Signal()
    said = Signal(str)

    def __init__(self, document: TraceDocument, canvas: TraceCanvas) -> None:
        super().__init__(canvas)
        self._document, self.canvas = document, canvas
        self.points = PointsDesk()
        self.stroke = Stroke("speed_line")
        self.mode = "look"
        self.waiting: int | None = None
        self.snaps = True
        self.index = -1
        self.marks: dict[int, list[Mark]] = {}
        self.lines: Sequence[tuple[Floats, str]] = ()
        self._gesture: int | None = None
        self._shown: object = None
        document.begun.connect(self._begin)
        canvas.placed.connect(self._placed)
        canvas.point_moved.connect(self._point_moved)
        canvas.clicked.connect(self._clicked)
        canvas.hovered.connect(self._hovered)
        canvas.finished.connect(self.finish)
        canvas.taken_back.connect(self.take_back)
        canvas.abandoned.connect(self.abandon)
        canvas.node_moved.connect(self._node_moved)
        canvas.node_inserted.connect(self._node_inserted)
        canvas.node_deleted.connect(self._node_deleted)
        canvas.curve_chosen.connect(self._curve_chosen)
        canvas.node_chosen.connect(lambda key, _: self._curve_chosen(key))

    def _begin(self) -> None:
        """Forget what was in the making for another trace."""
        self.points = PointsDesk()
        self.stroke = Stroke(self.stroke.kind)
        self.index, self.marks, self.lines = -1, {}, ()
        self.waiting = None
        self.canvas.set_preview(None)

    # between the picture and the canvas

    @property
    def is_straight(self) -> bool:
        """Whether the canvas shows the straightened picture."""
        return self.mode != "points" and self._document.prepared is not None

    def to_canvas(self, places: object) -> Floats:
        """Places of the picture on the canvas, N x 2."""
        table = np.asarray(places, dtype=np.float64).reshape(-1, 2)
        prepared = self._document.prepared
        return prepared.to_straight(table) if self.is_straight and prepared else table

    def from_canvas(self, x: float, y: float) -> Point:
        """Place of the picture under a canvas place."""
        prepared = self._document.prepared
        if not (self.is_straight and prepared):
            return x, y
        place = prepared.to_picture((x, y))
        return float(place[0]), float(place[1])

    # showing

    def set_mode(self, mode: str) -> None:
        """Take a tool: ``look``, ``points``, ``pen`` or ``edit``."""
        changed, self.mode = mode != self.mode, mode
        self.canvas.set_mode(mode)
        if changed:
            self.waiting = self.points.next_to_mark() if mode == "points" else None
            self.mode_changed.emit(mode)
        self.show_picture()

    def show_picture(self) -> None:
        """Show the picture that the tool in hand works on."""
        picture, prepared = self._document.picture, self._document.prepared
        shown: object = None
        if self.is_straight and prepared is not None:
            shown = prepared
            rgb = prepared.straight.picture
        elif picture is not None:
            shown = picture
            rgb = picture.rgb
        if shown is not self._shown:
            self._shown = shown
            self.canvas.set_picture(None if shown is None else rgb)
        self.show_all()

    def show_all(self) -> None:
        """Show curves, points and the fit as they are."""
        trace = self._document.trace
        views = [
            traced_view(
                curve,
                number,
                self.to_canvas,
                # under the pen only the curve in the making: its first point closes it
                number == self.index and self.mode != "pen",
                self.marks.get(number, ()),
            )
            for number, curve in enumerate(trace.curves)
        ]
        if not self.stroke.is_empty:
            views.append(stroke_view(self.stroke, len(views), self.to_canvas))
        self.canvas.set_curves(views)
        self.canvas.set_overlay(self._overlay())
        self.canvas.set_points(known_points(self.points) if self.mode == "points" else [])

    def _overlay(self) -> list[tuple[Floats, str]]:
        prepared = self._document.prepared
        if not self.is_straight or prepared is None:
            return []
        return [(prepared.straight.to_pixels(values), style) for values, style in self.lines]

    def _number_of(self, shown: int) -> int:
        """Number of a known point by its place among those shown."""
        marked = [n for n, point in enumerate(self.points.points) if point.place is not None]
        return marked[shown] if shown < len(marked) else CHECK

    # known points

    def mark(self, number: int) -> None:
        """Await a click for a known point; asked again, no longer for one that has its place."""
        again = self.mode == "points" and self.waiting == number
        self.set_mode("points")
        has_place = self.points.at(number).place is not None or number == CHECK
        self.waiting = self.points.next_to_mark() if again and has_place else number
        self.canvas.setFocus()
        self.mode_changed.emit("points")

    def _placed(self, x: float, y: float) -> None:
        number = self.waiting if self.waiting is not None else self.points.next_to_mark()
        if number is None:
            self.said.emit("All known points are marked; choose one in the table to mark it anew.")
            return
        self.points.change(number, place=self._snapped(x, y))
        self.waiting = self.points.next_to_mark()
        self.points_changed.emit()
        self.mode_changed.emit("points")

    def _point_moved(self, shown: int, x: float, y: float, final: bool) -> None:
        place = self._snapped(x, y) if final else (x, y)
        self.points.change(self._number_of(shown), place=place)
        if final:
            self.points_changed.emit()

    def _snapped(self, x: float, y: float) -> Point:
        picture = self._document.picture
        if picture is None or not self.snaps:
            return x, y
        found = snap_to_crossing(picture.rgb, (x, y))
        return (x, y) if found is None else (float(found[0]), float(found[1]))

    # the pen

    def take_pen(self, kind: CurveKind, value: float | None) -> None:
        """Draw curves of a kind and value next; what is in the making changes with it."""
        self.stroke.kind, self.stroke.value = kind, value
        self.set_mode("pen")
        self.stroke_changed.emit()

    def _clicked(self, x: float, y: float, free: bool) -> None:
        place = self.from_canvas(x, y)
        if self.stroke.add(place, free, self._document.prepared):
            self._stroke_grew()

    def _hovered(self, x: float, y: float, free: bool) -> None:
        if self.stroke.is_empty:
            return
        ahead = self.stroke.ahead(self.from_canvas(x, y), free, self._document.prepared)
        self.canvas.set_preview(self.to_canvas(ahead) if len(ahead) > 1 else None)

    def take_back(self) -> None:
        """Take the last place of the pen back; then the last edit, curve by curve."""
        if self.stroke.take_back():
            self._stroke_grew()
        else:
            self._document.undo_stack.undo()

    def abandon(self) -> None:
        """Drop the curve in the making."""
        if not self.stroke.is_empty:
            self.stroke = Stroke(self.stroke.kind, self.stroke.value)
            self._stroke_grew()

    def _stroke_grew(self) -> None:
        self.canvas.set_preview(None)
        self.show_all()
        self.stroke_changed.emit()

    def finish(self, closed: bool) -> None:
        """Make the curve in the making one of the trace."""
        stroke = self.stroke
        if len(stroke.nodes) < 2:
            self.said.emit("A curve needs two points or more.")
            return
        try:
            trace = stroke.into(self._document.trace, closed)
        except InputError as error:
            self.said.emit(f"{error.value} given; allowed: {error.allowed}.")
            return
        trace = self._document.followed(trace, len(trace.curves) - 1)
        self.stroke = Stroke(stroke.kind)
        self.index = len(trace.curves) - 1
        self.canvas.set_preview(None)
        self._document.edit(trace, f"Trace {curve_title(stroke.kind, stroke.value)}")
        self.said.emit("")
        self.stroke_changed.emit()

    # editing

    def choose(self, index: int, node: int = -1) -> None:
        """Choose a curve, and a node of it; emits nothing."""
        self.index = index
        self.show_all()
        if index >= 0:
            self.canvas.choose_node(index, node)

    def _curve_chosen(self, key: int) -> None:
        if key >= len(self._document.trace.curves):
            return
        if key != self.index:
            self.index = key
            self.show_all()
            self.chosen.emit(key)

    def _node_moved(self, key: int, node: int, x: float, y: float, final: bool) -> None:
        if self._gesture is None:
            self._gesture = new_gesture()
        self.change(
            key,
            lambda trace: edits.move_node(trace, key, node, *self.from_canvas(x, y)),
            "Move a point",
            self._gesture,
        )
        if final:
            self._gesture = None
            self.show_all()

    def _node_inserted(self, key: int, stretch: int, x: float, y: float) -> None:
        place = self.from_canvas(x, y)
        self.change(
            key, lambda trace: edits.insert_node(trace, key, stretch, *place), "Insert a point"
        )

    def _node_deleted(self, key: int, node: int) -> None:
        self.change(key, lambda trace: edits.delete_node(trace, key, node), "Delete a point")

    @property
    def is_dragging(self) -> bool:
        """Whether a node is being moved."""
        return self._gesture is not None

    def change(self, key: int, edit, words: str, gesture: int | None = None) -> None:  # type: ignore[no-untyped-def]
        """Edit a curve; stretches it touches are followed again."""
        before = self._document.trace
        try:
            trace = edit(before)
        except InputError as error:
            self.said.emit(f"{error.value} given; allowed: {error.allowed}.")
            return
        if len(trace.curves) == len(before.curves) and key < len(trace.curves):
            stale = edits.stale_stretches(before.curves[key], trace.curves[key])
            if stale:
                trace = self._document.followed(trace, key, stale)
        self.said.emit("")
        self._document.edit(trace, words, gesture)

    def follow_again(self, key: int) -> None:
        """Draw a curve along the ink anew."""
        trace = self._document.followed(self._document.trace, key)
        self._document.edit(trace, "Follow the ink again")

    def axes_with_points(self) -> None:
        """Put the known points that are whole into the trace."""
        trace = self._document.trace
        try:
            axes = self.points.into(trace.axes)
        except InputError as error:
            self.said.emit(f"{error.value} given; allowed: {error.allowed}.")
            return
        self._document.edit(replace(trace, axes=axes), "Known points of the axes")
