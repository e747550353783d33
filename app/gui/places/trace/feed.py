"""Between the trace and its panels: what each shows, and what each asks for."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, QTimer

from app.gui.places.trace.panels.known_points import CHECK, FEWEST
from app.gui.places.trace.panels.needs_panel import NeedRow
from app.gui.places.trace.points_desk import DeskPoint
from app.gui.places.trace.shapes import Mark
from app.gui.places.trace.verdicts import Verdicts, verdicts_of
from app.present.trace_words import curve_title, pen_hint
from engine_model.errors import InputError
from engine_model.tracing import edits
from engine_model.tracing.document import calibration_of
from engine_model.tracing.trace import CurveKind

if TYPE_CHECKING:
    from app.gui.places.trace.place import TracePlace

REVIEW_MS = 30
"""A trace is judged this long after its last change."""

SAVE_MAP, SAVE_DRAFT = "Save the compressor map\u2026", "Save the draft\u2026"

AXES_NEEDS = (
    "flow_kind", "flow_unit", "density", "reference_temperature", "reference_pressure",
    "pressure_basis",
)  # fmt: skip
"""Needs that are fields of the axes panel."""


class Feed(QObject):
    """Connects once; setters of the panels never emit."""

    def __init__(self, place: TracePlace) -> None:
        super().__init__(place)
        self._place = place
        self._document, self._desk = place.document, place.desk
        self.verdicts = Verdicts()
        self._judge = QTimer(self)
        self._judge.setSingleShot(True)
        self._judge.setInterval(REVIEW_MS)
        self._judge.timeout.connect(self.judge)
        document, desk = self._document, self._desk
        document.changed.connect(self._on_trace)
        document.prepared_changed.connect(desk.show_all)
        desk.stroke_changed.connect(self._on_stroke)
        desk.chosen.connect(self._on_chosen)
        desk.points_changed.connect(self._show_points)
        place.axes.axes_edited.connect(self._axes_edited)
        place.axes.mark_asked.connect(desk.mark)
        place.axes.clear_asked.connect(self._clear_point)
        place.axes.value_entered.connect(self._point_valued)
        place.pen.kind_chosen.connect(self._kind_chosen)
        place.pen.value_entered.connect(self._value_entered)
        place.about.about_edited.connect(self._about_edited)
        place.needs.need_chosen.connect(self._need_chosen)
        place.needs.fault_chosen.connect(self._fault_chosen)
        self._connect_curves()
        self._on_trace()

    def _connect_curves(self) -> None:
        curves, desk = self._place.curves, self._desk
        curves.chosen.connect(self._row_chosen)
        curves.table.clicked.connect(lambda index: self._row_clicked(index.row()))
        curves.relabelled.connect(self._relabelled)
        curves.kind_asked.connect(
            lambda n, kind: self._edit(n, lambda t: edits.relabel(t, n, kind), "Another kind")
        )
        curves.delete_asked.connect(self._delete)
        curves.split_asked.connect(self._split)
        curves.reverse_asked.connect(
            lambda n: self._edit(n, lambda t: edits.reverse(t, n), "Reverse a curve")
        )
        curves.follow_asked.connect(desk.follow_again)
        curves.closed_asked.connect(self._close_curve)
        curves.join_asked.connect(
            lambda n, other: self._edit(n, lambda t: edits.join(t, n, other), "Join curves")
        )

    def close(self) -> None:
        """Judge no more."""
        self._judge.stop()

    # the trace to the panels

    def _on_trace(self) -> None:
        trace, desk, place = self._document.trace, self._desk, self._place
        desk.points.follow(trace.axes)
        if desk.index >= len(trace.curves):
            desk.index = -1
        desk.show_all()
        place.axes.set_axes(trace.axes)
        volume = trace.axes.flow_kind == "volume"
        place.points.set_unit(trace.axes.flow_unit, volume)
        place.about.set_about(trace)
        self._show_points()
        self._on_stroke()

    def _show_points(self) -> None:
        place, desk = self._place, self._desk
        self._judge.start()
        place.axes.set_points(*desk.points.shown())
        axes = self._document.trace.axes
        faults: dict[Any, str] = {}
        check, words = None, ""
        if len(axes.places_px) >= 4:
            try:
                calibration = calibration_of(axes)
                if axes.check_px is not None and axes.check_value is not None:
                    check = calibration.check(axes.check_px, axes.check_value)
            except InputError as error:
                faults["points"] = f"{error.value} given; allowed: {error.allowed}"
        place.axes.set_faults(faults)
        place.axes.set_check(check, words)
        if desk.mode == "points":
            place.axes.set_waiting(desk.waiting)
            desk.show_all()

    def judge(self) -> None:
        """Judge the trace and show what is said of it."""
        self._judge.stop()
        if self._desk.is_dragging:
            self._judge.start()
            return
        self.verdicts = found = verdicts_of(self._document.trace)
        place, desk = self._place, self._desk
        place.curves.set_curves(found.rows)
        place.curves.set_chosen(desk.index if desk.index >= 0 else None)
        place.needs.set_needs(self._with_marked(found.needs), *found.counts)
        place.needs.set_faults(found.faults)
        place.needs.set_can_save(not self._document.is_empty)
        place.needs.save.setText(SAVE_MAP if found.usable else SAVE_DRAFT)
        place.needs.save.setAccessibleName(place.needs.save.text())
        self.show_signs()

    def _with_marked(self, rows: tuple[NeedRow, ...]) -> tuple[NeedRow, ...]:
        """Needs, known points that are marked but have no values yet counted too."""
        points = self._desk.points.points
        marked = sum(point.place is not None for point in points)
        whole = sum(point.is_whole for point in points)
        if marked <= whole:
            return rows
        words = (
            f"Type flow and pressure ratio of the known points: {marked} marked, "
            f"{whole} of {max(FEWEST, marked)} with values"
        )
        return tuple(
            replace(row, sentence=words) if row.code == "calibration" and marked >= FEWEST else row
            for row in rows
        )

    def show_signs(self) -> None:
        """Show signs and the fit's drawing on the canvas."""
        desk = self._desk
        desk.marks = {
            curve: [
                Mark(tuple(desk.to_canvas(place)[0]), state, words) for place, state, words in s
            ]
            for curve, s in self.verdicts.signs.items()
        }
        desk.lines = self.verdicts.lines
        desk.show_all()

    def _on_stroke(self) -> None:
        place, stroke, trace = self._place, self._desk.stroke, self._document.trace
        if stroke.is_empty and stroke.value is None:
            # without a guess it goes blank: no curve takes the label of the one before
            place.pen.set_value(edits.next_label(trace, stroke.kind), guessed=True)
            stroke.value = place.pen.value
        closable = len(stroke.nodes) > 2
        place.pen.set_hint(pen_hint(stroke.kind, len(stroke.nodes), closable=closable))

    def _on_chosen(self, index: int) -> None:
        self._place.curves.set_chosen(index if index >= 0 else None)
        self._place.curves.set_can_split(index >= 0)

    # the panels to the trace

    def _edit(self, index: int, edit, words: str) -> None:  # type: ignore[no-untyped-def]
        self._desk.change(index, edit, words)

    def _axes_edited(self, fields: dict[str, object]) -> None:
        trace = self._document.trace
        try:
            axes = replace(trace.axes, **fields)  # type: ignore[arg-type]
        except InputError as error:
            name = error.field.rpartition(".")[2]
            self._place.axes.set_faults({name: f"{error.value} given; allowed: {error.allowed}"})
            return
        self._document.edit(replace(trace, axes=axes), "What the axes show")

    def _point_valued(self, number: int, flow: float | None, ratio: float | None) -> None:
        self._desk.points.change(number, flow=flow, pressure_ratio=ratio)
        self._desk.axes_with_points()

    def _clear_point(self, number: int) -> None:
        desk = self._desk
        if number == CHECK:
            desk.points.check = DeskPoint()
        elif number < len(desk.points.points):
            desk.points.points[number] = DeskPoint()
        desk.axes_with_points()
        self._show_points()

    def _about_edited(self, fields: dict[str, object]) -> None:
        try:
            trace = replace(self._document.trace, **fields)  # type: ignore[arg-type]
        except InputError as error:
            self._place.words.say(f"{error.value} given; allowed: {error.allowed}.")
            return
        self._document.edit(trace, "About the compressor map")

    def _kind_chosen(self, kind: CurveKind) -> None:
        desk, pen = self._desk, self._place.pen
        if desk.stroke.is_empty:
            pen.set_value(edits.next_label(self._document.trace, kind), guessed=True)
        desk.take_pen(kind, pen.value)
        self._place.canvas.setFocus()

    def _value_entered(self, value: float | None) -> None:
        stroke = self._desk.stroke
        stroke.value = value
        self._place.curves.set_thousands(self._place.pen.in_thousands)
        self._place.points.set_thousands(self._place.pen.in_thousands)
        self._desk.show_all()
        if self._desk.mode == "pen":
            self._place.canvas.setFocus()

    def _is_there(self, index: int) -> bool:
        """Whether a curve of the list is in the trace still; the list follows a little later."""
        return 0 <= index < len(self._document.trace.curves)

    def _relabelled(self, index: int, value: float | None) -> None:
        if not self._is_there(index):
            return
        curve = self._document.trace.curves[index]
        title = curve_title(curve.kind, value)
        self._edit(index, lambda t: edits.relabel(t, index, curve.kind, value), f"Label {title}")

    def _delete(self, index: int) -> None:
        if not self._is_there(index):
            return
        curve = self._document.trace.curves[index]
        title = curve_title(curve.kind, curve.value)
        self._edit(index, lambda t: edits.delete_curve(t, index), f"Delete {title}")

    def _split(self, index: int) -> None:
        chosen = self._place.canvas.scene.chosen
        if chosen is None or chosen.key != index or chosen.node < 0:
            self._place.curves.say("Choose a point of the curve on the picture: it is cut there.")
            return
        node = chosen.node
        self._edit(index, lambda t: edits.split_at(t, index, node), "Split a curve")

    def _close_curve(self, index: int, closed: bool) -> None:
        if closed:
            self._edit(index, lambda t: edits.close_curve(t, index), "Close an island")
        else:
            self._edit(index, lambda t: edits.open_curve(t, index), "Open an island")

    def _row_clicked(self, index: int) -> None:
        """A click on the curve that was just drawn takes it in hand too."""
        if index == self._desk.index and self._desk.stroke.is_empty:
            self._desk.set_mode("edit")

    def _row_chosen(self, index: int) -> None:
        if index != self._desk.index:
            if index >= 0 and self._desk.mode != "edit" and self._desk.stroke.is_empty:
                self._desk.set_mode("edit")
            self._desk.choose(index)
        self._place.curves.set_can_split(index >= 0)

    def _need_chosen(self, code: str, curve: int | None) -> None:
        place = self._place
        if code in AXES_NEEDS:
            place.left.show_panel("Axes")
            place.axes.focus_field(code)
        elif code.startswith("calibration"):
            place.take_tool("points")
        elif code == "title":
            place.right.show_panel("About the compressor map")
            place.about.focus_field("title")
        elif curve is not None:
            place.curves.set_chosen(curve)
            self._row_chosen(curve)
            place.curves.table.setFocus()
        else:
            kinds: dict[str, CurveKind] = {"surge_line": "surge_line", "efficiency": "island"}
            place.pen.set_kind(kinds.get(code, "speed_line"))
            self._kind_chosen(kinds.get(code, "speed_line"))

    def _fault_chosen(self, curve: int | None, node: int | None) -> None:
        if curve is None:
            return
        self._desk.set_mode("edit")
        self._place.curves.set_chosen(curve)
        self._desk.choose(curve, -1 if node is None else node)
        self._place.canvas.setFocus()
